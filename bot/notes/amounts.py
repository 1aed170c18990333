"""Numbers, counts, sizes, doses, temperatures and money as they are typed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from bot.notes.tokens import Token

NUMBER_WORDS = {
    **{name: float(n) for n, name in enumerate(
        """
            zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen
            sixteen seventeen eighteen nineteen twenty
        """.split())},
    "thirty": 30.0, "forty": 40.0, "fifty": 50.0, "sixty": 60.0, "seventy": 70.0, "eighty": 80.0, "ninety": 90.0,
    "hundred": 100.0,
    "couple": 2.0, "pair": 2.0, "few": 3.0, "handful": 5.0, "dozen": 12.0, "score": 20.0, "duo": 2.0, "trio": 3.0,
    "halfdozen": 6.0,
}  # fmt: skip
APPROXIMATE = frozenset(("few", "handful"))
TENS = frozenset(("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"))


def number_at(low: Sequence[str], i: int) -> tuple[float, int] | None:
    """Return the number that begins at word `i` and the index after it: digits, words, "a couple", "half a dozen"."""

    def at(k: int) -> str:
        return low[k] if k < len(low) else ""

    word = at(i)
    if word[:1].isdecimal():
        try:
            return float(word.replace(",", ".")), i + 1
        except ValueError:
            return None
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
    **dict.fromkeys(("cm", "cms", "centimetre", "centimeter", "centimetres", "centimeters"), ("cm", 1.0)),
    **dict.fromkeys(("mm", "mms", "millimetre", "millimeter", "millimetres", "millimeters"), ("cm", 0.1)),
    **dict.fromkeys(("m", "metre", "metres"), ("cm", 100.0)),
    **dict.fromkeys(("in", "inch", "inches", '"', "''", "”", "″"), ("cm", 2.54)),
    **dict.fromkeys(("ml", "mls", "mil", "mils", "millilitre", "milliliter", "millilitres", "milliliters"), ("ml", 1.0)),
    **dict.fromkeys(("cl",), ("ml", 10.0)),
    **dict.fromkeys(("l", "litre", "litres", "ltr", "ltrs", "liter", "liters", "lt"), ("l", 1.0)),
    **dict.fromkeys(("pint", "pints", "pt"), ("l", 0.568)), **dict.fromkeys(("gallon", "gallons", "gal"), ("l", 4.546)),
    **dict.fromkeys(("g", "gr", "gram", "grams", "grammes"), ("g", 1.0)), **dict.fromkeys(("kg", "kilo", "kilos"), ("g", 1000.0)),
    **dict.fromkeys(("oz", "ounce", "ounces"), ("g", 28.35)), **dict.fromkeys(("lb", "lbs"), ("g", 453.6)),
    **dict.fromkeys(("c", "°c", "celsius", "degc", "centigrade"), ("c", 1.0)),
    **dict.fromkeys(("f", "°f", "fahrenheit"), ("f", 1.0)),
    **dict.fromkeys(("°", "deg", "degs", "degrees", "degree", "º"), ("degree", 1.0)),
    **dict.fromkeys(("%", "percent", "pc", "per cent"), ("percent", 1.0)),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), ("minutes", 1.0)),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), ("minutes", 60.0)),
    **dict.fromkeys(("sec", "secs", "second", "seconds"), ("minutes", 1 / 60)),
    **dict.fromkeys(("day", "days"), ("days", 1.0)), **dict.fromkeys(("week", "weeks", "wk", "wks"), ("days", 7.0)),
    **dict.fromkeys(("fortnight", "fortnights"), ("days", 14.0)), **dict.fromkeys(("month", "months"), ("days", 30.0)),
    **dict.fromkeys(("year", "years", "yr", "yrs"), ("days", 365.0)),
    **dict.fromkeys(("quid", "pounds", "pound", "gbp"), ("GBP", 1.0)), **dict.fromkeys(("euro", "euros", "eur"), ("EUR", 1.0)),
    **dict.fromkeys(("p", "pence"), ("GBP", 0.01)), **dict.fromkeys(("dollars", "usd", "bucks"), ("USD", 1.0)),
    **dict.fromkeys(("kc", "kč", "czk"), ("CZK", 1.0)),
    **dict.fromkeys(("ppm",), ("ppm", 1.0)), **dict.fromkeys(("sachet", "sachets"), ("sachet", 1.0)),
    **dict.fromkeys(("drops", "drop"), ("drops", 1.0)), **dict.fromkeys(("tsp", "teaspoon", "teaspoons"), ("tsp", 1.0)),
    **dict.fromkeys(("tbsp", "tablespoon"), ("tbsp", 1.0)), **dict.fromkeys(("capful", "capfuls", "cap"), ("capful", 1.0)),
}  # fmt: skip
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
