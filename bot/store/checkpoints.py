"""How a collection stood some weeks ago, and a year ago. A projection like the standing: may be forgotten at any time."""

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


def save(conn: Connection, collection_id: int, reach: str, kept: Checkpoint) -> None:
    """Keep a checkpoint in place of the one before of the same reach."""
    rows = [[kind, key, body] for (kind, key), body in kept.rows.items()]
    values = {"day": kept.day, "sequence": kept.sequence, "version": kept.version, "extras": list(kept.extras), "rows": rows}
    upsert(conn, checkpoint, [{"collection_id": collection_id, "reach": reach} | values])


def load(conn: Connection, collection_id: int, reach: str, version: int) -> Checkpoint | None:
    """Return the checkpoint of a collection of that reach; None where there is none of that version of the fold."""
    mine = sa.and_(checkpoint.c.collection_id == collection_id, checkpoint.c.reach == reach, checkpoint.c.version == version)
    row = conn.execute(sa.select(checkpoint).where(mine)).first()
    if row is None:
        return None
    rows = {(kind, key): body for kind, key, body in row.rows}
    return Checkpoint(row.day, row.sequence, row.version, tuple(row.extras), rows)


def forget(conn: Connection, collection_id: int) -> None:
    """Forget the checkpoints of a collection."""
    conn.execute(sa.delete(checkpoint).where(checkpoint.c.collection_id == collection_id))
