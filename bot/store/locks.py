"""Locks that let one process at a time do what two must not do at once."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy import Connection

# Any numbers will do, so long as every process of this program takes the same ones.
MIGRATION = 7_064_817_318_225
NEWCOMER = 7_064_817_318_226


def wait_for(conn: Connection, lock: int) -> None:
    """Wait until no other transaction holds this lock, and hold it to the end of this one.

    On SQLite there is nothing to wait for: a writing transaction is alone from its beginning.
    """
    if conn.dialect.name == "postgresql":
        conn.execute(sa.text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": lock})
