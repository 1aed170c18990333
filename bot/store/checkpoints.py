"""How a collection stood some weeks ago, and a year ago. A projection like the standing: may be forgotten at any time.

Each row is kept as JSON text of its own within the whole: a note about two plants reads those two rows of some thousands.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.inserting import upsert
from bot.store.tables import checkpoint

Rows = Mapping[tuple[str, str], Mapping[str, Any]]


_SWAPPED = str.maketrans("'\"", "\"'")  # JSON within JSON: as many quotes as a row has, none of them needs a backslash


def _text_of(body: Mapping[str, Any]) -> str:
    return json.dumps(body, separators=(",", ":"), sort_keys=True).translate(_SWAPPED)


class _Kept(Mapping[tuple[str, str], Mapping[str, Any]]):
    """Rows of which each is read from its text when it is asked for, and once."""

    def __init__(self, texts: dict[tuple[str, str], str]) -> None:
        self._texts = texts
        self._read: dict[tuple[str, str], Mapping[str, Any]] = {}

    def __getitem__(self, key: tuple[str, str]) -> Mapping[str, Any]:
        row = self._read.get(key)
        if row is None:
            row = self._read[key] = json.loads(self._texts[key].translate(_SWAPPED))
        return row

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)

    def __contains__(self, key: object) -> bool:
        return key in self._texts


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
    rows = [[kind, key, _text_of(body)] for (kind, key), body in kept.rows.items()]
    values = {"day": kept.day, "sequence": kept.sequence, "version": kept.version, "extras": list(kept.extras), "rows": rows}
    upsert(conn, checkpoint, [{"collection_id": collection_id, "reach": reach} | values])


def load(conn: Connection, collection_id: int, reach: str, version: int) -> Checkpoint | None:
    """Return the checkpoint of a collection of that reach; None where there is none of that version of the fold."""
    mine = sa.and_(checkpoint.c.collection_id == collection_id, checkpoint.c.reach == reach, checkpoint.c.version == version)
    row = conn.execute(sa.select(checkpoint).where(mine)).first()
    if row is None:
        return None
    texts = {(kind, key): body if isinstance(body, str) else _text_of(body) for kind, key, body in row.rows}  # rows of before
    return Checkpoint(row.day, row.sequence, row.version, tuple(row.extras), _Kept(texts))


def day_of(conn: Connection, collection_id: int, reach: str, version: int) -> date | None:
    """Return the day of a checkpoint without reading it; None where there is none of that version of the fold."""
    mine = sa.and_(checkpoint.c.collection_id == collection_id, checkpoint.c.reach == reach, checkpoint.c.version == version)
    return conn.execute(sa.select(checkpoint.c.day).where(mine)).scalar_one_or_none()


def forget(conn: Connection, collection_id: int) -> None:
    """Forget the checkpoints of a collection."""
    conn.execute(sa.delete(checkpoint).where(checkpoint.c.collection_id == collection_id))
