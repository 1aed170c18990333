"""The standing after events that reach back or correct, without folding ten years of notes for each.

A checkpoint holds how all stood some weeks ago, others a quarter and a year ago. From there only what happened since is folded;
where an event reaches further back, the whole log is, and new checkpoints are kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from bot.care.accessions import remembered
from bot.care.due import VERSION
from bot.care.events import CORRECTIONS, CareEvent, effective, targets_of
from bot.care.fold import fold, fold_all
from bot.care.standing import Standing
from bot.store import carelog, checkpoints
from bot.store.checkpoints import Checkpoint
from bot.store.database import Connection

# How far before the newest event each checkpoint lies, the nearest first: what words correct is seldom older than weeks.
REACHES = {"weeks": timedelta(days=35), "quarter": timedelta(days=130), "year": timedelta(days=400)}
WORTH_KEEPING = 400  # events; a shorter log is folded as quickly as a checkpoint is read


def refolded(conn: Connection, collection_id: int, first: date = date.max) -> Standing:
    """Return the standing that the whole log comes to, and keep or renew the checkpoints for the next time.

    `first` is the earliest day of what changed, as far as that is known: a checkpoint that lies behind it is not looked at.
    """
    passed: list[str] = []
    for reach, span in REACHES.items():
        day = checkpoints.day_of(conn, collection_id, reach, VERSION)
        kept = checkpoints.load(conn, collection_id, reach, VERSION) if day is not None and day < first else None
        tail = carelog.load_tail(conn, collection_id, kept.sequence, kept.day, kept.extras) if kept is not None else []
        counted = effective(tail)
        if kept is None or _reaches_before(kept, tail, counted):
            passed.append(reach)
            continue
        old = (
            max((kept.day, *(one.happened_on for one in tail))) - kept.day > 2 * span
        )  # else what is folded since grows and grows
        return _folded_on(conn, collection_id, kept, tail, counted, [*([reach] if old else ()), *passed])
    log = carelog.load(conn, collection_id)
    if len(log) < WORTH_KEEPING:
        return fold_all(log)
    return _folded_on(conn, collection_id, Checkpoint(date.min, 0, VERSION, (), {}), log, effective(log), passed)


def _folded_on(
    conn: Connection,
    collection_id: int,
    kept: Checkpoint,
    tail: Sequence[CareEvent],
    counted: Sequence[CareEvent],
    renewed: Iterable[str],
) -> Standing:
    """Fold the tail of the log onto a checkpoint, in one pass, and keep how all stood on the days of the checkpoints to renew."""
    standing = Standing.from_rows(kept.rows)
    standing.accessions = remembered(standing.accessions, tail)
    standing.last_sequence = max((kept.sequence, *(one.sequence for one in tail)))
    newest = max((kept.day, *(one.happened_on for one in tail)))
    waiting = sorted((max(kept.day, newest - REACHES[reach]), reach) for reach in renewed)
    for event in (*(one for one in counted if one.happened_on > kept.day), None):
        while waiting and (event is None or event.happened_on > waiting[0][0]):
            day, reach = waiting.pop(0)
            extras = tuple(_extras(tail, counted, day))
            checkpoints.save(
                conn, collection_id, reach, Checkpoint(day, standing.last_sequence, VERSION, extras, standing.rows())
            )
        if event is not None:
            fold(standing, event)
    return standing


def _reaches_before(kept: Checkpoint, tail: Sequence[CareEvent], counted: Iterable[CareEvent]) -> bool:
    by_identity = {one.identity: one for one in tail}
    news = [one for one in tail if one.sequence > kept.sequence and one.kind in CORRECTIONS]
    if any(target not in by_identity for one in news for target in _targets(one, by_identity)):
        return True
    before = effective(one for one in tail if one.sequence <= kept.sequence)
    return [one for one in before if one.happened_on <= kept.day] != [one for one in counted if one.happened_on <= kept.day]


def _targets(event: CareEvent, by_identity: dict[str, CareEvent]) -> Iterator[str]:
    """Yield what a correction corrects, and what that corrected in turn."""
    for target in targets_of(event):
        yield target
        found = by_identity.get(target)
        if found is not None and found.kind in CORRECTIONS:
            yield from _targets(found, by_identity)


def _extras(log: Sequence[CareEvent], counted: Iterable[CareEvent], day: date) -> Iterator[str]:
    """Yield what the log's tail needs besides the rows after a day: what was moved there, and corrections of what is there."""
    late = {one.identity for one in counted if one.happened_on > day} | {one.identity for one in log if one.happened_on > day}
    for one in sorted(log, key=lambda one: one.sequence):
        if one.happened_on > day:
            continue
        if one.kind in CORRECTIONS and any(target in late for target in _targets(one, {})):
            late.add(one.identity)
        if one.identity in late:
            yield one.identity


__all__ = ["refolded"]
