"""What is asked of the desk and not of the bench: orders and parcels, shared lists, the calendar, labels, pictures."""

from __future__ import annotations

from bot.app import sharing_talk
from bot.app.calendar_talk import calendar_asked
from bot.app.labels_talk import labels_asked
from bot.app.log_talk import log_asked
from bot.app.merging_words import merging_asked
from bot.app.photo_strip import photos_asked
from bot.app.picture_talk import picture_asked
from bot.app.plan import Plan, View
from bot.app.revival_words import revival_asked
from bot.app.slips import slip_asked
from bot.app.swaps import swap_asked
from bot.app.transit_words import transit_asked
from bot.notes.reading import Reading
from bot.store.database import Connection


def answered(conn: Connection, reading: Reading, view: View, collection_id: int, role: str | None, inbox_id: int) -> Plan | None:
    """Return the plan of words about lists that others see or about paper; None where the words are about something else."""
    return (
        transit_asked(conn, view, collection_id, role)
        or slip_asked(conn, view, collection_id, role)
        or merging_asked(conn, view, collection_id, role)
        or revival_asked(conn, view, collection_id, role)
        or log_asked(conn, reading, view, collection_id, role)
        or calendar_asked(conn, view, collection_id, role)
        or sharing_talk.answered(conn, reading, view, collection_id, role)
        or swap_asked(conn, view, collection_id, role)
        or labels_asked(conn, reading, view, role)
        or picture_asked(conn, reading, view, collection_id, role)
        or photos_asked(conn, view, collection_id, role, inbox_id)
    )
