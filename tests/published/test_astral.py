"""Daylength, sunrise and sunset against astral, an independent library, in several latitudes (polar days left out)."""

from __future__ import annotations

from datetime import UTC, date, timedelta
from typing import Protocol

import pytest
from astral import Observer
from astral.sun import sunrise, sunset

from bot.care.daylength import civil_daylength, daylength_trend, sunrise_sunset

pytestmark = pytest.mark.published

SOURCE = "astral, sunrise and sunset at sea level [reference computation]"


class Published(Protocol):
    def within(self, got: timedelta, tolerance: timedelta, source: str) -> None: ...


@pytest.mark.parametrize("latitude", [-60, -52, -34, -12, 0, 8, 25, 40, 52, 60, 64])
@pytest.mark.parametrize("month", range(1, 13))
def test_against_astral(latitude: float, month: int, published: Published) -> None:
    day = date(2026, month, 11)
    observer = Observer(latitude, 0.0, 0.0)
    rises, sets = (event(observer, date=day, tzinfo=UTC) for event in (sunrise, sunset))
    ours = sunrise_sunset(latitude, 0.0, day)
    assert ours.sunrise
    assert ours.sunset
    published.within(ours.sunrise - rises, timedelta(minutes=2), SOURCE)
    published.within(ours.sunset - sets, timedelta(minutes=2), SOURCE)
    length = sets - rises
    published.within(timedelta(hours=civil_daylength(latitude, day)) - length, timedelta(minutes=4), SOURCE)


@pytest.mark.parametrize("longitude", [-175.0, -118.2, 0.0, 77.6, 151.2, 175.0])
def test_the_day_is_the_local_one(longitude: float) -> None:
    times = sunrise_sunset(40, longitude, date(2026, 3, 20))
    assert times.sunrise
    assert times.sunset
    assert timedelta(hours=11.9) < times.sunset - times.sunrise < timedelta(hours=12.4)


def test_polar_days_are_clamped() -> None:
    assert civil_daylength(78, date(2026, 6, 21)) == 24
    assert civil_daylength(-78, date(2026, 6, 21)) == 0
    assert civil_daylength(90, date(2026, 6, 21)) == 24
    assert sunrise_sunset(78, 15, date(2026, 6, 21)).sunrise is None
    assert daylength_trend(78, date(2026, 6, 21)) == "steady"


def test_trend_turns_with_the_hemisphere() -> None:
    assert daylength_trend(52, date(2026, 4, 1)) == daylength_trend(-34, date(2026, 10, 1)) == "rising"
    assert daylength_trend(52, date(2026, 10, 1)) == daylength_trend(-34, date(2026, 4, 1)) == "falling"


def test_places_off_the_globe_are_refused() -> None:
    with pytest.raises(ValueError, match="latitude"):
        civil_daylength(91, date(2026, 1, 1))
    with pytest.raises(ValueError, match="longitude"):
        sunrise_sunset(50, 200, date(2026, 1, 1))
