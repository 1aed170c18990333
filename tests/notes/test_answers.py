"""Answers to an open question: the earlier note comes back with the gap filled; a note of its own stays one."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.notes.batch import names_from_json
from bot.notes.reader import read
from bot.notes.reading import Question, Reading
from bot.notes.render import line

NOW = datetime(2026, 4, 15, 10, 40, tzinfo=ZoneInfo("Europe/London"))
NAMES = names_from_json(json.loads((Path(__file__).parent / "data" / "names.json").read_text(encoding="utf-8")))


MITES = "finding spider_mite status=present"


def answered(note: str, ask: str, answer: str) -> Reading:
    return read(answer, NOW, NAMES, answer_to=Question(note, ask))


@pytest.mark.parametrize(
    ("note", "ask", "answer", "wanted"),
    [
        ("soaked four, mites found", "which", "the lobivias", f"event watered @taxa=lobivia @count=4 how=soak | {MITES}"),
        ("soaked four, mites found", "which", "12 14 15 and 19", f"event watered @labels=12; 14; 15; 19 how=soak | {MITES}"),
        ("soaked four, mites found", "which", "all of them", f"event watered @refer=all @count=4 how=soak | {MITES}"),
        ("soaked four, mites found", "act", "in the wash", f"event washed @count=4 | {MITES}"),
        ("soaked four, mites found", "act", "watered", f"event watered @count=4 how=soak | {MITES}"),
        ("no mites", "which", "bench 2", "finding spider_mite @places=bench 2 status=absent"),
        ("40 clean", "which", "bench 2", "finding pest @places=bench 2 status=absent"),
        ("last wk sometime watered the sill", "when", "thursday", "event watered @places=sill when=2026-04-09"),
        ("sprayed 41", "product", "soap", "event treated @labels=41 how=spray product=soap"),
        ("20 + 3 came", "count", "22", "event acquired @count=22"),
        ("did the frames", "act", "watered", "event watered @places=frame"),
    ],
)  # fmt: skip
def test_an_answer_fills_the_gap(note: str, ask: str, answer: str, wanted: str) -> None:
    reading = answered(note, ask, answer)
    assert reading.answers
    assert line(reading).split(" | ", 1)[1] == wanted


@pytest.mark.parametrize(
    ("ask", "text"),
    [
        ("which", "watered bench 2"),
        ("which", "mites on tray 3"),
        ("which", "whats due"),
        ("which", "undo"),
        ("which", "done 3"),
        ("which", "tap root 9 cm on 15"),
        ("which", "min 3 last night"),
        ("act", "when did i last water bench 2"),
        ("when", "repotted 41 yesterday"),
        ("product", "12 is a rebutia heliosa"),
    ],
)
def test_a_note_of_its_own_is_not_swallowed(ask: str, text: str) -> None:
    reading = answered("soaked four, mites found", ask, text)
    assert not reading.answers
    assert reading.to_json() == read(text, NOW, NAMES).to_json()


@pytest.mark.parametrize(
    ("note", "ask", "text"),
    [
        ("watered 7 rebutias", "which", "21 same"),
        ("moved 2 to the loft", "which", "lithops not papery yet, left them dry"),
        ("should have watered bench 1 yesterday", "act", "didnt water 2, too cool"),
        ("done all", "act", "repotted 12 into a 9 cm clay pot, roots cut"),
        ("done all", "act", "cut 49 in half, callusing"),
        ("one cutting died", "which", "tray 9 is seedlings"),
        ("too hot, 39 in the greenhouse", "act", "soaked 3, take it out in 15 min"),
        ("nothing wrong with one", "which", "melos to the kitchen sill"),
        ("moved 14", "which", "hollis lot: 50-63"),
        ("did the hollis lot", "act", "repotted 7"),
        ("one died", "which", "41, rot"),
        ("3 died", "which", "41 and 43"),
        ("one died", "which", "3 rebutias"),
        ("lost 3", "which", "yes"),
        ("lost 3", "which", "tap root 9 cm on 15"),
    ],
)
def test_an_answer_is_what_was_asked_for_and_nothing_else(note: str, ask: str, text: str) -> None:
    reading = answered(note, ask, text)
    assert not reading.answers
    assert reading.to_json() == read(text, NOW, NAMES).to_json()


@pytest.mark.parametrize(
    ("note", "text", "wanted"),
    [
        ("lost 3", "41, 43, 50", "log | event died @labels=41; 43; 50"),
        ("lost 3", "3", "log | event died @labels=3"),
        ("one died", "it was 41", "log | event died @labels=41"),
        ("watered four", "the small ones", "log | event watered @words=the small ones @count=4"),
    ],
)
def test_which_died_is_settled_by_as_many_plants_as_were_said(note: str, text: str, wanted: str) -> None:
    reading = answered(note, "which", text)
    assert reading.answers
    assert line(reading) == wanted


def test_yes_keeps_the_reading_and_no_drops_it() -> None:
    assert answered("40 clean", "which", "yes").entries[0].sign == "pest"
    refused = answered("40 clean", "which", "no")
    assert refused.answers
    assert [one.type for one in refused.entries] == ["remark"]
