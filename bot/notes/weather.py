"""Thermometers, forecasts and measures."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from bot.notes.amounts import Amount
from bot.notes.clauses import Clause
from bot.notes.heads import Phrase
from bot.notes.items import Item
from bot.notes.reading import Entry
from bot.notes.selections import gather
from bot.notes.talk import Talk

SANE_C = (-40.0, 60.0)


def temperature(one: Item, talk: Talk) -> float | None:
    """Return the °C of a number or an amount in degrees, else None."""
    if one.family == "number" and one.value is not None and one.form != "approx":
        return talk.celsius(float(one.value), "")
    if one.family == "amount" and isinstance(one.value, Amount) and one.value.unit in ("c", "f", "degree"):
        return talk.celsius(one.value.value, one.value.unit)
    return None


def _pair(one: Item, talk: Talk) -> tuple[float, float] | None:
    if one.family in ("ratio", "sizes", "range") and isinstance(one.value, tuple):
        return talk.celsius(float(one.value[0]), ""), talk.celsius(float(one.value[1]), "")
    if one.family == "amount" and one.meaning == "span" and one.value[0].unit in ("c", "f", "degree"):
        return talk.celsius(one.value[0].value, one.value[0].unit), talk.celsius(one.value[1].value, one.value[1].unit)
    return None


def flat(clause: Clause, talk: Talk) -> list[Item]:
    """Return the clause's items in order, with bare numbers that were taken for plants as numbers again."""
    out: list[Item] = []
    for one in clause.elements():
        if isinstance(one, Phrase):
            inside = talk.items[one.first : one.after]
            if (one.bare or set(one.fields) <= {"labels"} or set(one.fields) <= {"count", "approx"}) and all(
                x.family in ("number", "range", "prep", "comma", "sep", "approx", "hedge", "slash") for x in inside
            ):
                out += inside
        else:
            out.append(one)
    return out


def climate(clause: Clause, talk: Talk) -> bool:
    """Write a thermometer reading or a forecast; False where the clause holds none."""
    items = flat(clause, talk)
    values = _values(items, talk)
    if not values:
        return False
    forecast = any(one.means("climate", "forecast") for one in items) or (
        any(one.means("climate", "frost") for one in items)
        and any(one.family == "date" and (one.value.name in ("tonight", "tonite") or one.value.days > 0) for one in items)
    )
    forecast = (
        forecast
        or any(one.family == "date" and one.value.kind == "offset" and one.value.days > 0 for one in items)
        or (
            any(one.low in ("tonight", "due") for one in items if one.family in ("date", "word"))
            and any(one.means("climate", "frost") for one in items)
        )
    )
    if any(one.means("climate", "frost") for one in items) and any(
        one.low in ("due", "coming", "tonight", "expected") for one in items
    ):
        forecast = True
    place = next((one for one in clause.phrases() if "places" in one.fields), None)
    if place is not None:
        place.used = True
    for one in values.pop("_items"):
        one.used = True
        _taken(clause, one)
    since = next((n for n, one in enumerate(items) if one.family == "since"), None)
    reset = None
    if since is not None and since + 1 < len(items) and items[since + 1].family == "date":
        day = talk.day(items[since + 1].value, False)
        reset = day.on if day else None
        items[since + 1].used = True
        talk.when = None
    entry = Entry("climate", **values, since=reset, forecast=forecast, place=place.fields["places"][0] if place else None)
    if forecast:
        date_item = next((one for one in items if one.family == "date"), None)
        day = talk.day(date_item.value, True) if date_item is not None else None
        if date_item is not None:
            date_item.used = True
        entry = replace(entry, when=day.on if day and day.on != talk.today else None)
    talk.rules.append("climate: " + ", ".join(f"{key} {value}" for key, value in values.items()))
    talk.add(entry, clause.span())
    for value in (entry.min_c, entry.max_c, entry.at_c, entry.set_c):
        if value is not None and not SANE_C[0] <= value <= SANE_C[1]:
            talk.ask("act", "no thermometer in a greenhouse reads that", hard=True)
    return True


def _taken(clause: Clause, item: Item) -> None:
    """Mark a phrase whose number was a reading and no plant."""
    for phrase in clause.phrases():
        if phrase.start <= item.start < phrase.end:
            phrase.used = True


@dataclass(slots=True)
class Gauge:
    """The numbers of a thermometer as they are read: each goes to the word before it, or to the one after."""

    talk: Talk
    found: dict[str, Any] = field(default_factory=dict)
    used: list[Item] = field(default_factory=list)
    label: str = ""
    waiting: list[tuple[float, Item]] = field(default_factory=list)

    def word(self, one: Item) -> None:
        """Take a word for what the numbers after it are."""
        self.used.append(one)
        if one.meaning in ("min", "max") and self.waiting:
            for value, item in self.waiting:
                self.found.setdefault(f"{one.meaning}_c", value)
                self.used.append(item)
            self.waiting, self.label = [], ""
        elif one.meaning in ("forecast", "frost") and self.waiting:
            value, item = self.waiting.pop()
            self.found["min_c"] = value
            self.used.append(item)
        elif not (one.meaning == "at" and self.label in ("min", "max")):
            both = one.meaning == "max" and self.label == "min" and "min_c" not in self.found
            self.label = "minmax" if both else one.meaning

    def number(self, one: Item, humid: bool) -> bool:
        """Take a number for what the word before it says; True where it was one."""
        pair = _pair(one, self.talk)
        if pair is not None and self.label in ("minmax", "min", "max", "at", ""):
            self.found["min_c"], self.found["max_c"] = sorted(pair)  # "36 / 8 max min"
            return True
        if one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "percent":
            if humid:
                self.found["rh"] = one.value.value
            return humid
        value = temperature(one, self.talk)
        return value is not None and self._degrees(one, value)

    def _degrees(self, one: Item, value: float) -> bool:
        if self.label == "rh":
            self.found["rh"] = float(one.value) if one.family == "number" else value
        elif self.label == "minmax":
            self.found["min_c" if "min_c" not in self.found else "max_c"] = value
        elif self.label in ("min", "max", "set"):
            if f"{self.label}_c" in self.found:
                return False
            self.found[f"{self.label}_c"] = value
        elif self.label in ("frost", "forecast"):
            self.found["min_c"] = value
        elif self.label == "at" or one.family == "amount":
            self.found.setdefault("at_c", value)
        else:
            self.waiting.append((value, one))
            return False
        return True


def _values(items: list[Item], talk: Talk) -> dict[str, Any]:
    """Return min_c, max_c, at_c, set_c, rh as said, by the word nearest before (or after) each number."""
    gauge = Gauge(talk)
    humid = any(one.means("climate", "rh") for one in items)
    for one in items:
        if one.family == "climate":
            gauge.word(one)
        elif gauge.number(one, humid):
            gauge.used.append(one)
    return {**gauge.found, "_items": gauge.used} if gauge.found else {}


IN_THERE = frozenset(("in there", "in here", "out there"))


def stray(clause: Clause, talk: Talk) -> float | None:
    """Return the temperature that a clause about something else also tells ("bagged, 24c", "vents open, 31 in there")."""
    if clause.lacks("amount") and clause.silent(IN_THERE):
        return None
    elements = clause.elements()
    for i, one in enumerate(elements):
        if (
            isinstance(one, Item)
            and one.family == "amount"
            and isinstance(one.value, Amount)
            and one.value.unit in ("c", "f", "degree")
            and not one.used
        ):
            one.used = True
            return talk.celsius(one.value.value, one.value.unit)
        nxt = elements[i + 1] if i + 1 < len(elements) else None
        if isinstance(one, Phrase) and one.bare and isinstance(nxt, Item) and nxt.low in IN_THERE:
            one.used = True
            return talk.celsius(float(one.fields["labels"][0]), "")
    return None


MEASURE_UNITS = {
    "height": "cm",
    "diameter": "cm",
    "root_length": "cm",
    "weight": "g",
    "water_temp": "c",
    "days_to_dry": "days",
    "heads": None,
    "offsets": None,
    "trap_count": None,
}


def measure(clause: Clause, talk: Talk) -> bool:
    """Write a measure; False where the clause holds no value for it."""
    head = clause.head
    assert head is not None
    wanted = head.meaning
    item: Item | None = None
    low = high = value = None
    for one in flat(clause, talk):
        if one.family == "amount" and one.meaning == "span" and wanted in MEASURED_IN:
            low, high, item = one.value[0].value, one.value[1].value, one
            continue
        got = _measured(one, head, talk, already=value is not None or low is not None)
        if got is not None:
            value, item = got, one
    if item is None:
        return False
    item.used = True
    typed = item.value.typed.lower() if isinstance(item.value, Amount) else ""
    kilos = wanted == "weight" and typed.endswith(("kg", "kilo", "kilos"))
    if kilos and value is not None:
        value = value / 1000
    for phrase in clause.phrases():
        if phrase.start <= item.start < phrase.end:
            phrase.used = True
    sets = gather(clause, talk, "inspected").selections()
    which = sets[0] if sets and wanted != "water_temp" else None
    unit = "kg" if kilos else MEASURE_UNITS.get(wanted)
    talk.add(Entry("measure", of=wanted, value=value, low=low, high=high, unit=unit, which=which), clause.span())
    talk.rules.append(f"measure: {wanted}")
    if not sets and not talk.settled and wanted not in ("water_temp", "trap_count", "days_to_dry"):
        talk.ask("which", "no plant is named")
    return True


MEASURED_IN = {"height": "cm", "diameter": "cm", "root_length": "cm", "weight": "g", "days_to_dry": "days"}


def _measured(one: Item, head: Item, talk: Talk, already: bool) -> float | None:
    """Return the value an item gives for a measure, or None."""
    wanted = head.meaning
    if one.family == "amount" and isinstance(one.value, Amount):
        if MEASURED_IN.get(wanted) == one.value.unit:
            return one.value.value
        degrees = wanted == "water_temp" and one.value.unit in ("c", "f", "degree")
        return talk.celsius(one.value.value, one.value.unit) if degrees else None
    if one.family != "number" or one.value is None:
        return None
    if wanted in ("heads", "offsets") and one.start < head.start:
        return float(one.value)
    if already or wanted not in ("water_temp", "trap_count", "heads", "days_to_dry", "weight"):
        return None
    if wanted == "trap_count" and one.start < head.start:
        return None
    return talk.celsius(float(one.value), "") if wanted == "water_temp" else float(one.value)
