"""The forty questions of the bench (common practice): each in two wordings at least, with and without a question mark."""

from __future__ import annotations

import re

import pytest

from bot.notes.reader import read
from tests.corpus.test_corpus import HERE, NAMES, NOW, facts


def wordings() -> dict[int, list[str]]:
    """Return the wordings of each question by its rank."""
    found: dict[int, list[str]] = {}
    rank = 0
    for row in (HERE / "forty.txt").read_text(encoding="utf-8").splitlines():
        heading = re.match(r"# (\d+) ", row)
        if heading:
            rank = int(heading[1])
            found[rank] = []
        elif row and not row.startswith("#"):
            found[rank].append(row.rpartition(" => ")[0])
    return found


def test_all_forty_are_there() -> None:
    assert sorted(wordings()) == list(range(1, 41))
    assert [rank for rank, said in wordings().items() if len(said) < 2] == []


@pytest.mark.parametrize(("rank", "said"), [(rank, said) for rank, every in wordings().items() for said in every])
def test_it_is_a_question_with_and_without_its_mark(rank: int, said: str) -> None:
    plain = facts(read(said, NOW, NAMES))
    assert plain.startswith("answer | question"), rank
    assert plain.count("|") == 1, rank
    assert facts(read(said + "?", NOW, NAMES)) == plain
    assert facts(read(said.capitalize() + " ?", NOW, NAMES)) == plain
