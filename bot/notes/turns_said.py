"""Turns of phrase about what is said of plants: names, numbers, sizes, causes, how they look."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.neighbours import Rule, begins, clause_at, family_at, low_at
from bot.notes.reading import PESTS
from bot.notes.turned_words import LARGEST_POT_CM, WORDS, ends, keep, silence

LEAST_COUNTED = 2  # a number from here on with a verb in the singular is one plant's label
BATCHES = ("cuttings", "offsets", "leaves", "grafts")
SUBJECT = frozenset(
    ("place", "number", "taxon", "nickname", "lot", "sowing", "range", "kind", "det", "adj", "numbered", "somewhere")
)


def _singular(items: Sequence[Item], i: int) -> None:
    """Take the number before "is", "has", "looks" as one plant's label: "41 is fine"."""
    number = items[i - 1] if i else None
    counts = number is not None and number.family == "number" and number.meaning == "digits"
    if not counts or number is None or not begins(items, i - 1) or not (number.value or 0) >= LEAST_COUNTED:
        return
    grave = any(one.means("act", "died", "discarded", "given", "missing") for one in clause_at(items, i))
    if not grave or (number.value or 0) >= LEAST_LABEL:
        number.meaning = "label"


def _back(items: Sequence[Item], i: int) -> None:
    """Take "the blue one is back" as found again; a pest that is back was never a plant."""
    verb = items[i - 1] if i else None
    seen = any(one.family in ("sign", "act") for one in clause_at(items, i))
    if verb is not None and verb.low in WORDS["copula"] and ends(items, i + 1) and not seen and i > 1:
        items[i].family, items[i].meaning, items[i].form = "act", "found_alive", "past"
        silence(verb)


def _at_rest(items: Sequence[Item], i: int) -> None:
    if low_at(items, i - 1) in WORDS["at_rest"]:
        items[i].family, items[i].meaning = "sign", "resting"
        silence(items[i - 1])


def _no_roots(items: Sequence[Item], i: int) -> None:
    """Take "4 cuttings, no roots" as not rooted yet, and not as roots that died."""
    young = any(one.means("kind", *BATCHES) or one.means("act", "acquired", "offsets_taken", "cutting_taken") for one in items)
    if young and items[i].means("sign", "dead_roots"):
        keep(items[i])


def _over(items: Sequence[Item], i: int) -> None:
    """Take "flowers over on the rebutias" as flowers that are gone."""
    flowers = items[i - 1] if i else None
    if (
        flowers is not None
        and flowers.means("sign", "flowering", "budding")
        and (ends(items, i + 1) or family_at(items, i + 1) == "prep")
    ):
        flowers.more = {**flowers.more, "status": "cleared"}
        silence(items[i])


def _few(items: Sequence[Item], i: int) -> None:
    """Take "mites down to a few on tray 3" as insects, and not as plants."""
    pest = any(one.family == "sign" and one.meaning in PESTS for one in clause_at(items, i) if one.start < items[i].start)
    if pest and (ends(items, i + 1) or family_at(items, i + 1) == "prep"):
        silence(items[i])


def _below(items: Sequence[Item], i: int) -> None:
    """Take "rot from below" as where it came from, and not as a watering."""
    if family_at(items, i - 1) == "sign":
        keep(items[i])


def _got(items: Sequence[Item], i: int) -> None:
    """Take "the cold got two melos" as what they died of."""
    cause = items[i - 1] if i else None
    if cause is not None and cause.low in WORDS["killers"] and family_at(items, i + 1) in ("det", "number", "taxon", "nickname"):
        items[i].family, items[i].meaning, items[i].form = "act", "died", "past"
        items[i].more = {"cause": cause.low}
        silence(cause)


def _from_to(items: Sequence[Item], i: int) -> None:
    """Take "41 from a 9 to an 11" as the sizes of its pots."""
    if not any(one.family in ("number", "nickname", "taxon", "pron", "plants") for one in items[max(0, i - 3) : i]):
        return
    if family_at(items, i + 1) in ("range", "sizes") and max(items[i + 1].value) <= LARGEST_POT_CM:
        _sizes(items, i, items[i + 1].value, i + 1)
        return
    numbers = [k for k in range(i + 1, min(i + 6, len(items))) if items[k].family in ("number", "potsize")]
    between = items[i + 1 : numbers[1]] if len(numbers) > 1 else ()
    sized = between and all(one.family in ("det", "prep", "number", "potsize") for one in between)
    sizes = [items[k].value for k in numbers[:2]]
    if not sized or not any(one.low in WORDS["up_to"] for one in between):
        return
    if not all(isinstance(one, int | float) and 4 <= one <= LARGEST_POT_CM for one in sizes):
        return
    _sizes(items, i, (float(sizes[0]), float(sizes[1])), numbers[1])


def _sizes(items: Sequence[Item], i: int, sizes: tuple[float, float], last: int) -> None:
    for k in range(max(0, i - 2), i):
        one = items[k]
        if one.means("act", "moved", "potted") or one.low in WORDS["went_up"]:
            silence(one)
        elif one.family == "number" and family_at(items, k + 1) not in ("taxon", "kind", "plants"):
            one.meaning = "label"
    items[i].family, items[i].value, items[i].meaning = "sizes", sizes, "cm"
    silence(*items[i + 1 : last + 1])


def _nameless(items: Sequence[Item], i: int) -> None:
    """Take "freebie from pia, no name" as how it came."""
    if family_at(items, i - 1) == "neg" and begins(items, i - 1) and any(one.family == "act" for one in items[:i]):
        keep(items[i - 1], items[i])


def _put_on(items: Sequence[Item], i: int) -> None:
    """Take "41 put on 2 cm" as growth."""
    if low_at(items, i + 1) in WORDS["put_on"] and family_at(items, i + 2) == "amount" and items[i + 2].meaning == "cm":
        items[i].family, items[i].meaning = "sign", "growing"
        keep(*items[i + 1 : i + 3])


def _for_the_season(items: Sequence[Item], i: int) -> None:
    """Take "shading off for the winter" as how long, and not as plants."""
    led = family_at(items, i - 1) == "det" and low_at(items, i - 2) in WORDS["how_long"]
    lived = family_at(items, i - 1) == "det" and family_at(items, i - 2) == "act" and not items[i - 2].means("act", "acquired")
    if led and ends(items, i + 1):
        silence(*items[i - 2 : i + 1])
    elif lived and ends(items, i + 1):
        silence(*items[i - 1 : i + 1])


def _bleached(items: Sequence[Item], i: int) -> None:
    """Take "bleached on the south side" as scorch, and "bleached the trays" as cleaning."""
    if items[i].sense("sign") and (family_at(items, i + 1) == "prep" or ends(items, i + 1)):
        items[i].become("sign")


def _topic(items: Sequence[Item], i: int) -> None:
    """Take the dash of "tray 3 - mites, tray 4 - clean" as a colon: what stands before it is what it is said of."""
    first = i
    while first and items[first - 1].family in SUBJECT:
        first -= 1
    # "mealy on 63 and 64 - sprayed both": the list goes on, no new subject begins
    listed_on = first > 1 and items[first - 1].family == "sep" and items[first - 2].family in SUBJECT
    if first < i and not listed_on and begins(items, first) and items[i].family == "dash" and not ends(items, i + 1):
        items[i].family = "colon"


def _missing(items: Sequence[Item], i: int) -> None:
    """Take "turned up: the missing 36" as which, and not as missing now."""
    if family_at(items, i - 1) == "det" and family_at(items, i + 1) in ("number", "taxon", "plants", "nickname", "label"):
        items[i].family, items[i].meaning = "adj", "-"


def _scale_back(items: Sequence[Item], i: int) -> None:
    """Take "scale back the feed" as an act that is not known, and not as an insect."""
    if low_at(items, i + 1) in WORDS["turn _back"] and items[i].family in ("sign", "unclear") and begins(items, i):
        items[i].family = "word"


def _the_sun(items: Sequence[Item], i: int) -> None:
    """Take "the sun scorched 12" as what did it, and not as where it stands."""
    led = i - 1 if family_at(items, i - 1) == "det" else i
    if begins(items, led) and items[i].family != "date" and family_at(items, i + 1) in ("sign", "act"):
        silence(*items[led : i + 1])


def _says(items: Sequence[Item], i: int) -> None:
    """Take "..., says Wenke", "Wenke says 214 is a parodia" as who named it, though nobody of that name is known."""
    after = items[i + 1] if ends(items, i + 2) and i + 1 < len(items) else None
    who = after if after is not None and after.family == "word" else items[i - 1] if i == 1 else None
    if who is not None and who.family == "word" and who.low.isalpha() and any(one.means("act", "named") for one in items):
        who.family, who.meaning = "person", who.low


def _hose(items: Sequence[Item], i: int) -> None:
    """Take "new hose at last" as a thing."""
    if family_at(items, i - 1) in ("det", "adj", "state"):
        keep(items[i])


def _can_be(items: Sequence[Item], i: int) -> None:
    """Take "white wool, can be mealybug" as a doubt, and "can be watered" as a plan."""
    if family_at(items, i + 1) == "sign" or (family_at(items, i + 1) == "det" and family_at(items, i + 2) == "sign"):
        items[i].family, items[i].meaning = "hedge", "maybe"


def _with_what(items: Sequence[Item], i: int) -> None:
    """Take "the one with the yellow spines" as which plant is meant, and not as a sign of it."""
    if family_at(items, i - 1) != "plants" or family_at(items, i - 2) not in ("det", "adj"):
        return
    for one in items[i : i + 5]:
        if one.family in ("act", "comma", "break", "light", "q") or (one is not items[i] and one.family == "prep"):
            return
        if one.family in ("sign", "part", "word", "kind", "adj", "det", "prep"):
            silence(one)


def _unlabelled(items: Sequence[Item], i: int) -> None:
    """Take "the unlabelled plant died" as which plant, and not as a label lost."""
    led = family_at(items, i - 1) in ("det", "number") or begins(items, i)
    if led and family_at(items, i + 1) in ("plants", "taxon", "kind") and any(one.family == "act" for one in items[i + 2 :]):
        items[i].family, items[i].meaning = "adj", "-"


RULES: tuple[Rule, ...] = (
    _unlabelled,
    _with_what,
    _can_be,
    _singular,
    _back,
    _at_rest,
    _no_roots,
    _over,
    _few,
    _below,
    _got,
    _from_to,
    _nameless,
    _put_on,
    _for_the_season,
    _bleached,
    _topic,
    _missing,
    _scale_back,
    _the_sun,
    _says,
    _hose,
)
