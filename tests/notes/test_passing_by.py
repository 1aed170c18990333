"""Rules that a note cannot call are passed by; a note reads the same where none is passed by.

What lets the reader pass rules by (words and families that a note does not hold) is made blind here, so that every rule looks
at every note: the corpora, the gold notes and notes put together by chance must read as they do with it.
"""

from __future__ import annotations

import ast
import json
import random
from pathlib import Path

import pytest

from bot.notes import asking, clauses, colliders, corrections, dates, items, quantities, requests, sought, subjects, wholes
from bot.notes.clause import Clause
from bot.notes.reader import explain, read
from bot.notes.talk import Talk
from tests.corpus.test_corpus import NAMES, NOW, corpus

GOLD = Path(__file__).parent / "data" / "bench_notes.jsonl"
BY_CHANCE = 300


class _Everything(frozenset[str]):
    """A set that seems to hold every word."""

    def __contains__(self, _: object) -> bool:
        return True

    def isdisjoint(self, _: object) -> bool:
        return False


def texts() -> list[str]:
    """Return the phrases of the corpora, the gold notes, and parts of both put together by chance."""
    phrases = [phrase for _, phrase, _ in corpus()]
    phrases += [json.loads(line)["text"] for line in GOLD.read_text(encoding="utf-8").splitlines()]
    chance = random.Random(4)
    links = (", ", ". ", " and ", "\n", " ", "? ", " but ")
    mixed = (chance.choice(links).join(chance.choices(phrases, k=chance.randint(2, 4))) for _ in range(BY_CHANCE))
    return [*phrases, *mixed]


@pytest.fixture
def _looking_everywhere(monkeypatch: pytest.MonkeyPatch) -> None:
    for holder, name in ((Talk, "silent"), (Talk, "lacks"), (Clause, "silent"), (Clause, "lacks"), (wholes, "_no_cue")):
        monkeypatch.setattr(holder, name, lambda *_: False)
    for module, name in (
        (colliders, "CALLING"), (sought, "CALLING"), (items, "_BY_STEPS"), (wholes, "_RULE_WORDS"), (asking, "_FIRST"),
        (asking, "_ANYWHERE"), (quantities, "GOES_ON"), (clauses, "FLOWING"), (subjects, "BEGINS"), (dates, "AFTER_NUMBER"),
        (requests, "_POLITE_FIRST"), (corrections, "OPENS"),
    ):  # fmt: skip
        assert getattr(module, name)
        monkeypatch.setattr(module, name, _Everything())
    monkeypatch.setattr(dates, "_NUMBER_RULES", dates._RULES)


def _told(every: list[str]) -> list[tuple[str, str]]:
    return [(json.dumps(read(text, NOW, NAMES).to_json()), explain(text, NOW, NAMES)) for text in every]


@pytest.fixture(scope="module")
def passing_by() -> list[tuple[str, str]]:
    """Return how the texts read as they always are."""
    return _told(texts())


@pytest.mark.usefixtures("passing_by", "_looking_everywhere")
def test_no_rule_is_passed_by_that_had_something_to_say(passing_by: list[tuple[str, str]]) -> None:
    for text, before, now in zip(texts(), passing_by, _told(texts()), strict=True):
        assert now == before, text


def test_this_test_can_fail(passing_by: list[tuple[str, str]], monkeypatch: pytest.MonkeyPatch) -> None:
    """A rule that is passed by wrongly changes readings."""
    monkeypatch.setattr(sought, "CALLING", frozenset())
    monkeypatch.setattr(sought, "CALLED", frozenset())
    assert _told(texts()) != passing_by


def test_a_clause_that_was_cut_is_changed_by_made_alone() -> None:
    """What a closed clause holds is put together once; a head or a list put in from outside would not be in it."""
    own = {"clause.py", "clauses.py"}
    changed = [
        (path.name, target.attr)
        for path in sorted(Path(clauses.__file__).parent.glob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Assign)
        for each in node.targets
        for target in ast.walk(each)
        if isinstance(target, ast.Attribute) and isinstance(target.ctx, ast.Store) and target.attr in ("head", "before")
    ]
    assert {name for name, _ in changed} <= own
    assert ("clauses.py", "head") in changed  # it does find them
