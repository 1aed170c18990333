"""The corpora: one file for each family of rules; each line a phrase and the reading it must give, at one frozen moment.

`phrase => decision[/ask] | entry | entry`, as `bot.notes.render.line` writes a reading with its remarks left out. A phrase
that must give nothing stands with its decision alone. `tests/notes/data/names.json` is the collection they are read in.
"""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.notes.batch import names_from_json
from bot.notes.reader import read
from bot.notes.reading import Reading
from bot.notes.render import line

HERE = Path(__file__).parent
NAMES = names_from_json(json.loads((HERE.parent / "notes" / "data" / "names.json").read_text(encoding="utf-8")))
NOW = datetime(2026, 4, 15, 10, 40, tzinfo=ZoneInfo("Europe/London"))


def corpus() -> list[tuple[str, str, str]]:
    """Return (family, phrase, wanted) of every corpus line."""
    out = []
    for path in sorted(HERE.glob("*.txt")):
        for row in path.read_text(encoding="utf-8").splitlines():
            if row and not row.startswith("#"):
                phrase, _, wanted = row.rpartition(" => ")
                out.append((path.stem, phrase, wanted))
    return out


def facts(reading: Reading) -> str:
    """Return the reading's exact line without its remarks."""
    return line(Reading(reading.decision, reading.ask, tuple(one for one in reading.entries if one.type != "remark")))


@pytest.mark.parametrize(("family", "phrase", "wanted"), corpus())
def test_phrase(family: str, phrase: str, wanted: str) -> None:
    assert facts(read(phrase, NOW, NAMES)) == wanted


@pytest.mark.parametrize(("family", "phrase", "wanted"), corpus())
def test_punctuation_at_the_end_and_capitals_do_not_matter(family: str, phrase: str, wanted: str) -> None:
    if not phrase.endswith(("?", ".", "!")):
        assert facts(read(phrase + ".", NOW, NAMES)) == wanted
    if "name=" not in wanted:
        assert facts(read(phrase.upper(), NOW, NAMES)).lower() == wanted.lower()
