"""The gold notes: 142 bench notes with the reading a grower would give them, scored as their contract says.

A note's entries are exact when they agree in every core field; a note is silently wrong when what is written differs from the
gold and no question covers the difference. The floors are what the reader has reached; they are never lowered.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from bot.notes.batch import names_from_json, read_jsonl

DATA = Path(__file__).parent.parent / "notes" / "data"
EXACT_FLOOR, DECISION_FLOOR, SILENT_CEILING = 0.99, 0.98, 0.008
KEYS = {
    "event": "act",
    "skip": "act",
    "finding": "sign",
    "measure": "of",
    "reminder": "act",
    "question": "about",
    "fix": "what",
    "request": "do",
}
FREE_TEXT = {"words", "text", "cond", "why"}
NUMBERS = ("value", "low", "high", "min_c", "max_c", "at_c", "set_c", "rh", "every_days")

Line = dict[str, Any]


def plain(value: Any) -> Any:
    """Compare as people would: case, order of lists and trailing zeros do not matter; free text does not count."""
    if isinstance(value, dict):
        said = ((k, v) for k, v in value.items() if k not in FREE_TEXT and not (v is None or v is False or v in ([], {})))
        return tuple(sorted((k, plain(v)) for k, v in said))
    if isinstance(value, list):
        return tuple(sorted(plain(one) for one in value))
    if isinstance(value, bool):
        return str(value)
    return f"{float(value):g}" if isinstance(value, (int, float)) else str(value).strip().lower()


def core(entry: Line, day: str) -> tuple[tuple[str, str], ...]:
    """Return the fields of an entry that decide whether it is read right."""
    kind, which, said = entry["type"], entry.get("which") or {}, entry.get("details") or {}
    got: Line = {
        "type": kind,
        "status": entry.get("status"),
        "which": plain(which),
        "words": bool(which.get("words")),
        "sure": entry.get("sure", True),
    }
    if kind in KEYS:
        got[KEYS[kind]] = entry.get(KEYS[kind])
    if kind in ("event", "skip", "finding", "measure", "climate"):
        got["when"] = entry.get("when") or day
    if entry.get("act") in ("moved", "given"):
        got["to"] = plain(said.get("to"))
    if entry.get("act") in ("potted", "repotted"):
        got["pot_cm"] = plain(said.get("pot_cm"))
    if kind in ("reminder", "hold"):
        got.update(
            {name: entry.get(name) or None for name in ("act", "due", "until", "cancel", "snooze")}, cond=bool(entry.get("cond"))
        )
    if kind == "question":
        got.update({f"asked_{name}": entry.get(name) for name in ("act", "sign", "since", "until")})
    if kind == "request":
        got.update(numbers=plain(entry.get("numbers") or []), until=entry.get("until"))
    if kind == "fix":
        got["to"] = plain(entry.get("to"))
    got.update({name: plain(entry[name]) for name in NUMBERS if entry.get(name) is not None})
    return tuple(sorted((name, str(value)) for name, value in got.items()))


def cores(line: Line, day: str) -> Counter[tuple[tuple[str, str], ...]]:
    """Return the core of every entry of a line; remarks do not count."""
    return Counter(core(one, day) for one in line["entries"] if one["type"] != "remark")


def without(counted: Counter[tuple[tuple[str, str], ...]], field: str) -> Counter[tuple[tuple[str, str], ...]]:
    """Return the entries with one field left open, as a question about it would."""
    names = (field,) if field != "which" else ("which", "words")
    return Counter(tuple(pair for pair in one if pair[0] not in names) for one in counted.elements())


def silently_wrong(gold: Line, got: Line, day: str) -> bool:
    """Return whether something was written that the gold does not hold, and no question covers it."""
    want, have = cores(gold, day), cores(got, day)
    if got["decision"] == "ask":
        return False
    if gold["decision"] == "ask":
        return bool(have) or got["decision"] != "log_ask"
    if got["decision"] == "log_ask" and got["ask"] in ("which", "when", "count"):
        field = "when" if got["ask"] == "when" else "which"
        want, have = without(want, field), without(have, field)
    return want != have


@pytest.fixture(scope="module")
def scored() -> list[tuple[Line, Line]]:
    """Return each gold line with the reader's line."""
    names = names_from_json(json.loads((DATA / "names.json").read_text(encoding="utf-8")))
    lines = (DATA / "bench_notes.jsonl").read_text(encoding="utf-8").splitlines()
    return [(json.loads(gold), json.loads(got)) for gold, got in zip(lines, read_jsonl(lines, names), strict=True)]


@pytest.mark.published
def test_the_gold_notes_are_read_exactly(scored: list[tuple[Line, Line]]) -> None:
    wrong = [gold["id"] for gold, got in scored if cores(gold, gold["now"][:10]) != cores(got, gold["now"][:10])]
    assert 1 - len(wrong) / len(scored) >= EXACT_FLOOR, wrong


@pytest.mark.published
def test_the_decisions_are_right(scored: list[tuple[Line, Line]]) -> None:
    wrong = [gold["id"] for gold, got in scored if gold["decision"] != got["decision"]]
    assert 1 - len(wrong) / len(scored) >= DECISION_FLOOR, wrong


@pytest.mark.published
def test_hardly_anything_is_silently_wrong(scored: list[tuple[Line, Line]]) -> None:
    wrong = [gold["id"] for gold, got in scored if silently_wrong(gold, got, gold["now"][:10])]
    assert len(wrong) / len(scored) <= SILENT_CEILING, wrong
