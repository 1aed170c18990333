"""A change of what lies further back, folded anew for the things that it names alone.

Most notes about the past (a watering, a repotting, a bloom) change nothing but what they name. For such a change the
events that touch those things are folded, from a day before it, into a standing that holds no more than them: once as the log
was and once as it is. Only where the first gives the very rows that stand, and the second differs from it in nothing but those
things, is it taken. Whatever else an event may reach (a case, a reminder, a mate on the bench) makes one of the two fail, and the
whole log is folded, as it is for what is not plain.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from bot.care.accessions import FACT, remembered
from bot.care.events import CareEvent, effective
from bot.care.fold import fold
from bot.care.fold_findings import CLEAN_LOOK_SIGNS
from bot.care.fold_lots import DATA, SPLIT, SPLIT_FROM
from bot.care.reach import PEST_SIGNS
from bot.care.standing import Standing, Thing

Key = tuple[str, str]  # kind and key of a thing
Row = Mapping[str, Any]
# What may change things that it does not name, or what later events come to. All of them are folded into each part.
EVERYWHERE = ("climate", "taught", "ruled", "reminder", "closed")
PLAIN_ACTS = frozenset(
    """watered fed misted wetted damped_down inspected unpotted washed root_pruned set_to_dry potted repotted top_dressed
    turned shaded unshaded covered uncovered heated vented cleaned germinated pollinated seed_harvested photographed""".split()
)
_RESTS = frozenset({"rest_started", "rest_ended"})
_DRYNESS = frozenset({"mix_dry", "mix_damp"})  # kept for learning, in the order in which they were said
_RAISED = frozenset({"offsets_taken", "cutting_taken", "grafted"})


@dataclass(frozen=True, slots=True)
class Change:
    """One event as it counted before, and as it counts now; None where it did not count, or no longer does."""

    before: CareEvent | None
    after: CareEvent | None

    def versions(self) -> list[CareEvent]:
        """Return the event in the forms that it has or had."""
        return [one for one in (self.before, self.after) if one is not None]


def differing(before: Iterable[CareEvent], after: Iterable[CareEvent]) -> list[Change]:
    """Return which events count otherwise in one log than in another, in order of sequence."""
    was, now = ({one.identity: one for one in effective(log)} for log in (before, after))
    either = sorted((was | now).values(), key=lambda one: one.sequence)
    pairs = (Change(was.get(one.identity), now.get(one.identity)) for one in either)
    return [one for one in pairs if one.before != one.after]


def plain(event: CareEvent) -> bool:
    """Whether an event, wherever it lies, changes only how the things that it names were cared for."""
    if FACT in event.facts or not event.refs:
        return False
    if event.kind == "event":
        at_rest = event.what in _RESTS and all(one.kind != "place" for one in event.refs)
        return (event.what in PLAIN_ACTS and not event.facts.get("to")) or at_rest
    if event.kind == "finding":
        return event.what not in PEST_SIGNS | CLEAN_LOOK_SIGNS | _DRYNESS and event.what != "webbing"
    return event.kind in ("skip", "measure", "hold") or (event.kind, event.what) == ("known", DATA)


def things_of(changes: Iterable[Change]) -> frozenset[Key]:
    """Return what the changed events name."""
    return frozenset((ref.kind, ref.key) for one in changes for event in one.versions() for ref in event.refs)


def touches(event: CareEvent, wanted: Collection[Key], places: Collection[str]) -> bool:
    """Whether an event is about one of the things, of one of the places, or of a kind that reaches everywhere."""
    if event.kind in EVERYWHERE:
        return True
    return ("batch", event.identity) in wanted or any(
        (one.kind, one.key) in wanted or (one.kind == "place" and one.key in places) for one in event.refs
    )


def stood_in(wanted: Collection[Key], standings: Iterable[Mapping[Key, Row]], events: Iterable[CareEvent]) -> set[str]:
    """Return the places in which the things stood: by the rows of some days, and by what happened between."""
    found = {str(rows[key].get("place", "")) for rows in standings for key in wanted if key in rows}
    told = (one.facts for one in events if one.kind != "climate")
    found |= {str(facts[name]) for facts in told for name in ("to", "place") if facts.get(name)}
    return found - {""}


def folded_apart(
    now: Standing, rows: Mapping[Key, Row], wanted: frozenset[Key], old: Sequence[CareEvent], new: Sequence[CareEvent]
) -> Standing | None:
    """Return the standing after a change: `now` with the wanted things as the new events leave them; None where that is not sure.

    `rows` is how all stood at an earlier day; `old` and `new` are the effective events since then, before and after the change,
    in the order in which they are folded: at least those for which `touches` holds.
    """
    if not all(key in now.things for key in wanted) or _gives_on(now, wanted):
        return None
    part = _told_apart({key: now.row_of(key) for key in wanted}, rows, wanted, old, new)
    if part is None or not all(key in part.things for key in wanted):
        return None
    last_on = _last_day(now.last_on, old, new)
    if last_on is None:
        return None
    things = {**now.things, **{key: part.things[key] for key in wanted}}
    return replace(now, things=things, last_on=last_on, genera=None, known=None, touched=None, made=dict(now.made))


def rows_apart(
    held: Mapping[Key, Row], rows: Mapping[Key, Row], wanted: frozenset[Key], old: Sequence[CareEvent], new: Sequence[CareEvent]
) -> dict[Key, Row] | None:
    """Return the rows of the wanted things after a change, `held` being all rows of that day before it; as `folded_apart`."""
    part = _told_apart({key: held[key] for key in wanted if key in held}, rows, wanted, old, new)
    return {key: part.row_of(key) for key in wanted} if part is not None and all(key in part.things for key in wanted) else None


def _told_apart(
    held: Mapping[Key, Row], rows: Mapping[Key, Row], wanted: frozenset[Key], old: Sequence[CareEvent], new: Sequence[CareEvent]
) -> Standing | None:
    """Fold both logs onto the rows; return the second part where the first gives what is held and they differ as they may."""
    parts = []
    for events in (old, new):
        mine = [_of_part(one, wanted) for one in events]
        if any(_asks_more(one, wanted) for one in mine):
            return None
        parts.append(_part(rows, wanted, mine))
    was, after = (one.rows() for one in parts)
    if any(was.get(key) != held.get(key) for key in wanted):
        return None
    if any(was.get(key) != after.get(key) for key in was.keys() | after.keys() if key not in wanted and key != ("fold", "")):
        return None
    both = (key for key in wanted if key in was and key in after)
    if any(_kept_apart(parts[0].things[key]) != _kept_apart(parts[1].things[key]) for key in both):
        return None
    return parts[1]


def told_of_reminders(changes: Iterable[Change], rows: Mapping[Key, Row], now: Standing, events: Iterable[CareEvent]) -> bool:
    """Whether a reminder that was ever kept since the rows were made may hear of one of the changed events."""
    whats = {one.what for change in changes for one in change.versions()}
    whats |= {"watered"} if "fed" in whats else set()
    kept: list[Mapping[str, Any]] = [rows[key] for key in rows if key[0] == "reminder"]
    kept += [{"act": one.act, "awaits": one.awaits} for one in now.reminders.values()]
    kept += [one.facts for one in events if one.kind == "reminder"]
    return any(one.get("act") in whats or whats & set(one.get("awaits") or ()) for one in kept)


def carried(now: Standing, standing: Standing, log: Sequence[CareEvent]) -> Standing:
    """Return the standing with what the log's newest entries themselves change, counted or not."""
    sequence = max((now.last_sequence, *(one.sequence for one in log)))
    made = dict(standing.made)  # `now` stays as it is
    return replace(standing, accessions=remembered(now.accessions, log), last_sequence=sequence, made=made)


def _part(rows: Mapping[Key, Row], wanted: frozenset[Key], events: Iterable[CareEvent | None]) -> Standing:
    """Fold events onto what the rows say of the wanted things, of the cases on them and of what holds everywhere."""
    part = Standing.from_rows({key: rows[key] for key in rows if key in wanted or _holds_for(key, rows, wanted)})
    for event in events:
        if event is not None:
            fold(part, event)
    return part


def _holds_for(key: Key, rows: Mapping[Key, Row], wanted: frozenset[Key]) -> bool:
    if key[0] == "case":
        return any((kind, name) in wanted for kind, name, _ in rows[key]["refs"])
    return key[0] in ("rule", "mix", "merged")


def _of_part(event: CareEvent, wanted: frozenset[Key]) -> CareEvent | None:
    """Return an event with those of its refs that count for the part; None where none does.

    Places stay, since a plant may be moved or released with what it stands in; where the order gives numbers, all refs do.
    """
    if event.kind == "reminder":
        return None  # see `told_of_reminders`
    if event.kind in EVERYWHERE or event.facts.get(FACT) or ("batch", event.identity) in wanted:
        return event
    refs = tuple(one for one in event.refs if one.kind == "place" or (one.kind, one.key) in wanted)
    return replace(event, refs=refs) if refs else None


def _asks_more(event: CareEvent | None, wanted: frozenset[Key]) -> bool:
    """Whether an event makes a wanted thing out of another, which the part does not hold."""
    if event is None:
        return False
    made = event.what in _RAISED and ("batch", event.identity) in wanted
    return made or ((event.kind, event.what) == ("known", SPLIT))


def _gives_on(now: Standing, wanted: Iterable[Key]) -> bool:
    """Whether plants came out of one of the things: they carry with them how it was cared for."""
    held = {f"{kind}:{key}" for kind, key in wanted if kind in ("lot", "batch", "sowing")}
    return bool(held) and any(one.tally.get(SPLIT_FROM) in held for one in now.things.values())


_STAY: tuple[Callable[[Thing], Any], ...] = (
    lambda one: (one.kind, one.key, one.status, one.count, one.place, one.lot, one.parent, one.pollen),
    lambda one: (one.names, one.nickname, one.aliases, one.isolated_on, one.isolated_why, one.gone, one.accession),
)


def _kept_apart(thing: Thing) -> list[Any]:
    """Return what others look at in a thing: where it stands, what it is, whether it lives."""
    return [one(thing) for one in _STAY]


def _last_day(last: date, old: Sequence[CareEvent], new: Sequence[CareEvent]) -> date | None:
    """Return the latest day of the log; None where nothing at hand says that something still counts on it."""
    newest = max((one.happened_on for one in new), default=date.min)
    if newest >= last:
        return newest
    return None if any(one.happened_on == last for one in old) else last


__all__ = [
    "EVERYWHERE",
    "FACT",
    "Change",
    "carried",
    "differing",
    "folded_apart",
    "plain",
    "rows_apart",
    "stood_in",
    "things_of",
    "told_of_reminders",
    "touches",
]
