"""A whole collection as rows of plain values, read from the store and written into it: settings, people, notes, events, photos.

What belongs to one installation stays behind: accounts, chats, messages in and out, the secrets of links.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, date, datetime, time
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.care.events import CareEvent, refs_from_json, refs_to_json
from bot.store import carelog
from bot.store.people import UNSPOKEN
from bot.store.tables import accounts, care_log, chats, collections, inbox, members, notes, people, photos

SOURCE = UNSPOKEN[0]  # the transport of the chat in which imported notes lie, and the source of imported photos
Row = dict[str, Any]


def collection_row(conn: Connection, collection_id: int) -> Row:
    """Return what stands for the collection itself."""
    found = conn.execute(sa.select(collections).where(collections.c.id == collection_id)).one()
    return {"id": found.public_id, "settings": found.settings}


def people_rows(conn: Connection, collection_id: int) -> Iterator[Row]:
    """Yield those who belong to the collection or wrote in its log, in the order in which they came."""
    roles = dict(
        conn.execute(sa.select(members.c.person_id, members.c.role).where(members.c.collection_id == collection_id)).all()
    )
    wrote = set(conn.scalars(sa.select(notes.c.person_id).where(notes.c.collection_id == collection_id).distinct()))
    wrote |= set(conn.scalars(sa.select(care_log.c.person_id).where(care_log.c.collection_id == collection_id).distinct())) - {
        None
    }
    query = sa.select(people).where(people.c.id.in_(set(roles) | wrote)).order_by(people.c.id)
    for row in conn.execute(query):
        yield {"id": row.public_id, "role": roles.get(row.id, "")}


def _public_ids(conn: Connection) -> dict[int, str]:
    return dict(conn.execute(sa.select(people.c.id, people.c.public_id)).all())


def _numbers(conn: Connection, collection_id: int) -> dict[int, int]:
    """Return the number of each note in the parcel: from 1, in the order written."""
    ids = conn.scalars(sa.select(notes.c.id).where(notes.c.collection_id == collection_id).order_by(notes.c.id))
    return {note_id: number for number, note_id in enumerate(ids, 1)}


def note_rows(conn: Connection, collection_id: int) -> Iterator[Row]:
    """Yield the notes, oldest first."""
    who, numbers = _public_ids(conn), _numbers(conn, collection_id)
    query = sa.select(notes).where(notes.c.collection_id == collection_id).order_by(notes.c.id)
    for row in conn.execute(query, execution_options={"yield_per": 500}):
        yield {
            "number": numbers[row.id],
            "person": who[row.person_id],
            "sent_at": row.sent_at.astimezone(UTC).isoformat(),
            "text": row.text,
            "reading": row.reading,
            "decision": row.decision,
            "ask": row.ask,
            "choices": row.choices,
            "question_state": row.question_state,
        }


def event_rows(conn: Connection, collection_id: int) -> Iterator[Row]:
    """Yield the events of the care log in the order of the log."""
    who, numbers = _public_ids(conn), _numbers(conn, collection_id)
    for one in carelog.load(conn, collection_id):
        yield {
            "sequence": one.sequence,
            "identity": one.identity,
            "note": numbers.get(one.note, 0),
            "person": who.get(one.person, ""),
            "happened_on": one.happened_on.isoformat(),
            "happened_at": one.happened_at.isoformat() if one.happened_at else None,
            "recorded_at": one.recorded_at.astimezone(UTC).isoformat(),
            "kind": one.kind,
            "what": one.what,
            "refs": refs_to_json(one.refs),
            "facts": dict(one.facts),
        }


def photo_rows(conn: Connection, collection_id: int) -> Iterator[Row]:
    """Yield the photos that are kept, oldest first."""
    numbers = _numbers(conn, collection_id)
    kept = sa.and_(photos.c.collection_id == collection_id, photos.c.state == "kept")
    for row in conn.execute(sa.select(photos).where(kept).order_by(photos.c.id)):
        yield {
            "id": row.public_id,
            "note": numbers.get(row.note_id, 0),
            "event": row.event,
            "taken_on": row.taken_on.isoformat(),
            "refs": row.refs,
            "album": row.album,
            "file": row.name,
        }


def is_here(conn: Connection, public_id: str) -> bool:
    """Whether a collection lies in this database already."""
    return conn.execute(sa.select(collections.c.id).where(collections.c.public_id == public_id)).first() is not None


def add_collection(conn: Connection, row: Mapping[str, Any]) -> int:
    """Add the collection of a parcel; return its id."""
    values = {"public_id": str(row["id"]), "settings": dict(row["settings"])}
    return int(conn.execute(sa.insert(collections).values(values).returning(collections.c.id)).scalar_one())


def add_people(
    conn: Connection, collection_id: int, rows: Iterable[Mapping[str, Any]], account: tuple[str, str] | None
) -> dict[str, int]:
    """Add the people of a parcel and what each may do; the first owner gets `account`, where that is nobody's yet."""
    ids: dict[str, int] = {}
    owner = 0
    for row in rows:
        public_id = str(row["id"])
        found = conn.execute(sa.select(people.c.id).where(people.c.public_id == public_id)).scalar_one_or_none()
        if found is None:
            found = conn.execute(sa.insert(people).values(public_id=public_id).returning(people.c.id)).scalar_one()
        ids[public_id] = int(found)
        if row["role"]:
            conn.execute(sa.insert(members).values(collection_id=collection_id, person_id=found, role=str(row["role"])))
        owner = owner or (int(found) if row["role"] == "owner" else 0)
    if account is not None and owner:
        mine = sa.and_(accounts.c.transport == account[0], accounts.c.sender == account[1])
        if conn.execute(sa.select(accounts.c.person_id).where(mine)).first() is None:
            conn.execute(sa.insert(accounts).values(transport=account[0], sender=account[1], person_id=owner))
            talk = {
                "transport": account[0],
                "address": account[1],
                "person_id": owner,
                "collection_id": collection_id,
                "talk": {},
            }
            conn.execute(sa.insert(chats).values(talk))
    return ids


def add_chat(conn: Connection, collection_id: int, public_id: str, ids: Mapping[str, int]) -> int:
    """Add the chat in which the imported notes lie, one that nobody speaks in; return its id."""
    row = {
        "transport": SOURCE,
        "address": public_id,
        "person_id": next(iter(ids.values())),
        "collection_id": collection_id,
        "talk": {},
    }
    return int(conn.execute(sa.insert(chats).values(row).returning(chats.c.id)).scalar_one())


def add_note(conn: Connection, collection_id: int, chat_id: int, row: Mapping[str, Any], ids: Mapping[str, int]) -> int:
    """Add a note; return its id."""
    values = {
        "collection_id": collection_id,
        "chat_id": chat_id,
        "person_id": ids[row["person"]],
        "text": str(row["text"]),
        "sent_at": datetime.fromisoformat(row["sent_at"]),
        "reading": dict(row["reading"]),
        "decision": str(row["decision"]),
        "ask": row["ask"],
        "choices": row["choices"],
        "question_state": str(row["question_state"]),
    }
    return int(conn.execute(sa.insert(notes).values(values).returning(notes.c.id)).scalar_one())


def event_of(row: Mapping[str, Any], note_ids: Mapping[int, int], ids: Mapping[str, int]) -> CareEvent:
    """Return the event of a row. Raises ValueError, KeyError or TypeError where it is none."""
    at = row["happened_at"]
    if not all(isinstance(row[name], str) for name in ("identity", "kind", "what")) or not isinstance(row["facts"], dict):
        raise TypeError("an event needs an identity, a kind and facts")
    return CareEvent(
        identity=row["identity"],
        note=note_ids[row["note"]] if row["note"] else 0,
        happened_on=date.fromisoformat(row["happened_on"]),
        recorded_at=datetime.fromisoformat(row["recorded_at"]),
        kind=row["kind"],
        what=row["what"],
        refs=refs_from_json(row["refs"]),
        facts=row["facts"],
        happened_at=time.fromisoformat(at) if at else None,
        person=ids[row["person"]] if row["person"] else 0,
    )


def add_photo(
    conn: Connection, collection_id: int, chat_id: int, row: Mapping[str, Any], note_ids: Mapping[int, int], now: datetime
) -> None:
    """Add what is known of a photo whose file lies in the folder of photos."""
    message = {
        "source": SOURCE, "update_key": str(row["id"]), "transport": SOURCE, "address": "", "sender": "", "text": "",
        "sent_at": now, "message_key": "", "reply_to": "", "raw": "", "got_at": now, "state": "done", "done_at": now,
        "attempts": 0,
    }  # fmt: skip
    inbox_id = conn.execute(sa.insert(inbox).values(message).returning(inbox.c.id)).scalar_one()
    values = {
        "public_id": str(row["id"]), "collection_id": collection_id, "chat_id": chat_id, "inbox_id": inbox_id,
        "note_id": note_ids[row["note"]] if row["note"] else None, "event": row["event"], "file_key": "",
        "album": str(row["album"]), "taken_on": date.fromisoformat(row["taken_on"]), "refs": row["refs"], "state": "kept",
        "ready_at": now, "attempts": 0, "name": str(row["file"]),
    }  # fmt: skip
    conn.execute(sa.insert(photos).values(values))
