"""The warning of a cold night that somebody's note forecast: told at once to the owners whom no answer has told already."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from bot.app.cold_nights import ColdNight, cold_night
from bot.app.plan import View
from bot.care.events import CareEvent
from bot.store import marks, notes, projections
from bot.store.database import Connection
from bot.store.notes import Note
from bot.store.people import Chat, Collection


@dataclass(frozen=True, slots=True)
class Forecast:
    """A minimum that a note forecast for a day and a place; `key` is the same for the same forecast."""

    key: str
    on: date
    place: str
    facts: Mapping[str, Any]


def to_tell(conn: Connection, collection_id: int, today: date) -> list[Forecast]:
    """Return the forecasts for today that were not looked at yet."""
    found = []
    for key, body in projections.load_kind(conn, collection_id, "readings", f"|{today.year}").items():
        place = key.partition("|")[0]
        for one in body["readings"]:
            if one.get("forecast") and one.get("min_c") is not None and one["on"] == today.isoformat():
                name = f"frost:{collection_id}:{today}:{place}:{one['min_c']:g}"
                found.append(Forecast(name, today, place, {key: one[key] for key in ("min_c", "forecast")}))
    return [one for one in found if marks.marked(conn, one.key) is None]


def mark_told(conn: Connection, forecast: Forecast, now: datetime) -> None:
    """Remember that a forecast was looked at."""
    marks.mark(conn, forecast.key, now)


def harmful(forecast: Forecast, view: View) -> ColdNight | None:
    """Return what the night means where it may harm plants, else None."""
    facts = dict(forecast.facts) | ({"place": forecast.place} if forecast.place else {})
    event = CareEvent(forecast.key, 0, forecast.on, view.now, "climate", facts=facts)
    night = cold_night(event, view)
    return night if night is not None and night.at_risk else None


def noted_on(conn: Connection, collection: Collection, day: date) -> bool:
    """Whether a note of that day holds a forecast."""
    return any(_forecasts(one) for one in _notes_of(conn, collection, day))


def answered(conn: Connection, collection: Collection, chat: Chat, day: date) -> bool:
    """Whether a note of that day in this chat held the forecast, so that its answer has told it."""
    return any(one.chat_id == chat.id and _forecasts(one) for one in _notes_of(conn, collection, day))


def _notes_of(conn: Connection, collection: Collection, day: date) -> list[Note]:
    start = datetime.combine(day, datetime.min.time(), ZoneInfo(collection.settings.zone))
    return notes.notes_between(conn, collection.id, start, start + timedelta(days=1))


def _forecasts(note: Note) -> bool:
    return any(one.get("type") == "climate" and one.get("forecast") for one in note.reading.get("entries", ()))
