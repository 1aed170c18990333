"""Learning how fast a grower's pots really dry, in closed form, from "dry", "still damp" and "already dry".

The factor is exp(g + b): g belongs to the grower, b to the pot. Both start at 0 with a spread; each report moves them by
a Kalman step, "damp" and "already dry" as one-sided observations of a normal truth (inverse Mills ratio).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import reduce
from typing import Literal

from bot.care.sources import Trust

Said = Literal["dry", "damp", "already dry"]

GROWER_SD = 0.40
POT_SD = 0.30
REPORT_SD = 0.20
NOISY_REPORT_SD = 0.25
DRIFT_SD = 0.02
OUTLIER_CLIP = 2.5
ONE_SIDED_CLAMP = 6.0
RANGE_80 = 1.28

_LEARNER = Trust("project default", "prior and report spreads, tuned on synthetic pots; closed form derived")
TRUST = {
    "GROWER_SD": _LEARNER,
    "POT_SD": _LEARNER,
    "REPORT_SD": _LEARNER,
    "NOISY_REPORT_SD": _LEARNER,
    "DRIFT_SD": _LEARNER,
    "OUTLIER_CLIP": _LEARNER,
    "ONE_SIDED_CLAMP": _LEARNER,
    "RANGE_80": Trust("published", "80 % of a normal distribution lies within 1.28 standard deviations"),
}


@dataclass(frozen=True, slots=True)
class Belief:
    """A logarithm of a factor as known so far: its mean and its variance."""

    mean: float
    variance: float


@dataclass(frozen=True, slots=True)
class Learner:
    """How the drying of one pot differs from the model: `factor` above 1 is slower. `reports` counts what it has heard."""

    grower: Belief = Belief(0.0, GROWER_SD**2)
    pot: Belief = Belief(0.0, POT_SD**2)
    reports: int = 0
    report_sd: float = REPORT_SD

    @property
    def factor(self) -> float:
        """The learned factor on the need of the model."""
        return math.exp(self.grower.mean + self.pot.mean)

    @property
    def spread(self) -> float:
        """What the factor is multiplied and divided by for its 80 % range: 1.99 before any report, then narrowing."""
        return math.exp(RANGE_80 * math.sqrt(self.variance))

    def after(self, said: Said, demand_mm: float, need_mm: float) -> Learner:
        """The learner after one report: `demand_mm` summed since the soak, where the model needs `need_mm` to dry.

        Raises ValueError unless both are above zero.
        """
        if demand_mm <= 0 or need_mm <= 0:
            raise ValueError("a report needs a demand since the soak and a need above zero")
        drifted = replace(self, pot=Belief(self.pot.mean, self.pot.variance + DRIFT_SD**2))
        variance = drifted.variance
        shift, weight = _observed(said, math.log(demand_mm / need_mm) - self.grower.mean - self.pot.mean, variance)
        grower, pot = (_moved(belief, shift, weight, variance) for belief in (drifted.grower, drifted.pot))
        return Learner(grower, pot, self.reports + 1, self.report_sd)

    @property
    def variance(self) -> float:
        """Variance of the factor's logarithm, that of the next report included."""
        return self.grower.variance + self.pot.variance + self.report_sd**2


@dataclass(frozen=True, slots=True)
class DryReport:
    """One report on one pot: what was said, the demand summed since the soak and the model's need, both in mm."""

    pot: str
    said: Said
    demand_mm: float
    need_mm: float


@dataclass(frozen=True, slots=True)
class Learned:
    """What all reports of a grower have taught: one belief for the grower, one for each pot heard of."""

    grower: Belief = Belief(0.0, GROWER_SD**2)
    pots: Mapping[str, Belief] = field(default_factory=dict)
    reports: int = 0
    reports_of: Mapping[str, int] = field(default_factory=dict)

    def of(self, pot: str) -> Learner:
        """The learner of a pot, known or new."""
        return Learner(self.grower, self.pots.get(pot, Belief(0.0, POT_SD**2)), self.reports_of.get(pot, 0))

    def after(self, report: DryReport) -> Learned:
        """What is known after one more report. Raises ValueError for a demand or need that is not above zero."""
        heard = self.of(report.pot).after(report.said, report.demand_mm, report.need_mm)
        counts = {**self.reports_of, report.pot: heard.reports}
        return Learned(heard.grower, {**self.pots, report.pot: heard.pot}, self.reports + 1, counts)


def learn(reports: Iterable[DryReport]) -> Learned:
    """Everything told, in order. The same reports always teach the same."""
    return reduce(Learned.after, reports, Learned())


def _observed(said: Said, surprise: float, variance: float) -> tuple[float, float]:
    """How far the sum of both means should move, and the share of certainty gained."""
    sd = math.sqrt(variance)
    if said == "dry":
        return min(max(surprise, -OUTLIER_CLIP * sd), OUTLIER_CLIP * sd), 1.0
    side = 1.0 if said == "damp" else -1.0
    a = min(max(side * surprise / sd, -ONE_SIDED_CLAMP), ONE_SIDED_CLAMP)
    mills = math.exp(-a * a / 2) / math.sqrt(2 * math.pi) / (0.5 * math.erfc(a / math.sqrt(2)))
    return side * sd * mills, mills * (mills - a)


def _moved(belief: Belief, shift: float, weight: float, variance: float) -> Belief:
    gain = belief.variance / variance
    return Belief(belief.mean + shift * gain, belief.variance * (1 - weight * gain))
