"""The temperatures of a place: readings where there are any, neighbours and normals for the gaps, a labelled guess at last.

Nothing here invents silently: every day carries how it is known (`kind`), so that a date computed from it can say how much
of it was measured.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from operator import attrgetter, itemgetter
from statistics import median
from typing import Literal, NamedTuple, TypeVar

from bot.care.normals import DEFAULT_LATITUDE, MonthlyNormals, guessed_night, house_day_span, latitude_of_zone
from bot.care.sources import PROJECT_DEFAULT, Trust

__all__ = ["ClimateReading", "DayTemperature", "MonthlyNormals", "NightMinimum", "PlaceClimate", "WorkedDays", "latitude_of_zone"]

Known = TypeVar("Known")
Kind = Literal["measured", "filled", "normal", "guess", "forecast"]

SHORT_GAP_DAYS = 4
CARRY_DAYS = 2
OFFSET_READINGS = 5
OFFSET_WINDOW_DAYS = 60
OUTSIDE_TO_HOUSE_C = 2.0
NIGHT_MEDIAN_DAYS = 14
HUMIDITY_WINDOW_DAYS = 14

TRUST = {
    "SHORT_GAP_DAYS": PROJECT_DEFAULT,
    "CARRY_DAYS": PROJECT_DEFAULT,
    "OFFSET_READINGS": PROJECT_DEFAULT,
    "OFFSET_WINDOW_DAYS": PROJECT_DEFAULT,
    "OUTSIDE_TO_HOUSE_C": Trust("project default", "a closed cool house keeps about 2 C above the night outside"),
    "NIGHT_MEDIAN_DAYS": PROJECT_DEFAULT,
    "HUMIDITY_WINDOW_DAYS": PROJECT_DEFAULT,
}


@dataclass(frozen=True, slots=True)
class DayTemperature:
    """One day's minimum and maximum in Celsius, and how they are known."""

    min_c: float
    max_c: float
    kind: Kind = "measured"

    @property
    def mean_c(self) -> float:
        return (self.min_c + self.max_c) / 2


@dataclass(frozen=True, slots=True)
class ClimateReading:
    """One note of a thermometer: minimum, maximum, or both, of `day`, or since the reset on `since`.

    `at_c` is a moment's reading: it only bounds the day. `kind` is measured or forecast; `outside` says that the value
    holds outdoors and the house's offset comes on top. Raises ValueError where the minimum lies above the maximum.
    """

    day: date
    min_c: float | None = None
    max_c: float | None = None
    kind: Literal["measured", "forecast"] = "measured"
    since: date | None = None
    at_c: float | None = None
    rh_pct: float | None = None
    outside: bool = False

    def __post_init__(self) -> None:
        if self.min_c is not None and self.max_c is not None and self.min_c > self.max_c:
            raise ValueError(f"minimum {self.min_c:g} is above maximum {self.max_c:g}: swapped?")
        if self.rh_pct is not None and not 0 <= self.rh_pct <= 100:
            raise ValueError(f"humidity {self.rh_pct:g} % is outside 0 to 100")

    @property
    def of_one_day(self) -> bool:
        return self.since is None or (self.day - self.since).days <= 1


class NightMinimum(NamedTuple):
    """A smoothed night minimum in Celsius, how it is known, and how many readings stand behind it."""

    min_c: float
    kind: Kind
    readings: int


class _Bounds(NamedTuple):
    """What a day's notes say of it: extremes where noted, a moment's lowest and highest, and whether all is forecast."""

    min_c: float | None
    max_c: float | None
    low_at_c: float | None
    high_at_c: float | None
    forecast: bool


@dataclass(frozen=True, slots=True)
class WorkedDays:
    """What the readings of single days come to, for one place under the same normals and latitude.

    Each stands beside what it was made of, and holds while that is the same: ten years of readings are not looked at anew for
    one more.
    """

    bounds: dict[date, tuple[Sequence[ClimateReading], _Bounds]] = field(default_factory=dict)
    differences: dict[date, tuple[_Bounds, tuple[float, float]]] = field(default_factory=dict)  # from normals or guess


class PlaceClimate:
    """The temperatures of one place, for any day past or to come, in either hemisphere.

    `readings` in any order; `normals` are monthly means typed at setup; `latitude` feeds the guess of last resort (45 N
    where it is None); `heater_c` is the heater's set-point, a floor under everything that was not measured. `worked` is
    what an earlier climate of the place, with other readings, made of single days.
    """

    def __init__(
        self,
        readings: Iterable[ClimateReading] = (),
        normals: MonthlyNormals | None = None,
        latitude: float | None = None,
        heater_c: float | None = None,
        worked: WorkedDays | None = None,
    ) -> None:
        self._normals = normals
        self._latitude = DEFAULT_LATITUDE if latitude is None else latitude
        self._heater_c = heater_c
        self._worked = WorkedDays() if worked is None else worked
        self._periods: list[ClimateReading] = []
        self._humidity: list[tuple[date, float]] = []
        by_day: dict[date, list[ClimateReading]] = {}
        for reading in sorted(readings, key=_reading_day):
            if reading.of_one_day:
                by_day.setdefault(reading.day, []).append(reading)
            else:
                self._periods.append(reading)
            if reading.rh_pct is not None:
                self._humidity.append((reading.day, reading.rh_pct))
        self._longest = max((reading.day - _sure(reading.since) for reading in self._periods), default=timedelta(0))
        self._bounds = {day: self._bounds_of(day, noted) for day, noted in by_day.items()}
        self._both = [day for day, known in self._bounds.items() if known.min_c is not None and known.max_c is not None]
        self._nights = [day for day, known in self._bounds.items() if known.min_c is not None and not known.forecast]
        self._known: dict[date, DayTemperature] = {}
        self._smoothed: dict[date, NightMinimum | None] = {}
        self._offsets: dict[date, tuple[float, float]] | None = None  # by day, in order
        self._offset_days: list[date] = []
        self._overall: tuple[float, float] | None = None

    def on(self, day: date) -> DayTemperature:
        """The day's minimum and maximum: read, filled from neighbours, from normals, or guessed, in that order."""
        if day not in self._known:
            self._known[day] = self._work_out(day)
        return self._known[day]

    def house_offset(self, day: date) -> tuple[float, float] | None:
        """How far the place's own minima and maxima lie from normals or guess, in Celsius.

        Medians of at least five days near this one, else of all days; None with fewer than five.
        """
        differences, span = self._differences(), timedelta(days=OFFSET_WINDOW_DAYS)
        begin, end = bisect_left(self._offset_days, day - span), bisect_right(self._offset_days, day + span)
        if end - begin >= OFFSET_READINGS:
            return _medians([differences[known] for known in self._offset_days[begin:end]])
        if self._overall is None and len(differences) >= OFFSET_READINGS:
            self._overall = _medians(differences.values())
        return self._overall

    def night_minimum(self, day: date) -> NightMinimum | None:
        """Smoothed night minimum: the median of the last 14 days where at least five were read, else from the normals.

        None where neither is known: then daylength must decide alone.
        """
        if day not in self._smoothed:
            self._smoothed[day] = self._smooth(day)
        return self._smoothed[day]

    def _smooth(self, day: date) -> NightMinimum | None:
        end = bisect_right(self._nights, day)
        start = bisect_right(self._nights, day - timedelta(days=NIGHT_MEDIAN_DAYS))
        recent = [_sure(self._bounds[known].min_c) for known in self._nights[start:end]]
        if len(recent) >= OFFSET_READINGS:
            return NightMinimum(median(recent), "measured", len(recent))
        if self._normals is None:
            return None
        return NightMinimum(self._estimate(day).min_c, "normal", len(recent))

    def humidity_on(self, day: date) -> float | None:
        """Relative humidity in percent: the median of the readings within 14 days, or None."""
        span = timedelta(days=HUMIDITY_WINDOW_DAYS)
        begin = bisect_left(self._humidity, day - span, key=_day_of)
        near = [rh for _, rh in self._humidity[begin : bisect_right(self._humidity, day + span, key=_day_of)]]
        return median(near) if near else None

    def _differences(self) -> dict[date, tuple[float, float]]:
        if self._offsets is None:
            self._offset_days = [day for day in self._both if not self._bounds[day].forecast]
            self._offsets = {day: self._difference(day) for day in self._offset_days}
        return self._offsets

    def _difference(self, day: date) -> tuple[float, float]:
        held, bounds = self._worked.differences.get(day), self._bounds[day]
        if held is None or held[0] is not bounds:
            own, wide = self._pair(day), self._background(day)
            held = self._worked.differences[day] = (bounds, (own[0] - wide[0], own[1] - wide[1]))
        return held[1]

    def _bounds_of(self, day: date, noted: list[ClimateReading]) -> _Bounds:
        held = self._worked.bounds.get(day)
        if held is None or held[0] != noted:  # the very same readings are told apart at a glance
            held = self._worked.bounds[day] = (noted, self._merge(noted))
        return held[1]

    def _merge(self, noted: Sequence[ClimateReading]) -> _Bounds:
        measured = [reading for reading in noted if reading.kind == "measured" and not reading.outside]
        used = measured or noted
        lift = 0.0 if measured else OUTSIDE_TO_HOUSE_C
        lows = [reading.min_c + (lift if reading.outside else 0.0) for reading in used if reading.min_c is not None]
        highs = [reading.max_c + (lift if reading.outside else 0.0) for reading in used if reading.max_c is not None]
        moments = [reading.at_c for reading in measured if reading.at_c is not None]
        return _Bounds(
            min(lows, default=None),
            max(highs, default=None),
            min(moments, default=None),
            max(moments, default=None),
            not measured,
        )

    def _work_out(self, day: date) -> DayTemperature:
        noted = self._bounds.get(day)
        if noted and noted.min_c is not None and noted.max_c is not None:
            if not noted.forecast:
                low, high = noted.min_c, noted.max_c
                return _bounded(DayTemperature(low, max(low, high), "measured"), noted)
            return self._heated(noted.min_c, noted.max_c, "forecast")
        filled = self._between_neighbours(day) or self._estimate(day)
        filled = self._within_periods(day, filled)
        return filled if noted is None else self._half_read(filled, noted)

    def _half_read(self, filled: DayTemperature, noted: _Bounds) -> DayTemperature:
        span = filled.max_c - filled.min_c
        if noted.min_c is not None:
            filled = DayTemperature(noted.min_c, max(noted.min_c + span, filled.max_c), "filled")
        elif noted.max_c is not None:
            filled = DayTemperature(min(noted.max_c - span, filled.min_c), noted.max_c, "filled")
        if noted.forecast:
            return self._heated(filled.min_c, filled.max_c, "forecast")
        return _bounded(filled, noted)

    def _between_neighbours(self, day: date) -> DayTemperature | None:
        place = bisect_left(self._both, day)
        before = self._both[place - 1] if place else None
        after = self._both[place] if place < len(self._both) else None
        if before and after and (after - before).days <= SHORT_GAP_DAYS:
            share = (day - before).days / (after - before).days
            low, high = ((1 - share) * one + share * two for one, two in zip(self._pair(before), self._pair(after), strict=True))
            return DayTemperature(low, high, "filled")
        near = [known for known in (before, after) if known and abs((day - known).days) <= CARRY_DAYS]
        return DayTemperature(*self._pair(near[0]), "filled") if near else None

    def _pair(self, day: date) -> tuple[float, float]:
        known = self._bounds[day]
        return _sure(known.min_c), _sure(known.max_c)

    def _within_periods(self, day: date, filled: DayTemperature) -> DayTemperature:
        """A minimum and maximum since a reset bound every day of that time; which day they fell on is not known."""
        begin = bisect_left(self._periods, day, key=_reading_day)
        for period in self._periods[begin : bisect_right(self._periods, day + self._longest, key=_reading_day)]:
            if period.since is not None and period.since < day <= period.day:
                low = -99.0 if period.min_c is None else period.min_c
                high = 99.0 if period.max_c is None else period.max_c
                filled = DayTemperature(min(max(filled.min_c, low), high), max(min(filled.max_c, high), low), "filled")
        return filled

    def _estimate(self, day: date) -> DayTemperature:
        low, high = self._background(day)
        offset = self.house_offset(day)
        kind: Kind = "guess" if self._normals is None else "normal"
        if offset is None and self._normals is not None and self._normals.outside:
            offset = (OUTSIDE_TO_HOUSE_C, OUTSIDE_TO_HOUSE_C)
        add_low, add_high = offset or (0.0, 0.0)
        return self._heated(low + add_low, high + add_high, kind)

    def _background(self, day: date) -> tuple[float, float]:
        """Normals as typed, else the guess of a cool house from latitude; before the house's own offset."""
        if self._normals is not None:
            return self._normals.on(day, self._latitude)
        night = guessed_night(self._latitude, day)
        return night, night + house_day_span(self._latitude, day)

    def _heated(self, min_c: float, max_c: float, kind: Kind) -> DayTemperature:
        low = min_c if self._heater_c is None else max(min_c, self._heater_c)
        return DayTemperature(low, max(low, max_c), kind)


def _bounded(known: DayTemperature, noted: _Bounds) -> DayTemperature:
    low = known.min_c if noted.low_at_c is None else min(known.min_c, noted.low_at_c)
    high = known.max_c if noted.high_at_c is None else max(known.max_c, noted.high_at_c)
    return DayTemperature(low, high, known.kind)


def _medians(pairs: Collection[tuple[float, float]]) -> tuple[float, float]:
    return median(low for low, _ in pairs), median(high for _, high in pairs)


_day_of = itemgetter(0)
_reading_day = attrgetter("day")


def _sure(value: Known | None) -> Known:
    assert value is not None
    return value
