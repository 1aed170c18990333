"""Pictures that came with messages: where each is kept, and which plants, note and event it belongs to."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.care.events import Ref, refs_from_json, refs_to_json
from bot.store.inserting import insert_new
from bot.store.tables import chats, inbox, outbox, photos


@dataclass(frozen=True, slots=True)
class Photo:
    """One picture. `name` is its path within the folder of photos, empty until it is kept; `file_key` the messenger's name."""

    id: int
    public_id: str
    collection_id: int
    chat_id: int
    inbox_id: int
    note_id: int | None
    event: str | None
    file_key: str
    album: str
    taken_on: date
    refs: tuple[Ref, ...]
    state: str
    attempts: int
    name: str


def add(
    conn: Connection,
    chat_id: int,
    collection_id: int,
    inbox_id: int,
    file_key: str,
    album: str,
    taken_on: date,
    now: datetime,
) -> bool:
    """Note a picture that a message brought, still to be fetched; False where that message's picture was noted before."""
    row: dict[str, object] = {
        "public_id": secrets.token_urlsafe(12),
        "collection_id": collection_id,
        "chat_id": chat_id,
        "inbox_id": inbox_id,
        "file_key": file_key,
        "album": album,
        "taken_on": taken_on,
        "refs": [],
        "state": "waiting",
        "ready_at": now,
        "attempts": 0,
        "name": "",
    }
    filed = next((one for one in of_album(conn, chat_id, album) if one.note_id is not None), None) if album else None
    if filed is not None:  # the rest of an album may come after the note that its caption is
        row |= {"note_id": filed.note_id, "event": filed.event, "refs": refs_to_json(filed.refs)}
    return insert_new(conn, photos, row) is not None


def waiting(conn: Connection, now: datetime, most: int = 10) -> list[Photo]:
    """Return the pictures to be fetched by now, those that wait longest first."""
    query = sa.select(photos).where(photos.c.state == "waiting", photos.c.ready_at <= now)
    return [_photo(row) for row in conn.execute(query.order_by(photos.c.ready_at, photos.c.id).limit(most))]


def mark_kept(conn: Connection, photo_id: int, name: str) -> None:
    """Say under which path within the folder of photos a picture is kept."""
    conn.execute(sa.update(photos).where(photos.c.id == photo_id).values(state="kept", name=name, error=None))


def mark_failed(conn: Connection, photo_id: int, error: str, again_at: datetime | None) -> None:
    """Say why a picture could not be fetched: try again at that moment, or never (None)."""
    later = {"ready_at": again_at} if again_at else {"state": "refused"}
    values = later | {"error": error, "attempts": photos.c.attempts + 1}
    conn.execute(sa.update(photos).where(photos.c.id == photo_id).values(values))


def of_message(conn: Connection, inbox_id: int) -> list[Photo]:
    """Return the pictures of a message, with all others of its album; none where it brought none."""
    found = _all(conn, photos.c.inbox_id == inbox_id)
    return of_album(conn, found[0].chat_id, found[0].album) if found and found[0].album else found


def of_album(conn: Connection, chat_id: int, album: str) -> list[Photo]:
    """Return the pictures of an album in a chat."""
    return _all(conn, photos.c.chat_id == chat_id, photos.c.album == album)


def by_message(conn: Connection, chat_id: int, message_key: str) -> list[Photo]:
    """Return the pictures that a message of the chat brought, or that it was the answer to, with those of the same album."""
    typed = sa.select(inbox.c.id).join(chats, sa.and_(chats.c.transport == inbox.c.transport, chats.c.address == inbox.c.address))
    found = conn.execute(typed.where(chats.c.id == chat_id, inbox.c.message_key == message_key).limit(1)).scalar_one_or_none()
    if found is None:
        answered = sa.select(outbox.c.dedup_key).where(outbox.c.chat_id == chat_id, outbox.c.sent_key == message_key).limit(1)
        kind, _, number = (conn.execute(answered).scalar_one_or_none() or "").partition(":")
        found = int(number) if kind in ("reply", "answer") and number.isdigit() else None
    return of_message(conn, found) if found is not None else []


def newest(conn: Connection, chat_id: int, collection_id: int, besides: int = 0) -> list[Photo]:
    """Return the picture of a chat about a collection that came last before a message, `besides`, with its album, or none."""
    mine = sa.select(photos.c.inbox_id).where(photos.c.chat_id == chat_id, photos.c.collection_id == collection_id)
    mine = mine.where(photos.c.inbox_id < besides) if besides else mine
    found = conn.execute(mine.order_by(photos.c.id.desc()).limit(1)).scalar_one_or_none()
    return of_message(conn, found) if found is not None else []


def file(conn: Connection, ids: Iterable[int], refs: Iterable[Ref], note_id: int | None = None, event: str | None = None) -> None:
    """Say which plants pictures show and, where given, to which note and event they belong."""
    values: dict[str, object] = {"refs": refs_to_json(refs)}
    values |= {"note_id": note_id} if note_id is not None else {}
    values |= {"event": event} if event is not None else {}
    conn.execute(sa.update(photos).where(photos.c.id.in_(list(ids))).values(values))


def of_collection(conn: Connection, collection_id: int) -> list[Photo]:
    """Return all pictures of a collection, oldest first."""
    return _all(conn, photos.c.collection_id == collection_id)


def kept_of(conn: Connection, collection_id: int) -> list[Photo]:
    """Return the pictures of a collection that are kept as files, oldest first."""
    return _all(conn, photos.c.collection_id == collection_id, photos.c.state == "kept", photos.c.name != "")


def _all(conn: Connection, *where: sa.ColumnElement[bool]) -> list[Photo]:
    return [_photo(row) for row in conn.execute(sa.select(photos).where(*where).order_by(photos.c.id))]


def _photo(row: sa.Row[tuple[object, ...]]) -> Photo:
    return Photo(
        id=row.id,
        public_id=row.public_id,
        collection_id=row.collection_id,
        chat_id=row.chat_id,
        inbox_id=row.inbox_id,
        note_id=row.note_id,
        event=row.event,
        file_key=row.file_key,
        album=row.album,
        taken_on=row.taken_on,
        refs=refs_from_json(row.refs),
        state=row.state,
        attempts=row.attempts,
        name=row.name,
    )
