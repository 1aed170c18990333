"""A mix as it is typed, by a name ("in kitty mix", "into the house mix": no house) or by its parts ("in 1 loam 2 pumice")."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.tokens import MARKS

_SPOKEN = listed("spoken")
_NOUN, _LED_BY, _IN_ONE, _PARTS, _NUMBERED = (
    frozenset(_SPOKEN[row]) for row in ("mix_noun", "mix_leads", "mix_whole", "mix_parts", "mix_numbered")
)
_POTTING = ("potted", "repotted", "pricked_out", "sown", "top_dressed", "mixed", "divided")
_A_LABEL = "label"
_MAY_NAME = frozenset(("word", "place", "somewhere", "kind", "taxon", "adj"))


def join(items: list[Item]) -> list[Item]:
    """Return the words of a note with each mix as one word, where something was potted."""
    mixes = [one for one in items if one.family == "mix"]
    if not mixes or not any(one.means("act", *_POTTING) for one in items):
        return items
    items = _by_share(items)
    items = _by_parts(items) if len(mixes) > 1 or mixes[0].low in _NUMBERED else items
    return _by_name(items) if any(one.low in _NOUN for one in mixes) else items


def _by_name(items: Sequence[Item]) -> list[Item]:
    """Join the words of a name with the "mix" behind it, where they stand behind "in" or a number."""
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


def _by_share(items: list[Item]) -> list[Item]:
    """Join "half pumice": a share of the mix, and not of the plants."""
    out: list[Item] = []
    for one in items:
        share = out.pop() if one.family == "mix" and out and out[-1].family == "fraction" else None
        out.append(one if share is None else Item("mix", "mix", share.start, one.end, f"{share.low} {one.low}"))
    return out


def _by_parts(items: Sequence[Item]) -> list[Item]:
    """Join "1 loam 2 pumice 1 grit" behind "in", "of" or a colon; its numbers are no plants. So with "john innes no 2"."""
    out: list[Item] = []
    at = 0
    while at < len(items):
        one = items[at]
        led = at > 0 and (items[at - 1].low in _LED_BY or items[at - 1].means("act", "mixed") or items[at - 1].low == ":")
        led = led or (at > 1 and items[at - 1].family == "comma" and items[0].means("act", "mixed"))  # "mixed 20 l, 2 pumice …"
        after = _parts_end(items, at) if led else at
        if one.family == "mix" and one.low in _NUMBERED and at + 1 < len(items) and items[at + 1].meaning == _A_LABEL:
            after = at + 2
        if after > at:
            low = " ".join(each.low for each in items[at:after]).replace(" ,", ",")
            out.append(Item("mix", "mix", one.start, items[after - 1].end, low))
        else:
            out.append(one)
        at = max(after, at + 1)
    return out


def _parts_end(items: Sequence[Item], first: int) -> int:
    """Return where two and more shares with a material each end, `first` where none stand there."""
    at, found, end = first, 0, first
    while at < len(items) and items[at].value is not None and items[at].meaning != _A_LABEL:
        at += 1
        while at < len(items) and items[at].low in _PARTS:
            at += 1
        if at >= len(items) or items[at].family != "mix":
            break
        at, found = at + 1, found + 1
        end = at
        while at < len(items) and (items[at].family == "sep" or items[at].low in MARKS):
            at += 1
    return end if found > 1 else first


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
