"""How long a reply takes, how much memory the idle bot needs, how soon it asks for messages; each against a bare echo bot.

Run it by hand: `python -m tests.benchmarks.telegram_times`. The bare bot is python-telegram-bot with one handler that
commits each message to a file of its own before it answers.
"""

from __future__ import annotations

import asyncio
import os
import signal
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any

from telegram import Update
from telegram.ext import ApplicationBuilder, MessageHandler, filters

from bot.app.service import Service
from bot.chat.telegram import Core
from bot.store.database import Database, open_database
from tests.e2e.loopback.core import Account, BotApi
from tests.e2e.loopback.front import LoopbackServer
from tests.e2e.loopback.people import Person
from tests.e2e.rig import DEFAULTS, OWNER, TOKEN, Echo, make_owner, running

MESSAGES = 300
ROOT = Path(__file__).resolve().parents[2]


def bare_bot(server: str, path: Path) -> Any:
    """An echo bot with one durable commit a message."""
    kept = sqlite3.connect(path, isolation_level=None)
    kept.executescript("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; CREATE TABLE kept (text TEXT)")

    async def answer(update: Update, _: Any) -> None:
        assert update.message
        kept.execute("INSERT INTO kept VALUES (?)", (update.message.text,))
        await update.message.reply_text(f"heard: {update.message.text}")

    builder = ApplicationBuilder().token(TOKEN).job_queue(None).base_url(f"{server}/bot").base_file_url(f"{server}/file/bot")
    application = builder.build()
    application.add_handler(MessageHandler(filters.TEXT, answer))
    return application


@asynccontextmanager
async def _bare(server: LoopbackServer, folder: Path) -> AsyncIterator[None]:
    application = bare_bot(f"http://127.0.0.1:{server.port}", folder / "bare.db")
    async with application:
        await application.start()
        await application.updater.start_polling()
        yield
        await application.updater.stop()
        await application.stop()


@asynccontextmanager
async def _ours(server: LoopbackServer, folder: Path, core: Callable[[Database], Core]) -> AsyncIterator[None]:
    database = open_database(folder / f"{time.monotonic_ns()}.db")
    make_owner(database)
    async with running(server, database, core(database)):
        yield
    database.close()


async def _polled(api: BotApi, account: Account) -> None:
    await api.until(lambda: account.poll is not None, 30)


async def _reply_ms(api: BotApi, person: Person) -> list[float]:
    times = []
    for number in range(MESSAGES):
        before = len(person.read())
        began = time.perf_counter()
        await person.says(f"watered tray {number % 9 + 1}")
        await person.hears(before + 1)
        times.append((time.perf_counter() - began) * 1000)
    return times


async def replies(folder: Path) -> None:
    """Print the median and the 99th percentile from a message to its reply."""
    base = 0.0
    ways: list[tuple[str, Callable[[LoopbackServer], Any]]] = [
        ("bare echo, one commit", lambda server: _bare(server, folder)),
        ("edge with an echo core", lambda server: _ours(server, folder, Echo)),
        ("edge with the whole core", lambda server: _ours(server, folder, lambda database: Service(database, DEFAULTS))),
    ]
    for name, way in ways:
        api = BotApi(time.time)
        account = api.add_bot(TOKEN, "bench_bot")
        person = Person(api, account, OWNER)
        async with LoopbackServer(api) as server, way(server):
            await _polled(api, account)
            times = sorted(await _reply_ms(api, person))
        median = statistics.median(times)
        base = base or median
        print(f"{name:26} {median:7.2f} ms median {times[int(len(times) * 0.99)]:7.2f} ms 99th  x{median / base:.2f}", flush=True)


async def idle(folder: Path) -> None:
    """Print the memory of each bot while it waits, and the time from its start to the first request for messages."""
    base = 0.0
    for name in ("bare", "potside"):
        api = BotApi(time.time)
        account = api.add_bot(TOKEN, "bench_bot")
        async with LoopbackServer(api) as server:
            address, path = f"http://127.0.0.1:{server.port}", folder / f"idle-{name}.db"
            command = ("-m", "bot", "run") if name == "potside" else ("-m", "tests.benchmarks.telegram_times", address, str(path))
            settings = {"POTSIDE_TOKEN": TOKEN, "POTSIDE_BASE_URL": address, "POTSIDE_DATABASE": str(path)}
            if name == "potside":
                open_database(path).close()
            began = time.perf_counter()
            process = await asyncio.create_subprocess_exec(
                sys.executable, *command, cwd=ROOT, env=os.environ | settings, stdout=asyncio.subprocess.DEVNULL
            )
            await _polled(api, account)
            ready_ms = (time.perf_counter() - began) * 1000
            with suppress(TimeoutError):
                await api.until(lambda: False, 2)
            memory_mb = _resident_mb(process.pid)
            process.send_signal(signal.SIGTERM)
            await process.wait()
        base = base or memory_mb
        print(
            f"{name:26} {memory_mb:7.1f} MB idle   {ready_ms:7.0f} ms to the first request  x{memory_mb / base:.2f}", flush=True
        )


def _resident_mb(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024


def main() -> None:
    """Measure, or with an address and a path be the bare bot."""
    os.environ.setdefault("PTB_TIMEDELTA", "1")
    if len(sys.argv) == 3:
        bare_bot(sys.argv[1], Path(sys.argv[2])).run_polling()
        return
    with tempfile.TemporaryDirectory() as folder:
        asyncio.run(replies(Path(folder)))
        asyncio.run(idle(Path(folder)))


if __name__ == "__main__":
    main()
