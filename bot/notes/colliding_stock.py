"""Colliding words of plants that come and go: put, dropped off, killed, spare, came."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.neighbours import clause_at, family_at, low_at, set_follows
from bot.notes.reading import PESTS


def put_word(items: Sequence[Item], i: int) -> None:
    """Settle "put the barn lot on the q shelf": a move, where nothing else is said to be done."""
    clause = clause_at(items, i)
    place = any(one.family in ("place", "somewhere", "numbered") for one in clause)
    if (
        set_follows(items, i)
        and place
        and not any(one.family in ("act", "sign", "date", "nowater", "remind", "mix") for one in clause if one is not items[i])
        and any(one.family == "prep" for one in clause)
    ):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "moved", "past", {}


def dropped_off_word(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) == "person" and set_follows(items, i):
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"


def killed_word(items: Sequence[Item], i: int) -> None:
    if any(one.family == "sign" and one.meaning in PESTS for one in items[i + 1 : i + 4]):
        items[i].family, items[i].meaning, items[i].more = "act", "treated", {"how": "hand"}


def offered_word(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("spare", "spares") and (family_at(items, i + 1) in ("word", "plants", "somewhere", "place") or i == 0):
        items[i].become("adj")
    if items[i].low == "to swap" or items[i].low == "for swap":
        return


def sent_word(items: Sequence[Item], i: int) -> None:
    """Settle "came", "come": new plants, unless a direction follows."""
    if low_at(items, i + 1) in ("off", "on"):
        items[i].family = "word"
