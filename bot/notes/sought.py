"""Words whose meaning only the whole sentence settles: a pest that was looked for, a heater that was turned, what was topped.

Run over the items of a note once the colliding words are settled one by one.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes import frames
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.lexicon import PARTICLES
from bot.notes.naming import Index
from bot.notes.neighbours import begins, family_at, low_at
from bot.notes.reading import PESTS
from bot.notes.spoken import BY_WORD as SPOKEN
from bot.notes.spoken import described, in_a_pot
from bot.notes.turned_words import sentence, silence
from bot.notes.turns import BY_WORD as TURNS
from bot.notes.turns_of_care import BY_WORD as CARE
from bot.notes.turns_of_numbers import BY_WORD as NUMBERS
from bot.notes.turns_of_numbers import first_three, last_night, lot_count, on_q
from bot.notes.turns_of_things import BY_WORD as THINGS
from bot.notes.turns_of_things import then_next
from bot.notes.turns_of_time import BY_WORD as TIMES

NOTHING = frozenset(listed("care")["none seen"])
SETS = frozenset(("number", "range", "nickname", "taxon", "numbered", "place"))
HEATERS = frozenset(listed("care")["heaters"])


def settle(items: Sequence[Item], names: Index) -> None:
    """Settle what needs the whole sentence, in place."""
    for i, one in enumerate(items):
        if one.low not in CALLING and one.family not in CALLED:
            continue
        rule = _BY_WORD.get(one.low) or _BY_FAMILY.get(one.family)
        if rule is not None:
            rule(items, i)
        if one.family == "sign":
            described(items, i)
            _grown(items, i)
        elif one.family == "number":
            in_a_pot(items, i)
            _said_of_its_pot(items, i)
            if low_at(items, i - 1) == "s":
                _spelled_sowing(items, i, names)
        if one.low in CALLING:
            spoken = SPOKEN.get(one.low)
            if spoken is not None:
                spoken(items, i)
            for turn in TURNED.get(one.low, ()):
                turn(items, i)
        if one.family in ("lot", "person"):
            lot_count(items, i)
        elif one.family == "date":
            first_three(items, i)
            last_night(items, i)
        elif one.low == "q":
            on_q(items, i, names)
        frames.settle(items, i)


def _looked_for(items: Sequence[Item], i: int) -> None:
    """Take "checked 203 for mites" as a look and not as a find; "…, none" as none seen, "…, found one" as a find."""
    one = items[i]
    if one.meaning not in PESTS or one.more.get("status") or low_at(items, i - 1) not in FOR:
        return
    said = sentence(items, i)
    if not any(other.means("act", "inspected") and other.start < one.start for other in said):
        return
    behind = [other for other in said if other.start > one.start]
    outcome = next((other for other in behind if other.family in ("neg", "clear") or other.low in NOTHING), None)
    if outcome is not None:
        one.more = {**one.more, "status": "absent"}
        for other in behind:
            if other is outcome or (other.family == "act" and other.low in ("found", "saw")):
                other.family = "stop"
    elif not any(other.family in ("sign", "number", "light") or other.low in ("found", "yes", "got") for other in behind):
        one.family, one.used = "sought", True


def _acted(items: Sequence[Item], i: int) -> None:
    act = items[i]
    if act.meaning == "turned":
        _turned(items, i)
    elif act.low == "topped" and any(one.family == "mix" for one in items[i : i + 6]):
        act.meaning, act.more = "top_dressed", {}
    elif (
        act.meaning == "offsets_taken"
        and family_at(items, i - 1) == "number"
        and family_at(items, i - 2) in ("number", "nickname")
    ):
        items[i - 1].family, items[i - 1].meaning = "number", "count"
    elif act.meaning == "unpotted" and family_at(items, i - 1) == "both" and any(x.means("act", "acquired") for x in items[:i]):
        act.become("condition", "bare_root")
        items[i - 1].family = "stop"


def _turned(items: Sequence[Item], i: int) -> None:
    """Tell "turned the heater down to 6", which sets it, and "turned by a quarter" from plants that are turned."""
    k = i + 2 if family_at(items, i + 1) == "det" else i + 1
    if low_at(items, k) in HEATERS:
        degrees = next((n for n in range(k + 1, min(k + 4, len(items))) if items[n].family in ("number", "amount")), None)
        if degrees is None:
            return
        items[i].meaning, items[i].form, items[i].low = "heated", "past", "heater set to"
        for one in items[i + 1 : degrees]:
            one.family, one.used = "stop", True
        return
    for n in range(i + 1, min(i + 5, len(items))):
        if items[n].family == "fraction" and items[n - 1].low == "by":
            items[n].family, items[n].used = "stop", True


def _to_a_place(items: Sequence[Item], i: int) -> None:
    """Take "moved 60-64 2 q shelf" as to the shelf: a number between a set and a place is none of either."""
    if items[i].low == "2" and low_at(items, i - 1) in PARTICLES and family_at(items, i + 1) == "place":
        items[i].family, items[i].meaning, items[i].low, items[i].used = "prep", "to", "to", True
    between = family_at(items, i - 1) in SETS and family_at(items, i + 1) == "place"
    if between and items[i].low == "2" and any(one.means("act", "moved", "isolated") for one in items[:i]):
        items[i].family, items[i].meaning, items[i].low, items[i].used = "prep", "to", "to", True


def _under_a_condition(items: Sequence[Item], i: int) -> None:
    """Take "if it stays dry I will …" as a condition and not as an order to keep plants dry."""
    if any(one.family == "cond" for one in items[max(0, i - 4) : i]):
        items[i].family = "stop"


def _left_alone(items: Sequence[Item], i: int) -> None:
    """Take "…, left both" as what was not done."""
    if (
        items[i].low == "left"
        and begins(items, i)
        and (family_at(items, i + 1) == "both" or low_at(items, i + 1) in ("them", "it"))
    ):
        items[i].family, items[i].meaning = "left", "left"


def _spelled_sowing(items: Sequence[Item], i: int, names: Index) -> None:
    """Take a dictated "s fifteen" as the sowing of that code."""
    code = f"S{items[i].value:g}" if items[i].value is not None else ""
    if code in names.names.sowings:
        silence(items[i - 1])
        items[i].family, items[i].meaning = "sowing", code


def _well(items: Sequence[Item], i: int) -> None:
    """Take a "well" that only opens a sentence as nothing."""
    if begins(items, i) and (family_at(items, i + 1) in ("comma", "pron") or low_at(items, i + 1) in ("i", "we", "that")):
        silence(items[i])


def _all_night(items: Sequence[Item], i: int) -> None:
    if low_at(items, i + 1) in SPANS:
        silence(items[i], items[i + 1])


def _ago(items: Sequence[Item], i: int) -> None:
    """Take "about an hour ago" as now: a note has a day."""
    first = next((k for k in range(i - 1, max(-1, i - 5), -1) if items[k].low.rstrip("s") in ("hour", "minute", "min")), None)
    if first is not None or (family_at(items, i - 1) == "amount" and items[i - 1].meaning == "minutes"):
        begun = first if first is not None else i - 1
        while begun and (items[begun - 1].family in ("det", "number", "fraction", "approx") or items[begun - 1].low == "about"):
            begun -= 1
        silence(*items[begun : i + 1])


def _number(items: Sequence[Item], i: int) -> None:
    """Take "number forty one" as the plant of that label."""
    if family_at(items, i + 1) == "number":
        silence(items[i])
        items[i + 1].meaning = "label"


def _might_have(items: Sequence[Item], i: int) -> None:
    """Take "might have" before a sign as a doubt, not as something left undone."""
    if family_at(items, i + 1) == "sign":
        items[i].family, items[i].meaning = "hedge", "maybe"


def _gets_no_water(items: Sequence[Item], i: int) -> None:
    """Take "the lithops dont get water until june" as an order to keep them dry."""
    behind = items[i + 1 : i + 4]
    if (
        len(behind) == 3
        and behind[0].low in ("get", "need", "want")
        and behind[1].means("act", "watered")
        and behind[2].family == "till"
    ):
        items[i].family, items[i].meaning = "nowater", "dry"
        silence(*behind[:2])


def _a_drop_of_feed(items: Sequence[Item], i: int) -> None:
    if low_at(items, i + 1) == "of" and i + 2 < len(items) and items[i + 2].means("act", "fed"):
        silence(items[i], items[i + 1])


def _comes_into(items: Sequence[Item], i: int) -> None:
    if low_at(items, i + 1) in ("into", "to", "in") and family_at(items, i + 2) == "sign":
        silence(items[i], items[i + 1])


def _named_ones(items: Sequence[Item], i: int) -> None:
    """Take "the two wonky ones" as a description, though a plant is called Wonky."""
    if family_at(items, i - 1) == "number" and family_at(items, i + 1) == "plants":
        items[i].family = "adj"


def _fetched(items: Sequence[Item], i: int) -> None:
    """Take "wilma picked up her three echeverias" as plants that left."""
    if family_at(items, i - 1) == "person" and begins(items, i - 1) and low_at(items, i + 1) in ("her", "his", "their", "the"):
        items[i].family, items[i].meaning, items[i].form = "act", "given", "past"


def _brush(items: Sequence[Item], i: int) -> None:
    """Take a brush beside a product as what it was put on with, and not as pollen: "meths on 203 with a brush"."""
    said = sentence(items, i)
    if any(one.family == "product" or one.means("act", "treated") for one in said) and family_at(items, i - 1) in (
        "det",
        "prep",
    ):
        led = items[i - 2 : i] if family_at(items, i - 1) == "det" else items[i - 1 : i]
        silence(items[i], *(one for one in led if one.family in ("det", "prep")))


def _part_of_it(items: Sequence[Item], i: int) -> None:
    """Take "on the new growth of 12", "in the crown" behind a pest as where it sits, not as a finding of its own."""
    first = i
    while (first and items[first - 1].family in ("det", "state", "sign", "adj")) or low_at(items, first - 1) in GROWING:
        first -= 1
    led = family_at(items, first - 1) == "prep" and items[first - 1].meaning == "on"
    pest = (
        next((one for one in reversed(items[: first - 1]) if one.family in ("sign", "product", "break")), None) if led else None
    )
    if pest is None or pest.family == "break" or low_at(items, i + 1) not in OF_IT:
        return
    silence(*items[first - 1 : i + 1])
    if low_at(items, i + 1) == "of":
        items[i + 1].meaning, items[i + 1].low = "on", "on"


def _grown(items: Sequence[Item], i: int) -> None:
    """A sign that names a part of the plant: flowers, buds, new growth."""
    if items[i].low in GROWN and not items[i].more.get("status"):
        _part_of_it(items, i)


def _said_of_its_pot(items: Sequence[Item], i: int) -> None:
    """Take "root bound in its 9" as the pot it is in."""
    if low_at(items, i - 1) in ITS and family_at(items, i - 2) == "prep" and family_at(items, i + 1) not in ("taxon", "plants"):
        silence(items[i])


_WORDS = listed("spoken")
GROWING, GROWN, OF_IT, ITS, FOR = (frozenset(_WORDS[key]) for key in ("growing", "grown", "of it", "its", "led by for"))


def _offsets_on_it(items: Sequence[Item], i: int) -> None:
    """Take "teacup has 4 pups" as how many it has, counted, and not as pups that were taken off."""
    counted = items[i].meaning == "offsets" and family_at(items, i - 1) == "number" and low_at(items, i - 2) in HAS
    if counted and not any(one.family in ("act", "sign") for one in sentence(items, i)):
        items[i].family, items[i].meaning = "measure", "offsets"


def _aborted(items: Sequence[Item], i: int) -> None:
    """Take "buds on 77 aborted" as buds that dropped."""
    buds = next((one for one in sentence(items, i) if one.means("sign", "budding", "flowering")), None)
    if buds is not None and items[i].family in ("word", "act"):
        buds.meaning = "bud_drop"
        silence(items[i])


def _given_to(items: Sequence[Item], i: int) -> None:
    """Take "sold 3 rebs to a bloke" as to somebody, though the collection knows no such person."""
    one = items[i]
    led = family_at(items, i - 1) == "det" and low_at(items, i - 2) in GIVEN_TO
    if led and one.low.isalpha() and any(other.means("act", "given") for other in items[:i]):
        one.family, one.meaning = "person", f"{items[i - 1].low} {one.low}"


def _for_nothing(items: Sequence[Item], i: int) -> None:
    """Take "got 2 gymnos off pia for nothing" as what was paid, and not as a look that found nothing."""
    came = next((one for one in items[:i] if one.means("act", "acquired", "given")), None)
    if came is not None and low_at(items, i - 1) in FOR:
        came.more = {**came.more, "price": "0"}
        silence(items[i - 1], items[i])


def _for_good(items: Sequence[Item], i: int) -> None:
    """Take "uncovered for good" as no sign of health."""
    if low_at(items, i - 1) in FOR:
        silence(items[i - 1], items[i])


def _taken(items: Sequence[Item], i: int) -> None:
    """Take "cutting of 12 taken" as what was cut, and not as a graft that took."""
    kind = next((k for k in range(i - 1, -1, -1) if items[k].means("kind", *TAKEN_AS)), None)
    if kind is None or items[i].family != "act" or family_at(items, kind + 1) != "prep":
        return
    items[i].meaning, items[i].form = TAKEN_AS[items[kind].meaning], "past"
    silence(items[kind], items[kind + 1])
    if family_at(items, kind + 2) == "number":
        items[kind + 2].meaning = "label"


def _none_left(items: Sequence[Item], i: int) -> None:
    """Take "no scale left on 60" as gone, and not as only not seen."""
    sign = items[i - 1] if i > 1 else None
    if sign is not None and sign.meaning in PESTS and sign.family == "sign" and family_at(items, i - 2) == "neg":
        sign.more = {**sign.more, "status": "cleared"}
        silence(items[i - 2], items[i])


def _first_of_all(items: Sequence[Item], i: int) -> None:
    """Take "fed, first of the year" as how it was, and not as the first of January."""
    if items[i].family == "date" and i and any(one.family == "act" for one in items[:i]):
        silence(items[i])


TAKEN_AS = {"cuttings": "cutting_taken", "offsets": "offsets_taken"}
HAS, GIVEN_TO = frozenset(_WORDS["has"]), frozenset(_WORDS["given to"])


def _label_gone(items: Sequence[Item], i: int) -> None:
    """Take "the label of 13 is gone" as a label lost, and not as a plant that is missing."""
    if low_at(items, i + 1) not in ("of", "on", "for", "from", "off"):
        return
    last = next((k for k in range(i + 2, min(i + 9, len(items))) if items[k].low in LABEL_GONE), None)
    if last is None or any(one.family == "break" for one in items[i:last]):
        return
    items[i].family, items[i].meaning, items[i].form = "act", "label_lost", "past"
    silence(items[i + 1], items[last], *(one for one in items[i:last] if one.family == "q"))


LABEL_GONE = frozenset(_WORDS["label gone"])
SPANS = frozenset(_WORDS["spans"])
_BY_WORD = {
    "well": _well, "all": _all_night, "ago": _ago, "number": _number, "nr": _number, "might have": _might_have,
    "may have": _might_have, "dont": _gets_no_water, "don't": _gets_no_water, "do not": _gets_no_water, "a drop": _a_drop_of_feed,
    "a sip": _a_drop_of_feed, "come": _comes_into, "came": _comes_into, "coming": _comes_into, "picked up": _fetched,
    "collected": _fetched, "label": _label_gone, "labels": _label_gone, "tag": _label_gone, "tags": _label_gone,
    "nothing": _for_nothing, "nowt": _for_nothing, "good": _for_good, "taken": _taken, "left": _none_left,
    "first of the year": _first_of_all, "first of the season": _first_of_all, "aborted": _aborted, "blasted": _aborted,
    "brush": _brush, "a brush": _brush,
}  # fmt: skip
_BY_FAMILY = {
    "sign": _looked_for, "act": _acted, "number": _to_a_place, "nowater": _under_a_condition, "adj": _left_alone,
    "nickname": _named_ones, "part": _part_of_it, "kind": _offsets_on_it, "word": _given_to, "date": then_next,
}  # fmt: skip
_TABLES = (TURNS, CARE, THINGS, TIMES, NUMBERS)
TURNED = {low: tuple(rule for table in _TABLES for rule in table.get(low, ())) for table in _TABLES for low in table}
# The words and the families that call any rule here; a word of neither is passed by.
CALLING = _BY_WORD.keys() | SPOKEN.keys() | TURNED.keys() | frames.BY_WORD.keys()
CALLED = _BY_FAMILY.keys() | frames.BY_FAMILY.keys() | {"sign", "number", "lot", "person"}
