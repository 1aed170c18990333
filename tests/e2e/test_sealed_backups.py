"""A sealed backup goes to the owner's chat over the loopback server, and comes back from there."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from pydantic import SecretStr

from bot.app.upkeep import LEAST_FREE_BYTES, Keeping, Upkeep
from bot.assemble.keeping import restored
from bot.assemble.running import sealed_sender
from bot.chat.telegram_account import Account as BotAccount
from bot.config import Settings
from bot.store import marks, outbox
from bot.store.backup import back_up
from bot.store.database import Database, DatabaseProblem
from bot.store.sealing import seal

from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import TOKEN, make_owner

pytestmark = pytest.mark.asyncio

WORDS = "four words from memory"
NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)


def upkeep_of(server: LoopbackServer, database: Database, folder: Path) -> Upkeep:
    """What looks after the database, and sends to the loopback server."""
    settings = Settings(backup_passphrase=SecretStr(WORDS), database=str(folder / "potside.db"))
    send = sealed_sender(settings, BotAccount(TOKEN, f"http://127.0.0.1:{server.port}"))
    keeping = Keeping(folder / "backups", time(3, 30), ZoneInfo("Europe/Berlin"), "0.1")
    return Upkeep(database, keeping, lambda _: LEAST_FREE_BYTES, send)


def documents(ida: Person) -> list[dict[str, object]]:
    """The documents in a chat, as the server keeps them."""
    return [one for one in ida.chat.messages.values() if "document" in one]


async def test_the_owner_gets_it_once_a_week(server: LoopbackServer, database: Database, ida: Person, tmp_path: Path) -> None:
    make_owner(database)
    upkeep = upkeep_of(server, database, tmp_path)
    for days in (0, 1, 6, 8):
        await asyncio.to_thread(upkeep.round, NOW + timedelta(days=days))
    got = documents(ida)
    assert len(got) == 2
    assert str(got[0]["caption"]).startswith("This week's backup, sealed.")
    assert all(one.name.endswith("-daily.zip") for one in (tmp_path / "backups").iterdir())
    with database.read() as conn:
        assert marks.marked(conn, "backup:sent") == NOW + timedelta(days=8)


async def test_a_server_that_does_not_answer_is_told(database: Database, tmp_path: Path) -> None:
    make_owner(database)
    settings = Settings(backup_passphrase=SecretStr(WORDS), database=str(tmp_path / "potside.db"))
    send = sealed_sender(settings, BotAccount(TOKEN, "http://127.0.0.1:9"))  # the discard port: nobody answers
    keeping = Keeping(tmp_path / "backups", time(3, 30), ZoneInfo("Europe/Berlin"), "0.1")
    upkeep = Upkeep(database, keeping, lambda _: LEAST_FREE_BYTES, send)
    for minutes in (0, 1, 61):
        await asyncio.to_thread(upkeep.round, NOW + timedelta(minutes=minutes))
    with database.read() as conn:
        assert marks.marked(conn, "backup:sent") is None
        told = [one.outgoing.text for one in (outbox.by_id(conn, number) for number in range(1, 9)) if one]
    assert told == ["This week's backup could not be sent to you: NetworkError"]
    assert [one.name for one in (tmp_path / "backups").iterdir()] == ["potside-20260415T094000Z-daily.zip"]


async def test_what_was_sent_restores(database: Database, tmp_path: Path) -> None:
    make_owner(database)
    back_up(database, tmp_path / "one.zip", NOW, "0.1")
    seal(tmp_path / "one.zip", tmp_path / "one.zip.sealed", WORDS)
    place = str(tmp_path / "back.db")
    with pytest.raises(DatabaseProblem, match="is sealed"):
        restored(Settings(database=place), tmp_path / "one.zip.sealed", dry_run=False)
    settings = Settings(database=place, backup_passphrase=SecretStr(WORDS))
    assert "Sound" in restored(settings, tmp_path / "one.zip.sealed", dry_run=True)
    assert restored(settings, tmp_path / "one.zip.sealed", dry_run=False).startswith(place)
