"""What the rules of `frames` and `frames_young` share: their words, and how an item is taken as something else."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.neighbours import clause_at

YOUNG = ("cuttings", "offsets", "leaves", "grafts")
NAMED = frozenset(("taxon", "kind", "plants", "nickname"))
CUT = ("cutting_taken", "offsets_taken")
LABEL = "label"  # a number that is one plant's


def become(one: Item, act: str, form: str = "past", **more: str) -> None:
    one.family, one.meaning, one.form, one.more = "act", act, form, more


def acted(items: Sequence[Item], i: int) -> bool:
    return any(one.family == "act" for one in clause_at(items, i) if one is not items[i])
