"""Inserts that respect what is there already, in the words of the database that is open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa
from sqlalchemy import Connection

if TYPE_CHECKING:
    from sqlalchemy.dialects import postgresql, sqlite


def _insert(conn: Connection, table: sa.Table) -> sqlite.Insert | postgresql.Insert:
    # The engine has imported its own dialect by now; the other one would cost 40 ms for nothing.
    if conn.dialect.name == "postgresql":
        from sqlalchemy.dialects import postgresql  # noqa: PLC0415

        return postgresql.insert(table)
    from sqlalchemy.dialects import sqlite  # noqa: PLC0415

    return sqlite.insert(table)


def insert_new(conn: Connection, table: sa.Table, row: Mapping[str, Any]) -> int | None:
    """Insert a row and return its id, or None where a row with the same unique values is there already."""
    statement = _insert(conn, table).values(dict(row)).on_conflict_do_nothing().returning(table.c.id)
    return conn.execute(statement).scalar_one_or_none()


def upsert(conn: Connection, table: sa.Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows; where the primary key is there already, the other columns are replaced."""
    if not rows:
        return
    statement = _insert(conn, table)
    keys = [column.name for column in table.primary_key]
    replaced = {column.name: statement.excluded[column.name] for column in table.c if column.name not in keys}
    conn.execute(statement.on_conflict_do_update(index_elements=keys, set_=replaced), [dict(row) for row in rows])


def delete_keys(conn: Connection, table: sa.Table, keys: Iterable[Mapping[str, Any]]) -> None:
    """Delete the rows with these primary keys, each given as column name to value; those not there are passed over."""
    given = [{f"key_{name}": value for name, value in key.items()} for key in keys]
    if given:
        mine = sa.and_(*(column == sa.bindparam(f"key_{column.name}", type_=column.type) for column in table.primary_key))
        conn.execute(sa.delete(table).where(mine), given)
