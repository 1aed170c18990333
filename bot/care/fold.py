"""One care event onto the standing: what each act, finding and word of the grower changes.

`fold` is the only way in which the standing changes. It uses nothing but the standing and the event, so that the log folded
from the start gives the same rows as the log folded as it came.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bot.care import fold_record as record
from bot.care.accessions import remember, remembered
from bot.care.events import CareEvent, effective
from bot.care.fold_acts import act
from bot.care.fold_findings import finding
from bot.care.reach import overlaps, stands_with, touched
from bot.care.standing import Standing, Watched

__all__ = ["fold", "fold_all", "fold_on", "overlaps", "stands_with", "touched"]


def fold_all(log: Iterable[CareEvent]) -> Standing:
    """Return the standing that the whole log comes to, corrections carried out."""
    events = list(log)
    standing = Standing()
    for event in effective(events):
        fold(standing, event)
    standing.accessions = remembered(standing.accessions, events)
    standing.last_sequence = max((one.sequence for one in events), default=0)
    return standing


def fold_on(standing: Standing, events: Iterable[CareEvent]) -> None:
    """Carry new events into a standing whose rows are known; only what they asked for is made a row of anew."""
    things = standing.things = Watched(standing.things)
    before = standing.touched
    try:
        for event in events:
            fold(standing, event)
    finally:
        known = standing.things is things and not things.all_asked
        standing.touched = before | things.asked if known and before is not None else None
        standing.things = dict(standing.things)


def fold(standing: Standing, event: CareEvent) -> None:
    """Carry one effective event into the standing."""
    standing.touched = None
    rule = _KINDS.get(event.kind)
    if rule is not None:
        rule(standing, event)
        if not _keeps_names(event):
            standing.genera = standing.known = None
        _first_seen(standing, event)
        remember(standing.accessions, event)
    standing.last_on = max(standing.last_on, event.happened_on)
    standing.last_sequence = max(standing.last_sequence, event.sequence)


_NAMELESS_KINDS = frozenset(
    {"climate", "finding", "skip", "measure", "hold", "reminder", "done", "later", "dropped", "closed", "wished", "slip", "order"}
)
_NAMELESS_ACTS = frozenset({"watered", "fed", "misted", "wetted", "inspected", "treated", "moved", "repotted", "potted", "died"})


def _keeps_names(event: CareEvent) -> bool:
    """Whether an event surely names nothing; all others may."""
    return event.kind in _NAMELESS_KINDS or (event.kind == "event" and event.what in _NAMELESS_ACTS)


def _first_seen(standing: Standing, event: CareEvent) -> None:
    """Remember since when a thing is on record: from then on it counts as a plant that may die."""
    for ref in event.refs:
        thing = standing.things.get((ref.kind, ref.key))
        if thing is not None and thing.first_on is None:
            thing.first_on = event.happened_on


_KINDS: dict[str, Callable[[Standing, CareEvent], None]] = {
    "event": act,
    "finding": finding,
    "skip": record.skip,
    "measure": record.measure,
    "climate": record.climate,
    "hold": record.hold,
    "reminder": record.reminder,
    "order": record.order,
    "taught": record.taught,
    "done": record.handled,
    "later": record.handled,
    "dropped": record.handled,
    "closed": record.closed,
    "known": record.known,
    "ruled": record.ruled,
    "wished": record.wished,
}
