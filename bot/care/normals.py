"""Monthly normals as a smooth year, the guess of a cool house from latitude, and where a time zone lies."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files

from bot.care.sources import PROJECT_DEFAULT, Trust

DEFAULT_LATITUDE = 45.0
SUMMER_SOLSTICE_DAY = 172
DAY_SPAN_C = 7.0
SUMMER_SPAN_C = 4.0
COLD_HOUSE_FLOOR_C = 5.0
GUESS_EQUATOR_NIGHT_C = 24.0
GUESS_FALL_PER_DEG2 = 0.0064
GUESS_SWING_PER_DEG = 0.1
GUESS_WARMEST_DAY = 205
GUESS_HOUSE_LIFT_C = 2.0

_GUESS = Trust("project default", "a curve through an oceanic 52 N and the warm tropics; nothing measured behind it")
TRUST = {
    "DEFAULT_LATITUDE": PROJECT_DEFAULT,
    "SUMMER_SOLSTICE_DAY": Trust("published", "21 June, day 172 of the year"),
    "DAY_SPAN_C": PROJECT_DEFAULT,
    "SUMMER_SPAN_C": PROJECT_DEFAULT,
    "COLD_HOUSE_FLOOR_C": Trust("common practice", "the cool house is kept at about 5 C"),
    "GUESS_EQUATOR_NIGHT_C": _GUESS,
    "GUESS_FALL_PER_DEG2": _GUESS,
    "GUESS_SWING_PER_DEG": _GUESS,
    "GUESS_WARMEST_DAY": _GUESS,
    "GUESS_HOUSE_LIFT_C": _GUESS,
}

_ISO6709 = re.compile(r"([+-])(\d{2})(\d{2})(\d{2})?([+-])(\d{3})(\d{2})(\d{2})?")


@dataclass(frozen=True, slots=True)
class Harmonics:
    """A yearly curve of a mean and two harmonics through twelve monthly means."""

    mean: float
    cosines: tuple[float, float]
    sines: tuple[float, float]

    def on(self, day: date) -> float:
        """The curve's value on a day of any year."""
        phase = 2 * math.pi * (day.timetuple().tm_yday - 0.5) / 365.25
        waves = zip(self.cosines, self.sines, strict=True)
        return self.mean + sum(a * math.cos(k * phase) + b * math.sin(k * phase) for k, (a, b) in enumerate(waves, start=1))


@cache
def fit_two_harmonics(monthly: tuple[float, ...]) -> Harmonics:
    """The curve for twelve monthly means, January first. Raises ValueError for another count."""
    if len(monthly) != 12:
        raise ValueError(f"twelve monthly values are wanted, {len(monthly)} are given")

    def part(k: int, wave: float) -> float:
        return 2 / 12 * sum(v * math.cos(2 * math.pi * k * (i + 0.5) / 12 - wave) for i, v in enumerate(monthly))

    return Harmonics(sum(monthly) / 12, (part(1, 0), part(2, 0)), (part(1, math.pi / 2), part(2, math.pi / 2)))


@dataclass(frozen=True, slots=True)
class MonthlyNormals:
    """Twelve monthly mean minima and maxima in Celsius, January first; maxima may be missing.

    `outside` says that they hold outdoors, so that a house lies above them.
    """

    minima_c: tuple[float, ...]
    maxima_c: tuple[float, ...] = ()
    outside: bool = False

    def __post_init__(self) -> None:
        fit_two_harmonics(tuple(self.minima_c))
        if self.maxima_c:
            fit_two_harmonics(tuple(self.maxima_c))
            if any(low > high for low, high in zip(self.minima_c, self.maxima_c, strict=True)):
                raise ValueError("a month's minimum lies above its maximum: swapped?")

    def on(self, day: date, latitude: float) -> tuple[float, float]:
        """Minimum and maximum on a day; without maxima the day lies above the night as in a cool house."""
        low = fit_two_harmonics(tuple(self.minima_c)).on(day)
        if not self.maxima_c:
            return low, low + house_day_span(latitude, day)
        return low, max(low, fit_two_harmonics(tuple(self.maxima_c)).on(day))


def house_day_span(latitude: float, day: date) -> float:
    """How far a cool house's day lies above its night, in Celsius: 7, and up to 4 more in summer."""
    turn = 2 * math.pi * (day.timetuple().tm_yday - SUMMER_SOLSTICE_DAY) / 365
    return DAY_SPAN_C + SUMMER_SPAN_C * max(0.0, math.copysign(1, latitude) * math.cos(turn))


def guessed_night(latitude: float, day: date) -> float:
    """Night minimum of a cool house guessed from latitude alone, in Celsius; to be labelled as a guess."""
    turn = 2 * math.pi * (day.timetuple().tm_yday - GUESS_WARMEST_DAY) / 365.25
    swing = GUESS_SWING_PER_DEG * latitude * math.cos(turn)
    outside = GUESS_EQUATOR_NIGHT_C - GUESS_FALL_PER_DEG2 * latitude**2 + swing
    return max(outside + GUESS_HOUSE_LIFT_C, COLD_HOUSE_FLOOR_C)


def moved_half_a_year(monthly: Sequence[float]) -> tuple[float, ...]:
    """The same twelve values with January's first put to July, as the other hemisphere has them."""
    return (*monthly[6:], *monthly[:6])


def latitude_of_zone(zone: str) -> tuple[float, float] | None:
    """Latitude and longitude, in degrees, of the city a time zone is named after; None for a zone without a place."""
    return _zone_places().get(_zone_links().get(zone, zone))


def zone_places() -> Mapping[str, tuple[float, float]]:
    """Latitude and longitude, in degrees, of the city of each time zone that has one; other names of zones are left out."""
    return _zone_places()


@cache
def country_names() -> frozenset[str]:
    """Return the countries of ISO 3166-1 by the English names of the time zone tables, in lower case."""
    lines = [line.split("\t") for line in _zone_file("iso3166.tab").splitlines() if line and not line.startswith("#")]
    return frozenset(columns[1].lower().replace("&", "and") for columns in lines)


@cache
def _zone_places() -> dict[str, tuple[float, float]]:
    lines = [line.split("\t") for line in _zone_file("zone.tab").splitlines() if line and not line.startswith("#")]
    return {columns[2]: _degrees(columns[1]) for columns in lines}


@cache
def _zone_links() -> dict[str, str]:
    """Old names of zones: lines `L target name` of the compact table, followed once more where they point to a link."""
    links = dict(line.split()[2:0:-1] for line in _zone_file("tzdata.zi").splitlines() if line.startswith("L "))
    listed = _zone_places()
    return {name: links.get(target, target) for name, target in links.items() if name not in listed}


def _zone_file(name: str) -> str:
    try:
        return (files("tzdata.zoneinfo") / name).read_text(encoding="utf-8")
    except (ModuleNotFoundError, FileNotFoundError):
        return ""


def _degrees(text: str) -> tuple[float, float]:
    match = _ISO6709.fullmatch(text)
    assert match, f"coordinates of a zone: {text}"
    lat_sign, lat_d, lat_m, lat_s, lon_sign, lon_d, lon_m, lon_s = match.groups()
    latitude = int(lat_d) + int(lat_m) / 60 + int(lat_s or 0) / 3600
    longitude = int(lon_d) + int(lon_m) / 60 + int(lon_s or 0) / 3600
    return (latitude if lat_sign == "+" else -latitude), (longitude if lon_sign == "+" else -longitude)
