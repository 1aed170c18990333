"""What is due: computed anew from the standing, the temperatures and the day, and what the grower said of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from bot.care.due_health import health_due
from bot.care.due_kept import Kept
from bot.care.due_rest import rest_due, rest_group_of
from bot.care.due_stock import looks_to_come, reminders_due, stock_of
from bot.care.due_values import Due, Setting, Share
from bot.care.due_water import drying_due, learn_anew, pots_of, water_of
from bot.care.sources import PROJECT_DEFAULT
from bot.care.standing import Rows, Standing, Thing

VERSION = 8  # raised whenever the same log may give other dates: old rows are then computed anew


def all_due(standing: Standing, setting: Setting, rows: Rows | None = None) -> list[Due]:
    """Return everything that is due or will be, in the order of its first day, each key once.

    With the standing's `rows` only that is worked out whose rows have changed since the last time under this setting
    (`Setting.kept`), without them everything.
    """
    setting = replace(setting.apart(), kept=Kept()) if rows is None else setting
    kept = setting.kept
    kept.begin(rows or {}, standing.rules)
    found: dict[str, Due] = {}
    for due in _computed(standing, setting, kept):
        said = _as_the_grower_said(due, standing)
        if said is not None and not lapsed(said, setting.today):
            found.setdefault(said.key, said)
    kept.end()
    return sorted(found.values(), key=lambda one: (one.on, one.place, one.kind, one.key))


def _computed(standing: Standing, setting: Setting, kept: Kept) -> Iterator[Due]:
    yield from health_due(standing, setting, kept)
    learn_anew(standing, setting, kept)
    shares = kept.of_things(standing, lambda thing: _share(standing, thing, setting))
    yield from drying_due(standing, setting, kept, shares)
    for _, _, share in shares:
        yield from share.water
    yield from reminders_due(standing)
    for _, _, share in shares:
        yield from share.stock
    yield from rest_due(standing, setting, kept, shares)


def _share(standing: Standing, thing: Thing, setting: Setting) -> Share:
    """Return what one thing brings to what is due by itself, and the groups with which it is looked at."""
    return Share(
        tuple(water_of(standing, thing, setting)),
        tuple(stock_of(thing, setting)),
        pots_of(thing, setting),
        rest_group_of(standing, thing),
        warm=thing.bare_on is not None or bool(thing.settling),
        passing=any(looks_to_come(thing, setting.today)),
    )


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
