"""The same for others, plants pointed at by how many they are, and which were not meant."""

from __future__ import annotations

import pytest

from tests.app.bench import Answer, Bench


def grown(bench: Bench) -> Bench:
    for one in ("12 is a lobivia", "14 is a rebutia", "15 is a rebutia", "16 is a lobivia"):
        bench.type(f"{one} on bench 1")
    bench.type("123 is a parodia on bench 2")
    return bench.later(hours=1)


def keys(said: Answer) -> set[str]:
    return {ref.key for one in said.events for ref in one.refs}


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("same again for 123", {"123"}),
        ("same for 14 and 15", {"14", "15"}),
        ("did the same to 16", {"16"}),
        ("ditto 15", {"15"}),
        ("14 and 15 the same", {"14", "15"}),
        ("the same treatment for the rebutias", {"14", "15"}),
        ("and 16 too", {"16"}),
    ],
)
def test_the_same_details_for_others(bench: Bench, words: str, meant: set[str]) -> None:
    grown(bench).type("fed 12 at half strength")
    said = bench.type(words)
    assert (said.written, keys(said)) == (["fed"], meant)
    assert said.events[0].facts["strength"] == 0.5


@pytest.mark.parametrize("words", ["12 and 14 are not the same", "12 is the same plant as 14", "is 12 the same as 14"])
def test_two_records_of_one_plant_are_no_act_for_others(bench: Bench, words: str) -> None:
    grown(bench).type("fed 16")
    assert "fed" not in bench.type(words).written


def test_the_same_of_what_was_done_yesterday_is_yesterdays(bench: Bench) -> None:
    grown(bench).type("watered 12 yesterday")
    said = bench.type("same for 14")
    assert said.events[0].happened_on == bench.now.date().replace(day=bench.now.day - 1)


@pytest.mark.parametrize("note", ["12 died of rot", "gave 12 to Irma", "took 3 pups off 12"])
def test_what_leaves_or_comes_is_never_repeated_for_others(bench: Bench, note: str) -> None:
    grown(bench).type(note)
    said = bench.type("same for 14")
    assert (said.written, "Say that one in words" in said.text) == ([], True)


def test_the_same_for_a_plant_that_is_not_there_or_after_nothing(bench: Bench) -> None:
    said = bench.type("same for 12 and 14")
    assert said.written == []
    grown(bench).type("watered 12")
    said = bench.type("same for 99")
    assert (said.written, "I don't know 99" in said.text) == ([], True)


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("watered those two", {"12", "14"}),
        ("both of them have mites", {"12", "14"}),
        ("both got a soak", {"12", "14"}),
        ("fed them", {"12", "14"}),
        ("those two are in 9s", {"12", "14"}),
        ("those are clean", {"12", "14"}),
    ],
)
def test_two_plants_named_one_by_one(bench: Bench, words: str, meant: set[str]) -> None:
    grown(bench).type("turned 12")
    bench.type("turned 14")
    assert keys(bench.type(words)) == meant


def test_all_three_are_only_three(bench: Bench) -> None:
    grown(bench)
    for one in ("12", "14", "15"):
        bench.type(f"turned {one}")
    assert keys(bench.type("all three have buds")) == {"12", "14", "15"}
    bench.type("turned 16")
    assert not keys(bench.type("both have buds")) & {"12", "14", "15", "16"}  # of three and one: nobody can tell


@pytest.mark.parametrize("words", ["watered both benches", "watered both lobivias", "none of those have mites"])
def test_a_noun_behind_names_something_else(bench: Bench, words: str) -> None:
    grown(bench).type("turned 14")
    bench.type("turned 15")
    assert keys(bench.type(words)) != {"14", "15"}


def test_those_two_lapse_after_half_an_hour_and_at_another_place(bench: Bench) -> None:
    grown(bench).type("turned 12")
    bench.type("turned 14")
    assert not keys(bench.later(minutes=31).type("fed those two")) & {"12", "14"}
    bench.later(minutes=31).type("turned 12")
    bench.type("turned 14")
    assert "What did you do there" in bench.type("now bench 2").text
    assert keys(bench.type("fed them")) == {"bench 2", "123"}
    bench.later(minutes=31).type("turned 12")
    bench.type("watered bench 2")
    bench.type("turned 14")
    assert keys(bench.type("fed them")) == {"14"}


@pytest.mark.parametrize("words", ["none of those", "None of them.", "not any of these", "neither"])
def test_none_of_those_writes_nothing_and_leaves_the_question(bench: Bench, words: str) -> None:
    grown(bench).type("soaked two")
    said = bench.type(words)
    assert (said.written, said.text.startswith("None of those")) == ([], True)
    assert keys(bench.type("12 and 14")) >= {"12", "14"}
    assert bench.standing.things[("plant", "12")].last["watered"] == bench.now.date().isoformat()


def test_none_of_those_without_a_question_is_a_remark(bench: Bench) -> None:
    assert grown(bench).type("none of those").written == []


def test_the_other_ones(bench: Bench) -> None:
    grown(bench).type("watered 12 14 15")
    bench.type("mites on 12")
    said = bench.type("not those, the other ones")
    assert (said.written, "Now: Spider mites noted on 14 and 15" in said.text) == (["amended"], True)
    bench.later(hours=1).type("fed 14 and 15")
    assert "Now: Fed 12 and 16" in bench.type("no, the others").text
    bench.later(hours=1).type("fed 14")
    said = bench.type("not that one, the other one")
    assert (said.written, "Which of the other 3" in said.text) == ([], True)


@pytest.mark.parametrize(
    ("words", "left"),
    [("all but the last one", "12, 14 and 15"), ("all except the last two", "12 and 14"), ("not that one, the others", "")],
)
def test_all_but_the_last(bench: Bench, words: str, left: str) -> None:
    grown(bench).type("turned 12 14 15 16")
    said = bench.type(words)
    assert (f"Now: Turned {left}" in said.text) == bool(left)


def test_the_last_of_a_bench_is_asked_for(bench: Bench) -> None:
    grown(bench).type("turned bench 1")
    assert "Which" in bench.type("watered all but the last one").text
    assert bench.type("all but the last one").written == []


def test_the_last_two_and_the_other_three(bench: Bench) -> None:
    grown(bench).type("watered 12 14 15 123")
    assert keys(bench.type("fed the last two")) == {"15", "123"}
    bench.later(hours=1).type("watered 12 14 15 123")
    bench.type("12 has buds")
    assert keys(bench.type("fed the other three")) == {"14", "15", "123"}


@pytest.mark.parametrize(
    ("words", "pot"),
    [
        ("14 and 15 are in 9s", {"cm": 9.0}),
        ("14 is in a 9 cm clay pot", {"cm": 9.0, "material": "clay"}),
        ("14 is now in a 3 inch", {"cm": 7.6}),
    ],
)
def test_the_pot_that_plants_stand_in(bench: Bench, words: str, pot: dict[str, object]) -> None:
    said = grown(bench).type(words)
    assert said.written == ["pot"]
    assert bench.standing.things[("plant", "14")].pot == pot
    bench.type("undo")
    assert bench.standing.things[("plant", "14")].pot == {}


@pytest.mark.parametrize("words", ["14 is in a 900 cm pot", "99 is in a 9", "14 is 9 cm"])
def test_no_such_pot_or_plant(bench: Bench, words: str) -> None:
    assert "pot" not in grown(bench).type(words).written


def test_more_of_a_kind_than_there_are(bench: Bench) -> None:
    said = grown(bench).type("watered 3 rebutias")
    assert "Which three?" in said.text
    assert keys(bench.type("repotted 14, those are in 9s")) == {"14"}
