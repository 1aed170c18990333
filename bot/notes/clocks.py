"""Times of the day in a plan: "at 18:00", "6 pm", "half past 7", "tonight at 9"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from bot.notes.items import Item
from bot.notes.talk import Talk

_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2}))?(?:\s*o'?clock)?\s*(am|pm)?")
_PAST = re.compile(r"(half|quarter) past (\d{1,2})")
_AT = frozenset(("at", "by", "@", "around", "about"))
_LATE = frozenset(("tonight", "this evening", "tonite", "eve", "this afternoon"))
FIRST_HOUR = 7  # "at 6" without am is the evening: nobody asks to be told at six in the morning (project default)


def at_its_time(due: date | datetime | None, items: Sequence[Item], talk: Talk) -> date | datetime | None:
    """Return the moment of a plan, where the note names a time of the day; a time alone is the next one to come."""
    if isinstance(due, datetime):
        return due
    found = _named(items)
    if found is None:
        return due
    at, one = found
    one.used = True
    if due is not None:
        return datetime.combine(due, at)
    here = talk.now.replace(tzinfo=None)
    today = datetime.combine(talk.today, at)
    return today if today > here else today + timedelta(days=1)


def _named(items: Sequence[Item]) -> tuple[time, Item] | None:
    late = any(one.family == "date" and one.low in _LATE for one in items)
    for before, one in zip((None, *items), items, strict=False):
        if one.used:
            continue
        bare = one.family == "number" and before is not None and before.low in _AT
        if one.family == "clock" or (bare and (late or items[0].family == "remind")):
            at = _time(" ".join(one.low.split()).replace("o' clock", "o'clock"), late)
            if at is not None:
                return at, one
    return None


def _time(said: str, late: bool) -> time | None:
    past, plain = _PAST.fullmatch(said), _CLOCK.fullmatch(said)
    if past:
        hour, minute, half = int(past[2]), 30 if past[1] == "half" else 15, ""
    elif plain:
        hour, minute, half = int(plain[1]), int(plain[2] or 0), plain[3] or ""
    else:
        return None
    written = bool(plain and plain[2] and len(plain[1]) == 2)
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif hour < 12 and not written and (late or hour < FIRST_HOUR):
        hour += 12
    return time(hour, minute) if hour <= 23 and minute <= 59 else None
