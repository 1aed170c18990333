"""Turns of phrase about seedlings, offsets, cuttings, grafts and seed, by what stands a few words off; called by `frames`."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.framing import LABEL, NAMED, YOUNG, acted, become
from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.neighbours import SEPARATORS, Rule, begins, clause_at, family_at, low_at
from bot.notes.turned_words import WORDS, sentence, silence


def _gave_pups(items: Sequence[Item], i: int) -> None:
    """Take "duchess gave me 4 pups" as offsets of a plant, and not as a present."""
    parent = family_at(items, i - 1) in ("nickname", "taxon") or (i and items[i - 1].means("number", LABEL, "digits"))
    pups = any(one.means("kind", "offsets") for one in items[i + 1 : i + 5])
    if parent and pups and (i == 1 or begins(items, i - 1) or family_at(items, i - 2) == "det"):
        become(items[i], "offsets_taken")
        if family_at(items, i - 1) == "number":
            items[i - 1].meaning = LABEL


def _counted_by_colon(items: Sequence[Item], i: int) -> None:
    """Take "s12: nothing, s13: 4, s14: 11" as one count for each sowing."""
    sown = family_at(items, i - 1) == "sowing" and family_at(items, i + 1) in ("number", "ratio", "clear", "neg")
    several = sum(one.family == "sowing" for one in items) > 1
    ends = family_at(items, i + 2) in ("", *SEPARATORS) or items[i + 2].means("act", "germinated")
    if sown and several and ends:
        silence(items[i])


def _remain(items: Sequence[Item], i: int) -> None:
    """Take "lost 3, 18 remain" as how many are left, said beside it."""
    if family_at(items, i - 1) == "number" and begins(items, i - 1) and any(one.family == "act" for one in items[: i - 1]):
        items[i].family = items[i - 1].family = "word"
        items[i].kept = items[i - 1].kept = True


def _leaf_of(items: Sequence[Item], i: int) -> None:
    """Take "leaf of 33", "pups of 41" as of the plant of that number."""
    one = items[i + 1] if i + 1 < len(items) else None
    kind = family_at(items, i - 1) == "kind" and items[i - 1].meaning in YOUNG
    numbered = one is not None and one.means("number", "digits") and (one.value or 0) >= LEAST_LABEL
    if kind and numbered and one is not None and family_at(items, i + 2) not in NAMED:
        one.meaning = LABEL


def _one_off(items: Sequence[Item], i: int) -> None:
    """Take "two pups off 12 and one off 14" as offsets of both."""
    taken = any(one.means("act", "offsets_taken") for one in items[:i])
    counted = i > 1 and (family_at(items, i - 1) == "number" or items[i - 1].low in WORDS["_single"]) and begins(items, i - 1)
    parent = items[i + 1] if i + 1 < len(items) else None
    if not taken or not counted or parent is None or parent.family not in ("number", "nickname"):
        return
    if items[i - 1].family != "number":
        items[i - 1].family, items[i - 1].value = "number", 1.0
    items[i - 1].meaning = "word"
    parent.meaning = LABEL if parent.family == "number" else parent.meaning
    become(items[i], "offsets_taken", "noun")


def _rest_small(items: Sequence[Item], i: int) -> None:
    """Take "…, the rest are too small" as said beside it, and not as more of the set."""
    behind = clause_at(items, i)
    later = [one for one in behind if one.start > items[i].start]
    verb = family_at(items, i + 1) in ("light", "q", "stop")
    if begins(items, i) and i and verb and not any(one.family in ("act", "sign", "date", "clear", "nowater") for one in later):
        for one in (items[i], *later):
            one.family, one.kept = "word", True


def _now_up(items: Sequence[Item], i: int) -> None:
    """Take "s13 now 22" as how many are up."""
    ends = family_at(items, i + 2) in ("", *SEPARATORS)
    if family_at(items, i - 1) == "sowing" and family_at(items, i + 1) in ("number", "ratio") and ends and not acted(items, i):
        become(items[i], "germinated")


def _broke_off(items: Sequence[Item], i: int) -> None:
    """Take "two pups fell off 77" as offsets taken, "a leaf came off 203" as a cutting."""
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    kind = next((one for one in reversed(before) if one.means("kind", "offsets", "cuttings", "leaves")), None)
    if low_at(items, i - 1) in WORDS["that"] and family_at(items, i - 2) in (*NAMED, "number"):
        silence(items[i - 1], items[i])  # "regrafted the astro that fell off"
        if low_at(items, i + 1) in WORDS["off_it"]:
            silence(items[i + 1])
        return
    if kind is None or any(one.family in ("act", "neg") for one in clause_at(items, i) if one is not items[i]):
        return
    if any(one.means("act", "grafted", "failed", "united") or one.means("kind", "grafts") for one in items):
        return
    become(items[i], "offsets_taken" if kind.meaning == "offsets" else "cutting_taken")
    if low_at(items, i + 1) in WORDS["off_it"]:
        silence(items[i + 1])
    parent = i + 2 if family_at(items, i + 1) == "stop" else i + 1
    if family_at(items, parent) == "number":
        items[parent].meaning = LABEL


def _dried_up(items: Sequence[Item], i: int) -> None:
    """Take "the other graft dried up", "2 cuttings shrivelled away" as failed."""
    before = items[:i]
    young = any(one.means("kind", *YOUNG) or one.means("act", "grafted", "united", "rooted") for one in before[-8:])
    if young and not any(one.family in ("neg", "hedge") for one in clause_at(items, i)):
        become(items[i], "failed")


def _through(items: Sequence[Item], i: int) -> None:
    """Take "s12: 30 of 40 through", "counted 21 in s14" as seedlings that are up."""
    whole = sentence(items, i)
    sown = any(one.family == "sowing" or one.means("kind", "seedlings") for one in whole)
    counted = any(one.family in ("number", "ratio") for one in whole)
    other = any(one.family in ("act", "sign", "taxon", "place") and one is not items[i] for one in whole)
    if sown and counted and not other:
        become(items[i], "germinated")


def _several_of(items: Sequence[Item], i: int) -> None:
    """Take "offsets: 3 from 41, 2 from 12" as taken, each clause with an act of its own."""
    if not begins(items, i) or family_at(items, i + 1) != "colon" or acted(items, i):
        return
    act = "offsets_taken" if items[i].means("kind", "offsets") else "cutting_taken"
    triple = [family_at(items, i + 2) == "number", i + 3 < len(items) and items[i + 3].means("prep", "from")]
    if items[i].family != "kind" or not all(triple):
        return
    k = i + 1
    while k + 2 < len(items) and family_at(items, k + 1) == "number" and items[k + 2].means("prep", "from"):
        become(items[k], act)
        if items[k + 1].meaning == "digits":
            items[k + 1].meaning = "word"
        k = next((n for n in range(k + 3, len(items)) if items[n].family in ("comma", "sep")), len(items))


def by_rows(items: Sequence[Item], i: int) -> None:
    """Take "pricked out 6 x 6" as rows, and not as how many."""
    before = items[i - 1] if i else None
    if before is not None and before.family == "number" and any(one.means("act", "pricked_out") for one in items[:i]):
        before.family = items[i].family = "word"
        before.kept = items[i].kept = True


def crossings(items: Sequence[Item], i: int) -> None:
    """Cut "crossed 14 x 15 and 15 x 14" into its crosses, each with an act of its own."""
    crossed = next((one for one in reversed(items[:i]) if one.means("act", "pollinated")), None)
    earlier = [k for k in range(i) if items[k].family == "times" and crossed is not None and items[k].start > crossed.start]
    if crossed is None or not earlier:
        return
    joint = next((k for k in range(i - 1, earlier[-1], -1) if items[k].family in ("sep", "comma")), None)
    if joint is not None:
        become(items[joint], "pollinated")


def _pollen_of(items: Sequence[Item], i: int) -> None:
    """Take "pollinated duchess with pollen of 44" as one cross."""
    if items[i - 1].means("prep", "with") and i > 1 and any(one.means("act", "pollinated") for one in items[: i - 1]):
        items[i].family, items[i].meaning = "prep", "with"
        silence(items[i - 1])


def _picked_it(items: Sequence[Item], i: int) -> None:
    """Take "seed pod ripe on 33, picked it" as a harvest."""
    fruit = any(one.means("sign", "fruiting") or one.low in WORDS["_pods"] for one in items[:i])
    ends = (
        family_at(items, i + 1) in ("", "pron", *SEPARATORS)
        or items[i + 1].means("sign", "fruiting")
        or (low_at(items, i + 1) in WORDS["_pods"])
    )
    pests = any(one.family == "sign" and one.meaning != "fruiting" for one in items[:i])
    if fruit and ends and not pests:
        become(items[i], "seed_harvested")


def _bagged(items: Sequence[Item], i: int) -> None:
    """Take "bagged seedlings opened up", "the bags of s14 opened" as uncovered."""
    bags = next((one for one in items[:i] if one.meaning == "covered" and one.family in ("act", "condition")), None)
    if bags is not None and not any(one.family in (*SEPARATORS, "neg") for one in items[items.index(bags) : i]):
        become(items[i], "uncovered")
        bags.family, bags.kept = "condition", True


RULES: tuple[Rule, ...] = (
    _gave_pups,
    _counted_by_colon,
    _remain,
    _leaf_of,
    _one_off,
    _rest_small,
    _now_up,
    _broke_off,
    _dried_up,
    _through,
    _several_of,
    _pollen_of,
    _picked_it,
    _bagged,
)
