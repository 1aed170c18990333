"""Notes in five voices, written and labelled before they were first read, since then tuned on: no better figure than that.

At the first look 17 of 30 readings were exact and 2 silently wrong, case and remarks forgiven; since then 19 and 1. Here every
field must be the same, which is stricter. The bounds are what was measured and may only be tightened.
"""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from bot.notes.batch import names_from_json
from bot.notes.reader import read

DATA = Path(__file__).parent / "data"
NAMES = names_from_json(json.loads((DATA / "names.json").read_text(encoding="utf-8")))
WRITING = ("log", "remind", "fix", "do", "answer")


def facts(reading: dict[str, Any]) -> list[Any]:
    return [reading["decision"], [one for one in reading["entries"] if one["type"] != "remark"]]


def test_voices() -> None:
    exact = silent = 0
    for row in map(json.loads, (DATA / "tuned_on" / "voices.jsonl").read_text(encoding="utf-8").splitlines()):
        got = read(row["text"], datetime.fromisoformat(row["now"]), NAMES).to_json()
        right = facts(got) == facts(row)
        exact += right
        silent += not right and got["decision"] in WRITING
    assert exact >= 17
    assert silent <= 3
