"""What is due as an iCalendar file (RFC 5545, Desruisseaux 2009): all-day events that follow the dates as these move.

No event repeats: a date that comes from temperature has no rule. An event keeps its UID while its date moves, and its SEQUENCE
never falls, so that a calendar that holds an older copy takes the newer one.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

PRODUCT = "-//potside//care calendar//EN"
HEADERS: tuple[tuple[str, str], ...] = (
    ("Content-Type", "text/calendar; charset=utf-8"),
    ("Cache-Control", "private, no-cache"),  # asked about each time: a link that was taken back shows nothing
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("X-Robots-Tag", "noindex, nofollow"),
)
_EPOCH = date(2020, 1, 1)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that is due: a key that stays while its date moves, its first and last day, and its words."""

    key: str
    on: date
    until: date | None
    summary: str
    description: str = ""


def feed(entries: Iterable[Entry], name: str, now: datetime, revision: int) -> bytes:
    """Return the calendar; `revision` is a number that never falls, such as that of the newest event in the log."""
    from icalendar import Calendar  # noqa: PLC0415  only calendars need it

    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    made.add("method", "PUBLISH")
    made.add("x-wr-calname", name)
    for one in entries:
        made.add_component(_event(one, now, revision))
    return bytes(made.to_ical())


def entity_tag(content: bytes) -> str:
    """Return a weak entity tag (RFC 9110, 8.8.3) that stays as long as nothing but the moment of making has changed."""
    lasting = b"\r\n".join(one for one in content.split(b"\r\n") if not one.startswith(b"DTSTAMP"))
    return f'W/"{hashlib.sha256(lasting).hexdigest()[:32]}"'


def _event(one: Entry, now: datetime, revision: int) -> Any:
    from icalendar import Event  # noqa: PLC0415  as above

    event = Event()
    event.add("uid", uid(one.key))
    event.add("dtstamp", now.astimezone(UTC).replace(microsecond=0))
    event.add("dtstart", one.on)
    event.add("dtend", (max(one.until or one.on, one.on)) + timedelta(days=1))  # the end is the first day that is free again
    event.add("sequence", revision + (now.date() - _EPOCH).days)  # a date may move with the weather, without a note
    event.add("summary", one.summary)
    event.add("transp", "TRANSPARENT")
    event.add("class", "PRIVATE")
    if one.description:
        event.add("description", one.description)
    return event


def uid(key: str) -> str:
    """Return the identifier of what is due under a key, which tells nothing of it."""
    return f"{hashlib.sha256(key.encode()).hexdigest()[:32]}@potside"


def recipe_of(entries: Iterable[Entry], name: str, now: datetime, revision: int) -> dict[str, Any]:
    """Return what a file of the calendar is made from."""
    rows = [
        [one.key, one.on.isoformat(), one.until.isoformat() if one.until else None, one.summary, one.description]
        for one in entries
    ]
    return {"entries": rows, "name": name, "now": now.isoformat(), "revision": revision}


def from_recipe(recipe: Mapping[str, Any]) -> bytes:
    """Return the file that `recipe_of` describes."""
    entries = [
        Entry(key, date.fromisoformat(on), date.fromisoformat(until) if until else None, summary, description)
        for key, on, until, summary, description in recipe["entries"]
    ]
    return feed(entries, recipe["name"], datetime.fromisoformat(recipe["now"]), int(recipe["revision"]))
