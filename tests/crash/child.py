"""The bot in a process of its own, to be killed: the Telegram edge over a database file, against a loopback server."""

from __future__ import annotations

import asyncio
import os
import signal
from pathlib import Path

import sqlalchemy as sa

from bot.app.service import Service
from bot.chat.telegram import Core, Edge
from bot.chat.telegram_account import Account, Tempo
from bot.store.database import Database, open_database
from tests.e2e.rig import DEFAULTS, TOKEN, Echo, unhindered


def main(server: str, path: Path, core: str, die_at_commit: int = 0, *, after: bool = False) -> None:
    """Run until SIGTERM, or until it kills itself before (or `after`) commit number `die_at_commit`, counted from 1."""
    database = open_database(path)
    if die_at_commit:
        _mine(database, die_at_commit, after=after)
    parts: Core = Echo(database) if core == "echo" else Service(database, DEFAULTS)
    asyncio.run(_serve(server, database, parts))
    database.close()


def migrate_and_die(server: str, path: Path, at_statement: int) -> None:
    """Run until SIGTERM, or until it kills itself before statement number `at_statement` of its start, counted from 1."""
    done = 0

    def before_statement(*_: object) -> None:
        nonlocal done
        done += 1
        if done == at_statement:
            os.kill(os.getpid(), signal.SIGKILL)

    sa.event.listen(sa.Engine, "before_cursor_execute", before_statement)
    database = open_database(path)
    sa.event.remove(sa.Engine, "before_cursor_execute", before_statement)
    asyncio.run(_serve(server, database, Service(database, DEFAULTS)))
    database.close()


async def _serve(server: str, database: Database, core: Core) -> None:
    stop = asyncio.Event()
    asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, stop.set)
    tempo = Tempo(pacing=unhindered, poll_s=10)
    await Edge(Account(TOKEN, server), database, core, DEFAULTS, tempo, lambda _: None).run(stop)


def _mine(database: Database, at: int, *, after: bool) -> None:
    """Lay the charge: the writing transactions are counted as they commit."""
    done = 0

    def on_begin(connection: sa.Connection) -> None:
        if after and done == at:
            os.kill(os.getpid(), signal.SIGKILL)

    def on_commit(connection: sa.Connection) -> None:
        nonlocal done
        if connection.get_execution_options().get("writes"):
            done += 1
            if done == at and not after:
                os.kill(os.getpid(), signal.SIGKILL)

    sa.event.listen(database._engine, "begin", on_begin)
    sa.event.listen(database._engine, "commit", on_commit)
