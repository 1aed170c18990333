"""The outbox: each key once, in order within a chat, leased to one sender at a time, tried again, given up."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from bot.messages import Button, Outgoing
from bot.store import outbox
from bot.store.database import Connection, Database
from bot.store.notes import keep_note
from bot.store.people import Chat, CollectionSettings, chat_of

LEASE_S = 60


@pytest.fixture
def second(database: Database) -> Chat:
    """Another chat, on another transport."""
    with database.write() as conn:
        return chat_of(conn, "telegram", "11", "11", CollectionSettings())


def put(conn: Connection, chat: Chat, key: str, at: datetime, send_after: datetime | None = None) -> None:
    assert outbox.put(conn, key, chat.id, Outgoing(f"text of {key}"), "reply", at, send_after)


def claimed(conn: Connection, now: datetime, limit: int = 20) -> list[str]:
    return [row.dedup_key for row in outbox.claim(conn, now, LEASE_S, limit)]


def send_all(database: Database, now: datetime) -> list[str]:
    """Claim and mark as sent until nothing is left; return the keys in the order of sending."""
    sent: list[str] = []
    while True:
        with database.write() as conn:
            rows = outbox.claim(conn, now, LEASE_S)
            for row in rows:
                outbox.mark_sent(conn, row.id, f"sent {row.id}", now)
        if not rows:
            return sent
        sent += [row.dedup_key for row in rows]


def test_a_message_is_claimed_as_it_was_put(database: Database, chat: Chat, now: datetime) -> None:
    outgoing = Outgoing(
        "Watered 4.\n\0\ud800 \\ ✓", ((Button("Undo", "undo"), Button("Which?", "which ones")), (Button("Ja", "ja"),))
    )
    with database.write() as conn:
        note = keep_note(conn, None, chat.collection_id, chat.person_id, chat.id, "x", now, {}, "log")
        assert outbox.put(conn, "reply:1", chat.id, outgoing, "reply", now, note_id=note)
    with database.write() as conn:
        [row] = outbox.claim(conn, now, LEASE_S)
    assert row == outbox.OutboxRow(row.id, "reply:1", chat.id, "terminal", "local", "reply", outgoing, now, 1, note)
    with database.read() as conn:
        assert outbox.by_id(conn, row.id) == row
        assert outbox.by_id(conn, row.id + 1) is None


def test_a_key_is_put_once_for_good(database: Database, chat: Chat, second: Chat, now: datetime) -> None:
    with database.write() as conn:
        put(conn, chat, "morning:1:2026-04-15", now)
        assert not outbox.put(conn, "morning:1:2026-04-15", second.id, Outgoing("again"), "morning", now)
    assert send_all(database, now) == ["morning:1:2026-04-15"]
    with database.write() as conn:
        assert not outbox.put(conn, "morning:1:2026-04-15", chat.id, Outgoing("again"), "morning", now)
        assert outbox.has_key(conn, "morning:1:2026-04-15")
        assert not outbox.has_key(conn, "morning:1:2026-04-16")
        assert outbox.counts(conn) == {"waiting": 0, "sent": 1, "failed": 0}


def test_a_message_goes_back_with_the_change_that_caused_it(database: Database, chat: Chat, now: datetime) -> None:
    with pytest.raises(RuntimeError):
        put_and_fail(database, chat, now)
    with database.read() as conn:
        assert not outbox.has_key(conn, "lost")


def put_and_fail(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        put(conn, chat, "lost", now)
        raise RuntimeError


def test_one_message_of_a_chat_at_a_time_in_its_order(database: Database, chat: Chat, second: Chat, now: datetime) -> None:
    with database.write() as conn:
        put(conn, chat, "a1", now)
        put(conn, chat, "a2", now)
        put(conn, second, "b1", now)
        put(conn, chat, "a0", now - timedelta(seconds=1))
    with database.write() as conn:
        assert claimed(conn, now) == ["a0", "b1"]
        assert claimed(conn, now) == []
    assert send_all(database, now + timedelta(seconds=LEASE_S)) == ["a0", "b1", "a1", "a2"]


def test_no_more_are_claimed_than_asked_for(database: Database, chat: Chat, second: Chat, now: datetime) -> None:
    with database.write() as conn:
        put(conn, second, "b1", now)
        put(conn, chat, "a1", now)
        assert claimed(conn, now, limit=1) == ["b1"]
        assert claimed(conn, now, limit=1) == ["a1"]
        assert claimed(conn, now, limit=1) == []


def test_one_transport_is_claimed_apart(database: Database, chat: Chat, second: Chat, now: datetime) -> None:
    with database.write() as conn:
        put(conn, chat, "a1", now - timedelta(hours=1))
        put(conn, second, "b1", now)
        assert outbox.next_send_at(conn) == now - timedelta(hours=1)
        assert outbox.next_send_at(conn, transport="telegram") == now
        assert [row.dedup_key for row in outbox.claim(conn, now, LEASE_S, transport="telegram")] == ["b1"]
        outbox.release(conn, "terminal")
        assert [row.dedup_key for row in outbox.claim(conn, now, LEASE_S, transport="telegram")] == []
        outbox.release(conn, "telegram")
        assert [row.dedup_key for row in outbox.claim(conn, now, LEASE_S, transport="telegram")] == ["b1"]


def test_a_message_for_later_waits_and_holds_nothing_back(database: Database, chat: Chat, now: datetime) -> None:
    later = now + timedelta(minutes=15)
    with database.write() as conn:
        assert outbox.next_send_at(conn) is None
        put(conn, chat, "take them out", now, later)
        put(conn, chat, "reply", now)
        assert outbox.next_send_at(conn) == now
    assert send_all(database, later - timedelta(microseconds=1)) == ["reply"]
    with database.read() as conn:
        assert outbox.next_send_at(conn) == later
    assert send_all(database, later) == ["take them out"]


def test_a_lease_ends_and_the_message_is_claimed_again(database: Database, chat: Chat, now: datetime) -> None:
    end = now + timedelta(seconds=LEASE_S)
    with database.write() as conn:
        put(conn, chat, "a1", now)
        put(conn, chat, "a2", now)
        assert claimed(conn, now) == ["a1"]
        assert claimed(conn, end - timedelta(microseconds=1)) == []
        assert outbox.next_send_at(conn) == end
        [row] = outbox.claim(conn, end, LEASE_S)
    assert (row.dedup_key, row.attempts) == ("a1", 2)


def test_a_failed_message_is_tried_again_before_the_next_of_its_chat(
    database: Database, chat: Chat, second: Chat, now: datetime
) -> None:
    again = now + timedelta(seconds=5)
    with database.write() as conn:
        for key in ("a1", "a2"):
            put(conn, chat, key, now)
        put(conn, second, "b1", now)
        [first, _] = outbox.claim(conn, now, LEASE_S)
        outbox.mark_failed(conn, first.id, "Too Many Requests: retry after 5", again)
        assert claimed(conn, again - timedelta(seconds=1)) == []
        assert outbox.next_send_at(conn) == again
    assert send_all(database, again) == ["a1", "a2"]


def test_a_message_given_up_lets_the_next_ones_go(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        put(conn, chat, "a1", now)
        put(conn, chat, "a2", now)
        [row] = outbox.claim(conn, now, LEASE_S)
        outbox.mark_failed(conn, row.id, "Forbidden: bot was blocked by the user", None)
    assert send_all(database, now) == ["a2"]
    with database.read() as conn:
        assert outbox.counts(conn) == {"waiting": 0, "sent": 1, "failed": 1}


def test_what_was_sent_stays_sent(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        put(conn, chat, "a1", now)
        [row] = outbox.claim(conn, now, LEASE_S)
        outbox.mark_sent(conn, row.id, "17", now)
        outbox.mark_failed(conn, row.id, "a second sender, too late", now)
        assert claimed(conn, now + timedelta(days=1)) == []
        assert outbox.counts(conn) == {"waiting": 0, "sent": 1, "failed": 0}


def test_two_senders_at_once_get_different_chats(server_side: Database, now: datetime) -> None:
    with server_side.write() as conn:
        chat, second = (chat_of(conn, "terminal", address, "", CollectionSettings()) for address in ("a", "b"))
        for key in ("a1", "a2"):
            put(conn, chat, key, now)
        put(conn, second, "b1", now)
    with server_side.write() as one, server_side.write() as two:
        first, rest = claimed(one, now, limit=1), claimed(two, now)
    assert (first, rest) == (["a1"], ["b1"])
