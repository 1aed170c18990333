"""Words that mean several things: which one, by the words beside them.

Each rule takes the items and a place and settles one item's family; the corpus of colliding words holds what each must and
must not become.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from bot.notes.items import Item
from bot.notes.lexicon import PARTICLES, Sense
from bot.notes.reading import PESTS

Rule = Callable[[Sequence[Item], int], None]
SEPARATORS = frozenset(("comma", "break", "sep", "colon", "dash", "close"))
_SET_STARTS = frozenset(
    (
        "det",
        "number",
        "range",
        "taxon",
        "kind",
        "place",
        "nickname",
        "lot",
        "sowing",
        "somewhere",
        "numbered",
        "refer",
        "both",
        "plants",
        "pron",
        "potsize",
        "state",
        "ambiguous",
        "adj",
        "most",
        "rootkind",
    )
)


def _family(items: Sequence[Item], i: int) -> str:
    return items[i].family if 0 <= i < len(items) else ""


def _low(items: Sequence[Item], i: int) -> str:
    return items[i].low if 0 <= i < len(items) else ""


def _set_follows(items: Sequence[Item], i: int) -> bool:
    return _family(items, i + 1) in _SET_STARTS


def _clause(items: Sequence[Item], i: int) -> Sequence[Item]:
    """Return the items of the clause around `i`."""
    first = i
    while first > 0 and items[first - 1].family not in ("comma", "break"):
        first -= 1
    last = i
    while last < len(items) and items[last].family not in ("comma", "break"):
        last += 1
    return items[first:last]


def _starts(items: Sequence[Item], i: int) -> bool:
    return i == 0 or items[i - 1].family in SEPARATORS


def _clean(items: Sequence[Item], i: int) -> None:
    tools = {
        "pots",
        "glass",
        "tools",
        "bench",
        "benches",
        "gh",
        "greenhouse",
        "tray",
        "trays",
        "staging",
        "the",
        "shelf",
        "shelves",
        "up",
        "out",
        "windows",
        "gutters",
        "floor",
    }
    if _low(items, i + 1) in tools and _starts(items, i):
        return
    if _family(items, i + 1) == "word":
        items[i].family = "word"
        return
    items[i].become("clear")


def _dry(items: Sequence[Item], i: int) -> None:
    nxt = items[i + 1] if i + 1 < len(items) else None
    if items[i].family == "stop":
        return
    if _low(items, i - 1) in ("sat", "kept", "keep", "stayed", "sits", "sitting"):
        items[i].family = "word"
        return
    if nxt is None:
        return
    if (_starts(items, i) and nxt.family in ("det", "kind", "pron", "nickname")) or (
        nxt.family == "amount" and nxt.meaning == "days" and _low(items, i - 1) not in ("sat", "kept")
    ):
        if any(one.low == "sat" for one in items[:i]):
            return
        items[i].family, items[i].meaning, items[i].form = "act", "set_to_dry", "base"
    elif nxt.family in ("till", "once") and (
        _starts(items, i)
        or _family(items, i - 1) in _SET_STARTS
        or _low(items, i - 1) in ("keep", "stay", "stays", "kept", "staying", "keeping")
    ):
        items[i].family, items[i].meaning = "nowater", "dry"


def _wet(items: Sequence[Item], i: int) -> None:
    if not (_starts(items, i) and _family(items, i + 1) in ("det", "kind", "taxon")):
        items[i].become("sign", "mix_damp")


def _got(items: Sequence[Item], i: int) -> None:
    if _family(items, i - 1) == "sign" and items[i - 1].meaning in PESTS:
        items[i].become("light", "found")
        return
    if any(one.means("act", "watered", "fed", "misted") and one.form == "noun" for one in items[i + 1 : i + 5]):
        items[i].become("light", "found")
        return
    if (
        _family(items, i + 1) in ("sign", "neg", "light", "hedge", "clear")
        or (_family(items, i + 1) in ("det", "number", "adj", "stop") and _family(items, i + 2) == "sign")
        or (_family(items, i + 1) in ("word", "part") and i > 0 and not _starts(items, i))
    ):
        items[i].become("light", "found")


def _took(items: Sequence[Item], i: int) -> None:
    clause = _clause(items, i)
    if items[i].low in ("took", "has taken") and _family(items, i - 1) == "person" and _set_follows(items, i):
        items[i].family, items[i].meaning, items[i].form = "act", "given", "past"
        return
    if _family(items, i + 1) == "amount" or _low(items, i + 1) == "about":
        items[i].family = "word"
        return
    if _set_follows(items, i):
        if any(one.means("kind", "offsets") for one in items[i + 1 :]):
            items[i].become("act", "offsets_taken")
        elif any(one.means("kind", "cuttings", "leaves") for one in clause):
            items[i].become("act", "cutting_taken")
        else:
            items[i].family, items[i].meaning = "word", items[i].low
    elif items[i].low == "taken" and any(one.means("act", "photographed") for one in clause):
        items[i].family = "stop"
    elif items[i].low in ("take", "taking"):
        items[i].family = "word"
    else:
        items[i].meaning = "united"


def _needs_offsets(items: Sequence[Item], i: int) -> None:
    clause = _clause(items, i)
    if items[i].meaning == "offsets_taken" and not any(one.means("kind", "offsets") for one in clause):
        other = next((one for one in items[i].senses if one.meaning != "offsets_taken"), None)
        if other is not None and (items[i].low != "sep"):
            items[i].become(other.family, other.meaning)
        else:
            items[i].family = "word"
    elif any(one.means("kind", "offsets") for one in clause) and any(one.meaning == "offsets_taken" for one in items[i].senses):
        items[i].family, items[i].meaning = "act", "offsets_taken"


def _split(items: Sequence[Item], i: int) -> None:
    clause = _clause(items, i)
    if any(one.means("kind", "offsets") for one in clause) and any(one.low in ("from", "off") for one in clause):
        items[i].family, items[i].meaning = "act", "offsets_taken"
    elif not _set_follows(items, i) and not _starts(items, i):
        if items[i].low == "splitting" and any(
            one.means("taxon", "lithops", "conophytum", "mesembs", "argyroderma", "pleiospilos") for one in clause
        ):
            items[i].family = "natural"
            return
        items[i].family, items[i].meaning = "sign", "split_skin"


def _stuck(items: Sequence[Item], i: int) -> None:
    if _set_follows(items, i) or _low(items, i + 1) in ("in", "into"):
        items[i].family, items[i].meaning = "act", "potted"
    else:
        items[i].become("sign", "stalled")


def _up(items: Sequence[Item], i: int) -> None:
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


def _scale(items: Sequence[Item], i: int) -> None:
    if _family(items, i + 1) in ("number", "amount") and items[i].low in ("scale", "scales"):
        items[i].family, items[i].meaning = "unclear", "sign"


def _snapped(items: Sequence[Item], i: int) -> None:
    if not _starts(items, i):
        items[i].become("sign", "broken")


def _free_from(items: Sequence[Item], i: int) -> None:
    if _family(items, i + 1) not in ("person", "lot") and not (
        _family(items, i + 1) == "det" and _family(items, i + 2) != "sign"
    ):
        items[i].become("neg", "no")


def _lift(items: Sequence[Item], i: int) -> None:
    if not _set_follows(items, i):
        items[i].family = "word"


def _rest(items: Sequence[Item], i: int) -> None:
    nxt = items[i + 1] if i + 1 < len(items) else None
    if (
        items[i].low in ("rest", "the rest")
        and nxt is not None
        and (nxt.low in ("from", "till", "until", "started", "over", "begins", "starts") or nxt.family == "till")
    ):
        items[i].family, items[i].meaning = "act", "rest_started" if nxt.low != "over" else "rest_ended"


def _water(items: Sequence[Item], i: int) -> None:
    """Settle "water" as a noun: a temperature, a butt, a source."""
    if items[i].low == "water" and _low(items, i + 1) in ("level", "butt", "was", "bill", "tank"):
        items[i].family = "word"


def _one(items: Sequence[Item], i: int) -> None:
    """Settle "one": a count after on/from/of or before a sign, else a plant just spoken of."""
    before, after = _family(items, i - 1), _family(items, i + 1)
    if after in ("taxon", "kind", "ambiguous") and before not in ("adj", "det"):
        items[i].family, items[i].meaning, items[i].value = "number", "word", 1.0
        return
    if _low(items, i + 1) in ("of", "of them", "of these", "of those", "of the") and before not in ("adj", "det"):
        items[i].family, items[i].meaning, items[i].value = "number", "word", 1.0
        return
    if (
        (before in ("prep", "") or before in SEPARATORS)
        and before != "adj"
        and after in ("", "comma", "break", "sep", "sign", "act", "light", "prep", "query")
        and _low(items, i - 1) != "which"
    ):
        items[i].family, items[i].meaning, items[i].value = "number", "word", 1.0


def _squashed(items: Sequence[Item], i: int) -> None:
    if _set_follows(items, i) or any(one.family == "sign" and one.meaning in PESTS for one in items[i + 1 : i + 4]):
        return
    if (
        any(one.family == "sign" and one.meaning in PESTS for one in _clause(items, i)[:-1] if one.start < items[i].start)
        and _family(items, i - 1) != "number"
    ):
        return
    items[i].become("sign", "broken")


def _graft(items: Sequence[Item], i: int) -> None:
    if not (
        _family(items, i + 1) in ("det", "number")
        and any(one.low in ("onto", "on", "to") for one in items[i + 1 :])
        and _family(items, i + 2) != "act"
    ):
        items[i].become("kind")


def _sprouting(items: Sequence[Item], i: int) -> None:
    if not any(
        one.family == "sowing" or one.means("kind", "seedlings", "seed_pots") or one.low in ("seed", "seeds") for one in items
    ):
        items[i].family, items[i].meaning = "sign", "growing"


def _bare_root(items: Sequence[Item], i: int) -> None:
    """Settle "bare root": the state in which plants came, or the verb."""
    clause = _clause(items, i)
    if items[i].form == "base" and (
        any(one.means("act", "acquired", "given") for one in clause)
        or any(one.family == "number" for one in items[max(0, i - 2) : i])
        or _low(items, i - 1) in ("is", "are", "were", "all", ",")
    ):
        items[i].become("condition", "bare_root")


def _all_in(items: Sequence[Item], i: int) -> None:
    """Settle "in" and "out" after a number or all: plants that came in, or a move of everything."""
    if i == 0 and items[i].low in ("in", "new") and _family(items, 1) == "colon":
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"
        return
    before, after = items[i - 1] if i else None, _family(items, i + 1)
    if items[i].low == "new":
        return
    if before is None or after not in ("", "comma", "break", "sep", "date"):
        return
    if before.family == "number" and items[i].low == "in":
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"
    elif before.means("refer", "all") and items[i].low in ("in", "inside", "out"):
        items[i].family, items[i].meaning, items[i].form = "act", "moved", "past"


def _source(items: Sequence[Item], i: int) -> None:
    """Settle "spring water on the seedlings": what it was watered with."""
    if (
        items[i].low.endswith("water")
        and (_family(items, i + 1) == "prep" or any(one.low == "first" for one in items[:i]))
        and not any(one.family == "act" for one in items)
    ):
        items[i].family, items[i].meaning, items[i].form = "act", "watered", "noun"


def _only(items: Sequence[Item], i: int) -> None:
    pass


def _about(items: Sequence[Item], i: int) -> None:
    """Settle "about 8", "over 30", "some 20": roughly, before a number."""
    if i and items[i - 1].low in ("tell me", "me", "know", "tell"):
        return
    if _family(items, i + 1) == "number" and items[i].sense("approx") is None and items[i + 1].meaning != "signed":
        items[i].family = "approx"
    elif _family(items, i + 1) == "number":
        items[i].become("approx")


def _gone(items: Sequence[Item], i: int) -> None:
    nxt = _family(items, i + 1)
    if nxt in ("sign", "adj", "word", "light") or _low(items, i + 1) in ("to", "into", "mad", "over", "soft", "in", "out", "on"):
        return
    items[i].become("gone")


def _no_more(items: Sequence[Item], i: int) -> None:
    if any(one.low == "than" for one in items[i:]):
        items[i].family = "stop"
    elif any(one.family == "sign" for one in items[i + 1 : i + 4]):
        items[i].family = "cleared"


def _left(items: Sequence[Item], i: int) -> None:
    """Settle "left the conos dry": a watering deliberately not done."""
    done = any(one.means("act", "watered", "fed", "misted", "treated") for one in items[:i])
    lone = _family(items, i + 1) in ("", "comma", "break", "sep") and _family(items, i - 1) in (*_SET_STARTS, "place")
    if (
        items[i].low == "left"
        and done
        and (
            lone
            or (
                _set_follows(items, i)
                and _starts(items, i)
                and not any(one.means("act", "set_to_dry") or one.low in ("dry", "unwatered") for one in items[i + 1 : i + 6])
            )
        )
    ):
        items[i].family = "skipped"
        return
    for j in range(i + 1, min(i + 7, len(items))):
        if items[j].family in ("comma", "break", "act"):
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


def _nothing(items: Sequence[Item], i: int) -> None:
    """Settle "the lithops had nothing" after a watering."""
    if _family(items, i + 1) in ("light", "act", "q", "stop") and any(
        one.low in ("come up", "up", "came up", "germinated", "showing", "sprouted") for one in items[i + 1 : i + 5]
    ):
        items[i].family, items[i].meaning = "neg", "no"
        return
    if _low(items, i - 1) in ("had", "got", "get", "given", "gets") and any(
        one.means("act", "watered", "fed") for one in items[:i]
    ):
        items[i - 1].family, items[i - 1].meaning = "neg", "undone"
        items[i].family, items[i].meaning, items[i].form = "act", "watered", "noun"


def _packets(items: Sequence[Item], i: int) -> None:
    if _family(items, i - 1) == "number":
        items[i - 1].family = "word"


def _headcount(items: Sequence[Item], i: int) -> None:
    """Settle "14 heads": how many heads a plant has."""
    if (
        _family(items, i - 1) == "number"
        and not any(one.family == "act" for one in items)
        and any(one.family in ("nickname", "number", "taxon") for one in items[: i - 1])
    ):
        items[i].family, items[i].meaning = "measure", "heads"


def _healthy(items: Sequence[Item], i: int) -> None:
    pass


def _long(items: Sequence[Item], i: int) -> None:
    if not any(one.family == "amount" for one in items[max(0, i - 2) : i]):
        items[i].family = "adj" if items[i].low == "long" else items[i].family
    elif any(one.low in ("roots", "root", "tap root", "taproot") for one in _clause(items, i)):
        items[i].meaning = "root_length"


def _damped(items: Sequence[Item], i: int) -> None:
    """Settle "damped": the floor of a house, or a mist over plants."""
    house = any(
        one.low in ("floor", "floors", "path", "paths", "down", "frames", "frame", "house", "gh", "greenhouse")
        or one.means("place", "greenhouse")
        for one in _clause(items, i)
    )
    items[i].family, items[i].meaning, items[i].form = "act", "damped_down" if house else "misted", "past"
    for one in items[i + 1 :]:
        if one.low in ("floor", "floors", "path", "paths"):
            one.family = "stop"


def _water_temp(items: Sequence[Item], i: int) -> None:
    if _low(items, i - 1) in ("warm", "tepid", "lukewarm", "in", "of", "with", "cold", "hot", "clean", "boiled", "in the"):
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
        _water(items, i)


def _plants(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("plants", "plant") and not (_starts(items, i) and _set_follows(items, i)):
        items[i].become("plants")


def _to_dry(items: Sequence[Item], i: int) -> None:
    if _family(items, i - 1) == "amount" and items[i - 1].meaning in ("days", "span"):
        items[i].family, items[i].meaning = "measure", "days_to_dry"


def _course(items: Sequence[Item], i: int) -> None:
    """Settle "second of three": a step of a course."""
    if not any(one.means("act", "treated", "fed") for one in items):
        return
    k = i + 2 if _family(items, i + 1) == "act" else i + 1
    if _low(items, k) in ("of", "out of") and _family(items, k + 1) == "number":
        step = {"first": 1, "second": 2, "third": 3, "fourth": 4, "last": items[k + 1].value, "final": items[k + 1].value}.get(
            items[i].low, 0
        )
        items[i].family, items[i].value = "course", f"{int(step)}/{int(items[k + 1].value)}"
        items[k].family = items[k + 1].family = "stop"


def _every(items: Sequence[Item], i: int) -> None:
    nxt = items[i + 1] if i + 1 < len(items) else None
    if nxt is not None and (
        (nxt.family == "amount" and nxt.meaning == "days") or (nxt.family == "date" and nxt.value.kind == "weekday")
    ):
        items[i].family = "every"


def _when(items: Sequence[Item], i: int) -> None:
    if not any(one.family == "query" for one in items) and (
        i > 0 or any(one.family in ("plan", "remind", "comma") for one in items[i:])
    ):
        items[i].family = "once"


def _repots(items: Sequence[Item], i: int) -> None:
    if _family(items, i - 1) in ("det", "date", "refer") or (_family(items, i - 1) == "prep" and _low(items, i - 1) == "of"):
        items[i].become("state")


def _might_be(items: Sequence[Item], i: int) -> None:
    """Settle "60 might be lobivia winteriana": a doubted name."""
    before = _family(items, i - 1)
    if (before in ("number", "nickname", "range", "sowing") and _family(items, i + 1) in ("taxon", "ambiguous")) or (
        before in ("number", "nickname", "sowing") and _family(items, i + 1) == "det" and _family(items, i + 2) == "taxon"
    ):
        hedged = items[i].family == "hedge"
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "named", "doubt" if hedged else "past", {}


_SKIPPED = frozenset(
    (
        "skipped",
        "missed",
        "missed out",
        "left out",
        "passed on the",
        "gave a miss",
        "given a miss",
        "passed over",
        "skip",
        "skipped over",
        "left out the",
        "missed the",
        "avoided",
    )
)


def _skipped(items: Sequence[Item], i: int) -> None:
    """Settle "skipped the lithops": left out of what was just done, unless an act follows."""
    for one in items[i + 1 :]:
        if one.family in ("comma", "break"):
            break
        if one.family in ("act", "kind") and one.family == "act":
            return
    items[i].family = "skipped"


def _not(items: Sequence[Item], i: int) -> None:
    """Settle "41 watered, 42 not": left out of what was just done."""
    if (
        _family(items, i + 1) in ("", "comma", "break")
        and _family(items, i - 1) in ("number", "place", "taxon", "nickname", "lot", "sowing", "kind")
        and any(one.family == "act" for one in items[:i])
    ):
        items[i].family = "skipped"


def _some(items: Sequence[Item], i: int) -> None:
    """Settle "no mites on bench 1, still some on bench 2": the same sign, seen."""
    sign = next((one for one in reversed(items[:i]) if one.family == "sign"), None)
    if sign is not None and _family(items, i + 1) == "prep" and any(one.family == "neg" for one in items[:i]):
        items[i].family, items[i].meaning = "sign", sign.meaning
    else:
        _about(items, i)


def _little(items: Sequence[Item], i: int) -> None:
    if _family(items, i + 1) in ("taxon", "kind", "plants", "ambiguous") and _family(items, i - 1) == "det":
        items[i].become("adj")


def _flower(items: Sequence[Item], i: int) -> None:
    if _family(items, i + 1) == "part" or _low(items, i + 1) in ("stalk", "stalks", "spike", "spikes", "pot", "pots"):
        items[i].family = "word"


def _dead(items: Sequence[Item], i: int) -> None:
    if any(one.low in ("roots", "root") for one in _clause(items, i) if one.start < items[i].start) or any(
        one.means("sign", "dead_roots", "roots_healthy") for one in items[max(0, i - 3) : i]
    ):
        items[i].family, items[i].meaning = "sign", "dead_roots"


def _opened(items: Sequence[Item], i: int) -> None:
    if any(
        one.low in ("vents", "vent", "doors", "door", "windows", "window", "lights", "louvres", "frames")
        for one in items[i + 1 : i + 5]
    ):
        items[i].family, items[i].meaning, items[i].form = "act", "vented", "past"
        for one in items[i + 1 : i + 5]:
            if one.low in ("vents", "vent", "doors", "door", "windows", "window", "louvres"):
                one.family = "stop"


def _dropped_off(items: Sequence[Item], i: int) -> None:
    if _family(items, i - 1) == "person" and _set_follows(items, i):
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"


def _seeds_in(items: Sequence[Item], i: int) -> None:
    if _set_follows(items, i) and any(
        (one.family == "act" and one is not items[i]) or one.low == "up" for one in _clause(items, i)
    ):
        items[i].family = "word"


def _cuttings_from(items: Sequence[Item], i: int) -> None:
    if any(one.family == "act" for one in _clause(items, i) if one.start < items[i].start):
        items[i].family, items[i].meaning = "kind", "cuttings"


def _killed(items: Sequence[Item], i: int) -> None:
    if any(one.family == "sign" and one.meaning in PESTS for one in items[i + 1 : i + 4]):
        items[i].family, items[i].meaning, items[i].more = "act", "treated", {"how": "hand"}


def _mixed(items: Sequence[Item], i: int) -> None:
    if _family(items, i + 1) in ("taxon", "plants", "kind", "lot"):
        items[i].family = "stop"


def _leaf_props(items: Sequence[Item], i: int) -> None:
    if any(one.family == "act" and one is not items[i] for one in items):
        items[i].family, items[i].meaning = "kind", "leaves"


def _nil(items: Sequence[Item], i: int) -> None:
    if _family(items, i + 1) in ("", "comma", "break") and not any(one.means("act", "germinated") for one in items):
        items[i].family, items[i].meaning = "clear", "clear"


def _put(items: Sequence[Item], i: int) -> None:
    """Settle "put the barn lot on the q shelf": a move, where nothing else is said to be done."""
    clause = _clause(items, i)
    place = any(one.family in ("place", "somewhere", "numbered") for one in clause)
    if (
        _set_follows(items, i)
        and place
        and not any(one.family in ("act", "sign", "date", "nowater", "remind", "mix") for one in clause if one is not items[i])
        and any(one.family == "prep" for one in clause)
    ):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "moved", "past", {}


def _tap_root(items: Sequence[Item], i: int) -> None:
    if any(one.family == "amount" and one.meaning == "cm" for one in items[i + 1 : i + 3]) and not any(
        one.family == "act" for one in items
    ):
        items[i].family, items[i].meaning = "measure", "root_length"


def _well(items: Sequence[Item], i: int) -> None:
    if _family(items, i - 1) == "comma" and _family(items, i + 1) == "comma":
        items[i].family = "stop"


def _once(items: Sequence[Item], i: int) -> None:
    if _starts(items, i) and i + 1 < len(items) and items[i].sense("cond"):
        items[i].become("cond")


def _found(items: Sequence[Item], i: int) -> None:
    """Settle "found 118 again": a missing plant is back."""
    clause = _clause(items, i)
    if (
        any(one.low == "again" for one in clause)
        and not any(one.family in ("sign", "act", "clear") for one in clause)
        and any(one.family in ("number", "nickname") for one in clause)
    ):
        items[i].family, items[i].meaning, items[i].form = "act", "found_alive", "past"


def _outside(items: Sequence[Item], i: int) -> None:
    pass


def _heat(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("heat", "heats"):
        items[i].family = "word"


def _root(items: Sequence[Item], i: int) -> None:
    items[i].become("part")


def _pot(items: Sequence[Item], i: int) -> None:
    """Settle "pot" and "pots": a plant, the vessel, or the verb before a day or a set."""
    one = items[i]
    if one.low == "pots":
        one.become("plants")
    elif one.low == "pot":
        before = items[i - 1] if i else None
        if (
            before is not None
            and before.family
            in ("det", "pot", "adj", "number", "nickname", "refer", "amount", "taxon", "sizes", "prep", "potsize", "mix")
        ) or (_starts(items, i) and (_family(items, i + 1) in ("light", "sign") or i + 1 >= len(items))):
            one.become("plants")


def _offered(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("spare", "spares") and (_family(items, i + 1) in ("word", "plants", "somewhere", "place") or i == 0):
        items[i].become("adj")
    if items[i].low == "to swap" or items[i].low == "for swap":
        return


def _look(items: Sequence[Item], i: int) -> None:
    if items[i].low in ("looked", "look") and _family(items, i + 1) in ("sign", "hedge", "neg", "stop", "adj"):
        items[i].become("light")


def _is_a(items: Sequence[Item], i: int) -> None:
    """Settle "isnt", "is a", "are": a new name only before a genus or an unknown epithet."""
    nxt = items[i + 1] if i + 1 < len(items) else None
    if nxt is None or nxt.family not in ("taxon", "ambiguous", "word") or (nxt.family == "word" and (len(nxt.low) < 5 or i == 0)):
        item = items[i]
        if item.low == "isnt":
            item.become("neg", "not")
        elif item.low in ("is a", "is an", "must be", "is now", "is really", "is actually", "are really", "are actually"):
            item.family, item.meaning = ("plan", "must be") if item.low == "must be" else ("light", "is")
        elif (item.low == "named" and nxt is None) or item.low in ("id", "re-id"):
            item.family = "word"


def _give(items: Sequence[Item], i: int) -> None:
    if (
        items[i].low in ("gave", "give", "given")
        and _family(items, i + 1) == "pron"
        and any(
            one.low
            in (
                "water",
                "a drink",
                "drink",
                "feed",
                "a feed",
                "soak",
                "a good soak",
                "good soak",
                "splash",
                "a splash",
                "spray",
                "a quarter turn",
                "turn",
                "mist",
                "wash",
            )
            or one.means("act", "watered", "fed", "treated", "misted")
            for one in items[i + 1 : i + 8]
        )
    ) or (
        items[i].low in ("gave", "give", "given")
        and any(
            one.family == "act" and one.meaning in ("watered", "fed", "misted", "treated", "turned", "washed")
            for one in items[i + 1 : i + 9]
        )
        and not any(one.family == "person" for one in items[i + 1 : i + 9])
    ):
        items[i].family = "stop"


def _sent(items: Sequence[Item], i: int) -> None:
    """Settle "came", "come": new plants, unless a direction follows."""
    if items[i].low in ("came", "come") and _low(items, i + 1) in ("in", "out", "inside", "back", "off", "on", "into", "to"):
        if _low(items, i + 1) == "off" or _low(items, i + 1) == "on":
            items[i].family = "word"


def _flat(items: Sequence[Item], i: int) -> None:
    """Settle short signs that are also adjectives before a noun ("the fat one", "yellow pot")."""
    if _family(items, i + 1) == "plants" and _family(items, i - 1) in ("det", "adj") and items[i].sense("adj"):
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
    "damped": _damped, "plants": _plants, "plant": _plants, "to dry": _to_dry, "second": _course, "third": _course, "first": _course, "every": _every, "when": _when, "repots": _repots,
    "might be": _might_be, "could be": _might_be, "may be": _might_be, "looks like": _might_be, "probably": _might_be, "is": _might_be, "are": _might_be, "is a": _is_a,
    "once": _once, "killed": _killed, "mixed": _mixed, "leaf props": _leaf_props, "leaf prop": _leaf_props, "leaf cuttings": _leaf_props, "nil": _nil, "none": _nil, "nowt": _nil, "zero": _nil,
    "put": _put, "popped": _put, "tap root": _tap_root, "taproot": _tap_root, "well": _well, "have gone": _gone, "has gone": _gone,
    "dead": _dead, "opened": _opened, "dropped off": _dropped_off, "seeds in": _seeds_in, "seed in": _seeds_in, "cuttings from": _cuttings_from, "cutting from": _cuttings_from,
    "not": _not, "found": _found, "little": _little, "last": _course, "final": _course, "fourth": _course,
    "about": _about, "over": _about, "around": _about, "some": _some, "a few": _some, "few": _some, "nearly": _about, "almost": _about, "up to": _about, "round": _about, "abt": _about, "roughly": _about, "say": _about,
    "gone": _gone, "no more": _no_more, "left": _left, "leave": _left, "keep": _left, "kept": _left, "nothing": _nothing, "packets": _packets, "packet": _packets, "pkts": _packets, "pkt": _packets,
    "sorts": _packets, "kinds": _packets, "species": _packets, "heads": _headcount, "long": _long,
    "one": _one, "squashed": _squashed, "squished": _squashed, "crushed": _squashed, "graft": _graft, "grafts": _graft, "sprouting": _sprouting, "sprouted": _sprouting,
    "bare root": _bare_root, "bareroot": _bare_root, "bare-root": _bare_root, "in": _all_in, "new": _all_in, "out": _all_in, "inside": _all_in, "spring water": _source, "rain water": _source,
    "rainwater": _source, "tap water": _source, "soft water": _source, "butt water": _source, "filtered water": _source,
    "clean": _clean, "dry": _dry, "wet": _wet, "got": _got, "had": _got, "has taken": _took, "took": _took, "take": _took, "taking": _took, "taken": _took,
    "split": _split, "splitting": _split, "flower": _flower, "flowers": _flower, "bud": _flower, "buds": _flower, "fruit": _flower, "stuck": _stuck, "sticking": _stuck, "stick": _stuck, "up": _up, "scale": _scale, "scales": _scale, "snapped": _snapped,
    "free from": _free_from, "lift": _lift, "rest": _rest, "the rest": _rest, "water": _water_temp, "heat": _heat, "heats": _heat,
    "root": _root, "roots": _root, "pot": _pot, "pots": _pot, "spare": _offered, "spares": _offered, "looked": _look, "look": _look, "isnt": _is_a, "is an": _is_a, "must be": _is_a, "is now": _is_a, "is really": _is_a, "is actually": _is_a, "named": _is_a, "id": _is_a, "are actually": _is_a, "are really": _is_a, "re-id": _is_a,
    "gave": _give, "give": _give, "given": _give, "came": _sent, "come": _sent, "flat": _flat, "fat": _flat, "yellow": _flat, "damaged": _flat, "tall": _heads, "across": _heads, "wide": _heads,
    "pull": _needs_offsets, "pulled": _needs_offsets, "pulling": _needs_offsets, "sep": _needs_offsets, "removed": _needs_offsets, "separated": _needs_offsets,
    "separate": _needs_offsets, "separating": _needs_offsets, "detached": _needs_offsets, "pulled off": _needs_offsets, "took off": _needs_offsets, "taking off": _needs_offsets, "take off": _needs_offsets,
}  # fmt: skip


def _separable(items: Sequence[Item], particles: Mapping[tuple[str, str], Sense]) -> None:
    """Join a verb and its particle over the set between them: "damped the frames down", "turned two of them out"."""
    for i, one in enumerate(items):
        if one.family not in ("act", "word", "light", "errand", "stop", "sign", "plants", "other"):
            continue
        for j in range(i + 2, min(i + 9, len(items))):
            if items[j].family in SEPARATORS and items[j].low not in ("and", "&", ","):
                break
            if (
                items[j].low == "out of"
                and j + 2 < len(items)
                and items[j + 2].low in ("pots", "pot", "trays")
                and (one.low, "out") in particles
            ):
                one.family, one.meaning, one.form, one.more = "act", "unpotted", "past", {}
                items[j].family = items[j + 1].family = items[j + 2].family = "stop"
                break
            if items[j].low not in PARTICLES or items[j].family not in ("prep", "word", "particle", "act", "somewhere", "place"):
                continue
            after = _family(items, j + 1)
            if (
                items[j].low == "out of"
                and j + 2 < len(items)
                and items[j + 2].low in ("pots", "pot", "trays")
                and (one.low, "out") in particles
            ):
                one.family, one.meaning, one.form, one.more = "act", "unpotted", "past", {}
                items[j].family = items[j + 1].family = items[j + 2].family = "stop"
                break
            sense = particles.get((one.low, items[j].low))
            if sense is not None and (
                after in ("", "date", "stop", "clock", "query")
                or after in SEPARATORS
                or (after == "prep")
                or (items[j].low in ("down", "up", "over") and after in ("act", "sign"))
            ):
                one.family, one.meaning, one.form, one.more = "act", sense.meaning, sense.form, sense.more
                items[j].family = "stop"
                break


def resolve(items: Sequence[Item], particles: Mapping[tuple[str, str], Sense]) -> None:
    """Settle every colliding word of a note, in place, left to right."""
    _separable(items, particles)
    for i, one in enumerate(items):
        if one.family == "neg" and one.meaning == "undone" and one.low in _SKIPPED:
            _skipped(items, i)
        if (
            one.family == "equals"
            and _family(items, i - 1) in ("number", "nickname", "range")
            and _family(items, i + 1) in ("taxon", "word")
        ):
            one.family, one.meaning, one.form = "act", "named", "past"
        if (
            one.family == "word"
            and one.form == "new"
            and i
            and items[i - 1].low == "from"
            and not any(x.family in ("act", "sign", "q", "query") for x in items)
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
        if one.family == "climate":
            _climate(items, i)
