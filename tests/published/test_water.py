"""Water, sun, frost, rest and pots against published values; each row of `data/water.csv` names its source.

Rows marked as reference computations guard the port of a model, not nature; rows of kind `info` are plausibility only.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Protocol

import pytest

from bot.care import evaporation as fao
from bot.care.climate import DayTemperature
from bot.care.daylength import astronomical_daylength, civil_daylength, declination_fao, sunrise_sunset, sunset_hour_angle
from bot.care.drying import (
    Pot,
    Potted,
    Shape,
    Store,
    daily_demand,
    days_to_dry,
    demand,
    drying_forecast,
    last_safe_soak,
    net_radiation_inside,
    store_of,
)
from bot.care.frost import ClearNight, FrostFit, fit_clear_nights, probability_below
from bot.care.genera import GrowthClass
from bot.care.learning import Learner
from bot.care.normals import fit_two_harmonics, house_day_span, moved_half_a_year
from bot.care.potting import TRADE_GALLON_L, batch_litres, pot_volume_litres, volume_by_rule
from bot.care.rest import next_restart, next_stop
from bot.care.wash import film_drying_days

pytestmark = pytest.mark.published

Row = Mapping[str, str]
TABLE = Path(__file__).parent / "data" / "water.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))

# Monthly mean minima of two invented climates, given with the reference computations that use them.
MINIMA = {
    "A": (2.0, 2.0, 3.0, 4.5, 7.5, 10.5, 12.5, 12.3, 10.2, 7.5, 4.5, 2.5),
    "B": (3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 19.0, 19.0, 16.0, 12.0, 7.0, 4.0),
}


class Published(Protocol):
    def close(
        self, got: float, printed: float, tolerance: float, source: str, unit: str = "", *, relative: bool = False
    ) -> None: ...
    def within(self, got: timedelta, tolerance: timedelta, source: str) -> None: ...


def inputs(row: Row) -> dict[str, str]:
    pairs = (part.split("=", 1) for part in row["other_inputs"].split(";") if "=" in part)
    return {key.strip(): value.strip() for key, value in pairs}


def number(row: Row, column: str) -> float:
    return float(row.get(column) or inputs(row)[column])


def sourced(row: Row) -> str:
    source = row["source"].split(" (value as carried")[0].split("; sensitivity")[0].split("; Rn from")[0].split("; difference")[0]
    source = source.split(", Example")[0]
    return f"{source} [{row['status'].replace('computed_reference', 'reference computation').replace('_', ' ')}]"


def named(row: Row) -> str:
    return f"{row['id']} {row['quantity']} {row['source'][:48]}"


def asserted(*quantities: str) -> list[Row]:
    return [row for row in ROWS if row["quantity"] in quantities and row["tol_kind"] != "info"]


def check(row: Row, got: float, published: Published) -> None:
    relative = row["tol_kind"] == "rel"
    published.close(got, float(row["expected"]), float(row["tolerance"]), sourced(row), row["unit"], relative=relative)


def night(fixture: str, day: date) -> float:
    """Night minimum in the invented house of a fixture, named as in the table ("A", "B shifted 6 months offset 0")."""
    minima: tuple[float, ...] = MINIMA[fixture[0]]
    if "shifted" in fixture:
        minima = moved_half_a_year(minima)
    return max(fit_two_harmonics(minima).on(day) + (0 if "offset 0" in fixture else 2), 5)


# FAO-56


def example_18(row: Row) -> tuple[float, float, float]:
    """Vapour pressure, net longwave and net radiation of Example 18: Uccle, 6 July."""
    given = inputs(row)
    low, high = number(row, "tmin_c"), number(row, "tmax_c")
    latitude, doy = number(row, "lat_deg"), int(row["doy"])
    ea = fao.vapour_pressure_from_humidities(low, high, float(given["rh_min"]), float(given["rh_max"]))
    ra = fao.extraterrestrial_radiation(latitude, doy)
    rs = fao.solar_radiation(float(given["n_h"]), astronomical_daylength(latitude, doy), ra)
    rnl = fao.net_longwave_radiation(low, high, ea, rs, fao.clear_sky_radiation(float(given["z_m"]), ra))
    return ea, rnl, fao.net_radiation(rs, rnl)


def eq_39(row: Row) -> float:
    if "z_m" in inputs(row):
        return example_18(row)[1]
    low, high, ea = (number(row, key) for key in ("tmin_c", "tmax_c", "ea_kpa"))
    return fao.net_longwave_radiation(low, high, ea, number(row, "rs_mj"), number(row, "rso_mj"))


def eq_6(row: Row) -> float:
    ea, _, net = example_18(row)
    wind = fao.wind_at_two_metres(number(row, "u10"), 10)
    return fao.reference_evaporation(
        number(row, "tmin_c"), number(row, "tmax_c"), ea, net, wind, fao.air_pressure(number(row, "z_m"))
    )


def eq_15(row: Row) -> float:
    wet, dry, pressure, coefficient = (number(row, key) for key in ("t_wet_c", "t_dry_c", "p_kpa", "a_psy"))
    return fao.vapour_pressure_from_bulbs(wet, dry, pressure, coefficient)


def eq_17(row: Row) -> float:
    low, high, rh_min, rh_max = (number(row, key) for key in ("tmin_c", "tmax_c", "rh_min", "rh_max"))
    return fao.vapour_pressure_from_humidities(low, high, rh_min, rh_max)


def eq_52(row: Row) -> float:
    low, high, mean, ra = (number(row, key) for key in ("tmin_c", "tmax_c", "t_mean_c", "ra_mj"))
    return fao.hargreaves_evaporation(low, high, mean, ra)


def wet_surface(row: Row, wind_function: float) -> float:
    at_c = number(row, "t_c")
    return fao.aerodynamic_term(at_c, at_c, number(row, "rh_pct"), wind_function)


FAO: Mapping[str, Callable[[Row], float]] = {
    "fao56_eq7_pressure": lambda row: fao.air_pressure(number(row, "z_m")),
    "fao56_eq8_gamma": lambda row: fao.psychrometric_constant(number(row, "p_kpa")),
    "fao56_eq11_e0": lambda row: fao.saturation_vapour_pressure(number(row, "t_c")),
    "fao56_eq12_es": lambda row: fao.mean_saturation_vapour_pressure(number(row, "tmin_c"), number(row, "tmax_c")),
    "fao56_eq15_ea_psychrometer": eq_15,
    "fao56_eq17_ea": eq_17,
    "fao56_eq23_dr": lambda row: fao.inverse_relative_distance(int(row["doy"])),
    "fao56_eq24_declination": lambda row: declination_fao(int(row["doy"])),
    "fao56_eq25_ws": lambda row: sunset_hour_angle(number(row, "lat_deg"), int(row["doy"])),
    "fao56_eq21_ra": lambda row: fao.extraterrestrial_radiation(number(row, "lat_deg"), int(row["doy"])),
    "fao56_eq34_n": lambda row: astronomical_daylength(number(row, "lat_deg"), int(row["doy"])),
    "fao56_eq35_rs": lambda row: fao.solar_radiation(number(row, "n_h"), number(row, "n_max_h"), number(row, "ra_mj")),
    "fao56_eq37_rso": lambda row: fao.clear_sky_radiation(number(row, "z_m"), number(row, "ra_mj")),
    "fao56_eq39_rnl": eq_39,
    "fao56_eq40_rn": lambda row: example_18(row)[2],
    "fao56_eq47_u2": lambda row: fao.wind_at_two_metres(number(row, "uz"), number(row, "z_m")),
    "fao56_eq50_rs": lambda row: fao.solar_radiation_from_span(
        number(row, "tmin_c"), number(row, "tmax_c"), number(row, "ra_mj"), number(row, "k_rs")
    ),
    "fao56_eq52_hargreaves": eq_52,
    "fao56_eq6_eto_daily": eq_6,
    "fao56_eq73_tew": lambda row: fao.total_evaporable_water(
        number(row, "theta_fc"), number(row, "theta_wp"), number(row, "ze_m")
    ),
    "fao56_eq74_kr": lambda row: fao.evaporation_reduction(number(row, "tew_mm"), number(row, "rew_mm"), number(row, "de_mm")),
    "vpd": lambda row: fao.vapour_pressure_deficit(number(row, "tmin_c"), number(row, "tmax_c"), number(row, "rh_pct")),
    "dew_point": lambda row: fao.dew_point(number(row, "rh_pct") / 100 * fao.saturation_vapour_pressure(number(row, "t_c"))),
    "still_air_wet_surface": lambda row: wet_surface(row, 1.61),
}


@pytest.mark.parametrize("row", asserted(*FAO), ids=named)
def test_evaporation(row: Row, published: Published) -> None:
    check(row, FAO[row["quantity"]](row), published)


def test_the_pots_own_drying_is_equation_74() -> None:
    store = Store(1, 1, 1, total_mm=20, easy_mm=8)
    step, depletion, spent = 0.001, 0.0, 0.0
    while depletion < 17:
        depletion += step * fao.evaporation_reduction(20, 8, depletion)
        spent += step
    assert store.depletion_mm(spent) == pytest.approx(17, abs=0.005)
    assert store.need_mm(3 / 20) == pytest.approx(spent, abs=0.01)


# The sun


@pytest.mark.parametrize("row", asserted("sunrise", "sunset"), ids=named)
def test_sunrise_and_sunset(row: Row, published: Published) -> None:
    local = timezone(timedelta(hours=number(row, "utc_offset_h")))
    day = date.fromisoformat(row["date"])
    times = sunrise_sunset(number(row, "lat_deg"), number(row, "lon_deg"), day, local)
    got = times.sunrise if row["quantity"] == "sunrise" else times.sunset
    hour, minute = map(int, row["expected"].split(":"))
    printed = datetime(day.year, day.month, day.day, hour, minute, tzinfo=local)
    assert got is not None
    published.within(got - printed, timedelta(minutes=float(row["tolerance"])), sourced(row))


@pytest.mark.parametrize("row", asserted("daylength"), ids=named)
def test_daylength(row: Row, published: Published) -> None:
    got = civil_daylength(number(row, "lat_deg"), date.fromisoformat(row["date"]))
    check(row, got * 60 if row["unit"] == "min" else got, published)


@pytest.mark.parametrize("row", asserted("daylength_year_min", "daylength_year_max"), ids=named)
def test_shortest_and_longest_day(row: Row, published: Published) -> None:
    year = [civil_daylength(number(row, "lat_deg"), date(2025, 1, 1) + timedelta(days=n)) for n in range(365)]
    check(row, min(year) if row["quantity"].endswith("min") else max(year), published)


@pytest.mark.parametrize("row", asserted("september_equinox", "december_solstice"), ids=named)
def test_equinox_and_solstice(row: Row, published: Published) -> None:
    # The printed minute itself is no result of ours; the day is: shortest at the solstice, equal in both hemispheres at
    # the equinox.
    moment = datetime.fromisoformat(row["expected"]).replace(tzinfo=UTC).date()
    span = [moment + timedelta(days=n) for n in range(-20, 21)]
    if row["quantity"] == "december_solstice":
        got = min(span, key=lambda day: civil_daylength(52, day))
    else:
        got = min(span, key=lambda day: abs(civil_daylength(50, day) - civil_daylength(-50, day)))
    published.close((got - moment).days, 0, 1, sourced(row), "days")


# Drying


def potted(row: Row) -> Potted:
    given = inputs(row)
    pot = Pot(float(given["top_cm"]), given["material"])  # type: ignore[arg-type]
    cover = float(given["cover"]) if "cover" in given else None
    return Potted(
        pot,
        given["mix"],  # type: ignore[arg-type]
        given["plant"],  # type: ignore[arg-type]
        given.get("air", "normal"),  # type: ignore[arg-type]
        given.get("light", "full"),  # type: ignore[arg-type]
        cover=cover,
    )


def net_mj(row: Row) -> float:
    if row["rn_mj"]:
        return float(row["rn_mj"])
    return net_radiation_inside(number(row, "lat_deg"), int(row["doy"]), inputs(row)["light"])  # type: ignore[arg-type]


def weather(row: Row) -> tuple[float, float, float | None, float]:
    rh_pct = float(row["rh_pct"]) if row["rh_pct"] else None
    return number(row, "tmin_c"), number(row, "tmax_c"), rh_pct, net_mj(row)


MODEL: Mapping[str, Callable[[Row], float]] = {
    "pot_model_volume": lambda row: store_of(potted(row)).volume_cm3,
    "pot_model_tew": lambda row: store_of(potted(row)).total_mm,
    "pot_model_rew": lambda row: store_of(potted(row)).easy_mm,
    "pot_model_need": lambda row: store_of(potted(row)).need_mm(number(row, "r")),
    "pot_model_demand": lambda row: demand(potted(row), store_of(potted(row)), *weather(row)),
    "pot_model_days": lambda row: days_to_dry(potted(row), *weather(row), left=number(row, "r")).days,
    "pot_model_days_rh_unknown": lambda row: days_to_dry(potted(row), *weather(row), left=number(row, "r")).days,
    "rn_inside": net_mj,
}


@pytest.mark.parametrize("row", asserted(*MODEL), ids=named)
def test_drying_in_constant_weather(row: Row, published: Published) -> None:
    check(row, MODEL[row["quantity"]](row), published)


def through_the_year(row: Row) -> Callable[[date], float]:
    latitude, fixture = number(row, "lat_deg"), inputs(row)["fixture"]

    def on(day: date) -> DayTemperature:
        low = night(fixture, day)
        return DayTemperature(low, low + house_day_span(latitude, day), "normal")

    return daily_demand(potted(row), on, latitude)


@pytest.mark.parametrize("row", asserted("dry_date", "last_safe_soak"), ids=named)
def test_drying_over_a_year(row: Row, published: Published) -> None:
    day, demand_on = date.fromisoformat(row["date"]), through_the_year(row)
    if row["quantity"] == "dry_date":
        got = drying_forecast(potted(row), day, day, demand_on).dry_on
    else:
        got = last_safe_soak(potted(row), day, demand_on)[0 if inputs(row)["k"] == "1" else 1]
    assert got is not None
    off = (got - date.fromisoformat(row["expected"])).days
    published.close(off, 0, float(row["tolerance"]), sourced(row), "days")


@pytest.mark.parametrize("row", asserted("normals_harmonic_max_misfit"), ids=named)
def test_harmonics_meet_the_months(row: Row, published: Published) -> None:
    year = fit_two_harmonics(MINIMA["A"])
    check(row, max(abs(year.on(date(2025, month, 15)) - mean) for month, mean in enumerate(MINIMA["A"], start=1)), published)


@pytest.mark.parametrize("row", asserted("learn_factor"), ids=named)
def test_one_report(row: Row, published: Published) -> None:
    given = inputs(row)
    surprise = math.log(1.5) if given["y"] == "ln(1.5)" else float(given["y"])
    learned = Learner().after("dry" if given["report"] == "dry" else "damp", 10 * math.exp(surprise), 10)
    check(row, learned.factor, published)


# Rest

CLASSES: Mapping[str, GrowthClass] = {"summer_grower": "summer", "winter_grower": "winter", "tropical": "tropical"}


@pytest.mark.parametrize("row", asserted("rest_restart", "rest_stop"), ids=named)
def test_rest_and_restart(row: Row, published: Published) -> None:
    given = inputs(row)
    search = next_restart if row["quantity"] == "rest_restart" else next_stop
    fixture = given["fixture"]

    def nights(day: date) -> float | None:
        return None if fixture.startswith("none") else night(fixture, day)

    got = search(CLASSES[given["class"]], number(row, "lat_deg"), nights, date.fromisoformat(given["search_from"]))
    assert got is not None
    published.close((got - date.fromisoformat(row["expected"])).days, 0, float(row["tolerance"]), sourced(row), "days")


# Roots, frost, pots


@pytest.mark.parametrize("row", asserted("root_film_drying"), ids=named)
def test_root_film(row: Row, published: Published) -> None:
    check(row, film_drying_days(number(row, "t_c"), number(row, "rh_pct")), published)


def ten_nights() -> FrostFit:
    given = inputs(next(row for row in ROWS if row["quantity"] == "frost_fit_a"))
    columns = ([float(value) for value in given[key].split(",")] for key in ("t0_c", "td_c", "tn_c"))
    return fit_clear_nights([ClearNight(*night) for night in zip(*columns, strict=True)])


FROST: Mapping[str, Callable[[Row], float]] = {
    "frost_fit_a": lambda _: ten_nights().a,
    "frost_fit_b": lambda _: ten_nights().b,
    "frost_fit_c": lambda _: ten_nights().c,
    "frost_tmin": lambda row: ten_nights().minimum(number(row, "t0_c"), float(inputs(row)["td_c"])),
    "prob_night_below": lambda row: probability_below(number(row, "threshold_c"), number(row, "mean14_c"), number(row, "sd14_c")),
}


@pytest.mark.parametrize("row", asserted(*FROST), ids=named)
def test_frost(row: Row, published: Published) -> None:
    check(row, FROST[row["quantity"]](row), published)


def test_error_of_the_ten_nights(published: Published) -> None:
    source = sourced(next(row for row in ROWS if row["quantity"] == "frost_tmin"))
    published.close(ten_nights().error_c, 0.63, 0.005, source, "C")


def volume(row: Row) -> float:
    gap = float(inputs(row).get("rim_gap_cm", 0))
    shape: Shape = "square" if row["quantity"].startswith("square") else "round"
    return pot_volume_litres(number(row, "top_cm"), number(row, "base_cm"), number(row, "height_cm"), shape, gap)


POTS: Mapping[str, Callable[[Row], float]] = {
    "pot_brim_volume": volume,
    "pot_fill_volume": volume,
    "pot_fill_volume_vs_nominal": volume,
    "square_pot_volume": volume,
    "rule_of_thumb_volume": lambda row: volume_by_rule(number(row, "top_cm")),
    "trade_gallon": lambda _: TRADE_GALLON_L,
    "batch_litres": lambda row: batch_litres(
        int(number(row, "pots")), number(row, "litres_each"), 0, number(row, "settling"), number(row, "waste")
    ),
}


@pytest.mark.parametrize("row", asserted(*POTS), ids=named)
def test_pots(row: Row, published: Published) -> None:
    check(row, POTS[row["quantity"]](row), published)


def test_every_row_is_asserted_or_for_information() -> None:
    used = [row["id"] for name, test in globals().items() for mark in marks(name, test) for row in mark.args[1]]
    wanted = [row["id"] for row in ROWS if row["tol_kind"] != "info"]
    assert sorted(used) == sorted(wanted)
    assert len(ROWS) == 268


def marks(name: str, test: object) -> list[pytest.Mark]:
    if not name.startswith("test_"):
        return []
    return [mark for mark in getattr(test, "pytestmark", []) if mark.name == "parametrize" and mark.args[0] == "row"]
