"""Two workers on one database, killed again and again: nothing lost, no event doubled, the order of each chat kept."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import sqlalchemy as sa

from bot.messages import Incoming
from bot.store import carelog, inbox, outbox
from bot.store.database import Database
from bot.store.people import CollectionSettings, chat_of, find_chat
from bot.store.tables import outbox as outbox_table

WORK = Path(__file__).parent / "children" / "work.py"
CHATS = ("one", "two", "three")
MESSAGES = 30  # in each chat
STEP = 12  # so many more messages handled or answers sent, then a worker is killed
NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)


def progress(database: Database) -> int:
    with database.read() as conn:
        return inbox.counts(conn)["done"] + outbox.counts(conn)["sent"]


def take_all(database: Database) -> None:
    with database.write() as conn:
        for address in CHATS:
            chat_of(conn, "terminal", address, "", CollectionSettings())
        for number in range(MESSAGES):
            for address in CHATS:
                inbox.take(conn, Incoming("terminal", address, "test", f"{address}:{number}", str(number), NOW), NOW)


def kill_until_done(database: Database, start: Callable[[str], subprocess.Popen[bytes]]) -> int:
    """Let two workers work, kill one after the other, start a new one each time; return how many were killed on the way."""
    names = (f"worker {number}" for number in count())
    workers, kills, wanted = [start(next(names)), start(next(names))], 0, STEP
    while (done := progress(database)) < 2 * len(CHATS) * MESSAGES:
        assert all(worker.poll() is None for worker in workers)
        if done >= wanted:
            workers.append(start(next(names)))
            end(workers.pop(0))
            kills, wanted = kills + 1, done + STEP
    for worker in workers:
        end(worker)
    return kills


def end(worker: subprocess.Popen[bytes]) -> None:
    worker.kill()
    worker.wait()


def test_two_workers_that_are_killed_lose_and_double_nothing(
    database: Database, address: str, tmp_path: Path, environment: dict[str, str]
) -> None:
    take_all(database)
    sent_file = tmp_path / "sent"

    def start(name: str) -> subprocess.Popen[bytes]:
        return subprocess.Popen([sys.executable, str(WORK), address, name, str(sent_file)], env=environment)

    kills = kill_until_done(database, start)
    in_order = [str(number) for number in range(MESSAGES)]
    sent = [line.split() for line in sent_file.read_text().splitlines()]
    with database.read() as conn:
        assert inbox.counts(conn) == {"open": 0, "done": len(CHATS) * MESSAGES, "poison": 0}
        assert outbox.counts(conn) == {"waiting": 0, "sent": len(CHATS) * MESSAGES, "failed": 0}
        claimed_again = conn.execute(sa.select(sa.func.sum(outbox_table.c.attempts - 1))).scalar_one()
        for name in CHATS:
            chat = find_chat(conn, "terminal", name)
            assert chat is not None
            log = carelog.load(conn, chat.collection_id)
            assert [event.refs[0].key for event in log] == in_order
            answers = [text for chat, text in sent if chat == name]
            assert list(dict.fromkeys(answers)) == in_order
    assert kills >= 5
    doubled = sum(times - 1 for times in Counter(map(tuple, sent)).values())
    assert doubled <= claimed_again  # at least once: only what was in flight when its lease ended may go out again
