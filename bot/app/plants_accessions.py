"""Accession numbers that a spreadsheet brings: kept as they are, each for one plant, and never one that was given before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from bot.app.plants_rows import Fault, PlantRow
from bot.care.accessions import FACT, FIRST, NUMBER, index_of, number_of
from bot.care.events import CareEvent
from bot.care.standing import OTHER_NUMBERS, Standing

_LABELS = ("plant", "lot")


def with_own_numbers(
    rows: Sequence[PlantRow], standing: Standing, log: Iterable[CareEvent]
) -> tuple[list[PlantRow], list[Fault]]:
    """Return the rows whose accession numbers can be theirs, and what is wrong with the others."""
    given = _given(standing, log) if any("accession" in one.values for one in rows) else {}
    good: list[PlantRow] = []
    faults: list[Fault] = []
    first_at: dict[str, int] = {}
    for row in rows:
        number = row.values.get("accession")
        if number is None:
            good.append(row)
            continue
        owner = given.get(number)
        if number in first_at:
            faults.append(Fault(row.row, "accession_twice", {"cell": number, "first": first_at[number]}))
        elif owner is not None and owner.casefold() != row.label.casefold():
            faults.append(Fault(row.row, "accession_given", {"cell": number, "label": owner}))
        else:
            good.append(row)
        first_at.setdefault(number, row.row)
    return good, faults


def _given(standing: Standing, log: Iterable[CareEvent]) -> dict[str, str]:
    """Return who has or had each number: what was taken back counts too, since no number is given twice."""
    had = {
        number_of(event, position): ref.key
        for event in log
        if event.facts.get(FACT)
        for position, ref in enumerate(event.refs)
        if ref.kind in _LABELS
    }
    has = {number: one.key for one in standing.things.values() for number in (one.accession, *one.tally.get(OTHER_NUMBERS, ()))}
    return {number: key for number, key in (had | has).items() if number}


def facts_of(number: str) -> dict[str, Any]:
    """Return the facts by which an event gives one thing a number that it brings along."""
    whole, star, letters = number.partition("*")
    return {FACT: whole} | ({FIRST: index_of(letters)} if star else {})


def reserved(given: Mapping[str, int], rows: Iterable[PlantRow]) -> dict[str, int]:
    """Return the highest numbers given by year with those that rows bring, so that none of them is given to another row."""
    out = dict(given)
    for one in rows:
        found = NUMBER.fullmatch(str(one.values.get("accession", "")))
        if found is not None:
            out[found["year"]] = max(out.get(found["year"], 0), int(found["number"]))
    return out
