"""The standing after a note about the past, from the entries of the things that it names and nothing else of the log.

What may be taken so, and how it is made sure, stands in `care.partial`; here the entries are found: those that count after a
checkpoint and are about one of the things. A checkpoint may be older than entries that reach behind it: it serves as long as
they are about other things.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from bot.app.refolding import REACHES
from bot.care import partial
from bot.care.due import VERSION
from bot.care.events import CORRECTIONS, CareEvent, effective, targets_of
from bot.care.partial import Change, Key, Row
from bot.care.standing import Standing
from bot.store import carelog, checkpoints
from bot.store.checkpoints import Checkpoint
from bot.store.database import Connection

MOST_THINGS = 150  # where a note names more, the whole log is as quick
_TURNS = frozenset({"kind", "what", "refs", "happened_on"})  # what an amendment may change so that an entry is about other things


def refolded_apart(
    conn: Connection, collection_id: int, now: Standing, news: Sequence[CareEvent], changes: Sequence[Change]
) -> Standing | None:
    """Return the standing after new entries of the log, `now` being that before them; None where the whole log is needed.

    `changes` are those that `changes_of` finds in the new entries.
    """
    wanted = partial.things_of(changes)
    if not all(partial.plain(one) for change in changes for one in change.versions()) or len(wanted) > MOST_THINGS:
        return None
    if not changes:
        return partial.carried(now, now, news)
    first = min(one.happened_on for change in changes for one in change.versions())
    for base in _bases(conn, collection_id, now, first):
        tail = _Tail(conn, collection_id, base, now, wanted, news)
        if tail.stale():
            continue
        old, new = tail.effective()
        if partial.told_of_reminders(changes, base.rows, now, (*old, *new)):
            return None
        made = partial.folded_apart(now, base.rows, wanted, old, new)
        if made is None:
            return None
        for reach in REACHES:
            _bring_up(conn, collection_id, reach, _Told(news, changes, base.rows, wanted, old, new))
        return partial.carried(now, made, news)
    return None


@dataclass(frozen=True, slots=True)
class _Told:
    """A change that was folded apart: from which rows, of which things, with which effective events before and after it."""

    news: Sequence[CareEvent]
    changes: Sequence[Change]
    rows: Mapping[Key, Row]
    wanted: frozenset[Key]
    old: Sequence[CareEvent]
    new: Sequence[CareEvent]

    def on(self, held: Mapping[Key, Row], day: date) -> dict[Key, Row] | None:
        """Return the rows of the things at the end of a day, `held` being all rows of that day before the change."""
        old, new = ([one for one in events if one.happened_on <= day] for events in (self.old, self.new))
        return partial.rows_apart(held, self.rows, self.wanted, old, new)

    def lies_before(self, day: date) -> bool:
        """Whether all that counts otherwise happened by a day, and whatever corrects it was written later."""
        versions = (event for one in self.changes for event in one.versions())
        corrections = (one for one in self.news if one.kind in CORRECTIONS)
        return all(one.happened_on <= day for one in versions) and all(one.happened_on > day for one in corrections)


def _bring_up(conn: Connection, collection_id: int, reach: str, told: _Told) -> None:
    """Let a checkpoint know of a change that lies before it; where that is not sure it stays, and is known to be behind."""
    day = checkpoints.day_of(conn, collection_id, reach, VERSION)
    if day is None or not told.lies_before(day):
        return
    kept = checkpoints.load(conn, collection_id, reach, VERSION)
    if kept is None or not _knows_all(conn, collection_id, kept, told.news[0].sequence):
        return
    rows = told.on(kept.rows, day)
    if rows is not None:
        checkpoints.bring_up(conn, collection_id, reach, kept, rows, told.news[-1].sequence)


def _knows_all(conn: Connection, collection_id: int, kept: Checkpoint, below: int) -> bool:
    """Whether nothing that was written since a checkpoint, up to a sequence, is about its day or before."""
    if carelog.any_before(conn, collection_id, kept.day, kept.sequence, below):
        return False
    since = carelog.load_kinds(conn, collection_id, CORRECTIONS, kept.sequence + 1)
    family: dict[str, CareEvent] = {}
    _with_families(conn, collection_id, family, (one for one in since if one.sequence < below))
    roots = [one for one in family.values() if one.kind not in CORRECTIONS]
    return all(one.happened_on > kept.day for one in (*roots, *effective(family.values())))


def changes_of(conn: Connection, collection_id: int, news: Sequence[CareEvent]) -> list[Change]:
    """Return which events count otherwise after new entries of the log, each as it counted and as it counts."""
    family = {one.identity: one for one in news}
    _with_families(conn, collection_id, family, news)
    first = news[0].sequence
    return partial.differing((one for one in family.values() if one.sequence < first), family.values())


def _with_families(conn: Connection, collection_id: int, found: dict[str, CareEvent], of: Iterable[CareEvent]) -> None:
    """Add what corrections correct, what those correct in turn, and all that ever corrected any of it."""
    asked: set[str] = set()
    added: list[CareEvent] = []
    waiting = list(of)
    while wanted := {target for one in waiting for target in targets_of(one)} - found.keys() - asked:
        asked |= wanted
        waiting = carelog.load_identities(conn, collection_id, wanted)
        added += waiting
        found |= {one.identity: one for one in waiting}
    if added:
        oldest = min(one.sequence for one in added)
        found |= {one.identity: one for one in carelog.load_kinds(conn, collection_id, CORRECTIONS, oldest)}


def _bases(conn: Connection, collection_id: int, now: Standing, first: date) -> Iterator[Checkpoint]:
    """Yield the checkpoints that lie before a day, the nearest first, and the beginning; none where one is to be made anew."""
    for reach, span in REACHES.items():
        day = checkpoints.day_of(conn, collection_id, reach, VERSION)
        if day is None or now.last_on - day > 2 * span:
            return
        if day < first and (kept := checkpoints.load(conn, collection_id, reach, VERSION)) is not None:
            yield kept
    yield Checkpoint(date.min, 0, VERSION, (), {})


class _Tail:
    """The entries after a checkpoint that are about some things, or that may reach them wherever they stand."""

    def __init__(
        self,
        conn: Connection,
        collection_id: int,
        base: Checkpoint,
        now: Standing,
        wanted: frozenset[Key],
        news: Sequence[CareEvent],
    ) -> None:
        self._conn, self._collection, self._base, self._wanted, self._news = conn, collection_id, base, wanted, news
        self._first = carelog.first_after(conn, collection_id, base.day, base.sequence)
        rows = {key: now.row_of(key) for key in wanted if key in now.things}
        self._places: set[str] = set()
        self._apart = self._wherever()
        self._log = dict(self._apart)
        while (found := self._stood_in(rows)) - self._places or not self._places:
            self._places = found | {""}  # one round at least; what moved it there may name another place
            self._log = self._naming({*wanted, *(("place", one) for one in found)}) | self._apart

    def effective(self) -> tuple[list[CareEvent], list[CareEvent]]:
        """Return what counts of it after the checkpoint's day: before the newest entries, and with them."""
        return self._late(self._counting(before=True)), self._late(self._counting())

    def stale(self) -> bool:
        """Whether the checkpoint does not know of something about these things that counts on its day or before."""
        known = self._early(effective(one for one in self._log.values() if one.sequence <= self._base.sequence))
        return self._early(self._counting()) != known or self._early(self._counting(before=True)) != known

    def _wherever(self) -> dict[str, CareEvent]:
        """Return what is not found by the things it names: corrections and what they are about, what may reach all, batches."""
        conn, base = self._conn, self._base
        kinds = carelog.load_kinds(conn, self._collection, (*partial.EVERYWHERE, *CORRECTIONS), self._first)
        named = [*base.extras, *(key for kind, key in self._wanted if kind == "batch")]
        found = {one.identity: one for one in kinds if self._later(one)}
        found |= {one.identity: one for one in carelog.load_identities(conn, self._collection, named)}
        corrections = [one for one in found.values() if one.kind in CORRECTIONS]
        turning = [one for one in corrections if one.sequence > base.sequence or _TURNS & one.facts.get("patch", {}).keys()]
        _with_families(conn, self._collection, found, turning)
        return found

    def _naming(self, things: Iterable[Key]) -> dict[str, CareEvent]:
        """Return the later entries that name one of the things, with those refs; with all where their place among them counts."""
        named = carelog.load_naming(self._conn, self._collection, things, self._first)
        found = {one.identity: one for one in named if self._later(one)}
        whole = [one.identity for one in found.values() if partial.FACT in one.facts]
        return found | {one.identity: one for one in carelog.load_identities(self._conn, self._collection, whole)}

    def _stood_in(self, rows: Mapping[Key, Row]) -> set[str]:
        return partial.stood_in(self._wanted, (self._base.rows, rows), (one for one in self._counting() if self._about(one)))

    def _counting(self, *, before: bool = False) -> list[CareEvent]:
        first = self._news[0].sequence
        return effective(one for one in self._log.values() if not before or one.sequence < first)

    def _later(self, event: CareEvent) -> bool:
        return event.sequence > self._base.sequence or event.happened_on > self._base.day

    def _late(self, events: Iterable[CareEvent]) -> list[CareEvent]:
        return [one for one in events if one.happened_on > self._base.day and self._about(one)]

    def _early(self, events: Iterable[CareEvent]) -> list[CareEvent]:
        return [one for one in events if one.happened_on <= self._base.day and self._about(one)]

    def _about(self, event: CareEvent) -> bool:
        return partial.touches(event, self._wanted, self._places)


__all__ = ["changes_of", "refolded_apart"]
