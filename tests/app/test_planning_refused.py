"""What cannot be is said and not written, and the rest of the note is."""

from __future__ import annotations

from typing import Any

import pytest

from tests.app.bench import Bench, act, labels, seen

IMPOSSIBLE: dict[str, tuple[dict[str, Any], str]] = {
    "pot of 0 cm": (act("potted", labels("12"), pot_cm=0), "0 cm"),
    "pot of -3 cm": (act("repotted", labels("12"), pot_cm=-3), "-3 cm"),
    "pot of 4 m": (act("potted", labels("12"), pot_cm=400), "400 cm"),
    "min above max": ({"type": "climate", "min_c": 21, "max_c": 7}, "min 7 max 21"),
    "min of 90": ({"type": "climate", "min_c": 90}, "90"),
    "max of -60": ({"type": "climate", "max_c": -60}, "-60"),
    "humidity of 140": ({"type": "climate", "rh": 140}, "140"),
    "watered tomorrow": (act("watered", labels("12"), when="2026-04-16"), "still to come"),
    "died next year": (act("died", labels("12"), when="2027-04-16"), "still to come"),
    "a reading of tomorrow": ({"type": "climate", "min_c": 4, "when": "2026-04-16"}, "still to come"),
    "a find of tomorrow": (seen("mealybug", labels("12"), when="2026-04-16"), "still to come"),
    "a height of tomorrow": (
        {"type": "measure", "of": "height", "value": 7, "which": labels("12"), "when": "2026-04-16"},
        "still to come",
    ),
    "left for tomorrow": ({"type": "skip", "act": "watered", "which": labels("12"), "when": "2026-04-16"}, "still to come"),
    "a reminder of yesterday": ({"type": "reminder", "text": "grit", "due": "2026-04-14"}, "past"),
}


@pytest.mark.parametrize(("entry", "words"), IMPOSSIBLE.values(), ids=IMPOSSIBLE.keys())
def test_it_is_said_and_nothing_is_written(bench: Bench, entry: dict[str, Any], words: str) -> None:
    answer = bench.note(entry)
    assert answer.events == ()
    assert words in answer.text
    assert len(answer.text.splitlines()) <= 3
    assert bench.standing.things == {}


@pytest.mark.parametrize(("entry", "words"), IMPOSSIBLE.values(), ids=IMPOSSIBLE.keys())
def test_the_rest_of_the_note_is_written(bench: Bench, entry: dict[str, Any], words: str) -> None:
    answer = bench.note(act("watered", labels("20")), entry)
    assert answer.written == ["watered"]
    assert words in answer.text


@pytest.mark.parametrize(
    "entry",
    [
        act("potted", labels("12"), pot_cm=1),
        act("potted", labels("12"), pot_cm=100),
        {"type": "climate", "min_c": 7, "max_c": 7},
        {"type": "climate", "min_c": -40, "max_c": 60},
        {"type": "climate", "rh": 0},
        {"type": "climate", "min_c": -3, "forecast": True, "when": "2026-04-16"},
        act("watered", labels("12"), when="2026-04-15"),
        {"type": "reminder", "text": "grit", "due": "2026-04-15"},
    ],
    ids=[
        "1 cm",
        "100 cm",
        "min is max",
        "ends of the scale",
        "no humidity",
        "forecast of tomorrow",
        "today",
        "reminder of today",
    ],
)
def test_the_ends_of_what_can_be_are_written(bench: Bench, entry: dict[str, Any]) -> None:
    assert len(bench.note(entry).events) == 1


@pytest.mark.parametrize("text", ["potted 12 in 0 cm on 31 feb", "watered 12 on 31 feb", "31 feb", "watered tray 3 on 30/2"])
def test_a_day_that_no_calendar_has_is_never_written_as_another(bench: Bench, text: str) -> None:
    bench.note(act("named", labels("12"), name="lobivia"), act("moved", labels("12"), to="tray 3"))
    before = bench.standing
    answer = bench.type(text)
    assert answer.events == ()
    assert bench.standing == before
    assert answer.text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "\n\n",
        "🌵🌵🌵",
        "полил кактусы",
        "x" * 5000,
        "\x00\x07\x1b[2J",
        "'; DROP TABLE care_log; --",
        "<b>hi</b>",
        "/frobnicate",
    ],
    ids=["empty", "blank", "lines", "emoji", "another script", "5000", "control", "sql", "html", "command"],
)
def test_bad_input_gets_a_short_answer_and_writes_nothing(bench: Bench, text: str) -> None:
    answer = bench.type(text)
    assert answer.events == ()
    assert 0 < len(answer.text) < 300
    assert bench.inbox_states() == ["done"]
    assert bench.log == []


def test_nothing_is_done_to_plants_before_they_came(bench: Bench) -> None:
    bench.at("2026-04-01T09:00").type("got 6 conophytum from pavel")
    bench.at("2026-05-04T09:00")
    refused = bench.type("watered the pavel lot on 3 march")
    assert refused.events == ()
    assert refused.text.splitlines() == ["The pavel lot came Wed 1 Apr, after Tue 3 Mar: not written.", "Which day was that?"]
    assert "5 Apr" in bench.type("5 april").text
    assert bench.thing("lot", "pavel").last["watered"] == "2026-04-05"
    assert bench.type("potted the pavel lot on 1 april").written == ["potted"]
    assert bench.type("watered 77 on 3 march").written == ["watered"]  # nobody said when it came
