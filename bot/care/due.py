"""What is due: computed anew from the standing, the temperatures and the day, and what the grower said of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from bot.care.due_health import health_due
from bot.care.due_rest import rest_due
from bot.care.due_stock import stock_due
from bot.care.due_values import Due, Setting
from bot.care.due_water import water_due
from bot.care.sources import PROJECT_DEFAULT
from bot.care.standing import Standing

VERSION = 8  # raised whenever the same log may give other dates: old rows are then computed anew


def all_due(standing: Standing, setting: Setting) -> list[Due]:
    """Return everything that is due or will be, in the order of its first day, each key once."""
    found: dict[str, Due] = {}
    for due in _computed(standing, setting):
        kept = _as_the_grower_said(due, standing)
        if kept is not None and not lapsed(kept, setting.today):
            found.setdefault(kept.key, kept)
    return sorted(found.values(), key=lambda one: (one.on, one.place, one.kind, one.key))


def _computed(standing: Standing, setting: Setting) -> Iterator[Due]:
    yield from health_due(standing, setting)
    yield from water_due(standing, setting)
    yield from stock_due(standing, setting)
    yield from rest_due(standing, setting)


# Days after its window in which a look that nobody reported is let go: by then it is answered by the bench itself. Looks for
# pests, quarantine, the rack and what the grower asked for stay until they are done (project default).
LAPSES_AFTER_DAYS = {
    "dry_look": 0,
    "first_water": 60,
    "follow_up": 14,
    "sowing_review": 60,
    "ties_off": 60,
    "union_look": 60,
    "prick_out": 60,
    "offset_look": 14,
    "rest_end": 45,
    "rest_start": 0,
    "midrest_look": 14,
}
TRUST = {"LAPSES_AFTER_DAYS": PROJECT_DEFAULT}


def lapsed(due: Due, today: date) -> bool:
    """Whether a look is so long past that it is let go; a minute timer has rung, and its day is over with it."""
    if due.kind == "reminder" and due.why.get("at") and not due.about and not due.why.get("every_days"):
        return today > due.on
    days = LAPSES_AFTER_DAYS.get(due.kind)
    return days is not None and today > (due.until or due.on) + timedelta(days=days)


def _as_the_grower_said(due: Due, standing: Standing) -> Due | None:
    said = standing.handled.get(due.key)
    if said is None:
        return due
    if said["what"] != "later":
        return None
    until = date.fromisoformat(said["until"])
    return replace(due, on=max(due.on, until), until=max(due.until, until) if due.until else None)
