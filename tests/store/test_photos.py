"""Photos: noted once a message, fetched in order, filed and filed anew, albums together; their files checked by content."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from bot.care.events import Ref
from bot.messages import Incoming, Outgoing
from bot.store import inbox, notes, outbox, photo_files, photos
from bot.store.database import Connection, Database
from bot.store.people import Chat, CollectionSettings, chat_of

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
DAY = date(2026, 4, 15)
PLANT, OTHER = Ref("plant", "202"), Ref("plant", "203")


def _chat(conn: Connection) -> Chat:
    return chat_of(conn, "telegram", "11", "11", CollectionSettings())


def _take(conn: Connection, chat: Chat, number: int, album: str = "") -> int:
    """Take in a message with a photo."""
    incoming = Incoming("telegram", chat.address, "test", str(number), "", NOW, chat.address, message_key=str(number))
    inbox_id = inbox.take(conn, incoming, NOW)
    assert inbox_id is not None
    assert photos.add(conn, chat.id, chat.collection_id, inbox_id, f"file {number}", album, DAY, NOW + timedelta(seconds=number))
    return inbox_id


def test_a_message_brings_its_photo_once(database: Database) -> None:
    with database.write() as conn:
        chat = _chat(conn)
        box = _take(conn, chat, 1)
        assert not photos.add(conn, chat.id, chat.collection_id, box, "file 1", "", DAY, NOW)
        (one,) = photos.of_collection(conn, chat.collection_id)
    assert (one.state, one.name, one.refs, one.file_key, one.taken_on) == ("waiting", "", (), "file 1", DAY)


def test_photos_are_fetched_in_order_and_later_where_they_could_not_be_had(database: Database) -> None:
    with database.write() as conn:
        chat = _chat(conn)
        for number in (1, 2, 3):
            _take(conn, chat, number)
        late = NOW + timedelta(minutes=1)
        first, second, third = photos.waiting(conn, late)
        assert [one.file_key for one in (first, second, third)] == ["file 1", "file 2", "file 3"]
        assert photos.waiting(conn, NOW) == []
        photos.mark_kept(conn, first.id, "2026/one.jpg")
        photos.mark_failed(conn, second.id, "no network", late + timedelta(hours=1))
        photos.mark_failed(conn, third.id, "too large", None)
        assert photos.waiting(conn, late) == []
        (again,) = photos.waiting(conn, late + timedelta(hours=1))
        assert (again.id, again.attempts) == (second.id, 1)
        assert [one.state for one in photos.of_collection(conn, chat.collection_id)] == ["kept", "waiting", "refused"]


def test_a_photo_is_filed_and_filed_anew(database: Database) -> None:
    with database.write() as conn:
        chat = _chat(conn)
        box = _take(conn, chat, 1)
        note = notes.keep_note(conn, box, chat.collection_id, chat.person_id, chat.id, "202", NOW, {}, "log")
        (one,) = photos.of_message(conn, box)
        photos.file(conn, [one.id], [PLANT], note, "event 1")
        photos.file(conn, [one.id], [OTHER])
        (one,) = photos.of_message(conn, box)
    assert (one.refs, one.note_id, one.event) == ((OTHER,), note, "event 1")


def test_an_album_stands_together_and_takes_in_its_late_ones(database: Database) -> None:
    with database.write() as conn:
        chat = _chat(conn)
        first, second, alone = _take(conn, chat, 1, "a"), _take(conn, chat, 2, "a"), _take(conn, chat, 3)
        assert [one.inbox_id for one in photos.of_message(conn, second)] == [first, second]
        assert [one.inbox_id for one in photos.newest(conn, chat.id, chat.collection_id)] == [alone]
        assert [one.inbox_id for one in photos.newest(conn, chat.id, chat.collection_id, besides=alone)] == [first, second]
        note = notes.keep_note(conn, first, chat.collection_id, chat.person_id, chat.id, "202", NOW, {}, "log")
        photos.file(conn, [one.id for one in photos.of_message(conn, first)], [PLANT], note, "event 1")
        late = _take(conn, chat, 4, "a")
        found = photos.of_message(conn, late)
    assert [(one.refs, one.note_id, one.event) for one in found] == [((PLANT,), note, "event 1")] * 3


def test_a_photo_is_found_by_its_message_and_by_the_answer_to_it(database: Database) -> None:
    with database.write() as conn:
        chat = _chat(conn)
        other = chat_of(conn, "telegram", "22", "22", CollectionSettings())
        box = _take(conn, chat, 1)
        outbox.put(conn, f"answer:{box}", chat.id, Outgoing("which plant?"), "reply", NOW)
        (sent,) = outbox.claim(conn, NOW, 30)
        outbox.mark_sent(conn, sent.id, "77", NOW)
        for key in ("1", "77"):
            assert [one.inbox_id for one in photos.by_message(conn, chat.id, key)] == [box]
            assert photos.by_message(conn, other.id, key) == []
        assert photos.by_message(conn, chat.id, "78") == []


# The first bytes by the formats' own specifications: ITU-T T.81 annex B, ISO/IEC 15948 5.2, RFC 9649 2.4.
@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (bytes.fromhex("ffd8ffe000104a464946"), "jpg"),
        (bytes.fromhex("89504e470d0a1a0a0000000d49484452"), "png"),
        (b"RIFF\x10\x00\x00\x00WEBPVP8 ", "webp"),
        (b"RIFF\x10\x00\x00\x00WAVEfmt ", None),
        (b"GIF89a", None),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", None),
        (b"%PDF-1.7", None),
        (b"PK\x03\x04", None),
        (b"", None),
    ],
)
def test_a_picture_is_known_by_its_content(content: bytes, kind: str | None) -> None:
    assert photo_files.kind_of(content) == kind


def test_a_file_is_written_for_its_owner_alone_and_leaves_no_half(tmp_path: Path) -> None:
    photo_files.write(tmp_path / "photos", "2026/one.jpg", b"content")
    written = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert [(path.name, path.read_bytes(), path.stat().st_mode & 0o777) for path in written] == [("one.jpg", b"content", 0o600)]
    assert written[0].parent.stat().st_mode & 0o077 == 0
