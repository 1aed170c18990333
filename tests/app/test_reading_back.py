"""Where a word was not understood the reading is shown, and a yes writes it."""

from __future__ import annotations

from tests.app.bench import Bench


def asked(bench: Bench) -> Bench:
    bench.type("12-20 are rebutias on bench 2")
    said = bench.type("moved 14 through the hedge")
    assert said.written == []
    assert said.text == "“through the hedge” I do not understand. I read: moved 14. Write that?"
    assert [one.words for one in said.buttons] == ["yes", "no"]
    return bench


def test_yes_writes_what_was_read(bench: Bench) -> None:
    assert asked(bench).type("yes").written == ["moved"]


def test_no_writes_nothing(bench: Bench) -> None:
    assert asked(bench).type("no").written == []


def test_another_note_leaves_it(bench: Bench) -> None:
    said = asked(bench).type("watered 12")
    assert said.written == ["watered"]
    assert [ref.key for one in said.events for ref in one.refs] == ["12"]


def test_half_of_a_place_in_words(bench: Bench) -> None:
    bench.type("12-20 are rebutias on bench 2")
    assert "watered half of bench 2" in bench.type("the frob watered half of bench 2").text
