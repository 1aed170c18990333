"""Forgets a person: the one deliberate way past the triggers that keep the care log as it is.

A collection whose only owner goes is deleted wholly, its log too. In the collections of others the events stay, since they
tell of plants that are still there; what says who wrote them, and in what words, goes.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.tables import (
    accounts,
    care_log,
    care_log_refs,
    chats,
    collections,
    inbox,
    members,
    metadata,
    notes,
    outbox,
    photos,
)

_AT_ONCE = 500
GUARDED = (care_log.name, care_log_refs.name)


@dataclass(frozen=True, slots=True)
class Held:
    """What is held about a person: notes written, events of collections owned alone, and the names the messengers know."""

    accounts: tuple[tuple[str, str], ...]
    roles: tuple[tuple[int, str], ...]
    own: tuple[int, ...]
    notes: tuple[tuple[Any, str], ...]
    photos: tuple[str, ...]


def held_about(conn: Connection, person_id: int) -> Held:
    """Return what is held about a person; `own` are the collections that have no other owner."""
    known = conn.execute(sa.select(accounts.c.transport, accounts.c.sender).where(accounts.c.person_id == person_id))
    roles = conn.execute(sa.select(members.c.collection_id, members.c.role).where(members.c.person_id == person_id))
    owned = [(collection, role) for collection, role in roles]
    own = [one for one, role in owned if role == "owner" and not _other_owner(conn, one, person_id)]
    mine = sa.select(notes.c.sent_at, notes.c.text).where(notes.c.person_id == person_id).order_by(notes.c.id)
    pictures = sa.select(photos.c.name).where(photos.c.collection_id.in_(own), photos.c.name != "")
    return Held(
        tuple((transport, sender) for transport, sender in known),
        tuple(owned),
        tuple(own),
        tuple((sent_at, text) for sent_at, text in conn.execute(mine)),
        tuple(conn.scalars(pictures)),
    )


def forget_person(conn: Connection, person_id: int) -> Held:
    """Remove what is held about a person and return what that was. Needs a writing connection; all or nothing."""
    held = held_about(conn, person_id)
    for collection_id in held.own:
        _delete_collection(conn, collection_id)
    _blank(conn, person_id, held.accounts)
    conn.execute(sa.delete(members).where(members.c.person_id == person_id))
    conn.execute(sa.delete(accounts).where(accounts.c.person_id == person_id))
    return held


def _other_owner(conn: Connection, collection_id: int, person_id: int) -> bool:
    others = sa.select(members.c.person_id).where(
        members.c.collection_id == collection_id, members.c.role == "owner", members.c.person_id != person_id
    )
    return conn.execute(others).first() is not None


def _delete_collection(conn: Connection, collection_id: int) -> None:
    """Delete everything that belongs to a collection, the chats that are about it alone among it."""
    gone_notes = list(conn.scalars(sa.select(notes.c.id).where(notes.c.collection_id == collection_id)))
    gone_inbox = list(conn.scalars(sa.select(notes.c.inbox_id).where(notes.c.collection_id == collection_id)))
    gone_chats = _chats_to_delete(conn, collection_id)
    addresses = [_addresses(conn, one) for one in gone_chats]
    for table in reversed(metadata.sorted_tables):  # those that refer to others first
        with _unguarded(conn, table):
            if "note_id" in table.c and table is not care_log:
                _delete(conn, table, table.c.note_id, gone_notes)
            if "chat_id" in table.c:
                _delete(conn, table, table.c.chat_id, gone_chats)
            if table is inbox:
                _delete(conn, inbox, inbox.c.id, [one for one in gone_inbox if one is not None])
                for address in addresses:
                    conn.execute(sa.delete(inbox).where(inbox.c.transport == address[0], inbox.c.address == address[1]))
            elif table is chats:
                _delete(conn, chats, chats.c.id, gone_chats)
            elif table is collections:
                conn.execute(sa.delete(collections).where(collections.c.id == collection_id))
            elif "collection_id" in table.c:
                conn.execute(sa.delete(table).where(table.c.collection_id == collection_id))


def _chats_to_delete(conn: Connection, collection_id: int) -> list[int]:
    """The chats about a collection; one that holds notes about another is turned to that one and stays."""
    gone = []
    for chat_id in list(conn.scalars(sa.select(chats.c.id).where(chats.c.collection_id == collection_id))):
        others = sa.select(notes.c.collection_id).where(notes.c.chat_id == chat_id, notes.c.collection_id != collection_id)
        other = conn.execute(others.order_by(notes.c.id.desc()).limit(1)).scalar_one_or_none()
        if other is None:
            gone.append(chat_id)
        else:
            conn.execute(sa.update(chats).where(chats.c.id == chat_id).values(collection_id=other, talk={}))
    return gone


def _addresses(conn: Connection, chat_id: int) -> tuple[str, str]:
    transport, address = conn.execute(sa.select(chats.c.transport, chats.c.address).where(chats.c.id == chat_id)).one()
    return transport, address


def _blank(conn: Connection, person_id: int, known: Iterable[tuple[str, str]]) -> None:
    """Empty the words and the names of a person in what stays."""
    conn.execute(
        sa.update(notes).where(notes.c.person_id == person_id).values(text="", reading={}, choices={}, question_state="")
    )
    for transport, sender in known:
        theirs = sa.and_(inbox.c.transport == transport, sa.or_(inbox.c.sender == sender, inbox.c.address == sender))
        keyless = {"text": "", "raw": "", "sender": "", "address": "", "message_key": "", "reply_to": ""}
        conn.execute(sa.update(inbox).where(theirs, inbox.c.state == "done").values(keyless))
        conn.execute(sa.delete(inbox).where(theirs, inbox.c.state != "done"))
    for chat_id in list(conn.scalars(sa.select(chats.c.id).where(chats.c.person_id == person_id))):
        gone = {"address": f"forgotten:{secrets.token_urlsafe(12)}", "talk": {}}
        conn.execute(sa.update(chats).where(chats.c.id == chat_id).values(gone))
        conn.execute(sa.update(outbox).where(outbox.c.chat_id == chat_id).values(text="", buttons=[], sent_key=None, files=None))
        waiting = sa.and_(outbox.c.chat_id == chat_id, outbox.c.state == "waiting")
        conn.execute(sa.update(outbox).where(waiting).values(state="failed", error="forgotten"))


def _delete(conn: Connection, table: sa.Table, column: sa.Column[Any], values: Sequence[int]) -> None:
    for start in range(0, len(values), _AT_ONCE):
        conn.execute(sa.delete(table).where(column.in_(values[start : start + _AT_ONCE])))


@contextmanager
def _unguarded(conn: Connection, table: sa.Table) -> Iterator[None]:
    """Lift the triggers of a table of the log for the length of a deletion, within the transaction that does it."""
    if table.name not in GUARDED:
        yield
    elif conn.dialect.name == "postgresql":
        conn.execute(sa.text(f"ALTER TABLE {table.name} DISABLE TRIGGER USER"))
        yield
        conn.execute(sa.text(f"ALTER TABLE {table.name} ENABLE TRIGGER USER"))
    else:
        asked = sa.text("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = :table")
        triggers = conn.execute(asked, {"table": table.name}).all()
        for name, _ in triggers:
            conn.execute(sa.text(f'DROP TRIGGER "{name}"'))
        yield
        for _, made in triggers:
            conn.exec_driver_sql(made)
