"""The journal: every note with what was read in it, and the one question that may be open in a chat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.care.events import CareEvent
from bot.store import carelog
from bot.store.tables import OPEN, chats, inbox, notes, outbox


@dataclass(frozen=True, slots=True)
class Note:
    """A note as it was kept. `reading` is the JSON form of what was read; `question_state` is empty where nothing was asked."""

    id: int
    inbox_id: int | None
    collection_id: int
    person_id: int
    chat_id: int
    text: str
    sent_at: datetime
    reading: Mapping[str, Any]
    decision: str
    ask: str | None
    choices: Any
    question_state: str


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """The question that waits for an answer in a chat: the note it was about, what was asked, and the choices given."""

    note_id: int
    text: str
    ask: str
    sent_at: datetime
    choices: Any


def keep_note(
    conn: Connection,
    inbox_id: int | None,
    collection_id: int,
    person_id: int,
    chat_id: int,
    text: str,
    sent_at: datetime,
    reading_json: Mapping[str, Any],
    decision: str,
    ask: str | None = None,
    *,
    choices: Any = (),
) -> int:
    """Keep a note and return its id. With `ask` it opens the chat's question; one that was open before is overtaken.

    `choices` is any JSON value. Raises IntegrityError where the inbox row has its note already.
    """
    if ask is not None:
        overtaken = sa.update(notes).where(notes.c.chat_id == chat_id, notes.c.question_state == OPEN)
        conn.execute(overtaken.values(question_state="overtaken"))
    row = {
        "inbox_id": inbox_id,
        "collection_id": collection_id,
        "person_id": person_id,
        "chat_id": chat_id,
        "text": text,
        "sent_at": sent_at,
        "reading": reading_json,
        "decision": decision,
        "ask": ask,
        "choices": choices,
        "question_state": "" if ask is None else "open",
    }
    note_id: int = conn.execute(sa.insert(notes).values(row).returning(notes.c.id)).scalar_one()
    return note_id


def open_question(conn: Connection, chat_id: int, collection_id: int | None = None) -> OpenQuestion | None:
    """Return the question that is open in a chat, or None; of one collection, None where it is about another one."""
    row = conn.execute(sa.select(notes).where(notes.c.chat_id == chat_id, notes.c.question_state == OPEN)).first()
    if row is None or collection_id not in (None, row.collection_id):
        return None
    return OpenQuestion(row.id, row.text, row.ask, row.sent_at, row.choices)


def set_question_state(conn: Connection, note_id: int, state: str) -> None:
    """Say what became of a note's question: `answered`, or any other word for its end; `open` opens it again."""
    conn.execute(sa.update(notes).where(notes.c.id == note_id).values(question_state=state))


def set_reading(conn: Connection, note_id: int, reading_json: Mapping[str, Any], decision: str) -> None:
    """Keep what a note says where it was read anew; its words stay as they are."""
    conn.execute(sa.update(notes).where(notes.c.id == note_id).values(reading=reading_json, decision=decision))


def note_by_id(conn: Connection, note_id: int) -> Note | None:
    """Return a note, or None where there is no such note."""
    return _first(conn, sa.select(notes).where(notes.c.id == note_id))


def last_note(conn: Connection, chat_id: int) -> Note | None:
    """Return the newest note of a chat, or None."""
    return _first(conn, sa.select(notes).where(notes.c.chat_id == chat_id).order_by(notes.c.id.desc()).limit(1))


def by_ids(conn: Connection, ids: Sequence[int]) -> list[Note]:
    """Return some notes, oldest first."""
    found: list[Note] = []
    for begin in range(0, len(ids), 500):  # a statement takes so many values on any database
        some = sa.select(notes).where(notes.c.id.in_(ids[begin : begin + 500]))
        found += [_note(row) for row in conn.execute(some)]
    return sorted(found, key=lambda one: (one.sent_at, one.id))


def typed(conn: Connection, ids: Sequence[int]) -> list[tuple[datetime, str]]:
    """Return when some notes were sent and what was typed, oldest first, without what was read of them."""
    found: list[sa.Row[Any]] = []
    for begin in range(0, len(ids), 500):
        some = sa.select(notes.c.sent_at, notes.c.id, notes.c.text).where(notes.c.id.in_(ids[begin : begin + 500]))
        found += conn.execute(some)
    return [(one.sent_at, one.text) for one in sorted(found, key=lambda one: (one.sent_at, one.id))]


def note_by_message(conn: Connection, chat_id: int, message_key: str) -> Note | None:
    """Return the note that a message of the chat was, or that it was the answer to; None where it was neither."""
    # The message first, by its key, then its note: asked in one, the plan walks over every note of the chat.
    ours = sa.and_(chats.c.transport == inbox.c.transport, chats.c.address == inbox.c.address)
    typed = sa.select(inbox.c.id).join(chats, ours).where(chats.c.id == chat_id, inbox.c.message_key == message_key)
    of_message = sa.select(notes).where(notes.c.inbox_id.in_(list(conn.execute(typed).scalars())))
    mine = (_note(row) for row in conn.execute(of_message) if row.chat_id == chat_id)
    found = max(mine, key=lambda one: one.id, default=None)
    if found is not None:
        return found
    answered = sa.select(notes).join(outbox, outbox.c.note_id == notes.c.id)
    return _first(conn, answered.where(outbox.c.chat_id == chat_id, outbox.c.sent_key == message_key).limit(1))


def notes_between(conn: Connection, collection_id: int, start: datetime, end: datetime) -> list[Note]:
    """Return the notes of a collection sent from `start` up to but not at `end` (aware moments), oldest first."""
    query = sa.select(notes).where(notes.c.collection_id == collection_id, notes.c.sent_at >= start, notes.c.sent_at < end)
    return [_note(row) for row in conn.execute(query.order_by(notes.c.sent_at, notes.c.id))]


def first_note_at(conn: Connection, collection_id: int) -> datetime | None:
    """Return when the first note of a collection was sent, or None where there is none yet."""
    query = sa.select(notes.c.sent_at).where(notes.c.collection_id == collection_id).order_by(notes.c.sent_at).limit(1)
    first: datetime | None = conn.execute(query).scalar_one_or_none()
    return first


def note_events(conn: Connection, note_id: int) -> Sequence[CareEvent]:
    """Return the care events that a note wrote, in order of sequence."""
    return carelog.by_note(conn, note_id)


def _first(conn: Connection, query: sa.Select[Any]) -> Note | None:
    row = conn.execute(query).first()
    return None if row is None else _note(row)


def _note(row: sa.Row[Any]) -> Note:
    return Note(*(getattr(row, name) for name in Note.__slots__))
