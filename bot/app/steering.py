"""Words that set how the talk goes: what is silent, what is told, who is there, and to which photo or list a word belongs."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import time

from bot.app import away
from bot.app.first_talk import first_talk
from bot.app.holding import MUTED, NOTHING_DUE, QUIET, WEEKLY_SIGN, muted_places, quiet_hours, with_extra
from bot.app.plan import Draft
from bot.app.which import place_of
from bot.care.events import Ref

ALL_PLACES = frozenset({"all", "everything", "every place", "all places", "them all"})
_PLACE = r"(?:the )?(?P<place>[\w#' -]{1,40}?)[.!]?"
_ON_OFF = r"\b(?P<off>off|no|not|never|stop|don'?t|silent|quiet)\b"
_TIME = r"(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm)?"


def steered(text: str, draft: Draft) -> bool:
    """Carry out a text that sets how the talk goes; False where it is a note for the reader."""
    said = " ".join(text.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    return (
        _plants_of_photo(said, draft)
        or first_talk(said, draft)
        or any(_matches(pattern, said, rule, draft) for pattern, rule in _RULES)
    )


def _matches(pattern: re.Pattern[str], said: str, rule: Callable[[Draft, re.Match[str]], None], draft: Draft) -> bool:
    match = pattern.fullmatch(said)
    if match is None:
        return False
    rule(draft, match)
    return True


def _mute(draft: Draft, match: re.Match[str]) -> None:
    view = draft.view
    place = place_of(match["place"], view.standing)
    if ("place", place) not in view.standing.things:
        draft.say("no_such_place", place=place)
        return
    kept = [one for one in muted_places(view.settings) if one.lower() != place.lower()]
    draft.settings = with_extra(view.settings, **{MUTED: [*kept, place]})
    draft.say("muted", place=place)


def _unmute(draft: Draft, match: re.Match[str]) -> None:
    view = draft.view
    muted = muted_places(view.settings)
    said = (match["place"] or "").lower()
    every = said in ALL_PLACES or (not said and len(muted) == 1)
    place = place_of(said, view.standing) if said else ""
    gone = [one for one in muted if every or one.lower() == place.lower()]
    if not gone:
        draft.say("muted_places", places=muted)
        return
    draft.settings = with_extra(view.settings, **{MUTED: [one for one in muted if one not in gone] or None})
    draft.say("unmuted", places=tuple(gone))


def _muted(draft: Draft, _: re.Match[str]) -> None:
    draft.say("muted_places", places=muted_places(draft.view.settings))


def _flag(name: str) -> Callable[[Draft, re.Match[str]], None]:
    def change(draft: Draft, match: re.Match[str]) -> None:
        wanted = re.search(_ON_OFF, match[0], re.IGNORECASE) is None
        draft.settings = with_extra(draft.view.settings, **{name: wanted or None})
        draft.say(name, wanted=wanted)

    return change


def _quiet(draft: Draft, match: re.Match[str]) -> None:
    times = [_time(*part) for part in re.findall(_TIME, match["times"], re.IGNORECASE)]
    start, end = (times[0], times[1]) if len(times) == 2 else (None, None)
    if start is None or end is None or start == end:
        draft.say("setting_wrong", problem="quiet hours want two times, such as: quiet hours 22:00 to 07:00")
        return
    draft.settings = with_extra(draft.view.settings, **{QUIET: [start.isoformat("minutes"), end.isoformat("minutes")]})
    draft.say("quiet_hours", hours=quiet_hours(draft.settings))


def _time(hour: str, minute: str, half: str) -> time | None:
    number = int(hour) % 12 + (12 if half.lower() == "pm" else 0) if half else int(hour)
    return time(number, int(minute or 0)) if number < 24 and int(minute or 0) < 60 else None


def _back(draft: Draft, _: re.Match[str]) -> None:
    away.back(draft)


def _name(draft: Draft, match: re.Match[str]) -> None:
    name = match["name"].strip(" .!\"'")
    values = draft.view.settings.to_json() | {"name": name}
    draft.settings = type(draft.view.settings).from_json(values)
    draft.say("named_collection", name=name)


def _plants_of_photo(text: str, draft: Draft) -> bool:
    """Take bare labels for what today's photo shows that nobody has named yet."""
    view = draft.view
    unnamed = view.photos and not view.photos[0].refs and view.photos[0].taken_on == view.today
    if not unnamed or view.open_note is not None:
        return False
    names = _names(text.rstrip(".! "))
    if not names or any(_plant(one, draft) is None for one in names):
        return False
    _refile(draft, text, names)
    return True


def _photo(draft: Draft, match: re.Match[str]) -> None:
    """Let the photos spoken of show other plants."""
    _refile(draft, match["plants"], _names(match["plants"]))


def _names(text: str) -> list[str]:
    return [one.lstrip("#") for one in re.split(r"\s*(?:,|\band\b|\+|&)\s*", text) if one]


def _refile(draft: Draft, words: str, names: list[str]) -> None:
    view = draft.view
    refs = tuple(found for one in names if (found := _plant(one, draft)) is not None)
    if not view.photos:
        draft.say("no_photo")
    elif len(refs) < len(names):
        draft.say("no_such_plant", words=words)
    else:
        draft.refiled = refs
        draft.say("refiled", refs=refs, before=view.photos[0].refs, count=len(view.photos))
        draft.current = refs


def _plant(words: str, draft: Draft) -> Ref | None:
    """Return the plant of a label or nickname; a label that nobody has used yet is one all the same."""
    low = words.lower()
    for thing in draft.view.standing.things.values():
        if thing.kind != "house" and low in (thing.key.lower(), thing.nickname.lower()):
            return thing.ref
    return Ref("plant", words) if words.isdigit() else None


def _bare(draft: Draft, _: re.Match[str]) -> None:
    listed = draft.view.talk.listed
    draft.say("which_number", most=len(listed)) if listed else draft.say("no_list")


def _pattern(text: str) -> re.Pattern[str]:
    return re.compile(text, re.IGNORECASE)


_RULES = (
    (_pattern(rf"mute {_PLACE}"), _mute),
    (_pattern(rf"unmute(?: {_PLACE})?[.!]?"), _unmute),
    (_pattern(r"(?:what(?:'?s| is)|which places are) muted\W*"), _muted),
    (
        _pattern(
            r"(?:(?:please )?(?:tell me|say so|say it|write|message me|stay silent|stay quiet|be silent|be quiet|don'?t say so|"
            r"say nothing|don'?t tell me|no message) (?:also |even )?(?:if|when) (?:there is |there's )?nothing(?: is|'s)? due|"
            r"nothing[ -]due(?: message)?:? (?:on|off))[.!]?"
        ),
        _flag(NOTHING_DUE),
    ),
    (
        _pattern(
            r"(?:(?:no|stop the|a|the|send a|send me a|i want a) )?(?:weekly )?sign of life"
            r"(?: (?:every week|each week|weekly|on sundays|please))?(?::? (?:on|off))?[.!]?"
        ),
        _flag(WEEKLY_SIGN),
    ),
    (_pattern(r"(?:set )?quiet(?: hours?)?:? (?:are |is |from )?(?P<times>\d.*)"), _quiet),
    (_pattern(r"(?:i'?m |i am |we'?re |we are )?(?:back(?: home)?(?: again)?|home again|no longer away|not away)[.!]?"), _back),
    (
        _pattern(
            r"(?:please )?(?:(?:name|call) (?:this|my|the|our) collection|set (?:the |my )?(?:collection )?name(?: to)?)"
            r" (?:the )?(?P<name>[^\n]{1,40})"
        ),
        _name,
    ),
    (
        _pattern(
            r"(?:(?:this|that|the|these|those) )?(?:photos?|pictures?|pics?) (?:=|is|are|was|were|shows?) (?:of )?"
            r"(?P<plants>#?[\w'-]+(?:\s*(?:,|\band\b|\+|&)\s*#?[\w'-]+)*?)(?:,? (?:and )?not (?:of )?#?[\w'-]+)?[.!]?"
        ),
        _photo,
    ),
    (_pattern(r"(?:done|did it|done it|later|drop it|drop|why)\W*"), _bare),
)
