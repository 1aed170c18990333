"""What is said about the talk itself: what is silent, who is there, which collection, the first questions, photos."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from bot.app.cold_nights import ColdNight
from bot.app.english import answers, lists, phrases
from bot.app.english.told import Telling
from bot.app.first_talk import suggested_zone
from bot.app.groups import Group
from bot.app.plan import Plan, Said, View
from bot.care.events import Ref
from bot.messages import Button
from bot.store.people import CollectionSettings

MOST_SITTER_LINES = 20
SITTER_TAIL = "Nothing else needs doing; too dry is safer than too wet."  # common practice
TIMER = Button("timer 15 min", "take them out in 15 min")  # common practice: 10 to 15 minutes in the bath
NOTHING_DUE = "Nothing is due today."
FINISHED = "That is all I need. Write a note any time, such as: watered tray 3."
_QUESTIONS: dict[str, Callable[[CollectionSettings], str]] = {
    "place": lambda settings: "Where do the plants stand? Share your location, or type a latitude: 51.5 (south: -33.9).",
    "zone": lambda settings: f"Is your time zone {suggested_zone(settings)}? Say yes, or name it.",
    "coldest": lambda settings: "How cold does the house get in its coldest night, in °C? A number will do.",
    "morning": lambda settings: f"The morning message comes at {settings.morning_time:%H:%M}. Say yes, or another time.",
}

Told = Callable[[Said, Telling, tuple[Ref, ...]], str | list[str]]


def first_question(asked: str | None, settings: CollectionSettings) -> str:
    """Return a question of the first talk, or its end where none is left."""
    return _QUESTIONS[asked](settings) if asked else FINISHED


def question_buttons(asked: str | None, settings: CollectionSettings) -> list[tuple[Button, ...]]:
    """Return the buttons below a question of the first talk."""
    if asked is None:
        return []
    yes = {
        "zone": Button("yes", f"set zone {suggested_zone(settings)}"),
        "morning": Button("yes", f"set morning {settings.morning_time:%H:%M}"),
    }.get(asked)
    skip = Button("skip", f"skip the {asked} question")
    return [(yes, skip) if yes else (skip,)]


def buttons(plan: Plan, view: View) -> list[tuple[Button, ...]]:
    """Return the buttons that go with what is said here, and a timer below a wash."""
    rows: list[tuple[Button, ...]] = []
    washed = [one for one in plan.events if one.kind == "event" and one.what == "washed" and one.happened_on == view.today]
    if washed and not plan.undone and all("minutes" not in one.facts for one in washed):
        rows.append((TIMER,))
    for said in plan.said:
        if said.kind == "set_up":
            rows += question_buttons(said.facts["asked"], said.facts["settings"])
        elif said.kind == "lines":
            rows += said.facts["buttons"]
    return rows


def sign_of_life(view: View) -> str:
    """Return the weekly sign of life, with the day of what is due next."""
    next_days = sorted(one.on for one in view.due if one.on > view.today)
    return "Still here." + (f" Next is due {phrases.day(next_days[0], view.today)}." if next_days else " Nothing is due.")


def frost(night: ColdNight, view: View) -> str:
    """Return the warning of a cold night to come."""
    lines = answers.answer({"about": "cold_night", "night": night}, view, view.standing)
    return "\n".join([f"{night.night_c:g} °C forecast for tonight.", *lines])


def in_collection(name: str) -> str:
    """Return how a message is said to be about a collection."""
    return f"in {_called(name)}"


def _places(places: Sequence[str]) -> str:
    return phrases.joined([phrases.the(one) for one in places])


def _muted_places(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    places = said.facts["places"]
    return f"Muted: {_places(places)}. “unmute {places[0]}” ends it." if places else "No place is muted."


def _away(said: Said, talk: Telling, last: tuple[Ref, ...]) -> list[str]:
    gone, sheet = said.facts["gone"], said.facts["sheet"]
    first = f"Away until {phrases.day(gone.back, talk.today)}: what can wait is held. “back” ends it."
    if not sheet:
        return [first, "Nothing that I know of needs a sitter."]
    lines = [_sitter_line(day, group, talk) for day, group in sheet[:MOST_SITTER_LINES]]
    more = [f"and {len(sheet) - MOST_SITTER_LINES} more: say “whats due”"] if len(sheet) > MOST_SITTER_LINES else []
    return [first, "For your sitter:", *lines, *more, SITTER_TAIL]


def _sitter_line(day: date, group: Group, talk: Telling) -> str:
    what = lists.line(group, 0, talk.standing, day).removeprefix("0. ").partition(", since ")[0]
    return f"{day:%a} {day.day} {day:%b}: {what}"


def _collections(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    names = said.facts["names"]
    if len(names) == 1:
        return f"One collection: {names[0]}."
    return f"{phrases.joined(names)}. We speak of {said.facts['here']}. “switch to {_called(names[0])}” changes that."


def _called(name: str) -> str:
    return name if name.startswith("collection ") else f"{name} collection" if name == "my own" else f"the {name} collection"


def _set_up(said: Said, talk: Telling, last: tuple[Ref, ...]) -> list[str]:
    return [first_question(said.facts["asked"], said.facts["settings"])]


def _refiled(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    many = "The photo is" if said.facts["count"] == 1 else f"The {said.facts['count']} photos are"
    before = [one for one in said.facts["before"] if one not in said.facts["refs"]]
    was = f", not of {phrases.things(before, talk.standing)}" if before else ""
    return f"{many} of {phrases.things(said.facts['refs'], talk.standing)}{was}."


def _wanted(on: str, off: str) -> Told:
    return lambda said, talk, last: on if said.facts["wanted"] else off


def _names(facts: Mapping[str, Any]) -> str:
    return phrases.joined(facts["names"])


LINES = ("away", "set_up", "lines")  # said in lines of their own
SAID: dict[str, Told] = {
    "lines": lambda said, talk, last: list(said.facts["lines"]),
    "muted": lambda said, talk, last: f"Muted {said.facts['place']}: the morning message leaves it out, “whats due” does not.",
    "unmuted": lambda said, talk, last: f"No longer muted: {_places(said.facts['places'])}.",
    "muted_places": _muted_places,
    "no_such_place": lambda said, talk, last: f"I know no place {said.facts['place']}.",
    "nothing_due": _wanted("I will say so when nothing is due.", "I stay silent when nothing is due."),
    "weekly_sign": _wanted("A sign of life on Sundays, when there is nothing else.", "No more weekly sign of life."),
    "quiet_hours": lambda said, talk, last: (
        f"Nothing rings between {said.facts['hours'][0]:%H:%M} and {said.facts['hours'][1]:%H:%M}, but what you set a time for."
    ),
    "away": _away,
    "away_until_when": lambda said, talk, last: "Until when? Say it like this: away till 20 June.",
    "back": lambda said, talk, last: (
        f"Welcome back. {phrases.count_of(said.facts['waiting'], 'thing')} waited: “whats due”."
        if said.facts["waiting"]
        else "Welcome back. Nothing waited."
    ),
    "not_away": lambda said, talk, last: "I did not know that you were away.",
    "named_collection": lambda said, talk, last: f"This collection is called {said.facts['name']}.",
    "collections": _collections,
    "switched": lambda said, talk, last: (
        f"Now about {_called(said.facts['name'])}" + (", read only." if said.facts["role"] == "guest" else ".")
    ),
    "no_such_collection": lambda said, talk, last: f"You have no collection of that name: {_names(said.facts)}.",
    "not_a_member": lambda said, talk, last: "You have no part in this collection.",
    "owners_only": lambda said, talk, last: "Only an owner can change settings.",
    "guests_read": lambda said, talk, last: "You can ask here, not write: you are a guest.",
    "set_up": _set_up,
    "no_photo": lambda said, talk, last: "I have no photo from you here.",
    "no_such_plant": lambda said, talk, last: f"I know no plant “{said.facts['words']}”.",
    "refiled": _refiled,
    "photo_kept": lambda said, talk, last: "Photo kept.",
}
