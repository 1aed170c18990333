"""What stands beside a word: the questions the rules for colliding words ask."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bot.notes.items import Item

Rule = Callable[[Sequence[Item], int], None]


SEPARATORS = frozenset(("comma", "break", "sep", "colon", "dash", "close"))


SET_STARTS = frozenset(
    (
        "det",
        "number",
        "range",
        "taxon",
        "kind",
        "place",
        "nickname",
        "lot",
        "sowing",
        "somewhere",
        "numbered",
        "refer",
        "both",
        "plants",
        "pron",
        "potsize",
        "state",
        "ambiguous",
        "adj",
        "most",
        "rootkind",
    )
)


def family_at(items: Sequence[Item], i: int) -> str:
    return items[i].family if 0 <= i < len(items) else ""


def low_at(items: Sequence[Item], i: int) -> str:
    return items[i].low if 0 <= i < len(items) else ""


def set_follows(items: Sequence[Item], i: int) -> bool:
    return family_at(items, i + 1) in SET_STARTS


def clause_at(items: Sequence[Item], i: int) -> Sequence[Item]:
    """Return the items of the clause around `i`."""
    first = i
    while first > 0 and items[first - 1].family not in ("comma", "break"):
        first -= 1
    last = i
    while last < len(items) and items[last].family not in ("comma", "break"):
        last += 1
    return items[first:last]


def begins(items: Sequence[Item], i: int) -> bool:
    return i == 0 or items[i - 1].family in SEPARATORS
