"""What is to go out: written in the transaction that causes it, claimed with a lease, sent in order within each chat.

Every moment is an argument; a row under lease that is not marked in time may be claimed again, so a message may go out
twice after a crash, but is never lost.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.messages import Attached, Button, Outgoing
from bot.store.inserting import insert_new
from bot.store.tables import WAITING, chats, outbox

_SECRET = re.compile(r"((?:start=list_|/list/|/calendar/))[\w-]{32}")  # behind it stands the secret of a shared list


@dataclass(frozen=True, slots=True)
class OutboxRow:
    """A message to be sent, where to, and how often that was tried, this time included."""

    id: int
    dedup_key: str
    chat_id: int
    transport: str
    address: str
    kind: str
    outgoing: Outgoing
    created_at: datetime
    attempts: int
    note_id: int | None = None


def put(
    conn: Connection,
    dedup_key: str,
    chat_id: int,
    outgoing: Outgoing,
    kind: str,
    created_at: datetime,
    send_after: datetime | None = None,
    *,
    note_id: int | None = None,
    listed: Sequence[str] = (),
) -> bool:
    """Add a message to be sent; False, and nothing added, where one with this key was ever put before.

    `send_after` (default: `created_at`) is the earliest moment to send it and its place in the order of the chat;
    `note_id` is the note that it answers, `listed` what stands behind the numbers of a list in it.
    """
    row = {
        "dedup_key": dedup_key,
        "chat_id": chat_id,
        "note_id": note_id,
        "kind": kind,
        "text": outgoing.text,
        "buttons": [[[button.label, button.words] for button in line] for line in outgoing.buttons],
        "created_at": created_at,
        "send_after": send_after or created_at,
        "ready_at": send_after or created_at,
        "state": "waiting",
        "attempts": 0,
        "listed": list(listed),
        "files": [[one.name, one.media_type, one.recipe] for one in outgoing.files] or None,
    }
    return insert_new(conn, outbox, row) is not None


def has_key(conn: Connection, dedup_key: str) -> bool:
    """Return whether a message with this key was ever put, sent or not."""
    return conn.execute(sa.select(outbox.c.id).where(outbox.c.dedup_key == dedup_key)).first() is not None


def by_id(conn: Connection, outbox_id: int) -> OutboxRow | None:
    """Return one message, whatever became of it, or None: what a pressed button belongs to."""
    row = conn.execute(sa.select(outbox).where(outbox.c.id == outbox_id)).first()
    return None if row is None else _row(row, *_addresses(conn, [row.chat_id])[row.chat_id])


def listed_in(conn: Connection, chat_id: int, sent_key: str) -> tuple[str, ...]:
    """Return what stands behind the numbers of the list in a sent message of a chat; empty where it has none."""
    mine = sa.and_(outbox.c.chat_id == chat_id, outbox.c.sent_key == sent_key)
    return tuple(conn.execute(sa.select(outbox.c.listed).where(mine).limit(1)).scalar_one_or_none() or ())


def claim(
    conn: Connection, now: datetime, lease_seconds: float, limit: int = 20, *, transport: str | None = None
) -> list[OutboxRow]:
    """Lease the messages that may be sent now, of one transport or of all, at most one a chat, earliest first, and return them.

    The order within a chat holds: a message is passed over while an earlier one of its chat is unsent, be it leased,
    waiting for its next try, or claimable itself.
    """
    query = sa.select(outbox.c.id).where(outbox.c.state == WAITING, outbox.c.ready_at <= now, ~_behind_another())
    if transport is not None:
        query = query.where(outbox.c.chat_id.in_(_chats_of(transport)))
    query = query.order_by(outbox.c.ready_at, outbox.c.id).limit(limit)
    heads = query.with_for_update(skip_locked=True).cte("heads")  # a CTE, since PostgreSQL may run a subquery twice
    taken = (
        sa.update(outbox)
        .where(outbox.c.id.in_(sa.select(heads.c.id)))
        .values(ready_at=now + timedelta(seconds=lease_seconds), attempts=outbox.c.attempts + 1)
        .returning(*outbox.c)
    )
    rows = sorted(conn.execute(taken), key=lambda row: (row.send_after, row.id))
    where_to = _addresses(conn, [row.chat_id for row in rows])
    return [_row(row, *where_to[row.chat_id]) for row in rows]


def mark_sent(conn: Connection, outbox_id: int, sent_key: str, now: datetime, said: str = "") -> None:
    """Close a message as sent; `sent_key` is the chat's own number of it. What opens a list is not kept of what was `said`."""
    values: dict[str, object] = {"state": "sent", "sent_key": sent_key, "sent_at": now, "error": None, "files": None}
    kept = _SECRET.sub(r"\1...", said)
    if kept != said:
        values["text"] = kept
    conn.execute(sa.update(outbox).where(outbox.c.id == outbox_id).values(values))


def mark_failed(conn: Connection, outbox_id: int, error: str, retry_at: datetime | None) -> None:
    """Keep why a message could not be sent: try again at `retry_at`, or give it up (None) and let the chat's next ones go."""
    failed = sa.update(outbox).where(outbox.c.id == outbox_id, outbox.c.state == WAITING)
    conn.execute(
        failed.values(
            {"error": error, "state": "failed", "files": None} if retry_at is None else {"error": error, "ready_at": retry_at}
        )
    )


def release(conn: Connection, transport: str) -> None:
    """End every lease and wait of a transport's unsent messages; for a sender that knows itself to be the only one."""
    waiting = sa.update(outbox).where(outbox.c.state == WAITING, outbox.c.chat_id.in_(_chats_of(transport)))
    conn.execute(waiting.values(ready_at=outbox.c.send_after))


def bring_back(conn: Connection, transport: str, now: datetime) -> int:
    """Let go at once what was put by a clock that was ahead of `now`; return how many messages that were.

    A clock that is set back would else hold them until it has caught up.
    """
    ahead = sa.and_(outbox.c.state == WAITING, outbox.c.created_at > now, outbox.c.ready_at > now)
    mine = sa.update(outbox).where(ahead, outbox.c.chat_id.in_(_chats_of(transport)))
    return conn.execute(mine.values(ready_at=now)).rowcount


def next_send_at(conn: Connection, *, transport: str | None = None) -> datetime | None:
    """Return the earliest moment at which a message, of one transport or of all, may become claimable; None: none waits."""
    heads = sa.select(sa.func.min(outbox.c.ready_at)).where(outbox.c.state == WAITING, ~_behind_another())
    if transport is not None:
        heads = heads.where(outbox.c.chat_id.in_(_chats_of(transport)))
    earliest: datetime | None = conn.execute(heads).scalar_one()
    return earliest


def oldest_refused(conn: Connection) -> datetime | None:
    """Return since when the longest waiting message that was tried in vain waits, or None where none is."""
    tried = sa.select(sa.func.min(outbox.c.created_at)).where(outbox.c.state == WAITING, outbox.c.attempts > 1)
    moment: datetime | None = conn.execute(tried).scalar_one()
    return moment


def counts(conn: Connection) -> dict[str, int]:
    """Return how many messages are waiting, sent and failed."""
    found = conn.execute(sa.select(outbox.c.state, sa.func.count()).group_by(outbox.c.state))
    return {"waiting": 0, "sent": 0, "failed": 0} | {str(state): int(count) for state, count in found}


def _chats_of(transport: str) -> sa.Select[tuple[int]]:
    return sa.select(chats.c.id).where(chats.c.transport == transport)


def _behind_another() -> sa.ColumnElement[bool]:
    earlier = outbox.alias("earlier")
    before = sa.or_(
        earlier.c.send_after < outbox.c.send_after,
        sa.and_(earlier.c.send_after == outbox.c.send_after, earlier.c.id < outbox.c.id),
    )
    return sa.exists().where(earlier.c.state == WAITING, earlier.c.chat_id == outbox.c.chat_id, before)


def _addresses(conn: Connection, chat_ids: Sequence[int]) -> Mapping[int, tuple[str, str]]:
    if not chat_ids:
        return {}
    rows = conn.execute(sa.select(chats.c.id, chats.c.transport, chats.c.address).where(chats.c.id.in_(chat_ids)))
    return {row.id: (row.transport, row.address) for row in rows}


def _row(row: sa.Row[Any], transport: str, address: str) -> OutboxRow:
    buttons = tuple(tuple(Button(label, words) for label, words in line) for line in row.buttons)
    files = tuple(Attached(name, media_type, recipe) for name, media_type, recipe in row.files or ())
    outgoing = Outgoing(row.text, buttons, files)
    return OutboxRow(
        row.id, row.dedup_key, row.chat_id, transport, address, row.kind, outgoing, row.created_at, row.attempts, row.note_id
    )
