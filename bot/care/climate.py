"""The temperatures of a place: readings where there are any, normals where known, a labelled guess at last."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["measured", "filled", "normal", "guess", "forecast"]


@dataclass(frozen=True, slots=True)
class DayTemperature:
    """One day's minimum and maximum in Celsius, and how they are known."""

    min_c: float
    max_c: float
    kind: Kind = "measured"

    @property
    def mean_c(self) -> float:
        return (self.min_c + self.max_c) / 2
