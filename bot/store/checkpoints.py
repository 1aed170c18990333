"""How a collection stood some weeks ago. A projection like the standing: may be forgotten at any time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.inserting import upsert
from bot.store.tables import checkpoint

Rows = Mapping[tuple[str, str], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """The standing after all that happened up to `day`, as far as the log told of it by `sequence`.

    `extras` are identities of events that lie before by their row but count after, and of corrections of later events.
    """

    day: date
    sequence: int
    version: int
    extras: tuple[str, ...]
    rows: Rows


def save(conn: Connection, collection_id: int, kept: Checkpoint) -> None:
    """Keep a checkpoint in place of the one before."""
    rows = [[kind, key, body] for (kind, key), body in kept.rows.items()]
    values = {"day": kept.day, "sequence": kept.sequence, "version": kept.version, "extras": list(kept.extras), "rows": rows}
    upsert(conn, checkpoint, [{"collection_id": collection_id} | values])


def load(conn: Connection, collection_id: int, version: int) -> Checkpoint | None:
    """Return the checkpoint of a collection; None where there is none of that version of the fold."""
    query = sa.select(checkpoint).where(checkpoint.c.collection_id == collection_id, checkpoint.c.version == version)
    row = conn.execute(query).first()
    if row is None:
        return None
    rows = {(kind, key): body for kind, key, body in row.rows}
    return Checkpoint(row.day, row.sequence, row.version, tuple(row.extras), rows)


def forget(conn: Connection, collection_id: int) -> None:
    """Forget the checkpoint of a collection."""
    conn.execute(sa.delete(checkpoint).where(checkpoint.c.collection_id == collection_id))
