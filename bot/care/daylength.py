"""Daylength, sunrise and sunset from latitude and date, both hemispheres, polar days included.

The sun's place follows the low-precision series in general use (coefficients from memory; within 0.6 minutes of the
USNO table for Atlanta 2007). Civil daylength, the upper rim of the sun above the horizon with refraction, is what people
are shown; the astronomical one (FAO-56 equation 34) is for formulas only and 9 to 29 minutes shorter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from functools import lru_cache
from typing import Literal

from bot.care.sources import FROM_MEMORY, Trust

RISE_SET_ALTITUDE_DEG = -0.833
J2000_ORDINAL = date(2000, 1, 1).toordinal()

TRUST = {
    "RISE_SET_ALTITUDE_DEG": Trust("published", "convention of the almanacs: half the sun's width and 34 minutes of refraction"),
    "J2000_ORDINAL": FROM_MEMORY,
}

Trend = Literal["rising", "falling", "steady"]


@dataclass(frozen=True, slots=True)
class SunTimes:
    """Sunrise and sunset in UTC; both None where the sun stays up or down the whole day. `hours` is the daylength."""

    sunrise: datetime | None
    sunset: datetime | None
    hours: float


def civil_daylength(latitude: float, day: date) -> float:
    """Hours between sunrise and sunset, 0 to 24. Raises ValueError for a latitude outside -90 to 90."""
    _refuse_off_globe(latitude)
    return _civil_daylength(latitude, day.toordinal())


def astronomical_daylength(latitude: float, day_of_year: int) -> float:
    """Hours with the sun's centre above a flat horizon (FAO-56 equation 34), 0 to 24; for formulas, not for people."""
    return 24 / math.pi * sunset_hour_angle(latitude, day_of_year)


def sunset_hour_angle(latitude: float, day_of_year: int) -> float:
    """Sunset hour angle in radians (FAO-56 equation 25), 0 to pi, clamped on polar days."""
    cosine = -math.tan(math.radians(latitude)) * math.tan(declination_fao(day_of_year))
    return math.acos(min(1.0, max(-1.0, cosine)))


def declination_fao(day_of_year: int) -> float:
    """Declination of the sun in radians (FAO-56 equation 24)."""
    return 0.409 * math.sin(2 * math.pi * day_of_year / 365 - 1.39)


def daylength_trend(latitude: float, day: date) -> Trend:
    """Whether days grow or shorten around this day: daylength three days on against three days back."""
    _refuse_off_globe(latitude)
    ordinal = day.toordinal()
    change = _civil_daylength(latitude, ordinal + 3) - _civil_daylength(latitude, ordinal - 3)
    if change == 0:
        return "steady"
    return "rising" if change > 0 else "falling"


def sunrise_sunset(latitude: float, longitude: float, day: date, zone: timezone = UTC) -> SunTimes:
    """Sunrise and sunset of the calendar day in `zone`, as aware UTC times to the second.

    Near the poles both are None and `hours` is 24 or 0. Raises ValueError outside the globe.
    """
    _refuse_off_globe(latitude)
    if not -180 <= longitude <= 180:
        raise ValueError(f"longitude {longitude:g} is outside -180 to 180")
    midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
    noon = (midnight + timedelta(hours=12)).astimezone(UTC)
    # The clock's noon may be far from the sun's: count from the sun's noon nearest to it.
    first_guess = noon - timedelta(hours=_hours_off_noon(noon, longitude))
    rise, down = (_event(first_guess, latitude, longitude, side) for side in (-1, 1))
    hours = civil_daylength(latitude, day)
    if rise is None or down is None:
        return SunTimes(None, None, hours)
    return SunTimes(rise, down, (down - rise) / timedelta(hours=1))


def _hours_off_noon(moment: datetime, longitude: float) -> float:
    _, equation_min = _sun(_days_since_2000(moment))
    sun_time = moment.hour + moment.minute / 60 + moment.second / 3600 + longitude / 15 + equation_min / 60
    return (sun_time - 12 + 12) % 24 - 12


def _event(noon: datetime, latitude: float, longitude: float, side: int) -> datetime | None:
    moment = noon
    for _ in range(3):
        declination, _ = _sun(_days_since_2000(moment))
        half_day = _half_day_hours(latitude, declination)
        if half_day is None:
            return None
        transit = moment - timedelta(hours=_hours_off_noon(moment, longitude))
        # The sun's noon nearest to the guess must stay the noon of this day.
        if abs(transit - noon) > timedelta(hours=12):
            transit += timedelta(hours=24) if transit < noon else timedelta(hours=-24)
        moment = transit + side * timedelta(hours=half_day)
    return moment.replace(microsecond=0)


def _days_since_2000(moment: datetime) -> float:
    seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
    return moment.toordinal() - J2000_ORDINAL - 0.5 + seconds / 86400


@lru_cache(maxsize=65536)
def _civil_daylength(latitude: float, ordinal: int) -> float:
    declination, _ = _sun(float(ordinal - J2000_ORDINAL))
    half_day = _half_day_hours(latitude, declination)
    if half_day is None:
        return 24.0 if latitude * declination > 0 else 0.0
    return 2 * half_day


def _half_day_hours(latitude: float, declination: float) -> float | None:
    phi = math.radians(latitude)
    rim = math.sin(math.radians(RISE_SET_ALTITUDE_DEG))
    lean = math.cos(phi) * math.cos(declination)
    cosine = (rim - math.sin(phi) * math.sin(declination)) / lean if lean > 1e-12 else math.copysign(2.0, -phi * declination)
    return math.degrees(math.acos(cosine)) / 15 if -1 <= cosine <= 1 else None


@lru_cache(maxsize=65536)
def _sun(days: float) -> tuple[float, float]:
    """Declination in radians and equation of time in minutes, `days` after 2000-01-01 12:00 UTC."""
    t = days / 36525
    mean_longitude = math.radians((280.46646 + t * (36000.76983 + 0.0003032 * t)) % 360)
    anomaly = math.radians(357.52911 + t * (35999.05029 - 0.0001537 * t))
    eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    centre = (
        math.sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + math.sin(2 * anomaly) * (0.019993 - 0.000101 * t)
        + math.sin(3 * anomaly) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * t)
    longitude = mean_longitude + math.radians(centre - 0.00569 - 0.00478 * math.sin(node))
    tilt_minutes = 26 + (21.448 - t * (46.815 + t * (0.00059 - 0.001813 * t))) / 60
    tilt = math.radians(23 + tilt_minutes / 60 + 0.00256 * math.cos(node))
    y = math.tan(tilt / 2) ** 2
    equation = (
        y * math.sin(2 * mean_longitude)
        - 2 * eccentricity * math.sin(anomaly)
        + 4 * eccentricity * y * math.sin(anomaly) * math.cos(2 * mean_longitude)
        - y * y / 2 * math.sin(4 * mean_longitude)
        - 5 / 4 * eccentricity**2 * math.sin(2 * anomaly)
    )
    return math.asin(math.sin(tilt) * math.sin(longitude)), math.degrees(equation) * 4


def _refuse_off_globe(latitude: float) -> None:
    if not -90 <= latitude <= 90:
        raise ValueError(f"latitude {latitude:g} is outside -90 to 90")
