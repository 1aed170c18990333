"""What came in: committed before it is confirmed to the sender, taken up in order, kept when it cannot be handled."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.messages import Incoming
from bot.store.inserting import insert_new
from bot.store.tables import OPEN, inbox

# The newest rows, by the primary key: looked at for each message, so there must be a bound.
_NEWEST = sa.select(inbox).order_by(inbox.c.id.desc()).limit(200).subquery("newest")


@dataclass(frozen=True, slots=True)
class InboxRow:
    """A message that came in, with its place in the order of arrival (`id`) and how often it was taken up before."""

    id: int
    incoming: Incoming
    got_at: datetime
    attempts: int


def take(conn: Connection, incoming: Incoming, got_at: datetime) -> int | None:
    """Keep a message and return its inbox id, or None where the same (source, update_key) came before."""
    row = {
        "source": incoming.source,
        "update_key": incoming.update_key,
        "transport": incoming.transport,
        "address": incoming.address,
        "sender": incoming.sender,
        "text": incoming.text,
        "sent_at": incoming.sent_at,
        "message_key": incoming.message_key,
        "reply_to": incoming.reply_to,
        "raw": incoming.raw,
        "got_at": got_at,
        "state": "open",
        "attempts": 0,
    }
    return insert_new(conn, inbox, row)


def open_rows(conn: Connection, chat_address: str | None = None, *, transport: str | None = None) -> list[InboxRow]:
    """Return the messages not yet handled in order of arrival, of all chats or of one."""
    query = sa.select(inbox).where(inbox.c.state == OPEN).order_by(inbox.c.id)
    if chat_address is not None:
        query = query.where(inbox.c.address == chat_address)
    if transport is not None:
        query = query.where(inbox.c.transport == transport)
    return [_row(row) for row in conn.execute(query)]


def next_open(conn: Connection) -> InboxRow | None:
    """Return the oldest message not yet handled, or None."""
    row = conn.execute(sa.select(inbox).where(inbox.c.state == OPEN).order_by(inbox.c.id).limit(1)).first()
    return None if row is None else _row(row)


def take_up(conn: Connection) -> InboxRow | None:
    """Return the oldest message whose chat has none before it still open, held for this writing transaction; None: there is none.

    Until the transaction ends no other worker gets this message or a later one of the same chat; one that dies gives it back.
    """
    query = sa.select(inbox).where(inbox.c.state == OPEN, ~_behind_another()).order_by(inbox.c.id).limit(1)
    row = conn.execute(query.with_for_update(skip_locked=True)).first()
    return None if row is None else _row(row)


def by_id(conn: Connection, inbox_id: int) -> InboxRow:
    """Return one message, whatever became of it. Raises NoResultFound where there is none."""
    return _row(conn.execute(sa.select(inbox).where(inbox.c.id == inbox_id)).one())


def claim(conn: Connection, now: datetime, lease_seconds: float, worker: str) -> InboxRow | None:
    """Lease the oldest message whose chat has none before it still open, and return it; None where there is none.

    Until the lease ends no other worker gets this message or a later one of the same chat.
    """
    free = sa.or_(inbox.c.leased_until.is_(None), inbox.c.leased_until <= now)
    query = sa.select(inbox.c.id).where(inbox.c.state == OPEN, free, ~_behind_another()).order_by(inbox.c.id).limit(1)
    oldest = query.with_for_update(skip_locked=True).cte("oldest")  # a CTE, since PostgreSQL may run a subquery twice
    taken = (
        sa.update(inbox)
        .where(inbox.c.id.in_(sa.select(oldest.c.id)))
        .values(leased_by=worker, leased_until=now + timedelta(seconds=lease_seconds), attempts=inbox.c.attempts + 1)
        .returning(*inbox.c)
    )
    row = conn.execute(taken).first()
    return None if row is None else _row(row)


def mark_done(conn: Connection, inbox_id: int, now: datetime) -> bool:
    """Close a message as handled; False where it was closed before, so that what came of it must not be written again."""
    return _close(conn, inbox_id, {"state": "done", "done_at": now, "error": None})


def mark_poison(conn: Connection, inbox_id: int, error: str) -> bool:
    """Set a message aside that cannot be handled, with the reason; False where it was closed before."""
    return _close(conn, inbox_id, {"state": "poison", "error": error})


def poison_since(conn: Connection, moment: datetime) -> list[InboxRow]:
    """Return the messages set aside that came in after a moment, oldest first."""
    rows = conn.execute(sa.select(inbox).where(inbox.c.state == "poison", inbox.c.got_at > moment).order_by(inbox.c.id))
    return [_row(row) for row in rows]


def poison_rows(conn: Connection) -> list[tuple[InboxRow, str]]:
    """Return the messages set aside, oldest first, each with the reason."""
    rows = conn.execute(sa.select(inbox).where(inbox.c.state == "poison").order_by(inbox.c.id))
    return [(_row(row), row.error) for row in rows]


def recent(conn: Connection, transport: str, sender: str, since: datetime) -> int:
    """Return how many of the last 200 messages this sender sent after a moment."""
    mine = sa.and_(_NEWEST.c.transport == transport, _NEWEST.c.sender == sender, _NEWEST.c.sent_at > since)
    return conn.execute(sa.select(sa.func.count()).select_from(_NEWEST).where(mine)).scalar_one()


def recent_strangers(conn: Connection, since: datetime) -> int:
    """Return how many of the last 200 rows say that a stranger was told off after a moment."""
    told = sa.and_(_NEWEST.c.update_key.startswith("stranger:"), _NEWEST.c.got_at > since)
    return conn.execute(sa.select(sa.func.count()).select_from(_NEWEST).where(told)).scalar_one()


def last_sent_at(conn: Connection, transport: str, address: str) -> datetime | None:
    """Return when the newest message of a chat was sent, or None where there is none."""
    mine = sa.select(sa.func.max(inbox.c.sent_at)).where(inbox.c.transport == transport, inbox.c.address == address)
    newest: datetime | None = conn.execute(mine).scalar_one()
    return newest


def counts(conn: Connection) -> dict[str, int]:
    """Return how many messages are open, done and poison."""
    found = conn.execute(sa.select(inbox.c.state, sa.func.count()).group_by(inbox.c.state))
    return {"open": 0, "done": 0, "poison": 0} | {str(state): int(count) for state, count in found}


def latest_got_at(conn: Connection) -> datetime | None:
    """Return when the message that came in last came in, or None where none ever did."""
    moment: datetime | None = conn.execute(sa.select(inbox.c.got_at).order_by(inbox.c.id.desc()).limit(1)).scalar_one_or_none()
    return moment


def _behind_another() -> sa.ColumnElement[bool]:
    earlier = inbox.alias("earlier")
    return sa.exists().where(
        earlier.c.state == OPEN,
        earlier.c.transport == inbox.c.transport,
        earlier.c.address == inbox.c.address,
        earlier.c.id < inbox.c.id,
    )


def _close(conn: Connection, inbox_id: int, values: dict[str, Any]) -> bool:
    closed = sa.update(inbox).where(inbox.c.id == inbox_id, inbox.c.state == OPEN).values(values)
    return conn.execute(closed.values(leased_by=None, leased_until=None)).rowcount == 1


def _row(row: sa.Row[Any]) -> InboxRow:
    incoming = Incoming(
        transport=row.transport,
        address=row.address,
        source=row.source,
        update_key=row.update_key,
        text=row.text,
        sent_at=row.sent_at,
        sender=row.sender,
        message_key=row.message_key,
        reply_to=row.reply_to,
        raw=row.raw,
    )
    return InboxRow(row.id, incoming, row.got_at, row.attempts)
