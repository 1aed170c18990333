"""What follows from the care log: how each thing stands, and what is due. May be wiped and rebuilt at any time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.inserting import delete_keys, upsert
from bot.store.tables import checkpoint, due, projection, standing


@dataclass(frozen=True, slots=True)
class DueRecord:
    """One thing to look at or to do, on a local date or in a range up to `until`.

    `key` names it for good within its collection. `body` holds JSON values: reason, refs, figures. `version` is that of
    the computation, `made_on` the local day on which it was made.
    """

    key: str
    kind: str
    on: date
    until: date | None
    place: str
    body: Mapping[str, Any]
    version: int
    made_on: date


@dataclass(frozen=True, slots=True)
class ProjectionState:
    """How far the projections have come: the last event folded, and the version of the fold."""

    sequence: int = 0
    version: int = 0


def save_standing(
    conn: Connection,
    collection_id: int,
    rows: Mapping[tuple[str, str], Mapping[str, Any]],
    removed: Iterable[tuple[str, str]] = (),
) -> None:
    """Write how these things (kind, key) stand, and forget those removed; all others stay as they are."""
    delete_keys(conn, standing, [{"collection_id": collection_id, "kind": kind, "key": key} for kind, key in removed])
    written = [{"collection_id": collection_id, "kind": kind, "key": key, "body": body} for (kind, key), body in rows.items()]
    upsert(conn, standing, written)


def load_kind(conn: Connection, collection_id: int, kind: str, ending: str = "") -> dict[str, Mapping[str, Any]]:
    """Return the rows of one kind of the standing by key, those whose key ends so, without loading the rest."""
    mine = sa.and_(standing.c.collection_id == collection_id, standing.c.kind == kind)
    if ending:
        mine = sa.and_(mine, standing.c.key.endswith(ending, autoescape=True))
    return {row.key: row.body for row in conn.execute(sa.select(standing.c.key, standing.c.body).where(mine))}


def load_standing(conn: Connection, collection_id: int) -> dict[tuple[str, str], dict[str, Any]]:
    """Return how everything in a collection stands, by kind and key."""
    query = sa.select(standing.c.kind, standing.c.key, standing.c.body).where(standing.c.collection_id == collection_id)
    return {(kind, key): body for kind, key, body in conn.execute(query.order_by(standing.c.kind, standing.c.key))}


def save_due(conn: Connection, collection_id: int, rows: Sequence[DueRecord], removed: Iterable[str] = ()) -> None:
    """Write what is due, each in place of what its key held before, and forget the keys removed."""
    delete_keys(conn, due, [{"collection_id": collection_id, "key": key} for key in removed])
    written = [{name: getattr(row, name) for name in DueRecord.__slots__} for row in rows]
    upsert(conn, due, [{"collection_id": collection_id, **row} for row in written])


def redate_due(conn: Connection, collection_id: int, made_on: date) -> None:
    """Say of everything that is due that it was made on this day: it was looked at and stays as it is."""
    conn.execute(sa.update(due).where(due.c.collection_id == collection_id).values(made_on=made_on))


def load_due(conn: Connection, collection_id: int, until: date | None = None, kind: str | None = None) -> list[DueRecord]:
    """Return what is due on or before `until`, or everything, of one kind or of any; earliest first, then by key."""
    query = sa.select(due).where(due.c.collection_id == collection_id).order_by(due.c.on, due.c.key)
    if until is not None:
        query = query.where(due.c.on <= until)
    if kind is not None:
        query = query.where(due.c.kind == kind)
    return [DueRecord(*(getattr(row, name) for name in DueRecord.__slots__)) for row in conn.execute(query)]


def save_state(conn: Connection, collection_id: int, state: ProjectionState) -> None:
    """Write how far the projections of a collection have come."""
    upsert(conn, projection, [{"collection_id": collection_id, "sequence": state.sequence, "version": state.version}])


def load_state(conn: Connection, collection_id: int) -> ProjectionState:
    """Return how far the projections of a collection have come; zeros where they were never made or have been wiped."""
    row = conn.execute(sa.select(projection).where(projection.c.collection_id == collection_id)).first()
    return ProjectionState() if row is None else ProjectionState(row.sequence, row.version)


def wipe_projections(conn: Connection, collection_id: int) -> None:
    """Forget how everything in a collection stands and what is due, so that it is made anew from the log."""
    for table in (standing, due, projection, checkpoint):
        conn.execute(sa.delete(table).where(table.c.collection_id == collection_id))
