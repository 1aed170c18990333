"""Corrections of one part of what was noted: "the feed was tues", "not watered, fed", "change pot to 9"."""

from __future__ import annotations

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import Entry, Selection
from bot.notes.replacements import BREAK
from bot.notes.talk import Talk

THAT_ACT, WAS, CHANGE, POT, IT, THE_DAY = (
    frozenset(listed("correcting")[row]) for row in ("that_act", "act_was", "change_it", "the_pot", "_it", "the_day")
)
_THE_DAY = frozenset(word for one in THE_DAY for word in one.split())


def _whole(talk: Talk) -> list[Item]:
    """Return the items of a note without its stops."""
    return [one for one in talk.items if one.family != BREAK]


def act_was_then(words: list[str], talk: Talk) -> bool:
    """Read "the feed was tues", "the repot was on sunday" as another day for the last entry of its kind."""
    if words[0] not in THAT_ACT or WAS.isdisjoint(words):
        return False
    said = [one for one in talk.items if one.family not in ("det", "stop", BREAK, "prep", "pron")]
    if [one.family for one in said] != ["act", "q", "date"] or said[0].form == "past":
        return False
    day = talk.day(said[2].value, False)
    if day is None:
        return False
    talk.add(Entry("fix", what="when", act=said[0].meaning, to=day.on.isoformat()), (0, len(talk.text)))
    talk.rules.append("correction: when, of an act")
    return True


def other_act(_words: list[str], talk: Talk) -> bool:
    """Read "not watered, fed" as the act that was meant."""
    items = _whole(talk)
    if [one.family for one in items] != ["neg", "act", "comma", "act"] or items[1].form != "past" or items[3].form != "past":
        return False
    talk.add(Entry("fix", what="act", to=items[3].meaning), (0, len(talk.text)))
    return True


def other_pot(words: list[str], talk: Talk) -> bool:
    """Read "change pot to 9", "change the pot size to 9" as another size for the last entry."""
    if words[0] not in CHANGE or POT.isdisjoint(words):
        return False
    said = [one for one in talk.items if one.family not in ("det", "stop", BREAK, "prep")]
    if len(said) > 4 or said[-1].family not in ("number", "potsize", "amount"):
        return False
    value = said[-1].value
    size = getattr(value, "value", value)
    talk.add(
        Entry("fix", what="value", to=int(size) if float(size).is_integer() else float(size), field="pot_cm"), (0, len(talk.text))
    )
    return True


def it_was_there(words: list[str], talk: Talk) -> bool:
    """Read "it was bench 1 i watered" as the place of the last entry of that kind."""
    if words[0] not in IT:
        return False
    said = [one for one in talk.items if one.family not in ("det", BREAK)]
    families = [one.family for one in said]
    if families[-2:] != ["stop", "act"] or said[-1].form != "past" or families[2:-2] != ["place"]:
        return False
    talk.add(Entry("fix", what="which", act=said[-1].meaning, to=Selection(places=(said[2].meaning,))), (0, len(talk.text)))
    return True


def other_product(_words: list[str], talk: Talk) -> bool:
    """Read "not soap, neem" as the product that was meant."""
    items = _whole(talk)
    if [one.family for one in items] != ["neg", "product", "comma", "product"]:
        return False
    talk.add(Entry("fix", what="product", to=items[3].low), (0, len(talk.text)))
    return True


def the_date_was(_words: list[str], talk: Talk) -> bool:
    """Read "the date was the 12th" as another day for the last entry."""
    if talk.lacks("date") or talk.silent(_THE_DAY):
        return False
    said = [one for one in _whole(talk) if one.family not in ("det", "stop", "prep")]
    if len(said) != 3 or said[0].low not in THE_DAY or said[1].low not in WAS or said[2].family != "date":
        return False
    day = talk.day(said[2].value, False)
    if day is not None:
        talk.add(Entry("fix", what="when", to=day.on.isoformat()), (0, len(talk.text)))
    return day is not None
