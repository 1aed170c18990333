"""Words that mean several things: which one, by the words beside them.

Each rule takes the items and a place and settles one item's family; the corpus of colliding words holds what each must and
must not become.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.colliding_acts import (
    SKIPPED,
    all_in_word,
    bare_root_word,
    clean_word,
    damped_word,
    dry_word,
    found_word,
    give_word,
    got_word,
    graft_word,
    heat_word,
    is_a_word,
    left_word,
    lift_word,
    might_be_word,
    needs_offsets_word,
    opened_word,
    pot_word,
    repots_word,
    rest_word,
    root_word,
    skipped_word,
    snapped_word,
    source_word,
    split_word,
    sprouting_word,
    squashed_word,
    stuck_word,
    took_word,
    up_word,
    water_temp_word,
    wet_word,
)
from bot.notes.colliding_stock import dropped_off_word, killed_word, offered_word, put_word, sent_word
from bot.notes.colliding_things import day_word, every_word, gone_word, serious_word
from bot.notes.items import Item
from bot.notes.lexicon import Lexicon
from bot.notes.neighbours import SEPARATORS, Rule, begins, clause_at, family_at, low_at, set_follows
from bot.notes.reading import PESTS
from bot.notes.separable import join_particles


def _scale(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) in ("number", "amount") and items[i].low in ("scale", "scales"):
        items[i].family, items[i].meaning = "unclear", "sign"


def _free_from(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) not in ("person", "lot") and not (
        family_at(items, i + 1) == "det" and family_at(items, i + 2) != "sign"
    ):
        items[i].become("neg", "no")


def _one(items: Sequence[Item], i: int) -> None:
    """Settle "one": a count after on/from/of or before a sign, else a plant just spoken of."""
    before, after = family_at(items, i - 1), family_at(items, i + 1)
    if after in ("taxon", "kind", "ambiguous") and before not in ("adj", "det"):
        items[i].family, items[i].meaning, items[i].value = "number", "word", 1.0
        return
    if low_at(items, i + 1) in ("of", "of them", "of these", "of those", "of the") and before not in ("adj", "det"):
        items[i].family, items[i].meaning, items[i].value = "number", "word", 1.0
        return
    if (
        (before in ("prep", "", "except", "act") or before in SEPARATORS)
        and before != "adj"
        and after in ("", "comma", "break", "sep", "sign", "act", "light", "prep", "query")
        and low_at(items, i - 1) != "which"
    ):
        items[i].family, items[i].meaning, items[i].value = "number", "word", 1.0


def _about(items: Sequence[Item], i: int) -> None:
    """Settle "about 8", "over 30", "some 20": roughly, before a number."""
    if i and items[i - 1].low in ("tell me", "me", "know", "tell"):
        return
    if family_at(items, i + 1) == "number" and items[i].sense("approx") is None and items[i + 1].meaning != "signed":
        items[i].family = "approx"
    elif family_at(items, i + 1) == "number":
        items[i].become("approx")


def _no_more(items: Sequence[Item], i: int) -> None:
    if any(one.low == "than" for one in items[i:]):
        items[i].family = "stop"
    elif any(one.family == "sign" for one in items[i + 1 : i + 4]):
        items[i].family = "cleared"


def _nothing(items: Sequence[Item], i: int) -> None:
    """Settle "the lithops had nothing" after a watering."""
    if family_at(items, i + 1) in ("light", "act", "q", "stop") and any(
        one.low in ("come up", "up", "came up", "germinated", "showing", "sprouted") for one in items[i + 1 : i + 5]
    ):
        items[i].family, items[i].meaning = "neg", "no"
        return
    if family_at(items, i + 1) == "sign":
        items[i].family, items[i].meaning = "neg", "no"
        return
    if low_at(items, i - 1) in ("had", "got", "get", "given", "gets") and any(
        one.means("act", "watered", "fed") for one in items[:i]
    ):
        items[i - 1].family, items[i - 1].meaning = "neg", "undone"
        items[i].family, items[i].meaning, items[i].form = "act", "watered", "noun"


def _packets(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) == "number":
        items[i - 1].family = "word"


def _headcount(items: Sequence[Item], i: int) -> None:
    """Settle "14 heads": how many heads a plant has."""
    if (
        family_at(items, i - 1) == "number"
        and not any(one.family == "act" for one in items)
        and any(one.family in ("nickname", "number", "taxon") for one in items[: i - 1])
    ):
        items[i].family, items[i].meaning = "measure", "heads"


def _long(items: Sequence[Item], i: int) -> None:
    if not any(one.family == "amount" for one in items[max(0, i - 2) : i]):
        items[i].family = "adj" if items[i].low == "long" else items[i].family
    elif any(one.low in ("roots", "root", "tap root", "taproot") for one in clause_at(items, i)):
        items[i].meaning = "root_length"


def _plants(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("plants", "plant") and not (begins(items, i) and set_follows(items, i)):
        items[i].become("plants")


def _to_dry(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) == "amount" and items[i - 1].meaning in ("days", "span"):
        items[i].family, items[i].meaning = "measure", "days_to_dry"


def _course(items: Sequence[Item], i: int) -> None:
    """Settle "second of three": a step of a course."""
    if not any(one.means("act", "treated", "fed") for one in items):
        return
    k = i + 2 if family_at(items, i + 1) == "act" else i + 1
    if low_at(items, k) in ("of", "out of") and family_at(items, k + 1) == "number":
        total = int(items[k + 1].value)
        if items[i].family == "ordinal" and not (k == i + 2 and 0 < items[i].value <= total < 10):
            return  # "2nd of 3" alone is read with its clause
        step = {"first": 1, "second": 2, "third": 3, "fourth": 4, "last": items[k + 1].value, "final": items[k + 1].value}.get(
            items[i].low, items[i].value if items[i].family == "ordinal" else 0
        )
        items[i].family, items[i].value = "course", f"{int(step)}/{int(items[k + 1].value)}"
        items[k].family = items[k + 1].family = "stop"


def _when(items: Sequence[Item], i: int) -> None:
    if not any(one.family == "query" for one in items) and (
        i > 0 or any(one.family in ("plan", "remind", "comma") for one in items[i:])
    ):
        items[i].family = "once"


def _not(items: Sequence[Item], i: int) -> None:
    """Settle "41 watered, 42 not": left out of what was just done."""
    if (
        family_at(items, i + 1) in ("", "comma", "break")
        and family_at(items, i - 1) in ("number", "place", "taxon", "nickname", "lot", "sowing", "kind")
        and any(one.family == "act" for one in items[:i])
    ):
        items[i].family = "skipped"


def _potted(items: Sequence[Item], i: int) -> None:
    """Settle "9 rebutias from irma, potted": how they came."""
    came = items[0].family == "number" and any(one.family == "person" for one in items[:i]) and family_at(items, i - 1) == "comma"
    if came and not set_follows(items, i) and not any(one.family == "act" for one in items[:i]):
        items[i].family, items[i].meaning = "condition", "potted"


def _compost(items: Sequence[Item], i: int) -> None:
    behind = family_at(items, i - 1) in ("mix", "mixratio", "det", "prep", "amount", "adj", "dose")
    if behind or any(one.means("act", "mixed", "potted", "repotted", "top_dressed", "sown") for one in items[:i]):
        items[i].become("mix")


def _bloom(items: Sequence[Item], i: int) -> None:
    if low_at(items, i - 1) in ("grey", "blue", "white", "natural", "waxy", "powdery", "mealy"):
        items[i].family = "word"
    else:
        _flower(items, i)


def _vent(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) == "det" and family_at(items, i - 2) == "prep":
        items[i].family = "word"


def _cant_find(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) in ("any", "sign") or (family_at(items, i + 1) == "det" and family_at(items, i + 2) == "sign"):
        items[i].family, items[i].meaning = "neg", "no"


def _has_gone(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) == "prep" and items[i + 1].meaning == "to":
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "moved", "past", {}
    else:
        gone_word(items, i)


def _too_to(items: Sequence[Item], i: int) -> None:
    """Settle "too cold to water": a thing not done."""
    if low_at(items, i + 1) == "to" and family_at(items, i + 2) == "act":
        items[i + 1].family, items[i + 1].meaning = "neg", "undone"


def _pup_off(items: Sequence[Item], i: int) -> None:
    """Settle "gave may a pup off 41": the offset is what was given."""
    if any(
        one.means("act", "given", "potted", "offered", "acquired") for one in clause_at(items, i) if one.start < items[i].start
    ):
        items[i].family, items[i].meaning = "kind", "offsets"


def _sowing(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) in ("adj", "date") and any(one.family in ("act", "sign") for one in items[i + 1 :]):
        items[i].family = "plants"


def _raffle(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) in ("det", "prep") and any(one.family == "act" for one in items[:i]):
        items[i].family = "word"


def _all_of(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) == "condition":
        items[i].family = "stop"


def _on_the_scale(items: Sequence[Item], i: int) -> None:
    if not any(one.family == "amount" and one.meaning == "g" for one in items):
        items[i].family, items[i].meaning = "sign", "scale_insect"


def _some(items: Sequence[Item], i: int) -> None:
    """Settle "no mites on bench 1, still some on bench 2": the same sign, seen."""
    sign = next((one for one in reversed(items[:i]) if one.family == "sign"), None)
    if sign is not None and family_at(items, i + 1) == "prep" and any(one.family == "neg" for one in items[:i]):
        items[i].family, items[i].meaning = "sign", sign.meaning
    else:
        _about(items, i)


def _little(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) in ("taxon", "kind", "plants", "ambiguous") and family_at(items, i - 1) == "det":
        items[i].become("adj")


def _flower(items: Sequence[Item], i: int) -> None:
    behind = family_at(items, i - 1) in ("taxon", "nickname", "number")
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    if behind and any(one.family == "sign" and one.meaning in PESTS for one in before):
        items[i].family = "word"
        return
    if family_at(items, i + 1) == "part" or low_at(items, i + 1) in ("stalk", "stalks", "spike", "spikes", "pot", "pots"):
        items[i].family = "word"


def _dead(items: Sequence[Item], i: int) -> None:
    behind = family_at(items, i - 1) in ("det", "number", "adj", "refer", "both")
    if behind and family_at(items, i + 1) in ("taxon", "plants", "kind"):
        items[i].family = "condition"
        return
    if any(one.low in ("roots", "root") for one in clause_at(items, i) if one.start < items[i].start) or any(
        one.means("sign", "dead_roots", "roots_healthy") for one in items[max(0, i - 3) : i]
    ):
        items[i].family, items[i].meaning = "sign", "dead_roots"


def _seeds_in(items: Sequence[Item], i: int) -> None:
    if set_follows(items, i) and any(
        (one.family == "act" and one is not items[i]) or one.low == "up" for one in clause_at(items, i)
    ):
        items[i].family = "word"


def _cuttings_from(items: Sequence[Item], i: int) -> None:
    if any(one.family == "act" for one in clause_at(items, i) if one.start < items[i].start):
        items[i].family, items[i].meaning = "kind", "cuttings"


def _mixed(items: Sequence[Item], i: int) -> None:
    if family_at(items, i + 1) in ("taxon", "plants", "kind", "lot"):
        items[i].family = "condition"


def _leaf_props(items: Sequence[Item], i: int) -> None:
    if any(one.family == "act" and one is not items[i] for one in items):
        items[i].family, items[i].meaning = "kind", "leaves"


def _nil(items: Sequence[Item], i: int) -> None:
    if low_at(items, i - 1) in ("got", "had", "get", "gets"):
        _nothing(items, i)
        if items[i].family == "act":
            return
    if family_at(items, i + 1) in ("", "comma", "break") and not any(one.means("act", "germinated") for one in items):
        items[i].family, items[i].meaning = "clear", "clear"


def _tap_root(items: Sequence[Item], i: int) -> None:
    if any(one.family == "amount" and one.meaning == "cm" for one in items[i + 1 : i + 3]) and not any(
        one.family == "act" for one in items
    ):
        items[i].family, items[i].meaning = "measure", "root_length"


def _well(items: Sequence[Item], i: int) -> None:
    if family_at(items, i - 1) == "comma" and family_at(items, i + 1) == "comma":
        items[i].family = "stop"


def _once(items: Sequence[Item], i: int) -> None:
    if begins(items, i) and i + 1 < len(items) and items[i].sense("cond"):
        items[i].become("cond")


def _look(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("looked", "look") and low_at(items, i + 1) == "like":
        items[i].family = "other"
    if items[i].low in ("looked", "look") and family_at(items, i + 1) in ("sign", "hedge", "neg", "stop", "adj"):
        items[i].become("light")


def _flat(items: Sequence[Item], i: int) -> None:
    """Settle short signs that are also adjectives before a noun ("the fat one", "yellow pot")."""
    if family_at(items, i + 1) == "plants" and family_at(items, i - 1) in ("det", "adj") and items[i].sense("adj"):
        items[i].become("adj")


def _heads(items: Sequence[Item], i: int) -> None:
    if items[i].sense("measure") and any(one.family == "amount" and one.meaning == "cm" for one in items[max(0, i - 2) : i]):
        items[i].become("measure")
        return
    if items[i].low in ("tall", "across", "wide") and not any(
        one.family in ("amount", "number") for one in items[max(0, i - 2) : i + 3]
    ):
        other = items[i].sense("adj") or items[i].sense("prep")
        if other:
            items[i].become(other.family, other.meaning)
        else:
            items[i].family = "word"


def _climate(items: Sequence[Item], i: int) -> None:
    """Settle min, max, low, high, hit, set …: a thermometer only beside a number."""
    near = [one.family for one in items[i + 1 : i + 4]]
    if not any(f in ("number", "amount", "ratio", "range", "sizes", "climate", "dose", "slash") for f in near) and not (
        i and items[i - 1].family in ("number", "amount")
    ):
        one = items[i]
        if one.meaning in ("forecast", "frost"):
            return
        other = next((s for s in one.senses if s.family != "climate"), None)
        if other is not None:
            one.become(other.family, other.meaning)
        elif one.meaning != "at" or one.low not in ("therm", "temp", "temps", "temperature"):
            one.family = "word"
    elif (
        items[i].low in ("hit", "set", "reached", "low", "high", "went to", "down to")
        and near
        and near[0] not in ("number", "amount", "prep", "light", "stop", "climate", "range", "approx")
    ):
        items[i].family = "word"


_BY_WORD: dict[str, Rule] = {
    "day": day_word,
    "raffle": _raffle,
    "potted": _potted,
    "compost": _compost,
    "bloom": _bloom,
    "vent": _vent,
    "cant find": _cant_find,
    "can't find": _cant_find,
    "couldn't find": _cant_find,
    "couldnt find": _cant_find,
    "cannot find": _cant_find,
    "pup off": _pup_off,
    "pups off": _pup_off,
    "offset off": _pup_off,
    "offsets off": _pup_off,
    "sowing": _sowing,
    "sowings": _sowing,
    "all": _all_of,
    "on the scale": _on_the_scale,
    "damped": damped_word, "plants": _plants, "plant": _plants, "to dry": _to_dry, "second": _course, "third": _course,
    "first": _course, "every": every_word, "when": _when, "repots": repots_word,
    "might be": might_be_word, "could be": might_be_word, "may be": might_be_word, "looks like": might_be_word,
    "probably": might_be_word, "is": might_be_word, "are": might_be_word, "is a": is_a_word,
    "once": _once, "killed": killed_word, "mixed": _mixed, "leaf props": _leaf_props, "leaf prop": _leaf_props,
    "leaf cuttings": _leaf_props, "nil": _nil, "none": _nil, "nowt": _nil, "zero": _nil,
    "put": put_word, "popped": put_word, "tap root": _tap_root, "taproot": _tap_root, "well": _well, "have gone": _has_gone,
    "has gone": _has_gone,
    "dead": _dead, "opened": opened_word, "dropped off": dropped_off_word, "seeds in": _seeds_in, "seed in": _seeds_in,
    "cuttings from": _cuttings_from, "cutting from": _cuttings_from,
    "not": _not, "found": found_word, "little": _little, "last": _course, "final": _course, "fourth": _course,
    "about": _about, "over": _about, "around": _about, "some": _some, "a few": _some, "few": _some, "nearly": _about,
    "almost": _about, "up to": _about, "round": _about, "abt": _about, "roughly": _about, "say": _about,
    "gone": gone_word, "no more": _no_more, "left": left_word, "leave": left_word, "keep": left_word, "kept": left_word,
    "nothing": _nothing, "packets": _packets, "packet": _packets, "pkts": _packets, "pkt": _packets,
    "sorts": _packets, "kinds": _packets, "species": _packets, "heads": _headcount, "long": _long,
    "one": _one, "squashed": squashed_word, "squished": squashed_word, "crushed": squashed_word, "graft": graft_word,
    "grafts": graft_word, "sprouting": sprouting_word, "sprouted": sprouting_word,
    "bare root": bare_root_word, "bareroot": bare_root_word, "bare-root": bare_root_word, "in": all_in_word,
    "new": all_in_word, "out": all_in_word, "inside": all_in_word, "spring water": source_word, "rain water": source_word,
    "rainwater": source_word, "tap water": source_word, "soft water": source_word, "butt water": source_word,
    "filtered water": source_word,
    "serious": serious_word,
    "clean": clean_word, "dry": dry_word, "wet": wet_word, "got": got_word, "had": got_word, "get": got_word, "gets": got_word,
    "has taken": took_word,
    "took": took_word, "take": took_word, "taking": took_word, "taken": took_word,
    "split": split_word, "splitting": split_word, "flower": _flower, "flowers": _flower, "bud": _flower, "buds": _flower,
    "fruit": _flower, "stuck": stuck_word, "sticking": stuck_word, "stick": stuck_word, "up": up_word, "scale": _scale,
    "scales": _scale, "snapped": snapped_word,
    "free from": _free_from, "lift": lift_word, "rest": rest_word, "the rest": rest_word, "water": water_temp_word,
    "heat": heat_word, "heats": heat_word,
    "root": root_word, "roots": root_word, "pot": pot_word, "pots": pot_word, "spare": offered_word, "spares": offered_word,
    "looked": _look, "look": _look, "isnt": is_a_word, "is an": is_a_word, "must be": is_a_word, "is now": is_a_word,
    "is really": is_a_word, "is actually": is_a_word, "named": is_a_word, "id": is_a_word, "are actually": is_a_word,
    "are really": is_a_word, "re-id": is_a_word,
    "gave": give_word, "give": give_word, "given": give_word, "came": sent_word, "come": sent_word, "flat": _flat,
    "fat": _flat, "yellow": _flat, "damaged": _flat, "tall": _heads, "across": _heads, "wide": _heads,
    "pull": needs_offsets_word, "pulled": needs_offsets_word, "pulling": needs_offsets_word, "sep": needs_offsets_word,
    "removed": needs_offsets_word, "separated": needs_offsets_word,
    "separate": needs_offsets_word, "separating": needs_offsets_word, "detached": needs_offsets_word,
    "pulled off": needs_offsets_word, "took off": needs_offsets_word, "taking off": needs_offsets_word,
    "take off": needs_offsets_word,
}  # fmt: skip


CALLING = _BY_WORD.keys()  # the words that call a rule
CALLED = frozenset(("why", "neg", "equals", "word", "ordinal", "climate"))  # families that call a rule whatever the word is


def resolve(items: Sequence[Item], lexicon: Lexicon) -> None:
    """Settle every colliding word of a note, in place, left to right."""
    joined = join_particles(items, lexicon)
    for i, one in enumerate(items):
        if (one.low not in CALLING and one.family not in CALLED) or i in joined:
            continue
        if one.family == "why":
            _too_to(items, i)
        elif one.family == "neg" and one.meaning == "undone" and one.low in SKIPPED:
            skipped_word(items, i)
        elif (
            one.family == "equals"
            and family_at(items, i - 1) in ("number", "nickname", "range")
            and family_at(items, i + 1) in ("taxon", "word")
        ):
            one.family, one.meaning, one.form = "act", "named", "past"
        elif (
            one.family == "word"
            and one.form == "new"
            and i
            and items[i - 1].low == "from"
            and not any(x.family in ("act", "sign", "q", "query") and not x.low.startswith("bare") for x in items[:i])
            and any(x.family == "taxon" for x in items[:i])
            and items[0].family == "number"
        ):
            one.family, one.meaning = "person", one.low
        if (
            one.family == "word"
            and i
            and items[i - 1].low in ("from", "to", "with", "for")
            and one.low.isalpha()
            and any(x.means("act", "acquired", "given", "offered") for x in items)
            and one.low not in ("seed", "seeds")
        ):
            one.family, one.meaning = "person", one.low
        rule = _BY_WORD.get(one.low)
        if rule is not None and one.family not in ("place", "nickname", "lot", "person", "date"):
            rule(items, i)
        if one.family == "ordinal":
            _course(items, i)
        elif one.family == "climate":
            _climate(items, i)
