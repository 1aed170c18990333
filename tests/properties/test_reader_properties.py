"""What holds for any text at all: the reader never raises, drops no word, and does not care for case or spacing."""

from __future__ import annotations

import string
from datetime import datetime
from zoneinfo import ZoneInfo

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.care.known_names import Names
from bot.notes.lexicon import load
from bot.notes.reader import explain, read
from bot.notes.reading import ASKS, DECISIONS, Question, Reading
from tests.corpus.test_corpus import corpus
from tests.properties.held import broken, unlike

NOW = datetime(2026, 4, 15, 10, 40, tzinfo=ZoneInfo("Europe/London"))
NAMES = Names(
    places=("greenhouse", "bench 1", "bench 2", "q shelf", "frame A", "tray 3"),
    nicknames={"the colonel": "41"},
    lots={"barn": ("hollis lot",), "7": ()},
    people=("Pia", "Jan", "May"),
    sowings=("S12", "S13"),
    labels=(1, 612),
)
WORDS = sorted({word for phrases in load().first.values() for one in phrases for word in one.words})
NUMBERS = st.sampled_from(
    [
        "1",
        "2",
        "12",
        "41",
        "203",
        "9.5",
        "-3",
        "7->9",
        "12/25",
        "1-4",
        "s13",
        "9s",
        "2ml/l",
        "30ish",
        "3 days ago",
        "31 feb",
        "2026-04-12",
    ]
)
MARKS = st.sampled_from([",", ".", ";", ":", "?", "!", "(", ")", "&", "+", "-", "/", "\n", "'", '"', "~", "#"])
TYPED = st.lists(st.one_of(st.sampled_from(WORDS), NUMBERS, MARKS), max_size=14).map(" ".join)
ANY = st.one_of(st.text(max_size=200), TYPED)


def checked(text: str) -> Reading:
    """Return the reading of a text after checking what must hold for every reading."""
    reading = read(text, NOW, NAMES)
    assert reading.decision in DECISIONS
    assert (reading.ask in ASKS) == (reading.decision in ("ask", "log_ask"))
    assert reading.entries
    assert Reading.from_json(reading.to_json()).to_json() == reading.to_json()
    return reading


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ANY)
def test_never_raises_and_drops_no_word(text: str) -> None:
    reading = checked(text)
    covered = [False] * len(text)
    for entry in reading.entries:
        for place in range(*entry.span):
            covered[place] = True
    assert [
        text[i] for i, seen in enumerate(covered) if not seen and not text[i].isspace() and text[i] not in string.punctuation
    ] == []


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(TYPED)
def test_case_and_spacing_do_not_matter(text: str) -> None:
    wanted = [{**one.to_json(), "text": ""} for one in read(text.lower(), NOW, NAMES).entries]
    for other in (text.lower().replace(" ", "  "), "  " + text.lower() + "  "):
        got = read(other, NOW, NAMES)
        assert [one["type"] for one in wanted] == [one.type for one in got.entries]
        assert [one.get("act") for one in wanted] == [one.act for one in got.entries]


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ANY, TYPED, st.sampled_from(ASKS))
def test_an_answer_never_raises(text: str, note: str, ask: str) -> None:
    reading = read(text, NOW, NAMES, answer_to=Question(note, ask))
    assert reading.decision in DECISIONS


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ANY)
def test_explaining_never_raises(text: str) -> None:
    assert "decision:" in explain(text, NOW, NAMES)


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ANY)
def test_all_that_must_hold_holds(text: str) -> None:
    assert list(broken(text, NOW, NAMES)) == []


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from([phrase for _, phrase, _ in corpus()]), min_size=1, max_size=3).map(". ".join))
def test_capitals_blanks_and_a_full_stop_change_nothing(text: str) -> None:
    if "name=" not in str(read(text, NOW, NAMES).to_json()):
        assert list(unlike(text, NOW, NAMES)) == []
