"""Colliding words that may be acts: got, took, left, dry, split, put, water and their like."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, SET_STARTS, begins, clause_at, family_at, low_at, set_follows
from bot.notes.reading import PESTS

CLEANED, LEAVES = frozenset(listed("spoken")["cleaned"]), frozenset(listed("spoken")["leaves"])
SKIPPED = frozenset(listed("spoken")["skipped"])
HOUSE, WATER_OF = frozenset(listed("care")["damped"]), frozenset(listed("care")["water of"])
STAYED = frozenset(listed("care")["stayed"])
GIFTS = frozenset(listed("spoken")["drinks"])  # what plants are given


def clean_word(items: Sequence[Item], i: int) -> None:
    if low_at(items, i + 1) in CLEANED and begins(items, i):
        return
    if family_at(items, i + 1) == "word":
        items[i].family = "word"
        return
    items[i].become("clear")


def dry_word(items: Sequence[Item], i: int) -> None:
    nxt = items[i + 1] if i + 1 < len(items) else None
    if items[i].family == "stop":
        return
    if low_at(items, i - 1) in STAYED:
        items[i].family = "word"
        return
    if nxt is None:
        return
    if (begins(items, i) and nxt.family in ("det", "kind", "pron", "nickname")) or (
        nxt.family == "amount" and nxt.meaning == "days" and low_at(items, i - 1) not in ("sat", "kept")
    ):
        if any(one.low == "sat" for one in items[:i]):
            return
        items[i].family, items[i].meaning, items[i].form = "act", "set_to_dry", "base"
    elif nxt.family in ("till", "once") and (
        begins(items, i)
        or family_at(items, i - 1) in SET_STARTS
        or low_at(items, i - 1) in ("keep", "stay", "stays", "kept", "staying", "keeping")
    ):
        items[i].family, items[i].meaning = "nowater", "dry"


def wet_word(items: Sequence[Item], i: int) -> None:
    if not (begins(items, i) and family_at(items, i + 1) in ("det", "kind", "taxon")):
        items[i].become("sign", "mix_damp")


HAD = ("watered", "fed", "misted", "treated", "washed", "top_dressed")  # what a plant gets: "15 got a light watering"


def got_word(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) == "sign" and items[i - 1].meaning in PESTS:
        items[i].become("light", "found")
        return
    if family_at(items, i + 1) == "act" and items[i + 1].form != "base":
        items[i].become("light", "found")
        return
    if family_at(items, i + 1) == "fraction" and any(one.means("act", "watered", "fed") for one in items[:i]):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "watered", "past", {"how": "half"}
        items[i + 1].family = "stop"
        return
    if any(one.means("act", "watered", "fed", "misted") and one.form == "noun" for one in items[i + 1 : i + 5]):
        items[i].become("light", "found")
        return
    if family_at(items, i + 1) == "det" and family_at(items, i + 2) == "act" and items[i + 2].means("act", *HAD):
        items[i].become("light", "found")
        return
    if (
        family_at(items, i + 1) in ("sign", "neg", "light", "hedge", "clear")
        or (family_at(items, i + 1) in ("det", "number", "adj", "stop") and family_at(items, i + 2) == "sign")
        or (family_at(items, i + 1) in ("word", "part") and i > 0 and not begins(items, i))
    ):
        items[i].become("light", "found")


def took_word(items: Sequence[Item], i: int) -> None:
    clause = clause_at(items, i)
    if items[i].low in ("took", "has taken") and family_at(items, i - 1) == "person" and set_follows(items, i):
        items[i].family, items[i].meaning, items[i].form = "act", "given", "past"
        return
    if family_at(items, i + 1) == "amount" or low_at(items, i + 1) == "about":
        items[i].family = "word"
        return
    if set_follows(items, i):
        if any(one.means("kind", "offsets") for one in items[i + 1 :]):
            items[i].become("act", "offsets_taken")
        elif any(one.means("kind", "cuttings", "leaves") or one.low in LEAVES for one in clause):
            items[i].become("act", "cutting_taken")
        else:
            items[i].family, items[i].meaning = "word", items[i].low
    elif items[i].low in ("taken", "took") and any(one.means("kind", "offsets") for one in clause):
        items[i].family, items[i].meaning = "act", "offsets_taken"
    elif items[i].low == "taken" and any(one.means("act", "photographed") for one in clause):
        items[i].family = "stop"
    elif items[i].low in ("take", "taking"):
        items[i].family = "word"
    else:
        items[i].meaning = "united"


def needs_offsets_word(items: Sequence[Item], i: int) -> None:
    clause = clause_at(items, i)
    if items[i].meaning == "offsets_taken" and not any(one.means("kind", "offsets") for one in clause):
        other = next((one for one in items[i].senses if one.meaning != "offsets_taken"), None)
        if other is not None and (items[i].low != "sep"):
            items[i].become(other.family, other.meaning)
        else:
            items[i].family = "word"
    elif any(one.means("kind", "offsets") for one in clause) and any(one.meaning == "offsets_taken" for one in items[i].senses):
        items[i].family, items[i].meaning = "act", "offsets_taken"


def split_word(items: Sequence[Item], i: int) -> None:
    if low_at(items, i + 1) in ("in", "into") and family_at(items, i + 2) == "number":
        items[i].family, items[i].meaning = "act", "divided"
        return
    clause = clause_at(items, i)
    if any(one.means("kind", "offsets") for one in clause) and any(one.low in ("from", "off") for one in clause):
        items[i].family, items[i].meaning = "act", "offsets_taken"
    elif not set_follows(items, i) and not begins(items, i):
        if items[i].low == "splitting" and any(
            one.means("taxon", "lithops", "conophytum", "mesembs", "argyroderma", "pleiospilos") for one in clause
        ):
            items[i].family = "natural"
            return
        items[i].family, items[i].meaning = "sign", "split_skin"


def stuck_word(items: Sequence[Item], i: int) -> None:
    if set_follows(items, i) or low_at(items, i + 1) in ("in", "into"):
        items[i].family, items[i].meaning = "act", "potted"
    else:
        items[i].become("sign", "stalled")


def up_word(items: Sequence[Item], i: int) -> None:
    before = [one for one in items[:i] if one.family != "sep"]
    sown = any(
        one.family == "sowing" or one.means("kind", "seedlings", "seed_pots") or one.means("act", "sown", "germinated")
        for one in before
    ) or any(one.family == "sowing" or one.low in ("seeds", "seed", "seedlings") for one in items[i:])
    near = items[i - 1].family if i else ""
    counted = near in ("number", "ratio", "refer", "both", "neg", "sowing", "range", "approx") or near == "stop"
    if (
        (sown and counted)
        or (near == "ratio")
        or (sown and near in ("light", "place", "plants"))
        or (
            near in ("refer", "number", "light")
            and (i + 1 == len(items) or items[i + 1].family in SEPARATORS)
            and any(one.low.endswith("ones") or one.means("numbered") or one.means("place") for one in before)
        )
    ):
        items[i].family, items[i].meaning = "act", "germinated"
    else:
        items[i].family = "particle"


def lift_word(items: Sequence[Item], i: int) -> None:
    if not set_follows(items, i):
        items[i].family = "word"


def rest_word(items: Sequence[Item], i: int) -> None:
    nxt = items[i + 1] if i + 1 < len(items) else None
    if (
        items[i].low in ("rest", "the rest")
        and nxt is not None
        and (nxt.low in ("from", "till", "until", "started", "over", "begins", "starts") or nxt.family == "till")
    ):
        items[i].family, items[i].meaning = "act", "rest_started" if nxt.low != "over" else "rest_ended"


def water_word(items: Sequence[Item], i: int) -> None:
    """Settle "water" as a noun: a temperature, a butt, a source."""
    if items[i].low == "water" and low_at(items, i + 1) in ("level", "butt", "was", "bill", "tank"):
        items[i].family = "word"


def squashed_word(items: Sequence[Item], i: int) -> None:
    if set_follows(items, i) or any(one.family == "sign" and one.meaning in PESTS for one in items[i + 1 : i + 4]):
        return
    if (
        any(one.family == "sign" and one.meaning in PESTS for one in clause_at(items, i)[:-1] if one.start < items[i].start)
        and family_at(items, i - 1) != "number"
    ):
        return
    items[i].become("sign", "broken")


def graft_word(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) in ("plan", "remind") and family_at(items, i + 1) in ("det", "number", "nickname", "taxon"):
        return  # "on thursday i will graft 203"
    if not (
        family_at(items, i + 1) in ("det", "number")
        and any(one.low in ("onto", "on", "to") for one in items[i + 1 :])
        and family_at(items, i + 2) != "act"
    ):
        items[i].become("kind")


def sprouting_word(items: Sequence[Item], i: int) -> None:
    if not any(
        one.family == "sowing" or one.means("kind", "seedlings", "seed_pots") or one.low in ("seed", "seeds") for one in items
    ):
        items[i].family, items[i].meaning = "sign", "growing"


def bare_root_word(items: Sequence[Item], i: int) -> None:
    """Settle "bare root": the state in which plants came, or the verb."""
    clause = clause_at(items, i)
    if items[i].form == "base" and (
        any(one.means("act", "acquired", "given") for one in clause)
        or any(one.family == "number" for one in items[max(0, i - 2) : i])
        or low_at(items, i - 1) in ("is", "are", "were", "all", ",")
    ):
        items[i].become("condition", "bare_root")


def all_in_word(items: Sequence[Item], i: int) -> None:
    """Settle "in" and "out" after a number or all: plants that came in, or a move of everything."""
    if i == 0 and items[i].low in ("in", "new") and family_at(items, 1) == "colon":
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"
        return
    before, after = items[i - 1] if i else None, family_at(items, i + 1)
    if items[i].low == "new":
        return
    if before is None or after not in ("", "comma", "break", "sep", "date"):
        return
    if before.family == "number" and items[i].low == "in":
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"
    elif before.means("refer", "all") and items[i].low in ("in", "inside", "out"):
        items[i].family, items[i].meaning, items[i].form = "act", "moved", "past"


def source_word(items: Sequence[Item], i: int) -> None:
    """Settle "spring water on the seedlings": what it was watered with."""
    if (
        items[i].low.endswith("water")
        and (family_at(items, i + 1) == "prep" or any(one.low == "first" for one in items[:i]))
        and not any(one.family == "act" for one in items)
    ):
        items[i].family, items[i].meaning, items[i].form = "act", "watered", "noun"


def left_word(items: Sequence[Item], i: int) -> None:
    """Settle "left the conos dry": a watering deliberately not done."""
    done = any(one.means("act", "watered", "fed", "misted", "treated") for one in items[:i])
    lone = family_at(items, i + 1) in ("", "comma", "break", "sep") and family_at(items, i - 1) in (*SET_STARTS, "place")
    if (
        items[i].low == "left"
        and done
        and (
            lone
            or (
                set_follows(items, i)
                and begins(items, i)
                and not any(one.means("act", "set_to_dry") or one.low in ("dry", "unwatered") for one in items[i + 1 : i + 6])
            )
        )
    ):
        items[i].family = "skipped"
        return
    for j in range(i + 1, min(i + 7, len(items))):
        if items[j].family in ("comma", "break", "act"):
            return
        if items[j].low in ("dry", "bone dry") and j == i + 1 and items[i].low == "left" and done:
            items[i].family, items[i].meaning = "neg", "undone"
            items[j].family, items[j].meaning, items[j].form, items[j].more = "act", "watered", "noun", {}
            return
        if items[j].low == "out of" and items[i].low == "left" and any(one.family == "act" for one in items[j : j + 3]):
            items[i].family, items[i].meaning, items[j].family = "neg", "undone", "stop"
            return
        if items[j].low in ("dry", "bone dry", "unwatered") and j > i + 1 and items[i].low in ("keep", "kept"):
            items[i].family, items[i].meaning, items[j].family = "nowater", "dry", "stop"
            return
        if items[j].low in ("dry", "bone dry", "unwatered") and j > i + 1:
            items[i].family, items[i].meaning = "neg", "undone"
            items[j].family, items[j].meaning, items[j].form, items[j].more = "act", "watered", "noun", {}
            return


def damped_word(items: Sequence[Item], i: int) -> None:
    """Settle "damped": the floor of a house, or a mist over plants."""
    house = any(one.low in HOUSE or one.means("place", "greenhouse") for one in clause_at(items, i))
    items[i].family, items[i].meaning, items[i].form = "act", "damped_down" if house else "misted", "past"
    for one in items[i + 1 :]:
        if one.low in ("floor", "floors", "path", "paths"):
            one.family = "stop"


def water_temp_word(items: Sequence[Item], i: int) -> None:
    if low_at(items, i - 1) in WATER_OF:
        items[i].family = "word"
        return
    if any(one.low in ("got", "had", "gave", "given", "has had") for one in items[max(0, i - 4) : i]):
        items[i].form = "past"
        for one in items[max(0, i - 4) : i]:
            if one.low in ("got", "had", "gave", "given", "has had"):
                one.family = "stop"
        return
    nxt = items[i + 1] if i + 1 < len(items) else None
    if nxt is not None and nxt.family == "amount" and nxt.meaning in ("c", "f", "degree"):
        items[i].family, items[i].meaning = "measure", "water_temp"
    else:
        water_word(items, i)


def repots_word(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) in ("det", "date", "refer", "except") or (
        family_at(items, i - 1) == "prep" and low_at(items, i - 1) == "of"
    ):
        items[i].become("state")


def might_be_word(items: Sequence[Item], i: int) -> None:
    """Settle "60 might be lobivia winteriana": a doubted name."""
    before = family_at(items, i - 1)
    if (before in ("number", "nickname", "range", "sowing") and family_at(items, i + 1) in ("taxon", "ambiguous")) or (
        before in ("number", "nickname", "sowing") and family_at(items, i + 1) == "det" and family_at(items, i + 2) == "taxon"
    ):
        hedged = items[i].family == "hedge"
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "named", "doubt" if hedged else "past", {}


def opened_word(items: Sequence[Item], i: int) -> None:
    everything = low_at(items, i + 1) in ("everything", "it all", "the lot", "all", "up")
    if everything or low_at(items, i - 1) in ("frames", "frame", "lights", "greenhouse", "gh", "house"):
        items[i].family, items[i].meaning, items[i].form = "act", "vented", "past"
        return
    if any(
        one.low in ("vents", "vent", "doors", "door", "windows", "window", "lights", "louvres", "frames")
        for one in items[i + 1 : i + 5]
    ):
        items[i].family, items[i].meaning, items[i].form = "act", "vented", "past"
        for one in items[i + 1 : i + 5]:
            if one.low in ("vents", "vent", "doors", "door", "windows", "window", "louvres"):
                one.family = "stop"


def found_word(items: Sequence[Item], i: int) -> None:
    """Settle "found 118 again": a missing plant is back."""
    clause = clause_at(items, i)
    if (
        any(one.low == "again" for one in clause)
        and not any(one.family in ("sign", "act", "clear") for one in clause)
        and any(one.family in ("number", "nickname") for one in clause)
    ):
        items[i].family, items[i].meaning, items[i].form = "act", "found_alive", "past"


def pot_word(items: Sequence[Item], i: int) -> None:
    """Settle "pot" and "pots": a plant, the vessel, or the verb before a day or a set."""
    one = items[i]
    if one.low == "pots":
        one.become("plants")
    elif one.low == "pot" and low_at(items, i - 1) != "then":
        before = items[i - 1] if i else None
        if (
            before is not None
            and before.family
            in ("det", "pron", "pot", "adj", "number", "nickname", "refer", "amount", "taxon", "sizes", "prep", "potsize", "mix")
        ) or (begins(items, i) and (family_at(items, i + 1) in ("light", "sign") or i + 1 >= len(items))):
            one.become("plants")


def is_a_word(items: Sequence[Item], i: int) -> None:
    """Settle "isnt", "is a", "are": a new name only before a genus or an unknown epithet."""
    nxt = items[i + 1] if i + 1 < len(items) else None
    if (
        nxt is None
        or nxt.family not in ("taxon", "ambiguous", "word")
        or (nxt.family == "word" and (len(nxt.low) < 5 or i == 0 or nxt.form == "known"))
    ):
        item = items[i]
        if item.low == "isnt":
            item.become("neg", "not")
        elif item.low in ("is a", "is an", "must be", "is now", "is really", "is actually", "are really", "are actually"):
            item.family, item.meaning = ("plan", "must be") if item.low == "must be" else ("light", "is")
        elif (item.low == "named" and nxt is None) or item.low in ("id", "re-id"):
            item.family = "word"


def give_word(items: Sequence[Item], i: int) -> None:
    if any(one.family == "amount" and one.meaning in ("ml", "l") for one in clause_at(items, i)):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "watered", "past", {}
        return
    if (
        items[i].low in ("gave", "give", "given")
        and family_at(items, i + 1) == "pron"
        and any(one.low in GIFTS or one.means("act", "watered", "fed", "treated", "misted") for one in items[i + 1 : i + 8])
    ) or (
        items[i].low in ("gave", "give", "given")
        and any(
            one.family == "act" and one.meaning in ("watered", "fed", "misted", "treated", "turned", "washed")
            for one in items[i + 1 : i + 9]
        )
        and not any(one.family == "person" for one in items[i + 1 : i + 9])
    ):
        items[i].family = "stop"


def skipped_word(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) == "det":
        items[i].family = "word"
        return
    """Settle "skipped the lithops": left out of what was just done, unless an act follows."""
    for one in items[i + 1 :]:
        if one.family in ("comma", "break"):
            break
        if one.family in ("act", "kind") and one.family == "act":
            return
    items[i].family = "skipped"


def root_word(items: Sequence[Item], i: int) -> None:
    items[i].become("part")


def heat_word(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("heat", "heats"):
        items[i].family = "word"


def snapped_word(items: Sequence[Item], i: int) -> None:
    if not begins(items, i):
        items[i].become("sign", "broken")
