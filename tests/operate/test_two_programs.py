"""Two whole programs on one database, killed again and again: every note handled once, each chat in its order."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import sqlalchemy as sa

from bot.app.intake import rebuild
from bot.messages import Incoming
from bot.store import carelog, inbox, outbox, people
from bot.store.database import Database
from bot.store.people import CollectionSettings
from bot.store.tables import due, notes, standing
from bot.store.tables import outbox as outbox_table

WORK_OFF = Path(__file__).parent / "work_off.py"
NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
NOTES = 24  # in each chat
KILLS = 6


def take_all(database: Database) -> int:
    """Two chats about one collection, and one about another; return the shared collection."""
    settings = CollectionSettings(zone="Europe/London", latitude=51.5)
    with database.write() as conn:
        shared = people.chat_of(conn, "terminal", "one", "one", settings)
        people.chat_of(conn, "terminal", "two", "one", settings)
        people.chat_of(conn, "terminal", "three", "three", settings)
        for number in range(NOTES):
            for address, sender in (("one", "one"), ("two", "one"), ("three", "three")):
                came = f"watered tray {number + 1}"
                moment = NOW + timedelta(seconds=number)
                inbox.take(conn, Incoming("terminal", address, "test", f"{address}:{number}", came, moment, sender), NOW)
    return shared.collection_id


def done(database: Database) -> int:
    with database.read() as conn:
        return inbox.counts(conn)["done"]


def work_off(database: Database, address: str, environment: dict[str, str]) -> int:
    """Let two programs work until all is done; return how many were killed on the way."""

    def start() -> subprocess.Popen[bytes]:
        return subprocess.Popen([sys.executable, str(WORK_OFF), address], env=environment)

    workers, kills, wanted = [start(), start()], 0, 3 * NOTES // (KILLS + 1)
    while (so_far := done(database)) < 3 * NOTES:
        assert all(one.poll() is None for one in workers)
        if so_far >= wanted:
            workers.append(start())
            end(workers.pop(0))
            kills, wanted = kills + 1, so_far + 3 * NOTES // (KILLS + 1)
    for one in workers:
        end(one)
    return kills


def end(worker: subprocess.Popen[bytes]) -> None:
    worker.kill()
    worker.wait()


def test_nothing_is_lost_or_doubled_and_each_chat_keeps_its_order(
    database: Database, address: str, environment: dict[str, str]
) -> None:
    shared = take_all(database)
    assert work_off(database, address, environment) >= KILLS - 2
    in_order = [f"watered tray {number + 1}" for number in range(NOTES)]
    with database.read() as conn:
        assert inbox.counts(conn) == {"open": 0, "done": 3 * NOTES, "poison": 0}
        assert outbox.counts(conn)["waiting"] == 3 * NOTES
        for one in people.chats_on(conn, "terminal"):
            written = conn.scalars(sa.select(notes.c.text).where(notes.c.chat_id == one.id).order_by(notes.c.id))
            assert list(written) == in_order
            answers = sa.select(outbox_table.c.text).where(outbox_table.c.chat_id == one.id).order_by(outbox_table.c.id)
            assert [text.split(".")[0].removeprefix("Watered tray ") for text in conn.scalars(answers)] == [
                str(number + 1) for number in range(NOTES)
            ]
        log = carelog.load(conn, shared)
        assert [one.sequence for one in log] == list(range(1, 2 * NOTES + 1))
        watered = [one.refs[0].key.removeprefix("tray ") for one in log]
        assert sorted(watered, key=int) == [str(number + 1) for number in range(NOTES) for _ in range(2)]
        before = projected(database)
    rebuild(database, NOW)
    assert projected(database) == before  # what two programs folded side by side is what the log says


def projected(database: Database) -> list[list[tuple[object, ...]]]:
    with database.read() as conn:
        return [
            sorted((tuple(row) for row in conn.execute(sa.select(standing))), key=repr),
            sorted((tuple(row) for row in conn.execute(sa.select(due))), key=repr),
        ]
