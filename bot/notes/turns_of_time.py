"""Turns of phrase about what is still so, since when, till when, and what is to be done: words that tell of no care today.

Run with the rules of `turns`; which words call which rule is in `things.csv` ("time ...").
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.framing import become
from bot.notes.items import Item
from bot.notes.neighbours import Rule, begins, clause_at, family_at, low_at, set_follows
from bot.notes.turned_words import LARGEST_POT_CM, called_by, ends, keep, keep_to_the_end, silence
from bot.notes.turns_of_things import THING_WORDS


def _still(items: Sequence[Item], i: int) -> None:
    """Take "203 still in quarantine", "still on the rack" as how things stand, and not as done today."""
    act = items[i + 1] if i + 1 < len(items) else None
    asked = any(one.family == "q" for one in items)
    if act is not None and act.means("act", "isolated", "set_to_dry") and act.form != "past" and not asked:
        keep(items[i], act)


def _nothing_since(items: Sequence[Item], i: int) -> None:
    """Take "nothing fed since march" as told, and not as fed in March."""
    clause = clause_at(items, i)
    since = any(one.low.split()[0] in THING_WORDS["_since"] for one in clause)
    if begins(items, i) and family_at(items, i + 1) == "act" and since:
        keep_to_the_end(items, i)


def _since_the_last(items: Sequence[Item], i: int) -> None:
    """Take "no mites since the last spray", "plumped up after the water" as since when, and not as care of today."""
    k = i + 1
    while family_at(items, k) in ("det", "stop", "refer", "ordinal") or low_at(items, k) in THING_WORDS["the_last"]:
        k += 1
    told = any(one.family in ("sign", "clear") for one in items[:i])
    if (
        told
        and (k > i + 1 or " " in items[i].low)
        and family_at(items, k) == "act"
        and items[k].form in ("noun", "base")
        and ends(items, k + 1)
    ):
        keep(*items[i : k + 1])


def _hold_till(items: Sequence[Item], i: int) -> None:
    """Take "hold 88 till it plumps", "skip tray 5 till end of month", "leave 12 alone til may" as no water till then."""
    clause = [one for one in clause_at(items, i) if one.start > items[i].start]
    till = any(one.family == "till" or one.low.split()[0] in THING_WORDS["_till"] for one in clause)
    acts = [one for one in clause if one.family == "act"]
    if i == 0 and till and not acts and set_follows(items, i):
        items[i].family, items[i].meaning, items[i].form = "nowater", "dry", "base"
        silence(*(one for one in clause if one.low in THING_WORDS["_alone"]))


def _take_down(items: Sequence[Item], i: int) -> None:
    """Take "take the bubble wrap down in april" as a plan."""
    act = next((one for one in clause_at(items, i) if one.family == "act" and one.start > items[i].start), None)
    if i == 0 and act is not None and act.form == "noun" and act.means("act", "uncovered", "covered", "shaded", "unshaded"):
        act.form = "base"
        silence(items[i])


def _start_again(items: Sequence[Item], i: int) -> None:
    """Take "start feeding again 1 may" as a plan."""
    act = items[i + 1] if i + 1 < len(items) else None
    if i == 0 and act is not None and act.family == "act" and act.form == "ing" and any(one.family == "date" for one in items):
        act.form = "base"
        silence(items[i])


def _back_in(items: Sequence[Item], i: int) -> None:
    """Take "back in 9 after root trim, 219" as repotted into that size."""
    number = items[i + 1] if i + 1 < len(items) else None
    if number is None or number.family != "number" or not 0 < float(number.value or 0) <= LARGEST_POT_CM:
        return
    after = low_at(items, i + 2) in THING_WORDS["_after"]
    if begins(items, i) and (ends(items, i + 2) or after):
        become(items[i], "repotted", pot_cm=f"{float(number.value or 0):g}")
        silence(number)
        if after:
            keep_to_the_end(items, i + 2)


def _now_there(items: Sequence[Item], i: int) -> None:
    """Take "cant see any mites now on tray 3" as where, and not as a move."""
    seen = any(one.family == "sign" for one in clause_at(items, i) if one.start < items[i].start)
    if seen and (items[i].family == "act" or items[i].means("prep", "to")):
        items[i].family, items[i].meaning, items[i].low = "prep", "on", "on"


def _put_back(items: Sequence[Item], i: int) -> None:
    """Take "knocked 77 out, looks rootbound, put back" as back in its own pot."""
    if begins(items, i) and ends(items, i + 1) and any(one.means("act", "unpotted") for one in items[:i]):
        become(items[i], "repotted", how="same_pot")


def _one_drip(items: Sequence[Item], i: int) -> None:
    """Take "one drip on 41" as the drip that was counted, and no plant."""
    if family_at(items, i - 1) == "number" and begins(items, i - 1) and family_at(items, i + 1) == "prep":
        silence(items[i - 1])


def _open_now(items: Sequence[Item], i: int) -> None:
    """Take "colonel flowering, 4 open" as how many flowers."""
    flowers = any(one.means("sign", "flowering", "budding") for one in items[:i])
    if flowers and family_at(items, i - 1) == "number" and begins(items, i - 1) and ends(items, i + 1):
        keep(items[i - 1], items[i])


def _of_the_frost(items: Sequence[Item], i: int) -> None:
    """Take "a scar from the frost", "red from the sun" as where it came from."""
    k = i + 2 if family_at(items, i + 1) == "det" else i + 1
    if low_at(items, k) in THING_WORDS["_causes"] and ends(items, k + 1):
        keep(*items[i : k + 1])


def _rooted_ones(items: Sequence[Item], i: int) -> None:
    """Take "potted the 3 rooted leaves" as which leaves."""
    done = any(one.family == "act" and one.form == "past" for one in clause_at(items, i) if one.start < items[i].start)
    if done and family_at(items, i - 1) in ("number", "det") and family_at(items, i + 1) in ("kind", "taxon", "plants"):
        silence(items[i])


def _old_top(items: Sequence[Item], i: int) -> None:
    """Take "binned 41s old top" as a part that went, and not as the plant."""
    lost = next((one for one in clause_at(items, i) if one.means("act", "died", "discarded", "given", "missing")), None)
    k = i - 2 if family_at(items, i - 1) == "adj" else i - 1
    owner = items[k] if k >= 0 else None
    if owner is None or lost is None or lost.start > items[i].start or not ends(items, i + 1):
        return
    if owner.family == "potsize" or (owner.family == "nickname" and owner.low.endswith("s")):
        keep(lost, owner, *items[k + 1 : i + 1])


def _dried_up(items: Sequence[Item], i: int) -> None:
    """Take "buds on 41 dried up" as buds lost, and not as dry mix."""
    buds = next((one for one in items[:i] if one.means("sign", "budding", "flowering")), None)
    if buds is not None and ends(items, i + 1) and not any(one.family == "comma" for one in items[items.index(buds) : i]):
        buds.meaning = "bud_drop"
        silence(items[i])


def _dry_enough(items: Sequence[Item], i: int) -> None:
    """Take "88 dry enough to pot on sat" as how far it is, and not as dry mix today."""
    if i and items[i - 1].means("sign", "mix_dry") and low_at(items, i + 1) == "to":
        keep(items[i - 1])
        keep_to_the_end(items, i)


def _others_did_not(items: Sequence[Item], i: int) -> None:
    """Ask where the last of a list did not: "graft on 15 took, 203 didnt"."""
    if (
        ends(items, i + 1)
        and family_at(items, i - 1) in ("number", "nickname", "taxon", "refer", "kind")
        and begins(items, i - 1)
    ):
        items[i].family, items[i].used = "word", False


def _did_it_not(items: Sequence[Item], i: int) -> None:
    """Take "i wanted to repot 88 but i did it not" as told already, and not as done."""
    if any(one.family == "counter" for one in items[:i]) and family_at(items, i + 1) == "neg" and ends(items, i + 2):
        keep(items[i], items[i + 1])


def _after_flowering(items: Sequence[Item], i: int) -> None:
    """Take "feed the haws after flowering" as to be done then, and not as done."""
    act = items[0]
    growing = family_at(items, i + 1) == "sign" and items[i + 1].low.endswith("ing") and ends(items, i + 2)
    if act.family != "act" or not growing:
        return
    if act.form == "past":
        keep(items[i], items[i + 1])
    elif not any(one.form == "past" for one in items[1:i]):
        act.form = "base"
        items[i].family, items[i].meaning = "once", "once"


def _up_now(items: Sequence[Item], i: int) -> None:
    """Take "s12 is up" as germinated."""
    told = i > 1 and items[i - 1].means("q", "aux") and family_at(items, i - 2) == "sowing"  # "s12 how many up" asks
    if told and ends(items, i + 1) and begins(items, i - 2):
        items[i].family, items[i].meaning, items[i].form = "act", "germinated", "past"
        silence(items[i - 1])


def _taken_back(items: Sequence[Item], i: int) -> None:
    """Ask where a note takes back what it said: "fed tray 1, no"."""
    if i > 1 and begins(items, i) and ends(items, i + 1) and i >= len(items) - 2:
        items[i].family, items[i].used = "unread", False


_RULES: tuple[Rule, ...] = (
    _still,
    _nothing_since,
    _since_the_last,
    _hold_till,
    _take_down,
    _start_again,
    _back_in,
    _now_there,
    _put_back,
    _one_drip,
    _open_now,
    _of_the_frost,
    _rooted_ones,
    _old_top,
    _dried_up,
    _dry_enough,
    _others_did_not,
    _did_it_not,
    _taken_back,
    _after_flowering,
    _up_now,
)
BY_WORD = called_by("time", _RULES, THING_WORDS)
