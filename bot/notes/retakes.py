"""What a grower says in two goes: taken back in the same breath, or cut by a full stop that belongs in the middle."""

from __future__ import annotations

from bot.notes.items import Item
from bot.notes.languages import listed


def self_corrected(items: list[Item]) -> list[Item]:
    """Return the items without what the grower took back in the same breath: "bench 1, sorry, i mean bench 2"."""
    for i, one in enumerate(items):
        if i == 0 or one.low.split()[0] not in TAKING_BACK:
            continue
        after = _taken_back(items, i)
        if after is None:
            continue
        for b in range(after, min(after + 7, len(items))):
            family = items[b].family
            a = next((k for k in range(i - 1, -1, -1) if items[k].family == family), None)
            if family in ("place", "number", "taxon", "nickname", "date", "sowing", "lot", "numbered") and a is not None:
                return [*items[:a], *items[b:]]
    return list(items)


def _taken_back(items: list[Item], i: int) -> int | None:
    """Return the item after the words at `i` that take something back, or None; a single word needs a comma before it."""
    said = " ".join(one.low for one in items[i : i + 3])
    phrase = next((one for one in TAKEN_BACK if said == one or said.startswith(one + " ")), None)
    apart = items[i - 1].family in ("comma", "dash", "break", "neg")
    if phrase is None or not (apart or " " in phrase):
        return None
    left, after = len(phrase.split()), i
    while left > 0:
        left -= len(items[after].low.split())
        after += 1
    return after


TAKEN_BACK = tuple(listed("spoken")["taken_back"])
TAKING_BACK = frozenset(one.split()[0] for one in TAKEN_BACK)


def in_one_breath(items: list[Item]) -> list[Item]:
    """Return the items without a full stop between what calls for a reminder and its act: "remind me friday. water tray 3".

    A word of agreement before the first act says nothing of plants: "ok. watered 41".
    """
    agreed = len(items) > 2 and items[0].low in AGREED and items[1].family in ("break", "comma") and items[2].family == "act"
    if agreed:
        items[0].family, items = "stop", items[2:]
    if "break" not in [one.family for one in items]:
        return list(items)
    out: list[Item] = []
    for i, one in enumerate(items):
        if one.family == "break" and _calls(out) and i + 1 < len(items) and items[i + 1].form == "base":
            continue
        out.append(one)
    return out


AGREED = frozenset(("ok", "okay", "right", "good", "fine", "great"))


def _calls(before: list[Item]) -> bool:
    """Return whether the sentence so far is nothing but a call for a reminder, and when."""
    sentence = before[next((i + 1 for i in range(len(before) - 1, -1, -1) if before[i].family == "break"), 0) :]
    families = {one.family for one in sentence}
    return "remind" in families and families <= {"remind", "date", "clock", "prep", "comma", "stop"}
