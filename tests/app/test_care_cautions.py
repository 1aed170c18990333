"""Every safety line of the trade has a trigger; each is said once, and again when the trigger recurs after thirty days."""

from __future__ import annotations

from typing import Any

import pytest

from bot.app.english import cautions
from tests.app.bench import Bench, acquired, act, labels, question

REMARK = {"type": "remark", "text": "as typed"}
SPRAY: dict[str, Any] = {"how": "spray"}


def _treated(how: str = "spray", **details: Any) -> dict[str, Any]:
    return act("treated", labels("12"), how=how, **details)


@pytest.mark.parametrize(
    ("entry", "text", "words"),
    [
        (_treated(product="bug clear"), "", "Only products allowed where you live, at the label rate"),
        (_treated(product="washing-up liquid"), "", "Home-made sprays can be against local rules"),
        (_treated(product="bug clear"), "", "note its rate and batch"),
        (_treated("drench", product="imidacloprid"), "", "gloves, long sleeves, not near food, flowers away from bees"),
        (_treated("dab", product="ipa"), "", "Alcohol burns: ventilate, no flame"),
        (_treated("dab", product="surgical spirit"), "", "Try one plant and shade it for 2 days"),
        (_treated(product="neem oil"), "", "Oil: not below 10 or above 29 °C"),
        (_treated(product="soap"), "", "takes the bloom off blue skin"),
        (_treated("dust", product="sulphur"), "", "Dusts: mask"),
        (act("mixed"), "", "dampen them, wear a mask"),
        (REMARK, "potted 12 at the kitchen table", "Legionella"),
        (REMARK, "filled the water butt", "drain hoses, clean butts"),
        (REMARK, "a thorn went into my knuckle", "In a joint"),
        (REMARK, "pricked myself on 12", "think of tetanus"),
        (act("treated", labels("12"), how="bait", product="slug pellets"), "", "out of reach of pets, children and birds"),
        (act("cutting_taken", labels("12")), "", "Cut away from you"),
        (act("heated"), "paraffin heater on", "never sleep beside it"),
        (act("heated"), "gas heater on tonight", "never sleep beside it"),
        (act("heated"), "electric heater on", "off before you hose"),
        (REMARK, "propagator plugged in", "RCD"),
        (REMARK, "replaced a pane in the roof", "gloves, two hands"),
        (REMARK, "up the ladder to fix the vent", "someone by the ladder"),
        (REMARK, "lifted the big tub", "two hands"),
        ({"type": "climate", "max_c": 33}, "", "drink"),
        ({"type": "climate", "max_c": 39}, "", "and drink"),
        (REMARK, "sending 12 to Jan in germany", "ask both countries first"),
        (REMARK, "selling 12 to a man in france", "ask both countries first"),
        (REMARK, "swap with a friend in japan", "CITES"),
        (REMARK, "12 goes in the post by post", "plant passport"),
        (REMARK, "12 is wild collected", "keep the papers"),
        (REMARK, "gave jan the field number and locality", "poachers"),
        (REMARK, "sharing my list with olaf", "no prices, partners, addresses"),
        (REMARK, "the dog ate a leaf of 12", "emergency number, poison line or vet"),
    ],
)
def test_each_line_has_a_trigger(bench: Bench, entry: dict[str, Any], text: str, words: str) -> None:
    assert words in bench.note(entry, text=text).text


@pytest.mark.parametrize("genus", ["adenium", "pachypodium", "kalanchoe", "cotyledon", "tylecodon", "aloe", "crassula"])
def test_a_toxic_genus_is_told_once_when_it_comes_in(bench: Bench, genus: str) -> None:
    words = f"{genus.capitalize()} is toxic if eaten"
    assert words in bench.note(act("named", labels("12"), name=genus)).text
    bench.later(days=60)
    assert words not in bench.note(act("named", labels("14"), name=genus)).text
    assert words in bench.note(act("moved", labels("12"), to="sill"), text="moved 12 to the sill, away from the cat").text


def test_a_harmless_genus_is_not_called_toxic(bench: Bench) -> None:
    assert "toxic" not in bench.note(acquired({"count": 2, "taxa": ["lobivia"]}), text="2 lobivias, one for the kids").text


def test_big_spines_and_glochids_and_sap(bench: Bench) -> None:
    for label, genus, entry, words in (
        ("12", "ferocactus", act("repotted", labels("12")), "Big spines: gloves, tongs, eyes covered"),
        ("14", "opuntia", act("repotted", labels("14")), "dried film of white glue"),
        ("15", "jatropha", act("cutting_taken", labels("15")), "In an eye: water at once, then a doctor"),
    ):
        bench.note(act("named", labels(label), name=genus))
        assert words in bench.note(entry).text


def test_a_dose_says_that_the_label_wins(bench: Bench) -> None:
    assert "I only calculate: the label rate wins." in bench.type("2ml/l for 7 litres").text


def test_in_quarantine_and_offered(bench: Bench) -> None:
    bench.type("12 is a rebutia")
    bench.type("isolated 12")
    asked = bench.type("offer 12")
    assert asked.written == []
    assert "12 (Rebutia) in quarantine: offer all the same?" in asked.text
    assert "still in quarantine" in bench.type("yes").text


def test_a_product_is_asked_about_once(bench: Bench) -> None:
    assert "note its rate and batch" in bench.note(_treated(product="bug clear")).text
    bench.later(days=90)
    assert "note its rate and batch" not in bench.note(_treated(product="bug clear")).text
    with_rate = bench.note(_treated(product="mite stop", dose="2 ml/l")).text
    assert "note its rate and batch" not in with_rate


def test_a_topic_comes_at_most_once_a_day(bench: Bench) -> None:
    assert "Legionella" in bench.note(REMARK, text="hosed the path").text
    assert "Legionella" not in bench.note(REMARK, text="drained the hoses").text
    bench.later(days=31)
    assert "Legionella" in bench.note(REMARK, text="hosed the path again").text


def test_no_line_is_long() -> None:
    for topic in cautions.LINES:
        assert len(cautions.line(topic)) <= 120, topic


def test_notes_without_danger_bring_no_line(bench: Bench) -> None:
    for entry, text in (
        (act("watered", labels("12")), "watered 12"),
        (act("moved", labels("12"), to="glass shelf"), "moved 12 to the glass shelf"),
        (question("due"), "whats due"),
        (act("given", labels("12"), to="jan"), "gave 12 to jan"),
    ):
        assert bench.note(entry, text=text).text.count("\n") <= 1
        assert not any(line in bench.note(entry, text=text + ".").text for line in cautions.LINES.values())
