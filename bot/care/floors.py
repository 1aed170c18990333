"""How cold a thing may stand when it is dry: by the grower's word, its genus, or its class."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from bot.care.genera import CLASS_FLOOR_C, genus_row
from bot.care.standing import Standing, Thing

FloorSource = Literal["word", "genus", "class", "unknown"]


@dataclass(frozen=True, slots=True)
class Floor:
    """The least night minimum in °C for a dry plant, and where it comes from; `unsure` marks memory and unknown kinds."""

    c: float
    source: FloorSource
    confidence: str = ""
    said_on: str = ""

    @property
    def unsure(self) -> bool:
        return self.source == "unknown" or self.confidence == "C"


def floor_of(standing: Standing, thing: Thing) -> Floor:
    """Return the floor of a thing: the grower's word, else its genus, else its growth class, 5 °C where nobody knows it."""
    rule = standing.rule_for(thing) if standing.rules else {}
    if "floor_c" in rule:
        return Floor(float(rule["floor_c"]), "word", "", str(rule["said"]["floor_c"]))
    row = genus_row(thing.genus) if thing.genus else None
    if row is not None:
        return Floor(row.floor_c, "genus", row.confidence)
    if "class" in rule:
        return Floor(CLASS_FLOOR_C[rule["class"]], "class", "", str(rule["said"]["class"]))
    return Floor(CLASS_FLOOR_C["summer"], "unknown")
