"""A bot that is killed with SIGKILL while somebody types: nothing is lost, nothing is written twice, the order holds.

A reply may come twice only where the kill fell between its sending and its being marked as sent: it must be one that the killed
process had claimed, at most one a kill, and no more than one in twenty of the random kills may do it.
"""

from __future__ import annotations

import asyncio
import math
import multiprocessing
import os
import random
import signal
import sqlite3
import time
from collections.abc import AsyncIterator, Callable
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from multiprocessing.context import ForkServerContext
from multiprocessing.process import BaseProcess
from pathlib import Path

import pytest
import pytest_asyncio
import sqlalchemy as sa

from bot.app.intake import rebuild
from bot.store import inbox, outbox
from bot.store.database import Database, open_database
from tests.crash.child import main
from tests.crash.conftest import KILLED
from tests.e2e.loopback.core import BotApi
from tests.e2e.loopback.front import LoopbackServer
from tests.e2e.loopback.people import Person
from tests.e2e.rig import OWNER, TOKEN, make_owner

pytestmark = pytest.mark.asyncio

DOUBLED_OF_KILLS = 1 / 20  # random kills that may fall on the one message in flight
IMPROBABLE = 1e-4  # of a sample that is too small to hold a rate to the letter
KILLS_A_MEASURE = 10  # of how long a reply takes, which changes with what else the machine does
LARGE_SAMPLE = 1000  # kills from which the bound itself holds
SEVERAL_REPLIES = 15  # a person at the bench is silent for much longer than a reply takes
PLACES = ("tray 1", "tray 2", "bench 1", "bench 2", "the greenhouse")


@dataclass
class Scene:
    """A server, a person who types, a database file, and the process that is killed."""

    api: BotApi
    server: LoopbackServer
    person: Person
    path: Path
    core: str
    context: ForkServerContext
    child: BaseProcess | None = None
    typed: list[str] = field(default_factory=list)
    kills: int = 0
    in_flight: list[str] = field(default_factory=list)

    def start(self, die_at_commit: int = 0, *, after: bool = False) -> None:
        """Start the bot."""
        address = f"http://127.0.0.1:{self.server.port}"
        self.child = self.context.Process(
            target=main, args=(address, self.path, self.core, die_at_commit), kwargs={"after": after}, daemon=True
        )
        self.child.start()

    async def types(self, count: int) -> None:
        """Type notes, each of which no other resembles."""
        for _ in range(count):
            number = len(self.typed) + 1
            text = f"watered {PLACES[number % len(PLACES)]} {number} ml"
            self.typed.append(text)
            await self.person.says(text)

    async def kill(self) -> None:
        """Kill the bot where it stands."""
        assert self.child
        assert self.child.pid
        os.kill(self.child.pid, signal.SIGKILL)
        await self.gone()
        self.kills += 1
        claimed = self.claimed()
        assert len(claimed) <= 1
        self.in_flight += claimed

    def claimed(self) -> list[str]:
        """The replies that the process had taken to send and not marked as sent, straight from its file."""
        with closing(sqlite3.connect(self.path)) as file:
            query = "SELECT text FROM outbox WHERE state = 'waiting' AND ready_at > send_after"
            return [text for (text,) in file.execute(query)]

    async def usual_reply_s(self) -> float:
        """How long this machine takes at this moment to answer a note; the bot is then stopped in order."""
        self.start()
        await self._reply_s()  # the first also waits for the start
        took_s = await self._reply_s()
        await self.stop()
        return took_s

    async def _reply_s(self) -> float:
        before = len(self.person.read())
        began = time.monotonic()
        await self.types(1)
        await self.api.until(lambda: len(self.person.read()) > before, within_s=30)
        return time.monotonic() - began

    async def gone(self, within_s: float = 20.0) -> int:
        """Wait until the process has ended; its exit code."""
        assert self.child
        child, self.child = self.child, None
        await asyncio.to_thread(child.join, within_s)
        code = child.exitcode
        child.close()
        assert code is not None
        return code

    async def some_time(self, most_s: float) -> None:
        """Let a random time pass."""
        with suppress(TimeoutError):
            await self.api.until(lambda: False, random.uniform(0, most_s))

    async def finish(self) -> None:
        """Start the bot a last time, wait until all is answered, and stop it as a service manager does."""
        self.start()
        async with asyncio.timeout(30):
            while not self.settled():
                await self.some_time(0.05)
        await self.stop()

    async def stop(self) -> None:
        """Stop it as a service manager does."""
        assert self.child
        assert self.child.pid
        began = time.monotonic()
        os.kill(self.child.pid, signal.SIGTERM)
        assert await self.gone() == 0
        assert time.monotonic() - began < 5

    def settled(self) -> bool:
        """Whether everything typed has been handled and every reply is marked as sent."""
        database = open_database(self.path)
        try:
            with database.read() as connection:
                came, went = inbox.counts(connection), outbox.counts(connection)
        finally:
            database.close()
        return came["done"] + came["poison"] == len(self.typed) and went["waiting"] == 0

    def check(self, database: Database) -> int:
        """The invariants; returns how many replies came twice."""
        with database.read() as connection:
            assert inbox.counts(connection) == {"open": 0, "done": len(self.typed), "poison": 0}
            texts = connection.execute(sa.text("SELECT text FROM inbox ORDER BY id")).scalars().all()
            replies = connection.execute(sa.text("SELECT text FROM outbox ORDER BY send_after, id")).scalars().all()
            assert connection.execute(sa.text("PRAGMA integrity_check")).scalar_one() == "ok"
        assert texts == self.typed
        assert len(replies) == len(self.typed)
        heard = self.person.read()
        assert without_repeats(heard) == without_repeats(list(replies))
        doubled = [text for number, text in enumerate(heard) if number and heard[number - 1] == text]
        assert len(doubled) == len(heard) - len(replies)
        assert set(doubled) <= set(self.in_flight)
        return len(doubled)


def chance(doubled: int, kills: int) -> float:
    """The chance that one kill in twenty gives `doubled` replies or more (binomial upper tail)."""
    share = DOUBLED_OF_KILLS
    return 1 - sum(math.comb(kills, number) * share**number * (1 - share) ** (kills - number) for number in range(doubled))


def without_repeats(texts: list[str]) -> list[str]:
    """The texts without those that only repeat the one before."""
    return [text for number, text in enumerate(texts) if number == 0 or texts[number - 1] != text]


@pytest.fixture(scope="session")
def context() -> ForkServerContext:
    """Processes that start in milliseconds, for a server has loaded the program before."""
    found = multiprocessing.get_context("forkserver")
    found.set_forkserver_preload(["tests.crash.child"])
    return found


@pytest_asyncio.fixture
async def scene(context: ForkServerContext, tmp_path: Path) -> AsyncIterator[Callable[[str], Scene]]:
    """Makes the scene for a core, "echo" or "whole"."""
    api = BotApi(time.time)
    account = api.add_bot(TOKEN, "bench_bot")
    path = tmp_path / "potside.db"
    database = open_database(path)
    make_owner(database)
    database.close()
    async with LoopbackServer(api) as server:
        made: list[Scene] = []

        def make(core: str) -> Scene:
            made.append(Scene(api, server, Person(api, account, OWNER), path, core, context))
            return made[-1]

        yield make
        for one in made:
            if one.child:
                await one.kill()
    assert api.faults == []


async def _killed_at_random(scene: Scene, kills: int, longest_s: float) -> int:
    """Let a person type while the bot is killed over and over; how many replies came twice in the end.

    A kill falls within `longest_s`, or within the time of several replies where the machine is slow: the share of a talk in which
    a message is in flight is then the same on a busy machine.
    """
    within_s = longest_s
    for number in range(kills):
        if number % KILLS_A_MEASURE == 0:
            within_s = max(longest_s, SEVERAL_REPLIES * await scene.usual_reply_s())
        scene.start()
        calls = len(scene.api.calls)
        if random.random() < 0.5:
            await scene.api.until(lambda calls=calls: len(scene.api.calls) > calls + 2, within_s=20)  # type: ignore[misc]
        await scene.types(random.randint(0, 3))
        await scene.some_time(within_s)
        await scene.kill()
    await scene.types(1)
    await scene.finish()
    database = open_database(scene.path)
    try:
        return scene.check(database)
    finally:
        database.close()


@pytest.mark.parametrize(
    ("core", "kills", "longest_s"),
    [("echo", 30, 0.6), ("whole", 30, 0.6), pytest.param("whole", 1000, 1.0, marks=pytest.mark.soak)],
)
async def test_killed_at_random_moments(
    scene: Callable[[str], Scene], core: str, kills: int, longest_s: float, record_property: Callable[[str, object], None]
) -> None:
    made = scene(core)
    doubled = await _killed_at_random(made, kills, longest_s)
    record_property(KILLED, (made.kills, len(made.typed), doubled))
    assert made.kills == kills
    assert chance(doubled, kills) > IMPROBABLE
    assert doubled <= kills * DOUBLED_OF_KILLS or kills < LARGE_SAMPLE


@pytest.mark.parametrize("after", [False, True], ids=["before", "after"])
@pytest.mark.parametrize("commit", range(1, 7))
async def test_killed_at_each_commit(scene: Callable[[str], Scene], commit: int, after: bool) -> None:
    """The commits of a bot that starts with a waiting note: leases freed, note in, note handled, reply claimed, reply sent."""
    made = scene("echo")
    await made.types(2)
    made.start(commit, after=after)
    assert await made.gone() == -signal.SIGKILL
    made.kills += 1
    await made.finish()
    database = open_database(made.path)
    try:
        assert made.check(database) <= 1
    finally:
        database.close()


async def test_each_note_is_written_once_and_the_projections_can_be_rebuilt(scene: Callable[[str], Scene]) -> None:
    made = scene("whole")
    await _killed_at_random(made, 10, 0.3)
    database = open_database(made.path)
    try:
        with database.read() as connection:
            query = "SELECT count(*) FROM notes JOIN care_log ON care_log.note_id = notes.id GROUP BY notes.id"
            events = list(connection.execute(sa.text(query)).scalars())
        assert events == [1] * len(made.typed)
        before = _projections(database)
        rebuild(database, datetime.now(UTC))
        assert _projections(database) == before
    finally:
        database.close()


def _projections(database: Database) -> list[tuple[str, str, str]]:
    with database.read() as connection:
        standing = connection.execute(sa.text("SELECT kind, key, body FROM standing ORDER BY kind, key")).all()
        due = connection.execute(sa.text("SELECT kind, key, body FROM due ORDER BY kind, key")).all()
    rows = [*standing, *due]
    assert rows
    return [(row[0], row[1], row[2]) for row in rows]
