"""Every row of the lexicon has an example, which is help text and test at once; every word stands for its row."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.notes.batch import names_from_json
from bot.notes.lexicon import Row, genera, inflections, load, rows
from bot.notes.reader import read
from bot.notes.reading import ACTS, SIGNS, Entry

NOW = datetime(2026, 4, 15, 10, 40, tzinfo=ZoneInfo("Europe/London"))
NAMES = names_from_json(json.loads((Path(__file__).parent / "data" / "names.json").read_text(encoding="utf-8")))
EXAMPLES = [one for one in rows() if one.example]
MEANT: dict[str, Callable[[Entry], str | None]] = {
    "act": lambda entry: entry.act,
    "sign": lambda entry: entry.sign,
    "taxon": lambda entry: entry.which.taxa[0] if entry.which and entry.which.taxa else None,
    "kind": lambda entry: entry.which.kind if entry.which else None,
    "ambiguous": lambda entry: "asked" if entry.which and entry.which.words else None,
}


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: f"{row.family}-{row.meaning}-{row.example}")
def test_the_example_of_a_row_gives_its_meaning(row: Row) -> None:
    wanted = "asked" if row.family == "ambiguous" else row.meaning
    given = [MEANT[row.family](one) for one in read(row.example, NOW, NAMES).entries]
    assert wanted in given


def test_every_act_and_sign_of_the_contract_has_its_words() -> None:
    known = {(one.family, one.meaning) for one in rows()}
    assert {("act", act) for act in ACTS} <= known
    assert {("sign", sign) for sign in SIGNS} <= known


def test_every_row_of_the_tables_that_need_one_has_an_example() -> None:
    assert [one.meaning for one in rows() if one.family in MEANT and not one.example] == []


@pytest.mark.parametrize(
    ("form", "wanted"),
    [
        ("water+", ["water", "waters", "watered", "watering"]),
        ("cut/cut/cutting", ["cut", "cut", "cutting", "cuts"]),
        ("damp/damped/damping down", ["damp down", "damped down", "damping down"]),
        ("spray over", ["spray over"]),
    ],
)
def test_inflections(form: str, wanted: list[str]) -> None:
    assert [phrase for phrase, _ in inflections(form)] == wanted


def test_genera_map_synonyms_to_the_accepted_genus() -> None:
    known = genera()
    assert known["notocactus"] == "parodia"
    assert known["lobivia"] == "lobivia"


def test_a_language_without_tables_reads_as_english() -> None:
    assert load("en") is load("en")
    assert read("watered bench 2", NOW, NAMES, language="xx").entries[0].act == "watered"
