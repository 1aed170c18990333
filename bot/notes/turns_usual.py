"""Turns of phrase of every day: the usual given, what is skipped because it is damp, a few in a tray, flowers counted.

Run with the rules of `turns`; the words that call a rule stand in a row "turn _name" of `english/terse.csv`.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.amounts import Amount
from bot.notes.framing import become
from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.neighbours import SET_STARTS, Rule, begins, clause_at, family_at, low_at
from bot.notes.turned_words import ends, keep, silence
from bot.notes.turns_short import ROWS

CARE = ("watered", "fed", "misted", "treated", "turned")


def _skipped_damp(items: Sequence[Item], i: int) -> None:
    """Take "skipped bench 2, still damp" as a watering left out, and why."""
    damp = next((one for one in items[i + 1 :] if one.means("sign", "mix_damp")), None)
    if items[i].family in ("skipped", "neg") and damp is not None and not any(one.family == "act" for one in items):
        items[i].family, items[i].meaning = "left", "left"
        damp.family, damp.meaning = "why", "-"


def _at_half(items: Sequence[Item], i: int) -> None:
    """Take "high k on tray 4 at half" as half strength."""
    fed = any(one.family == "product" or one.means("act", "fed") for one in items[:i])
    if fed and items[i].family == "fraction" and low_at(items, i - 1) in ROWS["_at"] and ends(items, i + 1):
        items[i].family, items[i].meaning = "strength", f"{float(items[i].value):g}"
        silence(items[i - 1])


def _few_in(items: Sequence[Item], i: int) -> None:
    """Take the number in "mites on 2 in tray 5" as how many; "mites on 41 in tray 5" is one plant's."""
    number, place = items[i - 1] if i else None, family_at(items, i + 1)
    if number is None or not number.means("number", "digits") or not 1 <= float(number.value or 0) < LEAST_LABEL:
        return
    seen = any(one.family == "sign" for one in items[: i - 1])
    if seen and family_at(items, i - 2) == "prep" and place in ("place", "numbered"):
        number.meaning = "word"


def _cold_outside(items: Sequence[Item], i: int) -> None:
    """Take "too cold outside" as the weather, and not as where plants went."""
    if family_at(items, i - 1) == "why":
        silence(items[i])


def _from_cm(items: Sequence[Item], i: int) -> None:
    """Take "from 9 cm to 11 cm" as the pot before and the pot now."""
    sizes = [items[k] for k in (i + 1, i + 3) if k < len(items)]
    if len(sizes) < 2 or any(not one.means("amount", "cm") for one in sizes) or not items[i + 2].means("prep", "to"):
        return
    first, second = (one.value.value for one in sizes if isinstance(one.value, Amount))
    sizes[0].family, sizes[0].meaning, sizes[0].value = "sizes", "to", (first, second)
    silence(items[i], items[i + 2], sizes[1])


def _so_many(items: Sequence[Item], i: int) -> None:
    """Take "60 has opened, three white flowers" as how many flowers there are."""
    one = items[i]
    k = i - 1
    while k > 0 and items[k].family == "adj":
        k -= 1
    said = any(other.means("sign", "flowering", "budding") for other in items[: max(k, 0)])
    if (
        one.means("sign", "flowering", "budding")
        and said
        and k > 0
        and items[k].family == "number"
        and begins(items, k)
        and ends(items, i + 1)
    ):
        keep(*items[k : i + 1])


def _all_alive(items: Sequence[Item], i: int) -> None:
    """Take "all alive and fat" as how they are; "alive after all" was thought dead."""
    if items[i].means("act", "found_alive") and family_at(items, i - 1) in ("refer", "both") and i > 1:
        items[i].family, items[i].meaning, items[i].form, items[i].more = "sign", "healthy", "noun", {}


def _pot_number(items: Sequence[Item], i: int) -> None:
    """Take "new pot 13 clay" as the size of the pot."""
    size = items[i + 1] if i + 1 < len(items) else None
    closed = ends(items, i + 2) or family_at(items, i + 2) == "pot"
    named = any(one.family in SET_STARTS - {"det", "adj"} for one in items[:i])
    if size is not None and closed and named and size.means("number", "digits") and 4 <= float(size.value or 0) <= 30:
        size.family = "potsize"


def _remember(items: Sequence[Item], i: int) -> None:
    """Take "remember the aloe i thought was dead" as talk, and not as something to remember to do."""
    later = any(one.family == "date" or (one.family == "act" and one.form == "base") for one in items[i + 1 :])
    if begins(items, i) and not later and family_at(items, i + 1) in SET_STARTS:
        silence(items[i])


def _i_make(items: Sequence[Item], i: int) -> None:
    """Take "i make new earth for duchess" as no errand: nobody says "I" to what is still to be done."""
    if items[i].family == "errand" and low_at(items, i - 1) in ROWS["_mine"]:
        items[i].family = "word"


def _got_a(items: Sequence[Item], i: int) -> None:
    """Take "frame A got a proper drench" as care, and not as plants that came in."""
    k = i + 1
    while family_at(items, k) in ("det", "stop", "adj") and k < i + 4:
        k += 1
    named = any(one.family in SET_STARTS - {"det", "pron", "adj"} for one in clause_at(items, i) if one.start < items[i].start)
    if (
        k > i + 1
        and items[i].means("act", "acquired")
        and named
        and k < len(items)
        and items[k].means("act", *CARE)
        and items[k].form != "past"
    ):
        silence(items[i])


def _on_the_trap(items: Sequence[Item], i: int) -> None:
    """Take "no gnats on the trap" as where none was seen."""
    if any(one.family in ("neg", "clear") for one in items[:i]) and any(one.means("sign", "fungus_gnat") for one in items[:i]):
        silence(items[i])


def _no_life(items: Sequence[Item], i: int) -> None:
    """Take "no sign of life on the S15 yet" as nothing up."""
    if family_at(items, i - 1) == "neg" and any(one.family == "sowing" for one in items):
        become(items[i], "germinated", "noun")


def _with_nematodes(items: Sequence[Item], i: int) -> None:
    """Take "drenched bench 1 with nematodes" as a treatment; "nematodes on 41" are a find."""
    act = next((one for one in reversed(items[:i]) if one.family == "act"), None)
    if act is not None and family_at(items, i - 1) == "prep" and items[i - 1].meaning == "with" and act.means("act", *CARE):
        act.meaning, act.more = "treated", {"how": "nematodes"}
        silence(items[i - 1], items[i])


def _brought_in(items: Sequence[Item], i: int) -> None:
    """Take "brought the aloes in from outside" as a move, "brought in two aloes from pia" as plants that came from her."""
    verb = next((one for one in clause_at(items, i) if one.low in ROWS["_brought"] and one.start < items[i].start), None)
    origin = next((one for one in items[i + 1 : i + 3] if one.family != "det"), None)
    if verb is None or origin is None or not verb.means("act", "moved", "acquired"):
        return
    if origin.family == "person":
        verb.meaning, verb.more = "acquired", {}
    elif origin.low in ROWS["_out_there"] and items[i].family == "act":
        verb.meaning, verb.more = "moved", {"to": "indoors"}
        items[i].family, items[i].meaning = "prep", "on"


def _wants_splitting(items: Sequence[Item], i: int) -> None:
    """Take "the gasterias want splitting in may" as a division that is planned, and not as skin that split."""
    if items[i].family == "sign" and family_at(items, i - 1) == "plan":
        become(items[i], "divided", "base")


def _not_more(items: Sequence[Item], i: int) -> None:
    """Take "is not more soft" as no longer so; "not more mites than last week" are still there."""
    sign = items[i + 1] if i + 1 < len(items) else None
    if (
        sign is not None
        and sign.family == "sign"
        and items[i - 1 : i]
        and items[i - 1].means("neg", "not")
        and ends(items, i + 2)
    ):
        sign.more = {**sign.more, "status": "cleared"}
        silence(items[i - 1], items[i])


RULES: tuple[Rule, ...] = (
    _skipped_damp, _at_half, _few_in, _cold_outside, _from_cm, _so_many, _all_alive, _pot_number, _remember, _i_make, _got_a,
    _on_the_trap, _no_life, _with_nematodes, _brought_in, _wants_splitting, _not_more,
)  # fmt: skip
