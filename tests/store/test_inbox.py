"""The inbox: every message once, in order, and none in the way of the next chat's."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import NoResultFound

from bot.messages import Incoming
from bot.store import inbox
from bot.store.database import Connection, Database


def message(number: int, address: str = "local", now: datetime | None = None) -> Incoming:
    sent_at = (now or datetime.fromisoformat("2026-04-15T09:00:00+00:00")) + timedelta(seconds=number)
    return Incoming("terminal", address, "test", f"{address}:{number}", f"note {number}", sent_at)


def take_all(conn: Connection, now: datetime, *given: tuple[int, str]) -> list[int]:
    taken = [inbox.take(conn, message(number, address), now) for number, address in given]
    assert None not in taken
    return [one for one in taken if one is not None]


def test_a_message_comes_back_as_it_was(database: Database, now: datetime) -> None:
    came = Incoming(
        "telegram", "-100200", "bot7", "991", "soaked four, mites found\n🌵", now, "11", "45", "44", raw='{"update_id": 991}'
    )
    with database.write() as conn:
        number = inbox.take(conn, came, now)
    with database.read() as conn:
        row = inbox.next_open(conn)
    assert row == inbox.InboxRow(number or 0, came, now, 0)


def test_the_same_update_is_taken_once(database: Database, now: datetime) -> None:
    with database.write() as conn:
        first = inbox.take(conn, message(1), now)
    with database.write() as conn:
        assert inbox.take(conn, replace(message(1), text="sent again"), now) is None
        assert inbox.take(conn, replace(message(1), source="another bot"), now) is not None
        assert first is not None
        inbox.mark_done(conn, first, now)
        assert inbox.take(conn, message(1), now) is None  # nor after it was handled


def test_open_messages_come_in_order_of_arrival_whatever_their_time(database: Database, now: datetime) -> None:
    with database.write() as conn:
        late, early = inbox.take(conn, message(9), now), inbox.take(conn, message(1), now)
        other = inbox.take(conn, message(1, "elsewhere"), now)
    with database.read() as conn:
        assert [row.id for row in inbox.open_rows(conn)] == [late, early, other]
        assert [row.id for row in inbox.open_rows(conn, "local")] == [late, early]
        assert [row.id for row in inbox.open_rows(conn, "local", transport="telegram")] == []


def test_what_is_closed_is_not_taken_up_again_and_closes_once(database: Database, now: datetime) -> None:
    with database.write() as conn:
        one, two, three = take_all(conn, now, (1, "local"), (2, "local"), (3, "local"))
        assert inbox.mark_done(conn, one, now) is True
        assert inbox.mark_done(conn, one, now) is False
        assert inbox.mark_poison(conn, two, "ValueError: no") is True
        assert inbox.mark_done(conn, two, now) is False
        row = inbox.next_open(conn)
        assert row is not None
        assert row.id == three
        assert inbox.counts(conn) == {"open": 1, "done": 1, "poison": 1}
        assert [(row.id, error) for row, error in inbox.poison_rows(conn)] == [(two, "ValueError: no")]
        assert inbox.by_id(conn, two).incoming == message(2)


def test_an_empty_inbox(database: Database, now: datetime) -> None:
    with database.write() as conn:
        assert inbox.next_open(conn) is None
        assert inbox.open_rows(conn) == []
        assert inbox.claim(conn, now, 30, "worker") is None
        assert inbox.counts(conn) == {"open": 0, "done": 0, "poison": 0}
        with pytest.raises(NoResultFound):
            inbox.by_id(conn, 1)


def test_a_leased_message_holds_back_its_chat_and_no_other(database: Database, now: datetime) -> None:
    with database.write() as conn:
        first, second, elsewhere = take_all(conn, now, (1, "local"), (2, "local"), (1, "elsewhere"))
    claimed = []
    for worker in ("a", "b", "c"):
        with database.write() as conn:
            row = inbox.claim(conn, now, 30, worker)
            claimed.append(row and row.id)
    assert claimed == [first, elsewhere, None]
    with database.write() as conn:
        inbox.mark_done(conn, first, now)
        row = inbox.claim(conn, now, 30, "a")
        assert row is not None
        assert (row.id, row.attempts) == (second, 1)


def test_a_lease_that_has_ended_lets_the_message_be_taken_again(database: Database, now: datetime) -> None:
    with database.write() as conn:
        [number] = take_all(conn, now, (1, "local"))
        inbox.claim(conn, now, 30, "killed")
        assert inbox.claim(conn, now + timedelta(seconds=29), 30, "b") is None
        row = inbox.claim(conn, now + timedelta(seconds=30), 30, "b")
        assert row is not None
        assert (row.id, row.attempts) == (number, 2)


def test_two_workers_at_once_get_different_chats(server_side: Database, now: datetime) -> None:
    with server_side.write() as conn:
        first, elsewhere = take_all(conn, now, (1, "local"), (1, "elsewhere"))
    with server_side.write() as one, server_side.write() as two:
        rows = inbox.claim(one, now, 30, "a"), inbox.claim(two, now, 30, "b")
    assert [row and row.id for row in rows] == [first, elsewhere]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(st.characters(exclude_categories=()), max_size=80))
def test_nothing_typed_is_altered(database: Database, text: str) -> None:
    now = datetime.fromisoformat("2026-04-15T09:00:00+00:00")
    with database.write() as conn:
        number = inbox.take(
            conn, Incoming("terminal", "local", "typed", text.encode("unicode_escape").hex(), text, now, raw=text), now
        )
        if number is not None:
            kept = inbox.by_id(conn, number).incoming
            assert (kept.text, kept.raw) == (text, text)


def test_five_thousand_characters_and_stranger_things_are_kept(database: Database, now: datetime) -> None:
    texts = ["x" * 5000, "\0", "\ud800", "\\u0041", "\\", "\\\\0", "'; DROP TABLE inbox; --", "<b>&amp;", "", "ねじ\u202e"]
    with database.write() as conn:
        for number, text in enumerate(texts):
            inbox.take(conn, replace(message(number), text=text), now)
    with database.read() as conn:
        assert [row.incoming.text for row in inbox.open_rows(conn)] == texts
