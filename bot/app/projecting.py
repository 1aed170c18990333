"""The projections of a collection: how everything stands and what is due, kept beside the log and rebuildable from it."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from bot.app import recalling
from bot.app.apart import changes_of, refolded_apart
from bot.app.climates import going_on
from bot.app.recalling import recalled
from bot.app.refolding import refolded
from bot.care.due import VERSION, all_due
from bot.care.due_health import cleared
from bot.care.due_values import Due, Setting
from bot.care.events import CORRECTIONS, CareEvent, refs_from_json, refs_to_json
from bot.care.fold import fold_all, fold_on
from bot.care.standing import Rows, Standing
from bot.store import carelog, projections
from bot.store.database import Connection
from bot.store.people import CollectionSettings
from bot.store.projections import DueRecord, ProjectionState

LARGE = 500  # rows; the state of a smaller collection is walked through in no time
RECENT_EVENTS = 300  # as far back as words can correct; older things are named by day or number


@dataclass(slots=True)
class Projection:
    """One collection's standing and what is due, as last written; `rows` and `due` are what the store holds of them."""

    standing: Standing
    rows: Rows
    due: dict[str, DueRecord]
    sequence: int
    version: int
    setting: Setting | None = None
    window: tuple[CareEvent, ...] = ()  # the newest events as written, corrections among them
    told: tuple[Due, ...] | None = None  # what `due` says, once it was asked for or worked out
    written: bool = False  # whether `rows` are those of the standing
    earlier: tuple[Rows, ...] = ()  # how all stood before the newest notes, as far as this process knows

    def dues(self) -> tuple[Due, ...]:
        """Return what is due, in the order of its first day."""
        if self.told is None:
            found = (due_of(one) for one in self.due.values())
            self.told = tuple(sorted(found, key=lambda one: (one.on, one.place, one.kind, one.key)))
        return self.told

    def holds_for(self, settings: CollectionSettings, today: date) -> bool:
        """Whether it was worked out in this process for this day and these settings: without events there is nothing to do."""
        return self.setting is not None and self.setting.settings == settings and self.setting.today == today


def load(conn: Connection, collection_id: int, *, writing: bool = False) -> Projection:
    """Return the projections of a collection as the store holds them, folded from the log where they are behind or missing.

    `writing` says that what is done in this transaction is kept, so that a fold of a long log may be kept for the next time.
    """
    state = projections.load_state(conn, collection_id)
    rows = projections.load_standing(conn, collection_id)
    due = {one.key: one for one in projections.load_due(conn, collection_id)}
    last = carelog.last_sequence(conn, collection_id)
    window = tuple(carelog.load(conn, collection_id, after=max(0, last - RECENT_EVENTS)))
    if state.version != VERSION or state.sequence != last:
        standing = refolded(conn, collection_id) if writing else fold_all(carelog.load(conn, collection_id))
        return Projection(standing, rows, due, last, VERSION, window=window)
    return Projection(Standing.from_rows(rows), rows, due, state.sequence, state.version, window=window, written=True)


class Memory:
    """The projections that one process holds of each collection: one for its notes and its rounds alike.

    To be forgotten where a transaction fails: what was folded and not committed must not be built upon.
    """

    def __init__(self) -> None:
        """Begin with nothing."""
        self._held: dict[int, Projection] = {}

    def current(self, conn: Connection, collection_id: int, *, writing: bool = False) -> Projection:
        """Return what is held of a collection where the log has not gone on since, else what the store holds (see `load`)."""
        held = self._held.get(collection_id)
        if held is None or held.sequence != carelog.last_sequence(conn, collection_id):
            return load(conn, collection_id, writing=writing)
        return held

    def keep(self, collection_id: int, held: Projection) -> None:
        """Hold projections as they were written."""
        if collection_id not in self._held and len(held.rows) > LARGE:
            gc.freeze()  # they hold no circles: to walk through them for garbage took a tenth of a second now and then
        self._held[collection_id] = held

    def forget(self) -> None:
        """Hold nothing any more."""
        self._held.clear()


def setting_for(held: Projection, standing: Standing, settings: CollectionSettings, today: date) -> Setting:
    """Return the setting of a day, as far as what is held goes on from it."""
    return going_on(held.setting, standing, settings, today)


@dataclass(frozen=True, slots=True)
class Carried:
    """The standing after new events, and the events of which what is due may come out otherwise: those taken back too."""

    standing: Standing
    about: Sequence[CareEvent]


def carry(conn: Connection, collection_id: int, held: Projection, events: Sequence[CareEvent]) -> Carried:
    """Return the standing after new events: folded on where they come last, else from the nearest day before what they change."""
    standing = held.standing
    days = [standing.last_on, *(one.happened_on for one in events)]
    if any(one.kind in CORRECTIONS for one in events) or days != sorted(days):  # one note may itself go back a day
        return _carried_back(conn, collection_id, held, events)
    fold_on(standing, events)
    return Carried(standing, events)


def _carried_back(conn: Connection, collection_id: int, held: Projection, events: Sequence[CareEvent]) -> Carried:
    known = recalled(held.earlier, held.rows, held.standing, held.window, events) if held.written else None
    if known is not None:
        return Carried(*known)
    changes = changes_of(conn, collection_id, events)
    apart = refolded_apart(conn, collection_id, held.standing, events, changes)
    about = [event for one in changes for event in one.versions()]
    first = min((one.happened_on for one in about), default=date.max)
    return Carried(apart if apart is not None else refolded(conn, collection_id, first), about)


def remember(held: Projection, after: Projection, events: Sequence[CareEvent]) -> None:
    """Keep with the projections after a note what the next ones may go back to: how all stood, and what was written."""
    if events:
        after.earlier = recalling.remember(held.earlier, held.rows) if held.written else held.earlier
        after.window = (*held.window, *events)[-RECENT_EVENTS:]


def endings(standing: Standing, setting: Setting, events: Iterable[CareEvent]) -> list[str]:
    """Return the keys of the cases that the looks in these events have brought to their end."""
    if not any(one.kind == "finding" and one.facts.get("status") in ("absent", "cleared") for one in events):
        return []
    return [
        key for key, case in sorted(standing.cases.items()) if case.open and case.clean_looks and cleared(standing, case, setting)
    ]


def save(conn: Connection, collection_id: int, held: Projection, standing: Standing, setting: Setting) -> Projection:
    """Write what has changed, and return the projections as they are now."""
    rows = standing.rows(held.rows)
    changed = {key: row for key, row in rows.items() if (old := held.rows.get(key)) is not row and old != row}
    if standing is not held.standing:
        held.standing.give_back(held.rows, standing, changed)
    projections.save_standing(conn, collection_id, changed, [key for key in held.rows if key not in rows])
    told = tuple(all_due(standing, setting, rows))
    before = {one.key: one for one in held.dues()}
    due = {one.key: _record(one, before.get(one.key), held, setting.today) for one in told}
    renewed = [one for key, one in due.items() if (kept := held.due.get(key)) is None or kept.body is not one.body]
    projections.save_due(conn, collection_id, renewed, [key for key in held.due if key not in due])
    if any(one.made_on != setting.today for one in held.due.values()):
        projections.redate_due(conn, collection_id, setting.today)
    projections.save_state(conn, collection_id, ProjectionState(standing.last_sequence, VERSION))
    return Projection(standing, rows, due, standing.last_sequence, VERSION, setting, held.window, told, True, held.earlier)


def _record(due: Due, before: Due | None, held: Projection, today: date) -> DueRecord:
    """Return the row of a due thing; with the very body that is held where that says the same."""
    kept = held.due.get(due.key)
    if kept is None or due != before or kept.version != VERSION:
        return record_of(due, today)
    return kept if kept.made_on == today else replace(kept, made_on=today)


def wipe(conn: Connection, collection_id: int) -> None:
    """Forget the projections of a collection, so that they are made anew from the log."""
    projections.wipe_projections(conn, collection_id)


def record_of(due: Due, made_on: date) -> DueRecord:
    """Return a due thing as a row."""
    body = {"refs": refs_to_json(due.refs), "about": due.about, "why": dict(due.why)}
    return DueRecord(due.key, due.kind, due.on, due.until, due.place, body, VERSION, made_on)


def due_of(record: DueRecord) -> Due:
    """Return the due thing of a row."""
    body = record.body
    return Due(
        record.key, record.kind, record.on, refs_from_json(body["refs"]), record.until, record.place, body["about"], body["why"]
    )


def changed(before: Iterable[Due], after: Iterable[Due]) -> list[Due]:
    """Return what is new among due things, has another day than before, or is about more plants."""
    old = {one.key: (one.on, one.until, one.refs) for one in before}
    return [one for one in after if old.get(one.key) != (one.on, one.until, one.refs)]


__all__ = [
    "Carried",
    "Memory",
    "Projection",
    "carry",
    "changed",
    "due_of",
    "endings",
    "load",
    "record_of",
    "remember",
    "save",
    "setting_for",
    "wipe",
]
