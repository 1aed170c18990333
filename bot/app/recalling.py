"""The standing after a note that corrects or reaches back a little, from how all stood before one of the last notes.

A process remembers the rows of the standing as they were before each of the newest notes, and at the end of the last days. The
rows of what did not change since are the very ones that are held now, so that this takes no more than their names. What was
noted since is folded once more, as it counts by now.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.care.accessions import remembered
from bot.care.events import CareEvent, effective, targets_of
from bot.care.fold import fold
from bot.care.partial import differing
from bot.care.standing import Rows, Standing

MOST_NOTES, MOST_DAYS = 12, 8  # before so many of the newest notes, and at the end of so many days
_FOLD = ("fold", "")


def remember(earlier: Sequence[Rows], rows: Rows) -> tuple[Rows, ...]:
    """Return what is remembered, the newest last, with the rows as they stand before a new note."""
    found = [*earlier, rows] if _FOLD in rows else list(earlier)
    ends = {one[_FOLD]["last_on"]: at for at, one in enumerate(found)}  # the newest of each last day
    kept = {*sorted(ends.values())[-MOST_DAYS:], *range(max(0, len(found) - MOST_NOTES), len(found))}
    return tuple(found[at] for at in sorted(kept))


def recalled(
    earlier: Sequence[Rows], rows: Rows, now: Standing, window: Sequence[CareEvent], news: Sequence[CareEvent]
) -> tuple[Standing, list[CareEvent]] | None:
    """Return the standing after new events, and which events count otherwise, in each form; None where nothing remembered serves.

    `rows` are those of `now`, the standing before the events; `window` the newest events of the log before them, in order.
    The standing takes over from `now` the things that did not change in between: see `Standing.give_back`.
    """
    if not window or window[-1].sequence != news[0].sequence - 1:
        return None
    for old in reversed(earlier):
        last = int(old[_FOLD]["last_sequence"])
        tail = [*(one for one in window if one.sequence > last), *news]
        if tail[0].sequence != last + 1:
            return None  # what lies between is not at hand
        counted = effective(tail)
        if _comes_after(old, tail, counted):
            standing = now.as_in(old, rows)
            for event in counted:
                fold(standing, event)
            standing.accessions = remembered(standing.accessions, tail)
            standing.last_sequence = tail[-1].sequence
            changes = differing(tail[: -len(news)], tail)
            return standing, [event for one in changes for event in one.versions()]
    return None


def _comes_after(old: Rows, tail: Sequence[CareEvent], counted: Sequence[CareEvent]) -> bool:
    """Whether nothing of the tail changes what had been folded by then, or comes before it."""
    at_hand = {one.identity for one in tail}
    inside = all(target in at_hand for one in tail for target in targets_of(one))
    return inside and all(one.happened_on >= date.fromisoformat(old[_FOLD]["last_on"]) for one in counted)


__all__ = ["recalled", "remember"]
