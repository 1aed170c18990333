"""What is not kept for good: what a messenger sent along with a note, strangers' numbers, and where wanted words and photos."""

from __future__ import annotations

from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.tables import inbox, notes, photos

STRANGER = "stranger:"


def forget_raw(conn: Connection, before: datetime) -> int:
    """Empty what the messenger sent along with the messages handled before a moment; return how many that were."""
    handled = sa.and_(inbox.c.state == "done", inbox.c.got_at < before, inbox.c.raw != "")
    return conn.execute(sa.update(inbox).where(handled).values(raw="")).rowcount


def forget_strangers(conn: Connection, before: datetime) -> int:
    """Remove the rows that say that a stranger was told off before a moment; return how many that were."""
    theirs = sa.and_(inbox.c.update_key.startswith(STRANGER), inbox.c.state == "done", inbox.c.got_at < before)
    return conn.execute(sa.delete(inbox).where(theirs)).rowcount


def forget_words(conn: Connection, before: datetime) -> int:
    """Empty the words of the notes sent before a moment, and how they were read; return how many notes that were.

    The events that they wrote stay: the log holds what happened, not how it was said.
    """
    old = sa.and_(notes.c.sent_at < before, notes.c.text != "")
    came = sa.and_(inbox.c.state == "done", inbox.c.sent_at < before, inbox.c.text != "")
    conn.execute(sa.update(inbox).where(came).values(text="", raw=""))
    return conn.execute(sa.update(notes).where(old).values(text="", reading={}, choices={})).rowcount


def forget_photos(conn: Connection, before: date) -> list[str]:
    """Remove the photos taken before a day from the database; return the names of their files, which are to go after that."""
    old = sa.and_(photos.c.taken_on < before, photos.c.state != "waiting")
    names = list(conn.scalars(sa.select(photos.c.name).where(old, photos.c.name != "")))
    conn.execute(sa.delete(photos).where(old))
    return names
