"""The grower's standing words on rest, light and cold, and what they change."""

from __future__ import annotations

from typing import Any

import pytest

from bot.app.ruling import rule_of
from tests.app.bench import Bench, act, asked, labels, question

SEASONS = "normals 2/8 2/9 4/12 7/16 10/20 13/23 15/26 15/25 12/21 8/16 5/11 3/8"


def _with_seasons(bench: Bench) -> None:
    bench.at("2026-02-10T10:00")
    bench.note(asked("set", text=SEASONS), decision="do")


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("my lithops rest till may", "lithops", {"until": 4}),
        ("lithops rest till the end of april", "lithops", {"until": 4}),
        ("my rebutias rest from november to march", "rebutias", {"months": [11, 12, 1, 2, 3]}),
        ("conos rest in summer", "conos", {"season": "summer"}),
        ("the haws don't rest", "haws", {"months": []}),
        ("never water the lithops in winter", "lithops", {"season": "winter"}),
        ("conos are winter growers", "conos", {"class": "winter"}),
        ("the haws grow in spring and autumn", "haws", {"class": "opportunistic"}),
        ("this one takes full sun", "this one", {"light": "full_sun"}),
        ("melocactus never below 12", "melocactus", {"floor_c": 12.0}),
        ("lobivias can take -4", "lobivias", {"floor_c": -4.0}),
        ("keep the melos above 12 °c", "melos", {"floor_c": 12.0}),
    ],
)
def test_standing_words(text: str, words: str, said: dict[str, Any]) -> None:
    assert rule_of(text) == (words, said)


@pytest.mark.parametrize(
    "text",
    [
        "watered the lithops",
        "12-15 are lobivias",
        "12 takes 50 ml",
        "lobivias resting",
        "no water till may",
        "min 4 max 19",
        "12 is in bud",
    ],
)
def test_notes_are_no_standing_words(text: str) -> None:
    assert rule_of(text) is None


def test_rest_till_may(bench: Bench) -> None:
    _with_seasons(bench)
    bench.note(act("named", labels("12"), name="lithops"))
    before = bench.due("rest_end").on
    made = bench.type("my lithops rest till may")
    assert made.written == ["ruled"]
    assert "Lithops: rest in October to April, by your word" in made.text
    after = bench.due("rest_end")
    assert after.on.isoformat() == "2026-05-01" != before.isoformat()
    bench.at("2026-05-02T10:00")
    bench.note(question("due"), decision="answer")
    why = bench.note(asked("why", 1), decision="do").text
    assert "By your word of 10 Feb: rest in October to April" in why


def test_a_plant_overrules_its_genus(cool_bench: Bench) -> None:
    cool_bench.at("2026-02-10T10:00")
    cool_bench.note(act("named", labels("12", "14"), name="lithops"))
    cool_bench.type("lithops rest till may")
    cool_bench.type("12 rests till march")
    assert sorted(one.on.isoformat() for one in cool_bench.dues if one.kind == "rest_end") == ["2026-03-01", "2026-05-01"]


def test_the_word_can_be_taken_back(bench: Bench) -> None:
    _with_seasons(bench)
    bench.note(act("named", labels("12"), name="lithops"))
    before = bench.due("rest_end").on
    bench.type("my lithops rest till july")
    assert bench.due("rest_end").on.isoformat() == "2026-07-01"
    assert "Taken back" in bench.type("undo").text
    assert bench.due("rest_end").on == before
    assert bench.standing.rules == {}


def test_winter_growers_rest_in_summer(warm_bench: Bench) -> None:
    warm_bench.at("2026-07-10T10:00")
    warm_bench.note(act("named", labels("12"), name="lobivia"))
    assert "rest_end" not in warm_bench.kinds()
    assert "winter growers, by your word" in warm_bench.type("the lobivias are winter growers").text
    assert "rest_end" in warm_bench.kinds()
    assert "by your word" in warm_bench.note(act("watered", labels("12"))).text


def test_this_one_takes_full_sun(bench: Bench) -> None:
    bench.note(act("moved", labels("12"), to="loft"))
    assert "12: full sun" in bench.type("this one takes full sun").text
    assert bench.standing.rules["plant:12"]["light"] == "full_sun"


def test_nobody_knows_which(bench: Bench) -> None:
    made = bench.type("this one takes full sun")  # nothing was spoken of
    assert made.written == []
    assert "Which one?" in made.text


def test_the_look_for_the_end_of_rest_stays_open_for_three_weeks(bench: Bench) -> None:
    _with_seasons(bench)
    bench.note(act("named", labels("12"), name="lithops"))
    bench.type("lithops rest till may")
    bench.at("2026-05-12T10:00")
    bench.note(question("due"), decision="answer")
    assert bench.due("rest_end").on.isoformat() == "2026-05-01"
    bench.note(act("watered", labels("12")))
    assert "rest_end" not in bench.kinds()  # answered by the can


def test_a_look_in_the_middle_of_the_rest(bench: Bench) -> None:
    _with_seasons(bench)
    bench.note(act("named", labels("12"), name="lithops"))
    bench.type("lithops rest from november to april")
    bench.at("2026-12-01T10:00")
    bench.note(question("due"), decision="answer")
    # 1 November to 1 May: the middle is 30 January
    look = bench.due("midrest_look")
    assert look.on.isoformat() == "2027-01-30"
    bench.at("2027-01-31T10:00")
    listed = bench.note(question("due"), decision="answer").text
    assert "look in mid-rest: 12" in listed
    assert "firm and a little smaller is normal" in listed
    bench.note(asked("done", 1), decision="do")
    assert "midrest_look" not in bench.kinds()


def test_the_last_soak_before_rest_by_the_pot(bench: Bench) -> None:
    _with_seasons(bench)
    bench.at("2026-07-10T10:00")
    bench.note(act("named", labels("12", "14"), name="mammillaria"))
    bench.type("mammillarias rest from november to march")
    bench.note(act("repotted", labels("12"), pot_cm=6.0, pot="clay", when="2026-04-10"))
    bench.note(act("repotted", labels("14"), pot_cm=13.0, when="2026-04-10"))
    soaks = {one.refs[0].key: one for one in bench.dues if one.kind == "rest_start"}
    small, large = soaks["12"], soaks["14"]
    assert small.until is not None
    assert large.until is not None
    # a small clay pot dries much sooner than a large plastic one, so it may be soaked later
    assert large.on < large.until < small.on < small.until < small.until.replace(month=11, day=1)
    bench.at(f"{large.on}T18:00")
    bench.note(question("due"), decision="answer")
    why = bench.note(asked("why", 1), decision="do").text
    assert "Rest begins about 1 Nov; a 13 cm plastic pot, half mix takes about" in why
    assert "By your word of 10 Jul: rest in November to March" in why
    bench.at("2026-10-20T10:00")
    assert "may not have dried when the rest begins (Sun 1 Nov)" in bench.note(act("watered", labels("14"))).text
    assert "rest_start" not in {one.kind for one in bench.dues if one.refs[0].key == "14"}


def test_this_one_of_a_set_is_nobodys(bench: Bench) -> None:
    bench.note(act("moved", labels("12", "14"), to="loft"))
    made = bench.type("this one takes full sun")
    assert made.written == []
    assert "Which one? Say it with its number or name, such as: 12 takes full sun" in made.text
    assert "12 and 14: full sun" in bench.type("they take full sun").text


def test_what_was_noted_after_mid_rest_missed_no_look(bench: Bench) -> None:
    _with_seasons(bench)
    bench.at("2026-03-01T10:00")
    bench.note(act("named", labels("12"), name="lithops"))
    assert "midrest_look" not in bench.kinds()
