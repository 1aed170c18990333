"""Numbers, counts, sizes, doses, temperatures and money as they are typed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from bot.notes.languages import listed
from bot.notes.tokens import Token

NUMBER_WORDS = {form: float(value) for value, forms in listed("numbers").items() for form in forms}
APPROXIMATE = frozenset(("few", "handful"))
TENS = frozenset(("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"))


def number_at(low: Sequence[str], i: int) -> tuple[float, int] | None:
    """Return the number that begins at word `i` and the index after it: digits, words, "a couple", "half a dozen"."""
    word = low[i] if i < len(low) else ""
    if word[:1].isdecimal():
        try:
            return float(word.replace(",", ".")), i + 1
        except ValueError:
            return None

    def at(k: int) -> str:
        return low[k] if k < len(low) else ""

    if word == "half" and at(i + 1) in ("a", "dozen") and "dozen" in (at(i + 1), at(i + 2)):
        return 6.0, i + (2 if at(i + 1) == "dozen" else 3)
    if word == "half-dozen":
        return 6.0, i + 1
    if word in ("baker's", "bakers") and at(i + 1) == "dozen":
        return 13.0, i + 2
    if word in ("a", "the") and at(i + 1) in (
        "couple",
        "pair",
        "few",
        "handful",
        "dozen",
        "score",
        "hundred",
        "baker's",
        "bakers",
    ):
        return number_at(low, i + 1)
    if word in TENS and 1 <= NUMBER_WORDS.get(at(i + 1), 0) <= 9:
        return NUMBER_WORDS[word] + NUMBER_WORDS[at(i + 1)], i + 2
    if word in TENS and at(i + 1) == "-" and 1 <= NUMBER_WORDS.get(at(i + 2), 0) <= 9:
        return NUMBER_WORDS[word] + NUMBER_WORDS[at(i + 2)], i + 3
    if "-" in word:
        tens, _, ones = word.partition("-")
        if tens in TENS and ones in NUMBER_WORDS:
            return NUMBER_WORDS[tens] + NUMBER_WORDS[ones], i + 1
    if word in NUMBER_WORDS:
        value, k = NUMBER_WORDS[word], i + 1
        if at(k) in ("dozen", "hundred", "score") and value < 12:
            return value * NUMBER_WORDS[at(k)], k + 1
        return value, k
    return None


class Amount(NamedTuple):
    """A number with its unit, in the project's units: cm, ml, litres, minutes, g, c, percent, money, days."""

    value: float
    unit: str
    typed: str = ""


_UNITS = {
    form: (row.split()[0], float(row.split()[1]) if row.split()[1] != "1/60" else 1 / 60)
    for row, forms in listed("units").items()
    for form in forms
}
UNIT_WORDS = frozenset(_UNITS)
CURRENCIES = {"£": "GBP", "€": "EUR", "$": "USD"}
_SHORT = frozenset(("m", "in", "l", "g", "c", "f", "h", "p", "''"))


def unit_at(tokens: Sequence[Token], i: int) -> tuple[str, float, int] | None:
    """Return (unit, factor, index after) of the unit word at `i`, or None."""
    if i >= len(tokens):
        return None
    one = tokens[i]
    glued = i > 0 and tokens[i - 1].end == one.start
    if (
        one.low in ("°", "º", "deg", "degrees", "degree")
        and i + 1 < len(tokens)
        and tokens[i + 1].low in ("c", "f", "celsius", "fahrenheit")
    ):
        unit, factor = _UNITS[tokens[i + 1].low]
        return unit, factor, i + 2
    found = _UNITS.get(one.low)
    if found is None:
        return None
    if one.low in _SHORT and not glued and one.low in ("in", "m", "p", "h", "f", "''", "l", "g"):
        if one.low in ("in", "m", "p"):
            return None
        after = tokens[i + 1].low if i + 1 < len(tokens) else ""
        if after == "and" and one.low == "f":
            return None
    if one.low in ("drop", "drops", "cap", "second", "pc") and not glued and one.low in ("second", "drop", "cap"):
        return (*found, i + 1) if one.low == "second" and i >= 1 and tokens[i - 1].low in ("10", "30", "5", "20") else None
    return (*found, i + 1)
