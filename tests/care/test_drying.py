"""Drying: what is refused, how waterings count, what the range does, and learning."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from bot.care.climate import DayTemperature
from bot.care.drying import Pot, Potted, daily_demand, days_to_dry, drying_forecast, last_safe_soak, store_of, water_balance
from bot.care.learning import DryReport, Learner, Said, learn

SOAK = date(2026, 4, 4)
NINE = Potted(Pot(9))


def mild(_: date) -> DayTemperature:
    return DayTemperature(11, 19)


def later(days: int) -> date:
    return SOAK + timedelta(days=days)


@pytest.mark.parametrize("top_cm", [0, -3, 1000])
def test_impossible_pots_are_refused(top_cm: float) -> None:
    with pytest.raises(ValueError, match="not possible"):
        Pot(top_cm)


def test_a_thimble_leaves_no_room() -> None:
    with pytest.raises(ValueError, match="no room"):
        Pot(1)


def test_impossible_weather_is_refused() -> None:
    with pytest.raises(ValueError, match="swapped"):
        days_to_dry(NINE, 20, 10, 60, 3)
    with pytest.raises(ValueError, match="humidity"):
        days_to_dry(NINE, 10, 20, 160, 3)
    with pytest.raises(ValueError, match="between 0 and 1"):
        days_to_dry(NINE, 10, 20, 60, 3, left=1)


def test_the_look_comes_before_dry() -> None:
    # 57 to 68 % of the dry day.
    estimate = days_to_dry(NINE, 11, 19, 70, 3.0)
    assert 0.57 <= estimate.look_days / estimate.days <= 0.68


def test_range_narrows_with_reports_and_never_widens() -> None:
    spreads = [Learner().spread]
    learner = Learner()
    said: list[Said] = ["damp", "dry", "already dry", "dry", "dry", "damp"]
    for word in said:
        learner = learner.after(word, 12, 11)
        spreads.append(learner.spread)
    assert spreads[0] == pytest.approx(1.99, abs=0.005)
    assert spreads[1:] == sorted(spreads[1:], reverse=True)
    assert spreads[0] > spreads[1]


def test_a_slow_pot_is_learned_to_be_slow() -> None:
    plain = days_to_dry(NINE, 11, 19, 70, 3.0)
    slow = days_to_dry(NINE, 11, 19, 70, 3.0, Learner().after("dry", 30, 20))
    assert slow.days / plain.days == pytest.approx(1.4185, abs=0.001)
    assert slow.reason.facts["reports"] == 1


def test_one_wild_report_cannot_run_away() -> None:
    wild = Learner().after("dry", 1000, 1).factor
    assert wild < math.exp(2.5 * math.sqrt(Learner().grower.variance + Learner().pot.variance + 0.2**2))


def test_a_report_on_one_pot_speaks_for_the_growers_others() -> None:
    learned = learn([DryReport("9a", "dry", 30, 20), DryReport("9a", "dry", 30, 20)])
    assert 1 < learned.of("never heard of").factor < learned.of("9a").factor
    assert (learned.of("9a").reports, learned.of("never heard of").reports, learned.reports) == (2, 0, 2)


def test_reports_need_a_demand() -> None:
    with pytest.raises(ValueError, match="above zero"):
        Learner().after("dry", 0, 10)


def test_forecast_has_look_dry_and_range_in_order() -> None:
    due = drying_forecast(NINE, SOAK, later(3), daily_demand(NINE, mild, 52), temperatures=mild)
    assert due.look_on
    assert due.dry_on
    assert due.low_on
    assert due.high_on
    assert SOAK < due.low_on <= due.look_on < due.dry_on < due.high_on
    assert 0 < due.share_left < 1
    assert due.kinds == {"measured": (due.dry_on - SOAK).days}


def test_a_light_watering_puts_the_day_off() -> None:
    demand_on = daily_demand(NINE, mild, 52)
    plain = drying_forecast(NINE, SOAK, SOAK, demand_on).dry_on
    topped = drying_forecast(NINE, SOAK, SOAK, demand_on, waterings_ml={later(5): 25}).dry_on
    soaked = drying_forecast(NINE, SOAK, SOAK, demand_on, waterings_ml={later(5): 500}).dry_on
    assert plain
    assert topped
    assert soaked
    assert plain < topped < soaked == plain + timedelta(days=5)


def test_a_soak_drains_what_the_pot_cannot_hold() -> None:
    balance = water_balance(store_of(NINE), SOAK, later(4), daily_demand(NINE, mild, 52), waterings_ml={later(4): 500})
    assert balance.share_left == pytest.approx(1)
    assert balance.drained_mm > 0
    assert balance.evaporated_mm + balance.drained_mm == pytest.approx(balance.added_mm + balance.depletion_mm)


def test_cautious_soak_comes_earlier() -> None:
    central, careful = last_safe_soak(NINE, date(2026, 11, 15), daily_demand(NINE, mild, 52))
    assert central
    assert careful
    assert careful < central < date(2026, 11, 15)


@pytest.mark.parametrize(
    ("potted", "weather", "practice", "source"),
    [
        (Potted(Pot(6, "clay"), "mineral"), (16, 28, 60, 5.94), (1.5, 4), "common practice: 6 cm clay in summer, 2 to 4 days"),
        (Potted(Pot(9), plant="cool"), (5, 12, 80, 0.77), (21, 35), "common practice: 9 cm plastic in November, 3 to 5 weeks"),
    ],
)
def test_practice(potted: Potted, weather: tuple[float, float, float, float], practice: tuple[float, float], source: str) -> None:
    assert practice[0] <= days_to_dry(potted, *weather).days <= practice[1], source


def test_clay_dries_faster_and_square_holds_more() -> None:
    plastic, clay = (days_to_dry(Potted(pot), 18, 26, 70, 5).days for pot in (Pot(9, "plastic"), Pot(9, "clay")))
    assert 1.3 < plastic / clay < 1.6
    assert store_of(Potted(Pot(9, shape="square"))).volume_cm3 == pytest.approx(4 / math.pi * store_of(NINE).volume_cm3)
