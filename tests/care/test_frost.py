"""Cold and heat: levels, what wet mix does to them, and what is refused."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.care.frost import ClearNight, fit_clear_nights, frost_risk, habit_of_nights, heat_level, looks_after_cold, scorch_day

D = date(2026, 3, 10)


@pytest.mark.parametrize(
    ("night", "left", "level"),
    [
        (8, 0.0, "none"),
        (7, 0.0, "warn"),
        (5, 0.0, "alarm"),
        (7, 0.5, "alarm"),
        (8, 0.9, "none"),
        (6, None, "warn"),
        (6, 0.15, "warn"),
    ],
)
def test_frost_levels(night: float, left: float | None, level: str) -> None:
    assert frost_risk(night, 5, left).level == level


def test_wet_mix_is_named() -> None:
    assert frost_risk(7, 5, 0.5).raised_by_wet
    assert not frost_risk(4, 5, 0.5).raised_by_wet
    assert frost_risk(7, 5, unsure=True).unsure


def test_habit_is_no_forecast_but_warns() -> None:
    assert habit_of_nights(0, [4, 5]) is not None
    cold = habit_of_nights(0, [1, -1, 0, 1, 0, 0.5])
    mild = habit_of_nights(0, [8, 9, 10, 9])
    assert cold
    assert mild
    assert cold[1] == "alarm"
    assert mild[1] == "none"
    assert habit_of_nights(0, [1]) is None


def test_a_fit_needs_ten_nights() -> None:
    with pytest.raises(ValueError, match="10 clear calm nights"):
        fit_clear_nights([ClearNight(3, 1, -1)] * 9)
    level = fit_clear_nights([ClearNight(3, 1, -1)] * 10)
    assert level.minimum(3, 1) == pytest.approx(-1)


@pytest.mark.parametrize(("max_c", "level"), [(34, "none"), (35, "note"), (38, "warn"), (44, "alarm")])
def test_heat_levels(max_c: float, level: str) -> None:
    """Common practice: note 35, warn 38, alarm 44."""
    assert heat_level(max_c) == level


def test_looks_after_cold() -> None:
    assert looks_after_cold(D) == (D + timedelta(days=10), D + timedelta(days=14))


def test_scorch_wants_three_days_in_a_row() -> None:
    hot = {D + timedelta(days=n): 24.0 for n in range(3)}
    assert scorch_day(hot, 12) == D + timedelta(days=2)
    assert scorch_day(hot, 15) is None
    assert scorch_day({D: 24.0, D + timedelta(days=1): 24.0, D + timedelta(days=3): 24.0}, 12) is None
    assert scorch_day({**hot, D + timedelta(days=1): 20.0}, 12) is None
    assert scorch_day({}, 12) is None
