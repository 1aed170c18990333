"""The facts behind each picture, from the standing, the log and the computations that the due lines use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from bot.app.picture_words import QUARANTINE
from bot.app.plan import View
from bot.care.climate import DayTemperature
from bot.care.due_health import Counting, counting_of, release_of
from bot.care.due_values import Due, Setting
from bot.care.events import Ref
from bot.care.pests import QUARANTINE_BASE_C, QUARANTINE_DD, QUARANTINE_UPPER_C
from bot.care.reach import overlaps
from bot.care.standing import Case, Standing

LONGEST_BACK = timedelta(days=366)  # older days are summed, not drawn
MARGIN = timedelta(days=3)
_COUNTED = ("pest_look", "late_look", "clear_look", "survivors_look")
_QUARANTINED = ("release_look", "isolation_look")


@dataclass(frozen=True, slots=True)
class Warmth:
    """Degree-days towards a look: the due line they belong to, each day's temperatures, and the sum at the end of each day.

    `sums` begin with 0 on the day after which is counted (or with what had been reached where that is longer ago than is drawn).
    `value` is the sum of today as the due line gives it.
    """

    due: Due
    counting: Counting
    today: date
    days: tuple[tuple[date, DayTemperature], ...]
    sums: tuple[tuple[date, float], ...]
    value: float


def counted_dues(view: View, refs: Sequence[Ref] | None, signs: frozenset[str] = frozenset()) -> list[Due]:
    """Return the due lines that look for a pest or end a quarantine, of some plants or of all, the soonest first.

    `signs` leaves those of some signs alone, `QUARANTINE` among them.
    """
    found = []
    for due in view.due:
        mine = refs is None or any(overlaps(view.standing, one, ref) for one in due.refs for ref in refs)
        of = QUARANTINE if due.kind in _QUARANTINED else due.about
        if mine and due.kind in (*_COUNTED, *_QUARANTINED) and (not signs or of in signs):
            found.append(due)
    return sorted(found, key=lambda one: (one.kind in _QUARANTINED, one.on, one.key))


def warmth(view: View, due: Due) -> Warmth | None:
    """Return the degree-days towards a due look; None where it is not counted in degree-days."""
    counting = _counting(view.standing, due, view.setting)
    if counting is None:
        return None
    temperatures, today = view.setting.temperatures(due.place), view.today
    until = max(today, due.on, due.until or due.on) + MARGIN
    first = max(counting.after, today - LONGEST_BACK)
    total = counting.sum_dd(temperatures, first)
    days, sums = [(first, temperatures(first))], [(first, total)]
    day = first
    while day < until:
        day += timedelta(days=1)
        known = temperatures(day)
        total += counting.of_day(known)
        days.append((day, known))
        sums.append((day, total))
    value = counting.sum_dd(temperatures, today)
    return Warmth(due, counting, today, tuple(days), tuple(sums), min(value, counting.target_dd) if counting.early else value)


def _counting(standing: Standing, due: Due, setting: Setting) -> Counting | None:
    if due.kind in _COUNTED:
        case = case_of(standing, due)
        return counting_of(standing, case, due.kind, setting) if case and "target" in due.why else None
    thing = standing.things.get((due.refs[0].kind, due.refs[0].key))
    if thing is None or thing.isolated_on is None:
        return None
    release = release_of(standing, thing, setting)
    return Counting(release.start, QUARANTINE_DD, QUARANTINE_BASE_C, QUARANTINE_UPPER_C, early=False)


def case_of(standing: Standing, due: Due) -> Case | None:
    """Return the case that a due look belongs to."""
    return standing.cases.get(due.key.split("|")[1]) if due.key.startswith(("look|", "treat|")) else None
