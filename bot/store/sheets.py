"""Spreadsheets of plants that were sent to the bot: fetched, spoken about, then taken or left; only the newest is kept."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.inserting import insert_new
from bot.store.tables import sheets


@dataclass(frozen=True, slots=True)
class Sheet:
    """One file. `told` maps roles to columns as the grower named them; `content` is empty until it was fetched."""

    id: int
    collection_id: int
    chat_id: int
    file_key: str
    name: str
    told: Mapping[str, str]
    content: bytes
    state: str
    attempts: int


def add(
    conn: Connection,
    chat_id: int,
    collection_id: int,
    inbox_id: int,
    file_key: str,
    name: str,
    told: Mapping[str, str],
    now: datetime,
) -> bool:
    """Note a file that a message brought, still to be fetched, in place of older ones of the chat; False where it is known."""
    conn.execute(sa.update(sheets).where(sheets.c.chat_id == chat_id, sheets.c.state != "done").values(state="done", content=""))
    row = {"chat_id": chat_id, "collection_id": collection_id, "inbox_id": inbox_id, "file_key": file_key, "name": name}
    more = {"told": dict(told), "content": "", "state": "waiting", "ready_at": now, "attempts": 0}
    return insert_new(conn, sheets, {**row, **more}) is not None


def waiting(conn: Connection, now: datetime, most: int = 10) -> list[Sheet]:
    """Return the files to be fetched by now, those that wait longest first."""
    query = sa.select(sheets).where(sheets.c.state == "waiting", sheets.c.ready_at <= now)
    return [_sheet(row) for row in conn.execute(query.order_by(sheets.c.ready_at, sheets.c.id).limit(most))]


def by_id(conn: Connection, sheet_id: int) -> Sheet | None:
    """Return a file, None where there is none of that number."""
    row = conn.execute(sa.select(sheets).where(sheets.c.id == sheet_id)).first()
    return _sheet(row) if row is not None else None


def mark_fetched(conn: Connection, sheet_id: int, content: bytes) -> None:
    """Keep what a file holds; it is spoken about from now on."""
    kept = base64.b64encode(content).decode("ascii")
    conn.execute(sa.update(sheets).where(sheets.c.id == sheet_id, sheets.c.state == "waiting").values(state="open", content=kept))


def tell(conn: Connection, sheet_id: int, told: Mapping[str, str]) -> None:
    """Keep what the columns of a file are."""
    conn.execute(sa.update(sheets).where(sheets.c.id == sheet_id).values(told=dict(told)))


def put_off(conn: Connection, sheet_id: int, again_at: datetime) -> None:
    """Fetch a file again at a moment."""
    later = {"ready_at": again_at, "attempts": sheets.c.attempts + 1}
    conn.execute(sa.update(sheets).where(sheets.c.id == sheet_id).values(later))


def close(conn: Connection, sheet_id: int) -> None:
    """Be done with a file; what it held is not kept."""
    conn.execute(sa.update(sheets).where(sheets.c.id == sheet_id).values(state="done", content=""))


def _sheet(row: sa.Row[tuple[object, ...]]) -> Sheet:
    content = base64.b64decode(row.content)
    return Sheet(row.id, row.collection_id, row.chat_id, row.file_key, row.name, row.told, content, row.state, row.attempts)
