"""What the bot sees to by itself, over pretended weeks on both databases."""

from __future__ import annotations

import logging
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa

from bot.app.status import status_of
from bot.app.upkeep import FAILED, LEAST_FREE_BYTES, MADE, REACHED, Keeping, Upkeep
from bot.messages import Incoming, Outgoing
from bot.store import inbox, marks, outbox, people
from bot.store.archive import remove_photo
from bot.store.backup import restore
from bot.store.database import Database
from bot.store.notes import keep_note
from bot.store.people import Chat, CollectionSettings
from bot.store.tables import inbox as inbox_table
from bot.store.tables import notes, photos
from bot.store.tables import outbox as outbox_table

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
BERLIN = ZoneInfo("Europe/Berlin")


@pytest.fixture
def owner(database: Database) -> Chat:
    """The chat of an owner in Berlin."""
    with database.write() as conn:
        return people.chat_of(conn, "telegram", "4242", "4242", CollectionSettings(zone="Europe/Berlin"))


def upkeep_of(database: Database, folder: Path, free: int = LEAST_FREE_BYTES, words_days: int | None = None) -> Upkeep:
    keeping = Keeping(folder, time(3, 30), BERLIN, "0.1", disks=(folder.parent,), words_days=words_days)
    return Upkeep(database, keeping, lambda _: free)


def told(database: Database) -> list[str]:
    """Everything put into the outbox, in order."""
    with database.read() as conn:
        return list(conn.scalars(sa.select(outbox_table.c.text).order_by(outbox_table.c.id)))


def test_a_backup_each_night_of_three_weeks(database: Database, owner: Chat, tmp_path: Path) -> None:
    upkeep, moment = upkeep_of(database, tmp_path / "backups"), NOW
    while moment < NOW + timedelta(days=21):
        upkeep.round(moment)
        moment += timedelta(minutes=30)
    files = sorted(one.name for one in (tmp_path / "backups").iterdir())
    # 21 nights from 15 April: the last seven, and the newest of each of the two weeks before them
    days = ["0419", "0426", "0430", "0501", "0502", "0503", "0504", "0505", "0506"]
    assert [one[12:16] for one in files] == days
    assert restore(tmp_path / "backups" / files[-1], tmp_path / "back.db").summary.rows["people"] == 1
    assert told(database) == []
    status = status_of(database, "0.1", moment, running=True)
    assert status.last_backup is not None
    assert moment - status.last_backup < timedelta(days=1)
    assert status.troubles == ()


@pytest.mark.parametrize("night", [datetime(2026, 3, 29), datetime(2026, 10, 25)])  # noqa: DTZ001  the nights the clocks change
def test_one_backup_in_the_nights_when_the_clocks_change(database: Database, tmp_path: Path, night: datetime) -> None:
    keeping = Keeping(tmp_path / "backups", time(2, 30), BERLIN, "0.1")
    upkeep, start = Upkeep(database, keeping, lambda _: LEAST_FREE_BYTES), night.replace(tzinfo=BERLIN).astimezone(UTC)
    with database.write() as conn:
        marks.mark(conn, MADE, start - timedelta(hours=1))
    for minutes in range(0, 23 * 60, 10):
        upkeep.round(start + timedelta(minutes=minutes))
    assert len(list((tmp_path / "backups").iterdir())) == 1


def test_a_backup_that_fails_is_told_in_the_morning_and_tried_again(database: Database, owner: Chat, tmp_path: Path) -> None:
    (tmp_path / "backups").write_text("a file where the folder should be", encoding="utf-8")
    upkeep, night = upkeep_of(database, tmp_path / "backups"), datetime(2026, 4, 16, 1, 31, tzinfo=UTC)
    for minutes in range(0, 300, 5):
        upkeep.round(night + timedelta(minutes=minutes))
    assert len(told(database)) == 1
    assert told(database)[0].startswith("Last night's backup failed: ")
    with database.read() as conn:
        assert outbox.next_send_at(conn) == datetime(2026, 4, 16, 5, 30, tzinfo=UTC)  # 07:30 in Berlin
        assert marks.marked(conn, FAILED) is not None
    assert "the last backup failed" in status_of(database, "0.1", night, running=True).troubles
    (tmp_path / "backups").unlink()
    upkeep.round(night + timedelta(hours=6))
    assert len(list((tmp_path / "backups").iterdir())) == 1
    with database.read() as conn:
        assert marks.marked(conn, FAILED) is None


def test_a_clock_that_goes_back_a_year_still_backs_up_and_keeps_what_there_is(
    database: Database, owner: Chat, tmp_path: Path
) -> None:
    upkeep = upkeep_of(database, tmp_path / "backups")
    upkeep.round(NOW)
    (later,) = (tmp_path / "backups").iterdir()
    wrong = NOW - timedelta(days=365)
    upkeep.round(wrong)
    upkeep.round(wrong + timedelta(minutes=5))
    assert len(list((tmp_path / "backups").iterdir())) == 2
    assert later.exists()
    upkeep.round(NOW + timedelta(minutes=5))
    with database.read() as conn:
        made = marks.marked(conn, MADE)
    assert made == NOW + timedelta(minutes=5)  # the clock is right again: what the wrong one wrote does not count


def test_little_room_is_told_once_a_day(database: Database, owner: Chat, tmp_path: Path) -> None:
    upkeep = upkeep_of(database, tmp_path / "backups", free=30 * 1024 * 1024)
    for hours in range(30):
        upkeep.round(NOW + timedelta(hours=hours))
    assert told(database) == ["The disk is filling up: 30 MB left. Make room, or notes will have to wait."] * 2


def test_a_message_set_aside_is_told_once(database: Database, owner: Chat, tmp_path: Path) -> None:
    upkeep = upkeep_of(database, tmp_path / "backups")
    upkeep.round(NOW)
    for number, address in enumerate(("", "777", owner.address)):  # unreadable, a helper's, and the owner's own
        with database.write() as conn:
            taken = inbox.take(conn, Incoming("telegram", address, "t", str(number), "secret words", NOW, address), NOW)
            assert taken is not None
            inbox.mark_poison(conn, taken, "ValueError: secret words")
    upkeep.round(NOW + timedelta(minutes=1))
    upkeep.round(NOW + timedelta(minutes=2))
    assert told(database) == ["2 messages could not be handled and are kept aside. On the machine: potside inbox"]


def test_an_hour_of_refusals_is_told_when_it_is_over(
    database: Database, owner: Chat, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    upkeep = upkeep_of(database, tmp_path / "backups")
    with database.write() as conn:
        marks.mark(conn, REACHED, NOW - timedelta(hours=5))  # before the stop: that the bot did not run is no refusal
    upkeep.round(NOW)
    with database.write() as conn:
        marks.mark(conn, REACHED, NOW)
    with caplog.at_level(logging.ERROR):
        for minutes in range(0, 100, 10):
            upkeep.round(NOW + timedelta(minutes=minutes))
    assert [one.getMessage() for one in caplog.records] == ["Telegram has taken nothing since 2026-04-15 09:40 UTC."]
    assert told(database) == []
    assert status_of(database, "0.1", NOW + timedelta(minutes=99), running=True).troubles
    with database.write() as conn:
        marks.mark(conn, REACHED, NOW + timedelta(minutes=100))
    for minutes in (101, 102):
        upkeep.round(NOW + timedelta(minutes=minutes))
    assert told(database) == [
        "Telegram did not take my messages from Wed 15 Apr 11:40 to Wed 15 Apr 13:21. What waited goes out now."
    ]


def test_messages_that_are_refused_for_an_hour_count_too(database: Database, owner: Chat, tmp_path: Path) -> None:
    upkeep = upkeep_of(database, tmp_path / "backups")
    with database.write() as conn:
        outbox.put(conn, "one", owner.id, Outgoing("hello"), "reply", NOW)
    for minutes in range(0, 90, 10):
        moment = NOW + timedelta(minutes=minutes)
        with database.write() as conn:
            marks.mark(conn, REACHED, moment)
            for row in outbox.claim(conn, moment, 30):
                outbox.mark_failed(conn, row.id, "429", moment)
        upkeep.round(moment)
    with database.write() as conn:
        outbox.mark_sent(conn, 1, "5", NOW + timedelta(minutes=90))
    upkeep.round(NOW + timedelta(minutes=90))
    assert told(database)[1:] == [
        "Telegram did not take my messages from Wed 15 Apr 11:40 to Wed 15 Apr 13:10. What waited goes out now."
    ]


def test_what_came_along_and_the_words_go_when_their_time_is_over(database: Database, owner: Chat, tmp_path: Path) -> None:
    ages = (1, 10, 40, 500)
    with database.write() as conn:
        for days in ages:
            moment = NOW - timedelta(days=days)
            came = Incoming("telegram", "4242", "t", str(days), f"watered {days}", moment, "4242", raw='{"first_name": "Ida"}')
            taken = inbox.take(conn, came, moment)
            assert taken is not None
            keep_note(conn, taken, owner.collection_id, owner.person_id, owner.id, came.text, moment, {"x": 1}, "log")
            inbox.mark_done(conn, taken, moment)
            stranger = inbox.take(conn, Incoming("telegram", "9", "t", f"stranger:9:{days}", "", moment, "9"), moment)
            assert stranger is not None
            inbox.mark_done(conn, stranger, moment)
        waiting = inbox.take(conn, Incoming("telegram", "4242", "t", "open", "waits", NOW - timedelta(days=90), raw="r"), NOW)
        assert waiting is not None
    upkeep_of(database, tmp_path / "backups", words_days=100).round(NOW)
    with database.read() as conn:
        kept = {row.update_key: (row.text, row.raw) for row in conn.execute(sa.select(inbox_table))}
        words = {row.sent_at: row.text for row in conn.execute(sa.select(notes.c.sent_at, notes.c.text))}
    assert kept == {
        "1": ("watered 1", '{"first_name": "Ida"}'),
        "10": ("watered 10", '{"first_name": "Ida"}'),
        "40": ("watered 40", ""),
        "500": ("", ""),
        "stranger:9:1": ("", ""),
        "open": ("waits", "r"),
    }
    assert [words[NOW - timedelta(days=days)] for days in ages] == ["watered 1", "watered 10", "watered 40", ""]


def test_photos_go_with_their_files_when_their_time_is_over(database: Database, owner: Chat, tmp_path: Path) -> None:
    folder = tmp_path / "photos"
    folder.mkdir()
    with database.write() as conn:
        for days in (10, 400):
            taken = inbox.take(conn, Incoming("telegram", "4242", "t", f"photo {days}", "", NOW, "4242"), NOW)
            row = {"public_id": f"p{days}", "collection_id": owner.collection_id, "chat_id": owner.id, "inbox_id": taken}
            row |= {"file_key": "k", "album": "", "taken_on": (NOW - timedelta(days=days)).date(), "refs": [], "state": "kept"}
            conn.execute(sa.insert(photos).values(row | {"ready_at": NOW, "attempts": 0, "name": f"{days}.jpg"}))
            (folder / f"{days}.jpg").write_bytes(b"picture")
    keeping = Keeping(tmp_path / "backups", time(3, 30), BERLIN, "0.1", photos=folder, photos_days=365)
    Upkeep(database, keeping, lambda _: LEAST_FREE_BYTES).round(NOW)
    assert [one.name for one in folder.iterdir()] == ["10.jpg"]
    (tmp_path / "outside.jpg").touch()
    for name in ("../outside.jpg", str(tmp_path / "outside.jpg"), ""):
        remove_photo(folder, name)
    assert (tmp_path / "outside.jpg").exists()
    with database.read() as conn:
        assert list(conn.scalars(sa.select(photos.c.name))) == ["10.jpg"]
