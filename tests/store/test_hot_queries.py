"""What runs for every note finds its rows by an index: no statement scans a table that grows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from bot.care.events import CareEvent, Ref
from bot.messages import Incoming, Outgoing
from bot.store import carelog, checkpoints, inbox, notes, outbox, photos, sheets
from bot.store.database import Connection, Database, open_database
from bot.store.people import (
    Chat,
    CollectionSettings,
    chat_of,
    find_chat,
    is_private,
    memberships,
    owner_chats,
    role_of,
    save_talk,
    settings_of,
)
from bot.store.projections import (
    DueRecord,
    ProjectionState,
    load_due,
    load_kind,
    load_standing,
    load_state,
    redate_due,
    save_due,
    save_standing,
    save_state,
    wipe_projections,
)

DAY = date(2026, 4, 15)
NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
# EXPLAIN QUERY PLAN writes SCAN for a walk over a whole table or index, SEARCH for a look-up (SQLite documentation,
# "The Query Planner"). These walk over what a CTE found, or over a partial index, which holds open rows only.
HARMLESS = re.compile(r"SCAN (heads|oldest|\S+ USING (COVERING )?INDEX ix_(inbox_open\w*|outbox_waiting\w*))\b")


@contextmanager
def statements(database: Database) -> Iterator[list[tuple[str, Any]]]:
    """Collect the statements that are run, with their parameters."""
    seen: list[tuple[str, Any]] = []

    def keep(_conn: Any, _cursor: Any, statement: str, parameters: Any, _context: Any, many: bool) -> None:
        seen.append((statement, parameters[0] if many else parameters))

    sa.event.listen(database._engine, "before_cursor_execute", keep)
    yield seen
    sa.event.remove(database._engine, "before_cursor_execute", keep)


def take_one(conn: Connection, number: int) -> int:
    taken = inbox.take(conn, Incoming("terminal", "local", "test", str(number), "soaked four", NOW, message_key=str(number)), NOW)
    assert taken is not None
    return taken


def write_one(conn: Connection, chat: Chat, box: int, number: int) -> None:
    """Everything that one note writes."""
    note = notes.keep_note(conn, box, chat.collection_id, chat.person_id, chat.id, "soaked four", NOW, {}, "log_ask", "which")
    events = [CareEvent(f"event {number}", note, DAY, NOW, "event", "watered", (Ref("plant", str(number)),))]
    events = carelog.append(conn, chat.collection_id, events)
    save_standing(conn, chat.collection_id, {("plant", str(number)): {}}, [("plant", "gone")])
    save_due(conn, chat.collection_id, [DueRecord(f"look {number}", "look", DAY, None, "bench 2", {}, 1, DAY)], ["gone"])
    save_state(conn, chat.collection_id, ProjectionState(events[-1].sequence, 1))
    save_talk(conn, chat.id, {})
    notes.set_question_state(conn, note, "answered")
    outbox.put(conn, f"reply:{number}", chat.id, Outgoing("written"), "reply", NOW, note_id=note)
    inbox.mark_done(conn, box, NOW)


def use_everything(database: Database, chat: Chat) -> None:
    """Run once whatever runs for a note, a button, a morning or a sending."""
    mine = chat.collection_id
    with database.write() as conn:
        take_one(conn, 1000)
        chat_of(conn, "terminal", "local", "", CollectionSettings())
    with database.read() as conn:
        inbox.next_open(conn)
        inbox.open_rows(conn)
        inbox.open_rows(conn, "local", transport="terminal")
        find_chat(conn, "terminal", "local")
        role_of(conn, mine, chat.person_id)
        settings_of(conn, mine)
        notes.open_question(conn, chat.id)
        notes.last_note(conn, chat.id)
        notes.note_by_id(conn, 5)
        notes.note_by_message(conn, chat.id, "3")
        notes.note_events(conn, 5)
        notes.notes_between(conn, mine, NOW, NOW)
        carelog.load(conn, mine, after=10)
        carelog.load_tail(conn, mine, 10, DAY, ["event 3"])
        checkpoints.load(conn, mine, "weeks", 1)
        carelog.load_identities(conn, mine, ["event 3"])
        carelog.load_kinds(conn, mine, ["climate"], 10)
        carelog.load_naming(conn, mine, [("plant", "3"), ("place", "bench 2")], 2)
        carelog.first_after(conn, mine, DAY, 10)
        carelog.any_before(conn, mine, DAY, 10, 20)
        checkpoints.day_of(conn, mine, "weeks", 1)
        carelog.by_ref(conn, mine, "plant", "3")
        carelog.by_ref(conn, mine, "plant", "3", alone=True)
        notes.typed(conn, [1, 2, 3])
        load_standing(conn, mine)
        load_due(conn, mine, DAY)
        load_due(conn, mine)
        load_state(conn, mine)
        owner_chats(conn, mine)
        outbox.has_key(conn, "morning:1:2026-04-15")
        outbox.by_id(conn, 5)
        outbox.listed_in(conn, chat.id, "5")
        memberships(conn, chat.person_id)
        is_private(conn, chat)
        load_kind(conn, mine, "readings")
        load_kind(conn, mine, "readings", "|2026")
        load_due(conn, mine, kind="reminder")
        photos.newest(conn, chat.id, mine, besides=1000)
        photos.of_message(conn, 5)
        photos.of_album(conn, chat.id, "7")
        photos.by_message(conn, chat.id, "3")
        photos.waiting(conn, NOW)
        sheets.waiting(conn, NOW)
        sheets.by_id(conn, 3)
        outbox.next_send_at(conn)
        outbox.next_send_at(conn, transport="terminal")
    with database.write() as conn:
        row = inbox.claim(conn, NOW, 30, "worker")
        assert row is not None
        write_one(conn, chat, row.id, 1000)
        inbox.mark_poison(conn, row.id, "no")
        outbox.claim(conn, NOW, 30, transport="terminal")
        outbox.mark_failed(conn, 5, "no", NOW)
        outbox.mark_sent(conn, 5, "5", NOW)
        outbox.bring_back(conn, "terminal", NOW)
        photos.add(conn, chat.id, mine, row.id, "file", "7", DAY, NOW)
        sheets.add(conn, chat.id, mine, row.id, "file", "list.csv", {}, NOW)
        sheets.close(conn, 1)
        photos.file(conn, [1], (Ref("plant", "3"),), None, "event 3")
        photos.mark_kept(conn, 1, "2026/one.jpg")
        checkpoints.save(conn, mine, "weeks", checkpoints.Checkpoint(DAY, 10, 1, (), {("plant", "3"): {}}))
        checkpoints.bring_up(conn, mine, "weeks", checkpoints.Checkpoint(DAY, 10, 1, (), {}), {("plant", "3"): {}}, 12)
        checkpoints.forget(conn, mine)
        redate_due(conn, mine, DAY)
        wipe_projections(conn, mine)


@pytest.fixture
def used(file_database: Database) -> Chat:
    """A collection with some hundred notes."""
    with file_database.write() as conn:
        chat = chat_of(conn, "terminal", "local", "", CollectionSettings())
        for number in range(200):
            write_one(conn, chat, take_one(conn, number), number)
    return chat


def test_no_hot_query_scans_a_table(file_database: Database, used: Chat) -> None:
    with statements(file_database) as seen:
        use_everything(file_database, used)
    explained = 0
    with file_database.read() as conn:
        for statement, parameters in dict(seen).items():
            if statement.startswith(("SELECT", "UPDATE", "DELETE", "INSERT", "WITH")):
                plan = [row[3] for row in conn.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)]
                scans = [step for step in plan if "SCAN" in step and "CONSTANT ROW" not in step and not HARMLESS.search(step)]
                assert scans == [], statement
                explained += 1
    assert explained > 45


def test_the_check_sees_a_scan(tmp_path: Path) -> None:
    database = open_database(tmp_path / "other.db")
    with database.read() as conn:
        plan = [row[3] for row in conn.exec_driver_sql("EXPLAIN QUERY PLAN SELECT id FROM notes WHERE text = 'x'")]
    database.close()
    assert any(step.startswith("SCAN notes") and not HARMLESS.search(step) for step in plan)
