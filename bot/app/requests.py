"""What a note asks the bot to do: act on a list of due things, learn a name, change a setting."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import time, timedelta
from typing import Any
from zoneinfo import available_timezones

from bot.app.groups import KEYS_JOINED_BY, Group
from bot.app.plan import MAX_C, MIN_C, Draft
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.notes.reading import Entry
from bot.store.people import CollectionSettings

# What "done" says besides: the act that the due thing asked for.
ACT_OF_DUE = {
    "pest_look": "inspected",
    "survivors_look": "inspected",
    "clear_look": "inspected",
    "late_look": "inspected",
    "treat_again": "treated",
    "suspicion_look": "inspected",
    "isolation_look": "inspected",
    "intake_look": "inspected",
    "release_look": "inspected",
    "pot_up": "potted",
    "first_water": "watered",
    "sowing_look": "inspected",
    "rooted_look": "inspected",
    "union_look": "inspected",
    "offset_look": "inspected",
    "prick_out": "pricked_out",
    "follow_up": "inspected",
    "midrest_look": "inspected",
}
LATER_DAYS = 7


def request(draft: Draft, entry: Entry) -> None:
    """Carry out a request, or say plainly that it cannot be done yet."""
    _REQUESTS.get(str(entry.do), _not_yet)(draft, entry)


def _listed(draft: Draft, entry: Entry) -> list[tuple[int, Group]]:
    """Return the lines that the numbers mean, of the list shown last."""
    by_key = {one.key: one for one in draft.view.due}
    listed = draft.view.talk.listed
    if not listed:
        draft.say("no_list")
        return []
    numbers = entry.numbers or ((1,) if len(listed) == 1 else ())
    if not numbers:
        draft.say("which_number", most=len(listed))
    found = []
    for number in numbers:
        keys = listed[number - 1].split(KEYS_JOINED_BY) if 1 <= number <= len(listed) else []
        present = tuple(by_key[key] for key in keys if key in by_key)
        if present:
            found.append((number, Group(present)))
        elif keys:
            draft.say("already_done", number=number)
        else:
            draft.say("no_such_number", number=number, most=len(listed))
    return found


def _handle(draft: Draft, kind: str, due: Due, **facts: Any) -> None:
    reminder = {"reminder": due.why["reminder"]} if due.kind == "reminder" else {}
    draft.event(kind, "", due.refs, draft.view.today, {"due": due.key} | reminder | facts)


def _done(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        for due in group.dues:
            _handle(draft, "done", due)
        act = ACT_OF_DUE.get(group.kind) or (group.dues[0].about if group.kind == "reminder" else "")
        facts = group.dues[0].why.get("repeat", {})  # the next treatment of a course is noted as the last one was given
        event = draft.event("event", act, group.refs, draft.view.today, facts) if act and group.refs else None
        draft.say("due_done", event, group=group, number=number)
        draft.current = group.refs


def _later(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        until = entry.until or max(group.on, draft.view.today) + timedelta(days=LATER_DAYS)
        if until <= draft.view.today:
            draft.say("impossible", what="past", on=until.isoformat())
            continue
        for due in group.dues:
            _handle(draft, "later", due, until=until.isoformat())
        draft.say("due_later", group=group, number=number, until=until.isoformat())


def _drop(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        for due in group.dues:
            _handle(draft, "dropped", due)
        draft.say("due_dropped", group=group, number=number)


def _why(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        draft.say("why", group=group, number=number)


def _teach(draft: Draft, entry: Entry) -> None:
    name = str(entry.to if isinstance(entry.to, str) and entry.to else entry.text or "").strip()
    found = draft.which(entry.which) if entry.which else None
    if found is None or not found.refs or not name:
        draft.say("teach_what")
        return
    owner = next(
        (
            one
            for one in draft.view.standing.things.values()
            if one.nickname.lower() == name.lower() and one.ref not in found.refs
        ),
        None,
    )
    ref = found.refs[0]
    event = draft.event("taught", ref.kind, (Ref(ref.kind, ref.key),), draft.view.today, {"name": name})
    draft.say("taught", event, owner=owner.key if owner else None)


def _set(draft: Draft, entry: Entry) -> None:
    words = str(entry.text or entry.to or "")
    before = draft.settings or draft.view.settings
    try:
        after = changed_settings(before, words)
    except ValueError as wrong:
        draft.say("setting_wrong", problem=str(wrong))
        return
    draft.settings = after
    draft.say("setting", words=words, before=before, after=after)


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


def _not_yet(draft: Draft, entry: Entry) -> None:
    draft.say("not_yet", do=entry.do)


_REQUESTS: dict[str, Callable[[Draft, Entry], None]] = {
    "done": _done,
    "later": _later,
    "drop": _drop,
    "why": _why,
    "teach": _teach,
    "set": _set,
}
