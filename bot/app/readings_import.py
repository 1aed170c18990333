"""A logger's days into the care log: each day of a place once, however often its file comes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.app import projecting
from bot.app.climates import setting_of
from bot.app.intake import local
from bot.app.readings_file import DayReading, Read, ReadingsProblem, read_readings
from bot.app.which import place_of
from bot.care.events import CareEvent, effective
from bot.store import carelog, people
from bot.store.database import Database
from bot.store.people import Collection

HOUSE = frozenset({"", "house", "the house", "greenhouse"})


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: days added, changed because the file now holds more, and already there; and the file as read."""

    added: int
    changed: int
    same: int
    read: Read


def import_readings(
    database: Database,
    text: str,
    place: str,
    now: datetime,
    zone: str | None = None,
    columns: Mapping[str, str] | None = None,
    unit: str = "",
    collection: str = "",
) -> Imported:
    """Write the days of a logger's CSV as thermometer entries of a place ("house" for the whole house).

    `zone` is that of the times in the file where they name none, by default that of the collection. `collection` is the
    name or public id of one, needed where the database holds several. A day that the grower took back stays taken back.
    Raises ReadingsProblem where the file cannot be read, or nobody can tell to which collection it belongs.
    """
    with database.write() as conn:
        into = collection_meant(people.all_collections(conn), collection)
        settings = into.settings
        home = ZoneInfo(settings.zone)
        read = read_readings(text, ZoneInfo(zone) if zone else home, home, columns, unit, settings.date_order)
        held = projecting.load(conn, into.id)
        named = "" if place.strip().lower() in HOUSE else place_of(place.strip(), held.standing)
        log = carelog.load(conn, into.id)
        news, counts = _news(log, read.days, named, now, into.public_id)
        events = carelog.append(conn, into.id, news)
        if events:
            _project(conn, into, held, events, now)
    return Imported(counts["added"], counts["changed"], counts["same"], read)


def collection_meant(collections: Sequence[Collection], wanted: str) -> Collection:
    """Return the collection of that name or public id; the only one there is where none is named.

    Raises ReadingsProblem, with the names to choose from, where that leaves none or several.
    """
    if not collections:
        raise ReadingsProblem("there is no collection yet: send the bot a first note")
    said = wanted.strip().casefold()
    found = [one for one in collections if said in ("", one.public_id.casefold(), one.settings.name.casefold())]
    if len(found) == 1:
        return found[0]
    names = ", ".join(f"{one.settings.name or 'no name'} ({one.public_id})" for one in collections)
    problem = f"no collection is called “{wanted.strip()}”" if not found else "there are several collections: say which"
    raise ReadingsProblem(f"{problem} (--collection NAME or id). There are: {names}")


def _project(conn: Any, collection: Collection, held: projecting.Projection, events: Sequence[CareEvent], now: datetime) -> None:
    standing = projecting.carry(conn, collection.id, held, events).standing
    today = local(now, collection.settings).date()
    projecting.save(conn, collection.id, held, standing, setting_of(standing, collection.settings, today))


def _news(
    log: Sequence[CareEvent], days: Sequence[DayReading], place: str, now: datetime, owner: str
) -> tuple[list[CareEvent], dict[str, int]]:
    """The events that the log lacks, and how many days were added, changed, the same."""
    there = {one.identity for one in log}
    counted = {one.identity: one for one in effective(log)}
    counts = {"added": 0, "changed": 0, "same": 0}
    news: list[CareEvent] = []
    for day in days:
        identity, facts = _identity(owner, place, day.day.isoformat()), _facts(day, place)
        if identity not in there:
            counts["added"] += 1
            news.append(CareEvent(identity, 0, day.day, now, "climate", facts=facts))
        elif identity not in counted or dict(counted[identity].facts) == facts:
            counts["same"] += 1
        else:
            counts["changed"] += 1
            patch = {"target": identity, "patch": {"facts": facts}}
            change = _identity(owner, place, day.day.isoformat(), *_values(facts), str(len(log)))
            news.append(CareEvent(change, 0, day.day, now, "amended", facts=patch))
    return news, counts


def _facts(day: DayReading, place: str) -> dict[str, Any]:
    facts: dict[str, Any] = {"min_c": day.min_c, "max_c": day.max_c, "logger": True}
    return facts | ({"rh": day.rh} if day.rh is not None else {}) | ({"place": place} if place else {})


def _values(facts: Mapping[str, Any]) -> Iterator[str]:
    return (f"{key}={facts[key]}" for key in sorted(facts))


def _identity(*parts: str) -> str:
    """The same parts (collection, place, day) always make the same identity: that is why a file may come twice."""
    return hashlib.sha256("|".join(("reading", *parts)).encode()).hexdigest()[:16]
