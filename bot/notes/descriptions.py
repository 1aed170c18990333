"""Plants said by where they stand or what they look like: "the one by the door", "the pale ones with the yellow spines".

No record of plants knows a door or yellow spines: the words are kept, and only a person can say which are meant. A place that
the collection knows and plants with a name of their own stay what they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bot.notes.items import Item
from bot.notes.languages import listed

_ROWS = listed("terse")
BESIDE, SOURCE, WITH = (frozenset(_ROWS[row]) for row in ("_beside", "_of_source", "_featuring"))
RELATING = BESIDE | SOURCE | WITH
ONES = frozenset(_ROWS["_ones"])
LOOKS = frozenset(("adj", "sign", "word", "condition", "state"))
NOUNS = frozenset(("word", "part", "source", "somewhere", "numbered", "place", "nickname", "number", "taxon", "kind", "product"))
KNOWN = frozenset(("place", "lot", "person", "sowing", "number", "nickname", "taxon", "date"))
MOST_WORDS = 5  # of where it stands; project default, "at the far end of the top shelf" is longer and asks
GENERA, ROOMS = frozenset(("taxon", "kind", "ambiguous")), frozenset(("place", "somewhere", "numbered"))
FAMILY = "whereabouts"


def settle(items: list[Item], text: str) -> list[Item]:
    """Return the items with each description as one: an adjective that names plants, or what follows a genus."""
    if RELATING.isdisjoint([one.low for one in items]):
        return items
    out: list[Item] = []
    i = 0
    while i < len(items):
        after = _relation(items, i)
        if after is None:
            out.append(items[i])
            i += 1
            continue
        first = _described(out)
        if first is not None:
            made = _one(out[first:], items[i:after], text, "adj")
            del out[first:]
            if out[-1].family not in ("det", "number"):
                out.append(Item("det", "the", made.start, made.start, "the"))  # "gave the" is one word
            out.append(made)
        elif out and out[-1].family in GENERA and _article(out) and not any(one.family in ROOMS for one in items[i:after]):
            out.append(_one([], items[i:after], text, FAMILY))
        else:
            out += items[i:after]
        i = after
    return out


def _one(head: Sequence[Item], tail: Sequence[Item], text: str, family: str) -> Item:
    every = [*head, *tail]
    start, end = every[0].start, every[-1].end
    return replace(
        every[0], family=family, meaning="-", end=end, start=start, low=text[start:end].lower(), form="noun", used=False
    )


def _described(out: Sequence[Item]) -> int | None:
    """Return where "one by the door" begins behind its article, None where no such words stand at the end of `out`."""
    k = len(out) - 1
    ones = k >= 0 and out[k].low.split()[-1] in ONES
    if ones:
        k -= 1
        while k >= 0 and out[k].family in LOOKS and len(out) - k < 5:
            k -= 1
        return k + 1 if k >= 0 and _definite(out[k]) else None
    counted = k > 0 and out[k].family == "number" and _definite(out[k - 1])
    return len(out) if counted else None


def _definite(one: Item) -> bool:
    return one.family in ("det", "stop", "refer") and one.low.split()[-1] in DEFINITE


DEFINITE = frozenset(_ROWS["_definite"])


def _article(out: Sequence[Item]) -> bool:
    """Return whether the genus at the end of `out` is spoken of as known plants: "the two echs", "that haw"."""
    k = len(out) - 2
    while k >= 0 and out[k].family in (*LOOKS, "number", "plants"):
        k -= 1
    return k >= 0 and _definite(out[k])


def _relation(items: Sequence[Item], i: int) -> int | None:
    """Return the index behind "by the door", "with the yellow spines" at `i`; None where no such words stand there."""
    led = items[i].low
    if led not in BESIDE | SOURCE | WITH or i + 1 >= len(items):
        return None
    k = i + 1
    article = items[k].family == "det" or items[k].low in ("a", "the")
    k += article
    looks = k
    while k < len(items) and k - i < MOST_WORDS and (items[k].family == "adj" or (led in WITH and _looks(items, k))):
        k += 1
    if led in WITH:
        noun = k < len(items) and (k > looks or article) and items[k].family in ("word", "part", "sign", "source", "stop")
        return k + 1 if noun and _closes(items, k + 1) else None
    first = k
    while k < len(items) and k - i < MOST_WORDS and items[k].family in NOUNS:
        k += 1
    if k == first and not (k < len(items) and k > looks):
        return None
    if led in SOURCE and any(one.family in KNOWN | ROOMS for one in items[i:k]):
        return None
    return k if _closes(items, k) else None


def _looks(items: Sequence[Item], k: int) -> bool:
    """Return whether a silenced word is an adjective before its noun: "with the yellow spines"."""
    return items[k].family == "stop" and k + 1 < len(items) and items[k + 1].family in ("stop", "part", "word", "sign")


def _closes(items: Sequence[Item], k: int) -> bool:
    """Return whether the description may end before `k`: something is said of the plants there, or the clause ends."""
    return (
        k >= len(items)
        or items[k].family not in ("number", "amount", "ratio", "sizes", "prep")
        or items[k].means("prep", *GOES_ON)
    )


GOES_ON = ("to", "with")
