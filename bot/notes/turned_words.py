"""What the rules for turns of phrase share: the words that call them, and how an item is silenced or kept."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, family_at

WORDS = {key: frozenset(words) for key, words in listed("spoken").items()}


def silence(*items: Item) -> None:
    """Let words say nothing."""
    for one in items:
        one.family, one.used = "stop", True


def keep(*items: Item) -> None:
    """Leave words as a remark, on purpose."""
    for one in items:
        one.family, one.kept = "word", True


def ends(items: Sequence[Item], i: int) -> bool:
    """Whether a clause ends before item `i`."""
    return family_at(items, i) in ("", *SEPARATORS, "query")
