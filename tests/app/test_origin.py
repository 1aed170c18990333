"""Field numbers, provenance and the text of labels: kept as typed, on the card, in the files; what is wild stays off lists."""

from __future__ import annotations

import csv
import io

import pytest

from bot.app.exchanging import plants_table
from bot.app.labels_talk import label_of
from bot.sharing.listing import Shown, rows
from tests.app.bench import Bench


def some(bench: Bench) -> Bench:
    bench.type("12 is a lobivia")
    bench.type("13 is a rebutia")
    return bench


@pytest.mark.parametrize(("words", "fact", "value"), [
    ("12 has field number WR 88", "field_number", "WR 88"),
    ("field number of 12 is Lau 1024a", "field_number", "Lau 1024a"),
    ('the label of 12 says "Lob. aff. pampana WR 88 = HJ?"', "label_text", "Lob. aff. pampana WR 88 = HJ?"),
    ("12 came labelled Mamm. sp. nova", "label_text", "Mamm. sp. nova"),
    ("12 is wild-collected", "provenance", "W"),
    ("12 is from wild seed", "provenance", "Z"),
    ("12 is nursery grown", "provenance", "G"),
    ("12 is of unknown origin", "provenance", "U"),
    ("provenance of 12 is z", "provenance", "Z"),
])  # fmt: skip
def test_it_is_kept_as_typed(bench: Bench, words: str, fact: str, value: str) -> None:
    said = some(bench).type(words)
    assert said.written == ["data"]
    assert bench.thing("plant", "12").tally[fact] == value
    assert bench.type("undo").text.startswith("Taken back: 12 (Lobivia): ")
    assert fact not in bench.thing("plant", "12").tally


@pytest.mark.parametrize("words", ["99 has field number WR 88", "the label of 99 says Lobivia", "99 is wild-collected"])
def test_of_a_plant_that_is_not_here_nothing_is_kept(bench: Bench, words: str) -> None:
    assert "data" not in some(bench).type(words).written


def test_it_stands_on_card_label_and_in_the_table(bench: Bench) -> None:
    some(bench).type("12 has field number WR 88")
    bench.type("12 is of unknown origin")
    assert "WR 88, of unknown origin." in bench.type("card 12").text
    assert label_of(bench.thing("plant", "12"), "").field_number == "WR 88"
    table = list(csv.DictReader(io.StringIO(plants_table(bench.standing))))
    assert [(one["field_number"], one["provenance"]) for one in table if one["number"] == "12"] == [("WR 88", "U")]


def test_what_is_wild_is_off_every_list(bench: Bench) -> None:
    some(bench).type("12 is wild-collected")
    assert [one.name for one in rows(bench.standing, Shown())] == ["Rebutia"]


def test_a_plant_out_of_a_lot_has_what_its_lot_has(bench: Bench) -> None:
    bench.type("9 mixed cacti from irma, bare root, 35 euro")
    bench.type("the irma lot is from wild seed")
    bench.type("one of the irma lot is now 214")
    assert bench.thing("plant", "214").tally["provenance"] == "Z"
