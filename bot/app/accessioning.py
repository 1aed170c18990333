"""Accession numbers in the talk: given to what comes in, looked up, and given to what stands here without one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from bot.app.english import accessions as words
from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.accessions import FACT, FIRST, NUMBER, facts_of_new, remembered
from bot.care.events import CareEvent, Ref
from bot.care.standing import OTHER_NUMBERS, Standing, Thing

_SAID = r"(?P<number>\d{4}\.\d{1,6}(?: ?\* ?[A-Za-z]{1,3})?)"
_OPENED = re.compile(
    r"(?:(?:show|open|find)(?: me)? |what(?:'?s| is) |which is |card (?:of |for )?)?(?:the )?"
    rf"(?:(?:accession|acc\.?|accn)(?: number| no\.?)? )?{_SAID}[?.! ]*",
    re.IGNORECASE,
)
_ASKED = re.compile(
    r"(?:show(?: me)? |what(?:'?s| is) |which is )?(?:the )?accession(?: number| no\.?)? (?:of |for )(?P<what>.+?)[?.! ]*",
    re.IGNORECASE,
)
_GIVEN = re.compile(
    r"(?:give|make|assign) (?P<what>.+?) an? (?:accession|accession number|accession no\.?)[.! ]*|"
    r"accession(?: number)? (?P<bare>(?!of |for |numbers? )[^.]+?)[.! ]*",
    re.IGNORECASE,
)
_NUMBERED = ("plant", "lot", "batch", "sowing")


def new_number(draft: Draft, year: int, refs: Sequence[Ref]) -> dict[str, Any]:
    """Return the facts that give what comes in its number: the one its note had before it was answered, else the next."""
    given = remembered(draft.view.standing.accessions, draft.events)
    facts = facts_of_new(given, year, len(refs))
    used = {str(one.facts.get(FACT, "")) for one in draft.events}
    kept = next((one for one in draft.numbers if one.startswith(f"{year}.") and one not in used), None)
    return facts | ({FACT: kept} if kept else {})


LONG_SETTLED_DAYS = 180  # project default: what came half a year ago has been looked over and stands with the others


def settled_long_ago(came: date, today: date) -> dict[str, Any]:
    """Return the fact of an arrival told so long after the day that nothing is to be looked for of it any more."""
    return {"settled": True} if (today - came).days > LONG_SETTLED_DAYS else {}


def numbers_of(events: Iterable[CareEvent]) -> tuple[str, ...]:
    """Return the numbers that events gave to what they brought in."""
    return tuple(str(one.facts[FACT]) for one in events if one.facts.get(FACT) and not one.facts.get(FIRST))


def accession_command(text: str, draft: Draft) -> bool:
    """Open the card of "accession 2026.0012", tell the number of a plant, give one; False for any other text."""
    said = " ".join(text.split())
    return any(rule(said, draft) for rule in (_opened, _asked, _given))


def _opened(text: str, draft: Draft) -> bool:
    """Say of a number that it is nobody's, or whose it is where it is that of several; that of one opens its card at the desk."""
    number, standing = _number_in(text), draft.view.standing
    if number is None or number_meant(text, standing) is not None:
        return False
    of_it = [one.ref for one in _of_number(number, standing)]
    draft.tell(words.several(number, of_it, standing) if of_it else words.nothing_has(number))
    return True


def number_meant(text: str, standing: Standing) -> Thing | None:
    """Return the one thing whose accession number a text asks for; None where it asks for none, or for that of several."""
    number = _number_in(text)
    if number is None:
        return None
    of_it = _of_number(number, standing)
    return with_number(standing, number) or (of_it[0] if len(of_it) == 1 else None)


def _number_in(text: str) -> str | None:
    said = " ".join(text.split())
    match = _OPENED.fullmatch(said)
    if match is None or ("accession" not in said.lower() and NUMBER.fullmatch(_spelled(match["number"])) is None):
        return None
    return _spelled(match["number"])


def _of_number(number: str, standing: Standing) -> list[Thing]:
    return [one for one in standing.things.values() if any(each.partition("*")[0] == number for each in _numbers_of(one))]


def _numbers_of(thing: Thing) -> tuple[str, ...]:
    """Return the accession numbers that lead to a thing: its own, and that of a record which turned out to be the same plant."""
    return (thing.accession, *thing.tally.get(OTHER_NUMBERS, ()))


def _spelled(typed: str) -> str:
    """Return a number as it is kept, however it was typed: "2026.12 * a" is 2026.0012*A."""
    year, _, rest = typed.replace(" ", "").partition(".")
    number, star, letter = rest.partition("*")
    return f"{year}.{int(number):04d}{star}{letter.upper()}"


def with_number(standing: Standing, number: str) -> Thing | None:
    """Return the thing that has an accession number."""
    return next((one for one in standing.things.values() if number in _numbers_of(one)), None)


def _asked(text: str, draft: Draft) -> bool:
    match = _ASKED.fullmatch(text)
    things = _meant(match["what"], draft) if match is not None else []
    if not things:
        return False
    draft.tell(*words.numbers(things, draft.view.standing))
    return True


def _given(text: str, draft: Draft) -> bool:
    """Give a number to what stands here without one: it is said of the year in which it came, as far as that is known."""
    match = _GIVEN.fullmatch(text)
    things = _meant(match["what"] or match["bare"], draft) if match is not None else []
    if not things:
        return False
    bare = [one for one in things if not one.accession]
    if not bare:
        draft.tell(*words.numbers(things, draft.view.standing))
        return True
    year = min(one.came_on or one.first_on or draft.view.today for one in bare).year
    refs = tuple(one.ref for one in bare)
    event = draft.event("known", "accession", refs, draft.view.today, new_number(draft, year, refs))
    draft.say("known", event)
    draft.current = refs
    return True


def _meant(what: str, draft: Draft) -> list[Thing]:
    held = (draft.view.standing.things.get((ref.kind, ref.key)) for ref in named(what.strip().lower(), draft))
    return [one for one in held if one is not None and one.kind in _NUMBERED]
