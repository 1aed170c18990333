"""Accession numbers as gardens write them (common practice), and their letters against a spreadsheet library's columns."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from openpyxl.utils import column_index_from_string, get_column_letter

from bot.care.accessions import FACT, facts_of_more, facts_of_new, index_of, letter, next_number, number_of, remember, remembered
from bot.care.events import CareEvent, Ref

pytestmark = pytest.mark.published


def came(facts: dict[str, object], *labels: str) -> CareEvent:
    """An event that brings plants in."""
    refs = tuple(Ref("plant", one) for one in labels)
    return CareEvent("1", 0, date(2026, 5, 4), datetime(2026, 5, 4, tzinfo=UTC), "event", "acquired", refs, facts)


def test_year_and_number_with_a_letter_for_each_plant() -> None:
    """Common practice of botanic gardens: year, running number, a letter for each plant; never given twice."""
    given = {"2026": 11}
    assert next_number(given, 2026) == "2026.0012"
    assert next_number(given, 2027) == "2027.0001"
    one = came(facts_of_new(given, 2026, 1), "12")
    assert number_of(one, 0) == "2026.0012"
    three = came(facts_of_new(given, 2026, 3), "12", "13", "14")
    assert [number_of(three, position) for position in range(3)] == ["2026.0012*A", "2026.0012*B", "2026.0012*C"]
    remember(given, three)
    more = came(facts_of_more(given, "2026.0012"), "15")
    assert number_of(more, 0) == "2026.0012*D"
    assert next_number(remembered(given, [more]), 2026) == "2026.0013"
    assert more.facts[FACT] == "2026.0012"


@pytest.mark.parametrize("index", [0, 1, 25, 26, 27, 51, 52, 701, 702])
def test_letters_go_on_as_the_columns_of_a_sheet(index: int) -> None:
    """Reference: openpyxl, columns of a spreadsheet (ISO/IEC 29500-1:2016, A to Z, AA and on)."""
    assert letter(index) == get_column_letter(index + 1)


@pytest.mark.parametrize("letters", ["A", "B", "Z", "AA", "AZ", "BA", "ZZ", "AAA", "aa"])
def test_letters_lead_back_as_the_columns_of_a_sheet(letters: str) -> None:
    """Reference: openpyxl, columns of a spreadsheet (ISO/IEC 29500-1:2016, A to Z, AA and on)."""
    assert index_of(letters) == column_index_from_string(letters) - 1
