"""What is not kept for good: what a messenger sent along with a note, strangers' numbers, and where wanted the words of notes."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.tables import inbox, notes

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
