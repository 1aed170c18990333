"""Accession numbers: one for what came in of one source on one day, with a letter for each plant of it.

"2026.0012" is the twelfth accession of 2026, "2026.0012*A" the first single plant of it (common practice). A number or letter
that was ever given is never given again, whether or not what got it was taken back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from bot.care.events import CareEvent

NUMBER = re.compile(r"(?P<year>\d{4})\.(?P<number>\d{4,})(?:\*(?P<letter>[A-Za-z]{1,3}))?")
FACT, FIRST = "accession", "qualifier"  # the number of what an event brought in; which letter its first plant has, from 0
LETTERS = "letters"  # which letter each of its plants has, from 0, where one of them turned out to be another


def letter(index: int) -> str:
    """Return the qualifier of a plant by its place, from 0: A to Z, AA, AB and on."""
    out = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        out = chr(ord("A") + rest) + out
    return out


def index_of(letters: str) -> int:
    """Return the place, from 0, of a qualifier: the inverse of `letter`."""
    index = 0
    for one in letters.upper():
        index = 26 * index + ord(one) - ord("A") + 1
    return index - 1


def number_of(event: CareEvent, position: int) -> str:
    """Return the accession number that an event gives the thing at a position of its refs; empty where it gives none."""
    number = str(event.facts.get(FACT, ""))
    first = event.facts.get(FIRST)
    if number and LETTERS in event.facts:
        return f"{number}*{letter(int(event.facts[LETTERS][position]))}"
    if not number or (first is None and len(event.refs) == 1):
        return number
    return f"{number}*{letter(int(first or 0) + position)}"


def remember(given: dict[str, int], event: CareEvent) -> None:
    """Bring what was given up to an event, counted or withdrawn: the highest number by year, and letters used by number."""
    found = NUMBER.fullmatch(str(event.facts.get(FACT, "")))
    if found is None:
        return
    given[found["year"]] = max(given.get(found["year"], 0), int(found["number"]))
    lettered = event.facts.get(FIRST) is not None or len(event.refs) > 1
    used = int(event.facts.get(FIRST) or 0) + len(event.refs) if lettered else 0
    if used:
        number = f"{found['year']}.{found['number']}"
        given[number] = max(given.get(number, 0), used)


def remembered(given: dict[str, int], log: Iterable[CareEvent]) -> dict[str, int]:
    """Return what was given up to the end of a log."""
    held = dict(given)
    for event in log:
        remember(held, event)
    return held


def next_number(given: dict[str, int], year: int) -> str:
    """Return the first number of a year that was never given."""
    return f"{year}.{given.get(str(year), 0) + 1:04d}"


def facts_of_new(given: dict[str, int], year: int, plants: int) -> dict[str, Any]:
    """Return the facts by which an event gives a new number to what it brings in, with letters where that is several plants."""
    return {FACT: next_number(given, year)} | ({FIRST: 0} if plants > 1 else {})


def facts_of_more(given: dict[str, int], number: str) -> dict[str, Any]:
    """Return the facts by which an event gives plants the next letters of a number that exists."""
    return {FACT: number, FIRST: given.get(number, 0)}
