"""Stories of several growers who share one bot, and how they are played: each line is typed by one, whatever goes out is read.

Ada alone: heliosa Solveig      words that must never stand in what goes to another grower, files too
@ 2026-03-02T08:00Z             moves the one clock, a moment in UTC; messages that fall due on the way go out
Ada> watered 12                 a note, which must get exactly one message back, and nobody else any
< words      ! words            stand, or do not stand, in that message
Ada< words   Ada! words         stand, or do not, in what went out to that grower below the last @
"""

from __future__ import annotations

import itertools
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa

from bot.app.intake import Intake
from bot.app.rounds import next_wake, run_rounds
from bot.messages import Attached, Incoming
from bot.sharing.files import content
from bot.store.database import Database
from bot.store.people import CollectionSettings
from bot.store.tables import chats, outbox
from tests.stories.dialogue import Differs, folded

BEGIN = datetime(2026, 1, 1, 9, tzinfo=UTC)
_LINE = re.compile(r"(?P<who>[A-Z]\w+)(?P<mark>[><!]) ?(?P<text>.*)")


@dataclass
class Move:
    """One line that does something: a note of a grower, or the clock (`who` empty); what is expected, by grower."""

    line: int
    who: str
    text: str
    wanted: list[tuple[str, str]] = field(default_factory=list)
    unwanted: list[tuple[str, str]] = field(default_factory=list)


@dataclass
class Tale:
    """The growers with the words that are theirs alone, and the moves."""

    alone: dict[str, list[str]]
    moves: list[Move]


@dataclass(frozen=True)
class Sent:
    """One message that went out: to whom, its text, and all else that it carries, as text."""

    to: str
    text: str
    besides: str = ""


def tale(text: str) -> Tale:
    """Return the tale of a file. Raises ValueError for a line that is none of it."""
    told = Tale({}, [])
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        who, alone, words = line.partition(" alone: ")
        found = _LINE.fullmatch(line)
        if alone:
            told.alone[who] = words.split()
        elif line.startswith("@"):
            told.moves.append(Move(number, "", line[1:].strip()))
        elif found is not None and found["mark"] == ">":
            told.moves.append(Move(number, found["who"], found["text"].strip()))
        elif told.moves and line[0] in "<!":
            _expected(told.moves[-1], line[0], told.moves[-1].who, line[1:].strip())
        elif told.moves and found is not None and not told.moves[-1].who:
            _expected(told.moves[-1], found["mark"], found["who"], found["text"].strip())
        else:
            raise ValueError(f"line {number} is no part of a tale: {line!r}")
    return told


def _expected(move: Move, mark: str, who: str, words: str) -> None:
    (move.wanted if mark == "<" else move.unwanted).append((who, words))


class Plain:
    """The growers' chats without a messenger: notes into the intake, whatever is put out read from the outbox."""

    def __init__(self, database: Database, names: list[str]) -> None:
        """Begin with no chat yet; identities are the same in each play, since some ties are broken by them."""
        numbers = itertools.count(1)
        self.database, self.now, self._last, self._keys = database, BEGIN, 0, itertools.count(1)
        self.intake = Intake(database, CollectionSettings(), lambda: f"{next(numbers):016d}")
        self.names = names

    def says(self, who: str, text: str) -> list[Sent]:
        """Hand in a note and return what went out."""
        key = str(next(self._keys))
        self.intake.receive(Incoming("terminal", who, "tale", key, text, self.now, sender=who, message_key=key), self.now)
        self.intake.work(self.now)
        return self.sent()

    def goes_to(self, moment: datetime) -> list[Sent]:
        """Move the clock, each round at its moment, and return what went out."""
        rounds_until(self.database, self.now, moment)
        self.now = moment
        return self.sent()

    def sent(self) -> list[Sent]:
        """Return what was put out since the last time, with files as they are made."""
        joined = sa.select(outbox, chats.c.address).join(chats, chats.c.id == outbox.c.chat_id)
        with self.database.read() as conn:
            rows = conn.execute(joined.where(outbox.c.id > self._last).order_by(outbox.c.id)).all()
        self._last = max((row.id for row in rows), default=self._last)
        return [Sent(row.address, row.text, _besides(row)) for row in rows]


def rounds_until(database: Database, now: datetime, moment: datetime) -> None:
    """Run each round that lies between two moments."""
    while (wake := next_wake(database, now)) is not None and wake <= moment:
        now = wake
        run_rounds(database, now)


def _besides(row: sa.Row[Any]) -> str:
    """Return buttons, recipes and files of a message as one text; what a file holds is looked at too."""
    made = [content(Attached(*one)) for one in row.files or ()]
    return json.dumps([row.buttons, row.files], ensure_ascii=False) + b"\n".join(made).decode("utf-8", "replace")


def play(told: Tale, chats_of: Plain) -> list[list[Sent]]:
    """Play a tale and return what went out at each move. Raises Differs at the first difference."""
    heard = []
    for move in told.moves:
        sent = chats_of.says(move.who, move.text) if move.who else chats_of.goes_to(moment_of(move.text))
        heard.append(sent)
        complaints = [*_answers(move, sent), *_words(move, sent), *strays(told, sent)]
        if complaints:
            lines = [f"  {one.to}: {one.text}" for one in sent]
            raise Differs("\n".join([f"line {move.line}: {move.who}> {move.text}", *lines, *complaints]))
    return heard


def moment_of(text: str) -> datetime:
    """Return the UTC moment of a line that moves the clock."""
    return datetime.fromisoformat(text)


def _answers(move: Move, sent: list[Sent]) -> Iterator[str]:
    if move.who and [one.to for one in sent] != [move.who]:
        yield f"went to {', '.join(one.to for one in sent) or 'nobody'}, not to {move.who} alone"


def _words(move: Move, sent: list[Sent]) -> Iterator[str]:
    def said(who: str) -> str:
        return folded("\n".join(one.text for one in sent if one.to == who))

    yield from (f'{who}: "{words}" is missing' for who, words in move.wanted if folded(words) not in said(who))
    yield from (f'{who}: "{words}" must not be there' for who, words in move.unwanted if folded(words) in said(who))


def strays(told: Tale, sent: list[Sent]) -> Iterator[str]:
    """Yield the words of one grower that went to another, in texts, buttons and files."""
    for one in sent:
        said = folded(f"{one.text}\n{one.besides}")
        for owner, words in told.alone.items():
            yield from (f"{one.to} was told of {owner}'s {word}" for word in words if owner != one.to and folded(word) in said)
