"""Notes as they were typed, by the days on which they were sent."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.store import carelog, notes
from bot.store.database import Connection


def typed_between(conn: Connection, collection_id: int, first: date, last: date, zone: ZoneInfo) -> tuple[tuple[date, str], ...]:
    """Return (day, text) of the notes of some days, both ends in, that wrote something or were kept as a remark; oldest first."""
    start = datetime.combine(first, datetime.min.time(), zone)
    end = datetime.combine(last + timedelta(days=1), datetime.min.time(), zone)
    found = notes.notes_between(conn, collection_id, start, end)
    wrote = carelog.notes_that_wrote(conn, [one.id for one in found])
    kept = (one for one in found if one.id in wrote or one.decision not in ("answer", "do"))
    return tuple((one.sent_at.astimezone(zone).date(), one.text) for one in kept)


__all__ = ["typed_between"]
