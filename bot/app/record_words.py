"""Words that put the record right or add to it: names for plants and places, when something was and on which plants."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from bot.app import corrections, requests
from bot.app.english import logged, record
from bot.app.nearest import near
from bot.app.plan import Draft, View
from bot.app.ruling import named
from bot.app.which import names_something, place_of
from bot.care.events import CareEvent, Ref
from bot.care.genera import genus_row
from bot.care.standing import Standing, Thing
from bot.messages import Button
from bot.notes.reader import read
from bot.notes.reading import Entry, Selection

LABEL = r"(?:no\.? ?|#|number )?(?P<label>(?:[A-Za-z]{1,4}[-./]?)?\d[\w.-]*)"
_PLACE = re.compile(
    r"(?:rename|call) (?:the )?(?P<place>[\w -]+?) (?:to|as|is now) (?:the )?(?P<name>[\w -]+?)[.! ]*", re.IGNORECASE
)
_NICKNAME = re.compile(rf"{LABEL} is (?:called |named )?[\"“']?(?P<name>[A-Z][a-z'-]+(?: [A-Z][a-z'-]+)?)[\"”']?[.! ]*")
_WAS_WHEN = re.compile(
    r"(?P<the>(?:the|that) )?(?:last )?(?P<act>[a-z]+ing|soak|feed|spray|repot)(?: of (?P<what>[\w ,-]+?))? was "
    r"(?:really |actually )?(?:on |done )?(?P<when>.+?)[.! ]*",
    re.IGNORECASE,
)
_WAS_WHICH = re.compile(
    r"(?:the|that|my) (?P<when>.*\d.*|today'?s?|yesterday'?s?|\w+day'?s?) (?P<act>[a-z]+ing|soak|feed|spray|repot) was "
    r"(?:really |actually |only )?(?P<what>.+?)[.! ]*",
    re.IGNORECASE,
)
_DONE_TO = re.compile(r"(?:watered|soaked|fed|misted|repotted|sprayed) (?P<name>[a-z]+?)[.! ]*", re.IGNORECASE)
_DONE = {"soak": "soaked", "feed": "fed", "spray": "sprayed", "repot": "repotted"}
_A_NUMBER = re.compile(r"\b(?:cm|mm|ml|litres?|grams?|g)\b|\bnot \d", re.IGNORECASE)


def record_command(text: str, draft: Draft) -> bool:
    """Carry out words about the record; False where the text is a note for the reader."""
    said = " ".join(text.split())
    return any(rule(said, draft) for rule in _RULES)


def _renamed(text: str, draft: Draft) -> bool:
    """Take "rename bench 2 to oak shelf" as a name that the place has from now on too."""
    match = _PLACE.fullmatch(text)
    if match is None:
        return False
    standing = draft.view.standing
    place = place_of(match["place"].lower(), standing)
    thing = standing.things.get(("place", place))
    if thing is None:
        return False
    taken = next((one for one in standing.things.values() if one.kind == "place" and _is_called(one, match["name"])), None)
    if taken is not None:
        draft.tell(record.NAME_TAKEN.format(name=match["name"], key=taken.key))
        return True
    requests.request(draft, Entry("request", do="teach", which=Selection(places=(place,)), to=match["name"], text=text))
    return True


def _is_called(thing: Thing, name: str) -> bool:
    return name.lower() in (thing.key.lower(), *(one.lower() for one in thing.aliases))


def _nicknamed(text: str, draft: Draft) -> bool:
    """Take "12 is Bob" as a name of the plant's own, where Bob is no genus and no word of the bench."""
    match = _NICKNAME.fullmatch(text)
    if match is None or draft.view.standing.plant(match["label"]) is None:
        return False
    first = match["name"].split(" ")[0]
    asked = read(f"watered {match['name'].lower()}", draft.view.now.replace(tzinfo=None), draft.view.standing.names())
    known = any(one.which is not None and not one.which.words for one in asked.entries)
    if (
        known
        or genus_row(first.lower()) is not None
        or any(one.type != "remark" for one in read(first, draft.view.now.replace(tzinfo=None)).entries)
    ):
        return False
    requests.request(draft, Entry("request", do="teach", which=Selection(labels=(match["label"],)), to=match["name"], text=text))
    return True


def _was_when(text: str, draft: Draft) -> bool:
    """Take "the watering of 15 was the 2nd" as another day for what was written, not as a second watering."""
    match = _WAS_WHEN.fullmatch(text)
    if match is None:
        return False
    view, what = draft.view, match["what"] or ""
    if not (what or match["the"]):
        return False
    if _A_NUMBER.search(match["when"]):
        draft.tell(record.BY_NUMBER.format(what=what or "the collection"))
        return True
    what, then = _dated(what, view)
    asked = read(f"{_done(match['act'])} {what} {match['when']}", view.now.replace(tzinfo=None), view.standing.names())
    entry = next((one for one in asked.entries if one.type == "event"), None)
    day = entry.when if entry is not None else None
    if entry is None or (day is None and not re.search(r"\btoday\b", match["when"], re.IGNORECASE)):
        return False
    refs = set(named(what, draft)) if what and not _unknown_number(what, view.standing) else set()
    if what and not refs:  # of nobody known: never the newest of whoever else
        draft.tell(record.no_parent(what, near(what, view.standing)))
        return True
    written = [one for one in view.recent if one.kind == "event" and one.what == entry.act and _about(one, refs)]
    written = [one for one in written if then is None or one.happened_on == then]
    if not written:
        draft.say("nothing_to_fix")
        return True
    meant = [one for one in written if one.note == written[-1].note]
    corrections.set_day(draft, day or view.today, meant)
    return True


def _was_which(text: str, draft: Draft) -> bool:
    """Take "the 12 Apr watering was bench 1" as other plants for what was written that day, not as a second watering."""
    match = _WAS_WHICH.fullmatch(text)
    if match is None:
        return False
    view = draft.view
    entry = _which_meant(match, view)
    if entry is None:
        return False
    which = Selection(labels=(match["what"],)) if match["what"].isdigit() else entry.which
    if which is None or not names_something(which):
        return False
    day = entry.when or view.today
    written = [one for one in view.recent if (one.kind, one.what, one.happened_on) == ("event", entry.act, day)]
    if not written:
        draft.say("nothing_to_fix")
        return True
    missing = _missing(which, view.standing)
    if missing:
        draft.tell(record.no_parent(missing, near(missing, view.standing)))
        return True
    if len({one.note for one in written}) > 1:
        _ask_which_of(written, match["what"], draft)
        return True
    corrections.set_which(draft, which, written)
    return True


def _ask_which_of(written: Sequence[CareEvent], what: str, draft: Draft) -> None:
    """Ask which of several entries of a day is meant; a button puts that one right by its number."""
    view = draft.view
    shown = written[-4:]
    buttons = tuple((Button(f"event {one.sequence}", f"event {one.sequence} was {what}"),) for one in shown)
    draft.tell(*logged.which_of(shown, view, view.standing), buttons=buttons)


def _missing(which: Selection, standing: Standing) -> str:
    """Return the first plant or place named that is not there."""
    plants = (one for one in which.labels if standing.plant(one) is None)
    places = (one for one in which.places if ("place", place_of(one, standing)) not in standing.things)
    return next(iter((*plants, *places)), "")


def _nobody(text: str, draft: Draft) -> bool:
    """Say of "watered bob" that there is no Bob: a yes to the act alone would write it on what was spoken of last."""
    match = _DONE_TO.fullmatch(text)
    if match is None:
        return False
    view = draft.view
    asked = read(text, view.now.replace(tzinfo=None), view.standing.names())
    if asked.ask != "act" or match["name"].lower().endswith("ly"):
        return False
    draft.tell(record.nobody(match["name"], near(match["name"], view.standing)))
    return True


def _about(event: CareEvent, refs: set[Ref]) -> bool:
    return not refs or bool({(one.kind, one.key) for one in event.refs} & {(one.kind, one.key) for one in refs})


def _dated(what: str, view: View) -> tuple[str, date | None]:
    """Return what an entry is about, apart from the day that is named with it: "12 on 12 april"."""
    found = re.fullmatch(r"(.+?) on (.+)", what)
    asked = _read(f"watered 1 on {found[2]}", view) if found is not None else ()
    return (found[1], asked[0].when) if found is not None and len(asked) == 1 and asked[0].when is not None else (what, None)


def _unknown_number(words: str, standing: Standing) -> bool:
    """Whether words are the number of a plant that is not there."""
    return words.strip().isdigit() and standing.plant(words.strip()) is None


def day_meant(text: str, view: View) -> date | None:
    """Return the day of the old entry that words put right, as far back as it may lie; None where they put nothing right."""
    said = " ".join(text.split())
    if match := _WAS_WHICH.fullmatch(said):
        entry = _which_meant(match, view)
        return (entry.when or view.today) if entry is not None else None
    match = _WAS_WHEN.fullmatch(said)
    if match is None or not match["what"]:
        return None
    draft = Draft(view, "do", None)
    _, then = _dated(match["what"], view)
    if then is not None:
        return then
    act = next(
        (one.act for one in _read(f"{_done(match['act'])} {match['what']} {match['when']}", view) if one.type == "event"), None
    )
    things = (view.standing.things.get((one.kind, one.key)) for one in named(match["what"], draft))
    days = [one.last[act] for one in things if one is not None and act in one.last]
    return date.fromisoformat(min(days)) if days else None


def _done(act: str) -> str:
    """Return an act as something done: "feed 12 on the 3rd" would be a plan."""
    return _DONE.get(act.lower(), act)


def _read(words: str, view: View) -> tuple[Entry, ...]:
    return read(words, view.now.replace(tzinfo=None), view.standing.names()).entries


def _which_meant(match: re.Match[str], view: View) -> Entry | None:
    """Return what "the 12 Apr watering was bench 1" says was done, and when."""
    when = re.sub(r"'?s$", "", match["when"])
    words = f"{_done(match['act'])} {match['what']} {'' if when.lower() in ('today', 'yesterday') else 'on '}{when}"
    entries = _read(words, view)
    return entries[0] if len(entries) == 1 and entries[0].type == "event" else None


_RULES = (_renamed, _nicknamed, _was_when, _was_which, _nobody)
__all__ = ["day_meant", "near", "record_command"]
