"""Puts the Telegram edge, a database file and a small core together for the tests of this folder."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from bot.chat.telegram import Core, Edge
from bot.chat.telegram_account import Account, Tempo
from bot.messages import Button, Outgoing
from bot.reminders.pacing import UNHINDERED, Pacing
from bot.store import inbox, outbox, people
from bot.store.database import Database
from bot.store.people import CollectionSettings

from .loopback.core import BotApi
from .loopback.front import LoopbackServer

TOKEN = "110201543:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw"
DEFAULTS = CollectionSettings(zone="Europe/Berlin")
OWNER = 4_242
BUTTONS = ((Button("undo", "undo"), Button("why", "why that")),)


class Clock:
    """Unix seconds that run with the machine's, and jump ahead when told."""

    def __init__(self) -> None:
        self._ahead_s = 0.0

    def __call__(self) -> float:
        """The moment."""
        return time.time() + self._ahead_s

    def now(self) -> datetime:
        """The moment, as the bot wants it."""
        return datetime.fromtimestamp(self(), UTC)

    def advance(self, seconds: float) -> None:
        """Jump ahead."""
        self._ahead_s += seconds


def unhindered() -> Pacing:
    """No pacing at all, for tests that send hundreds of messages."""
    return Pacing(UNHINDERED, UNHINDERED, UNHINDERED)


@dataclass(slots=True)
class Echo:
    """A core that repeats what it hears, in the transaction that closes the inbox row, and adds what is planned for later."""

    database: Database
    later: list[tuple[datetime, str]] = field(default_factory=list)

    def work(self, now: datetime) -> int:
        """Answer the oldest open message."""
        with self.database.write() as connection:
            row = inbox.next_open(connection)
            if row is None:
                return 0
            said = row.incoming
            chat = people.chat_of(connection, said.transport, said.address, said.sender, DEFAULTS)
            outbox.put(connection, f"echo:{row.id}", chat.id, Outgoing(f"heard: {said.text}", BUTTONS), "reply", now)
            inbox.mark_done(connection, row.id, now)
            return 1

    def round(self, now: datetime) -> datetime | None:
        """Put out what was planned for a moment that has come."""
        with self.database.write() as connection:
            chat = people.find_chat(connection, "telegram", str(OWNER))
            for moment, text in self.later:
                if chat and moment <= now:
                    outbox.put(connection, f"later:{text}", chat.id, Outgoing(text), "reminder", moment)
        return min((moment for moment, _ in self.later if moment > now), default=None)


def make_owner(database: Database, user_id: int = OWNER) -> None:
    """Let a person own a collection, with a private chat, as if the code had been sent before."""
    with database.write() as connection:
        people.chat_of(connection, "telegram", str(user_id), str(user_id), DEFAULTS)


@dataclass(slots=True)
class Running:
    """An edge that runs: what it told who started it, and how to stop it."""

    edge: Edge
    task: asyncio.Task[None]
    stop: asyncio.Event
    said: list[str]

    async def as_time_passes(self, clock: Clock, api: BotApi, holds: Callable[[], bool], step_s: float = 20.0) -> None:
        """Let pretended time run, `step_s` seconds at a time, until `holds()`."""
        for _ in range(200):
            clock.advance(step_s)
            self.edge.wake()
            with suppress(TimeoutError):
                await api.until(holds, 0.05)
                return
        raise AssertionError("it never came true")

    async def end(self, within_s: float = 5.0) -> None:
        """Stop it, as SIGTERM does, and wait until it is down."""
        self.stop.set()
        await asyncio.wait_for(self.task, within_s)


@asynccontextmanager
async def running(
    server: LoopbackServer | str,
    database: Database,
    core: Core,
    tempo: Tempo | None = None,
    account: Account | None = None,
    photos: Path | None = None,
) -> AsyncIterator[Running]:
    """Run the edge against the server while the block lasts, keeping pictures in the folder `photos`."""
    address = server if isinstance(server, str) else f"http://127.0.0.1:{server.port}"
    stop, said = asyncio.Event(), list[str]()
    paced = tempo or Tempo(pacing=unhindered, poll_s=10)
    edge = Edge(account or Account(TOKEN, address), database, core, DEFAULTS, paced, said.append, photos)
    task = asyncio.create_task(edge.run(stop))
    run = Running(edge, task, stop, said)
    try:
        yield run
    finally:
        if not task.done():
            await run.end()
