"""Where a number comes from and how far to trust it; the reason that a computed date carries with it."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Literal

Mark = Literal["published", "derived", "common practice", "from memory", "project default"]


@dataclass(frozen=True, slots=True)
class Trust:
    """How a constant is known: `mark`, and `source` as author, year, title or the reasoning that led to it."""

    mark: Mark
    source: str = ""

    def __str__(self) -> str:
        return f"{self.source} [{self.mark}]" if self.source else f"[{self.mark}]"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a result is what it is, as values; sentences are made elsewhere.

    `quantity` names what was summed or compared ("degree-days", "daylength"), `value` is how far it has come, `target`
    where it must come, both in `unit`; `above_c` the base temperature where there is one. `facts` holds what else a full
    explanation needs (JSON values only).
    """

    quantity: str
    value: float | None = None
    target: float | None = None
    unit: str = ""
    above_c: float | None = None
    trust: Trust = Trust("project default")
    facts: Mapping[str, object] = field(default_factory=dict)


PROJECT_DEFAULT = Trust("project default")
COMMON_PRACTICE = Trust("common practice")
FROM_MEMORY = Trust("from memory")
FAO56 = Trust("published", "Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56")


@cache
def package_table(name: str) -> tuple[Mapping[str, str], ...]:
    """Rows of a table of defaults that comes with the package (`pests.csv`, `genera.csv`, `propagation.csv`), read once."""
    text = (files("bot.care") / name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(io.StringIO(text)))


def number(text: str) -> float | None:
    """The number in a table's cell, or None where the cell is empty."""
    return float(text) if text.strip() else None
