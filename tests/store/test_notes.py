"""The journal, and the one question that may be open in a chat."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy.exc import IntegrityError

from bot.care.events import CareEvent, Ref
from bot.messages import Incoming, Outgoing
from bot.store import carelog, inbox, notes, outbox
from bot.store.database import Connection, Database
from bot.store.people import Chat, CollectionSettings, chat_of

READING = {
    "decision": "log_ask",
    "ask": "which",
    "entries": [{"type": "event", "act": "watered", "which": {"count": 4}}, {"type": "finding", "sign": "pest", "low": None}],
}


def keep(conn: Connection, chat: Chat, text: str, sent_at: datetime, ask: str | None = None, **more: object) -> int:
    decision = "log" if ask is None else "log_ask"
    return notes.keep_note(
        conn,
        None,
        chat.collection_id,
        chat.person_id,
        chat.id,
        text,
        sent_at,
        READING,
        decision,
        ask,
        choices=more.get("choices", ()),
    )


def test_a_note_comes_back_as_it_was_kept(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        box = inbox.take(conn, Incoming("terminal", "local", "test", "1", "soaked four", now), now)
        number = notes.keep_note(
            conn,
            box,
            chat.collection_id,
            chat.person_id,
            chat.id,
            "soaked four",
            now,
            READING,
            "log_ask",
            "which",
            choices=["12", "14"],
        )
    with database.read() as conn:
        kept = notes.note_by_id(conn, number)
        assert kept == notes.Note(
            number,
            box,
            chat.collection_id,
            chat.person_id,
            chat.id,
            "soaked four",
            now,
            READING,
            "log_ask",
            "which",
            ["12", "14"],
            "open",
        )
        assert notes.last_note(conn, chat.id) == kept
        assert notes.note_by_id(conn, number + 1) is None


def test_a_message_becomes_one_note_only(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        box = inbox.take(conn, Incoming("terminal", "local", "test", "1", "fed 3", now), now)
    given = (box, chat.collection_id, chat.person_id, chat.id, "fed 3", now, READING, "log")
    with database.write() as conn:
        notes.keep_note(conn, *given)
    with pytest.raises(IntegrityError), database.write() as conn:
        notes.keep_note(conn, *given)


def test_a_question_is_open_until_something_becomes_of_it(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        assert notes.open_question(conn, chat.id) is None
        number = keep(conn, chat, "soaked four", now, "which", choices=["12", "14"])
        assert notes.open_question(conn, chat.id) == notes.OpenQuestion(number, "soaked four", "which", now, ["12", "14"])
        notes.set_question_state(conn, number, "answered")
        assert notes.open_question(conn, chat.id) is None


def test_a_note_without_a_question_leaves_the_open_one(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        asked = keep(conn, chat, "soaked four", now, "which")
        keep(conn, chat, "-3 last night", now)
        question = notes.open_question(conn, chat.id)
    assert question is not None
    assert question.note_id == asked


def test_a_newer_question_overtakes_the_open_one(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        first = keep(conn, chat, "soaked four", now, "which")
        second = keep(conn, chat, "potted some", now, "count")
        question = notes.open_question(conn, chat.id)
        assert question is not None
        assert question.note_id == second
        overtaken = notes.note_by_id(conn, first)
        assert overtaken is not None
        assert overtaken.question_state == "overtaken"
        notes.set_question_state(conn, second, "answered")
        assert notes.open_question(conn, chat.id) is None


def test_a_question_belongs_to_its_chat(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        other = chat_of(conn, "terminal", "second", "", CollectionSettings())
        keep(conn, chat, "soaked four", now, "which")
        assert notes.open_question(conn, other.id) is None
        keep(conn, other, "potted some", now, "count")
        question = notes.open_question(conn, chat.id)
        assert question is not None
        assert question.ask == "which"


def test_the_journal_between_two_moments(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        stranger = chat_of(conn, "terminal", "second", "", CollectionSettings())
        keep(conn, stranger, "not mine", now)
        third = keep(conn, chat, "day 3", now + timedelta(days=2))
        first, second = keep(conn, chat, "day 1", now), keep(conn, chat, "day 2", now + timedelta(days=1))
        whole = notes.notes_between(conn, chat.collection_id, now, now + timedelta(days=3))
        assert [one.id for one in whole] == [first, second, third]
        part = notes.notes_between(conn, chat.collection_id, now + timedelta(microseconds=1), now + timedelta(days=2))
        assert [one.id for one in part] == [second]  # the start is in, the end is not
        last = notes.last_note(conn, chat.id)
        assert last is not None
        assert last.id == second


def test_when_the_first_note_was_sent(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        assert notes.first_note_at(conn, chat.collection_id) is None
        keep(conn, chat, "day 2", now + timedelta(days=1))
        keep(conn, chat, "day 1, sent late", now)
        assert notes.first_note_at(conn, chat.collection_id) == now


def test_the_events_of_a_note(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        one, two = keep(conn, chat, "watered 3, fed 4", now), keep(conn, chat, "moved 5", now)
        for note, what in ((one, "watered"), (two, "moved"), (one, "fed")):
            event = CareEvent(f"{note}-{what}", note, date(2026, 4, 15), now, "event", what, (Ref("plant", "3"),))
            carelog.append(conn, chat.collection_id, [event])
        assert [event.what for event in notes.note_events(conn, one)] == ["watered", "fed"]


def test_the_note_that_a_message_or_its_answer_belongs_to(database: Database, chat: Chat, now: datetime) -> None:
    came = Incoming("terminal", "local", "test", "1", "soaked four", now, message_key="17")
    with database.write() as conn:
        box = inbox.take(conn, came, now)
        note = notes.keep_note(conn, box, chat.collection_id, chat.person_id, chat.id, "soaked four", now, READING, "log")
        outbox.put(conn, "reply", chat.id, Outgoing("written"), "reply", now, note_id=note)
        [row] = outbox.claim(conn, now, 30)
        outbox.mark_sent(conn, row.id, "18", now)
        found = [notes.note_by_message(conn, chat.id, key) for key in ("17", "18", "19")]
        assert [one and one.id for one in found] == [note, note, None]
        other = chat_of(conn, "terminal", "second", "", CollectionSettings())
        assert [notes.note_by_message(conn, other.id, key) for key in ("17", "18")] == [None, None]


def test_what_was_typed_comes_oldest_first_without_its_reading(database: Database, chat: Chat, now: datetime) -> None:
    with database.write() as conn:
        two = keep(conn, chat, "two", now)
        one = keep(conn, chat, "one", now - timedelta(days=1))
        other = keep(conn, chat, "same moment", now)
        assert notes.typed(conn, [two, one, other]) == [
            (now - timedelta(days=1), "one"),
            (now, "two"),
            (now, "same moment"),
        ]
        assert notes.typed(conn, []) == []


def test_a_message_is_looked_up_in_as_many_steps_however_many_notes_there_are(file_database: Database, now: datetime) -> None:
    steps: list[int] = []
    with file_database.write() as conn:
        chat = chat_of(conn, "terminal", "local", "", CollectionSettings())
    for more in (20, 400):
        with file_database.write() as conn:
            for number in range(more):
                came = Incoming("terminal", "local", "test", f"{more}:{number}", "soaked", now, message_key=f"{more}:{number}")
                box = inbox.take(conn, came, now)
                notes.keep_note(conn, box, chat.collection_id, chat.person_id, chat.id, "soaked", now, READING, "log")
            steps.append(0)

            def count() -> int:
                steps[-1] += 1
                return 0

            driver = conn.connection.driver_connection
            assert driver is not None
            driver.set_progress_handler(count, 1)
            assert notes.note_by_message(conn, chat.id, "no such message") is None
            driver.set_progress_handler(None, 0)
    assert 0 < steps[1] < 2 * steps[0]
