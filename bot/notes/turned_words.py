"""What the rules that settle words by others a few words off share: the words that call them, how an item is silenced or kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bot.notes.amounts import Amount
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, Rule, family_at

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


def keep_to_the_end(items: Sequence[Item], i: int) -> None:
    """Leave the words from `i` to the end of the clause as a remark, on purpose."""
    for one in items[i:]:
        if one.family in SEPARATORS:
            return
        keep(one)


def degrees(number: Item) -> None:
    """Take a bare number as degrees."""
    number.value = Amount(float(number.value or 0), "degree", number.low)
    number.family, number.meaning = "amount", "degree"


def called_by(prefix: str, rules: Iterable[Rule], rows: Mapping[str, Iterable[str]]) -> dict[str, tuple[Rule, ...]]:
    """Return the rules by the words that call them: row "prefix _name" of a table lists those of rule `_name`."""
    called = {rule.__name__: rule for rule in rules}
    found: dict[str, tuple[Rule, ...]] = {}
    for row, forms in rows.items():
        if row.startswith(f"{prefix} "):
            found |= {form: (*found.get(form, ()), called[row.removeprefix(f"{prefix} ")]) for form in forms}
    return found


def ends(items: Sequence[Item], i: int) -> bool:
    """Whether a clause ends before item `i`."""
    return family_at(items, i) in ("", *SEPARATORS, "query")


def sentence(items: Sequence[Item], i: int) -> Sequence[Item]:
    """Return the items of the sentence around `i`."""
    first = next((k + 1 for k in range(i - 1, -1, -1) if items[k].family == "break"), 0)
    last = next((k for k in range(i, len(items)) if items[k].family == "break"), len(items))
    return items[first:last]
