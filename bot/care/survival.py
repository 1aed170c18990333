"""Losses as rates, and the survival of a lot: deaths by plant-years at risk, and the product-limit curve since purchase.

Sources: Garwood, F. 1936, Fiducial limits for the Poisson distribution, Biometrika 28:437-442 (exact interval of a count);
Kaplan, E. L. & Meier, P. 1958, Nonparametric estimation from incomplete observations, J. Am. Stat. Assoc. 53:457-481
(product limit); Greenwood, M. 1926, The natural duration of cancer, Reports on Public Health and Medical Subjects 33
(its variance).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from bot.care.sources import PROJECT_DEFAULT, Trust

FEWEST_PLANT_YEARS = 20.0  # with less at risk an interval spans everything from none to many a year
FEWEST_DEATHS_TO_COMPARE = 3
DAYS_A_YEAR = 365.25
Z_95 = 1.959963984540054  # the 97.5 % point of the normal distribution
FIRST_TERM_VANISHES = 700.0  # beyond this mean exp(-mean) is no number of 64 bits in full precision
TRUST = {
    "FIRST_TERM_VANISHES": Trust("derived", "the least normal number of 64 bits is about exp(-708)"),
    "FEWEST_PLANT_YEARS": PROJECT_DEFAULT,
    "FEWEST_DEATHS_TO_COMPARE": PROJECT_DEFAULT,
    "DAYS_A_YEAR": Trust("published", "the mean year of the Julian calendar, in days"),
    "Z_95": Trust("published", "97.5 % of a normal distribution lies below 1.96 standard deviations"),
}


@dataclass(frozen=True, slots=True)
class Rate:
    """Deaths per plant-year at risk with the exact 95 % interval; `plants` are those that stood at risk at some time."""

    deaths: int
    plant_years: float
    plants: int = 0

    @property
    def per_year(self) -> float:
        """Deaths per plant-year; 0 where nothing stood at risk."""
        return self.deaths / self.plant_years if self.plant_years > 0 else 0.0

    @property
    def interval(self) -> tuple[float, float]:
        """The lower and upper limit of deaths per plant-year, 95 % (Garwood 1936); infinite above where nothing was at risk."""
        if self.plant_years <= 0:
            return 0.0, math.inf
        low, high = poisson_interval(self.deaths)
        return low / self.plant_years, high / self.plant_years

    @property
    def too_few(self) -> bool:
        """Whether it says too little to be shown as a percentage."""
        return self.plant_years < FEWEST_PLANT_YEARS

    @property
    def share_a_year(self) -> float:
        """The share of plants lost within a year at this rate: 1 - exp(-rate)."""
        return yearly_share(self.per_year)


def yearly_share(rate: float) -> float:
    """Return the share lost within a year at a constant rate of deaths per plant-year: 1 - exp(-rate), 1 where infinite."""
    return -math.expm1(-rate)


@dataclass(frozen=True, slots=True)
class Step:
    """The curve from one time on: the share that survives it, its standard error and 95 % limits, and how many were at risk."""

    days: float
    at_risk: int
    died: int
    survival: float
    standard_error: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Survival:
    """A product-limit curve: one step for each time at which something died, how many were followed, and for how long."""

    n: int
    died: int
    longest: float
    steps: tuple[Step, ...]

    def at(self, days: float) -> Step | None:
        """Return the step that holds at a time: the last one at or before it; None before the first death."""
        return next((one for one in reversed(self.steps) if one.days <= days), None)

    @property
    def median(self) -> float | None:
        """The first time at which no more than half survive; None while more do."""
        return next((one.days for one in self.steps if one.survival <= 0.5), None)


def poisson_interval(count: int, level: float = 0.95) -> tuple[float, float]:
    """Return the exact limits of a Poisson mean after so many events (Garwood 1936).

    The lower limit is the mean at which `count` or more events come with probability (1 - level) / 2, the upper that at which
    `count` or fewer do. Raises ValueError for a negative count or a level outside 0 to 1.
    """
    if count < 0 or not 0 < level < 1:
        raise ValueError("a count is not negative, and a level lies between 0 and 1")
    tail = (1 - level) / 2
    low = 0.0 if count == 0 else _root(lambda mean: at_most(count - 1, mean) - (1 - tail), count)
    return low, _root(lambda mean: at_most(count, mean) - tail, count)


def at_most(count: int, mean: float) -> float:
    """Return the probability of `count` or fewer events where `mean` are expected (Poisson)."""
    if mean <= 0:
        return 1.0
    if mean > FIRST_TERM_VANISHES:
        return math.fsum(math.exp(k * math.log(mean) - mean - math.lgamma(k + 1)) for k in range(count + 1))
    term = total = math.exp(-mean)
    for k in range(1, count + 1):
        term *= mean / k
        total += term
    return total


def _root(falling: Callable[[float], float], count: int) -> float:
    """Return where a function that falls with the mean crosses 0, by halving."""
    low, high = 0.0, count + 10.0 + 10.0 * math.sqrt(count)
    for _ in range(80):
        middle = (low + high) / 2
        if middle in (low, high):
            break  # nothing lies between them
        low, high = (middle, high) if falling(middle) > 0 else (low, middle)
    return (low + high) / 2


def kaplan_meier(followed: Iterable[tuple[float, bool]]) -> Survival:
    """Return the product-limit curve of plants given as (time followed, whether it died then).

    One that did not die was last seen alive then: kept, given away, or missing. At one time deaths come before those last seen.
    The limits are those of the log-log scale, so that they stay within 0 and 1 (Greenwood's variance; Kalbfleisch & Prentice
    1980). Raises ValueError for a negative time.
    """
    times = list(followed)
    if any(one < 0 for one, _ in times):
        raise ValueError("nothing is followed for a negative time")
    ended, died_at = Counter(one for one, _ in times), Counter(one for one, dead in times if dead)
    steps: list[Step] = []
    survival, summed, at_risk = 1.0, 0.0, len(times)
    for time in sorted(ended):
        died = died_at[time]
        if died:
            survival *= 1 - died / at_risk
            summed += died / (at_risk * (at_risk - died)) if at_risk > died else math.inf
            steps.append(_step(time, at_risk, died, survival, summed))
        at_risk -= ended[time]
    return Survival(len(times), sum(died_at.values()), max(ended, default=0.0), tuple(steps))


def _step(time: float, at_risk: int, died: int, survival: float, summed: float) -> Step:
    if survival <= 0:
        return Step(time, at_risk, died, 0.0, 0.0, 0.0, 0.0)
    error = survival * math.sqrt(summed)  # Greenwood 1926
    spread = Z_95 * math.sqrt(summed) / abs(math.log(survival))
    return Step(time, at_risk, died, survival, error, survival ** math.exp(spread), survival ** math.exp(-spread))
