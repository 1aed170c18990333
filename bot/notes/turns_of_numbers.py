"""Turns of phrase about numbers that are no plants: seeds counted, degrees at noon, hours, pots that ran out, how many of a lot.

Run with the rules of `turns`; which words call which rule is in `things.csv` ("number ...").
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.amounts import Amount
from bot.notes.framing import become
from bot.notes.items import Item
from bot.notes.naming import Index
from bot.notes.neighbours import Rule, begins, clause_at, family_at, low_at
from bot.notes.turned_words import LARGEST_POT_CM, called_by, degrees, ends, keep, silence
from bot.notes.turns_of_things import THING_WORDS

_AIR = ("vented", "shaded", "unshaded", "heated", "covered", "uncovered", "damped_down")
MOST = 40  # project default: more are not spoken of as "the renske 8"
WARMEST_C = 60  # project default, as in the contract of a reading: outside it is asked


def _seeds_counted(items: Sequence[Item], i: int) -> None:
    """Take "fruit on 78 split, 120 seeds" as seeds counted out of the fruit."""
    fruit = next((k for k in range(i) if items[k].means("sign", "fruiting")), None)
    picked = next((one for one in items[: max(0, i - 1)] if one.means("act", "seed_harvested")), None)
    if picked is not None and family_at(items, i - 1) == "number" and family_at(items, i - 2) == "comma" and ends(items, i + 1):
        items[i - 1].meaning = "word"
        silence(items[i - 2])  # "77 pod picked, 60 seeds"
        return
    if fruit is None or family_at(items, i - 1) != "number" or not begins(items, i - 1) or not ends(items, i + 1):
        return
    become(items[i], "seed_harvested")
    items[i - 1].meaning = "word"  # how many, and no label
    silence(*(one for one in items[fruit + 1 : i - 1] if one.means("sign", "split_skin") or one.means("act", "divided")))


def _at_noon(items: Sequence[Item], i: int) -> None:
    """Take "vents open from 10, 29 at noon" as degrees."""
    number = items[i - 1] if i else None
    timed = low_at(items, i + 1) in THING_WORDS["hours_of_day"]
    if number is None or number.family != "number" or not begins(items, i - 1) or not timed:
        return
    if any(one.means("act", *_AIR) for one in items[:i]) and float(number.value or 0) <= WARMEST_C:
        degrees(number)
        keep(items[i], items[i + 1])


def _warm_at(items: Sequence[Item], i: int) -> None:
    """Take "30 seeds in the propagator at 26" as degrees."""
    number = items[i + 1] if i + 1 < len(items) else None
    sown = any(one.means("act", "sown") or one.low in THING_WORDS["_seed"] for one in items[:i])
    warm = any(one.low in THING_WORDS["warm_places"] for one in clause_at(items, i) if one.start < items[i].start)
    if number is not None and number.family == "number" and sown and warm and ends(items, i + 2):
        degrees(number)
        silence(items[i])


def _from_hour(items: Sequence[Item], i: int) -> None:
    """Take "vents open from 10" as an hour."""
    number = items[i + 1] if i + 1 < len(items) else None
    air = any(one.means("act", "vented", "shaded", "unshaded", "heated") for one in clause_at(items, i))
    if number is not None and number.family == "number" and air and ends(items, i + 2) and float(number.value or 0) <= 24:
        keep(items[i], number)


def _at_eight(items: Sequence[Item], i: int) -> None:
    """Take "put to soak at eight this morning" as an hour."""
    number = items[i + 1] if i + 1 < len(items) else None
    if number is None or number.family != "number" or not 0 < float(number.value or 0) <= 12:
        return
    if family_at(items, i + 2) == "date" and low_at(items, i + 2) in THING_WORDS["parts_of_day"]:
        keep(items[i], number)


def _so_hot(items: Sequence[Item], i: int) -> None:
    """Take "damped down twice, 34" as degrees: nobody damps down a plant."""
    number = items[-1] if items[-1].family != "break" else items[-2]
    alone = number.means("number", "digits") and number.start > items[i].start and begins(items, items.index(number))
    if items[i].means("act", "damped_down") and alone and 20 <= float(number.value or 0) <= WARMEST_C:
        degrees(number)


def _now_in_pots(items: Sequence[Item], i: int) -> None:
    """Take "all of lot 7 now in 9s" as repotted."""
    if family_at(items, i + 1) == "potsize" and ends(items, i + 2) and items[i].means("act", "moved"):
        become(items[i], "repotted", pot_cm=f"{float(items[i + 1].value or 0):g}")
        silence(items[i + 1])


def first_three(items: Sequence[Item], i: int) -> None:
    """Take "s13 1st 3 up" as the first, and no day."""
    if items[i].family == "date" and family_at(items, i - 1) == "sowing" and family_at(items, i + 1) == "number":
        silence(items[i])


def last_night(items: Sequence[Item], i: int) -> None:
    """Take "1.5 last night in frame A" as a thermometer: only a part of a degree is told so."""
    number = items[i - 1] if i == 1 else None
    part = number is not None and number.means("number", "digits") and not float(number.value or 0).is_integer()
    if number is not None and part and low_at(items, i) in THING_WORDS["by_night"]:
        degrees(number)


def _in_all(items: Sequence[Item], i: int) -> None:
    """Take "3 more rooted, 6 in all" as the total."""
    number = items[i - 1] if i else None
    act = next((one for one in items[:i] if one.means("act", "rooted", "germinated", "united")), None)
    alone = low_at(items, i) in THING_WORDS["_altogether"] or low_at(items, i + 1) in THING_WORDS["_altogether"]
    if number is None or act is None or number.family != "number" or not begins(items, i - 1) or not alone:
        return
    first = next((one for one in items[: i - 1] if one.family == "number"), None)
    if first is not None and ends(items, i + (1 if low_at(items, i) in THING_WORDS["_altogether"] else 2)):
        first.value, first.low = number.value, number.low
        silence(number, items[i], *items[i + 1 : i + 2])
        silence(*(one for one in items[: i - 1] if one.low in THING_WORDS["_more"]))


def _sizes_of_pots(items: Sequence[Item], i: int) -> None:
    """Take "41 up a size, 9 to 11" as the two pots."""
    sizes = next((one for one in items[i + 1 : i + 4] if one.family == "range"), None)
    if sizes is not None and family_at(items, i + 1) in ("comma", "colon", "sizes", "range") and sizes.value[1] <= LARGEST_POT_CM:
        sizes.family, sizes.value = "sizes", (float(sizes.value[0]), float(sizes.value[1]))


def _measures(items: Sequence[Item], i: int) -> None:
    """Take "41 measures 12 across and 20 high" as centimetres [common practice]."""
    if family_at(items, i - 1) not in ("number", "nickname") or not begins(items, i - 1):
        return
    for k in range(i + 1, len(items) - 1):
        measure = MEASURED.get(items[k + 1].low)
        if items[k].family == "number" and measure is not None and items[k].value is not None:
            items[k].value = Amount(float(items[k].value), "cm", items[k].low)
            items[k].family, items[k].meaning = "amount", "cm"
            items[k + 1].family, items[k + 1].meaning = "measure", measure
    if items[i - 1].family == "number":
        items[i - 1].meaning = "label"
    silence(items[i])


def _size_of_pot(items: Sequence[Item], i: int) -> None:
    """Take "new pot for teacup, 8 square" as the size of it."""
    number = items[i - 1] if i else None
    potted = next((one for one in items[:i] if one.means("act", "potted", "repotted")), None)
    if (
        number is None
        or potted is None
        or not number.means("number", "digits")
        or not begins(items, i - 1)
        or not ends(items, i + 1)
    ):
        return
    if 0 < float(number.value or 0) <= LARGEST_POT_CM and potted is not number:
        number.family, number.meaning, number.value = "potsize", "s", float(number.value or 0)


def _so_strong(items: Sequence[Item], i: int) -> None:
    """Take "fed the cuttings, quarter" as the strength."""
    fed = any(one.means("act", "fed") for one in items[:i])
    if fed and items[i].family == "fraction" and begins(items, i) and ends(items, i + 1):
        items[i].family, items[i].meaning = "strength", f"{float(items[i].value):g}"


def lot_count(items: Sequence[Item], i: int) -> None:
    """Take "tadeas 5 unpotted", "dipped the renske 8 in soap" as how many the lot has, and not as a plant."""
    number = items[i + 1] if i + 1 < len(items) else None
    if number is None or not number.means("number", "digits") or not 1 < float(number.value or 0) <= MOST:
        return
    led = begins(items, i) or (family_at(items, i - 1) == "det" and low_at(items, i - 1) != "a")
    behind = family_at(items, i + 2)
    if led and (behind in ("act", "prep") or (behind in ("", "break") and i > 0 and family_at(items, i - 1) == "det")):
        number.meaning = "word"  # how many, and no label


def on_q(items: Sequence[Item], i: int, names: Index) -> None:
    """Take "moved 12 to q" as to the shelf for newcomers, where the collection has one."""
    if items[i].family == "word" and i and items[i - 1].means("prep", "to", "on") and ends(items, i + 1):
        shelf = names.place(SHELF)
        if shelf in names.places.values():
            items[i].family, items[i].meaning = "place", shelf


SHELF = next(iter(THING_WORDS["q_shelf"]))

MEASURED = {**dict.fromkeys(THING_WORDS["_across"], "diameter"), **dict.fromkeys(THING_WORDS["_high"], "height")}

_RULES: tuple[Rule, ...] = (
    _seeds_counted,
    _at_noon,
    _warm_at,
    _from_hour,
    _in_all,
    _so_hot,
    _now_in_pots,
    _at_eight,
    _sizes_of_pots,
    _measures,
    _size_of_pot,
    _so_strong,
)
BY_WORD = called_by("number", _RULES, THING_WORDS)
