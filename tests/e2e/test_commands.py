"""`potside run`, `check` and `inbox` as processes, against the loopback server."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from bot.messages import Incoming
from bot.store import inbox
from bot.store.database import open_database

from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import TOKEN, Clock

pytestmark = pytest.mark.asyncio

ROOT = Path(__file__).resolve().parents[2]


async def _start(server: LoopbackServer, path: Path, *arguments: str, token: str = TOKEN) -> asyncio.subprocess.Process:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("POTSIDE_")}
    settings = {
        "POTSIDE_TOKEN": token,
        "POTSIDE_BASE_URL": f"http://127.0.0.1:{server.port}",
        "POTSIDE_DATABASE": str(path),
        "POTSIDE_ZONE": "Europe/Berlin",
    }
    program, pipe = (sys.executable, "-m", "bot"), asyncio.subprocess.PIPE
    return await asyncio.create_subprocess_exec(*program, *arguments, cwd=ROOT, env=kept | settings, stdout=pipe, stderr=pipe)


async def _ended(process: asyncio.subprocess.Process, within_s: float = 30.0) -> tuple[int, str]:
    """The exit code and all that was written since."""
    out, err = await asyncio.wait_for(process.communicate(), within_s)
    assert process.returncode is not None
    return process.returncode, (out + err).decode()


@asynccontextmanager
async def _running(server: LoopbackServer, path: Path) -> AsyncIterator[asyncio.subprocess.Process]:
    process = await _start(server, path, "run")
    try:
        yield process
    finally:
        if process.returncode is None:
            process.kill()
            await process.communicate()


async def _line(process: asyncio.subprocess.Process) -> str:
    assert process.stdout
    return (await asyncio.wait_for(process.stdout.readline(), 30)).decode().strip()


async def test_run_from_the_first_code_to_the_stop(server: LoopbackServer, account: Account, ida: Person, tmp_path: Path) -> None:
    path = tmp_path / "potside.db"
    async with _running(server, path) as process:
        assert await _line(process) == "@bench_bot is listening."
        code = (await _line(process)).rpartition(" ")[2]
        await ida.says(code)
        await ida.hears(1)
        await ida.says("watered tray 3")
        assert "tray 3" in (await ida.hears(2))[1]
        process.send_signal(signal.SIGTERM)
        ended, written = await _ended(process, 5)
    assert ended == 0, written
    assert TOKEN not in written
    assert code not in written


async def test_run_stops_within_five_seconds_in_the_middle_of_a_backlog(
    server: LoopbackServer, api: BotApi, account: Account, ida: Person, tmp_path: Path
) -> None:
    path = tmp_path / "potside.db"
    async with _running(server, path) as process:
        await _line(process)
        await ida.says((await _line(process)).rpartition(" ")[2])
        await ida.hears(1)
        for number in range(100):
            await ida.says(f"watered {number} ml on tray 3")
        await ida.hears(2)
        process.send_signal(signal.SIGTERM)
        ended, written = await _ended(process, 5)
    assert ended == 0, written
    database = open_database(path)
    try:
        with database.read() as connection:
            came = inbox.counts(connection)
    finally:
        database.close()
    assert came["poison"] == 0
    assert came["open"] + came["done"] + len(account.queue) >= 100


async def test_run_ends_where_the_token_is_refused(server: LoopbackServer, tmp_path: Path) -> None:
    wrong = "110201543:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"
    ended, written = await _ended(await _start(server, tmp_path / "potside.db", "run", token=wrong))
    assert ended == 2
    assert written.strip() == "potside: Telegram does not know this token. Ask @BotFather for the right one."


async def test_run_needs_a_token(server: LoopbackServer, tmp_path: Path) -> None:
    ended, written = await _ended(await _start(server, tmp_path / "potside.db", "run", token=""))
    assert ended == 2
    assert written.startswith("potside: POTSIDE_TOKEN is not set.")


async def test_check_tells_what_would_work(server: LoopbackServer, account: Account, tmp_path: Path) -> None:
    path = tmp_path / "potside.db"
    ended, written = await _ended(await _start(server, path, "check"))
    assert ended == 0, written
    assert "ok   token: it is that of @bench_bot" in written
    assert "will be created" in written
    assert not path.exists()


@pytest.mark.parametrize(
    ("token", "words"),
    [
        ("", "FAIL token: POTSIDE_TOKEN is not set."),
        ("110201543:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", "FAIL token: Telegram does not know it."),
    ],
)
async def test_check_tells_what_would_not(
    server: LoopbackServer, account: Account, tmp_path: Path, token: str, words: str
) -> None:
    path = tmp_path / "potside.db"
    path.write_bytes(b"not a database, whatever its name says" * 100)
    ended, written = await _ended(await _start(server, path, "check", token=token))
    assert ended == 1
    assert words in written
    assert "FAIL database:" in written


async def test_inbox_shows_what_was_set_aside(server: LoopbackServer, clock: Clock, tmp_path: Path) -> None:
    path = tmp_path / "potside.db"
    database = open_database(path)
    with database.write() as connection:
        broken = Incoming("telegram", "", "1", "7:unreadable", "", clock.now(), raw='{"update_id": 7}')
        inbox_id = inbox.take(connection, broken, clock.now())
        assert inbox_id
        inbox.mark_poison(connection, inbox_id, "KeyError: 'date'")
    database.close()
    ended, written = await _ended(await _start(server, path, "inbox"))
    assert ended == 0
    assert written.splitlines()[0] == "0 handled, 0 waiting, 1 set aside"
    assert "KeyError: 'date': {\"update_id\": 7}" in written


async def test_owner_shows_a_code(server: LoopbackServer, account: Account, ida: Person, tmp_path: Path) -> None:
    path = tmp_path / "potside.db"
    async with _running(server, path) as process:
        await _line(process)
        await ida.says((await _line(process)).rpartition(" ")[2])
        await ida.hears(1)
        ended, written = await _ended(await _start(server, path, "owner"))
        assert ended == 0, written
        await ida.says(written.split()[-1])
        assert (await ida.hears(3))[2].startswith("You are in, as owner.")
