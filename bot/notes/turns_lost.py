"""Turns of phrase about what is lost, dropped or only comments: seedlings that are gone, buds that fell, a notebook mislaid.

Run with the rules of `turns`; the words that call a rule stand in a row "turn _name" of `english/terse.csv`.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.framing import become
from bot.notes.items import Item
from bot.notes.neighbours import SEPARATORS, Rule, begins, clause_at, family_at, low_at
from bot.notes.reading import PESTS
from bot.notes.turned_words import ends, keep, silence
from bot.notes.turns_short import ROWS

YOUNG = ("seedlings", "cuttings", "offsets", "leaves")
COMMENT = frozenset(("word", "det", "stop", "pron", "adj", "q", "light", "prep"))


def _gone_young(items: Sequence[Item], i: int) -> None:
    """Take "three seedlings gone in s13" as died; "gone soft" says how they look."""
    closed = ends(items, i + 1) or (family_at(items, i + 1) == "prep" and family_at(items, i + 2) in ("sowing", "place"))
    if i and items[i - 1].means("kind", *YOUNG) and family_at(items, i - 2) == "number" and closed and items[i].family != "act":
        become(items[i], "died")


def _dropped_buds(items: Sequence[Item], i: int) -> None:
    """Take "duchess dropped her buds", "lost all its buds" as buds that dropped."""
    k = i + 1
    while family_at(items, k) in ("pron", "det", "refer", "stop") or low_at(items, k) in ROWS["_own"]:
        k += 1
    if k < len(items) and items[k].means("sign", "budding") and items[k].low in ROWS["_buds"]:
        items[k].meaning = "bud_drop"
        silence(*items[i:k])


def _lost_thing(items: Sequence[Item], i: int) -> None:
    """Take "lost my notebook" as no plant."""
    k = i + 2 if family_at(items, i + 1) in ("det", "pron") else i + 1
    if items[i].means("act", "died", "missing") and low_at(items, k) in ROWS["_no_plants"]:
        keep(*items[i : k + 1])


def _drafted(items: Sequence[Item], i: int) -> None:
    """Take "drafted 203 onto trichocereus" as grafted."""
    stock = items[i + 3] if i + 3 < len(items) else None
    named = family_at(items, i + 1) in ("number", "nickname", "taxon") and family_at(items, i + 2) == "prep"
    if named and stock is not None and stock.family == "taxon" and not any(one.family == "act" for one in clause_at(items, i)):
        become(items[i], "grafted")


def _pups_on(items: Sequence[Item], i: int) -> None:
    """Take "pups on the colonel" as what is seen; "3 pups on bench 1" stand there."""
    plant = items[i + 2] if i + 2 < len(items) else None
    if plant is not None and plant.family == "det" and i + 3 < len(items):
        plant = items[i + 3]
    alone = all(one.family in ("kind", "prep", "det", "nickname", "taxon", "stop", "number") for one in clause_at(items, i))
    named = plant is not None and (plant.family in ("nickname", "taxon") or plant.means("number", "digits", "label"))
    if begins(items, i) and items[i].means("kind", "offsets") and family_at(items, i + 1) == "prep" and alone and named:
        items[i].family, items[i].meaning = "sign", "pupping"


def _or_no(items: Sequence[Item], i: int) -> None:
    """Take "no mites or mealy" as neither."""
    if family_at(items, i + 1) == "sign" and family_at(items, i - 1) == "sign" and family_at(items, i - 2) == "neg":
        items[i].family, items[i].meaning = "neg", items[i - 2].meaning


def _become(items: Sequence[Item], i: int) -> None:
    """Take "are become rot" as how they look, "from Renske i become three conophytum" as plants that came in."""
    if family_at(items, i + 1) in ("sign", "adj"):
        items[i].family, items[i].meaning = "light", "found"
    elif family_at(items, i + 1) in ("number", "taxon") and any(one.family == "person" for one in items[:i]):
        silence(items[i])


def _rest_from(items: Sequence[Item], i: int) -> None:
    """Take "from today the ferocactus rest" as a rest that begins."""
    named = family_at(items, i - 1) in ("taxon", "lot", "nickname", "place")
    day = next((k for k in range(i) if items[k].means("prep", "from") and family_at(items, k + 1) == "date"), None)
    if named and day is not None and ends(items, i + 1) and items[i].family != "act":
        become(items[i], "rest_started")
        silence(items[day])


def _meanwhile(items: Sequence[Item], i: int) -> None:
    """Take "while the kettle boiled" as what went on beside it."""
    last = next((k for k in range(i, len(items)) if items[k].family in SEPARATORS and k > i), len(items))
    tail = items[i + 1 : last]
    if i and tail and all(one.family in COMMENT for one in tail):
        keep(*items[i:last])


def _by_a_quarter(items: Sequence[Item], i: int) -> None:
    """Take "a quarter turn" as how far."""
    if family_at(items, i) in ("fraction", "number") and i + 1 < len(items) and items[i + 1].means("act", "turned"):
        silence(items[i])


def _more_light(items: Sequence[Item], i: int) -> None:
    """Take "seedlings drawn, need more light" as what they lack, and not as something planned."""
    light = next((k for k in range(i + 1, min(i + 4, len(items))) if items[k].low in ROWS["_light"]), None)
    between = items[i + 1 : light] if light is not None else []
    alone = light is not None and begins(items, i) and ends(items, light + 1)
    if light is not None and alone and all(one.family in ("stop", "adj", "word") for one in between):
        keep(*items[i : light + 1])


SETS = frozenset(("place", "somewhere", "taxon", "nickname", "lot", "number", "kind", "plants", "sowing", "numbered"))


def _these_not(items: Sequence[Item], i: int) -> None:
    """Take "tray 1 fed, tray 2 no" as not fed, "4 in bud, 3 not" as not in bud."""
    before = [one for one in items[:i] if one.family in ("act", "sign")]
    named = i > 1 and items[i - 1].family in SETS and ends(items, i + 1)
    if not named or not before or items[i].family == "act":
        return
    last = before[-1]
    apart = [one for one in items[:i] if one.family in SEPARATORS and one.start > last.start]
    if not apart:
        return
    apart[-1].family, apart[-1].low = "break", ";"  # "fed 12 and 13, 14 not": no list goes on over it
    if last.means("act", "watered", "fed", "misted", "treated", "repotted"):
        items[i].family, items[i].meaning = "skipped", "skipped"
    elif last.family == "sign":
        items[i].family, items[i].meaning, items[i].more = "sign", last.meaning, {**last.more, "status": "absent"}


def _drinks(items: Sequence[Item], i: int) -> None:
    """Take "the haworthia drinks nothing" as what a plant does, and not as water that it got."""
    plant = items[i - 1].family in SETS - {"place", "number"} if i else False
    given = any(one.low in ROWS["_giving"] for one in items[:i])
    if plant and not given and items[i].means("act", "watered"):
        keep(*items[i : next((k for k in range(i, len(items)) if ends(items, k) and k > i), len(items))])


def _pot_of(items: Sequence[Item], i: int) -> None:
    """Take "in one pot of 13" as the size of the pot."""
    size = items[i + 2] if i + 2 < len(items) else None
    led = family_at(items, i - 1) in ("det", "number") and family_at(items, i - 2) == "prep"
    if led and size is not None and items[i + 1].means("prep", "of") and size.means("number", "digits") and ends(items, i + 3):
        size.family = "potsize"
        silence(items[i], items[i + 1], *(one for one in items[i - 1 : i] if one.family in ("det", "number")))


def _of_strength(items: Sequence[Item], i: int) -> None:
    """Take "str 1/2" as half strength."""
    for k in (i + 1, i - 1):
        if family_at(items, k) == "ratio" and items[k].value[0] == 1 and 2 <= items[k].value[1] <= 10:
            items[k].family, items[k].meaning = "strength", f"{1 / items[k].value[1]:g}"
            silence(items[i])


def _of_a_pest(items: Sequence[Item], i: int) -> None:
    """Take "one fat slug" as what the slug looks like."""
    if (
        items[i].family in ("sign", "adj")
        and i + 1 < len(items)
        and items[i + 1].family == "sign"
        and items[i + 1].meaning in PESTS
    ):
        silence(items[i])


RULES: tuple[Rule, ...] = (
    _gone_young, _dropped_buds, _lost_thing, _drafted, _pups_on, _or_no, _become, _rest_from, _meanwhile, _by_a_quarter,
    _more_light, _these_not, _drinks, _pot_of, _of_strength, _of_a_pest,
)  # fmt: skip
