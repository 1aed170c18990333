"""Wishes: the grower's and others', kept, listed, dropped, and shown on lists; what only looks like a wish writes none."""

from __future__ import annotations

import csv
import io

import pytest

from bot.app.wishing import MOST_AT_ONCE
from bot.care.standing import Standing
from bot.sharing.files import content
from bot.sharing.listing import Row, wished_for
from bot.sharing.page import as_csv, page
from tests.app.bench import Bench
from tests.app.test_labels_asked import files


def some(bench: Bench) -> Bench:
    bench.type("12-14 are thelos on bench 2")
    bench.type("20 is a lobivia")
    bench.type("call 20 bob")
    return bench


def kept(bench: Bench) -> list[tuple[str, str]]:
    return [(one["who"], one["name"]) for one in bench.standing.wishes.values()]


@pytest.mark.parametrize(
    ("words", "wishes"),
    [
        ("i want a Copiapoa cinerea", [("", "Copiapoa cinerea")]),
        ("I want a copiapoa cinerea please.", [("", "Copiapoa cinerea")]),
        ("i want a christmas cactus", [("", "Schlumbergera")]),
        ("i'd like some lithops", [("", "Lithops")]),
        ("looking for a Lobivia wrightiana KK 608", [("", "Lobivia wrightiana KK 608")]),
        ("wishlist: puna clavarioides, lithops", [("", "Lithops"), ("", "Puna clavarioides")]),
        ("add a rebutia to my wish list", [("", "Rebutia")]),
        ("pavel wants the thelo", [("Pavel", "Thelocactus")]),
        ("Pavel wants 2 of the thelos and a lobivia", [("Pavel", "Lobivia"), ("Pavel", "Thelocactus")]),
        ("my daughter wants a lithops", [("Daughter", "Lithops")]),
        ("add a sulcorebutia rauschii to anna's wish list", [("Anna", "Sulcorebutia rauschii")]),
    ],
)
def test_a_wish_is_kept(bench: Bench, words: str, wishes: list[tuple[str, str]]) -> None:
    some(bench).type(words)
    assert sorted(kept(bench)) == wishes


@pytest.mark.parametrize(
    "words",
    [
        "i want to water 12",
        "i want rain",
        "12 wants water",
        "bob wants water",
        "bob wants a thelo",
        "the thelos want repotting",
        "anna wants the thelo repotted",
        "bench 2 wants feeding",
        "someone wants the thelo",
        "i want the thelos on bench 2",
        "i want 12",
        "my thelo wants a lobivia",
        "my pots want a lithops",
        "i wish i had watered 12",
        "wishlist:",
        "i want a",
        "anna wants the lobivia by friday",
        "who wants a thelo",
        "i want a cup of tea",
    ],
)
def test_what_only_looks_like_a_wish_is_none(bench: Bench, words: str) -> None:
    some(bench).type(words)
    assert kept(bench) == []


def test_a_whole_catalogue_is_no_wish(bench: Bench) -> None:
    some(bench).type("wishlist: " + ", ".join(["rebutia"] * (MOST_AT_ONCE + 1)))
    assert kept(bench) == []


def test_who_wants_what_is_answered(bench: Bench) -> None:
    some(bench)
    assert bench.type("what do i wish for").text.startswith("Nothing is on your wish list")
    assert bench.type("who wants what").text.startswith("Nobody has told a wish yet")
    assert bench.type("pavel wants the thelo").text.startswith("Pavel wants Thelocactus. You have 3 that could go.")
    bench.type("i want a copiapoa cinerea")
    bench.type("anna wants a copiapoa")
    assert bench.type("who wants a copiapoa").text == "2. You: Copiapoa cinerea, since 15 Apr\n3. Anna: Copiapoa, since 15 Apr"
    assert bench.type("what does pavel want").text == "1. Pavel: Thelocactus, since 15 Apr"
    assert bench.type("my wish list").text == "2. You: Copiapoa cinerea, since 15 Apr"
    assert bench.type("who wants a rebutia").text == "Nobody has asked for Rebutia."
    assert bench.type("i want a Copiapoa cinerea").text == "Copiapoa cinerea is on your wish list already."


def test_a_wish_is_dropped_and_undone(bench: Bench) -> None:
    some(bench)
    bench.type("pavel wants the thelo")
    bench.type("i want a copiapoa cinerea")
    bench.type("wishlist: puna clavarioides")
    assert bench.type("drop wish 9").text.startswith("There is no wish 9.")
    assert bench.type("pavel doesn't want the thelo any more").text.startswith("Off Pavel's wish list: Thelocactus.")
    bench.type("undo")
    assert ("Pavel", "Thelocactus") in kept(bench)
    bench.type("drop wish 1")
    bench.type("i no longer want the copiapoa")
    bench.type("take puna clavarioides off my wish list")
    assert kept(bench) == []
    assert bench.type("take puna clavarioides off my wish list").text == "Puna clavarioides is not on your wish list."


def test_the_same_rows_come_of_the_log_again(bench: Bench) -> None:
    some(bench)
    bench.type("pavel wants the thelo")
    bench.type("wishlist: puna clavarioides, lithops")
    bench.type("drop wish 2")
    held = bench.standing
    assert Standing.from_rows(held.rows()).wishes == held.wishes
    assert len(held.wishes) == 2


def test_the_owners_wishes_are_on_the_list_and_nobody_elses(bench: Bench) -> None:
    some(bench)
    bench.type("pavel wants the rebutia")
    bench.type("i want a Copiapoa cinerea ex Rio Seco")
    bench.type("i want a lithops aucampiae")
    assert wished_for(bench.standing) == ("Lithops aucampiae",), "a name with a locality is no name by the codes"
    bench.type("wishlist: Copiapoa cinerea ex Rio Seco")
    assert wished_for(bench.standing) == ("Copiapoa cinerea", "Lithops aucampiae")
    bench.type("send my list as html")
    (made,) = files(bench)
    text = content(made).decode()
    assert "Wished for</h2>\n<p>Copiapoa cinerea, Lithops aucampiae.</p>" in text
    assert "Rio Seco" not in text
    assert "Pavel" not in text


def test_a_wish_in_a_table_is_no_formula() -> None:
    table = list(csv.reader(io.StringIO(as_csv([Row("Rebutia", 1, None, "", 0)], ["=1+1"]))))
    assert table[2] == ["'=1+1", "", "", "wished for", ""]
    assert "<b>" not in page([], None, wishes=["<b>x"])


def test_a_wish_that_came_true_is_off_the_list_and_back_with_undo(bench: Bench) -> None:
    bench.type("i want a copiapoa cinerea")
    bench.type("Anna wants a copiapoa cinerea")
    assert bench.type("got 2 copiapoa from Tom").written == ["acquired"]  # a genus is not the species
    said = bench.type("bought 1 copiapoa cinerea from Tom")
    assert said.written == ["acquired", "dropped"]
    assert "Off your wish list: Copiapoa cinerea." in said.text
    assert "Nothing is on your wish list" in bench.type("my wish list").text
    assert "Anna" in bench.type("who wants what").text
    bench.type("undo")
    assert "Copiapoa cinerea" in bench.type("my wish list").text
