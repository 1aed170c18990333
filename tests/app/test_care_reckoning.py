"""Computations and doses asked for in a chat."""

from __future__ import annotations

import pytest

from bot.app.dosing import is_bare_dose, worked_dose
from bot.app.reckoning import reckon_line
from tests.app.bench import Bench, act, asked, labels, question


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("how much for 7 l at 2 ml/l", {"amount": 14.0, "unit": "ml", "litres": 7.0}),
        ("2ml/l for 7 litres", {"amount": 14.0, "unit": "ml", "litres": 7.0}),
        ("1 in 200 for 5 litres", {"amount": 25.0, "unit": "ml", "litres": 5.0}),
        ("2% in 5 l", {"amount": 100.0, "unit": "ml", "litres": 5.0}),
        ("10 ml per 5 litres for 500 ml", {"amount": 1.0, "unit": "ml", "litres": 0.5}),
        # 0.5 g/l of 20-10-20 are 100 ppm N (arithmetic of the trade: g/l x % N x 10)
        ("how much 20-10-20 for 100 ppm in 5 litres", {"grams": 2.5}),
    ],
)
def test_doses_in_words(text: str, wanted: dict[str, object]) -> None:
    made = worked_dose(text)
    assert made is not None
    assert all(made[key] == (pytest.approx(value) if isinstance(value, float) else value) for key, value in wanted.items())


def test_alcohol_is_thinned_by_volume() -> None:
    made = worked_dose("dilute 99% alcohol to 70%, 1 litre")  # 70 / 99 of a litre
    assert made is not None
    assert (made["strong_ml"], made["water_ml"]) == (pytest.approx(707.07, abs=0.01), pytest.approx(292.93, abs=0.01))


@pytest.mark.parametrize("product", ["imidacloprid", "hydrogen peroxide", "tea tree oil"])
def test_some_things_get_no_dose(product: str) -> None:
    made = worked_dose(f"how much {product} for 5 litres at 1 ml/l")
    assert made is not None
    assert "refused" in made
    assert "amount" not in made


@pytest.mark.parametrize(
    "text",
    [
        "sprayed 12 with soap 2ml/l",
        "watered 12 in 200 ml",
        "soak 3 in 10 l",
        "12 in 200",
        "fed bench 2, 2 ml/l",
        "7 l",
        "min 4 max 19",
    ],
)
def test_notes_are_no_dose_questions(text: str) -> None:
    assert not is_bare_dose(text)


def test_reckon_line_holds_name_and_inputs() -> None:
    assert reckon_line("reckon drying pot=9 min=5") == ("drying", {"pot": "9", "min": "5"})
    assert reckon_line("/reckon dose rate=1 in 200 water=5 l") == ("dose", {"rate": "1 in 200", "water": "5 l"})
    assert reckon_line("reckon") == ("", {})
    assert reckon_line("i reckon it is dry") is None


def test_reckon_in_a_chat(bench: Bench) -> None:
    # Daylength at the equator is about 12 h and a few minutes the year round.
    made = bench.type("reckon daylength latitude=0 day=2026-03-20")
    assert made.text.startswith("Hours 12.1")
    assert "Source: " in made.text
    assert made.events == ()
    assert "latitude" in bench.type("reckon daylength day=2026-03-20").text  # says what is wanted
    assert "did you mean daylength" in bench.type("reckon daylenght latitude=0").text
    listed = bench.type("reckon").text
    assert "degree-days" in listed
    assert "germination" in listed


def test_doses_in_a_chat(bench: Bench) -> None:
    assert "14 ml for 7 l" in bench.type("2ml/l for 7 litres").text
    made = bench.note(question("dose", details={"dose": "2 ml/l", "litres": 7.0}), decision="answer")
    assert "14 ml for 7 l" in made.text
    assert "label rate wins" in made.text
    refused = bench.note(
        question("dose", details={"product": "imidacloprid", "dose": "1 ml/l", "litres": 5.0}), decision="answer"
    )
    assert "no dose for systemic" in refused.text
    assert "rate and water" in bench.note(question("dose"), decision="answer").text


def test_a_feed_by_its_nitrogen_is_no_note(bench: Bench) -> None:
    for text in (
        "100 ppm of 20-10-20 for 5 l",
        "100ppm n from 20-10-20 in 5 litres",
        "how many grams of 20-10-20 for 100 ppm in 5 l",
    ):
        made = bench.type(text)
        assert made.written == []
        assert made.text.startswith("2.5 g for 5 l")  # 0.5 g/l of 20-10-20 are 100 ppm


def test_normals_without_set(bench: Bench) -> None:
    bench.type("normals 2/8 2/9 4/12 7/16 10/20 13/23 15/26 15/25 12/21 8/16 5/11 3/8")
    assert bench.view_settings().normals[0] == (2.0, 8.0)
    assert "normals" in bench.type("normals 2/8 3/9").text


def test_when_a_look_comes_up(bench: Bench) -> None:
    bench.type("normals 2/8 2/9 4/12 7/16 10/20 13/23 15/26 15/25 12/21 8/16 5/11 3/8")
    bench.note(act("named", labels("13"), name="mammillaria"))
    assert "I know of no soak" in bench.type("when will 13 be dry").text
    bench.note(act("watered", labels("13")))
    assert "1. drying-off check: 13" in bench.type("when will 13 be dry").text
    assert "Watered" in bench.note(asked("why", 1), decision="do").text
    bench.type("mammillarias rest from november to march")
    assert "last soak" in bench.type("when is the last soak before rest for 13").text.lower()
    bench.at("2027-02-01T10:00")
    assert "1. " in bench.type("when do the mammillarias start again").text


@pytest.mark.parametrize(
    "words",
    ["imidacloprid 1 in 200 for 5 l", "dimethoate 2ml/l for 7 litres", "spirotetramat, 1 ml/l for 2 l", "5 ml/l peroxide in 3 l"],
)
def test_no_dose_in_a_chat_and_nothing_written(bench: Bench, words: str) -> None:
    said = bench.type(words)
    assert said.written == []
    assert "no dose" in said.text
    assert "label and your local rules" in said.text


def test_a_dose_with_its_product_is_no_plant(bench: Bench) -> None:
    said = bench.type("neem 5 ml/l for 3 l")
    assert said.written == []
    assert said.text.startswith("15 ml")


def test_what_was_done_with_a_product_is_still_a_note(bench: Bench) -> None:
    bench.type("12 is a rebutia")
    assert bench.type("sprayed 12, neem 5 ml/l, 3 l").written == ["treated"]
