"""What is known is told to whoever asks; who wants to be forgotten is, after a week, with a copy first."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from bot.app.intake import Intake, rebuild
from bot.app.privacy import GRACE, forget_those_due
from bot.messages import Incoming
from bot.store import carelog, people
from bot.store.database import Database
from bot.store.people import CollectionSettings
from bot.store.purging import GUARDED
from bot.store.tables import metadata
from bot.store.tables import outbox as outbox_table

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
SETTINGS = CollectionSettings(zone="Europe/London", latitude=51.5)


class Talk:
    """An owner, 111111111, a helper, 222222222, and the owner of another collection, 333333333, who all write."""

    def __init__(self, database: Database) -> None:
        self.database, self.intake, self.number = database, Intake(database, SETTINGS), 0
        with database.write() as conn:
            self.owner = people.chat_of(conn, "telegram", "111111111", "111111111", SETTINGS)
            people.chat_of(conn, "telegram", "222222222", "222222222", SETTINGS)

    def says(self, sender: str, text: str, now: datetime = NOW) -> str:
        self.number += 1
        raw = json.dumps({"from": {"id": int(sender), "first_name": f"Name{sender}"}})
        came = Incoming("telegram", sender, "t", str(self.number), text, now, sender, str(self.number), raw=raw)
        inbox_id = self.intake.receive(came, now)
        assert self.intake.work(now) == 1
        with self.database.read() as conn:
            told = sa.select(outbox_table.c.text).where(outbox_table.c.dedup_key == f"reply:{inbox_id}")
            return str(conn.execute(told).scalar_one())


@pytest.fixture
def talk(database: Database) -> Talk:
    """Two collections: 111111111 owns one in which 222222222 helps; 333333333 owns another."""
    made = Talk(database)
    with database.write() as conn:
        people.join(conn, "telegram", "222222222", "222222222", made.owner.collection_id, "helper")
    made.says("111111111", "moved 12-18 to bench 2")
    made.says("222222222", "watered bench 2 secretly")
    made.says("333333333", "watered tray 3 in peace")
    return made


def everything(database: Database) -> str:
    """Every value of every row, as text."""
    with database.read() as conn:
        return "\n".join(repr(tuple(row)) for table in metadata.sorted_tables for row in conn.execute(sa.select(table)))


def test_what_is_known_is_told(talk: Talk) -> None:
    told = talk.says("333333333", "What do you know about me?")
    assert told.startswith("I know your number at telegram, your 1 note since Wed 15 Apr 2026, and that you are owner.")
    assert "yours alone: 1 event in its log" in told
    told = talk.says("222222222", "/privacy")
    assert "helper" in told


def test_a_helper_is_forgotten_and_the_plants_are_not(talk: Talk, database: Database, tmp_path: Path) -> None:
    told = talk.says("222222222", "forget me")
    assert told.startswith("On Wed 22 Apr 2026 I forget you: your number, the words of your 1 note")
    assert forget_those_due(database, NOW + GRACE - timedelta(seconds=1), tmp_path / "exports", None) == 0
    assert forget_those_due(database, NOW + GRACE, tmp_path / "exports", None) == 1
    left = everything(database)
    for trace in ("222222222", "secretly", "Name222222222"):
        assert trace not in left, trace
    with database.read() as conn:
        log = carelog.load(conn, talk.owner.collection_id)
    assert [one.what for one in log][:2] == ["moved", "watered"]
    before = everything(database)
    rebuild(database, NOW)
    assert everything(database) == before
    (copy,) = (tmp_path / "exports").iterdir()
    assert copy.stat().st_mode & 0o077 == 0
    exported = json.loads(copy.read_text(encoding="utf-8"))
    assert exported["accounts"] == [{"messenger": "telegram", "number": "222222222"}]
    assert [one["text"] for one in exported["notes"]] == ["watered bench 2 secretly"]
    assert forget_those_due(database, NOW + 2 * GRACE, tmp_path / "exports", None) == 0


def test_an_owner_goes_with_the_collection_and_others_stay(talk: Talk, database: Database, tmp_path: Path) -> None:
    with database.read() as conn:
        theirs = people.find_chat(conn, "telegram", "333333333")
        assert theirs is not None
        log = carelog.load(conn, theirs.collection_id)
    told = talk.says("111111111", "forget me")
    assert "and the whole collection with its " in told
    assert forget_those_due(database, NOW + GRACE, tmp_path / "exports", None) == 1
    left = everything(database)
    for trace in ("111111111", "bench 2", "Name111111111"):
        assert trace not in left, trace
    with database.read() as conn:
        assert carelog.load(conn, talk.owner.collection_id) == []
        assert carelog.load(conn, theirs.collection_id) == log
    (copy,) = (tmp_path / "exports").iterdir()
    assert len(json.loads(copy.read_text(encoding="utf-8"))["events"]) >= 2
    assert "tray 3" in talk.says("333333333", "when did i last water tray 3")
    assert talk.says("111111111", "watered tray 9")  # who comes back begins anew


def test_the_log_is_closed_again_afterwards(talk: Talk, database: Database, tmp_path: Path) -> None:
    talk.says("111111111", "forget me")
    forget_those_due(database, NOW + GRACE, tmp_path / "exports", None)
    for table in GUARDED:
        for change in (f"DELETE FROM {table}", f"UPDATE {table} SET collection_id = collection_id"):
            with pytest.raises(sa.exc.IntegrityError, match="append-only"), database.write() as conn:
                conn.execute(sa.text(change))


def test_who_changes_their_mind_is_kept(talk: Talk, database: Database, tmp_path: Path) -> None:
    assert talk.says("222222222", "keep me") == "Nothing was going to be forgotten."
    talk.says("222222222", "forget me please")
    assert talk.says("222222222", "forget me").startswith("That is set for Wed 22 Apr 2026.")
    assert talk.says("222222222", "keep me") == "I keep everything as it is."
    before = everything(database)
    assert forget_those_due(database, NOW + 2 * GRACE, tmp_path / "exports", None) == 0
    assert everything(database) == before


def test_nothing_is_deleted_where_the_copy_cannot_be_written(talk: Talk, database: Database, tmp_path: Path) -> None:
    talk.says("111111111", "forget me")
    before = everything(database)
    (tmp_path / "exports").write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(OSError, match="exists"):
        forget_those_due(database, NOW + GRACE, tmp_path / "exports", None)
    assert everything(database) == before


@pytest.mark.parametrize("note", ["forget me not by the gate watered", "forget mealybugs", "keep me posted on 12"])
def test_bench_notes_are_no_requests(talk: Talk, note: str) -> None:
    told = talk.says("111111111", note)
    assert "I forget you" not in told
    assert "keep everything" not in told
