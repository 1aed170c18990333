"""What the rules of `frames` and `frames_young` share: their words, and how an item is taken as something else."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import clause_at

WORDS = {key: frozenset(words) for key, words in listed("spoken").items()}
YOUNG = ("cuttings", "offsets", "leaves", "grafts")
NAMED = frozenset(("taxon", "kind", "plants", "nickname"))
CUT = ("cutting_taken", "offsets_taken")
LABEL = "label"  # a number that is one plant's
LEAST_LABEL = 10  # project default: below, a number may be how many


def silence(*items: Item) -> None:
    for one in items:
        one.family, one.used = "stop", True


def become(one: Item, act: str, form: str = "past", **more: str) -> None:
    one.family, one.meaning, one.form, one.more = "act", act, form, more


def sentence(items: Sequence[Item], i: int) -> Sequence[Item]:
    first = next((k + 1 for k in range(i - 1, -1, -1) if items[k].family == "break"), 0)
    last = next((k for k in range(i, len(items)) if items[k].family == "break"), len(items))
    return items[first:last]


def acted(items: Sequence[Item], i: int) -> bool:
    return any(one.family == "act" for one in clause_at(items, i) if one is not items[i])
