"""What is said when the record is put right in words."""

from __future__ import annotations

from collections.abc import Sequence

from bot.app.english import phrases
from bot.app.plan import View
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing, Thing

NAME_TAKEN = "“{name}” is {key} already. Give it another name."
OWN_PARENT = "{child} cannot come from {parent}: {parent} is the same plant or comes from {child} itself."
YOU_ARE_IN = "Noted: you are in {country}. I mind borders when plants go to somebody."
NOTHING_AGAIN = "There is nothing to do again. Say what you did: watered 12"
BY_NUMBER = "A number in an old entry is put right by its event: “log of {what}” shows them, then such as: event 12 was 10 cm"
NOT_FOR_OTHERS = "Say that one in words for each: plants that come, leave or are propagated I repeat for no others."
NO_LAST = "I can't tell which is the last there. Say the numbers that were meant: no, 12 and 14"
NO_PHOTOS = "No photo of {what} is kept."


def no_parent(words: str, near: Sequence[str]) -> str:
    """Return that nobody knows the parent, with what comes near it."""
    return f"I don't know {words}." + (f" Did you mean {' or '.join(near)}?" if near else "")


def nobody(name: str, near: Sequence[str]) -> str:
    """Return that no plant has a name, what comes near it, and what to do."""
    meant = f" Did you mean {' or '.join(near)}?" if near else ""
    return f"No plant here is called “{name}”; nothing written.{meant} Say it again with its number or name."


LOOK_BESIDE = "look at the others"


def offer_beside(beside: Sequence[Ref], standing: Standing) -> str:
    """Return the offer to look at those that stood beside what died."""
    return f"Look over {phrases.things(beside, standing)} too?"


def look_beside(beside: Sequence[Ref], standing: Standing) -> str:
    """Return what is to be looked at, and what to say of it."""
    return f"Look over {phrases.things(beside, standing)}: crown and base, press gently. Then: looked at the others, fine"


def all_of(plural: str) -> str:
    """Return how to say that all of a genus is meant, where one of several was asked for."""
    return f"All of them? Say it once more with “all the {plural}”."


def not_so_many(left: Sequence[Ref], standing: Standing, said: int) -> str:
    """Return that fewer or more are left than were said."""
    return f"That leaves {phrases.things(left, standing)}, not {said}. Name them and I write it."


def nobody_beside(dead: Sequence[Thing], standing: Standing) -> str:
    """Return that nothing stands beside what died."""
    what = phrases.things(tuple(one.ref for one in dead), standing, with_place=False)
    return f"Nothing is noted beside {what}: no place or lot with others."


_LEFT = {"died": "dead", "given": "given away", "discarded": "thrown out", "missing": "missing"}


def here_already(things: Sequence[Thing], standing: Standing) -> str:
    """Return that nothing says that these are gone."""
    verb = "is" if len(things) == 1 and things[0].kind == "plant" else "are"
    what = phrases.things(tuple(one.ref for one in things), standing)
    return f"{phrases.cap(what)} {verb} here by the record: nothing to put right."


def back(thing: Thing, left: CareEvent, view: View) -> str:
    """Return that an entry by which a plant left does not hold for it."""
    what, day = _LEFT[left.what], phrases.day(left.happened_on, view.today)
    where = f", {phrases.at(thing.place)}" if thing.place else ""
    called = phrases.things((thing.ref,), view.standing, with_place=False)
    return f"{phrases.cap(called)} is here again{where}. Taken back: {what} {day}."


def strip(what: str, days: Sequence[str], more: int) -> str:
    """Return what goes with the photos of plants: how many, and from when."""
    older = f" {more} older ones are kept." if more else ""
    return f"{phrases.count_of(len(days), 'photo')} of {what}: {', '.join(days)}.{older}"


def none_of_those(written: bool) -> str:
    """Return that none of the choices is taken, and that the note is kept."""
    kept = "the note stays as written" if written else "nothing is written, the note is kept"
    return f"None of those: {kept}. Which ones? Numbers or a place will do, whenever you know."


def which_others(held: int) -> str:
    """Return that nobody can tell which others are meant; `held` is how many there are."""
    return f"Which of the other {held}? Say: no, 12" if held > 1 else "I can't tell which others. Say the numbers: no, 12 and 14"
