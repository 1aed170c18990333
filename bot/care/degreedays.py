"""Degree-days: warmth above a threshold, from a day's minimum and maximum.

One function f(L), the area above a threshold under a sine or a triangle through minimum and maximum, and one
subtraction give every cutoff. Unit: degree x day of the temperatures put in (all Celsius in this project).

Sources: Baskerville & Emin 1969, Ecology 50:514-517 (single sine); Allen 1976, Environ. Entomol. 5:388-396 (double
sine); Zalom, Goodell, Wilson, Barnett & Bentley 1983, Degree-Days: The Calculation and Use of Heat Units in Pest
Management, University of California (all six cases, Table 7); McMaster & Wilhelm 1997, Agric. For. Meteorol. 87:291-300
(the two averages).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

Method = Literal["sine", "triangle", "average", "average-clamped"]
Cutoff = Literal["horizontal", "vertical", "intermediate"]

METHODS: tuple[Method, ...] = ("sine", "triangle", "average", "average-clamped")
CUTOFFS: tuple[Cutoff, ...] = ("horizontal", "vertical", "intermediate")


def degree_days(
    min_c: float,
    max_c: float,
    base_c: float,
    upper_c: float | None = None,
    method: Method = "sine",
    cutoff: Cutoff = "horizontal",
) -> float:
    """Degree-days of one day, never below 0.

    Without `upper_c` there is no cutoff. `cutoff` says what happens above it: development goes on at the rate of the
    upper threshold (horizontal), stops (vertical), or slows as much as it is exceeded (intermediate).
    Raises ValueError where the minimum is above the maximum, the upper threshold not above the base, a temperature is
    not a number, or an average is asked for another cutoff than the horizontal one.
    """
    _refuse_impossible(min_c, max_c, base_c, upper_c, method, cutoff)
    if method in ("average", "average-clamped"):
        return _average(min_c, max_c, base_c, upper_c, clamp_first=method == "average-clamped")
    above_base = _area_above(min_c, max_c, base_c, method)
    if upper_c is None:
        return above_base
    above_upper = _area_above(min_c, max_c, upper_c, method)
    if cutoff == "horizontal":
        return max(0.0, above_base - above_upper)
    if cutoff == "intermediate":
        return max(0.0, above_base - 2 * above_upper)
    stopped = (upper_c - base_c) * share_above(min_c, max_c, upper_c, method)
    return max(0.0, above_base - above_upper - stopped)


def double_degree_days(
    min_c: float,
    max_c: float,
    next_min_c: float,
    base_c: float,
    upper_c: float | None = None,
    method: Method = "sine",
    cutoff: Cutoff = "horizontal",
) -> float:
    """Degree-days of one day whose second half falls to the next day's minimum (Allen 1976). Errors as `degree_days`."""
    halves = (degree_days(low, max_c, base_c, upper_c, method, cutoff) for low in (min_c, next_min_c))
    return sum(halves) / 2


def logger_degree_days(readings_c: Sequence[float], base_c: float, upper_c: float | None = None) -> float:
    """Degree-days of one day from evenly spaced readings of a logger: the mean of what each adds, horizontal cutoff.

    Raises ValueError without readings or where the upper threshold is not above the base.
    """
    if not readings_c:
        raise ValueError("no readings for this day: a missing day is a gap, not zero degree-days")
    _refuse_impossible(min(readings_c), max(readings_c), base_c, upper_c, "sine", "horizontal")
    most = math.inf if upper_c is None else upper_c - base_c
    return sum(min(max(reading - base_c, 0.0), most) for reading in readings_c) / len(readings_c)


def share_above(min_c: float, max_c: float, threshold_c: float, method: Method = "sine") -> float:
    """Share of the day (0 to 1) above a threshold, under the sine or the triangle through minimum and maximum."""
    if max_c <= threshold_c:
        return 0.0
    if min_c >= threshold_c:
        return 1.0
    if method == "triangle":
        return (max_c - threshold_c) / (max_c - min_c)
    return 0.5 - _angle(min_c, max_c, threshold_c) / math.pi


def _area_above(min_c: float, max_c: float, threshold_c: float, method: Method) -> float:
    if max_c <= threshold_c:
        return 0.0
    mean = (min_c + max_c) / 2
    if min_c >= threshold_c:
        return mean - threshold_c
    if method == "triangle":
        return (max_c - threshold_c) ** 2 / (2 * (max_c - min_c))
    angle = _angle(min_c, max_c, threshold_c)
    amplitude = (max_c - min_c) / 2
    area = ((mean - threshold_c) * (math.pi / 2 - angle) + amplitude * math.cos(angle)) / math.pi
    return max(0.0, area)


def _angle(min_c: float, max_c: float, threshold_c: float) -> float:
    # Rounding may carry the argument a hair outside [-1, 1] where the threshold meets the minimum or the maximum.
    return math.asin(min(1.0, max(-1.0, (threshold_c - (min_c + max_c) / 2) / ((max_c - min_c) / 2))))


def _average(min_c: float, max_c: float, base_c: float, upper_c: float | None, *, clamp_first: bool) -> float:
    most = math.inf if upper_c is None else upper_c
    if clamp_first:
        low, high = (min(max(value, base_c), most) for value in (min_c, max_c))
        return (low + high) / 2 - base_c
    return max(0.0, min((min_c + max_c) / 2, most) - base_c)


def _refuse_impossible(min_c: float, max_c: float, base_c: float, upper_c: float | None, method: Method, cutoff: Cutoff) -> None:
    given = [min_c, max_c, base_c] if upper_c is None else [min_c, max_c, base_c, upper_c]
    if not all(math.isfinite(value) for value in given):
        raise ValueError("a temperature is missing or not a number")
    if method not in METHODS or cutoff not in CUTOFFS:
        raise ValueError(f"method is one of {', '.join(METHODS)}; cutoff is one of {', '.join(CUTOFFS)}")
    if min_c > max_c:
        raise ValueError(f"minimum {min_c:g} is above maximum {max_c:g}: swapped?")
    if upper_c is not None and upper_c <= base_c:
        raise ValueError(f"upper threshold {upper_c:g} must lie above the base {base_c:g}")
    if upper_c is not None and method.startswith("average") and cutoff != "horizontal":
        raise ValueError("the averages know the horizontal cutoff only")
