"""`potside setup` and a first `run` after it, against the loopback server; and text that Telegram must not take for markup."""

from __future__ import annotations

import asyncio
import os
import sys
from pathlib import Path

import pytest

from bot.app.service import Service
from bot.store.database import Database

from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, TOKEN, make_owner, running

pytestmark = pytest.mark.asyncio

ROOT = Path(__file__).resolve().parents[2]


async def _start(*arguments: str, folder: Path, server: LoopbackServer) -> asyncio.subprocess.Process:
    """Start a command in a folder with the loopback server's address."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("POTSIDE_")}
    env = kept | {"POTSIDE_BASE_URL": f"http://127.0.0.1:{server.port}", "PYTHONPATH": str(ROOT)}
    program, pipe = (sys.executable, "-m", "bot"), asyncio.subprocess.PIPE
    return await asyncio.create_subprocess_exec(*program, *arguments, cwd=folder, env=env, stdin=pipe, stdout=pipe, stderr=pipe)


async def _potside(*arguments: str, folder: Path, server: LoopbackServer, given: str = "") -> tuple[int, str]:
    """Run a command to its end; its exit code and what it wrote."""
    process = await _start(*arguments, folder=folder, server=server)
    out, err = await asyncio.wait_for(process.communicate(given.encode()), 30)
    assert process.returncode is not None
    return process.returncode, (out + err).decode()


def _names_in(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir())


async def test_setup_tries_the_token_writes_it_unreadable_for_others_and_shows_the_code(
    server: LoopbackServer, api: BotApi, account: Account, tmp_path: Path
) -> None:
    code, written = await _potside("setup", folder=tmp_path, server=server, given=f"{TOKEN}\n")
    assert code == 0, written
    assert "it is that of @bench_bot" in written
    assert TOKEN not in written
    file = tmp_path / "potside.env"
    assert file.read_text(encoding="utf-8") == f"POTSIDE_TOKEN={TOKEN}\n"
    assert file.stat().st_mode & 0o777 == 0o600
    assert _names_in(tmp_path) == ["potside.env"]

    claim = written.splitlines()[1].rpartition(" ")[2]
    ida = Person(api, account, 4_242)
    await ida.says(claim)
    run = await _start("run", "--db", "potside.db", folder=tmp_path, server=server)
    try:
        assert (await ida.hears(1, 30))[0].startswith("This bot is yours now.")
    finally:
        run.kill()
        await run.communicate()
    code, written = await _potside("setup", folder=tmp_path, server=server, given=f"{TOKEN}\n")
    assert code == 2
    assert "holds a token already" in written


async def test_a_token_that_is_refused_is_not_written(server: LoopbackServer, tmp_path: Path) -> None:
    wrong = TOKEN.partition(":")[0] + ":" + "A" * 35
    code, written = await _potside("setup", folder=tmp_path, server=server, given=f"{wrong}\n")
    assert code == 1
    assert "Telegram does not know it" in written
    assert wrong not in written
    assert _names_in(tmp_path) == []


async def test_what_stands_in_the_file_before_stays(server: LoopbackServer, account: Account, tmp_path: Path) -> None:
    assert account.user["username"] == "bench_bot"
    (tmp_path / "potside.env").write_text("POTSIDE_ZONE=Europe/Prague", encoding="utf-8")
    code, written = await _potside("setup", folder=tmp_path, server=server, given=f"{TOKEN}\n")
    assert code == 0, written
    assert (tmp_path / "potside.env").read_text(encoding="utf-8") == f"POTSIDE_ZONE=Europe/Prague\nPOTSIDE_TOKEN={TOKEN}\n"


@pytest.mark.parametrize("name", ["<b>tom</b>", "*tom*", "[tom](tg://user?id=1)", "_tom_ `x`", "&lt;tom"])
async def test_markup_in_a_name_comes_back_as_it_was_typed(
    server: LoopbackServer, database: Database, ida: Person, name: str
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("moved 12 to bench 2")
        await ida.hears(1)
        await ida.says(f"call 12 {name}")
        await ida.hears(2)
    # the server strips what it takes for markup, so text that comes back whole was sent without a parse mode
    answer = ida.last_answer()
    assert not answer.get("entities")
    assert name in answer["text"]
