"""Inputs of `reckon`: what each computation wants, in which unit, and how a typed value is understood."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

Wanted = Literal["number", "count", "date", "day", "choice", "text", "numbers"]

_TRAILING_UNIT = re.compile(r"\s*(?:°?\s*[cC]|cm|mm|%|ml|mL|l|L|h|degrees?|deg|kPa|days?|d)?$")


class ReckonError(ValueError):
    """A computation cannot be done with what was given; the message says what is wanted."""


@dataclass(frozen=True, slots=True)
class Input:
    """One input: name, kind and unit, its default as typed (None: none), whether it may be missing, choices or meaning.

    `also` maps other words for a choice to the choice.
    """

    name: str
    wanted: Wanted = "number"
    unit: str = ""
    default: str | None = None
    optional: bool = False
    choices: tuple[str, ...] = ()
    about: str = ""
    also: Mapping[str, str] = field(default_factory=dict)

    @property
    def required(self) -> bool:
        return self.default is None and not self.optional


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a computation gives: results by name, their ranges, a short reason, and sources beyond the standing ones."""

    result: Mapping[str, Any]
    range: Mapping[str, Any] = field(default_factory=dict)
    reason: str = ""
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Computation:
    """One named computation: what it gives, its inputs, its sources, and the function that runs it."""

    name: str
    gives: str
    inputs: tuple[Input, ...]
    sources: tuple[str, ...]
    run: Callable[[Mapping[str, Any]], Outcome]


def understand(computation: Computation, given: Mapping[str, str]) -> dict[str, Any]:
    """Typed values as understood, defaults filled in. Raises ReckonError for unknown, missing and unreadable inputs."""
    typed = {name.strip().lower().replace("_", "-"): text.strip() for name, text in given.items()}
    known = {one.name: one for one in computation.inputs}
    strange = sorted(set(typed) - set(known))
    if strange:
        raise ReckonError(f"{computation.name} knows no {', '.join(strange)}; it takes {_names(computation)}")
    missing = [one for one in computation.inputs if one.required and not typed.get(one.name)]
    if missing:
        wants = "; ".join(describe(one) for one in missing)
        raise ReckonError(f"{computation.name} wants {wants}")
    return {one.name: _value(one, typed.get(one.name) or one.default) for one in computation.inputs}


def describe(wanted: Input) -> str:
    """An input in a few words: name, unit or choices, and default."""
    kind = "|".join(wanted.choices) or wanted.unit or _KINDS[wanted.wanted]
    about = f" ({wanted.about})" if wanted.about else ""
    default = f", default {wanted.default}" if wanted.default is not None else ", may be missing" if wanted.optional else ""
    return f"{wanted.name}={kind}{about}{default}"


def plain(value: Any) -> Any:
    """A value as JSON holds it: dates as text, tuples as lists, numbers rounded to six decimals."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return round(value, 6)
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if isinstance(value, Mapping):
        return {key: plain(one) for key, one in value.items()}
    return value


def _names(computation: Computation) -> str:
    return ", ".join(one.name for one in computation.inputs)


def _value(wanted: Input, text: str | None) -> Any:
    if text is None:
        return None
    return _READERS[wanted.wanted](wanted, text)


def _number(wanted: Input, text: str) -> float:
    try:
        value = float(_TRAILING_UNIT.sub("", text).replace(",", "."))
    except ValueError:
        raise ReckonError(f"{wanted.name} wants a number{_in(wanted)}, not {_said(text)}") from None
    # Fahrenheit thresholds of published tables pass; what no thermometer shows does not.
    if not math.isfinite(value) or (wanted.unit == "C" and abs(value) > 200):
        raise ReckonError(f"{wanted.name} wants a number{_in(wanted)}, not {_said(text)}")
    return value


def _count(wanted: Input, text: str) -> int:
    value = _number(wanted, text)
    if value != int(value):
        raise ReckonError(f"{wanted.name} wants a whole number, not {_said(text)}")
    return int(value)


def _numbers(wanted: Input, text: str) -> tuple[float, ...]:
    return tuple(_number(wanted, part) for part in re.split(r"[;:,\s]+", text) if part)


def _date(wanted: Input, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ReckonError(f"{wanted.name} wants a date like 2026-04-05, not {_said(text)}") from None


def _day(wanted: Input, text: str) -> date:
    """A date, or a day of the year (of 2025, which is not a leap year)."""
    if not text.isdigit():
        return _date(wanted, text)
    if not 1 <= int(text) <= 366:
        raise ReckonError(f"{wanted.name} wants a date or a day of the year from 1 to 366, not {_said(text)}")
    return date.fromordinal(date(2024 if text == "366" else 2025, 1, 1).toordinal() + int(text) - 1)


def _choice(wanted: Input, text: str) -> str:
    said = wanted.also.get(text.lower(), text.lower())
    if said not in wanted.choices:
        raise ReckonError(f"{wanted.name} is one of {', '.join(wanted.choices)}, not {_said(text)}")
    return said


def _text(wanted: Input, text: str) -> str:  # noqa: ARG001 - read like the others
    return text


def _in(wanted: Input) -> str:
    return f" in {wanted.unit}" if wanted.unit else ""


def _said(text: str) -> str:
    return f'"{text[:40]}"'


_READERS: Mapping[Wanted, Callable[[Input, str], Any]] = {
    "number": _number,
    "count": _count,
    "numbers": _numbers,
    "date": _date,
    "day": _day,
    "choice": _choice,
    "text": _text,
}
_KINDS: Mapping[Wanted, str] = {
    "number": "number",
    "count": "count",
    "numbers": "numbers",
    "date": "date",
    "day": "date or day of the year",
    "choice": "",
    "text": "text",
}
