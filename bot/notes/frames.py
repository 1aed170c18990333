"""Turns of phrase about plants that come, go, are potted or propagated, by what stands a few words off.

Run over the items of a note with the rules of `turns`; the words that call a rule stand in a row "frame:_name" of
`english/spoken.csv`. What is said of seedlings, offsets and cuttings is in `frames_young`.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes import frames_young
from bot.notes.framing import CUT, LABEL, NAMED, YOUNG, acted, become
from bot.notes.items import Item
from bot.notes.neighbours import SEPARATORS, SET_STARTS, Rule, begins, clause_at, family_at, low_at
from bot.notes.turned_words import LARGEST_POT_CM, WORDS, silence


def _its(items: Sequence[Item], i: int) -> None:
    """Take the number in "knocked 12 out of its pot" as one plant's label."""
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    numbers = [one for one in before if one.family == "number"]
    named = any(one.family in SET_STARTS - {"number", "det", "pron", "adj"} for one in before)
    if len(numbers) == 1 and not named and numbers[0].meaning == "digits" and (numbers[0].value or 0) > 1:
        numbers[0].meaning = LABEL


def _into_a_pot(items: Sequence[Item], i: int) -> None:
    """Take "put 31 in a 9 cm pot", "popped them in grit", "stuck straight in grit" as potted; "put 31 on bench 2" moves."""
    one = items[i]
    if one.family not in ("word", "act", "stop", "light", "sign") or (one.family == "act" and one.meaning != "moved"):
        return
    if acted(items, i):
        return
    into = next(
        (k for k in range(i + 1, min(i + 8, len(items))) if items[k].family == "prep" and items[k].low in WORDS["_into"]), None
    )
    if into is None or any(other.family in SEPARATORS - {"sep"} for other in items[i:into]):
        return
    of_what = into > i + 1 and family_at(items, i + 1) in SET_STARTS
    told = any(other.family in ("act", "kind", "taxon", "number", "nickname") for other in items[:i])
    behind = items[into + 1 : into + 6]
    ends = next((k for k, other in enumerate(behind) if other.family in SEPARATORS), len(behind))
    sized = any(other.family in ("potsize", "pot") or other.low in WORDS["_pot"] for other in behind[:ends])
    mixed = bool(behind[:1]) and behind[0].family == "mix"
    if (of_what or told) and (sized or mixed):
        become(one, "potted")


def _into_size(items: Sequence[Item], i: int) -> None:
    """Take "61 into a 5.5 square", "12 lobivias into 7s", "88 up to a 13 cm clay" as potted, where nothing else is done."""
    spelled = family_at(items, i + 1) == "det"
    k = i + 2 if spelled else i + 1
    if items[i].family != "prep" or acted(items, i) or k >= len(items):
        return
    size = items[k]
    value = getattr(size.value, "value", size.value) if size.family in ("number", "potsize", "amount") else None
    pot = family_at(items, k + 1) == "pot" or low_at(items, k + 1) in WORDS["_pot"]
    fits = size.family == "potsize" or (spelled and size.family == "number") or (pot and size.means("amount", "cm"))
    ends = pot or family_at(items, k + 1) in ("", "date", *SEPARATORS)
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    told = any(one.family in SET_STARTS - {"det", "pron"} for one in before) and not any(
        one.family in ("sign", "date", "neg", "plan", "hedge", "query", "light") for one in before
    )
    if not isinstance(value, int | float) or not 4 <= value <= LARGEST_POT_CM or not (fits and ends and told):
        return
    if items[i].low in WORDS["_stands_in"] and not spelled and any(one.family in ("act", "sign", "nowater") for one in items):
        return  # "the 12 in 9s, watered": which ones
    size.family, size.value = "potsize", float(value)
    become(items[i], "potted" if any(one.means("kind", *YOUNG, "seedlings") for one in before) else "repotted")


def _rewritten(items: Sequence[Item], i: int) -> None:
    """Take "labels 12 to 18 rewritten" as new labels."""
    for one in items[:i]:
        if one.family == "number" and one.meaning == "digits" and any(x.low in WORDS["_tags"] for x in items[:i]):
            one.meaning = LABEL
    if items[i].family == "word" and any(one.low in WORDS["_tags"] for one in clause_at(items, i)):
        become(items[i], "labelled")


def _plant(items: Sequence[Item], i: int) -> None:
    """Take "the plant in tray 2" as which one, and not as potted."""
    if items[i].family == "act" and (family_at(items, i - 1) in ("det", "adj") or low_at(items, i - 1) in WORDS["that"]):
        items[i].family = "plants"


def _paid(items: Sequence[Item], i: int) -> None:
    """Take "paid 45 for the barn lot" as plants that came in, and their price."""
    price = items[i + 1] if i + 1 < len(items) else None
    if price is None or price.family not in ("number", "amount") or not items[i + 2 : i + 3]:
        return
    plants = items[i + 2].means("prep", "for") and family_at(items, i + 3) in SET_STARTS
    if plants and not any(one.family == "act" for one in items[:i]):
        become(items[i], "acquired")
        if price.family == "number":
            items[i].more = {"price": str(price.value)}
            silence(price, items[i + 2])
        else:
            silence(items[i + 2])


def _moved_up(items: Sequence[Item], i: int) -> None:
    """Take "moved 5 lobivias up from 7 to 9", "12 went from 7s to 9s" as repotted."""
    verb = next(
        (one for one in clause_at(items, i) if one.means("act", "moved", "given") or one.low in WORDS["_went_into"]), None
    )
    if verb is not None and not any(one.family == "act" for one in clause_at(items, i) if one is not verb):
        become(verb, "repotted", how="on")


def _each(items: Sequence[Item], i: int) -> None:
    """Take "each in an 11" as the size of every one's pot."""
    behind = items[i + 1 : i + 4]
    sized = any(one.family == "potsize" or one.low in WORDS["_pot"] for one in behind) or family_at(items, i + 1) == "prep"
    if sized and begins(items, i) and any(one.means("act", "potted", "repotted") for one in items[:i]):
        silence(items[i])


def _only_which(items: Sequence[Item], i: int) -> None:
    """Take "chucked the dead ones from tray 4" as some of them, whom only a person can tell."""
    if items[i].meaning not in ("died", "failed", "rooted"):
        return
    led = family_at(items, i - 1) == "det" and family_at(items, i + 1) == "plants" and i + 1 < len(items)
    if led and (acted(items, i) or items[i].family == "act"):
        items[i].family = "adj"


def _missing_ones(items: Sequence[Item], i: int) -> None:
    """Take "found the two missing lithops" as found again."""
    found = next((one for one in reversed(items[max(0, i - 4) : i]) if one.low in WORDS["_found"]), None)
    if found is not None and family_at(items, i + 1) in (*NAMED, "number"):
        become(found, "found_alive")
        items[i].family, items[i].kept = "condition", True


def _while_doing(items: Sequence[Item], i: int) -> None:
    """Take "while repotting" as when it was seen."""
    done = items[i + 1] if i + 1 < len(items) else None
    if (
        done is not None
        and done.family == "act"
        and done.form == "ing"
        and any(one.family in ("act", "sign") for one in items[:i])
    ):
        done.family, done.kept = "word", True
        silence(items[i])


def _goes_to(items: Sequence[Item], i: int) -> None:
    """Take "teacup went to a 9" as its pot, and "went to pia" as given."""
    behind = items[i + 1 : i + 3]
    sized = len(behind) == 2 and behind[0].family == "det" and behind[1].family in ("number", "potsize")
    ends = family_at(items, i + 3) in ("", "pot", *SEPARATORS) or low_at(items, i + 3) in WORDS["_pot"]
    if items[i].means("act", "given") and sized and ends and 4 <= (behind[1].value or 0) <= LARGEST_POT_CM:
        become(items[i], "repotted")
        behind[1].family = "potsize"


def _let_have(items: Sequence[Item], i: int) -> None:
    """Take "let hollis have 118" as given."""
    if family_at(items, i + 1) == "person" and low_at(items, i + 2) in WORDS["has"]:
        become(items[i], "given")
        silence(items[i + 2])


def _attribute(items: Sequence[Item], i: int) -> None:
    """Take "the washed roots", "rooted cuttings potted" as which ones, where something else is said of them."""
    if i + 1 == len(items) or (items[i + 1].family not in NAMED and items[i + 1].family != "act"):
        return
    led = family_at(items, i - 1) == "det" or low_at(items, i - 1) in WORDS["that"]
    taken = (
        led and i + 1 < len(items) and items[i + 1].means("act", *CUT) and items[i + 1].form == "noun"
    )  # "a rooted pup off 77"
    plants = family_at(items, i + 1) in NAMED or taken
    described = items[i].family == "act" and items[i].form in ("past", "noun") and plants
    clause = [one for one in clause_at(items, i) if one is not items[i]]
    if not described or (items[i].form == "noun" and items[i].meaning != "rooted"):
        return
    told = any(one.family == "act" or (led and one.family == "sign") for one in clause)
    young = begins(items, i) and items[i + 1].family == "kind" and family_at(items, i + 2) == "act"
    if (led and told) or young:
        items[i].family, items[i].kept = "condition", True


def _washed_clean(items: Sequence[Item], i: int) -> None:
    """Take "hosed the roots clean" as how they were washed, and not as a look."""
    if family_at(items, i - 1) in ("part", "pron", "act") and any(
        one.means("act", "washed", "cleaned") for one in clause_at(items, i)
    ):
        silence(items[i])


def _of_the_pot(items: Sequence[Item], i: int) -> None:
    """Take "repotted 61 because the pot cracked" as no damage of the plant."""
    if (
        items[i].meaning in ("broken", "split_skin")
        and low_at(items, i - 1) in WORDS["_pot"]
        and family_at(items, i - 2) == "det"
    ):
        items[i].family, items[i].kept = "word", True


def _label_found(items: Sequence[Item], i: int) -> None:
    """Take "lost label found again" as no plant that was found."""
    lost = next((one for one in items[:i] if one.means("act", "label_lost")), None)
    if lost is not None:
        lost.family = items[i].family = "word"
        lost.kept = items[i].kept = True


def _parts_of_mix(items: Sequence[Item], i: int) -> None:
    """Take "3 parts pumice 1 part loam" as what a mix is made of, and not as plants."""
    if family_at(items, i - 1) == "number" and family_at(items, i + 1) == "mix":
        items[i - 1].family, items[i - 1].kept = "word", True
        silence(items[i])


def _praising(items: Sequence[Item], i: int) -> None:
    """Take "a lovely big echinocactus" as praise, and not as a look."""
    if items[i].meaning != "healthy":
        return
    led = family_at(items, i - 1) in ("det", "number") and family_at(items, i + 1) in ("adj", *NAMED)
    if led and items[i].low in WORDS["_praise"]:
        items[i].family = "adj"


def _tag_says(items: Sequence[Item], i: int) -> None:
    """Take "tag on 62 says mammillaria bombycina" as what the plant is called."""
    if low_at(items, i + 1) not in WORDS["_of_its_plant"]:
        return
    says = next((k for k in range(i + 2, min(i + 6, len(items))) if items[k].low in WORDS["_says"]), None)
    if says is None or says == i + 2:
        return
    become(items[says], "named", "noun")
    silence(items[i], items[i + 1])
    if family_at(items, i - 1) == "det":
        silence(items[i - 1])


def _cut_piece(items: Sequence[Item], i: int) -> None:
    """Take "topped 60, the top is drying" as what was cut off."""
    cut = any(one.means("act", *CUT) for one in items[:i])
    if cut and family_at(items, i - 1) == "det" and begins(items, i - 1) and items[i].family in ("adj", "part", "word", "plants"):
        silence(items[i - 1], items[i])


def _the_pair(items: Sequence[Item], i: int) -> None:
    """Take "12 quid the pair", "5 for the lot" as the price of all of them."""
    paid = any(one.means("amount", "money") for one in items[max(0, i - 3) : i])
    if paid and family_at(items, i + 1) in ("", *SEPARATORS, "prep"):
        silence(items[i])
        if family_at(items, i - 1) == "det":
            silence(items[i - 1])


def _but_these(items: Sequence[Item], i: int) -> None:
    """Take "all have rooted but one" as an exception."""
    whole = any(
        one.means("refer", "all") or one.low in WORDS["_every"] for one in clause_at(items, i) if one.start < items[i].start
    )
    counted = family_at(items, i + 1) in ("number", "det", "taxon", "nickname", "range")
    behind = [one for one in clause_at(items, i) if one.start > items[i].start]
    if (
        whole
        and counted
        and items[i].family == "sep"
        and not any(one.family in ("act", "sign", "light", "neg", "skipped") for one in behind)
    ):
        items[i].family, items[i].meaning = "except", "except"


def _alive(items: Sequence[Item], i: int) -> None:
    """Take "parcel from pia, 9 of 10 alive" as how they came, and not as plants found again."""
    if items[i].means("act", "found_alive") and any(one.means("act", "acquired") for one in items[:i]):
        items[i].family, items[i].meaning = "sign", "healthy"


def _ordered(items: Sequence[Item], i: int) -> None:
    """Take "ordered 10 lithops from tadeas" as not come yet: it is kept in words."""
    if (
        begins(items, i)
        and items[i].family in ("word", "errand", "stop")
        and family_at(items, i + 1) in SET_STARTS | {"some", "word"}
    ):
        items[i].family, items[i].meaning = "other", "ordered"


def _got_by(items: Sequence[Item], i: int) -> None:
    """Take "jan got two of the rebutias" as plants that left; "jan got me two" came."""
    person = family_at(items, i - 1) == "person" and begins(items, i - 1)
    mine = low_at(items, i + 1).split()[:1]
    if mine and mine[0] in WORDS["_to_me"]:
        return
    if person and items[i].means("act", "acquired") and family_at(items, i + 1) in SET_STARTS - {"pron"}:
        become(items[i], "given")


def _came_as(items: Sequence[Item], i: int) -> None:
    """Take "this one came as lobivia" as what it was called, and not as a plant that comes in."""
    if items[i].means("act", "acquired") and low_at(items, i + 1) in WORDS["_as"]:
        items[i].family, items[i].kept = "word", True


def _as_number(items: Sequence[Item], i: int) -> None:
    """Ask about "relabelled 60 as 61": one of them is the new label."""
    labelled = any(one.means("act", "labelled") for one in clause_at(items, i))
    if labelled and family_at(items, i - 1) == "number" and family_at(items, i + 1) == "number":
        items[i + 1].family, items[i + 1].meaning = "unclear", "which"


def _earlier_count(items: Sequence[Item], i: int) -> None:
    """Take "s15 up 12, yesterday 7" as what it was before, said beside it."""
    counted = any(one.means("act", "germinated") for one in items[:i]) and any(one.family == "number" for one in items[:i])
    ends = family_at(items, i + 2) in ("", *SEPARATORS)
    if counted and i and family_at(items, i - 1) in SEPARATORS and family_at(items, i + 1) == "number" and ends:
        items[i].family = items[i + 1].family = "word"
        items[i].kept = items[i + 1].kept = True


_RULES: tuple[Rule, ...] = (
    _got_by,
    _came_as,
    _as_number,
    _its, _into_a_pot, _each, _tag_says, _cut_piece, _the_pair,
    _but_these, _alive, _ordered, _into_size, _plant, _rewritten,
    _washed_clean, _goes_to, _parts_of_mix, _missing_ones, _while_doing, _let_have, _paid,
)  # fmt: skip
_CALLED = {rule.__name__: rule for rule in (*_RULES, *frames_young.RULES)}
BY_WORD = {
    form: _CALLED[row.removeprefix("frame:")] for row, forms in WORDS.items() if row.startswith("frame:") for form in forms
}


def settle(items: Sequence[Item], i: int) -> None:
    """Apply the rule that the words at `i` call, and the ones for what the item then is."""
    rule = BY_WORD.get(items[i].low)
    if rule is not None:
        rule(items, i)
    family = items[i].family
    for rule in BY_FAMILY.get("found_alive" if family == "act" and items[i].meaning == "found_alive" else family, ()):
        rule(items, i)


BY_FAMILY: dict[str, tuple[Rule, ...]] = {
    "condition": (_only_which,),
    "sign": (_praising, _of_the_pot),
    "date": (_earlier_count,),
    "found_alive": (_label_found,),
    "act": (_only_which, _attribute),
    "sizes": (_moved_up,),
    "times": (frames_young.crossings, frames_young.by_rows),
}
