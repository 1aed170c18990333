"""What degree-days refuse, and the edges of their formulas."""

from __future__ import annotations

import math

import pytest

from bot.care.degreedays import METHODS, Method, degree_days, double_degree_days, logger_degree_days, share_above


def test_refuses_a_minimum_above_the_maximum() -> None:
    with pytest.raises(ValueError, match="swapped"):
        degree_days(20, 10, 5)


def test_refuses_an_upper_threshold_at_the_base() -> None:
    with pytest.raises(ValueError, match="must lie above"):
        degree_days(10, 20, 11, 11)


def test_refuses_what_is_not_a_number() -> None:
    with pytest.raises(ValueError, match="not a number"):
        degree_days(math.nan, 20, 11)


def test_refuses_an_average_with_a_vertical_cutoff() -> None:
    with pytest.raises(ValueError, match="horizontal cutoff only"):
        degree_days(10, 20, 5, 15, "average", "vertical")


def test_refuses_a_day_without_readings() -> None:
    with pytest.raises(ValueError, match="gap"):
        logger_degree_days([], 11)


@pytest.mark.parametrize("chosen", METHODS[:2])
def test_edges(chosen: Method) -> None:
    assert degree_days(15, 15, 11, 30, chosen) == 4
    assert degree_days(5, 11, 11, 30, chosen) == 0
    assert degree_days(11, 21, 11, 30, chosen) == 5
    assert degree_days(31, 40, 11, 30, chosen) == 19


def test_a_house_whose_mean_lies_below_the_base_still_counts() -> None:
    assert degree_days(5, 15, 11) == pytest.approx(1.12349, abs=2e-5)
    assert degree_days(5, 15, 11, method="average") == 0


def test_logger_meets_the_sine_day() -> None:
    day = [16 + 9 * math.sin(2 * math.pi * n / 1440) for n in range(1440)]
    assert logger_degree_days(day, 11, 24) == pytest.approx(degree_days(7, 25, 11, 24), abs=1e-3)


def test_double_sine_is_the_mean_of_two_days() -> None:
    assert double_degree_days(8, 26, 12, 11) == pytest.approx((degree_days(8, 26, 11) + degree_days(12, 26, 11)) / 2)


def test_share_of_the_day() -> None:
    assert share_above(10, 20, 20) == 0
    assert share_above(10, 20, 10) == 1
    assert share_above(10, 20, 15) == pytest.approx(0.5)
    assert share_above(10, 20, 15, "triangle") == pytest.approx(0.5)
