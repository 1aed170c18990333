"""What one cell of a spreadsheet says: a day, a pot, a price, a count, in the ways in which growers write them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from bot.care.accessions import NUMBER

DateOrder = str  # "dmy" or "mdy", as the grower writes dates
INCH_CM = 2.54
OLDEST_YEAR = 1900
OLDEST_ACCESSION = 1700  # project default: no living collection numbers further back
_NUMERIC = re.compile(r"(\d{1,2})[./\- ](\d{1,2})[./\- ](\d{2}|\d{4})\.?")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{1,2}:\d{2}.*)?")
_MONTH_YEAR = re.compile(
    r"(?:(\d{1,2})[./\-]|(\d{1,2})(?:st|nd|rd|th|\.)? )?([^\W\d_]{3,})\.?,? (?:(\d{1,2})(?:st|nd|rd|th)?,? )?(\d{4})"
)
_OF_MONTH = re.compile(r"(\d{1,2})[./\-](\d{4})|(\d{4})-(\d{1,2})")
_YEAR = re.compile(r"(?:ca?\.? ?|~ ?|about )?(\d{4})")
_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan januar january janvier enero",
            "feb februar february fevrier février febrero",
            "mar mär mrz märz march mars marzo",
            "apr april avril abril",
            "may mai mayo",
            "jun juni june juin junio",
            "jul juli july juillet julio",
            "aug august août aout agosto",
            "sep sept september septembre septiembre",
            "oct okt october oktober octobre octubre",
            "nov november novembre noviembre",
            "dec dez december dezember décembre decembre diciembre",
        ),
        1,
    )
    for name in names.split()
}
_POT = re.compile(
    r"(?:ø|⌀|p|pot|topf)?\s*(\d{1,3}(?:[.,]\d{1,2})?)\s*(cm|mm|inches|inch|in|\"|″|'')?(?:\s*[x\u00d7]\s*\d.*| pot.*)?\.?"
)
_PRICE = re.compile(
    r"(?P<before>[£€$¥]|[a-z]{2,3})?\s*(?P<value>\d+(?:[.,]\d{3})*(?:[.,]\d{1,2})?)\s*(?P<after>[£€$¥]|[a-z]{2,3})?",
    re.IGNORECASE,
)
_SIGNS = {"£": "GBP", "€": "EUR", "$": "USD", "¥": "JPY"}
_FREE = frozenset("free gift swap swapped gratis geschenk tausch 0".split())
SMALLEST_POT_CM, LARGEST_POT_CM = 1.0, 100.0


@dataclass(frozen=True, slots=True)
class Day:
    """A day; `approx` where only its month or year was written: then the middle of it."""

    on: date
    approx: bool = False


def read_date(cell: str, order: DateOrder) -> Day | None:
    """Return the day that a cell writes, in the grower's order; None where it is none, or no day that exists."""
    said = cell.strip()
    try:
        if found := _ISO.fullmatch(said):
            return Day(date(int(found[1]), int(found[2]), int(found[3])))
        if found := _NUMERIC.fullmatch(said):
            first, second, year = int(found[1]), int(found[2]), _year(found[3])
            return Day(date(year, first, second) if order == "mdy" else date(year, second, first))
        return _rough_date(said)
    except ValueError:
        return None


def _rough_date(said: str) -> Day | None:
    if found := _MONTH_YEAR.fullmatch(said):
        named = _MONTHS.get(found[3].lower())
        day = found[1] or found[2] or found[4]
        return Day(date(int(found[5]), named, int(day or 15)), not day) if named else None
    if found := _OF_MONTH.fullmatch(said):
        month, year = (found[1], found[2]) if found[1] else (found[4], found[3])
        return Day(date(int(year), int(month), 15), approx=True)
    if (found := _YEAR.fullmatch(said)) and int(found[1]) >= OLDEST_YEAR:
        return Day(date(int(found[1]), 7, 1), approx=True)
    return None


def _year(digits: str) -> int:
    """Return a year of two digits as one of 1970 to 2069."""
    return int(digits) if len(digits) == 4 else int(digits) + (1900 if int(digits) >= 70 else 2000)


def read_pot_cm(cell: str, units: str) -> float | None:
    """Return a pot's size in cm; a bare number is in the grower's units. None where it is no size, or no pot has it."""
    found = _POT.fullmatch(cell.strip().lower())
    if found is None:
        return None
    unit = found[2] or ("in" if units == "us" else "cm")
    size = float(found[1].replace(",", ".")) * (0.1 if unit == "mm" else 1.0 if unit == "cm" else INCH_CM)
    return round(size, 1) if SMALLEST_POT_CM <= size <= LARGEST_POT_CM else None


@dataclass(frozen=True, slots=True)
class Price:
    """What was paid; the currency is empty where it was not written."""

    value: float
    currency: str = ""


def read_price(cell: str) -> Price | None:
    """Return the price that a cell writes ("£4.50", "4,50 EUR", "gift"); None where it is none."""
    said = cell.strip()
    if said.casefold() in _FREE:
        return Price(0.0)
    found = _PRICE.fullmatch(said)
    if found is None:
        return None
    digits = re.sub(r"[.,](?=\d{3}(?:\D|$))", "", found["value"]).replace(",", ".")
    unit = (found["before"] or found["after"] or "").strip()
    return Price(float(digits), _SIGNS.get(unit, unit.upper()))


def read_accession(cell: str) -> str:
    """Return an accession number as it is kept: "2019.0042 *b" is 2019.0042*B. Raises ValueError where it is none.

    All four digits must be there: a spreadsheet that took 2019.0100 for a number has made 2019.01 of it, and nobody can tell
    that from 2019.0001.
    """
    found = NUMBER.fullmatch(re.sub(r"\s", "", cell).upper())
    if found is None or int(found["year"]) < OLDEST_ACCESSION or not int(found["number"]):
        raise ValueError(cell)
    return found[0]
