"""A new version killed anywhere in its first start: the database stays whole, what was typed meanwhile is answered."""

from __future__ import annotations

import multiprocessing
import os
import re
import signal
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing, suppress
from multiprocessing.context import ForkServerContext
from multiprocessing.process import BaseProcess
from pathlib import Path

import pytest

from bot.store.migrations import HEAD, REVISIONS
from tests.crash.child import migrate_and_die
from tests.e2e.loopback.core import BotApi
from tests.e2e.loopback.front import LoopbackServer
from tests.e2e.loopback.people import Person
from tests.e2e.rig import OWNER, TOKEN

pytestmark = pytest.mark.asyncio

DATA = Path(__file__).parents[1] / "store" / "data"
NEWEST = ("outbox", "files")  # the table and the column in it that the newest revision brings
MORNING = re.compile(r"[A-Z][a-z]+day \d+ [A-Z][a-z]+[:.]")  # what goes out by itself where the test runs after half past seven
EVERY = 2  # a kill before each second statement, from one that changes from run to run


def _older(revision: str, path: Path) -> None:
    """Write a database as the version of that revision left it, with its owner on Telegram too."""
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((DATA / f"schema_{revision}.sql").read_text(encoding="utf-8"))
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("INSERT INTO accounts (transport, sender, person_id) VALUES ('telegram', ?, 1)", (str(OWNER),))
        connection.execute(
            "INSERT INTO chats (transport, address, person_id, collection_id, talk) VALUES ('telegram', ?, 1, 1, '{}')",
            (str(OWNER),),
        )
        connection.commit()


def _revision(path: Path) -> str:
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        (found,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        (has_newest,) = connection.execute("SELECT count(*) FROM pragma_table_info(?) WHERE name = ?", NEWEST).fetchone()
    assert bool(has_newest) is (found == HEAD), "a migration is there wholly or not at all"
    return str(found)


@pytest.fixture(scope="module")
def context() -> ForkServerContext:
    """Processes that start in milliseconds."""
    found = multiprocessing.get_context("forkserver")
    found.set_forkserver_preload(["tests.crash.child"])
    return found


async def _ended(api: BotApi, child: BaseProcess, holds: Callable[[], bool]) -> bool:
    """Wait until the child has died, or `holds()`; whether it died."""
    for _ in range(600):
        if child.exitcode is not None:
            return True
        with suppress(TimeoutError):
            await api.until(holds, 0.05)
            return False
    raise AssertionError("it neither died nor worked")


@pytest.mark.parametrize("revision", REVISIONS[:-1])
async def test_killed_anywhere_inside_a_migration(context: ForkServerContext, tmp_path: Path, revision: str) -> None:
    path = tmp_path / "potside.db"
    _older(revision, path)
    api = BotApi(time.time)
    ida = Person(api, api.add_bot(TOKEN, "bench_bot"), OWNER)
    typed = [f"watered tray 3 {number} ml" for number in range(101, 104)]
    for text in typed:
        await ida.says(text)
    every = EVERY if revision != REVISIONS[-2] else 1  # a single migration has few statements
    kills, statement, seen = 0, 1 + int(time.time()) % every, set[str]()
    async with LoopbackServer(api) as server:
        while True:
            address = f"http://127.0.0.1:{server.port}"
            child = context.Process(target=migrate_and_die, args=(address, path, statement), daemon=True)
            child.start()
            died = await _ended(api, child, lambda: sum(" ml" in text for text in ida.read()) >= len(typed))
            if not died:
                break
            assert child.exitcode == -signal.SIGKILL
            kills, statement = kills + 1, statement + every
            seen.add(_revision(path))
        assert child.pid
        os.kill(child.pid, signal.SIGTERM)
        assert await _ended(api, child, lambda: False)
    assert kills >= 5
    assert revision in seen
    assert _revision(path) == HEAD
    heard = [text for text in ida.read() if not text.startswith("I was out of reach.") and not MORNING.match(text)]
    assert len(heard) == len(typed)
    assert all(f"{number} ml" in text for number, text in zip(range(101, 104), heard, strict=True))
    with closing(sqlite3.connect(path)) as connection:
        found = [text for (text,) in connection.execute("SELECT text FROM inbox WHERE transport = 'telegram' ORDER BY id")]
    assert found == typed
