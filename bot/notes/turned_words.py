"""What the rules that settle words by others a few words off share: the words that call them, how an item is silenced or kept."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, family_at

LARGEST_POT_CM = 40  # project default: a number beyond is no pot
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


def sentence(items: Sequence[Item], i: int) -> Sequence[Item]:
    """Return the items of the sentence around `i`."""
    first = next((k + 1 for k in range(i - 1, -1, -1) if items[k].family == "break"), 0)
    last = next((k for k in range(i, len(items)) if items[k].family == "break"), len(items))
    return items[first:last]
