"""The reader: one note's text to what it says."""

from __future__ import annotations

import re
from datetime import datetime

from bot.care.names import Names
from bot.notes.reading import Entry, Question, Reading, Selection

SIMPLE = re.compile(r"(?i)^(watered|fed|misted)\s+((?:bench|tray|frame|shelf)\s*\w+)$")


def read(
    text: str,
    now: datetime,
    names: Names = Names(),
    *,
    date_order: str = "dmy",
    units: str = "metric",
    hemisphere: str = "N",
    language: str = "en",
    answer_to: Question | None = None,
) -> Reading:
    """Return what `text`, written at the local moment `now`, says; never raises for any text."""
    found = SIMPLE.match(text.strip())
    if found:
        act, place = found.group(1).lower(), found.group(2).lower()
        return Reading("log", None, (Entry("event", act=act, which=Selection(places=(place,)), span=(0, len(text))),))
    return Reading("log", None, (Entry("remark", text=text.strip(), span=(0, len(text))),))
