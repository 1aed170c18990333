"""A setting in words: which one is meant, and to what it is to be set."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import time
from zoneinfo import available_timezones

from bot.app.plan import MAX_C, MIN_C
from bot.store.people import CollectionSettings


def changed_settings(settings: CollectionSettings, words: str) -> CollectionSettings:
    """Return the settings with the change that words ask for. Raises ValueError with what is wanted."""
    text = re.sub(r"^(please\s+)?(set|my|the)\s+(my\s+|the\s+)?", "", words.strip(), flags=re.IGNORECASE)
    for pattern, change in _SETTINGS:
        match = re.search(pattern, text, flags=re.IGNORECASE)
        if match:
            return change(settings, match[1].strip())
    raise ValueError("I can set: latitude 51.5, zone Europe/Prague, morning 07:15, coldest night 5, units, date order, normals")


def _latitude(settings: CollectionSettings, said: str) -> CollectionSettings:
    match = re.match(r"([-+]?\d+(?:[.,]\d+)?)\s*(°|degrees|deg)?\s*([ns]|north|south)?", said, flags=re.IGNORECASE)
    if not match:
        raise ValueError("latitude wants degrees, such as: set latitude 51.5 (south: -33.9)")
    value = float(match[1].replace(",", ".")) * (-1 if (match[3] or "n").lower().startswith("s") else 1)
    if not -90 <= value <= 90:
        raise ValueError("a latitude lies between -90 and 90, such as: set latitude 51.5")
    return replace(settings, latitude=value)


def _zone(settings: CollectionSettings, said: str) -> CollectionSettings:
    name = said.split(maxsplit=1)[0]
    known = next((one for one in available_timezones() if one.lower() == name.lower()), None)
    if known is None:
        raise ValueError(f"I know no time zone {name!r}; it wants a name such as Europe/Prague")
    return replace(settings, zone=known)


def _morning(settings: CollectionSettings, said: str) -> CollectionSettings:
    match = re.search(r"(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm)?", said, flags=re.IGNORECASE)
    hour = int(match[1]) if match else 24
    if match and match[3] and hour <= 12:
        hour = hour % 12 + (12 if match[3].lower() == "pm" else 0)
    if match is None or hour > 23 or int(match[2] or 0) > 59:
        raise ValueError("the morning message wants a time, such as: set morning 07:15")
    return replace(settings, morning_time=time(hour, int(match[2] or 0)))


def _floor(settings: CollectionSettings, said: str) -> CollectionSettings:
    match = re.search(r"(-?\d+(?:[.,]\d+)?)\s*(?:°|degrees|deg)?\s*([cf]\b)?", said, flags=re.IGNORECASE)
    scale = (match[2] or "").lower() if match else ""
    if match is None or not -30 <= (value := _celsius(match[1].replace(",", "."), scale, settings)) <= 30:
        raise ValueError("the coldest night of the house wants degrees, such as: my coldest night is 5")
    return replace(settings, floor_c=value)


def _celsius(said: str, scale: str, settings: CollectionSettings) -> float:
    """Return °C: `scale` is c or f where it was said, else that of the grower's units."""
    fahrenheit = scale == "f" or (not scale and settings.units == "us")
    return round((float(said) - 32) / 1.8, 1) if fahrenheit else float(said)


def _units(settings: CollectionSettings, said: str) -> CollectionSettings:
    us = re.match(r"(us|u\.s|imperial|fahrenheit|f|inch(es)?)\b", said, flags=re.IGNORECASE) is not None
    if not us and not re.match(r"(metric|celsius|c)\b", said, flags=re.IGNORECASE):
        raise ValueError("units are metric or us")
    return replace(settings, units="us" if us else "metric")


def _date_order(settings: CollectionSettings, said: str) -> CollectionSettings:
    order = said.lower().replace("/", "")[:3]
    if order not in ("dmy", "mdy"):
        raise ValueError("the date order is dmy (24/12) or mdy (12/24)")
    return replace(settings, date_order=order)


def _normals(settings: CollectionSettings, said: str) -> CollectionSettings:
    found = re.findall(r"(-?\d+(?:\.\d+)?)\s*/\s*(-?\d+(?:\.\d+)?)", said)
    pairs = [(_celsius(low, "", settings), _celsius(high, "", settings)) for low, high in found]
    if len(pairs) != 12 or any(not MIN_C <= low <= high <= MAX_C for low, high in pairs):
        raise ValueError("normals want twelve pairs min/max, January first: set normals 1/6 1/7 3/10 5/13 8/17 …")
    outside = re.search(r"\b(outside|outdoors?|station)\b", said, flags=re.IGNORECASE) is not None
    extra = {key: value for key, value in settings.extra.items() if key != "normals_outside"}
    return replace(settings, normals=tuple(pairs), extra=extra | ({"normals_outside": True} if outside else {}))


_SETTINGS: tuple[tuple[str, Callable[[CollectionSettings, str], CollectionSettings]], ...] = (
    (r"latitude\s*(?:is|to|=|:)?\s*(.+)", _latitude),
    (r"(?:time\s*)?zone\s*(?:is|to|=|:)?\s*(.+)", _zone),
    (r"(?:morning|digest)\D*(\d.*)", _morning),
    (r"(?:coldest night|heater|floor|minimum)[^-\d]*(-?\d.*)", _floor),
    (r"units?\s*(?:is|are|to|=|:)?\s*(.+)", _units),
    (r"date order\s*(?:is|to|=|:)?\s*(.+)", _date_order),
    (r"((?:(?:outside|outdoors?|station)\s+)?normals\b.+)", _normals),
)
