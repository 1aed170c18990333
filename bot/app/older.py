"""Events that lie further back than those at hand: which of them count, and which a fix of an old entry means."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from bot.app.plan import View
from bot.app.record_words import day_meant
from bot.care.events import CORRECTIONS, CareEvent, Ref, effective
from bot.store import carelog
from bot.store.database import Connection

_DAY = timedelta(days=1)
BEGINNING = date(1900, 1, 1)  # before any entry


def counting(window: Sequence[CareEvent]) -> tuple[CareEvent, ...]:
    """Return the events of a window as they count now, in the order in which they were written; those of notes, not of files."""
    counted = {one.identity: one for one in effective(window)}
    dead = withdrawn(window)
    standing = [
        counted.get(one.identity, one)
        for one in window
        if one.note and one.identity not in dead and (one.identity in counted or one.kind in CORRECTIONS)
    ]
    return tuple(standing)


def withdrawn(window: Sequence[CareEvent]) -> set[str]:
    """Return the identities of what was taken back, the withdrawals among them."""
    dead: set[str] = set()
    for one in reversed(window):
        if one.kind == "withdrawn" and one.identity not in dead:
            dead.update(one.facts["targets"])
    # A withdrawal has nothing left to take back: undo goes on to the note before.
    return dead | {one.identity for one in window if one.kind == "withdrawn"}


def within_reach(conn: Connection, collection_id: int, text: str, view: View) -> View:
    """Return the view with what a fix by its day is about, where that is older than the events at hand."""
    day = day_meant(text, view)
    if day is None or (view.recent and min(one.happened_on for one in view.recent) < day):
        return view
    tail = carelog.load_tail(conn, collection_id, carelog.last_sequence(conn, collection_id), day - _DAY)
    return replace(view, recent=counting(tail))


def events_of(
    conn: Connection, collection_id: int, refs: Iterable[Ref], first: date, last: date, *, alone: bool = False
) -> list[CareEvent]:
    """Return the events that count today about some things (none named: all), from one day to another, in order.

    `alone` is for who does not ask what else each was about: it comes with the refs of these things at least.
    """
    wanted = {(one.kind, one.key) for one in refs}
    if not wanted:
        found = carelog.load_tail(conn, collection_id, carelog.last_sequence(conn, collection_id), first - _DAY)
        return [one for one in effective(found) if first <= one.happened_on <= last]
    named = {one.identity: one for kind, key in wanted for one in carelog.by_ref(conn, collection_id, kind, key, alone=alone)}
    # A correction may have brought an entry here before anything else was written of it.
    log = effective(carelog.in_order([*named.values(), *carelog.corrections(conn, collection_id)]))
    about = (one for one in log if wanted & {(ref.kind, ref.key) for ref in one.refs})
    return [one for one in about if first <= one.happened_on <= last]
