"""Accession numbers in the talk: given to what comes in, never twice, on the card, on paper and in the files."""

from __future__ import annotations

import csv
import io

import pytest

from bot.app.exchanging import plants_table
from bot.app.intake import rebuild
from bot.app.labels_talk import label_of
from tests.app.bench import Bench


def number(bench: Bench, label: str) -> str:
    return bench.thing("plant", label).accession


def test_what_comes_in_gets_the_next_number_of_its_year(bench: Bench) -> None:
    said = bench.type("14 mixed cacti from irma, bare root, 35 euro")
    assert "2026.0001" in said.text
    bench.type("bought #12 from Anna")
    bench.type("bought 20 and 21 from Anna")
    assert bench.thing("lot", "irma").accession == "2026.0001"
    assert [number(bench, one) for one in ("12", "20", "21")] == ["2026.0002", "2026.0003*A", "2026.0003*B"]
    bench.at("2027-01-02T10:00").type("bought #30 from Anna")
    assert number(bench, "30") == "2027.0001"
    rows = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == rows


def test_a_number_is_not_given_again_after_an_undo(bench: Bench) -> None:
    bench.type("bought #12 from Anna")
    bench.type("undo")
    rebuild(bench.database, bench.now)
    assert "2026.0002" in bench.type("bought #12 from Anna").text
    bench.type("undo")
    assert "2026.0003" in bench.type("bought #13 from Anna").text


def test_a_question_answered_keeps_the_number_of_its_note(bench: Bench) -> None:
    asked = bench.note(
        {"type": "event", "act": "acquired", "which": {"count": 4}}, decision="log_ask", ask="who", text="got four somewhere"
    )
    assert "2026.0001" in asked.text
    said = bench.note(
        {"type": "event", "act": "acquired", "which": {"count": 4}, "details": {"from": "anna"}}, answers=True, text="from anna"
    )
    assert "2026.0001" in said.text
    assert "2026.0002" in bench.type("bought #12 from Anna").text


@pytest.mark.parametrize("words", ["accession 2026.0001", "2026.0001", "Accession 2026.1?", "show me accession no 2026.0001"])
def test_a_number_opens_the_card(bench: Bench, words: str) -> None:
    bench.type("bought #12 from Anna")
    said = bench.type(words)
    assert said.written == []
    assert said.text == bench.type("card 12").text
    assert "Accession 2026.0001." in said.text


def test_numbers_that_are_of_several_or_of_none(bench: Bench) -> None:
    bench.type("bought 12 and 13 from Anna")
    assert bench.type("accession 2026.0001").text == "2026.0001: 12 and 13."
    assert bench.type("accession 2026.1 * b").text == bench.type("card 13").text
    assert "Nothing here has the accession number 2026.0009" in bench.type("accession 2026.9").text
    assert bench.type("accession of 12").text == "12: 2026.0001*A."


def test_what_stands_here_without_a_number_is_given_one(bench: Bench) -> None:
    bench.type("15 is a lobivia")
    assert "no accession number yet" in bench.type("accession of 15").text
    assert bench.type("give 15 an accession number").written == ["accession"]
    assert number(bench, "15") == "2026.0001"
    assert bench.type("give 15 an accession number").written == []
    assert "Taken back: 15 (Lobivia): accession 2026.0001" in bench.type("undo").text
    assert number(bench, "15") == ""


def test_it_stands_in_the_table_and_on_the_label(bench: Bench) -> None:
    bench.type("bought #12 from Anna")
    rows = list(csv.DictReader(io.StringIO(plants_table(bench.standing))))
    assert [(one["number"], one["accession"]) for one in rows if one["kind"] == "plant"] == [("12", "2026.0001")]
    assert label_of(bench.thing("plant", "12"), "").accession == "2026.0001"
