"""Cold and heat: tonight's minimum from a reading, how often nights go low, and what a plant risks.

A fitted line speaks for clear calm nights of one place; a habit check is no forecast. Floors are those of dry, resting
plants: a wet one is told of one level higher, as no number for the wet penalty exists.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import fmean, stdev
from typing import Literal, NamedTuple

from bot.care.drying import DRY_LEFT
from bot.care.sources import PROJECT_DEFAULT, Reason, Trust

Level = Literal["none", "note", "warn", "alarm"]

WARN_ABOVE_FLOOR_C = 2.0
HEAT_NOTE_C = 35.0
HEAT_WARN_C = 38.0
HEAT_ALARM_C = 44.0
LEAST_NIGHTS_FOR_FIT = 10
LEAST_SPREAD_C = 1.5
HABIT_NIGHTS = 14
HABIT_WARN = 0.10
HABIT_ALARM = 0.35
COLD_LOOK_DAYS = (10, 14)
SCORCH_RISE_C = 10.0
SCORCH_DAYS = 3

_HEAT = Trust("common practice", "shade and air above 38 C: Altman Plants, cactus care page [published]")
TRUST = {
    "WARN_ABOVE_FLOOR_C": PROJECT_DEFAULT,
    "HEAT_NOTE_C": _HEAT,
    "HEAT_WARN_C": _HEAT,
    "HEAT_ALARM_C": _HEAT,
    "LEAST_NIGHTS_FOR_FIT": Trust("published", "Snyder & de Melo-Abreu 2005, Frost Protection, vol. 1, FAO ENRS 10"),
    "LEAST_SPREAD_C": PROJECT_DEFAULT,
    "HABIT_NIGHTS": PROJECT_DEFAULT,
    "HABIT_WARN": PROJECT_DEFAULT,
    "HABIT_ALARM": PROJECT_DEFAULT,
    "COLD_LOOK_DAYS": Trust("common practice", "cold damage hides: look again after 10 to 14 days"),
    "SCORCH_RISE_C": PROJECT_DEFAULT,
    "SCORCH_DAYS": PROJECT_DEFAULT,
}


class ClearNight(NamedTuple):
    """One clear calm night: temperature and dew point two hours after sunset, and the minimum that followed, Celsius."""

    at_dusk_c: float
    dew_point_c: float
    minimum_c: float


@dataclass(frozen=True, slots=True)
class FrostFit:
    """Tonight's minimum as a line: `a` x dusk temperature + `b` x dew point + `c`, with its error in Celsius."""

    a: float
    b: float
    c: float
    error_c: float
    nights: int

    def minimum(self, at_dusk_c: float, dew_point_c: float) -> float:
        """The minimum to be expected in a clear calm night."""
        return self.a * at_dusk_c + self.b * dew_point_c + self.c


@dataclass(frozen=True, slots=True)
class Risk:
    """What a plant risks: the level, how far the night lies above its floor, and whether wet mix raised the level."""

    level: Level
    margin_c: float
    raised_by_wet: bool
    unsure: bool
    reason: Reason


def fit_clear_nights(nights: Sequence[ClearNight]) -> FrostFit:
    """The line of a place from its own clear calm nights, in two steps: on dusk temperature, the rest on dew point.

    Source: Snyder & de Melo-Abreu 2005, Frost Protection: fundamentals, practice, and economics, vol. 1, FAO ENRS 10.
    Raises ValueError with fewer than ten nights.
    """
    if len(nights) < LEAST_NIGHTS_FOR_FIT:
        raise ValueError(f"{LEAST_NIGHTS_FOR_FIT} clear calm nights are wanted, {len(nights)} are known")
    slope, start = _line([night.at_dusk_c for night in nights], [night.minimum_c for night in nights])
    rest = [night.minimum_c - start - slope * night.at_dusk_c for night in nights]
    dew_slope, dew_start = _line([night.dew_point_c for night in nights], rest)
    fit = FrostFit(slope, dew_slope, start + dew_start, 0.0, len(nights))
    errors = [night.minimum_c - fit.minimum(night.at_dusk_c, night.dew_point_c) for night in nights]
    return FrostFit(fit.a, fit.b, fit.c, math.sqrt(fmean(error**2 for error in errors)), len(nights))


def probability_below(threshold_c: float, mean_c: float, sd_c: float) -> float:
    """Share of nights below a threshold, were they normal with this mean and spread (at least 1.5 C)."""
    return 0.5 * math.erfc((mean_c - threshold_c) / max(sd_c, LEAST_SPREAD_C) / math.sqrt(2))


def habit_of_nights(threshold_c: float, minima_c: Sequence[float]) -> tuple[float, Level] | None:
    """How likely tonight goes below a threshold by the habit of the last nights (no forecast), and the level.

    None with fewer than two nights; of more than 14 the last count.
    """
    recent = list(minima_c)[-HABIT_NIGHTS:]
    if len(recent) < 2:
        return None
    chance = probability_below(threshold_c, fmean(recent), stdev(recent))
    return chance, "alarm" if chance >= HABIT_ALARM else "warn" if chance >= HABIT_WARN else "none"


def frost_risk(night_c: float, floor_c: float, share_left: float | None = None, *, unsure: bool = False) -> Risk:
    """What a night of this minimum means to a plant whose dry floor is `floor_c`.

    `share_left` is the water left in the pot (1 soaked); more than 0.15 turns a warning into an alarm. `unsure` marks a
    floor from memory.
    """
    margin = night_c - floor_c
    level: Level = "alarm" if margin <= 0 else "warn" if margin <= WARN_ABOVE_FLOOR_C else "none"
    wet = share_left is not None and share_left > DRY_LEFT
    raised = wet and level == "warn"
    facts = {"share_left": share_left, "floor_c": floor_c}
    reason = Reason("night minimum", night_c, floor_c, "C", None, TRUST["WARN_ABOVE_FLOOR_C"], facts)
    return Risk("alarm" if raised else level, margin, raised, unsure, reason)


def heat_level(max_c: float) -> Level:
    """What a day's maximum under glass calls for: a note at 35 C, a warning at 38, an alarm at 44."""
    if max_c >= HEAT_ALARM_C:
        return "alarm"
    return "warn" if max_c >= HEAT_WARN_C else "note" if max_c >= HEAT_NOTE_C else "none"


def looks_after_cold(night: date) -> tuple[date, date]:
    """The days between which to look again after a cold night."""
    first, last = COLD_LOOK_DAYS
    return night + timedelta(days=first), night + timedelta(days=last)


def scorch_day(maxima_c: Mapping[date, float], winter_mean_c: float) -> date | None:
    """The third day of the first run of three with a maximum 10 C above the winter mean: shade what stood dim."""
    run = 0
    days = sorted(maxima_c)
    for before, day in pairwise([days[0] - timedelta(days=1), *days] if days else []):
        hot = maxima_c[day] >= winter_mean_c + SCORCH_RISE_C
        run = (run + 1 if day - before == timedelta(days=1) else 1) if hot else 0
        if run == SCORCH_DAYS:
            return day
    return None


def _line(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Slope and start of the least squares line; a level line where x does not vary."""
    mean_x, mean_y = fmean(x), fmean(y)
    spread = sum((one - mean_x) ** 2 for one in x)
    slope = sum((one - mean_x) * (two - mean_y) for one, two in zip(x, y, strict=True)) / spread if spread else 0.0
    return slope, mean_y - slope * mean_x
