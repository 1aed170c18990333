"""The first talk: at most four short questions, each of which can be skipped, while notes are taken all along."""

from __future__ import annotations

import math
import re
from zoneinfo import available_timezones

from bot.app.holding import with_extra
from bot.app.plan import Draft
from bot.app.setting_words import changed_settings
from bot.care.normals import zone_places
from bot.store.people import CollectionSettings

ASKED = "first_talk"
QUESTIONS = ("place", "zone", "coldest", "morning")
_NUMBER = r"(?:about |around |ca\.? ?)?[-+]?\d+(?:[.,]\d+)?\s*(?:°|degrees|deg)?\s*"
_ANSWERS = {
    "place": re.compile(rf"(?:at |on )?{_NUMBER}(?:n|s|north|south)?[.!]?", re.IGNORECASE),
    "zone": re.compile(r"[A-Za-z][\w+-]*(?:[/ ][\w+-]+){0,3}[.!]?"),
    "coldest": re.compile(rf"{_NUMBER}[cf]?[.!]?", re.IGNORECASE),
    "morning": re.compile(r"(?:at )?\d{1,2}(?:[:.h]\d{2})?\s*(?:am|pm|o'?clock)?[.!]?", re.IGNORECASE),
}
_ABOUT = re.compile(r"^(?:about|around|ca\.?|at|on) ", re.IGNORECASE)
_SET = {"place": "latitude {}", "zone": "zone {}", "coldest": "coldest night {}", "morning": "morning {}"}
_SKIP = re.compile(r"(?:skip|next|pass|don'?t know|no idea)(?: (?:this|that|it|question|this question))?[.!]?", re.IGNORECASE)
_SKIP_ONE = re.compile(r"skip the (place|zone|coldest|morning) question", re.IGNORECASE)  # what the buttons say
_STOP = re.compile(r"skip (?:all|the rest|them all)|stop asking|no more questions|(?:ask me )?later[.!]?", re.IGNORECASE)
_YES = re.compile(r"(?:yes|ok|okay|fine|right|that'?s right|correct|keep it|good)[.!]?", re.IGNORECASE)
_BEGIN = re.compile(r"/?set ?up|/?setup|set me up|set up the (?:bot|collection)|ask me the (?:first )?questions", re.IGNORECASE)
_LOCATION = re.compile(r"(?:my |our )?location (?:is |= ?)?(-?\d{1,2}(?:\.\d+)?)[, ]+(-?\d{1,3}(?:\.\d+)?)[.!]?", re.IGNORECASE)


def begun(settings: CollectionSettings) -> CollectionSettings:
    """Return the settings with the first question open; what is set already is not asked."""
    return _at(settings, next((one for one in QUESTIONS if not _known(one, settings)), None))


def asked(settings: CollectionSettings) -> str | None:
    """Return the question that is open, or None."""
    return settings.extra.get(ASKED)


def suggested_zone(settings: CollectionSettings) -> str:
    """Return the zone whose city lies nearest to the place that was told, else the zone that is set."""
    if settings.latitude is None or settings.longitude is None:
        return settings.zone
    places, here = zone_places(), (settings.latitude, settings.longitude)
    return min(sorted(places.keys() & available_timezones()), key=lambda name: _angle(here, places[name]), default=settings.zone)


def first_talk(text: str, draft: Draft) -> bool:
    """Carry out a text that belongs to the first talk; False where it is a note, or about something else."""
    if _BEGIN.fullmatch(text):
        draft.settings = _at(draft.view.settings, QUESTIONS[0])
        draft.say("set_up", asked=QUESTIONS[0], settings=draft.settings)
        return True
    skipped = _SKIP_ONE.fullmatch(text)
    if skipped is not None:
        return _skip(draft, skipped[1].lower())
    located = _LOCATION.fullmatch(text)
    if located is not None:
        return _locate(draft, float(located[1]), float(located[2]))
    question = asked(draft.view.settings)
    return question is not None and draft.view.open_note is None and _answer(text, question, draft)


def follow(draft: Draft) -> None:
    """Go on to the next question where a setting answered the open one, whichever words set it."""
    settings = draft.settings
    question = asked(settings) if settings else None
    if settings is not None and question is not None and _changed(question, draft.view.settings, settings):
        _next(draft, question, settings)


def _answer(text: str, question: str, draft: Draft) -> bool:
    settings = draft.view.settings
    if _STOP.fullmatch(text):
        draft.settings = _at(settings, None)
        draft.say("set_up", asked=None, settings=draft.settings)
        return True
    if _SKIP.fullmatch(text):
        _next(draft, question, settings)
        return True
    if _YES.fullmatch(text) and question in ("zone", "morning"):
        wanted = suggested_zone(settings) if question == "zone" else settings.morning_time.isoformat("minutes")
        return _take(draft, question, wanted)
    if not _ANSWERS[question].fullmatch(text):
        return False
    said = text.rstrip(".! ")
    zone = _zone_named(said) if question == "zone" else ""
    return bool(zone or question != "zone") and _take(draft, question, zone or said)


def _skip(draft: Draft, question: str) -> bool:
    """Leave a question out; where it is open no more, as with an old button, what is open stays so."""
    settings = draft.view.settings
    if question == asked(settings):
        _next(draft, question, settings)
    else:
        draft.say("set_up", asked=asked(settings), settings=settings)
    return True


def _take(draft: Draft, question: str, said: str) -> bool:
    before, bare = draft.view.settings, _ABOUT.sub("", said)
    try:
        after = changed_settings(before, _SET[question].format(bare))
    except ValueError as wrong:
        draft.say("setting_wrong", problem=str(wrong))
        return True
    draft.say("setting", words=said, before=before, after=after)
    _next(draft, question, after)
    return True


def _locate(draft: Draft, latitude: float, longitude: float) -> bool:
    before = draft.view.settings
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        draft.say("setting_wrong", problem="a location is a latitude and a longitude, such as: my location is 51.5 -0.1")
        return True
    after = changed_settings(before, f"latitude {latitude}")
    after = CollectionSettings.from_json(after.to_json() | {"longitude": longitude})
    draft.settings = after
    draft.say("setting", words="location", before=before, after=after)
    if asked(after) == "place":
        _next(draft, "place", after)
    return True


def _next(draft: Draft, question: str, settings: CollectionSettings) -> None:
    later = QUESTIONS[QUESTIONS.index(question) + 1 :]
    draft.settings = _at(settings, later[0] if later else None)
    draft.say("set_up", asked=asked(draft.settings), settings=draft.settings)


def _at(settings: CollectionSettings, question: str | None) -> CollectionSettings:
    return with_extra(settings, **{ASKED: question})


def _known(question: str, settings: CollectionSettings) -> bool:
    return settings.latitude is not None if question == "place" else settings.floor_c is not None and question == "coldest"


def _changed(question: str, before: CollectionSettings, after: CollectionSettings) -> bool:
    field = {"place": "latitude", "zone": "zone", "coldest": "floor_c", "morning": "morning_time"}[question]
    return bool(getattr(before, field) != getattr(after, field))


def _zone_named(said: str) -> str:
    """Return the zone of that name or city; empty where none or several are called so."""
    wanted = said.lower().replace(" ", "_")
    names = sorted(available_timezones())
    exact = [one for one in names if one.lower() == wanted]
    return next(iter(exact or _only([one for one in names if "/" in one and one.lower().rpartition("/")[2] == wanted])), "")


def _only(found: list[str]) -> list[str]:
    return found if len(found) == 1 else []


def _angle(one: tuple[float, float], other: tuple[float, float]) -> float:
    """The great-circle angle between two places in radians, by the haversine formula."""
    (a, b), (c, d) = (tuple(map(math.radians, place)) for place in (one, other))
    h = math.sin((c - a) / 2) ** 2 + math.cos(a) * math.cos(c) * math.sin((d - b) / 2) ** 2
    return 2 * math.asin(min(1.0, math.sqrt(h)))
