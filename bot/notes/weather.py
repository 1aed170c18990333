"""Thermometers, forecasts and measures."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from bot.notes.amounts import Amount
from bot.notes.clauses import Clause, is_phrase
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
        if is_phrase(one):
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


def _values(items: list[Item], talk: Talk) -> dict[str, Any]:
    """Return min_c, max_c, at_c, set_c, rh as said, by the word nearest before (or after) each number."""
    found: dict[str, Any] = {}
    used: list[Item] = []
    label, waiting = "", []
    labels = [one for one in items if one.family == "climate" and one.meaning in ("min", "max", "at", "rh", "set")]
    for one in items:
        if one.family == "climate":
            if one.meaning in ("min", "max") and waiting:
                for value, item in waiting:
                    found.setdefault(f"{one.meaning}_c", value)
                    used.append(item)
                waiting = []
                used.append(one)
                label = ""
                continue
            if one.meaning == "at" and label in ("min", "max"):
                used.append(one)
                continue
            label = one.meaning if not (one.meaning == "max" and label == "min" and "min_c" not in found) else "minmax"
            used.append(one)
            continue
        if (
            one.family == "amount"
            and one.value is not None
            and isinstance(one.value, Amount)
            and one.value.unit == "percent"
            and (label == "rh" or any(x.meaning == "rh" for x in labels))
        ):
            found["rh"] = one.value.value
            used.append(one)
            continue
        pair = _pair(one, talk)
        if pair is not None and label in ("minmax", "min", "max", "at", ""):
            low, high = sorted(pair) if label in {"max", "at"} else pair
            found["min_c"], found["max_c"] = low, high
            used.append(one)
            continue
        value = temperature(one, talk)
        if value is None:
            continue
        if label == "rh":
            found["rh"] = float(one.value) if one.family == "number" else value
        elif label == "minmax":
            key = "min_c" if "min_c" not in found else "max_c"
            found[key] = value
        elif label in ("min", "max", "set"):
            key = f"{label}_c"
            if key in found:
                continue
            found[key] = value
        elif label in {"frost", "forecast"}:
            found["min_c"] = value if value <= 0 or label == "forecast" else -value if False else value
        elif label == "at" or one.family == "amount":
            found.setdefault("at_c", value)
        else:
            waiting.append((value, one))
            continue
        used.append(one)
    if found:
        found["_items"] = used
    return found


def stray(clause: Clause, talk: Talk) -> float | None:
    """Return the temperature that a clause about something else also tells ("bagged, 24c", "vents open, 31 in there")."""
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
        if is_phrase(one) and one.bare and isinstance(nxt, Item) and nxt.low in ("in there", "in here", "out there"):
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
    "trap_count": None,
}


def measure(clause: Clause, talk: Talk) -> bool:
    """Write a measure; False where the clause holds no value for it."""
    head = clause.head
    assert head is not None
    wanted = head.meaning
    value, low, high, item = None, None, None, None
    for one in flat(clause, talk):
        if one.family == "amount" and isinstance(one.value, Amount):
            if (
                (wanted in ("height", "diameter", "root_length") and one.value.unit == "cm")
                or (wanted == "weight" and one.value.unit == "g")
                or (wanted == "days_to_dry" and one.value.unit == "days")
            ):
                value, item = one.value.value, one
            elif wanted == "water_temp" and one.value.unit in ("c", "f", "degree"):
                value, item = talk.celsius(one.value.value, one.value.unit), one
        elif (
            one.family == "amount"
            and one.meaning == "span"
            and wanted in ("height", "diameter", "root_length", "weight", "days_to_dry")
        ):
            low, high, item = one.value[0].value, one.value[1].value, one
        elif one.family == "number" and wanted == "heads" and one.start < head.start and one.value is not None:
            value, item = float(one.value), one
        elif (
            one.family == "number"
            and one.value is not None
            and wanted in ("water_temp", "trap_count", "heads", "days_to_dry", "weight")
            and value is None
            and low is None
            and not (wanted == "trap_count" and one.start < head.start)
        ):
            value, item = (talk.celsius(float(one.value), "") if wanted == "water_temp" else float(one.value)), one
    if item is None:
        return False
    item.used = True
    if wanted == "trap_count":
        for phrase in clause.phrases():
            if phrase.bare and phrase.start <= item.start < phrase.end:
                phrase.used = True
    for phrase in clause.phrases():
        if phrase.start <= item.start < phrase.end:
            phrase.used = True
        elif phrase.bare and not (phrase.start <= item.start < phrase.end):
            phrase.used = False
    said = gather(clause, talk, "inspected")
    sets = said.selections()
    talk.add(
        Entry(
            "measure",
            of=wanted,
            value=value,
            low=low,
            high=high,
            unit=MEASURE_UNITS.get(wanted),
            which=sets[0] if sets and wanted != "water_temp" else None,
        ),
        clause.span(),
    )
    talk.rules.append(f"measure: {wanted}")
    if not sets and not talk.settled and wanted not in ("water_temp", "trap_count", "days_to_dry"):
        talk.ask("which", "no plant is named")
    return True
