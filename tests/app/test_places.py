"""Places as a tree, and what is usual in one."""

from __future__ import annotations

import pytest

from bot.app.intake import rebuild
from tests.app.bench import Bench


def tree(bench: Bench) -> None:
    for words in ("12-14 are lithops", "moved 12-14 to tray 3", "tray 3 is on bench 2", "bench 2 is in the cool house"):
        bench.type(words)


def test_what_stands_in_a_place_stands_in_what_holds_it(bench: Bench) -> None:
    tree(bench)
    assert {one.key for one in bench.standing.within("cool house")} >= {"12", "13", "14"}
    assert bench.standing.around("tray 3") == ["tray 3", "bench 2", "cool house"]


@pytest.mark.parametrize(
    "words", ["tray 3 is in tray 3", "bench 2 is on tray 3", "the cool house is on tray 3", "moved bench 2 to tray 3"]
)
def test_no_place_stands_in_itself(bench: Bench, words: str) -> None:
    tree(bench)
    said = bench.type(words)
    assert said.written == []
    assert "Nothing changed" in said.text


@pytest.mark.parametrize(
    ("words", "pot"),
    [
        ("bench 2 is 7s, plastic, half mineral, full sun", {"cm": 7.0, "material": "plastic", "mix": "half mineral"}),
        ("everything on bench 2 is in 3 inch clay", {"cm": 7.6, "material": "clay"}),
        ("bench 2 is 90 mm square pots in pumice", {"cm": 9.0, "material": "square", "mix": "pumice"}),
        ("bench 2 is 5,5 cm", {"cm": 5.5}),
    ],
)
def test_what_is_usual_on_a_bench(bench: Bench, words: str, pot: dict[str, object]) -> None:
    tree(bench)
    said = bench.type(words)
    assert said.written == ["usual"]
    assert bench.standing.rules["place:bench 2"]["pot"] == pot
    usual = bench.standing.usual_pots()
    assert usual["tray 3"] == usual["bench 2"] == {**pot, "place": "bench 2", "since": bench.now.date().isoformat()}
    before = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before
    bench.type("undo")
    assert bench.standing.usual_pots() == {}


def test_a_pot_of_its_own_comes_before_what_is_usual(bench: Bench) -> None:
    tree(bench)
    bench.type("repotted 12 into 11 cm clay")
    bench.type("bench 2 is 7s, plastic")
    bench.type("watered 13")
    (look,) = [one for one in bench.dues if one.kind == "dry_look" and "13" in [ref.key for ref in one.refs]]
    assert (look.why["pot_cm"], look.why["usual_in"], look.why["assumed"]) == (7.0, "bench 2", False)
    assert bench.standing.things[("plant", "12")].pot["cm"] == 11


@pytest.mark.parametrize("words", ["bench 2 is 7s in velvet", "bench 2 is 900 cm", "bench 2 is 1 cm"])
def test_what_cannot_be_usual_is_said_and_not_kept(bench: Bench, words: str) -> None:
    tree(bench)
    said = bench.type(words)
    assert said.written == []
    assert "othing kept" in said.text


@pytest.mark.parametrize(
    "words", ["bench 2 is dry", "bench 2 is clean", "12 is on hold", "what is on bench 2", "nothing is on bench 2"]
)
def test_other_words_about_a_place_are_left_to_the_reader(bench: Bench, words: str) -> None:
    tree(bench)
    bench.type(words)
    assert not [one for one in bench.standing.rules if one.startswith("place:")]
    assert bench.standing.things[("plant", "12")].place == "tray 3"
