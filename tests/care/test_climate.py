"""Temperatures of a place: what is read, filled, normal and guessed, and that each says which it is."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.care.climate import ClimateReading, DayTemperature, MonthlyNormals, PlaceClimate, latitude_of_zone
from bot.care.normals import guessed_night, moved_half_a_year

D = date(2026, 3, 10)
OUTSIDE = MonthlyNormals((2, 2, 3, 4.5, 7.5, 10.5, 12.5, 12.3, 10.2, 7.5, 4.5, 2.5), outside=True)


def later(days: int) -> date:
    return D + timedelta(days=days)


def test_a_reading_is_itself() -> None:
    place = PlaceClimate([ClimateReading(D, 4.5, 19)])
    assert place.on(D) == DayTemperature(4.5, 19, "measured")


def test_two_readings_of_a_day_span_both() -> None:
    place = PlaceClimate([ClimateReading(D, 6, 15), ClimateReading(D, 4, 12), ClimateReading(D, at_c=17)])
    assert place.on(D) == DayTemperature(4, 17, "measured")


def test_short_gaps_are_filled_from_their_neighbours() -> None:
    place = PlaceClimate([ClimateReading(D, 4, 16), ClimateReading(later(4), 8, 20)])
    assert place.on(later(1)) == DayTemperature(5, 17, "filled")
    assert place.on(later(3)) == DayTemperature(7, 19, "filled")
    assert place.on(later(6)) == DayTemperature(8, 20, "filled")
    assert place.on(later(-2)).kind == "filled"


def test_long_gaps_fall_back_to_normals_and_their_offset() -> None:
    readings = [ClimateReading(later(n), OUTSIDE.on(later(n), 52)[0] + 3, OUTSIDE.on(later(n), 52)[1] + 5) for n in range(6)]
    place = PlaceClimate(readings, OUTSIDE, latitude=52)
    far = later(40)
    low, high = OUTSIDE.on(far, 52)
    assert place.on(far).kind == "normal"
    assert place.on(far).min_c == pytest.approx(low + 3)
    assert place.on(far).max_c == pytest.approx(high + 5)
    assert PlaceClimate([], OUTSIDE, latitude=52).on(far).min_c == pytest.approx(low + 2)


def test_without_anything_it_is_a_guess_and_says_so() -> None:
    bare = PlaceClimate(latitude=52)
    assert bare.on(date(2031, 1, 20)) == DayTemperature(5, 12, "guess")
    assert bare.on(date(1999, 7, 20)).kind == "guess"
    # An oceanic July at 52 N has minima of 12.5 C outside; the house lies 2 C above.
    assert bare.on(date(2026, 7, 20)).min_c == pytest.approx(14.5, abs=1)
    assert PlaceClimate().on(D).kind == "guess"


def test_hemispheres_mirror_in_the_guess() -> None:
    assert guessed_night(40, date(2026, 7, 24)) == pytest.approx(guessed_night(-40, date(2026, 1, 23)), abs=0.05)
    assert PlaceClimate(latitude=-35).on(date(2026, 1, 15)).min_c > PlaceClimate(latitude=-35).on(date(2026, 7, 15)).min_c
    assert moved_half_a_year(range(12))[0] == 6


def test_only_a_minimum_takes_the_span_of_the_estimate() -> None:
    place = PlaceClimate([ClimateReading(D, min_c=-1)], latitude=52)
    assert place.on(D).min_c == -1
    assert place.on(D).max_c >= 6
    assert place.on(D).kind == "filled"
    assert PlaceClimate([ClimateReading(D, max_c=31)], latitude=52).on(D).max_c == 31


def test_a_moment_only_bounds_the_day() -> None:
    guess = PlaceClimate(latitude=52).on(D)
    place = PlaceClimate([ClimateReading(D, at_c=28)], latitude=52)
    assert place.on(D) == DayTemperature(guess.min_c, 28, "guess")


def test_a_period_bounds_its_days_without_naming_one() -> None:
    place = PlaceClimate([ClimateReading(later(10), 6, 9, since=D)], latitude=52)
    assert place.on(later(5)).min_c >= 6
    assert place.on(later(5)).max_c <= 9
    assert place.on(later(5)).kind == "filled"
    assert place.on(later(11)).kind == "guess"


def test_the_heater_is_a_floor_under_what_was_not_measured() -> None:
    place = PlaceClimate([ClimateReading(D, 3, 12), ClimateReading(later(9), -3, kind="forecast", outside=True)], heater_c=8)
    assert place.on(D).min_c == 3
    assert place.on(later(9)).min_c == 8
    assert place.on(later(9)).kind == "forecast"
    assert place.on(later(30)).min_c >= 8


def test_measured_beats_forecast() -> None:
    place = PlaceClimate([ClimateReading(D, -3, 5, kind="forecast"), ClimateReading(D, 1, 7)])
    assert place.on(D) == DayTemperature(1, 7, "measured")


def test_smoothed_night_minimum() -> None:
    readings = [ClimateReading(later(-n), 5 + n % 3, 15, rh_pct=70 + n) for n in range(9)]
    assert PlaceClimate(readings).night_minimum(D) == (6, "measured", 9)
    few = PlaceClimate(readings[:4], OUTSIDE, latitude=52).night_minimum(D)
    assert few
    assert few.kind == "normal"
    assert PlaceClimate(readings[:4]).night_minimum(D) is None
    assert PlaceClimate(readings).humidity_on(D) == 74
    assert PlaceClimate().humidity_on(D) is None


def test_impossible_readings_are_refused() -> None:
    with pytest.raises(ValueError, match="swapped"):
        ClimateReading(D, 20, 10)
    with pytest.raises(ValueError, match="outside 0 to 100"):
        ClimateReading(D, rh_pct=140)
    with pytest.raises(ValueError, match="twelve"):
        MonthlyNormals((1, 2, 3))
    with pytest.raises(ValueError, match="swapped"):
        MonthlyNormals((9,) * 12, (8,) * 12)


def test_latitude_from_the_time_zone() -> None:
    # Coordinates of the cities as the time zone database prints them: London +513030-0000731, Sydney -3352+15113.
    assert latitude_of_zone("Europe/London") == pytest.approx((51.5083, -0.1253), abs=1e-3)
    assert latitude_of_zone("Australia/Sydney") == pytest.approx((-33.8667, 151.2167), abs=1e-3)
    assert latitude_of_zone("US/Eastern") == latitude_of_zone("America/New_York")
    assert latitude_of_zone("UTC") is None
    assert latitude_of_zone("Nowhere/Land") is None
