"""What the trade knows of a genus: when it rests, how cold it may stand dry, its roots and its light.

Rows come from `genera.csv`, with source codes (`genera_sources.csv`) and a confidence: A, the genus is named in a source;
B, a source speaks for its group; C, memory only, to be shown as unsure. The grower overrules any of it.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from bot.care.sources import Trust, package_table

GrowthClass = Literal["summer", "winter", "opportunistic", "leaf-exchanging", "epiphyte", "tropical"]
RootForm = Literal["fibrous", "tap", "tuber"]
LightClass = Literal["full_sun", "bright_shade_midsummer", "part_shade"]
Confidence = Literal["A", "B", "C"]

GROWTH_CLASSES: tuple[GrowthClass, ...] = ("summer", "winter", "opportunistic", "leaf-exchanging", "epiphyte", "tropical")
TROPICAL_GENERA = frozenset({"Melocactus", "Discocactus", "Uebelmannia", "Adenium", "Pachypodium"})
LEAF_EXCHANGING_GENERA = frozenset({"Lithops", "Dinteranthus"})
CLASS_FLOOR_C: Mapping[GrowthClass, float] = {
    "summer": 5,
    "winter": 5,
    "opportunistic": 5,
    "leaf-exchanging": 5,
    "epiphyte": 10,
    "tropical": 12,
}

TRUST = {
    "GROWTH_CLASSES": Trust("common practice", "the five rest types of one bench, and the never-cold tropicals"),
    "TROPICAL_GENERA": Trust("project default", "genera whose sources ask for 10 to 15 C"),
    "LEAF_EXCHANGING_GENERA": Trust("common practice", "Lithops, and Dinteranthus treated like it"),
    "CLASS_FLOOR_C": Trust(
        "common practice", "dry winter floor 5 C; general minimum 5, tropical 10-12: Garden News UK, 7 Nov 2017"
    ),
}

_MONTH_NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MONTH_NAME = re.compile(rf"\b({'|'.join(_MONTH_NAMES)})(?:uary|ruary|ch|il|e|y|ust|t|tember|ober|ember)?\b")
_CELL_NOTE = re.compile(r"\s*\(.*?\)")


@dataclass(frozen=True, slots=True)
class GenusRow:
    """One genus as the table has it. Months are northern (1-12); `floor_c` is for a dry plant.

    `tolerated` tells of reported extremes: information, never a threshold. `sources` maps season, temperature, root, light
    and synonyms to their codes.
    """

    genus: str
    family: str
    growth_class: GrowthClass
    rest_months_north: frozenset[int]
    slow_months_north: frozenset[int]
    rest_water: str
    restart_cue: str
    floor_c: float
    tolerated: str
    root_type: str
    root_form: RootForm
    root_varies: bool
    light: LightClass
    other_names: tuple[str, ...]
    confidence: Confidence
    sources: Mapping[str, tuple[str, ...]]
    note: str

    @property
    def unsure(self) -> bool:
        """Whether the row rests on memory only and must be asked about."""
        return self.confidence == "C"

    def rest_months(self, latitude: float) -> frozenset[int]:
        """Months of rest at a latitude: six later in the south."""
        return months_at(self.rest_months_north, latitude)

    def restart_cue_at(self, latitude: float) -> str:
        """The plant's own sign of restart, its months (northern in the table) six later in the south."""
        return self.restart_cue if latitude >= 0 else _MONTH_NAME.sub(_half_a_year_on, self.restart_cue)

    def slow_months(self, latitude: float) -> frozenset[int]:
        """Months of lighter water in growth at a latitude: six later in the south."""
        return months_at(self.slow_months_north, latitude)


def _half_a_year_on(match: re.Match[str]) -> str:
    month = _MONTH_NAMES.index(match[1][:3]) + 6
    name = _MONTH_NAMES[month % 12]
    return name if len(match[0]) < 5 and match[0] not in ("June", "July") else calendar.month_name[month % 12 + 1]


def months_at(northern: frozenset[int], latitude: float) -> frozenset[int]:
    """The months that mean the same season at a latitude."""
    return northern if latitude >= 0 else frozenset((month + 5) % 12 + 1 for month in northern)


def genus_row(name: str) -> GenusRow | None:
    """The row of a genus, under its own name first, else under a name it goes by elsewhere; None where unknown."""
    rows = genus_rows(name)
    return rows[0] if rows else None


def genus_rows(name: str) -> tuple[GenusRow, ...]:
    """Every row that a genus name may mean: its own, then those that list it as another name. Case does not matter."""
    return _by_name().get(name.strip().lower(), ())


def names_of(genus: str) -> tuple[str, ...]:
    """All names under which a genus is to be searched, both ways: its own row's aliases and the rows that list it."""
    found = [genus]
    for row in genus_rows(genus):
        found += [row.genus, *row.other_names]
    return tuple(dict.fromkeys(found))


def source_of(code: str) -> str:
    """What a source code of a row stands for; the code itself where it is unknown."""
    return _sources().get(code, code)


@cache
def _sources() -> Mapping[str, str]:
    return {line["code"]: line["source"] for line in package_table("genera_sources.csv")}


@cache
def genera() -> tuple[GenusRow, ...]:
    """All rows, in the table's order."""
    return tuple(_row(line) for line in package_table("genera.csv"))


@cache
def _by_name() -> Mapping[str, tuple[GenusRow, ...]]:
    found: dict[str, list[GenusRow]] = {row.genus.lower(): [row] for row in genera()}
    for row in genera():
        for alias in row.other_names:
            found.setdefault(alias.lower(), []).append(row)
    return {name: tuple(rows) for name, rows in found.items()}


def _row(line: Mapping[str, str]) -> GenusRow:
    form, varies = _root_form(line["root_type"])
    topics = ("season", "temp", "root", "light", "syn")
    return GenusRow(
        genus=line["genus"],
        family=line["family"],
        growth_class=_growth_class(line["genus"], line["growth_class"]),
        rest_months_north=_months(line["rest_months_nh"]),
        slow_months_north=_months(line["slow_months_nh"]),
        rest_water=line["rest_water"],
        restart_cue=line["restart_cue"],
        floor_c=float(line["winter_min_c_safe_dry"]),
        tolerated=line["tolerated_c_dry"],
        root_type=line["root_type"],
        root_form=form,
        root_varies=varies,
        light=_LIGHT[line["light_class"]],
        other_names=_other_names(line["synonym_genera"]),
        confidence=_CONFIDENCE[line["confidence"]],
        sources={topic: tuple(filter(None, line[f"src_{topic}"].split(";"))) for topic in topics},
        note=line["note"],
    )


_LIGHT: Mapping[str, LightClass] = {
    "full_sun": "full_sun",
    "bright_shade_midsummer": "bright_shade_midsummer",
    "part_shade": "part_shade",
}
_CONFIDENCE: Mapping[str, Confidence] = {"A": "A", "B": "B", "C": "C"}
_CLASSES: Mapping[str, GrowthClass] = {name: name for name in GROWTH_CLASSES}


def _growth_class(genus: str, listed: str) -> GrowthClass:
    if genus in TROPICAL_GENERA:
        return "tropical"
    return "leaf-exchanging" if genus in LEAF_EXCHANGING_GENERA else _CLASSES[listed]


def _months(cell: str) -> frozenset[int]:
    return frozenset(int(month) for month in cell.split(";") if month)


def _root_form(cell: str) -> tuple[RootForm, bool]:
    """The form named first, and whether others occur in the genus."""
    plain = cell.replace("tuberous taproot", "taproot")
    places: list[tuple[int, RootForm]] = []
    for form, words in _ROOT_WORDS.items():
        seen = [plain.find(word) for word in words if word in plain]
        if seen:
            places.append((min(seen), form))
    return (min(places)[1] if places else "fibrous"), len(places) > 1


_ROOT_WORDS: Mapping[RootForm, tuple[str, ...]] = {
    "tap": ("taproot",),
    "tuber": ("tuber", "caudex", "caudiciform"),
    "fibrous": ("fibrous", "fleshy", "rhizome", "shallow"),
}


def _other_names(cell: str) -> tuple[str, ...]:
    """Genera named in the cell; remarks in brackets and prose are no names."""
    names = (_CELL_NOTE.sub("", part).strip() for part in cell.split(";"))
    return tuple(name for name in names if re.fullmatch(r"(?:x )?[A-Z][a-z]+", name))
