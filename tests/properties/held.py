"""What must hold for the reading of any text: it ends, within so many calls, says something, and drops no word."""

from __future__ import annotations

import json
import string
import sys
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from bot.care.known_names import Names
from bot.notes.reader import LONGEST, explain, finish, interpret, read
from bot.notes.reading import ASKS, DECISIONS, Question, Reading
from bot.notes.retakes import self_corrected
from bot.notes.talk import Settings, Talk

CALLS_A_NOTE, CALLS_A_CHARACTER = 6000, 500  # project defaults: five times what the worst of the growth tests takes
NAMED = frozenset(("taxon", "place", "nickname", "sowing", "lot"))
NAMES_NOTHING = frozenset(("question", "fix", "request"))


def broken(text: str, now: datetime, names: Names) -> Iterator[str]:
    """Yield each property that the reading of `text` does not have; an error of the reader is passed on."""
    talk, took = counted(text, now, names)
    reading = finish(talk)
    if took > CALLS_A_NOTE + CALLS_A_CHARACTER * min(len(text), LONGEST):
        yield f"takes {took} calls"
    if reading.decision not in DECISIONS or (reading.ask in ASKS) != (reading.decision in ("ask", "log_ask")):
        yield f"decides {reading.decision}/{reading.ask}"
    if not reading.entries:
        yield "says nothing"
    if Reading.from_json(json.loads(json.dumps(reading.to_json()))).to_json() != reading.to_json():
        yield "is not the same from its JSON"
    yield from (f"drops {one!r}" for one in uncovered(text, reading))
    yield from (f"forgets {one!r}" for one in forgotten(talk, reading))


def counted(text: str, now: datetime, names: Names) -> tuple[Talk, int]:
    """Return the state of the reading of a text and how many calls of functions it took."""
    took = 0

    def count(_frame: Any, event: str, _argument: Any) -> None:
        nonlocal took
        took += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        talk = interpret(text, now, names, Settings())
    finally:
        sys.setprofile(before)
    return talk, took


def uncovered(text: str, reading: Reading) -> list[str]:
    """Return the characters of words that no entry stands for; white space and marks are no words."""
    covered = [False] * len(text)
    for entry in reading.entries:
        covered[slice(*entry.span)] = [True] * len(range(*slice(*entry.span).indices(len(text))))
    return [one for one, seen in zip(text, covered, strict=True) if not seen and not one.isspace() and one not in MARKS]


MARKS = frozenset(string.punctuation)


def forgotten(talk: Talk, reading: Reading) -> list[str]:
    """Return the plants and places that are named and neither stand in an entry nor are asked about."""
    if reading.ask or any(one.type in NAMES_NOTHING for one in reading.entries):
        return []
    said = json.dumps(reading.to_json(), ensure_ascii=False).lower()
    meant = self_corrected(talk.items)
    named = [(one, talk.text[one.start : one.end].lower()) for one in meant if one.family in NAMED]
    return [one.low for one, typed in named if not any(word in said for word in (one.meaning.lower(), one.low, typed))]


def unlike(text: str, now: datetime, names: Names) -> Iterator[str]:
    """Yield each way of typing that changes what is read: capitals, more blanks, a full stop at the end."""
    wanted = facts(read(text, now, names))
    if len(text.upper()) == len(text) == len(text.lower()) and facts(read(text.upper(), now, names)) != wanted:
        yield "reads otherwise in capitals"
    if "  " not in text and facts(read(text.replace(" ", "  "), now, names)) != wanted:
        yield "reads otherwise with more blanks"
    if text[-1:].isalnum() and facts(read(text + ".", now, names)) != wanted:
        yield "reads otherwise with a full stop"


def facts(reading: Reading) -> list[Any]:
    """Return what a reading says without the words it keeps as they were typed."""
    return [reading.decision, reading.ask, *(_plain(one.to_json()) for one in reading.entries if one.type != "remark")]


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items() if key not in ("text", "cond", "why", "words", "name", "cause")}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value.casefold() if isinstance(value, str) else value


def also(text: str, note: str, now: datetime, names: Names) -> None:
    """Read a text as an answer and explain it; an error is passed on."""
    for ask in ASKS:
        read(text, now, names, answer_to=Question(note, ask))
    explain(text, now, names)
