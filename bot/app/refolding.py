"""The standing after events that reach back or correct, without folding ten years of notes for each.

A checkpoint holds how all stood some weeks ago, others a quarter and a year ago. From there only what happened since is folded;
where an event reaches further back, the whole log is, and new checkpoints are kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
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


def refolded(conn: Connection, collection_id: int) -> Standing:
    """Return the standing that the whole log comes to, and keep or renew the checkpoints for the next time."""
    passed: list[str] = []
    for reach, span in REACHES.items():
        kept = checkpoints.load(conn, collection_id, reach, VERSION)
        tail = carelog.load_tail(conn, collection_id, kept.sequence, kept.day, kept.extras) if kept is not None else []
        made = _continued(kept, tail) if kept is not None else None
        if kept is None or made is None:
            passed.append(reach)
            continue
        old = made.newest - kept.day > 2 * span  # else what is folded since grows and grows
        _keep(conn, collection_id, [reach, *passed[::-1]] if old else passed[::-1], kept, tail)
        return made.standing
    log = carelog.load(conn, collection_id)
    if len(log) < WORTH_KEEPING:
        return fold_all(log)
    nearest = _keep(conn, collection_id, passed[::-1], Checkpoint(date.min, 0, VERSION, (), {}), log)
    made = _continued(nearest, carelog.load_tail(conn, collection_id, nearest.sequence, nearest.day, nearest.extras))
    assert made is not None  # nothing came after it
    return made.standing


def _keep(
    conn: Connection, collection_id: int, reaches: Sequence[str], before: Checkpoint, tail: Sequence[CareEvent]
) -> Checkpoint:
    """Bring a checkpoint forward over the tail of the log to each reach, the farthest first; return the last one made."""
    for reach in reaches:
        before = _checkpoint(Standing.from_rows(before.rows), before.day, tail, _newest(tail) - REACHES[reach])
        checkpoints.save(conn, collection_id, reach, before)
    return before


@dataclass(frozen=True, slots=True)
class _Made:
    standing: Standing
    newest: date


def _continued(kept: Checkpoint, tail: Sequence[CareEvent]) -> _Made | None:
    """Return the standing after the tail of the log; None where that reaches to before the checkpoint."""
    counted = effective(tail)
    if _reaches_before(kept, tail, counted):
        return None
    standing = Standing.from_rows(kept.rows)
    for event in counted:
        if event.happened_on > kept.day:
            fold(standing, event)
    standing.accessions = remembered(standing.accessions, tail)
    standing.last_sequence = max((kept.sequence, *(one.sequence for one in tail)))
    return _Made(standing, _newest(tail) if tail else kept.day)


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


def _checkpoint(standing: Standing, after: date, log: Sequence[CareEvent], day: date) -> Checkpoint:
    """Fold what happened after one day up to another onto a standing; keep it so."""
    counted = effective(log)
    for event in counted:
        if after < event.happened_on <= day:
            fold(standing, event)
    standing.accessions = remembered(standing.accessions, log)
    sequence = max(one.sequence for one in log)
    return Checkpoint(day, sequence, VERSION, tuple(_extras(log, counted, day)), standing.rows())


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


def _newest(log: Iterable[CareEvent]) -> date:
    """Return the latest day on which something happened."""
    return max(one.happened_on for one in log)


__all__ = ["refolded"]
