"""Words of talk and of haste that only look like something else: "ok this morning …", "went to tray 4", "gave the conos nothing".

Each rule takes the items and a place, like those of `sought`, and runs after the colliding words are settled one by one.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SET_STARTS, Rule, begins, clause_at, family_at, low_at
from bot.notes.reading import PESTS
from bot.notes.turned_words import LARGEST_POT_CM, silence

PLACES = frozenset(("place", "somewhere", "numbered"))
SUBJECTS = SET_STARTS | {"word"}
_WORDS = listed("spoken")
ENDINGS = frozenset(("rooted", "failed", "died", "discarded", "given", "offered", "united", "missing"))


def _opener(items: Sequence[Item], i: int) -> None:
    """Take an "ok" that only opens a sentence as nothing: "ok this morning i repotted 41"."""
    behind = family_at(items, i + 1)
    if (
        begins(items, i)
        and i + 1 < len(items)
        and (behind in ("date", "act", "pron", "stop") or low_at(items, i + 1) in _WORDS["opened"])
    ):
        silence(items[i])


def _went(items: Sequence[Item], i: int) -> None:
    """Take "the rebutias went to tray 4", "both went outdoors" as a move, where a place follows."""
    k = i + 1
    while family_at(items, k) in ("prep", "det") or low_at(items, k) in _WORDS["back"]:
        k += 1
    moved = family_at(items, k) in PLACES and k - i < 5 and i > 0 and items[i - 1].family in SUBJECTS | {"stop"}
    if moved and any(one.family in SUBJECTS for one in clause_at(items, i) if one.start < items[i].start):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "moved", "past", {}


def _each_of(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) == "number" and items[i + 1].meaning == "digits":
        silence(items[i])


def _nothing(items: Sequence[Item], i: int) -> None:
    """Take "gave the conos nothing", "gave nothing to the conos" as a watering not done."""
    if items[i].family not in ("clear", "neg") or any(one.family == "sign" for one in clause_at(items, i)):
        return
    if begins(items, i) and items[i].family == "clear" and items[i + 1 : i + 2] and items[i + 1].means("act", "watered", "fed"):
        items[i].family, items[i].meaning = "neg", "undone"  # "nothing watered today"
        return
    k = i + 2 if family_at(items, i + 2) != "det" else i + 3
    if begins(items, i) and items[i + 1 : i + 2] and items[i + 1].means("prep", "for") and family_at(items, k) in PLANTS:
        done = any(one.means("act", "watered") for one in items[:i])
        items[i].family, items[i].low = ("skipped", items[i].low) if done else ("left", _WORDS["left dry"][0])
        return
    for k in range(i - 1, max(-1, i - 6), -1):
        if items[k].family in ("comma", "break"):
            return
        if items[k].low in _WORDS["giving"] or (k == i - 1 and items[k].low in _WORDS["getting"]):
            items[k].family, items[k].meaning = "neg", "undone"
            items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "watered", "noun", {}
            return


PLANTS = SET_STARTS - {"det", "pron"}


def _without(items: Sequence[Item], i: int) -> None:
    """Take "tray 5 without the two at the end" as an exception: plants are left out, not a pest."""
    k = i + 1
    while family_at(items, k) in ("det", "adj"):
        k += 1
    plants = family_at(items, k) in PLANTS
    counted = family_at(items, k) == "number" and family_at(items, k + 1) in ("amount", "sign", "part", "word", "act")
    if i and plants and not counted and not begins(items, i) and items[i - 1].family in SUBJECTS | {"act"}:
        items[i].family, items[i].meaning = "except", "except"


def _ex(items: Sequence[Item], i: int) -> None:
    """Take "bench 1 watered ex the epis" as an exception; "ex pia" is where plants came from."""
    k = i + 1
    while family_at(items, k) == "det":
        k += 1
    done = any(one.family == "act" and one.meaning not in ("acquired", "moved") for one in items)
    if done and i and family_at(items, k) in ("number", "range", "nickname", "taxon"):
        items[i].family, items[i].meaning = "except", "except"


def _taken_from(items: Sequence[Item], i: int) -> None:
    """Take "3 pups off 77 rooted", "the cuttings from wonky died" as what those are, which were taken long ago."""
    behind = []
    for one in items[i + 1 :]:
        if one.family in ("comma", "break", "sep"):
            break
        behind.append(one)
    if begins(items, i) and family_at(items, i + 1) == "number" and behind == [items[i + 1]]:
        items[i + 1].meaning = "label"  # "pups off 12": off the plant of that number
    told = any(one.means("act", *ENDINGS) for one in behind)
    counted = i > 0 and items[i - 1].family in ("number", "det", "refer", "adj", "both", "plants", "most")
    if told and counted and not any(one.family == "act" for one in clause_at(items, i) if one.start < items[i].start):
        items[i].meaning = "cuttings" if items[i].means("act", "cutting_taken") else "offsets"
        items[i].family = "kind"


def _took(items: Sequence[Item], i: int) -> None:
    """Take "took 41 from frame a to bench 1" as a move, and "the cuttings i took from 41" as which cuttings."""
    if low_at(items, i - 1) in _WORDS["mine"] and family_at(items, i - 2) in ("kind", "plants"):
        silence(items[i])
        return
    if items[i].family != "word" or family_at(items, i + 1) not in SUBJECTS:
        return
    clause = [one for one in clause_at(items, i) if one.start > items[i].start]
    there = any(one.means("prep", "to") and other.family in (*PLACES, "det") for one, other in itertools.pairwise(clause))
    if there and any(one.family in PLACES for one in clause) and not any(one.family == "act" for one in clause):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "moved", "past", {}


def _dry(items: Sequence[Item], i: int) -> None:
    """Take "they dry now" after offsets or a washing as set to dry: nobody takes the mix of a cutting's pot."""
    if items[i].family != "sign" or family_at(items, i - 1) not in ("pron", "q", "light", "comma", "stop"):
        return
    before = [one for one in items[:i] if one.family == "act"]
    ends = family_at(items, i + 1) in ("", "break", "comma", "stop", "prep", "date")
    if before and ends and before[-1].meaning in ("offsets_taken", "cutting_taken", "washed"):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "set_to_dry", "ing", {}


def _visited(items: Sequence[Item], i: int) -> None:
    """Take "jan came round and took two of the pups home with her" as plants that left."""
    for k in range(i - 1, -1, -1):
        if items[k].low in _WORDS["visitor"]:
            visitor = next((one for one in reversed(items[:k]) if one.family == "person"), None)
            if visitor is not None:
                items[i].family, items[i].meaning, items[i].low = "person", visitor.meaning, visitor.low
                items[k].family, items[k].meaning, items[k].form, items[k].more = "act", "given", "past", {}
            return


def described(items: Sequence[Item], i: int) -> None:
    """Take a sign before a plant as what it looks like: "took the top off that leggy euphorbia", "2 rotten ones discarded"."""
    sign, behind = items[i], family_at(items, i + 1)
    if sign.meaning in PESTS or not i or " " in sign.low:
        return
    if sign.meaning == "healthy" and items[i - 1].family == "det" and behind in ("taxon", "nickname"):
        silence(sign)
        return
    done = [one for one in clause_at(items, i) if one.family == "act"]
    few = items[i - 1].family == "number" and (items[i - 1].value or LEAST_LABEL) < LEAST_LABEL
    if few and family_at(items, i + 2) != "pron" and items[i + 1 : i + 2] and items[i + 1].means("act", "discarded", "died"):
        sign.family, sign.kept = "condition", True
    elif sign.meaning == "rot" and few and behind in ("taxon", "plants", "kind") and done:
        sign.family = "adj"  # which ones, only a person can say
    elif (
        (items[i - 1].family == "det" or low_at(items, i - 1) in _WORDS["that"])
        and behind in ("taxon", "nickname")
        and any(one.start < sign.start for one in done)
    ):
        sign.family = "adj"


def _looking(items: Sequence[Item], i: int) -> None:
    """Take "the sad looking aloe" as one description."""
    if family_at(items, i - 1) in ("adj", "sign") and family_at(items, i + 1) in ("taxon", "plants", "kind"):
        items[i].family = items[i - 1].family = "adj"


def _numbers(items: Sequence[Item], i: int) -> None:
    """Take "nos 40 to 46" as the labels they are."""
    if family_at(items, i + 1) in ("number", "range"):
        silence(items[i])
        if items[i + 1].family == "number":
            items[i + 1].meaning = "label"


def _quarter(items: Sequence[Item], i: int) -> None:
    """Take "turned bench 2 a quarter" as how far, not how many."""
    turned = any(one.means("act", "turned") for one in clause_at(items, i) if one.start < items[i].start)
    ends = family_at(items, i + 1) in ("", "comma", "break", "sep") or low_at(items, i + 1) in _WORDS["round"]
    if turned and ends and items[i].family in ("fraction", "number"):
        silence(items[i])


def _with_the_can(items: Sequence[Item], i: int) -> None:
    """Take "did bench 1 and bench 2 with the can" as a watering."""
    done = next((one for one in reversed(items[:i]) if one.family in ("act", "q", "did")), None)
    if done is not None and done.family != "act" and done.low.startswith("did"):
        done.family, done.meaning, done.form, done.more = "act", "watered", "past", {}


def _spare(items: Sequence[Item], i: int) -> None:
    """Take "gave one of the spare aloes away" as which ones; "2 aloes spare" offers them."""
    described = family_at(items, i - 1) in ("det", "number") and family_at(items, i + 1) in ("taxon", "kind", "plants")
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    if described and any(one.family == "act" or one.low in _WORDS["giving"] for one in before):
        items[i].family = "adj"


def in_a_pot(items: Sequence[Item], i: int) -> None:
    """Take "potted on the colonel, he's in an 11 now" as the size of the pot."""
    size = items[i].value
    placed = family_at(items, i - 1) == "det" and items[i - 2].means("prep", "on") and low_at(items, i - 1) in _WORDS["an"]
    if (
        placed
        and i > 2
        and size is not None
        and 4 <= size <= LARGEST_POT_CM
        and family_at(items, i + 1) not in ("taxon", "plants")
    ):
        items[i].family = "potsize"


def _seeds_from(items: Sequence[Item], i: int) -> None:
    """Take "sowed the astrophytum seeds from renske" as where the seeds came from, not as a harvest."""
    given = family_at(items, i + 1) in ("person", "lot")
    if given and any(one.means("act", "sown", "acquired") for one in items[:i]):
        items[i].family, items[i].meaning, items[i].low = "prep", "from", "from"


def _but(items: Sequence[Item], i: int) -> None:
    """Take "soaked everyone but the lithops" as an exception."""
    if i and items[i - 1].means("refer", "all"):
        items[i].family, items[i].meaning = "except", "except"


def _is_now(items: Sequence[Item], i: int) -> None:
    """Take "is now laying to dry" as no name."""
    if items[i].means("act", "named") and low_at(items, i + 1).endswith("ing"):
        silence(items[i], items[i + 1])


_RULES: dict[str, Rule] = {
    "opener": _opener,
    "went": _went,
    "each": _each_of,
    "nothing": _nothing,
    "without": _without,
    "ex": _ex,
    "from": _taken_from,
    "took": _took,
    "dry": _dry,
    "name": _is_now,
    "looking": _looking,
    "numbers": _numbers,
    "quarter": _quarter,
    "but": _but,
    "seeds": _seeds_from,
    "can": _with_the_can,
    "spare": _spare,
    "visited": _visited,
}
BY_WORD = {form: _RULES[row.split()[1]] for row, forms in _WORDS.items() if row.startswith("rule ") for form in forms}
