"""A course of treatments: how many were given, how many are meant, when the next one is due, and whether it works."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from bot.care.pests import PLAIN_LOOK_DAYS, Reinspection, course_works
from bot.care.standing import Case


@dataclass(frozen=True, slots=True)
class Course:
    """So many treatments of a course done, of `total` (None where nobody said how many)."""

    done: int
    total: int | None

    @property
    def open(self) -> bool:
        """Whether more are to come, by the grower's own count."""
        return self.total is not None and self.done < self.total


def course_of(case: Case) -> Course:
    """Return how far the course of a case has come: as the grower numbered it, and counted on where a number was left out."""
    done, total = 0, None
    for one in case.treatments:
        number, _, of = str(one.get("course", "")).partition("/")
        done = int(number) if number.isdigit() else done + 1
        total = int(of) if of.isdigit() else total
    return Course(done, max(total, done) if total is not None else None)


def next_treatment(case: Case, state: Reinspection) -> tuple[date, date] | None:
    """Return the first and the last day for the next treatment of an open course; None where it is over or no date is sure.

    The window of the pest's degree-days, opening at the early end of its range; the trade's 7 to 14 days for others.
    """
    if not course_of(case).open:
        return None
    if state.base_c is None:
        first, last = (case.day0 + timedelta(days=days) for days in PLAIN_LOOK_DAYS)
        return first, last
    first_on = state.early_look_on or state.retreat_on
    if first_on is None or state.latest_on is None:
        return None
    return first_on, max(first_on, state.latest_on)


def repeated(case: Case) -> Mapping[str, Any]:
    """Return the facts of the next treatment, were it like the last one: how, product, and its number in the course."""
    course, last = course_of(case), case.treatments[-1]
    facts = {key: last[key] for key in ("how", "product", "dose") if key in last}
    return facts | {"course": f"{course.done + 1}/{course.total}"}


def works(case: Case) -> bool | None:
    """Return whether the treatment of a case works; None while that cannot be told.

    By the counts where there are two, the first of them before or at the first treatment; else by what the looks after the
    last treatment found.
    """
    if not case.treatments:
        return None
    verdict = course_works([count for _, count in case.counts])
    if verdict is not None:
        return verdict
    treated = case.treatments[-1]["on"]
    if any(day > treated for day in case.finds):
        return False
    return True if len([day for day in case.clean_looks if day > treated]) > 1 else None
