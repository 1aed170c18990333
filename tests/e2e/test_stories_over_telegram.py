"""Every story, played over the terminal's conversation and over Telegram on the loopback server: the answers are the same."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.app.intake import Intake
from bot.chat.clock import Clock, moment_of
from bot.chat.telegram_account import Tempo
from bot.chat.terminal import Conversation, Gathered
from bot.store import marks, people
from bot.store.database import Database, open_database
from bot.store.people import CollectionSettings
from tests.stories.dialogue import BEGIN, Dialogue, Step, story

from .loopback.core import BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import OWNER, TOKEN, running, unhindered

pytestmark = pytest.mark.asyncio

STORIES = {path.stem: path.read_text(encoding="utf-8") for path in sorted((Path(__file__).parents[1] / "stories").glob("*.txt"))}
LONGEST_DAYS = 30

Said = tuple[str, tuple[str, ...]]  # a text, and the labels below it


class Worker:
    """The whole core, but for the rounds: the test runs those where its pretended clock stands."""

    def __init__(self, intake: Intake) -> None:
        self._intake = intake

    def work(self, now: datetime) -> int:
        """Handle the oldest note that waits."""
        return self._intake.work(now, most=1)

    def round(self, now: datetime) -> datetime | None:  # noqa: ARG002
        """Nothing is due but what the test makes due."""
        return None


@dataclass
class Play:
    """A dialogue, its pretended clock, and how its collection begins."""

    steps: list[Step]
    clock: Clock
    defaults: CollectionSettings

    @classmethod
    def of(cls, dialogue: Dialogue) -> Play:
        """Set the scene; a step that nobody can type in a messenger, an empty message, is left out."""
        zone = ZoneInfo(dialogue.settings["zone"])
        latitude = dialogue.settings.get("latitude")
        defaults = CollectionSettings(zone=zone.key, latitude=float(latitude) if latitude else None)
        steps = [step for step in dialogue.steps if step.text.strip()]
        return cls(steps, Clock(zone, moment_of(BEGIN, datetime.now(zone))), defaults)

    def intake(self, database: Database) -> Intake:
        """The core with identities that are the same in each play, since some ties are broken by them."""
        numbers = itertools.count(1)
        return Intake(database, self.defaults, lambda: f"{next(numbers):016d}")

    def conversation(self, database: Database, outlet: Gathered) -> Conversation:
        """The terminal's conversation on this clock."""
        return Conversation(database, self.intake(database), self.clock, outlet)


def _over_terminal(play: Play, database: Database) -> list[list[Said]]:
    gathered = Gathered()
    conversation = play.conversation(database, gathered)
    told = []
    for step in play.steps:
        if step.mark == "@":
            conversation.go_to(step.text)
        else:
            conversation.say(step.text)
        told.append([(one.text, tuple(button.label for row in one.buttons for button in row)) for one in gathered.take()])
    return told


async def _over_telegram(play: Play, database: Database, expected: list[list[Said]]) -> list[list[Said]]:
    api = BotApi(lambda: play.clock.now().timestamp())
    person = Person(api, api.add_bot(TOKEN, "bench_bot"), OWNER)
    with database.write() as connection:
        people.chat_of(connection, "telegram", str(OWNER), str(OWNER), play.defaults)
    mover = play.conversation(database, Gathered())
    told: list[list[Said]] = []
    tempo = Tempo(now=play.clock.now, pacing=unhindered, poll_s=10)
    async with LoopbackServer(api) as server, running(server, database, Worker(play.intake(database)), tempo) as run:
        for step, wanted in zip(play.steps, expected, strict=True):
            before = len(_said(person))
            if step.mark == "@" and not mover._noted:  # before the first note nothing can fall due
                play.clock.put(moment_of(step.text, play.clock.local()))
                _in_touch(database, play.clock)
            elif step.mark == "@":
                mover.go_to(step.text)
                _in_touch(database, play.clock)
                run.edge.wake()
            else:
                mover._noted = True
                await person.says(step.text)
            await api.until(_has_said(person, before + len(wanted)), within_s=5)
            told.append(_said(person)[before:])
    assert api.faults == []
    return told


def _in_touch(database: Database, clock: Clock) -> None:
    """Days that the clock passed over are not days out of reach."""
    with database.write() as connection:
        marks.mark(connection, "reached:telegram", clock.now())


def _has_said(person: Person, count: int) -> Callable[[], bool]:
    return lambda: len(_said(person)) >= count


def _said(person: Person) -> list[Said]:
    mine = [one for one in person.chat.messages.values() if one["from"]["is_bot"] and "text" in one]  # a picture has none
    keyboards = [one.get("reply_markup", {}).get("inline_keyboard", []) for one in mine]
    labels = [tuple(button["text"] for row in rows for button in row) for rows in keyboards]
    return list(zip([one["text"] for one in mine], labels, strict=True))


def _but_for_links(told: list[list[Said]]) -> list[list[Said]]:
    """Only a messenger has links to a shared list: elsewhere it is written to files."""
    ways = re.compile(
        r"^(?:Link, shown once: https://t\.me/\S+|Nobody can open a link here: send one of the files on\.)$", re.MULTILINE
    )
    return [[(ways.sub("", text), labels) for text, labels in step] for step in told]


def _days(text: str) -> int:
    """From the first date in a story to the last one."""
    dates = [date.fromisoformat(found) for found in re.findall(r"(?m)^@ (\d{4}-\d\d-\d\d)", text)]
    return (max(dates) - min(dates)).days if dates else 0


def _marked(name: str) -> object:
    """A story of many days takes seconds: its mornings come one by one, twice."""
    return pytest.param(name, marks=pytest.mark.soak) if _days(STORIES[name]) > LONGEST_DAYS else name


@pytest.mark.parametrize("name", [_marked(name) for name in STORIES])
async def test_a_story_is_answered_the_same(name: str, tmp_path: Path) -> None:
    dialogue = story(STORIES[name])
    one, other = open_database(tmp_path / "terminal.db"), open_database(tmp_path / "telegram.db")
    try:
        expected = _over_terminal(Play.of(dialogue), one)
        heard = await _over_telegram(Play.of(dialogue), other, expected)
        assert _but_for_links(heard) == _but_for_links(expected)
    finally:
        one.close()
        other.close()
