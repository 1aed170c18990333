"""Turns of phrase of notes that say little: moves without a verb of their own, plans of a move, counts told without a noun.

Run with the rules of `turns`; the words that call a rule stand in a row "turn _name" of `english/terse.csv`.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.framing import become
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, SET_STARTS, Rule, clause_at, family_at

ROWS = {key: frozenset(words) for key, words in listed("terse").items()}
PLACES = frozenset(("place", "somewhere", "numbered"))
AHEAD = frozenset(("plan", "remind"))


def _place_behind(items: Sequence[Item], i: int) -> bool:
    """Return whether a place follows, with nothing but "to the" before it, or behind the plants that go there."""
    for one in items[i + 1 :]:
        if one.family in PLACES:
            return True
        if one.family in SEPARATORS - {"sep"} or one.family not in (*SET_STARTS, "prep", "stop", "sep"):
            return False
    return False


def _goes(items: Sequence[Item], i: int) -> None:
    """Take "41 and 43 must go to frame B tomorrow" as a move that is planned."""
    planned = family_at(items, i - 1) in AHEAD or (family_at(items, i - 2) in AHEAD and items[i - 1].means("prep", "to"))
    if planned and items[i].family != "act" and family_at(items, i + 1) in ("prep", *PLACES) and _place_behind(items, i):
        become(items[i], "moved", "base")


def _to_put(items: Sequence[Item], i: int) -> None:
    """Take "remind me to put the aloes outdoors" as a move that is planned; "put 31 in a 9 cm pot" pots."""
    led = family_at(items, i - 1) in AHEAD
    alone = not any(one.family in ("act", "mix", "pot", "potsize") for one in clause_at(items, i) if one is not items[i])
    if led and alone and family_at(items, i + 1) in SET_STARTS and _place_behind(items, i):
        become(items[i], "moved", "base")


RULES: tuple[Rule, ...] = (_goes, _to_put)
