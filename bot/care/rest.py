"""Rest and restart: from daylength, its trend and the night minimum, inside the months of the genus.

No source gives a daylength threshold; the values map the dates that growers at 51 to 52 N name to daylength there. A
window only opens a look for the plant's own sign: "papery leaves", "buds", "new growth". Where rows disagree the order is
grower, plant, genus, class.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache, lru_cache
from typing import Any, Literal, NamedTuple

from bot.care.daylength import civil_daylength, daylength_trend
from bot.care.genera import GenusRow, GrowthClass
from bot.care.sources import COMMON_PRACTICE, PROJECT_DEFAULT, Reason, Trust

RESTART_DAYLENGTH_H = 12.0
SUMMER_STOP_DAYLENGTH_H = 11.0
SUMMER_NIGHT_C = 6.0
TROPICAL_STOP_DAYLENGTH_H = 12.0
TROPICAL_NIGHT_C = 13.0
WINTER_RESTART_DAYLENGTH_H = 13.3
WINTER_RESTART_NIGHT_C = 16.0
WINTER_STOP_DAYLENGTH_H = 14.0
WINTER_STOP_NIGHT_C = 12.0
WINTER_SLOW_DAYLENGTH_H = 9.0
CONOPHYTUM_NIGHT_C = 15.0
WITHOUT_NIGHTS_MARGIN_DAYS = 21
EQUATORIAL_DEG = 8.0
SEARCH_DAYS = 400

_CLASS_RULE = Trust("common practice", "growers' dates at 51 to 52 N mapped to daylength there")
TRUST = {
    "RESTART_DAYLENGTH_H": _CLASS_RULE,
    "SUMMER_STOP_DAYLENGTH_H": _CLASS_RULE,
    "SUMMER_NIGHT_C": _CLASS_RULE,
    "TROPICAL_STOP_DAYLENGTH_H": _CLASS_RULE,
    "TROPICAL_NIGHT_C": _CLASS_RULE,
    "WINTER_RESTART_DAYLENGTH_H": _CLASS_RULE,
    "WINTER_RESTART_NIGHT_C": _CLASS_RULE,
    "WINTER_STOP_DAYLENGTH_H": _CLASS_RULE,
    "WINTER_STOP_NIGHT_C": _CLASS_RULE,
    "WINTER_SLOW_DAYLENGTH_H": Trust("published", "winter growers stall in midwinter: D. Greenaway, BCSS Oxford branch"),
    "CONOPHYTUM_NIGHT_C": Trust("published", "T. Smale, Growing Conophytum: only when nights fall below 15 C"),
    "WITHOUT_NIGHTS_MARGIN_DAYS": PROJECT_DEFAULT,
    "EQUATORIAL_DEG": Trust("derived", "below 8 degrees the longest and shortest day differ by less than an hour"),
    "SEARCH_DAYS": PROJECT_DEFAULT,
}

Nights = Callable[[date], float | None]
Phase = Literal["growth", "slow", "rest"]
Water = Literal["normal", "light", "none"]

_SOME_WATER = re.compile(r"light water|sparingly")


@dataclass(frozen=True, slots=True)
class RestState:
    """How a plant stands in its year on a day.

    `water` is how much its phase allows; `feed` whether it may be fed (in growth only). `restart_from` is the day on which
    the look for `sign` opens, `rest_from` the day on which rest should begin; each holds for the next such day, with
    `margin_days` either way where no night minimum is known. `sign_first` allows no water before the sign was seen this
    season (Lithops: the old pair papery). `unsure` asks the grower.
    """

    phase: Phase
    water: Water
    feed: bool
    restart_from: date | None
    rest_from: date | None
    sign: str
    sign_first: bool
    margin_days: int
    unsure: bool
    reason: Reason


class KnownYear(NamedTuple):
    """Whether a kind of plants rests on a day, when that changes, and the day that decided it."""

    resting: bool
    changes_on: date | None
    decided_on: date | None

    def holds_on(self, day: date) -> bool:
        """Whether it is what a walk to a later day would come to: nothing changes before, and the same day decides."""
        decided = self.decided_on is not None and (day - self.decided_on).days < SEARCH_DAYS
        return decided and self.changes_on is not None and day < self.changes_on


Years = dict[Any, KnownYear]


@lru_cache(maxsize=65536)  # asked of every day of a year for each genus, whatever the place
def restart_opens(growth_class: GrowthClass, day: date, latitude: float, night_c: float | None) -> bool:
    """Whether the class rule lets growth start on this day. An epiphyte has no dry rest to end."""
    hours, trend = civil_daylength(latitude, day), daylength_trend(latitude, day)
    if growth_class == "epiphyte":
        return True
    if growth_class == "winter":
        cool = night_c is None or night_c <= WINTER_RESTART_NIGHT_C
        return trend == "falling" and hours <= WINTER_RESTART_DAYLENGTH_H and cool
    least_night = TROPICAL_NIGHT_C if growth_class == "tropical" else SUMMER_NIGHT_C
    # Cold springs may open the window after the solstice; only without a night minimum must the days be growing.
    warm = trend == "rising" if night_c is None else night_c >= least_night
    return hours >= RESTART_DAYLENGTH_H and warm


@lru_cache(maxsize=65536)
def rest_due(growth_class: GrowthClass, day: date, latitude: float, night_c: float | None) -> bool:
    """Whether the class rule asks for rest on this day."""
    hours, trend = civil_daylength(latitude, day), daylength_trend(latitude, day)
    if growth_class == "epiphyte":
        return False
    if growth_class == "winter":
        warm = night_c is None or night_c >= WINTER_STOP_NIGHT_C
        return trend == "rising" and hours >= WINTER_STOP_DAYLENGTH_H and warm
    tropical = growth_class == "tropical"
    stop_h = TROPICAL_STOP_DAYLENGTH_H if tropical else SUMMER_STOP_DAYLENGTH_H
    cold = night_c is not None and night_c < (TROPICAL_NIGHT_C if tropical else SUMMER_NIGHT_C)
    return trend == "falling" and (hours <= stop_h or cold)


def next_restart(growth_class: GrowthClass, latitude: float, nights: Nights, search_from: date) -> date | None:
    """First day from `search_from` on which the class rule lets growth start; None within 400 days."""
    return next((day for day in _days(search_from) if restart_opens(growth_class, day, latitude, nights(day))), None)


def next_stop(growth_class: GrowthClass, latitude: float, nights: Nights, search_from: date) -> date | None:
    """First day from `search_from` on which the class rule asks for rest; None within 400 days."""
    return next((day for day in _days(search_from) if rest_due(growth_class, day, latitude, nights(day))), None)


def rest_state(
    day: date,
    latitude: float,
    nights: Nights,
    row: GenusRow | None = None,
    growth_class: GrowthClass | None = None,
    rest_months: frozenset[int] | None = None,
    years: Years | None = None,
) -> RestState:
    """How a plant of a genus stands on a day, and what comes next.

    `growth_class` and `rest_months` are the grower's own word, in the months of the place, and overrule the row: rest then
    holds in just these months. Without a row the class rule stands alone, `summer` where no class is given, and the state
    is unsure. `years` keeps, for one latitude and these `nights`, what genera of the same months share.
    """
    kind = growth_class or (row.growth_class if row else "summer")
    months, unsure = _months_that_hold(row, growth_class, rest_months, kind, latitude)
    year = _Year(kind, row, months, latitude, nights, strict=rest_months is not None)
    resting, changes_on = year.now_and_next(day) if years is None else year.known_in(years, day)
    phase = year.phase(day, resting=resting)
    dry = row is None or (row.rest_water.startswith("dry") and not _SOME_WATER.search(row.rest_water))
    water: Water = "normal" if phase == "growth" else "light" if phase == "slow" or not dry else "none"
    night_c = nights(day)
    facts = {"class": kind, "confidence": row.confidence if row else "", "night_c": night_c, "genus": row.genus if row else ""}
    hours = civil_daylength(latitude, day)
    return RestState(
        phase=phase,
        water=water,
        feed=phase == "growth",
        restart_from=changes_on if resting else None,
        rest_from=None if resting else changes_on,
        sign=row.restart_cue_at(latitude) if row else "",
        sign_first=kind == "leaf-exchanging",
        margin_days=WITHOUT_NIGHTS_MARGIN_DAYS if night_c is None else 0,
        unsure=unsure,
        reason=Reason("daylength", hours, RESTART_DAYLENGTH_H, "h", None, COMMON_PRACTICE if row else _CLASS_RULE, facts),
    )


def midrest_look(rest_from: date, restart_from: date) -> date:
    """The day of the one look in the middle of a rest that tells normal shrinkage (firm, a little smaller) from trouble."""
    return rest_from + (restart_from - rest_from) / 2


def _months_that_hold(
    row: GenusRow | None,
    grower_class: GrowthClass | None,
    grower_months: frozenset[int] | None,
    kind: GrowthClass,
    latitude: float,
) -> tuple[frozenset[int] | None, bool]:
    """Months of rest that hold, or None where the class rule stands alone; and whether to ask the grower."""
    if grower_months is not None:
        return grower_months, False
    if row is None or grower_class is not None:
        return None, grower_class is None
    # The class rules know no spring-and-autumn grower, and near the equator no season: there even a weak row says more.
    if not row.unsure or kind == "opportunistic" or abs(latitude) < EQUATORIAL_DEG:
        return row.rest_months(latitude), row.unsure
    return None, True


@dataclass(frozen=True, slots=True)
class _Year:
    """The year of one kind of plant at one place, walked forward from a day on which its state is certain."""

    kind: GrowthClass
    row: GenusRow | None
    months: frozenset[int] | None
    latitude: float
    nights: Nights
    strict: bool = False  # the months are the grower's own: no class rule opens them early or keeps them on

    def phase(self, day: date, *, resting: bool) -> Phase:
        if resting:
            return "rest"
        slow = self.row is not None and day.month in self.row.slow_months(self.latitude)
        midwinter = self.kind == "winter" and civil_daylength(self.latitude, day) < WINTER_SLOW_DAYLENGTH_H
        night_c = self.nights(day)
        cold = self.kind == "tropical" and night_c is not None and night_c < TROPICAL_NIGHT_C
        return "slow" if slow or midwinter or cold else "growth"

    def known_in(self, years: Years, day: date) -> tuple[bool, date | None]:
        """Return `now_and_next`, kept in `years` by all that it hangs on besides latitude and nights.

        Where the day before is known, nothing is walked: its state holds until the change that was found for it.
        """
        kind = (self.kind, self.months, self.strict, self._is_conophytum())
        if (kind, day) not in years:
            before = years.get((kind, day - timedelta(days=1)))
            if before is not None and before.holds_on(day):
                years[kind, day] = before
            else:
                years[kind, day] = KnownYear(*self.now_and_next(day), self._decided(day))
        known = years[kind, day]
        return known.resting, known.changes_on

    def _is_conophytum(self) -> bool:
        return self.row is not None and self.row.genus == "Conophytum" and self.months is not None

    def now_and_next(self, day: date) -> tuple[bool, date | None]:
        """Whether it rests on a day, and the first later day on which that changes."""
        resting_now: bool | None = None
        for then, resting in self._walk(day):
            if then == day:
                resting_now = resting
            elif resting_now is not None and resting is not resting_now:
                return resting_now, then
        assert resting_now is not None
        return resting_now, None

    def _walk(self, day: date) -> Iterator[tuple[date, bool]]:
        resting = False
        for then in _days(self._anchor(day), 2 * SEARCH_DAYS):
            if then > day + timedelta(days=SEARCH_DAYS):
                return
            resting = self._after(then, resting)
            yield then, resting

    def _anchor(self, day: date) -> date:
        return self._decided(day) or day

    def _decided(self, day: date) -> date | None:
        """The latest day that decides without what came before it, as far back as is looked."""
        back = (day - timedelta(days=n) for n in range(SEARCH_DAYS))
        decides = self._speaks if self.months is None else self._holds_in_months
        return next((then for then in back if decides(then)), None)

    def _speaks(self, day: date) -> bool:
        return self._open(day) or rest_due(self.kind, day, self.latitude, self.nights(day))

    def _after(self, day: date, resting: bool) -> bool:
        if self.months is None:
            if self._open(day):
                return False
            return resting or rest_due(self.kind, day, self.latitude, self.nights(day))
        if self._holds_in_months(day):
            return True
        return not self.strict and resting and not self._open(day)

    def _holds_in_months(self, day: date) -> bool:
        return day.month in _holding(self.months or frozenset(), self.kind, self.strict)

    def _open(self, day: date) -> bool:
        night_c = self.nights(day)
        if self._is_conophytum():
            late = day.month not in (self.months or ()) or day.day >= 15
            return late and (night_c is None or night_c < CONOPHYTUM_NIGHT_C)
        if self.kind == "opportunistic":
            return night_c is None or night_c >= SUMMER_NIGHT_C
        return restart_opens(self.kind, day, self.latitude, night_c)


@cache
def _holding(months: frozenset[int], kind: GrowthClass, strict: bool) -> frozenset[int]:
    """Return the months of rest but for the last of each run: there the class rule may already open the look."""
    if strict or kind == "epiphyte":
        return months
    return frozenset(one for one in months if (one - 2) % 12 + 1 not in months or one % 12 + 1 in months)


def _days(start: date, count: int = SEARCH_DAYS) -> Iterator[date]:
    return (start + timedelta(days=n) for n in range(count))
