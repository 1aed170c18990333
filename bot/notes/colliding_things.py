"""Words of time and things that only look like counts or acts: "day 6", "seeds off"."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import family_at, low_at
from bot.notes.reading import PESTS


def day_word(items: Sequence[Item], i: int) -> None:
    """Keep "day 6" together: the number says when, not how many."""
    if items[i].family == "word" and family_at(items, i + 1) == "number":
        items[i + 1].family, items[i + 1].kept = "word", True
        items[i].kept = True


def gone_word(items: Sequence[Item], i: int) -> None:
    """Take "gone" as cleared or lost where no word behind it makes it something else ("gone soft")."""
    nxt = family_at(items, i + 1)
    if i and items[i - 1].family == "sign" and items[i - 1].meaning in PESTS and low_at(items, i + 1) in ("on", "from"):
        items[i].become("gone")
        return
    if nxt in ("sign", "adj", "word", "light", "act") or low_at(items, i + 1) in (
        "to",
        "into",
        "mad",
        "over",
        "soft",
        "in",
        "out",
        "on",
    ):
        return
    items[i].become("gone")


def serious_word(items: Sequence[Item], i: int) -> None:
    """Take "serious" for the genus that dictation makes of it, where a plant must stand: "watered the serious"."""
    named = low_at(items, i - 1) in ("the", "my", "both", "these") or family_at(items, i - 1) == "act"
    ends = family_at(items, i + 1) in ("", "break", "comma", "sep", "act", "prep", "date", "neg")
    opens = i == 0 and (family_at(items, 1) == "act" or low_at(items, 1) in ("on", "in"))
    if items[i].family == "word" and ((named and ends) or opens):
        items[i].family, items[i].meaning = "taxon", "cereus"


OTHER = frozenset(listed("spoken")["every other"])


SPANS = {form: days for days in (1, 7, 30) for form in listed("spoken")[f"every {days}"]}  # "every other week"


def every_word(items: Sequence[Item], i: int) -> None:
    """Settle "every 2 weeks", "every sunday", "every other sunday": how often, and not each of a set."""
    other = low_at(items, i + 1) in OTHER
    k = i + 1 + other
    nxt = items[k] if k < len(items) else None
    weekday = nxt is not None and nxt.family == "date" and nxt.value.kind == "weekday"
    if weekday or (nxt is not None and not other and nxt.family == "amount" and nxt.meaning == "days"):
        items[i].family = "every"
    span = SPANS.get(low_at(items, k), 0)
    if (other and span > 1) or (not other and span == 1):
        items[i].family, items[i].value = "every", span * (1 + other)
        for one in items[i + 1 : k + 1]:
            one.family = "stop"
    if weekday and other:
        items[i].value = "other"
        items[i + 1].family = "stop"
