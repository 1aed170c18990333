"""The conversation in process, on a real database: what an interrupt in the middle leaves, and how it is made good."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import typer

from bot.app.intake import Intake
from bot.chat.clock import Clock
from bot.chat.terminal import Conversation, Gathered
from bot.cli import INTERRUPTED, told
from bot.store.database import Database, open_database
from bot.store.outbox import OutboxRow
from bot.store.people import CollectionSettings

LONDON = ZoneInfo("Europe/London")
SETTINGS = CollectionSettings(zone=LONDON.key, latitude=51)
AT = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)


class Interrupted:
    """An outlet at which Ctrl-C is pressed."""

    def send(self, row: OutboxRow) -> str:
        raise KeyboardInterrupt(row.id)


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_database(tmp_path / "talk.db")
    yield opened
    opened.close()


def test_an_interrupt_in_a_writing_is_known_and_made_good_at_the_next_start(database: Database) -> None:
    broken = Conversation(database, Intake(database, SETTINGS), Clock(LONDON, AT), Interrupted())
    with pytest.raises(KeyboardInterrupt):
        broken.say("watered tray 3")
    assert broken.writing
    gathered = Gathered()
    again = Conversation(database, Intake(database, SETTINGS), Clock(LONDON, AT), gathered)
    again.resume()
    [answer] = gathered.take()
    assert "tray 3" in answer.text
    again.resume()
    assert gathered.take() == []
    assert not again.writing


def test_an_interrupt_in_a_writing_has_its_exit_code() -> None:
    with pytest.raises(typer.Exit) as ended, told():
        raise KeyboardInterrupt
    assert ended.value.exit_code == INTERRUPTED == 130


def test_the_clock_follows_the_zone_that_a_note_sets(database: Database) -> None:
    clock = Clock(LONDON, AT)
    conversation = Conversation(database, Intake(database, SETTINGS), clock, Gathered())
    conversation.say("set zone Asia/Tokyo")
    assert clock.local().isoformat() == "2026-04-15T18:40:00+09:00"
