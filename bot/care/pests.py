"""Pests by degree-days: what a finding means for the next look, the next treatment, the all-clear and quarantine.

Rows of stages and intervals come from `pests.csv`, each with its own source. Days are counted so: day 0 is the treatment
or the find, whole days count from day 1; re-treatment and all-clear are the first day on which the sum reaches its
target, the latest treatment is the last day on which it has not passed it. Looks are early (the low end of a pest's
range), the all-clear is late (the high end), so that doubt never clears a plant.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from bot.care.climate import DayTemperature, Kind
from bot.care.degreedays import degree_days
from bot.care.dormancy import mites_may_be_dormant
from bot.care.pest_rows import PestIntervals, PestRow, Stage, pest_row, pest_rows
from bot.care.sources import COMMON_PRACTICE, PROJECT_DEFAULT, Reason, Trust

__all__ = [
    "PestIntervals",
    "PestRow",
    "QuarantineRelease",
    "Reinspection",
    "Stage",
    "course_works",
    "may_be_cleared",
    "mites_may_be_dormant",
    "pest_row",
    "pest_rows",
    "possible_share",
    "quarantine_release",
    "reinspection",
    "released_on_inspection",
]

HORIZON_DAYS = 120
COLD_CAP_DAYS = 28
WARM_CAP_DAYS = 7
WARM_MEAN_C = 18.0
STANDSTILL_DD = 1.0
SURVIVOR_LOOK_DAYS = (2, 3)
PLAIN_LOOK_DAYS = (7, 14)
CLEAN_LOOKS = 2
CLEAN_LOOKS_APART_DAYS = 14
RULE_OF_THREE = 3.0
EXPECTED_CONTROL = 0.5
QUARANTINE_DAYS = 42
QUARANTINE_DD = 500.0
QUARANTINE_BASE_C = 8.0
QUARANTINE_UPPER_C = 30.0

_INSPECTION = Trust("common practice", "inspection at least every 28 days, weekly in warmth; values a project default")
TRUST = {
    "HORIZON_DAYS": PROJECT_DEFAULT,
    "COLD_CAP_DAYS": _INSPECTION,
    "WARM_CAP_DAYS": _INSPECTION,
    "WARM_MEAN_C": _INSPECTION,
    "STANDSTILL_DD": PROJECT_DEFAULT,
    "SURVIVOR_LOOK_DAYS": Trust("published", "University of Kentucky extension, spider mite page: one spray gives 50-60 %"),
    "PLAIN_LOOK_DAYS": COMMON_PRACTICE,
    "CLEAN_LOOKS": PROJECT_DEFAULT,
    "CLEAN_LOOKS_APART_DAYS": PROJECT_DEFAULT,
    "RULE_OF_THREE": Trust("from memory", "the rule of three: Hanley & Lippman-Hand 1983, JAMA 249:1743-1745"),
    "EXPECTED_CONTROL": Trust("published", "University of Kentucky extension, spider mite page: one spray gives 50-60 %"),
    "QUARANTINE_DAYS": Trust("common practice", "the six-week rule"),
    "QUARANTINE_DD": Trust("project default", "the six-week rule at 20 C above the mealybugs' 8 C"),
    "QUARANTINE_BASE_C": Trust("derived", "base of the citrus mealybug, pests.csv"),
    "QUARANTINE_UPPER_C": Trust("derived", "upper threshold of the citrus mealybug, pests.csv"),
}

Temperatures = Callable[[date], DayTemperature]


@dataclass(frozen=True, slots=True)
class Reinspection:
    """What follows from a find or a treatment on `day0`. Dates are None where none can be promised.

    `counted_from` is the day after which the sum runs: `day0`, or the end of a mite dormancy since. `next_look_on` is the
    earliest look due after the last one. `retreat_on` .. `latest_on` is the window of the next treatment, `early_look_on`
    where it may open at the low end of the pest's range. `clear_on` is the table's all-clear, `all_clear_on` the late one
    that is promised. `sum_dd` has been reached by today, `target_dd` comes next. `late` says that the latest treatment has
    passed, `cold` that warmth is too slight for a date, `dormant` that mites may be in diapause and a clean look proves
    nothing, `wakes_on` when that should end. `night_look` asks for a torch after dark (vine weevil). `kinds` counts the days
    behind the dates by how their warmth is known.
    """

    pest: str
    day0: date
    counted_from: date
    survivors_look: tuple[date, date] | None
    next_look_on: date
    early_look_on: date | None
    retreat_on: date | None
    latest_on: date | None
    clear_on: date | None
    all_clear_on: date | None
    sum_dd: float
    target_dd: float | None
    base_c: float | None
    trade_days: tuple[int, int] | None
    look_cap_days: int
    late: bool
    cold: bool
    dormant: bool
    wakes_on: date | None
    unsure: bool
    kinds: Mapping[Kind, int]
    reason: Reason
    sources: tuple[str, ...] = ()
    night_look: bool = False


@dataclass(frozen=True, slots=True)
class QuarantineRelease:
    """When isolation that began on `start` may end: the later of the days and the degree-days, and a look at the roots.

    `release_on` is None where the degree-days lie further away than can be promised; the way out is then a look with the
    pot off. `inspection_only_allowed` is False after a mite find while mites may be dormant.
    """

    start: date
    days_done_on: date
    warmth_done_on: date | None
    release_on: date | None
    sum_dd: float
    target_dd: float
    root_look_needed: bool
    inspection_only_allowed: bool
    kinds: Mapping[Kind, int]
    reason: Reason


@dataclass(frozen=True, slots=True)
class _Count:
    """One target of a running sum: the first day that reaches it and the last day that has not passed it."""

    reached_on: date | None
    within_until: date | None


@dataclass
class _Tally:
    """Days already asked for, so that each day's warmth is fetched once and counted by kind."""

    temperatures: Temperatures
    days: dict[date, DayTemperature] = field(default_factory=dict)

    def on(self, day: date) -> DayTemperature:
        if day not in self.days:
            self.days[day] = self.temperatures(day)
        return self.days[day]

    def kinds(self, after: date, until: date) -> dict[Kind, int]:
        return dict(Counter(known.kind for day, known in sorted(self.days.items()) if after < day <= until))

    def sum_dd(self, after: date, until: date, base_c: float, upper_c: float | None) -> float:
        return sum(self._one(after + timedelta(days=n), base_c, upper_c) for n in range(1, (until - after).days + 1))

    def _one(self, day: date, base_c: float, upper_c: float | None) -> float:
        known = self.on(day)
        return degree_days(known.min_c, known.max_c, base_c, upper_c)

    def count(self, after: date, target_dd: float, base_c: float, upper_c: float | None, until: date) -> _Count:
        """Add day by day. Sums meet their target within a rounding error, as 10 days of 13 meet 130."""
        total, day = 0.0, after
        within: date | None = after
        while day < until:
            day += timedelta(days=1)
            total += self._one(day, base_c, upper_c)
            if total <= target_dd + 1e-9:
                within = day
            if total >= target_dd - 1e-9:
                if total <= target_dd + 1e-9:
                    within = self._last_still_within(day, total, target_dd, base_c, upper_c, until)
                return _Count(day, within)
        return _Count(None, None)

    def _last_still_within(
        self, day: date, total: float, target_dd: float, base_c: float, upper_c: float | None, until: date
    ) -> date:
        while day < until and total + self._one(day + timedelta(days=1), base_c, upper_c) <= target_dd + 1e-9:
            day += timedelta(days=1)
        return day


def reinspection(
    row: PestRow | None,
    day0: date,
    temperatures: Temperatures,
    today: date,
    *,
    sprayed: bool = True,
    last_look: date | None = None,
    latitude: float | None = None,
    sign: str = "",
    horizon_days: int = HORIZON_DAYS,
) -> Reinspection:
    """What is due after a find or a treatment on `day0`, seen from `today`.

    `temperatures` gives any day's warmth, past or to come. `last_look` is the latest look since (default `day0`),
    `latitude` lets mites be dormant. Without a row, or with one that has no intervals, plain looks follow.
    """
    if row is None or row.intervals is None:
        return _plain_looks(row, sign, day0, today, sprayed=sprayed, last_look=last_look)
    tally = _Tally(temperatures)
    dormant, counted_from, wakes_on = _dormancy(row.key, day0, today, latitude, tally)
    start = max(day0, counted_from)
    limit = max(today, start) + timedelta(days=horizon_days)
    now = row.intervals
    early = tally.count(start, now.early_retreat_dd, now.early_base_c, now.upper_c, limit).reached_on
    retreat = tally.count(start, now.retreat_dd, now.base_c, now.upper_c, limit).reached_on
    latest = tally.count(start, now.latest_dd, now.base_c, now.upper_c, limit).within_until
    clear = tally.count(start, now.clear_dd, now.base_c, now.upper_c, limit).reached_on
    late_clear = tally.count(start, now.late_clear_dd, now.late_base_c, now.upper_c, limit).reached_on
    cold = _stands_still(tally, now, max(today, start))
    if dormant or cold:
        early, retreat, latest, clear, late_clear = (_near(day, today) for day in (early, retreat, latest, clear, late_clear))
    survivors = _survivors_look(day0) if sprayed else None
    cap = _look_cap(tally, today)
    seen = last_look or day0
    looks = [survivors[0] if survivors else None, early, retreat, latest, clear, late_clear, wakes_on]
    sum_dd = tally.sum_dd(start, today, now.base_c, now.upper_c)
    target = _next_target(sum_dd, now)
    until = next((day for day in (late_clear, clear, latest, retreat) if day), today)
    return Reinspection(
        pest=row.key,
        day0=day0,
        counted_from=start,
        survivors_look=survivors,
        next_look_on=min([day for day in looks if day and day > seen] + [seen + timedelta(days=cap)]),
        early_look_on=early,
        retreat_on=retreat,
        latest_on=latest,
        clear_on=clear,
        all_clear_on=None if dormant else late_clear,
        sum_dd=sum_dd,
        target_dd=target,
        base_c=now.base_c,
        trade_days=now.trade_days,
        look_cap_days=cap,
        late=latest is not None and today > latest,
        cold=cold,
        dormant=dormant,
        wakes_on=wakes_on,
        unsure=row.unsure,
        kinds=tally.kinds(start, until),
        reason=_degree_day_reason(row, sum_dd, target),
        sources=row.sources,
    )


def may_be_cleared(state: Reinspection, clean_looks: Sequence[date], today: date) -> bool:
    """Whether a case may be closed: two clean looks since day 0, no dormancy, and the late all-clear has come.

    Where no date could be promised: once it is warm again, with the two looks at least 14 days apart.
    """
    looks = sorted({day for day in clean_looks if state.day0 < day <= today})
    if state.dormant or len(looks) < CLEAN_LOOKS:
        return False
    if state.all_clear_on is not None:
        return today >= state.all_clear_on
    if state.base_c is not None and state.cold:
        return False
    return looks[-1] - looks[0] >= timedelta(days=CLEAN_LOOKS_APART_DAYS) and state.base_c is not None


def quarantine_release(
    start: date,
    temperatures: Temperatures,
    today: date,
    *,
    roots_seen: bool = False,
    mite_find: bool = False,
    latitude: float | None = None,
    horizon_days: int = HORIZON_DAYS,
) -> QuarantineRelease:
    """Release from isolation: the later of 42 days and 500 degree-days above 8 C, and a look at the roots.

    A find restarts all that stood together: call again with that day as `start`.
    """
    tally = _Tally(temperatures)
    limit = max(today, start) + timedelta(days=horizon_days)
    warm = tally.count(start, QUARANTINE_DD, QUARANTINE_BASE_C, QUARANTINE_UPPER_C, limit).reached_on
    days_done = start + timedelta(days=QUARANTINE_DAYS)
    sum_dd = tally.sum_dd(start, max(today, start), QUARANTINE_BASE_C, QUARANTINE_UPPER_C)
    dormant = mite_find and mites_may_be_dormant(today, latitude, tally.on(today))
    return QuarantineRelease(
        start=start,
        days_done_on=days_done,
        warmth_done_on=warm,
        release_on=max(warm, days_done) if warm else None,
        sum_dd=sum_dd,
        target_dd=QUARANTINE_DD,
        root_look_needed=not roots_seen,
        inspection_only_allowed=not dormant,
        kinds=tally.kinds(start, warm or today),
        reason=Reason(
            "degree-days",
            sum_dd,
            QUARANTINE_DD,
            "degree-days",
            QUARANTINE_BASE_C,
            TRUST["QUARANTINE_DD"],
            {"days": max(0, (today - start).days), "days_target": QUARANTINE_DAYS},
        ),
    )


def released_on_inspection(clean_root_looks: Sequence[date]) -> date | None:
    """The day that unpotted or washed plants, clean at two looks at least 14 days apart, may leave isolation early."""
    looks = sorted(set(clean_root_looks))
    apart = timedelta(days=CLEAN_LOOKS_APART_DAYS)
    return next((day for day in looks if day - looks[0] >= apart), None)


def possible_share(clear_in_sample: int) -> float:
    """Largest share (0 to 1, 95 %) that may still be infested when so many looked at were all clear: 3/n.

    Raises ValueError for an empty sample.
    """
    if clear_in_sample < 1:
        raise ValueError("a sample holds at least one plant")
    return min(1.0, RULE_OF_THREE / clear_in_sample)


def course_works(counts: Sequence[int]) -> bool | None:
    """Whether a course of treatments works, from the counts at its looks in order; None while that cannot be told.

    One soap spray is expected to take about half: a course works while the last count is at most half the first.
    """
    if len(counts) < 2 or counts[0] == 0:
        return None
    return counts[-1] <= (1 - EXPECTED_CONTROL) * counts[0]


def _survivors_look(day0: date) -> tuple[date, date]:
    first, last = SURVIVOR_LOOK_DAYS
    return day0 + timedelta(days=first), day0 + timedelta(days=last)


def _near(day: date | None, today: date) -> date | None:
    """A date while warmth stands still: kept where it is past or within the cold cap, else no date months away."""
    return day if day and day <= today + timedelta(days=COLD_CAP_DAYS) else None


def _stands_still(tally: _Tally, now: PestIntervals, today: date) -> bool:
    ahead = tally.sum_dd(today, today + timedelta(days=COLD_CAP_DAYS), now.base_c, now.upper_c)
    return ahead / COLD_CAP_DAYS < STANDSTILL_DD


def _look_cap(tally: _Tally, today: date) -> int:
    week = [tally.on(today + timedelta(days=n)).mean_c for n in range(7)]
    return WARM_CAP_DAYS if sum(week) / len(week) > WARM_MEAN_C else COLD_CAP_DAYS


def _next_target(sum_dd: float, now: PestIntervals) -> float:
    return next((target for target in (now.retreat_dd, now.clear_dd) if sum_dd < target), now.clear_dd)


def _dormancy(key: str, day0: date, today: date, latitude: float | None, tally: _Tally) -> tuple[bool, date, date | None]:
    """Whether mites may be dormant today, the day after which warmth counts, and the day they should wake or have woken."""
    if key != "spider_mite" or latitude is None:
        return False, day0, None
    span = range((today - day0).days + 1)
    asleep = [day for day in (day0 + timedelta(days=n) for n in span) if _asleep(day, latitude, tally)]
    if not asleep:
        return False, day0, None
    # One warm night in autumn does not wake mites: they sleep until a week has passed without the signs of rest.
    if today - asleep[-1] > timedelta(days=7):
        woke = asleep[-1] + timedelta(days=1)
        return False, woke, woke
    ahead = (today + timedelta(days=n) for n in range(1, 366))
    return True, today, next((day for day in ahead if not _asleep(day, latitude, tally)), None)


def _asleep(day: date, latitude: float, tally: _Tally) -> bool:
    return mites_may_be_dormant(day, latitude, tally.on(day))


def _plain_looks(
    row: PestRow | None, sign: str, day0: date, today: date, *, sprayed: bool, last_look: date | None
) -> Reinspection:
    first, second = (day0 + timedelta(days=days) for days in PLAIN_LOOK_DAYS)
    seen = last_look or day0
    survivors = _survivors_look(day0) if sprayed else None
    looks = [day for day in (survivors[0] if survivors else None, first, second) if day and day > seen]
    return Reinspection(
        pest=row.key if row else sign,
        day0=day0,
        counted_from=day0,
        survivors_look=survivors,
        next_look_on=min(looks, default=seen + timedelta(days=COLD_CAP_DAYS)),
        early_look_on=first,
        retreat_on=None,
        latest_on=None,
        clear_on=None,
        all_clear_on=second,
        sum_dd=0.0,
        target_dd=None,
        base_c=None,
        trade_days=PLAIN_LOOK_DAYS,
        look_cap_days=COLD_CAP_DAYS,
        late=False,
        cold=False,
        dormant=False,
        wakes_on=None,
        unsure=True,
        kinds={},
        reason=Reason("days", float((today - day0).days), float(PLAIN_LOOK_DAYS[1]), "days", None, TRUST["PLAIN_LOOK_DAYS"]),
        sources=row.sources if row else (),
        night_look=row is not None and row.key == "vine_weevil",
    )


def _degree_day_reason(row: PestRow, sum_dd: float, target_dd: float) -> Reason:
    assert row.intervals is not None
    egg = row.stages[0]
    facts = {"pest": row.key, "confidence": egg.confidence, "retreat_dd": row.intervals.retreat_dd}
    trust = Trust("derived", egg.source) if egg.source else PROJECT_DEFAULT
    return Reason("degree-days", sum_dd, target_dd, "degree-days", row.intervals.base_c, trust, facts)
