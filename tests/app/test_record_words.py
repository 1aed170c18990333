"""Words that put the record right: nothing is written twice, on the wrong plants or on a day to come."""

from __future__ import annotations

import pytest

from bot.app.intake import rebuild
from tests.app.bench import Bench


def some(bench: Bench) -> Bench:
    bench.type("12-20 are rebutias on bench 2")
    bench.type("30-35 are lobivias on bench 3")
    return bench


def keys(said: object) -> set[str]:
    return {ref.key for one in said.events for ref in one.refs}  # type: ignore[attr-defined]


def test_the_rest_are_those_beside_the_ones_spoken_of(bench: Bench) -> None:
    some(bench).type("mites on 12 and 13")
    assert keys(bench.type("the rest are fine")) == {str(one) for one in range(14, 21)}


def test_another_day_for_what_was_written_is_no_second_watering(bench: Bench) -> None:
    some(bench).type("watered 15 on the 1st")
    said = bench.type("the watering of 15 was the 2nd")
    assert [one.kind for one in said.events] == ["amended"]
    assert bench.standing.things[("plant", "15")].last["watered"] == "2026-04-02"
    assert bench.type("the watering of 30 was yesterday").written == []


@pytest.mark.parametrize("day", ["1 April", "1 apr", "1st"])
def test_other_plants_for_what_was_written_that_day(bench: Bench, day: str) -> None:
    some(bench).type("watered bench 2 on 1 april")
    bench.type("watered 31 on 3 april")
    said = bench.type(f"the {day} watering was bench 3")
    assert [one.kind for one in said.events] == ["amended"]
    assert bench.standing.things[("plant", "30")].last["watered"] == "2026-04-01"
    assert "watered" not in bench.standing.things[("plant", "12")].last
    assert bench.standing.things[("plant", "31")].last["watered"] == "2026-04-03"
    bench.type("undo")
    assert bench.standing.things[("plant", "12")].last["watered"] == "2026-04-01"


def test_other_plants_for_a_day_without_a_watering_write_nothing(bench: Bench) -> None:
    some(bench).type("watered bench 2 on 1 april")
    assert bench.type("the 2 april watering was bench 3").written == []
    for unknown in ("bench 99", "350"):
        said = bench.type(f"the 1 april watering was {unknown}")
        assert (said.written, said.text.startswith(f"I don't know {unknown}.")) == ([], True)


def test_undo_with_a_number_is_about_that_plant(bench: Bench) -> None:
    some(bench).type("watered 15")
    bench.type("fed 31")
    assert bench.type("undo 20000").written == []
    assert "15" in bench.type("undo 15").text
    assert "watered" not in bench.standing.things[("plant", "15")].last
    assert "fed" in bench.standing.things[("plant", "31")].last


def test_all_but_one_is_what_stands_beside_it(bench: Bench) -> None:
    some(bench).type("fed 31")
    assert keys(bench.type("watered all but 13")) == {"12", *(str(one) for one in range(14, 21))}
    bench.type("fed 30, 31 and 32")
    assert keys(bench.type("watered all but 31")) == {"30", "32"}


@pytest.mark.parametrize(
    "words", ["watered bench 3 on 4 june 2026", "watered bench 3 on 20 june", "watered bench 3 on 20 june 2031"]
)
def test_a_day_to_come_is_asked_about(bench: Bench, words: str) -> None:
    said = some(bench).type(words)
    assert said.written == []
    assert said.text.endswith("Which day was that?")
    assert bench.type("yesterday").written == ["watered"]


def test_more_than_stand_there_is_asked_about(bench: Bench) -> None:
    said = some(bench).type("soaked 8 on bench 3")
    assert "Bench 3 holds 6. Which ones, or how many?" in said.text
    assert said.written == []


def test_a_place_is_renamed_and_found_by_both_names(bench: Bench) -> None:
    said = some(bench).type("rename bench 2 to oak shelf")
    assert said.written == ["place"]
    assert "12" in keys(bench.type("watered the oak shelf"))
    assert "12" in keys(bench.type("watered bench 2"))
    assert "is bench 2 already" in bench.type("rename bench 3 to oak shelf").text


def test_a_nickname_in_a_sentence(bench: Bench) -> None:
    assert some(bench).type("12 is Bob").written == ["plant"]
    assert keys(bench.type("watered bob")) == {"12"}
    assert bench.type("13 is Lobivia").written == ["named"]
    assert bench.type("watered alice").written == []


def test_an_unknown_name_is_not_the_plant_spoken_of_last(bench: Bench) -> None:
    some(bench).type("12 is Bobby")
    bench.type("watered 15")
    said = bench.type("fed bob")
    assert (said.written, "No plant here is called “bob”" in said.text, "Bobby" in said.text) == ([], True, True)
    assert bench.type("yes").written == []


def test_the_same_again(bench: Bench) -> None:
    assert bench.type("same again").written == []
    some(bench).type("soaked 13")
    said = bench.later(days=9).type("same again")
    assert said.written == ["watered"]
    assert (keys(said), said.events[0].facts.get("how")) == ({"13"}, "soak")


def test_parents_and_children(bench: Bench) -> None:
    said = some(bench).type("14 is an offset of 12")
    assert said.events[0].facts == {"parent": "plant:12", "how": "offset"}
    assert "Children of 12: 14" in bench.type("children of 12").text
    assert "14: offset of 12" in bench.type("parents of 14").text
    rows = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == rows
    bench.type("undo")
    assert bench.standing.things[("plant", "14")].parent == ""


@pytest.mark.parametrize(("words", "said"), [
    ("12 is an offset of 12", "cannot come from"),
    ("12 is a cutting of 15", "cannot come from"),
    ("15 is a cutting of 99", "I don't know 99. Did you mean"),
])  # fmt: skip
def test_no_plant_is_its_own_parent(bench: Bench, words: str, said: str) -> None:
    some(bench).type("14 is an offset of 12")
    bench.type("15 is an offset of 14")
    told = bench.type(words)
    assert told.written == []
    assert said in told.text


def test_a_card_is_asked_for(bench: Bench) -> None:
    assert some(bench).type("card 12").text == bench.type("what is 12").text
    assert bench.type("card 99").written == []


@pytest.mark.parametrize("words", ["photos of 12", "show me 12 over the years"])
def test_no_photo_is_filed_by_asking_for_one(bench: Bench, words: str) -> None:
    said = some(bench).type(words)
    assert said.written == []
    assert said.text == "No photo of 12 (Rebutia) is kept."
