"""The dispatcher over a real database: order, leases, failures of each kind, giving up."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.messages import Outgoing
from bot.reminders.dispatch import GIVE_UP_AFTER, LEASE_S, TRIES, WAITS_S, OutletProblem, dispatch
from bot.store import outbox, people
from bot.store.database import Database, open_database
from bot.store.outbox import OutboxRow
from bot.store.people import CollectionSettings

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)


class Slate:
    """An outlet that writes down what it sends, and fails as it is told, once for each failure."""

    def __init__(self, *failures: Exception) -> None:
        self.said: list[tuple[str, str]] = []
        self._failures = list(failures)

    def send(self, row: OutboxRow) -> str:
        if self._failures:
            raise self._failures.pop(0)
        self.said.append((row.address, row.outgoing.text))
        return f"k{row.id}"

    @property
    def texts(self) -> list[str]:
        return [text for _, text in self.said]


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_database(tmp_path / "outbox.db")
    yield opened
    opened.close()


def put(database: Database, text: str, address: str = "a", transport: str = "terminal", at: datetime = NOW) -> None:
    with database.write() as connection:
        chat = people.chat_of(connection, transport, address, address, CollectionSettings())
        assert outbox.put(connection, f"{address}:{text}", chat.id, Outgoing(text), "reply", at)


def counts(database: Database) -> tuple[int, int, int]:
    with database.read() as connection:
        found = outbox.counts(connection)
    return found["waiting"], found["sent"], found["failed"]


def test_each_message_goes_out_once_and_in_order_within_its_chat(database: Database) -> None:
    for number in range(5):
        put(database, f"{number}", "a")
        put(database, f"{number}", "b")
    slate = Slate()
    assert dispatch(database, slate, NOW) == 10
    for address in "ab":
        assert [text for to, text in slate.said if to == address] == ["0", "1", "2", "3", "4"]
    assert dispatch(database, slate, NOW + timedelta(days=1)) == 0
    assert counts(database) == (0, 10, 0)


def test_what_is_for_later_waits(database: Database) -> None:
    put(database, "tomorrow", at=NOW + timedelta(days=1))
    slate = Slate()
    assert dispatch(database, slate, NOW) == 0
    assert dispatch(database, slate, NOW + timedelta(days=1)) == 1


def test_only_the_asked_transport(database: Database) -> None:
    put(database, "here")
    put(database, "there", "77", "elsewhere")
    slate = Slate()
    assert dispatch(database, slate, NOW, transport="terminal") == 1
    assert slate.texts == ["here"]
    assert counts(database) == (1, 1, 0)


def test_a_failure_holds_back_its_chat_alone_until_the_wait_is_over(database: Database) -> None:
    put(database, "first")
    put(database, "second")
    put(database, "other", "b")
    slate = Slate(OutletProblem(None, final=False))
    assert dispatch(database, slate, NOW) == 1
    assert slate.said == [("b", "other")]
    assert dispatch(database, slate, NOW + timedelta(seconds=WAITS_S[0] - 1)) == 0
    assert dispatch(database, slate, NOW + timedelta(seconds=WAITS_S[0])) == 2
    assert slate.texts == ["other", "first", "second"]


def test_waits_grow_and_then_stay(database: Database) -> None:
    put(database, "heavy")
    slate = Slate(*(OutletProblem(None, final=False) for _ in range(len(WAITS_S) + 1)))
    now, tried = NOW, []
    for wait in [*WAITS_S, WAITS_S[-1]]:
        assert dispatch(database, slate, now) == 0
        assert dispatch(database, slate, now + timedelta(seconds=wait) - timedelta(microseconds=1)) == 0
        now += timedelta(seconds=wait)
        tried.append(len(slate._failures))
    assert tried == [5, 4, 3, 2, 1, 0]
    assert dispatch(database, slate, now) == 1


def test_the_other_side_says_how_long_to_wait(database: Database) -> None:
    put(database, "eager")
    slate = Slate(OutletProblem(17, final=False))
    assert dispatch(database, slate, NOW) == 0
    assert dispatch(database, slate, NOW + timedelta(seconds=16)) == 0
    assert dispatch(database, slate, NOW + timedelta(seconds=17)) == 1


def test_a_wait_of_nothing_does_not_spin(database: Database) -> None:
    put(database, "eager")
    slate = Slate(*(OutletProblem(0, final=False) for _ in range(3)))
    assert dispatch(database, slate, NOW) == 0
    assert len(slate._failures) == 2


def test_a_final_failure_is_given_up_and_the_next_goes_out(database: Database) -> None:
    put(database, "blocked")
    put(database, "next")
    slate = Slate(OutletProblem(None, final=True, reason="the chat is gone"))
    assert dispatch(database, slate, NOW) == 1
    assert slate.texts == ["next"]
    assert counts(database) == (0, 1, 1)


def test_an_outlet_that_breaks_does_not_stop_the_others(database: Database) -> None:
    put(database, "bad")
    put(database, "good", "b")
    slate = Slate(ZeroDivisionError("a fault of ours"))
    assert dispatch(database, slate, NOW) == 1
    assert dispatch(database, slate, NOW + timedelta(seconds=WAITS_S[0])) == 1
    assert slate.texts == ["good", "bad"]


def test_given_up_after_a_day_but_not_before_enough_tries(database: Database) -> None:
    put(database, "old")
    slate = Slate(*(OutletProblem(1, final=False) for _ in range(TRIES)))
    late = NOW + GIVE_UP_AFTER + timedelta(hours=1)  # the machine was off for a day: the message still gets its tries
    for number in range(TRIES):
        assert counts(database) == (1, 0, 0)
        assert dispatch(database, slate, late + timedelta(seconds=number)) == 0
    assert counts(database) == (0, 0, 1)


def test_a_lease_left_by_a_crash_ends(database: Database) -> None:
    put(database, "leased")
    with database.write() as connection:
        assert len(outbox.claim(connection, NOW, LEASE_S)) == 1
    slate = Slate()
    assert dispatch(database, slate, NOW + timedelta(seconds=LEASE_S - 1)) == 0
    assert dispatch(database, slate, NOW + timedelta(seconds=LEASE_S)) == 1


def test_a_lone_sender_may_end_leases_and_waits_of_its_transport(database: Database) -> None:
    put(database, "leased")
    put(database, "for later", at=NOW + timedelta(hours=1))
    put(database, "theirs", "77", "elsewhere")
    with database.write() as connection:
        assert len(outbox.claim(connection, NOW, LEASE_S)) == 2
        outbox.release(connection, "terminal")
    slate = Slate()
    assert dispatch(database, slate, NOW) == 1
    assert slate.texts == ["leased"]
