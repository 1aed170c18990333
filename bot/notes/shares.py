"""A set told in shares: "q shelf: 6 looked at, 4 clean, 2 mealy", "30 potted, 4 lost, rest still in the tray".

A bare number before what was done or seen may be a plant's label or how many. Where a set is named first and its shares follow,
or a rest is spoken of, the numbers are how many; where plants are gone through by what their roots were like, they are labels.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS
from bot.notes.turned_words import keep

STATES = frozenset(("act", "sign", "clear", "gone", "light"))
BATCHES = frozenset(("lot", "sowing", "kind"))
SETS = BATCHES | {"place", "taxon", "numbered", "somewhere"}
OPENING = frozenset(("det", "prep", "colon", "stop", "adj"))
BETWEEN = SEPARATORS - {"colon", "dash", "close"}
REST = frozenset(listed("terse")["_rest"])
PLANTS = listed("terse")["_shared"][0]
NAMED = "label"  # a number that is one plant's


def settle(items: list[Item]) -> list[Item]:
    """Return the items with "plants" behind each number that opens a share of a set; one of plants gone through is a label."""
    if [one.family for one in items].count("number") < 2:
        return items
    numbers = [one for i, one in enumerate(items) if _opens(items, i)]
    rest = any(one.low in REST or one.means("refer", "rest") for one in items)
    of_young = rest and bool(numbers) and any(one.family in ("sowing", "kind") for one in items if one.start < numbers[0].start)
    if len(numbers) < 2 and not of_young:
        return items
    topic = _topic(items, numbers[0])
    values = [float(one.value) for one in numbers]
    if topic & SETS or of_young or (not topic and rest):
        adds_up = values[0] == sum(values[1:])
        few = max(values) < LEAST_LABEL
        if rest or (topic & BATCHES) or (few and adds_up):
            _gone_and_left(items, topic)
            starts = {one.start for one in numbers}
            return [each for one in items for each in ((one, _plants(one)) if one.start in starts else (one,))]
    elif topic == {"part"} and min(values) >= LEAST_LABEL and len(set(values)) == len(values):
        for one in numbers:
            one.meaning = NAMED
    return items


def _gone_and_left(items: Sequence[Item], topic: set[str]) -> None:
    """Take "2 gone" of a sowing as died, "5 left" as the rest, which changes nothing."""
    for i, one in enumerate(items[:-1]):
        behind = items[i + 1]
        if behind.low in GONE and one.family == "number" and "sowing" in topic:
            behind.family, behind.meaning, behind.form = "act", "died", "past"
        elif one.means("number", "digits") and behind.low in REST and (i + 2 == len(items) or items[i + 2].family in CLOSING):
            keep(one, behind)


CLOSING = BETWEEN | {"stop", "prep"}
GONE = frozenset(listed("terse")["turn _gone_young"])


def _plants(number: Item) -> Item:
    return Item("plants", "-", number.end, number.end, PLANTS)


def _opens(items: Sequence[Item], i: int) -> bool:
    """Return whether a bare number opens a share: it begins a part of the note, and what was done or seen follows."""
    one = items[i]
    if not one.means("number", "digits") or not float(one.value or 0).is_integer() or i + 1 >= len(items):
        return False
    begins = i == 0 or items[i - 1].family in BETWEEN | {"colon"} or (i > 1 and items[i - 1].family in SETS)
    k = i + 1
    while k < len(items) and items[k].family in ("prep", "light", "stop"):
        k += 1
    return begins and k < len(items) and items[k].family in STATES


def _topic(items: Sequence[Item], first: Item) -> set[str]:
    """Return the families of what stands before the first number: the set that is told in shares, nothing where there is none."""
    before = [one for one in items if one.start < first.start]
    families = {one.family for one in before}
    named = families & (SETS | {"part"})
    if not named or families - SETS - OPENING - {"part"}:
        return {"-"} if families - {"stop", "date"} else set()
    headed = before[-1].family == "colon" or before[0].means("prep", "of")
    return named if headed or len(before) <= 3 else {"-"}
