"""How much room a database takes."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy import Connection


def size_bytes(conn: Connection) -> int:
    """Return the size of the open database in bytes."""
    if conn.dialect.name == "postgresql":
        return int(conn.scalar(sa.text("SELECT pg_database_size(current_database())")) or 0)
    pages, bytes_each = (int(conn.scalar(sa.text(f"PRAGMA {one}")) or 0) for one in ("page_count", "page_size"))
    return pages * bytes_each
