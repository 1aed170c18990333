"""What is said of parents and children."""

from __future__ import annotations

from collections.abc import Sequence

from bot.app.english import phrases
from bot.care.events import CareEvent, Ref
from bot.care.names import CROSS
from bot.care.standing import Standing, Thing

TWO_AT_MOST = "A plant has two parents at most: nothing written. Write a cross seed parent first: 14 is 9 x 12"
YES = "yes, all the same"
YOUNG = frozenset("offset cutting seedling division graft leaf".split())


def _a(how: str) -> str:
    return f"{'an' if how[:1] in 'aeiou' else 'a'} {how}"


def one_parent(how: str) -> str:
    """Return that what is raised from a piece of a plant has one parent."""
    return f"{phrases.cap(_a(how))} comes from one plant: nothing written. A seedling has two: 14 is a seedling of 9 and 12"


def genera_differ(things: Sequence[Thing]) -> str:
    """Return how the genera of a family differ, and the question whether it is meant."""
    said = phrases.joined([f"{one.key} is {phrases.cap(one.taxon)}" for one in things])
    return f"{said}. Is that right all the same? Nothing written yet."


def told(event: CareEvent, standing: Standing) -> str:
    """Return where a thing comes from, as it was told."""
    child, how = event.refs[0], str(event.facts.get("how") or "")
    if event.facts.get("came_from"):
        return f"{child.key} came from {phrases.cap(str(event.facts['came_from']))}."
    mother, father = (_called(str(event.facts.get(one, "")), standing) for one in ("parent", "pollen"))
    if mother and father:
        return f"{child.key} is {mother} {CROSS} {father}."
    if father:
        return f"{child.key} has its pollen from {father}."
    of = f"{_a(how)} of" if how else "from"
    return f"{child.key} is {of} {mother}."


def parents(one: Thing, standing: Standing) -> str:
    """Return the parents of a thing in words, empty where none is noted: "offset of 9", "9 x 12"."""
    mother, father = _called(one.parent, standing), _called(one.pollen, standing)
    if mother and father:
        return f"{mother} {CROSS} {father}"
    if father:
        return f"pollen of {father}"
    how = str(one.tally.get("raised_as", ""))
    return (f"{how} of {mother}" if how in YOUNG else f"from {mother}") if mother else ""


def _called(key: str, standing: Standing) -> str:
    kind, _, label = key.partition(":")
    if not label:
        return ""
    thing = standing.things.get((kind, label))
    if kind == "plant":
        return (thing.nickname if thing is not None else "") or label
    return phrases.things((Ref(kind, label),), standing)


ONE_PLANT, MANY_PLANTS = "one, no {number}", "{number} plants"


def one_or_many(number: str, who: str) -> str:
    """Return the question whether a number that is not there is a new plant's own, or how many came."""
    return f"{number} is new to me. One plant with the number {number} from {who}, or {number} plants? Nothing written yet."
