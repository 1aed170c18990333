"""The name of a mix as it is typed: "potted 12 in kitty mix", "repotted 9 into the house mix" speak of no house."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed

_SPOKEN = listed("spoken")
_NOUN, _LED_BY, _IN_ONE = (frozenset(_SPOKEN[row]) for row in ("mix_noun", "mix_leads", "mix_whole"))
_POTTING = ("potted", "repotted", "pricked_out", "sown", "top_dressed", "mixed", "divided")
_MAY_NAME = frozenset(("word", "place", "somewhere", "kind", "taxon", "adj"))


def join(items: list[Item]) -> list[Item]:
    """Return the words of a note with the name of a mix as one, where it stands behind "in" or an amount of what was potted."""
    if not any(one.low in _NOUN for one in items) or not any(one.means("act", *_POTTING) for one in items):
        return items
    out: list[Item] = []
    for one in items:
        first = _name_begins(out) if one.family == "mix" and one.low in _NOUN else len(out)
        name = out[first:]
        if name:
            low = " ".join(each.low for each in (*name, one))
            low = low.partition(" ")[2] if name[0].low in _IN_ONE else low
            del out[first:]
            out.append(Item("mix", "mix", name[0].start, one.end, low))
        else:
            out.append(one)
    return out


def _name_begins(before: Sequence[Item]) -> int:
    """Return where the one or two words begin that name a mix: behind "in", "into", "with" or "of", or behind a number."""
    end = len(before)
    if end and before[-1].low in _IN_ONE:
        return end - 1  # the seed mix, no fruit
    for first in (end - 1, end - 2):
        if first < 1 or before[first].family not in _MAY_NAME:
            return end
        lead = before[first - 1]
        if lead.family == "det" and first > 1:
            lead = before[first - 2]
        if lead.value is not None or lead.low in _LED_BY:
            return first
    return end
