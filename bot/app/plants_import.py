"""A spreadsheet of plants into the care log: what is new, what has changed since it came last, and nothing twice."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.app import projecting
from bot.app.plants_accessions import facts_of, reserved, with_own_numbers
from bot.app.plants_columns import Guess, guessed
from bot.app.plants_rows import Fault, PlantRow, rows_of
from bot.app.plants_table import Table, read_table
from bot.care.accessions import facts_of_new, remember
from bot.care.events import CareEvent, Ref, effective
from bot.care.standing import Standing, Thing
from bot.store import carelog
from bot.store.database import Connection
from bot.store.people import Collection

RUN = "import-"  # begins the identity of every event of an import; then the run, then its number
IMPORTED = "imported"
_SAID_ONCE = ("came", "source", "price", "currency")  # what the event of its coming holds


@dataclass(frozen=True, slots=True)
class Difference:
    """What a row says of a plant that the collection knew before otherwise: it is left as it is here."""

    row: int
    label: str
    role: str
    here: str
    file: str


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import would do, or did: rows that are new, changed and the same, places made, and all that is unclear."""

    table: Table
    guesses: tuple[Guess, ...]
    new: tuple[PlantRow, ...] = ()
    changed: tuple[PlantRow, ...] = ()
    same: int = 0
    places: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    differences: tuple[Difference, ...] = ()
    events: tuple[CareEvent, ...] = ()
    written: bool = False


def looked_at(conn: Connection, into: Collection, content: bytes, now: datetime, told: Mapping[str, str]) -> Imported:
    """Return what a file would bring to a collection. Raises PlantsProblem where it cannot be used as a whole."""
    table = read_table(content)
    guesses = guessed(table, told, into.settings.date_order)
    today = now.astimezone(ZoneInfo(into.settings.zone)).date()
    rows, faults = rows_of(table, guesses, into.settings, today)
    log = carelog.load(conn, into.id)
    standing = projecting.load(conn, into.id).standing
    run = hashlib.sha256(f"{into.public_id}|{len(log)}|".encode() + content).hexdigest()[:12]
    rows, doubled = with_own_numbers(rows, standing, log)
    faults = sorted((*faults, *doubled), key=lambda one: one.row)
    writer = _Writer(standing, _earlier(log), run, now, today)
    writer.given = reserved(writer.given, rows)
    for row in rows:
        writer.take(row)
    events = tuple(writer.all_events())
    new, changed = tuple(writer.new), tuple(writer.changed)
    places = tuple(writer.places)
    return Imported(table, guesses, new, changed, writer.same, places, tuple(faults), tuple(writer.differences), events)


def newest_run(log: Iterable[CareEvent]) -> list[CareEvent]:
    """Return the events of the newest import that still counts."""
    counted = [one for one in effective(log) if one.identity.startswith(RUN)]
    newest = max(counted, key=lambda one: one.sequence, default=None)
    return [one for one in counted if newest is not None and run_of(one) == run_of(newest)]


def run_of(event: CareEvent) -> str:
    """Return what all events of one import have in common; empty for other events."""
    return event.identity.rpartition("-")[0] if event.identity.startswith(RUN) else ""


@dataclass(frozen=True, slots=True)
class _Before:
    """What the last import of a row said, and the identity of the event by which its plant came."""

    values: Mapping[str, Any]
    came_by: str


def _earlier(log: Sequence[CareEvent]) -> dict[str, _Before]:
    """Return what each label's row said when it was imported last, by the label in lower case."""
    known = [one for one in effective(log) if one.kind == "known" and one.what == IMPORTED and one.refs and "row" in one.facts]
    known.sort(key=lambda one: one.sequence)
    return {one.refs[0].key.casefold(): _Before(one.facts["row"], str(one.facts.get("came_by", ""))) for one in known}


@dataclass
class _Writer:
    """Makes the events of an import, row by row."""

    standing: Standing
    earlier: Mapping[str, _Before]
    run: str
    now: datetime
    today: date
    new: list[PlantRow] = field(default_factory=list)
    changed: list[PlantRow] = field(default_factory=list)
    same: int = 0
    differences: list[Difference] = field(default_factory=list)
    events: list[CareEvent] = field(default_factory=list)
    places: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Look up the places and labels that the collection has, whatever their case."""
        things, self.given = self.standing.things, dict(self.standing.accessions)
        named = [(name, key) for (kind, key), one in things.items() if kind == "place" for name in (key, *one.aliases)]
        self._spelled = {name.casefold(): key for name, key in named}
        self._kept = {key.casefold(): one for (kind, key), one in things.items() if kind in ("plant", "lot")}

    def take(self, row: PlantRow) -> None:
        """Note what a row brings."""
        before = self.earlier.get(row.label.casefold())
        values = dict(row.values)
        if before is not None and before.values == values:
            self.same += 1
            return
        (self.new if before is None else self.changed).append(row)
        kept = self._kept.get(row.label.casefold())
        if before is None and kept is not None:
            values = self._gaps(row, kept, values)
        elif before is not None:
            values = {role: value for role, value in values.items() if before.values.get(role) != value}
            values = self._without_other_number(row, kept, values)
        ref = kept.ref if kept is not None else Ref("lot" if row.count > 1 else "plant", row.label)
        came_by = self._came(row, ref, values, before)
        self._record(row, ref, values, came_by)

    def all_events(self) -> list[CareEvent]:
        """Return the events, those that make places first."""
        if not self.places:
            return list(self.events)
        made = self._made("known", IMPORTED, tuple(Ref("place", one) for one in self.places), self.today, {}, len(self.events))
        return [made, *self.events]

    def _came(self, row: PlantRow, ref: Ref, values: Mapping[str, Any], before: _Before | None) -> str:
        """Write how a plant came, or put right what an earlier import said of it; return the identity of that event."""
        came_by = before.came_by if before else ""
        said = {role: values[role] for role in _SAID_ONCE if role in values}
        on = row.day("came")
        if came_by and said:
            changed = {("from" if role == "source" else role): value for role, value in said.items() if role != "came"}
            patch = {"facts": changed} | ({"happened_on": values["came"]} if "came" in values else {})
            self._event("amended", "", (), self.today, {"target": came_by, "patch": patch})
        elif not came_by and on is not None and "came" in values:
            facts: dict[str, Any] = {"settled": True} | ({"approx": True} if values.get("came_approx") else {})
            facts |= {("from" if role == "source" else role): value for role, value in said.items() if role != "came"}
            facts |= {"name": values["name"]} if "name" in values else {}
            facts |= {"to": self._place(values["place"])} if "place" in values else {}
            counted = Ref(ref.kind, ref.key, row.count if ref.kind == "lot" else None)
            facts |= facts_of(values["accession"]) if "accession" in values else facts_of_new(self.given, on.year, 1)
            made = self._event("event", "acquired", (counted,), on, facts)
            remember(self.given, made)
            return made.identity
        return came_by

    def _record(self, row: PlantRow, ref: Ref, values: Mapping[str, Any], came_by: str) -> None:
        with_it = bool(self.events) and self.events[-1].what == "acquired" and self.events[-1].identity == came_by
        if "name" in values and not with_it:
            self._event("event", "named", (ref,), self.today, {"name": values["name"]})
        if "place" in values and not with_it:
            self._event("event", "moved", (ref,), self.today, {"to": self._place(values["place"])})
        repotted = row.day("repotted") if "repotted" in values else None
        if repotted is not None:
            size = {"pot_cm": row.values["pot_cm"]} if "pot_cm" in row.values else {}
            rough = {"approx": True} if row.values.get("repotted_approx") else {}
            self._event("event", "repotted", (ref,), repotted, size | rough)
        if "accession" in values and not with_it:
            self._event("known", "accession", (ref,), self.today, facts_of(values["accession"]))
        facts: dict[str, Any] = {"row": dict(row.values)} | ({"came_by": came_by} if came_by else {})
        facts |= {"pot": {"cm": values["pot_cm"]}} if "pot_cm" in values else {}
        self._event("known", IMPORTED, (ref,), self.today, facts)

    def _gaps(self, row: PlantRow, kept: Thing, values: Mapping[str, Any]) -> dict[str, Any]:
        """Return what a row says of a plant that notes have told of already, as far as they left it open."""
        here: dict[str, str] = {"name": kept.taxon, "place": kept.place, "source": kept.came_from}
        here["came"] = kept.came_on.isoformat() if kept.came_on else ""
        here["accession"] = kept.accession
        here["pot_cm"] = f"{kept.pot['cm']:g}" if kept.pot.get("cm") else ""
        for role, known in here.items():
            file = str(values.get(role, ""))
            if known and file and known.casefold() not in (file.casefold(), file.removesuffix(".0")):
                self.differences.append(Difference(row.row, row.label, role, known, file))
        return {role: value for role, value in values.items() if not here.get(role)}

    def _without_other_number(self, row: PlantRow, kept: Thing | None, values: dict[str, Any]) -> dict[str, Any]:
        """Leave a plant the accession number that it has: it stands on labels, and is told where the file has another."""
        has = kept.accession if kept is not None else ""
        if not has or "accession" not in values:
            return values
        if values["accession"] != has:
            self.differences.append(Difference(row.row, row.label, "accession", has, values["accession"]))
        return {role: value for role, value in values.items() if role != "accession"}

    def _place(self, typed: str) -> str:
        found = self._spelled.get(typed.casefold())
        if found is None:
            found = self._spelled[typed.casefold()] = typed.lower()  # as a note would name it
            self.places.append(found)
        return found

    def _event(self, kind: str, what: str, refs: tuple[Ref, ...], on: date, facts: Mapping[str, Any]) -> CareEvent:
        new = self._made(kind, what, refs, on, facts, len(self.events))
        self.events.append(new)
        return new

    def _made(self, kind: str, what: str, refs: tuple[Ref, ...], on: date, facts: Mapping[str, Any], number: int) -> CareEvent:
        return CareEvent(f"{RUN}{self.run}-{number}", 0, on, self.now, kind, what, refs, dict(facts))


__all__ = ["RUN", "Difference", "Imported", "looked_at", "newest_run", "run_of"]
