"""Copies the rows of one database into another, and sums up what a database holds so that two can be compared."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.migrations import VERSION_TABLE

_AT_ONCE = 500
_MODULUS = 2**256


@dataclass(frozen=True, slots=True)
class Summary:
    """What a database holds: for each table the number of its rows, and a digest of them.

    The digest is the sum of the rows' SHA-256 sums modulo 2^256, in hexadecimal: the order in which a database gives rows out
    does not matter, every value of every row does.
    """

    rows: Mapping[str, int]
    digests: Mapping[str, str]


def tables_of(conn: Connection) -> list[sa.Table]:
    """Return the tables as they stand in a database, those that others refer to first, whatever its schema's age.

    The table that holds the schema's revision is left out.
    """
    found = sa.MetaData()
    found.reflect(conn)
    return [table for table in found.sorted_tables if table.name != VERSION_TABLE]


def summary(conn: Connection, tables: Sequence[sa.Table]) -> Summary:
    """Return what these tables hold. Reads every row."""
    sums = {table.name: _sum(conn, table) for table in tables}
    return Summary({name: rows for name, (rows, _) in sums.items()}, {name: digest for name, (_, digest) in sums.items()})


def copy_rows(source: Connection, target: Connection, tables: Sequence[sa.Table]) -> None:
    """Insert every row of these tables of `source` into those of the same names in `target`, which are empty."""
    for table in tables:
        for part in _read(source, table).partitions(_AT_ONCE):
            target.execute(sa.insert(table), [dict(row._mapping) for row in part])  # noqa: SLF001  the public name of it
    if target.dialect.name == "postgresql":
        _number_on(target, tables)


def is_empty(conn: Connection, tables: Sequence[sa.Table]) -> bool:
    """Whether none of these tables holds a row."""
    return all(conn.execute(sa.select(sa.literal(1)).select_from(table).limit(1)).first() is None for table in tables)


def _read(conn: Connection, table: sa.Table) -> sa.CursorResult[Any]:
    return conn.execute(sa.select(table), execution_options={"yield_per": _AT_ONCE})


def _sum(conn: Connection, table: sa.Table) -> tuple[int, str]:
    count, total = 0, 0
    names = sorted(column.name for column in table.columns)
    for row in _read(conn, table):
        values = row._mapping  # noqa: SLF001  the public name of it
        text = json.dumps([[name, values[name]] for name in names], default=_shown)
        total += int.from_bytes(hashlib.sha256(text.encode()).digest())
        count += 1
    return count, f"{total % _MODULUS:064x}"


def _shown(value: Any) -> str:
    return value.hex() if isinstance(value, bytes) else str(value.isoformat())


def _number_on(conn: Connection, tables: Sequence[sa.Table]) -> None:
    """Let PostgreSQL give the next row of each table a number above those that were copied."""
    for table in tables:
        if "id" not in table.c:
            continue
        sequence = conn.scalar(sa.select(sa.func.pg_get_serial_sequence(table.name, "id")))
        newest = conn.scalar(sa.select(sa.func.max(table.c.id)))
        if sequence is not None and newest is not None:
            conn.execute(sa.select(sa.func.setval(sequence, newest)))
