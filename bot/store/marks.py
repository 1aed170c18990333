"""Moments that the program remembers by name."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.inserting import upsert
from bot.store.tables import marks


def mark(conn: Connection, name: str, moment: datetime) -> None:
    """Remember a moment under a name, in place of what was there."""
    upsert(conn, marks, [{"name": name, "moment": moment}])


def marked(conn: Connection, name: str) -> datetime | None:
    """Return the moment remembered under a name, or None."""
    moment: datetime | None = conn.execute(sa.select(marks.c.moment).where(marks.c.name == name)).scalar_one_or_none()
    return moment


def unmark(conn: Connection, name: str) -> None:
    """Forget a name."""
    conn.execute(sa.delete(marks).where(marks.c.name == name))


def names_marked(conn: Connection, beginning: str) -> list[str]:
    """Return the names that begin so, in order."""
    begins = marks.c.name.startswith(beginning, autoescape=True)
    return list(conn.scalars(sa.select(marks.c.name).where(begins).order_by(marks.c.name)))
