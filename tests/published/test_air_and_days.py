"""Air, warmth and places: the parts of the formulas, each against a printed figure or a second way to it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Protocol

import pytest
from astral.geocoder import all_locations, database

from bot.care.climate import DayTemperature
from bot.care.degreedays import degree_days, logger_degree_days, share_above
from bot.care.dormancy import mites_may_be_dormant
from bot.care.drying import Store, water_balance
from bot.care.evaporation import (
    actual_vapour_pressure,
    aerodynamic_term,
    evaporation_reduction,
    mean_saturation_vapour_pressure,
    radiation_term,
    vapour_pressure_slope,
)
from bot.care.learning import GROWER_SD, POT_SD, REPORT_SD, DryReport, learn
from bot.care.normals import guessed_night, latitude_of_zone, zone_places

pytestmark = pytest.mark.published

FAO56 = "Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56"
FAO24 = "Doorenbos & Pruitt 1977, Crop water requirements, FAO Irrigation and Drainage Paper 24, weighting factor W (from memory)"


class Published(Protocol):
    def close(
        self, got: float, printed: float, tolerance: float, source: str, unit: str = "", *, relative: bool = False
    ) -> None: ...


@pytest.mark.parametrize(
    ("temperature_c", "printed"), [(1, 0.047), (10, 0.082), (20, 0.145), (25, 0.189), (30, 0.243), (40, 0.393)]
)
def test_slope_of_vapour_pressure(temperature_c: float, printed: float, published: Published) -> None:
    """FAO-56 1998, Annex 2, Table 2.4."""
    published.close(vapour_pressure_slope(temperature_c), printed, 0.0006, f"{FAO56}, Annex 2, Table 2.4", "kPa/C")


def test_vapour_pressure_of_a_day(published: Published) -> None:
    """FAO-56 1998: Example 5 (18 and 25 C, mean humidity 68 %: 1.78 kPa by equation 19), Example 20 (minimum 14.8 C: 1.68)."""
    published.close(actual_vapour_pressure(18, 25, 68), 1.78, 0.005, f"{FAO56}, Example 5", "kPa")
    published.close(actual_vapour_pressure(14.8, 26.6, None), 1.68, 0.005, f"{FAO56}, Example 20", "kPa")


@pytest.mark.parametrize(
    ("temperature_c", "weight"), [(2, 0.43), (6, 0.49), (10, 0.55), (14, 0.61), (20, 0.68), (26, 0.75), (30, 0.78), (38, 0.83)]
)
def test_weights_of_sun_and_wind(temperature_c: float, weight: float, published: Published) -> None:
    """FAO-24 1977, table of the weighting factors at sea level: W of the sun's part, 1 - W of the wind's (from memory)."""
    one_mm = 2.45  # MJ/m2, FAO-56 1998, Table 3
    published.close(radiation_term(temperature_c, temperature_c, one_mm), weight, 0.02, FAO24)
    half_dry = aerodynamic_term(temperature_c, temperature_c, 50, 1.0)
    deficit = mean_saturation_vapour_pressure(temperature_c, temperature_c) / 2
    published.close(half_dry / deficit, 1 - weight, 0.02, FAO24)


def test_a_logger_that_samples_the_sine_gives_the_closed_form(published: Published) -> None:
    """Zalom et al. 1983: degree-hours over 24; the sine's closed form is Baskerville & Emin 1969, and 20 C above 10 C are 10."""
    source = "Baskerville & Emin 1969, Ecology 50:514-517, closed form against 1,440 samples of the same day"
    for low, high, base, upper in ((5, 25, 10, None), (8, 30, 10.2, 28), (12, 20, 10, None), (-2, 9, 10, None), (4, 34, 8, 30)):
        day = [(low + high) / 2 + (high - low) / 2 * math.sin(2 * math.pi * (n + 0.5) / 1440) for n in range(1440)]
        published.close(logger_degree_days(day, base, upper), degree_days(low, high, base, upper), 0.001, source, "DD")
    assert logger_degree_days([20.0] * 24, 10) == 10


def test_share_of_the_day_above_a_threshold(published: Published) -> None:
    """Baskerville & Emin 1969: the sine crosses at arcsin((threshold - mean) / amplitude); at half the amplitude 30 degrees."""
    source = "Baskerville & Emin 1969, Ecology 50:514-517, crossing angle"
    for threshold, share in ((15, 1 / 2), (20, 1 / 3), (10, 2 / 3), (25, 0), (5, 1)):
        published.close(share_above(5, 25, threshold), share, 1e-9, source)
    published.close(share_above(5, 25, 20, "triangle"), 0.25, 1e-9, "geometry of a triangle")


@pytest.mark.parametrize(
    ("day", "latitude", "low_c", "high_c", "dormant"),
    [
        (date(2025, 10, 20), 50, 6, 16, True),
        (date(2025, 12, 20), 50, 4, 10, True),
        (date(2025, 6, 20), 50, 12, 25, False),
        (date(2025, 10, 20), 50, 19, 27, False),
        (date(2025, 12, 20), 28, 8, 18, False),
        (date(2025, 4, 20), -50, 6, 16, True),
        (date(2025, 12, 20), -50, 12, 25, False),
    ],
)
def test_diapause_of_spider_mites(day: date, latitude: float, low_c: float, high_c: float, dormant: bool) -> None:
    """Short days and cool nights at middle latitudes, none in long days, warm nights or the south of Japan.

    Gotoh & Shinkaji 1981, Jpn. J. Appl. Entomol. Zool. 25(2):113-118 (no diapause in Kyushu, 31 to 33 N; critical daylength
    9.7 to 13.5 h); Ferguson 2009, OMAFRA (fall conditions).
    """
    known = DayTemperature(low_c, high_c, "measured")
    assert mites_may_be_dormant(day, latitude, known) is dormant


def test_the_balance_of_a_pot_follows_the_reduction_of_fao_56(published: Published) -> None:
    """FAO-56 1998, equation 74, added up in steps of a thousandth of a day, against the closed form, with a light watering."""
    store = Store(1000, 100, 0, 30, 8)
    began = date(2025, 6, 1)
    lost = 0.0
    for day in range(1, 11):
        for _ in range(1000):
            lost += 0.003 * evaporation_reduction(store.total_mm, store.easy_mm, lost)
        lost -= min(lost, 5.0) if day == 4 else 0.0
    balance = water_balance(store, began, began + timedelta(days=10), lambda _: 3.0, waterings_ml={began + timedelta(days=4): 50})
    published.close(balance.depletion_mm, lost, 0.02, f"{FAO56}, equation 74, added up in small steps", "mm")
    assert balance.evaporated_mm - balance.added_mm + balance.drained_mm == pytest.approx(balance.depletion_mm)


def test_one_report_moves_the_belief_as_two_normals_meet(published: Published) -> None:
    """Two normals of known spread: Kalman 1960, Trans. ASME J. Basic Eng. 82:35-45, scalar case."""
    grower, pot, report = GROWER_SD**2, POT_SD**2, REPORT_SD**2
    learned = learn([DryReport("a", "dry", 12.0, 10.0)])
    drift = 0.02**2
    moved = math.log(1.2) * (grower + pot + drift) / (grower + pot + drift + report)
    published.close(math.log(learned.of("a").factor), moved, 1e-9, "Kalman 1960, scalar update")
    published.close(
        math.log(learned.of("b").factor), math.log(1.2) * grower / (grower + pot + drift + report), 1e-9, "Kalman 1960"
    )


@pytest.mark.parametrize(("deviations", "hazard"), [(-1, 0.2876), (0, 0.7979), (1, 1.5251), (2, 2.3732)])
def test_still_damp_moves_by_the_hazard_of_the_normal(deviations: float, hazard: float, published: Published) -> None:
    """Truncated normal: the mean beyond a cut lies phi/(1 - Phi) above; tables of Mills' ratio (from memory)."""
    variance = GROWER_SD**2 + POT_SD**2 + 0.02**2 + REPORT_SD**2
    spread = math.sqrt(variance)
    learned = learn([DryReport("a", "damp", 10 * math.exp(deviations * spread), 10.0)])
    moved = math.log(learned.of("b").factor) / (GROWER_SD**2 / variance) / spread
    published.close(moved, hazard, 0.0001, "Hazard of the normal distribution (Mills' ratio), tables (from memory)")


def test_zones_lie_where_a_gazetteer_has_their_city(published: Published) -> None:
    """The list of cities of astral (a library of its own) against the time zone data base; cities that name their zone.

    The list has Nouakchott, 18 N, south of the equator.
    """
    places: Mapping[str, tuple[float, float]] = zone_places()
    compared = 0
    for city in all_locations(database()):
        if (
            city.name != "Nouakchott"
            and city.timezone.rpartition("/")[2].replace("_", " ") == city.name
            and city.timezone in places
        ):
            found = latitude_of_zone(city.timezone)
            assert found == places[city.timezone]
            published.close(found[0], city.latitude, 0.75, "astral, geocoder, latitude of cities", "deg")
            compared += 1
    assert compared > 100
    assert latitude_of_zone("Etc/UTC") is None


@pytest.mark.parametrize(
    ("latitude", "month", "printed", "source"),
    [
        (51.5, 7, 14, "Met Office 1991-2020, Heathrow, mean July minimum about 14 C (from memory)"),
        (1.4, 7, 25, "Meteorological Service Singapore 1991-2020, mean daily minimum about 25 C (from memory)"),
        (-31.9, 1, 18, "Bureau of Meteorology, Perth, mean January minimum about 18 C (from memory)"),
    ],
)
def test_the_guess_of_a_night_is_no_nonsense(
    latitude: float, month: int, printed: float, source: str, published: Published
) -> None:
    """Within 5 C of published normals, and never below the 5 C at which a cool house is kept (common practice)."""
    published.close(guessed_night(latitude, date(2025, month, 20)), printed, 5, source, "C")
    assert guessed_night(60, date(2025, 1, 20)) == 5
