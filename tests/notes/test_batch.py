"""Notes as JSON lines: one line out for each line in, in order, and a bad line does not stop the run."""

from __future__ import annotations

import json

from bot.care.known_names import Names
from bot.notes.batch import names_from_json, read_jsonl

GOOD = {"id": "n1", "text": "watered bench 2", "now": "2026-04-15T10:40", "tz": "Europe/London"}


def run(*lines: str) -> list[dict[str, object]]:
    return [json.loads(line) for line in read_jsonl(lines, Names(places=("bench 2",)))]


def test_one_line_out_for_each_line_in() -> None:
    first, second = run(json.dumps(GOOD), json.dumps({**GOOD, "id": "n2", "text": "undo"}))
    assert list(first) == ["id", "decision", "ask", "entries"]
    assert (first["id"], first["decision"], first["ask"]) == ("n1", "log", None)
    assert first["entries"] == [{"type": "event", "act": "watered", "which": {"places": ["bench 2"]}}]
    assert (second["id"], second["decision"]) == ("n2", "fix")


def test_bad_lines_give_an_error_and_the_run_goes_on() -> None:
    bad = [
        "{",
        "[1]",
        json.dumps({"id": "a", "now": "2026-04-15T10:40"}),
        json.dumps({**GOOD, "id": "b", "now": "yesterday"}),
        json.dumps({**GOOD, "id": "c", "tz": "Europe/Nowhere"}),
        json.dumps({**GOOD, "id": "d", "text": 5}),
        json.dumps({**GOOD, "id": "e", "answer_to": "x"}),
    ]
    got = run(*bad, json.dumps(GOOD))
    assert ["error" in one for one in got] == [True] * len(bad) + [False]
    assert [one["id"] for one in got] == [None, None, "a", "b", "c", "d", "e", "n1"]


def test_the_answer_to_an_open_question_comes_with_the_line() -> None:
    (got,) = run(json.dumps({**GOOD, "text": "bench 2", "answer_to": {"text": "no mites", "ask": "which"}}))
    assert got["entries"] == [{"type": "finding", "sign": "spider_mite", "status": "absent", "which": {"places": ["bench 2"]}}]


def test_names_of_a_collection_come_from_a_mapping() -> None:
    names = names_from_json({"places": ["gh"], "nicknames": {"duchess": 77}, "lots": {"barn": ["hollis lot"]}, "labels": [1, 9]})
    assert names.nicknames == {"duchess": "77"}
    assert names.lots == {"barn": ("hollis lot",)}
    assert names.labels == (1, 9)
