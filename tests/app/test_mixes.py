"""Mixes by name: taught, changed, asked for, forgotten; pots keep the recipe of their day."""

from __future__ import annotations

from typing import Any

import pytest

from bot.app.intake import rebuild
from bot.care.due_water import mix_class
from tests.app.bench import Bench

GRITTY = [["loam", 1.0], ["pumice", 2.0], ["grit", 1.0]]


def potted(bench: Bench) -> None:
    for words in ("12 is a lobivia", "14 is a rebutia", "gritty mix is 1 loam 2 pumice 1 grit", "potted 12 in gritty mix"):
        bench.type(words)


def pot(bench: Bench, label: str) -> dict[str, Any]:
    thing = bench.standing.plant(label)
    assert thing is not None
    return thing.pot


def as_rebuilt(bench: Bench) -> None:
    before = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before


@pytest.mark.parametrize(
    ("words", "key", "parts"),
    [
        ("gritty mix is 1 loam 2 pumice 1 grit", "gritty", GRITTY),
        ("The gritty mix: 1 loam, 2 pumice, 1 grit.", "gritty", GRITTY),
        ("call 1 loam 2 pumice 1 grit gritty mix", "gritty", GRITTY),
        ("call it gritty mix: 1 loam 2 pumice 1 grit", "gritty", GRITTY),
        ("1 loam 2 pumice 1 grit is my gritty mix", "gritty", GRITTY),
        ("recipe for gritty mix: 1 loam 2 pumice 1 grit", "gritty", GRITTY),
        ("call 1 loam 2 pumice ankara", "ankara", [["loam", 1.0], ["pumice", 2.0]]),
        ("call 1 loam 2 bims gritty mix", "gritty", [["loam", 1.0], ["bims", 2.0]]),
        ("seed compost is half loam half sand", "seed compost", [["loam", 1.0], ["sand", 1.0]]),
        ("mix 3 is 1 loam 1 grit", "mix 3", [["loam", 1.0], ["grit", 1.0]]),
        ("loam mix is 3 loam 1 grit", "loam mix", [["loam", 3.0], ["grit", 1.0]]),
    ],
)
def test_a_mix_is_named(bench: Bench, words: str, key: str, parts: list[object]) -> None:
    said = bench.type(words)
    assert said.written == ["mix"]
    assert bench.standing.mixes[key]["parts"] == parts
    assert bench.standing.plant("1") is None
    as_rebuilt(bench)
    bench.type("undo")
    assert bench.standing.mixes == {}


def test_percent_stay_percent(bench: Bench) -> None:
    said = bench.type("house mix = 50% pumice, 30% loam, 20% grit")
    assert said.text.startswith("House mix is 50 % pumice, 30 % loam, 20 % grit. 70 % mineral")
    assert bench.standing.mixes["house"]["percent"] is True


def test_a_part_that_nobody_knows_is_told(bench: Bench) -> None:
    said = bench.type("bims mix is 2 bims 1 loam")
    assert "0 to 67 % mineral" in said.text
    assert "“bims” I do not know as mineral or organic" in said.text
    assert mix_class(bench.standing.with_recipe({"mix": "bims"})) == "half"


def test_a_pot_has_the_mix_with_its_parts(bench: Bench) -> None:
    potted(bench)
    assert pot(bench, "12") == {"mix": "gritty", "recipe": {"parts": GRITTY, "on": bench.now.date().isoformat()}}
    assert "gritty mix (1 loam, 2 pumice, 1 grit)" in bench.type("card 12").text
    assert bench.type("what mix is 12 in").text == "12 (Lobivia): gritty mix (1 loam, 2 pumice, 1 grit)."
    as_rebuilt(bench)


def test_the_house_mix_is_no_house_and_14_up_to_9_is_a_plant(bench: Bench) -> None:
    potted(bench)
    bench.type("moved 14 to the greenhouse")
    for taught in (False, True):
        said = bench.type("repotted 14 up to 9 in the house mix")
        (event,) = said.events
        assert [one.key for one in event.refs] == ["14"]
        assert event.facts == {"pot_cm": 9.0, "mix": "house"}
        assert ("recipe" in pot(bench, "14")) is taught
        if not taught:
            bench.type("undo")
            bench.type("house mix is half pumice half loam")


def test_a_change_holds_for_pots_to_come(bench: Bench) -> None:
    potted(bench)
    bench.later(days=3)
    said = bench.type("gritty mix is now 1 loam 3 pumice")
    assert "Before: 1 loam, 2 pumice, 1 grit. What was potted in that keeps it." in said.text
    bench.type("potted 14 in gritty mix")
    assert pot(bench, "12")["recipe"]["parts"] == GRITTY
    assert pot(bench, "14")["recipe"]["parts"] == [["loam", 1.0], ["pumice", 3.0]]
    assert "its recipe of 15 Apr. Today's: 1 loam, 3 pumice." in bench.type("what mix is 12 in").text
    assert bench.type("which plants are in gritty mix").text.splitlines()[1] == "In its recipe of before: 12 (Lobivia)."
    bench.type("repotted 14 in gritty mix on 15 april")
    assert pot(bench, "14")["recipe"]["parts"] == [["loam", 1.0], ["pumice", 3.0]]
    as_rebuilt(bench)


def test_a_potting_noted_later_has_the_recipe_of_its_day(bench: Bench) -> None:
    potted(bench)
    bench.later(days=3)
    bench.type("gritty mix is now 1 loam 3 pumice")
    bench.type("potted 14 in gritty mix on 16 april")
    assert pot(bench, "14")["recipe"]["parts"] == GRITTY
    as_rebuilt(bench)


def test_pots_filled_before_the_recipe_was_told_have_it(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    bench.type("potted 12 in gritty mix")
    assert "recipe" not in pot(bench, "12")
    bench.later(days=1)
    assert "1 plant noted in it has this recipe now." in bench.type("gritty mix is 1 loam 2 pumice 1 grit").text
    assert pot(bench, "12")["recipe"]["parts"] == GRITTY
    as_rebuilt(bench)
    bench.type("undo")
    assert "recipe" not in pot(bench, "12")
    bench.type("gritty mix is now 1 loam 2 pumice")
    assert "recipe" not in pot(bench, "12")  # from now on: what it was before nobody said


def test_another_mix_takes_the_recipe_away(bench: Bench) -> None:
    potted(bench)
    bench.type("repotted 12 in pumice")
    assert pot(bench, "12") == {"mix": "pumice"}
    assert bench.type("what mix is 12 in").text == "12 (Lobivia): pumice."


def test_an_unknown_mix_is_kept_as_typed(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    said = bench.type("potted 12 in kitty mix")
    assert said.events[0].facts == {"mix": "kitty"}
    assert pot(bench, "12") == {"mix": "kitty"}
    assert bench.type("what is in kitty mix").text.startswith("What is in kitty mix nobody told me.")


@pytest.mark.parametrize(
    ("words", "parts", "shown"),
    [
        ("repotted 12 in 1 loam 2 pumice", [["loam", 1.0], ["pumice", 2.0]], "1 loam 2 pumice"),
        ("repotted 12 in 1:3 loam pumice", [["loam", 1.0], ["pumice", 3.0]], "1:3 loam pumice"),
        ("repotted 12 in half loam half sand", [["loam", 1.0], ["sand", 1.0]], "half loam half sand"),
    ],
)
def test_parts_said_at_the_potting_are_the_recipe(bench: Bench, words: str, parts: list[object], shown: str) -> None:
    bench.type("12 is a lobivia")
    said = bench.type(words)
    assert [(one.key, one.count) for one in said.events[0].refs] == [("12", None)]
    assert pot(bench, "12")["recipe"]["parts"] == parts
    assert bench.type("what mix is 12 in").text == f"12 (Lobivia): {shown}."
    as_rebuilt(bench)


def test_parts_of_a_batch_that_has_no_name(bench: Bench) -> None:
    said = bench.type("mixed 10 l: 5 pumice 3 loam 2 grit")
    assert said.text.splitlines()[0] == "Mixed 10 l: about 5 l pumice, 3 l loam, 2 l grit."


def test_a_note_is_no_name_of_a_mix(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    for words in ("potted 12 in gritty mix: 1 loam 2 pumice", "potted 12: 1 loam 2 pumice", "bench 2: 6 cm clay, 2 to 4 days"):
        assert "mix" not in bench.type(words).written
    assert bench.standing.mixes == {}


def test_drying_is_counted_by_the_parts(bench: Bench) -> None:
    potted(bench)
    assert mix_class({"mix": "gritty"}) == "grit"  # by its name alone
    assert mix_class(pot(bench, "12")) == "mineral"  # by what is in it
    bench.later(days=30)
    bench.type("watered 12")
    (look,) = [one for one in bench.dues if one.kind == "dry_look"]
    assert look.why["mix"] == "mineral"


def test_what_is_usual_on_a_bench_may_be_a_mix_by_name(bench: Bench) -> None:
    potted(bench)
    bench.type("moved 14 to bench 1")
    bench.type("bench 1 is 7s, plastic, gritty mix")
    assert bench.standing.usual_pots()["bench 1"]["recipe"]["parts"] == GRITTY
    assert bench.type("what mix is 14 in").text == "14 (Rebutia): gritty mix (1 loam, 2 pumice, 1 grit), usual in bench 1."
    assert "12 and 14" in bench.type("which plants are in gritty mix").text
    bench.type("repotted 14 in kitty mix")
    assert bench.type("what mix is 14 in").text == "14 (Rebutia): kitty mix."
    as_rebuilt(bench)


def test_a_plant_out_of_a_lot_has_its_mix(bench: Bench) -> None:
    bench.type("gritty mix is 1 loam 2 pumice 1 grit")
    bench.type("3 ordered from Irma, 3 came")
    bench.type("potted the irma lot in gritty mix")
    bench.type("number the irma lot from 41")
    assert pot(bench, "42")["recipe"]["parts"] == GRITTY
    as_rebuilt(bench)


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("what is in gritty mix", "Gritty mix: 1 loam, 2 pumice, 1 grit (since 15 Apr)."),
        ("whats the gritty mix?", "Gritty mix: 1 loam, 2 pumice, 1 grit (since 15 Apr)."),
        ("how do i make gritty mix", "Gritty mix: 1 loam, 2 pumice, 1 grit (since 15 Apr)."),
        ("gritty mix", "Gritty mix: 1 loam, 2 pumice, 1 grit (since 15 Apr)."),
        ("my mixes", "Gritty mix: 1 loam, 2 pumice, 1 grit."),
        ("what mixes do i have", "Gritty mix: 1 loam, 2 pumice, 1 grit."),
        ("which plants are in gritty mix", "In gritty mix: 12 (Lobivia)."),
        ("who is in the gritty mix?", "In gritty mix: 12 (Lobivia)."),
        ("which plants are in seed mix", "Nothing is noted in seed mix."),
        ("which plants are in pumice", "Nothing is noted in pumice mix."),
        ("mix of 12", "12 (Lobivia): gritty mix (1 loam, 2 pumice, 1 grit)."),
        ("which mix is 14 in", "14 (Rebutia): no mix noted."),
        ("what mix is 99 in", "I don't know that one."),
        ("what is in kitty mix", "What is in kitty mix nobody told me. I know gritty mix."),
        ("forget kitty mix", "What is in kitty mix nobody told me. I know gritty mix."),
        ("10 l gritty mix", "10 l of gritty mix: about 2.5 l loam, 5 l pumice, 2.5 l grit."),
        ("what do i need for 5 litres of gritty mix", "5 l of gritty mix: about 1.25 l loam, 2.5 l pumice, 1.25 l grit."),
        (
            "how much gritty mix for 20 9s",
            (
                "About 6.7 l of gritty mix for 20 pots of 9 cm: about 1.68 l loam, 3.37 l pumice, 1.68 l grit "
                "(settling and waste counted; within 15 %)."
            ),
        ),
    ],
)
def test_a_mix_is_asked_for(bench: Bench, words: str, answer: str) -> None:
    potted(bench)
    said = bench.type(words)
    assert said.written == []
    assert said.text.splitlines()[0] == answer


def test_without_a_recipe_the_list_says_how(bench: Bench) -> None:
    assert bench.type("my mixes").text == "No mix has a recipe yet. Such as: gritty mix is 1 loam 2 pumice 1 grit"


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("mixed 10 l gritty mix", "Mixed 10 l of gritty mix: about 2.5 l loam, 5 l pumice, 2.5 l grit."),
        ("mixed 10 l 1:2:1", "Mixed 10 l, 1:2:1: about 2.5, 5 and 2.5 l."),
        ("mixed 5 litres of kitty mix", "Mixed 5 l of kitty mix."),
        ("mixed 8 l", "Mixed 8 l."),
        ("mixed up a batch", "Mixed a batch."),
    ],
)
def test_a_batch_is_told_with_its_parts(bench: Bench, words: str, answer: str) -> None:
    potted(bench)
    said = bench.type(words)
    assert said.written == ["mixed"]
    assert said.text.splitlines()[0] == answer


def test_a_mix_is_forgotten_and_remembered(bench: Bench) -> None:
    potted(bench)
    said = bench.type("forget the gritty mix")
    assert said.text.splitlines()[0] == "Gritty mix is forgotten. 1 plant in it keeps what was noted."
    assert bench.standing.mixes == {}
    assert pot(bench, "12")["recipe"]["parts"] == GRITTY
    as_rebuilt(bench)
    bench.type("undo")
    assert "gritty" in bench.standing.mixes


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("gritty mix is 50% loam, 20% grit", "The parts come to 70 %, not 100. Nothing kept."),
        ("gritty mix is 60% loam, 60% grit", "The parts come to 120 %, not 100. Nothing kept."),
        ("gritty mix is 0 loam 2 pumice", "Each part of a mix is more than nothing. Nothing kept."),
        ("gritty mix is -1 loam 2 pumice", "Each part of a mix is more than nothing. Nothing kept."),
        ("gritty mix is 1 loam 2 loam", "Loam stands there twice. Nothing kept"),
        ("gritty mix is 1 loam 9999 grit", "I cannot read that as the parts of a mix. Nothing kept."),
        ("teacup is 1 loam 2 pumice", "“Teacup” is 12. Nothing kept"),
        ("call 1 loam 2 pumice teacup", "“Teacup” is 12. Nothing kept"),
        ("bench 1 is 1 loam 2 pumice", "“Bench 1” is a place. Nothing kept"),
        ("call 1 loam 2 pumice bench 1", "“Bench 1” is a place. Nothing kept"),
        ("pumice is 1 loam 2 pumice", "“Pumice” is a material. Nothing kept"),
        ("lobivia is 1 loam 2 pumice", "“Lobivia” is a plant's name. Nothing kept"),
        ("call 1 loam 2 bims ankara", "I cannot read that as the parts of a mix. Nothing kept."),
        ("my mix is 1 loam 2 pumice", "Which mix? Give it a name of its own."),
        ("seed mix is 1 loam 2 pumice 1 grit", "Seed mix is 1 loam, 2 pumice, 1 grit already."),
    ],
)
def test_what_cannot_be_writes_nothing(bench: Bench, words: str, answer: str) -> None:
    for before in ("12 is a lobivia", "call 12 teacup", "moved 12 to bench 1", "seed mix is 1 loam 2 pumice 1 grit"):
        bench.type(before)
    mixes = dict(bench.standing.mixes)
    said = bench.type(words)
    assert said.written == []
    assert said.text.startswith(answer)
    assert bench.standing.mixes == mixes


@pytest.mark.parametrize(
    "words",
    """gritty mix is wet|gritty mix is 3 weeks old|what is in bench 1|12 is 1 of 3|call 12 teacup|12 in gritty mix|forget 12
    who is in quarantine|what is 12|what is a lobivia""".replace("\n    ", "|").split("|"),
)
def test_what_only_looks_alike_is_left_to_the_reader(bench: Bench, words: str) -> None:
    potted(bench)
    mixes = dict(bench.standing.mixes)
    said = bench.type(words)
    assert "mix" not in said.written
    assert bench.standing.mixes == mixes
    assert "nobody told me" not in said.text
