"""Questions: the answer first, in at most five lines, right on a small collection and harmless on an empty one."""

from __future__ import annotations

import re
from typing import Any

import pytest

from bot.notes.reading import ABOUTS
from tests.app.bench import Bench, acquired, act, labels, question, seen

ALL_SORTS: list[dict[str, Any]] = [
    {},
    {"which": labels("12")},
    {"which": labels("999")},
    {"which": {"places": ["bench 2"]}},
    {"which": {"places": ["nowhere"]}},
    {"which": {"taxa": ["lobivia"]}},
    {"which": {"taxa": ["nonesuch"]}},
    {"which": {"lots": ["irma"]}},
    {"which": {"lots": ["nobody"]}},
    {"which": {"sowings": ["S1"]}},
    {"which": {"sowings": ["S9"]}},
    {"which": {"nicknames": ["grandad"]}},
    {"which": {"words": "the blue one"}},
    {"which": {"kind": "offsets"}},
    {"which": {"state": "quarantine"}},
    {"which": {"state": "open_case"}},
    {"which": {"refer": "same"}},
    {"which": {"refer": "all", "count": 7}},
    {"which": {"count": 4}},
    {"act": "watered", "which": labels("12")},
    {"act": "repotted", "since": "2024-01-01"},
    {"sign": "spider_mite"},
    {"sign": "flowering", "since": "2026-01-01", "until": "2026-12-31"},
    {"since": "2026-04-01", "until": "2026-04-20"},
    {"since": "2027-01-01"},
    {"details": {"dose": "2ml/l", "litres": 7}},
]


def _small_world(bench: Bench) -> Bench:
    """Two lobivias on a bench, a lot in quarantine, a sowing, offsets, mites, a death, and some of the year's notes."""
    bench.at("2026-03-20T09:00")
    bench.note(act("named", labels("12", "13"), name="lobivia"), act("moved", labels("12", "13"), to="bench 2"))
    bench.note({"type": "request", "do": "teach", "which": labels("13"), "text": "grandad"}, decision="do")
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma", to="q shelf", price=24, currency="€"))
    bench.note(act("sown", {"sowings": ["S1"]}, sown=50, name="lithops"))
    bench.at("2026-04-02T09:00").note(act("germinated", {"sowings": ["S1"], "count": 31}, total=True))
    bench.note(act("watered", {"places": ["bench 2"]}, how="soak"), {"type": "climate", "min_c": -1, "max_c": 14})
    bench.note(act("offsets_taken", {"labels": ["12"], "kind": "offsets", "count": 3}))
    bench.at("2026-04-10T09:00").note(seen("spider_mite", labels("12")), seen("flowering", labels("13")))
    bench.note(act("treated", labels("12"), how="spray", product="soap"), act("repotted", labels("13"), pot_cm=9))
    bench.note(act("died", {"lots": ["irma"], "count": 1}, cause="rot"))
    bench.note(act("offered", labels("13")))
    bench.note(act("offered", labels("13")), answers=True)  # it settles in: a yes is wanted first
    bench.at("2026-04-15T09:00")
    return bench


def _ask(bench: Bench, about: str, **said: Any) -> str:
    answer = bench.note(question(about, **said), decision="answer")
    assert answer.events == (), "a question writes nothing"
    return answer.text


@pytest.mark.parametrize("about", sorted(ABOUTS))
def test_any_question_of_any_collection_is_answered_in_few_lines(bench: Bench, about: str) -> None:
    """Asked of nothing, and of a small world: never a fault, never nothing, and nothing is written."""
    for world in ("empty", "small"):
        if world == "small":
            _small_world(bench)
        before = len(bench.log) if world == "small" else 0
        for said in ALL_SORTS:
            answer = bench.later(minutes=31).note(question(about, **said), decision="answer")
            assert "went wrong" not in answer.text, (world, said)
            assert answer.text.strip(), (world, said)
            assert len(answer.text.splitlines()) <= {"due": 6, "card": 9}.get(about, 5), (
                world,
                said,
            )  # a card tells all in one message
            assert not re.search(r"\bNone\b(?! noted|:)", answer.text), (world, said, answer.text)
        assert len(bench.log) == before
    assert set(bench.inbox_states()) == {"done"}


@pytest.mark.parametrize(
    ("about", "said", "wanted"),
    [
        ("due", {}, "Nothing due today."),
        ("last_done", {"act": "watered", "which": labels("12")}, "No watering entry"),
        ("list", {}, "None noted."),
        ("count", {}, "None noted."),
        ("losses", {}, "None noted as dead."),
        ("climate", {}, "No thermometer entry yet"),
        ("flowering", {}, "No flower noted"),
        ("swap_list", {}, "Nothing is down for swapping"),
        ("rooted", {}, "No offsets or cuttings noted."),
        ("germination", {}, "No sowing"),
        ("source", {}, "No source noted."),
        ("journal", {}, "No note"),
        ("where", {"which": labels("12")}, "I don't know that one."),
        ("card", {"which": labels("12")}, "I don't know that one."),
        ("lineage", {"which": labels("12")}, "I don't know that one."),
        ("rest_check", {}, "None noted as resting."),
        ("sprayed", {}, "No treatment entry."),
        ("outcome", {}, "No treated case"),
    ],
)
def test_an_empty_collection_says_so(bench: Bench, about: str, said: dict[str, Any], wanted: str) -> None:
    assert wanted in _ask(bench, about, **said)


@pytest.mark.parametrize(
    ("about", "said", "first"),
    [
        ("last_done", {"act": "watered", "which": {"places": ["bench 2"]}}, "Thu 2 Apr (13 days ago), soaked: bench 2"),
        ("last_done", {"act": "watered", "which": labels("12")}, "Thu 2 Apr (13 days ago), soaked: 12"),
        ("last_done", {"act": "fed", "which": labels("12")}, "No feed entry for 12"),
        ("last_done", {"act": "treated", "which": labels("12")}, "Fri 10 Apr (5 days ago): 12"),
        ("last_done", {"sign": "spider_mite", "which": labels("12")}, "Fri 10 Apr (5 days ago): 12"),
        ("done_since", {"act": "watered", "since": "2026-04-01", "which": labels("12")}, "Yes: Thu 2 Apr (13 days ago), 12"),
        ("done_since", {"act": "watered", "since": "2026-04-05", "which": labels("12")}, "No watering entry for 12"),
        ("not_since", {"act": "repotted", "since": "2026-01-01"}, "1: 12"),
        ("count", {"which": {"taxa": ["lobivia"]}}, "2: 2 on bench 2"),
        ("count", {"which": {"lots": ["irma"]}}, "5"),
        ("list", {"which": {"places": ["bench 2"]}}, "12"),
        ("list", {"which": {"state": "quarantine"}}, "The irma lot: day 26"),
        ("list", {"sign": "spider_mite"}, "Spider mites on 12"),
        ("where", {"which": labels("12")}, "12 (Lobivia): bench 2."),
        ("where", {"which": {"nicknames": ["grandad"]}}, "grandad (Lobivia): bench 2."),
        ("card", {"which": labels("13")}, "grandad (Lobivia): bench 2, 9 cm pot."),
        ("source", {"which": {"lots": ["irma"]}}, "The irma lot: Fri 20 Mar (26 days ago) from Irma, 5 of 6 left"),
        ("losses", {}, "1 dead: 1 of the irma lot"),
        ("losses", {"which": {"lots": ["irma"]}}, "1 of 6 dead (17 %): 1 of the irma lot"),
        ("germination", {"which": {"sowings": ["S1"]}}, "S1: 31 up, 62 % (n = 50), day 26"),
        ("rooted", {}, "The offsets of 12: 0 of 3 rooted, 3 pending"),
        ("flowering", {}, "grandad (Lobivia) on bench 2"),
        ("climate", {"since": "2026-04-01"}, "Lowest -1 °C, Thu 2 Apr (n = 1); 1 night at or below 0."),
        ("swap_list", {}, "For swap: grandad (Lobivia)."),
        ("sprayed", {}, "Last treated Fri 10 Apr: 12"),
        ("outcome", {}, "Spider mites on 12"),
        ("lineage", {"which": labels("12")}, "No parent of 12 noted."),
        ("journal", {"since": "2026-04-10"}, "Fri 10 Apr:"),
        ("rest_check", {}, "None noted as resting."),
        ("may_water", {"which": labels("13")}, "Not grandad (Lobivia): newly potted, first water"),
        ("may_water", {"which": labels("12")}, "Nothing holds 12"),
    ],
)
def test_the_answer_comes_first(bench: Bench, about: str, said: dict[str, Any], first: str) -> None:
    assert _ask(_small_world(bench), about, **said).startswith(first)


def test_what_was_asked_about_is_what_the_next_note_is_about(bench: Bench) -> None:
    _small_world(bench)
    _ask(bench, "where", which=labels("13"))
    assert "Which" in bench.later(minutes=1).note(act("fed")).text, "a question is no talk at the bench"


def test_an_unknown_kind_of_question_is_kept(bench: Bench) -> None:
    assert _ask(bench, "horoscope") == "I can't answer that yet. Your question is kept."


def test_the_journal_tells_notes_and_leaves_out_questions(bench: Bench) -> None:
    bench.note(act("watered", labels("12")), text="watered the grumpy one")
    bench.note(question("count"), decision="answer", text="how many have i got")
    text = _ask(bench, "journal", since="2026-04-15")
    assert "watered the grumpy one" in text
    assert "how many" not in text


def test_the_journal_of_a_day_is_that_day_where_the_collection_stands(bench: Bench) -> None:
    bench.type("set zone Australia/Sydney")
    bench.at("2026-04-15T10:00").note(act("watered", labels("12")), text="watered in the sun")
    bench.settings = bench.view_settings()
    bench.at("2026-04-16T06:00").note(act("watered", labels("13")), text="watered at dawn")
    assert "watered at dawn" in _ask(bench, "journal", since="2026-04-16")
    assert "watered at dawn" not in _ask(bench, "journal", since="2026-04-15")


def test_due_after_the_day_has_turned_is_of_that_day(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")))
    assert "Nothing due today" in _ask(bench, "due")
    bench.at("2026-04-22T00:05")
    assert _ask(bench, "due").startswith("1. look for slugs: 12")


def test_a_question_in_a_note_sees_what_the_note_has_written(bench: Bench) -> None:
    """Asked in the same breath: the count takes in what has just come."""
    answer = bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"), question("count", which={"taxa": ["rebutia"]}))
    assert answer.written == ["acquired"]
    assert answer.text.splitlines()[1].startswith("6"), answer.text
    due = bench.later(days=1).note(seen("slug", labels("12")), question("due", until="2026-04-23", which=labels("12")))
    assert "1. look for slugs: 12" in due.text
    said = bench.note({"type": "request", "do": "done", "numbers": [1]}, decision="do").text
    assert said.startswith("Done: look for slugs, 12")
