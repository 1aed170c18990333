"""Dialogues as text, and how they are played over the terminal's conversation, on a database of their own.

A story file:

    # a comment
    zone: Europe/Prague             settings, before the first step
    latitude: 50
    @ 2026-04-15T10:40              moves the clock; messages that fall due on the way go out
    > watered tray 3                sends a note, which must get exactly one message back
    < watered tray 3                these words stand in that message (or, below @, in the messages that went out),
                                    whatever the case and the spacing
    ! which                         these words do not
    events: watered spider_mite     exactly these were written, in order: each the act, sign or measure, else the kind

A `dialogue` block in README.md has the same `@` and `>` lines; every other line is part of the answer as it is shown.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from bot.app.intake import Intake
from bot.chat.clock import Clock, moment_of
from bot.chat.terminal import Conversation, Gathered, shown
from bot.messages import Outgoing
from bot.store.database import open_database
from bot.store.people import CollectionSettings

MARKS = {"@": "moves", ">": "says"}
BEGIN = "2026-01-01T09:00"


@dataclass
class Step:
    """One line of a dialogue that does something, and what is expected of it."""

    line: int
    mark: str
    text: str
    wanted: list[str] = field(default_factory=list)
    unwanted: list[str] = field(default_factory=list)
    events: list[str] | None = None
    answer: list[str] | None = None  # the whole answer, line by line


@dataclass
class Dialogue:
    """A dialogue's settings and steps."""

    settings: dict[str, str]
    steps: list[Step]


class Differs(AssertionError):
    """The bot did not answer as the dialogue says; the text shows the dialogue so far and where it differs."""


def story(text: str) -> Dialogue:
    """Return the dialogue of a story file."""
    settings: dict[str, str] = {"zone": "Europe/London"}
    steps: list[Step] = []
    for number, line in enumerate(text.splitlines(), 1):
        mark, rest = line[:1], line[1:].strip()
        if not line.strip() or mark == "#":
            continue
        name, colon, value = line.partition(":")
        if mark in MARKS:
            steps.append(Step(number, mark, rest))
        elif not steps and colon and name in ("zone", "latitude"):
            settings[name] = value.strip()
        elif steps and mark == "<":
            steps[-1].wanted.append(rest)
        elif steps and mark == "!":
            steps[-1].unwanted.append(rest)
        elif steps and name == "events":
            steps[-1].events = value.split()
        else:
            raise ValueError(f"line {number} is no part of a story: {line!r}")
    return Dialogue(settings, steps)


def blocks(markdown: str) -> list[Dialogue]:
    """Return the dialogues of the blocks that a Markdown text marks as `dialogue`."""
    found = re.finditer(r"^```dialogue\n(.*?)^```$", markdown, re.MULTILINE | re.DOTALL)
    return [_block(match[1], markdown[: match.start(1)].count("\n")) for match in found]


def _block(text: str, above: int) -> Dialogue:
    steps: list[Step] = []
    for number, line in enumerate(text.splitlines(), above + 1):
        if line[:1] in MARKS:
            steps.append(Step(number, line[0], line[1:].strip(), answer=[]))
        elif line.strip():
            assert steps, f"line {number}: an answer before the first note"
            assert steps[-1].answer is not None
            steps[-1].answer.append(line)
    return Dialogue({"zone": "Europe/London", "latitude": "51"}, steps)


def play(dialogue: Dialogue, place: Path | str) -> str:
    """Play a dialogue on a new database at `place`, a path or an address; return it as it went.

    Raises Differs at the first difference.
    """
    zone = ZoneInfo(dialogue.settings["zone"])
    latitude = dialogue.settings.get("latitude")
    defaults = CollectionSettings(zone=zone.key, latitude=float(latitude) if latitude else None)
    database = open_database(place)
    gathered, told = Gathered(), list[str]()
    try:
        clock = Clock(zone, moment_of(BEGIN, datetime.now(zone)))
        conversation = Conversation(database, Intake(database, defaults), clock, gathered)
        for step in dialogue.steps:
            told.append(f"{step.mark} {step.text}")
            _play(conversation, gathered, step, told)
    finally:
        database.close()
    return "\n".join(told)


def _play(conversation: Conversation, gathered: Gathered, step: Step, told: list[str]) -> None:
    if step.mark == "@":
        conversation.go_to(step.text)
        inbox_id = None
    else:
        inbox_id = conversation.say(step.text)
    messages = gathered.take()
    told += ["    " + line for one in messages for line in shown(one).splitlines()]
    complaints = [*_words(step, messages), *_answer(step, messages)]
    if step.mark == ">" and len(messages) != 1:
        complaints.append(f"{len(messages)} messages for one note")
    if step.events is not None:
        trace = conversation.trace(inbox_id)
        written = [_name(one) for one in trace.events] if trace else []
        if written != step.events:
            complaints.append(f"events: {' '.join(written) or '(none)'}, not {' '.join(step.events) or '(none)'}")
    if complaints:
        raise Differs("\n".join(["", *told, *(f"  line {step.line}: {one}" for one in complaints)]))


def _words(step: Step, messages: list[Outgoing]) -> list[str]:
    said = folded("\n".join(shown(one) for one in messages))
    missing = [f'"{words}" is missing' for words in step.wanted if folded(words) not in said]
    return missing + [f'"{words}" must not be there' for words in step.unwanted if folded(words) in said]


def _answer(step: Step, messages: list[Outgoing]) -> list[str]:
    if step.answer is None:
        return []
    got = [line.strip() for one in messages for line in shown(one).splitlines() if line.strip()]
    return [] if got == [line.strip() for line in step.answer] else ["the answer differs from what is written"]


def _name(event: Mapping[str, Any]) -> str:
    return str(event["what"] or event["kind"])


def folded(text: str) -> str:
    """Return text in one case and with single spaces."""
    return " ".join(text.casefold().split())
