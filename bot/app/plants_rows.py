"""The rows of a spreadsheet as plants, each with what is wrong in it: a row that cannot be right is not taken."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from bot.app.plants_cells import Day, read_accession, read_date, read_pot_cm, read_price
from bot.app.plants_columns import Guess
from bot.app.plants_table import Table
from bot.store.people import CollectionSettings

_CURRENCY = re.compile(r"[A-Za-z]{3}")
LONGEST_LABEL = 40
MOST_OF_A_LOT = 10_000


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a row: the kind, and the facts for the sentence (the cell, its role, the row it collides with)."""

    row: int
    kind: str
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PlantRow:
    """One plant, or several under one label, as a row has it. `values` are JSON values by role; dates are ISO dates."""

    row: int
    label: str
    values: Mapping[str, Any]

    @property
    def count(self) -> int:
        """How many stand under the label."""
        return int(self.values.get("count", 1))

    def day(self, role: str) -> date | None:
        """Return the date of a role, None where the row has none."""
        return date.fromisoformat(self.values[role]) if role in self.values else None


class _WrongError(ValueError):
    """A cell that cannot be right."""

    def __init__(self, kind: str, **facts: Any) -> None:
        super().__init__(kind)
        self.kind, self.facts = kind, facts


def rows_of(
    table: Table, guesses: Iterable[Guess], settings: CollectionSettings, today: date
) -> tuple[list[PlantRow], list[Fault]]:
    """Return the plants of a sheet and what is wrong with the rows that are none; each row is in one of them."""
    columns = {one.role: one.column for one in guesses}
    plants: list[PlantRow] = []
    faults: list[Fault] = []
    first_at: dict[str, int] = {}
    for number, cells in table.rows:
        said = {role: cells[place] for role, place in columns.items() if place < len(cells) and cells[place]}
        if not said or _is_not_here(said):
            continue
        try:
            plant = _plant(number, said, settings, today, formula=number in table.formulas)
            _once(plant, first_at)
        except _WrongError as wrong:
            faults.append(Fault(number, wrong.kind, wrong.facts))
            continue
        first_at[plant.label.casefold()] = number
        plants.append(plant)
    return plants, faults


_GONE = frozenset(
    "dead died lost given gone sold discarded binned thrown missing tot gestorben verkauft mort muerto morto".split()
)
_NO_PLANTS = frozenset(("batch", "sowing", "taxon", "place"))  # kinds of our own table that no label stands for


def _is_not_here(said: Mapping[str, str]) -> bool:
    """Whether a row is of a plant that is gone, or of none: a list of what was does not bring it back to life."""
    status = said.get("status", "").casefold().split()
    return bool(status and status[0] in _GONE) or said.get("kind", "").casefold() in _NO_PLANTS or _is_used_up(said)


def _is_used_up(said: Mapping[str, str]) -> bool:
    return said.get("kind", "").casefold() == "lot" and said.get("count") == "0"


def _once(plant: PlantRow, first_at: Mapping[str, int]) -> None:
    first = first_at.get(plant.label.casefold())
    if first is not None:
        raise _WrongError("twice", label=plant.label, first=first)


def _plant(number: int, said: Mapping[str, str], settings: CollectionSettings, today: date, *, formula: bool) -> PlantRow:
    if formula:
        raise _WrongError("formula")
    values: dict[str, Any] = {}
    label = _label(said.get("label", ""))
    name = said.get("name") or " ".join(said[one] for one in ("genus", "epithet") if one in said)
    texts = {"name": name, "place": said.get("place"), "source": said.get("source"), "field": said.get("field")}
    values |= {role: text for role, text in {**texts, "note": said.get("note")}.items() if text}
    if "count" in said:
        values["count"] = _count(said["count"])
    if "pot" in said:
        values["pot_cm"] = _pot(said["pot"], settings.units)
    if "price" in said:
        values |= _price(said["price"], said.get("currency", ""))
    if "accession" in said:
        values["accession"] = _accession(said["accession"], today)
    for role in ("came", "repotted"):
        if role in said:
            day = _day(role, said[role], settings.date_order, today)
            values[role] = day.on.isoformat()
            values |= {f"{role}_approx": True} if day.approx else {}
    _in_order(values, said)
    return PlantRow(number, label, values)


def _label(cell: str) -> str:
    label = cell.strip().removeprefix("#").strip()
    if not label:
        raise _WrongError("no_label")
    if len(label) > LONGEST_LABEL:
        raise _WrongError("long_label", cell=label, most=LONGEST_LABEL)
    if label.startswith("-") and label[1:].isdigit():
        raise _WrongError("negative_label", cell=label)
    return label


def _count(cell: str) -> int:
    try:
        count = int(cell)
    except ValueError:
        raise _WrongError("bad_count", cell=cell) from None
    if not 1 <= count <= MOST_OF_A_LOT:
        raise _WrongError("bad_count", cell=cell)
    return count


def _pot(cell: str, units: str) -> float:
    size = read_pot_cm(cell, units)
    if size is None:
        raise _WrongError("bad_pot", cell=cell)
    return size


def _accession(cell: str, today: date) -> str:
    try:
        number = read_accession(cell)
    except ValueError:
        raise _WrongError("bad_accession", cell=cell) from None
    if int(number[:4]) > today.year:
        raise _WrongError("future_accession", cell=cell, year=today.year)
    return number


def _price(cell: str, currency: str) -> dict[str, Any]:
    price = read_price(cell)
    if price is None:
        raise _WrongError("bad_price", cell=cell)
    unit = price.currency or (currency.upper() if _CURRENCY.fullmatch(currency) else "")
    return {"price": price.value} | ({"currency": unit} if unit else {})


def _day(role: str, cell: str, order: str, today: date) -> Day:
    day = read_date(cell, order)
    if day is None:
        raise _WrongError("bad_date", role=role, cell=cell)
    if day.on > today:
        if day.approx and (day.on.year, day.on.month) <= (today.year, max(today.month, 7)):
            return Day(today, approx=True)  # "2026" in March 2026: not later than now
        raise _WrongError("future", role=role, cell=cell)
    return day


def _in_order(values: Mapping[str, Any], said: Mapping[str, str]) -> None:
    """A plant is not repotted before it came, unless one of the days is only about right; several need the day they came."""
    came, repotted = values.get("came"), values.get("repotted")
    rough = values.get("came_approx") or values.get("repotted_approx")
    if came and repotted and repotted < came and not rough:
        raise _WrongError("before_came", cell=said["repotted"], came=said["came"])
    if values.get("count", 1) > 1 and not came:
        raise _WrongError("lot_without_day", count=values["count"])
