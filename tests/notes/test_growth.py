"""How the work of reading grows with the length of a note: counted in calls of functions, never in time.

Twice the words may take at most 2.3 times the calls (project default: a bit above twice, since the first words carry what is done
once a note), and the longest note that is read at most so many calls a character.
"""

from __future__ import annotations

import json
import random
import statistics
import sys
from pathlib import Path
from typing import Any

import pytest

from bot.notes import dates
from bot.notes.lexicon import load
from bot.notes.reader import LONGEST, read
from bot.notes.tokens import scan
from tests.corpus.test_corpus import NAMES, NOW, corpus

DOUBLE = 2.3
CALLS_A_CHARACTER = 170
UNITS = (
    "-", "the ", "( ", ") ", "? ", "and ", "not ", "but ", "if dry ", "watered ", "watered 41 ", "watered 41. ", "min 3 ",
    "when ", "mites on 41, ", "41, ", "41 ", "1-4 ", "no ", "except ", "to ", "till ", "the rest ", "may ",
    "repotted 41 into 9s ", "not 41 ", "remind me to ", "zzzz ", "half of ", "with ", ": ", "skipped ", "the rebutias on ",
    "fed up with ", "yesterday ", "on the ", "sorry, 41 ", "wait, ", "why not ", "instead of ", "41 the colonel ", "a-",
    "x3 ", "2ml/l ",
)  # fmt: skip


def calls(text: str) -> int:
    """Return how many calls of functions, Python's own and C's, reading a text takes."""
    counted = 0

    def count(_frame: Any, event: str, _argument: Any) -> None:
        nonlocal counted
        counted += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        read(text, NOW, NAMES)
    finally:
        sys.setprofile(before)
    return counted


def grows(unit: str) -> tuple[float, float]:
    """Return how much more calls twice the words take, and the calls a character of the longer note."""
    read("watered bench 2 yesterday", NOW, NAMES)  # the tables are read
    times = max(1, LONGEST // 2 // len(unit))
    half, whole = calls(unit * times), calls(unit * 2 * times)
    return whole / half, whole / (len(unit) * 2 * times)


@pytest.mark.parametrize("unit", UNITS)
def test_twice_the_words_take_twice_the_calls(unit: str) -> None:
    ratio, each = grows(unit)
    assert ratio <= DOUBLE
    assert each <= CALLS_A_CHARACTER


def test_so_it_is_for_any_words() -> None:
    chance = random.Random(15)
    words = sorted(load().known)
    phrases = [phrase for _, phrase, _ in corpus()]
    for _ in range(40):
        unit = " ".join(chance.choices(words, k=chance.randint(1, 4))) + " "
        assert grows(unit)[0] <= DOUBLE, unit
        said = chance.choice(phrases) + chance.choice((", ", ". ", "\n", " ", " and "))
        assert grows(said)[0] <= DOUBLE, said


def test_a_long_note_is_read_to_its_end() -> None:
    lines = [f"watered {n}" for n in range(100, 220)]
    for link in ("\n", ". ", ", ", " and "):
        reading = read(link.join(lines), NOW, NAMES)
        said = [label for one in reading.entries if one.which is not None for label in one.which.labels]
        assert said == [str(n) for n in range(100, 220)], link


def test_an_ordinary_note_takes_few_calls() -> None:
    """The bound is a fifth above what the gold notes took when this was written; 7 calls were a microsecond then."""
    gold = (Path(__file__).parent / "data" / "bench_notes.jsonl").read_text(encoding="utf-8").splitlines()
    texts = [json.loads(line)["text"] for line in gold]
    for text in texts:
        read(text, NOW, NAMES)
    undated = [calls(text) for text in texts if not dates.find(scan(text))]
    assert len(undated) > 100
    assert statistics.median(undated) <= 770
