"""How a collection stood some weeks ago, and a year ago. A projection like the standing: may be forgotten at any time.

Each row is kept as JSON text of its own within the whole: a note about two plants reads those two rows of some thousands.
"""

from __future__ import annotations

import json
from collections import ChainMap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.inserting import upsert
from bot.store.tables import checkpoint

Rows = Mapping[tuple[str, str], Mapping[str, Any]]
_LATER = "+"  # behind a reach: what was changed of it since, so that a note about two plants writes those two rows


_SWAPPED = str.maketrans("'\"", "\"'")  # JSON within JSON: as many quotes as a row has, none of them needs a backslash


def _text_of(body: Mapping[str, Any]) -> str:
    return json.dumps(body, separators=(",", ":"), sort_keys=True).translate(_SWAPPED)


class _Kept(Mapping[tuple[str, str], Mapping[str, Any]]):
    """Rows of which each is read from its text when it is asked for, and once. Earlier versions kept values, not texts."""

    def __init__(self, texts: dict[tuple[str, str], str | dict[str, Any]]) -> None:
        self._texts = texts

    def __getitem__(self, key: tuple[str, str]) -> Mapping[str, Any]:
        held = self._texts[key]
        if isinstance(held, str):
            held = self._texts[key] = json.loads(held.translate(_SWAPPED))
        return held

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
    _write(conn, collection_id, reach, kept)
    late = sa.and_(checkpoint.c.collection_id == collection_id, checkpoint.c.reach == reach + _LATER)
    conn.execute(sa.delete(checkpoint).where(late))


def bring_up(conn: Connection, collection_id: int, reach: str, kept: Checkpoint, rows: Rows, sequence: int) -> None:
    """Let a checkpoint, as it was loaded, know of the log up to a sequence: these rows stand otherwise on its day."""
    before = _read(conn, collection_id, reach + _LATER, kept.version)
    held = before.rows if before is not None and before.day == kept.day else {}
    _write(conn, collection_id, reach + _LATER, replace(kept, sequence=sequence, rows={**held, **rows}))


def load(conn: Connection, collection_id: int, reach: str, version: int) -> Checkpoint | None:
    """Return the checkpoint of a collection of that reach; None where there is none of that version of the fold."""
    kept = _read(conn, collection_id, reach, version)
    late = _read(conn, collection_id, reach + _LATER, version) if kept is not None else None
    if kept is None or late is None or late.day != kept.day:
        return kept
    return replace(kept, sequence=late.sequence, rows=ChainMap(late.rows, kept.rows))  # type: ignore[arg-type]


def _write(conn: Connection, collection_id: int, reach: str, kept: Checkpoint) -> None:
    rows = [[kind, key, _text_of(body)] for (kind, key), body in kept.rows.items()]
    values = {"day": kept.day, "sequence": kept.sequence, "version": kept.version, "extras": list(kept.extras), "rows": rows}
    upsert(conn, checkpoint, [{"collection_id": collection_id, "reach": reach} | values])


def _read(conn: Connection, collection_id: int, reach: str, version: int) -> Checkpoint | None:
    mine = sa.and_(checkpoint.c.collection_id == collection_id, checkpoint.c.reach == reach, checkpoint.c.version == version)
    row = conn.execute(sa.select(checkpoint).where(mine)).first()
    if row is None:
        return None
    texts = {(kind, key): body for kind, key, body in row.rows}
    return Checkpoint(row.day, row.sequence, row.version, tuple(row.extras), _Kept(texts))


def day_of(conn: Connection, collection_id: int, reach: str, version: int) -> date | None:
    """Return the day of a checkpoint without reading it; None where there is none of that version of the fold."""
    mine = sa.and_(checkpoint.c.collection_id == collection_id, checkpoint.c.reach == reach, checkpoint.c.version == version)
    return conn.execute(sa.select(checkpoint.c.day).where(mine)).scalar_one_or_none()


def forget(conn: Connection, collection_id: int) -> None:
    """Forget the checkpoints of a collection."""
    conn.execute(sa.delete(checkpoint).where(checkpoint.c.collection_id == collection_id))
