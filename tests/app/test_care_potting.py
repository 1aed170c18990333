"""The potting bench in a chat: which pot, what to buy, how much mix, and the timer of a wash."""

from __future__ import annotations

import pytest

from bot.app.potting_out import measured_in
from tests.app.bench import Bench, act, labels


@pytest.mark.parametrize(
    ("text", "wanted", "rest"),
    [
        ("tap root 9 cm, body 4.5", ("tap", 9.0, 4.5, None), ""),
        ("12: tap root 9 cm, body 4.5 cm", ("tap", 9.0, 4.5, None), "12"),
        ("tap root 90mm body 45mm on 12", ("tap", 9.0, 4.5, None), "12"),
        ("12 roots 6 cm, spread 8, body 5", ("", 6.0, 5.0, 8.0), "12"),
        ("12 tuber 7 long, body 3 wide", ("tuber", 7.0, 3.0, None), "12"),
    ],
)
def test_measures_in_words(text: str, wanted: tuple[object, ...], rest: str) -> None:
    found = measured_in(text)
    assert found is not None
    measured, words = found
    assert (measured.roots, measured.root_length_cm, measured.body_cm, measured.spread_cm) == wanted
    assert words == rest


@pytest.mark.parametrize("text", ["roots cut on 12", "body soft on 12", "12 root 9 cm", "repotted 12 into 9 cm", "watered 12"])
def test_other_notes_are_no_measures(text: str) -> None:
    assert measured_in(text) is None


def test_the_pot_for_a_tap_root(bench: Bench) -> None:
    # 1 cm round the body, the root's length and 2 to 3 cm (common practice): 4.5 + 2 = 6.5 wide, sold as 7; 11 to 12 deep.
    made = bench.type("tap root 9 cm, body 4.5")
    assert "a 7 cm pot, 11 to 12 deep, a deep one (common practice)" in made.text
    assert made.events == ()  # nobody said of which plant


def test_the_pot_for_a_plant_is_kept(bench: Bench) -> None:
    bench.note(act("unpotted", labels("12")))
    made = bench.type("12: tap root 9 cm, body 5")
    assert made.written == ["root_length", "diameter"]
    assert made.text.startswith("12: a 7 cm pot, 11 to 12 deep")
    assert bench.thing("plant", "12").roots == "tap"
    assert "12: a 7 cm pot" in bench.type("how big a pot for 12?").text
    bench.note(act("unpotted", labels("14")))
    assert "want their spread" in bench.type("which pot for 14").text  # what is lacking


def test_the_buy_list(bench: Bench) -> None:
    assert "Nothing waits" in bench.type("buy list").text
    bench.note(act("unpotted", labels("12", "14", "15")))
    bench.type("12: tap root 9 cm, body 5")
    bench.type("14: tap root 9 cm, body 5")
    made = bench.type("what pots do i need").text
    assert "2 x 7 cm deep" in made
    assert "l of mix" in made
    assert "Not measured: 15" in made
    bench.note(act("potted", labels("12")))
    assert "1 x 7 cm deep" in bench.type("buy list").text


def test_litres_of_mix_and_its_parts(bench: Bench) -> None:
    # 0.40 x 9^3 / 1000 l = 0.2916 l each (Hortico pot-size table, within 15 %); 20 pots, 10 % settling, 5 % waste: 6.7 l.
    said = bench.type("how much mix for 20 9s, 2:1:1").text
    assert "About 6.7 l of mix for 20 pots of 9 cm: 3.4, 1.7, 1.7 l" in said
    # a disc of 9 cm and 1 cm depth: 64 ml, twenty of them 1.3 l
    assert "1.3 l of top-dressing" in bench.type("grit for 20 9s").text


def test_a_wash_offers_its_timer(bench: Bench) -> None:
    assert "take them out in 15 min" in bench.note(act("washed", labels("12", "14"))).text
    assert "take them out" not in bench.note(act("washed", labels("15"))).text


@pytest.mark.parametrize("words", ["what do i need to buy", "what should I buy?", "what do we have to order for potting"])
def test_what_to_buy_is_the_buy_list(bench: Bench, words: str) -> None:
    bench.type("12 is a rebutia")
    bench.type("12 fibrous roots 5 cm, body 4.5")
    bench.type("unpotted 12")
    assert bench.type(words).text == bench.type("buy list").text
    assert "cm" in bench.type(words).text


@pytest.mark.parametrize(
    "words", ["mix for 20 pots of 9 cm at 2:1:1", "mix for 20 9s, 2:1:1", "soil for 20 round pots of 9 cm 2:1:1"]
)
def test_mix_for_pots_however_they_are_counted(bench: Bench, words: str) -> None:
    assert bench.type(words).text.startswith("About 6.7 l of mix for 20 pots of 9 cm: 3.4, 1.7, 1.7 l")


def test_square_pots_take_more(bench: Bench) -> None:
    assert bench.type("mix for 20 square pots of 9 cm").text == bench.type("mix for 20 9 cm square pots").text
