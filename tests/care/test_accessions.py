"""Accession numbers: their form, and that none is ever given twice."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from bot.care.accessions import NUMBER, facts_of_more, facts_of_new, letter, next_number, number_of, remembered
from bot.care.events import CareEvent, Ref
from bot.care.fold import fold_all


def came(identity: str, refs: tuple[Ref, ...], sequence: int, **facts: object) -> CareEvent:
    on = date(2026, 4, 1)
    return CareEvent(identity, 0, on, datetime(2026, 4, 1, tzinfo=UTC), "event", "acquired", refs, facts, sequence=sequence)


def withdrawn(target: str, sequence: int) -> CareEvent:
    on = date(2026, 4, 1)
    facts = {"targets": [target]}
    return CareEvent(f"w{sequence}", 0, on, datetime(2026, 4, 1, tzinfo=UTC), "withdrawn", "", (), facts, sequence=sequence)


@pytest.mark.parametrize(("index", "said"), [(0, "A"), (1, "B"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (702, "AAA")])
def test_letters_go_on_after_z(index: int, said: str) -> None:
    assert letter(index) == said


def test_the_form_is_year_number_and_letter() -> None:
    """Common practice: 2026.0012 for an accession, 2026.0012*A for a single plant of it."""
    assert next_number({"2026": 11, "2025": 400}, 2026) == "2026.0012"
    assert next_number({}, 2027) == "2027.0001"
    assert next_number({"2026": 9999}, 2026) == "2026.10000"
    assert NUMBER.fullmatch("2026.10000*AB")
    two = came("a", (Ref("plant", "3"), Ref("plant", "4")), 1, **facts_of_new({}, 2026, 2))
    assert [number_of(two, 0), number_of(two, 1)] == ["2026.0001*A", "2026.0001*B"]
    one = came("b", (Ref("plant", "5"),), 2, **facts_of_new({"2026": 1}, 2026, 1))
    assert number_of(one, 0) == "2026.0002"
    assert number_of(came("c", (Ref("plant", "5"),), 3), 0) == ""


def test_letters_of_a_number_go_on_where_they_ended() -> None:
    given = remembered({}, [came("a", (Ref("lot", "barn", 9),), 1, accession="2026.0001")])
    assert given == {"2026": 1}
    first = came("b", (Ref("plant", "1"), Ref("plant", "2")), 2, **facts_of_more(given, "2026.0001"))
    given = remembered(given, [first])
    assert number_of(first, 1) == "2026.0001*B"
    assert number_of(came("c", (Ref("plant", "3"),), 3, **facts_of_more(given, "2026.0001")), 0) == "2026.0001*C"


def test_what_was_taken_back_is_still_remembered() -> None:
    log = [came("a", (Ref("lot", "barn", 9),), 1, accession="2026.0007"), withdrawn("a", 2)]
    standing = fold_all(log)
    assert ("lot", "barn") not in standing.things
    assert next_number(standing.accessions, 2026) == "2026.0008"
