"""Loss rates and survival against printed tables and worked examples."""

from __future__ import annotations

import math

import pytest

from bot.care.survival import Rate, at_most, kaplan_meier, poisson_interval, yearly_share

# 95 % limits of a Poisson mean. Garwood 1936, Biometrika 28:437-442, table 1, as reprinted in Pearson & Hartley 1966,
# Biometrika Tables for Statisticians I, table 40 (figures from memory; the upper limit after none, 3.689, is also the figure
# of the manual of the R package epitools, function pois.exact).
GARWOOD = {
    0: (0.0, 3.689),
    1: (0.0253, 5.572),
    2: (0.242, 7.225),
    3: (0.619, 8.767),
    4: (1.090, 10.242),
    5: (1.623, 11.668),
    6: (2.202, 13.059),
    7: (2.814, 14.423),
    8: (3.454, 15.763),
    9: (4.115, 17.085),
    10: (4.795, 18.390),
    15: (8.395, 24.740),
    20: (12.217, 30.889),
    50: (37.111, 65.919),
}


@pytest.mark.parametrize("count", GARWOOD)
def test_limits_of_a_count(count: int) -> None:
    """Garwood 1936, table 1 (from memory)."""
    low, high = poisson_interval(count)
    assert low == pytest.approx(GARWOOD[count][0], abs=6e-4)
    assert high == pytest.approx(GARWOOD[count][1], abs=1.2e-3)


def test_a_rate_with_its_limits() -> None:
    """Bonett, manual of the R package statpsych, ci.poisson (after Hahn & Meeker 1991): 23 events in 5.25 units of time."""
    rate = Rate(23, 5.25)
    assert rate.per_year == pytest.approx(4.380952, abs=5e-7)
    low, high = rate.interval
    assert low == pytest.approx(2.777148, abs=5e-7)
    assert high == pytest.approx(6.57358, abs=5e-6)


def test_the_limits_are_what_they_say() -> None:
    """The definition (Garwood 1936): 2.5 % lies beyond either limit."""
    for count in (1, 4, 30, 400):
        low, high = poisson_interval(count)
        assert 1 - at_most(count - 1, low) == pytest.approx(0.025, abs=1e-9)
        assert at_most(count, high) == pytest.approx(0.025, abs=1e-9)


def test_half_in_three_and_a_half_years_is_18_percent_a_year() -> None:
    """A half-life of 3.5 years in a garden's accessions is a loss of 18 % a year (common practice, the trade's own figure)."""
    assert yearly_share(math.log(2) / 3.5) == pytest.approx(0.18, abs=0.005)


# Freireich et al. 1963, Blood 21:699-716, weeks of remission under 6-MP; + is censored. As printed in Le 2003, Introductory
# Biostatistics, example 11.1.
SIX_MP = "6 6 6 7 10 13 16 22 23 6+ 9+ 10+ 11+ 17+ 19+ 20+ 25+ 32+ 32+ 34+ 35+".split()
# The product-limit estimate and Greenwood's standard error at each relapse: Kleinbaum & Klein 2012, Survival Analysis, chapter 2
# (from memory), with the standard errors that Greenwood's formula of 1926 gives by hand: S * sqrt(sum d / (n (n - d))).
BY_WEEK = [
    (6, 21, 3, 0.8571, 0.0764),
    (7, 17, 1, 0.8067, 0.0869),
    (10, 15, 1, 0.7529, 0.0963),
    (13, 12, 1, 0.6902, 0.1068),
    (16, 11, 1, 0.6275, 0.1141),
    (22, 7, 1, 0.5378, 0.1282),
    (23, 6, 1, 0.4482, 0.1346),
]


def test_remission_under_six_mp() -> None:
    """Freireich et al. 1963, as printed in Le 2003, example 11.1; curve and errors from memory."""
    made = kaplan_meier((float(one.rstrip("+")), not one.endswith("+")) for one in SIX_MP)
    assert (made.n, made.died, made.longest, made.median) == (21, 9, 35, 23)
    assert [(one.days, one.at_risk, one.died) for one in made.steps] == [(week, risk, died) for week, risk, died, _, _ in BY_WEEK]
    assert [one.survival for one in made.steps] == [pytest.approx(one[3], abs=5e-5) for one in BY_WEEK]
    assert [one.standard_error for one in made.steps] == [pytest.approx(one[4], abs=5e-5) for one in BY_WEEK]
    assert all(0 < one.low < one.survival < one.high < 1 for one in made.steps)


def test_without_censoring_it_is_the_share_that_lives_on() -> None:
    """The placebo group of the same trial, in which all relapsed: the curve is the plain share, its error the binomial one."""
    placebo = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
    made = kaplan_meier((float(one), True) for one in placebo)
    for step in made.steps:
        share = sum(one > step.days for one in placebo) / len(placebo)
        assert step.survival == pytest.approx(share, abs=1e-12)
        assert step.standard_error == pytest.approx(math.sqrt(share * (1 - share) / 21), abs=1e-12)
    assert made.median == 8
    assert made.steps[-1].survival == 0


def test_nothing_followed_and_nothing_dead() -> None:
    assert kaplan_meier([]).steps == ()
    alive = kaplan_meier([(10.0, False), (20.0, False)])
    assert (alive.n, alive.died, alive.longest, alive.steps, alive.median, alive.at(15)) == (2, 0, 20, (), None, None)


@pytest.mark.parametrize(("count", "level"), [(-1, 0.95), (3, 0.0), (3, 1.0)])
def test_what_is_no_count_or_level(count: int, level: float) -> None:
    with pytest.raises(ValueError, match="not negative"):
        poisson_interval(count, level)


def test_a_negative_time() -> None:
    with pytest.raises(ValueError, match="negative time"):
        kaplan_meier([(-1.0, True)])


def test_nothing_at_risk_is_too_few() -> None:
    rate = Rate(0, 0.0)
    assert (rate.per_year, rate.interval, rate.too_few) == (0.0, (0.0, math.inf), True)
