"""Turns of phrase about plants that come, go, are potted or propagated, by what stands a few words off.

Run over the items of a note with the rules of `turns`; the words that call a rule stand in a row "frame:_name" of
`english/spoken.csv`.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, SET_STARTS, Rule, begins, clause_at, family_at, low_at

_WORDS = {key: frozenset(words) for key, words in listed("spoken").items()}
LARGEST_POT_CM = 40  # project default: a number beyond is no pot
YOUNG = ("cuttings", "offsets", "leaves", "grafts")
NAMED = frozenset(("taxon", "kind", "plants", "nickname"))
CUT = ("cutting_taken", "offsets_taken")


def _silence(*items: Item) -> None:
    for one in items:
        one.family, one.used = "stop", True


def _become(one: Item, act: str, form: str = "past", **more: str) -> None:
    one.family, one.meaning, one.form, one.more = "act", act, form, more


def _sentence(items: Sequence[Item], i: int) -> Sequence[Item]:
    first = next((k + 1 for k in range(i - 1, -1, -1) if items[k].family == "break"), 0)
    last = next((k for k in range(i, len(items)) if items[k].family == "break"), len(items))
    return items[first:last]


def _acted(items: Sequence[Item], i: int) -> bool:
    return any(one.family == "act" for one in clause_at(items, i) if one is not items[i])


def _its(items: Sequence[Item], i: int) -> None:
    """Take the number in "knocked 12 out of its pot" as one plant's label."""
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    numbers = [one for one in before if one.family == "number"]
    named = any(one.family in SET_STARTS - {"number", "det", "pron", "adj"} for one in before)
    if len(numbers) == 1 and not named and numbers[0].meaning == "digits" and (numbers[0].value or 0) > 1:
        numbers[0].meaning = "label"


def _into_a_pot(items: Sequence[Item], i: int) -> None:
    """Take "put 31 in a 9 cm pot", "popped them in grit", "stuck straight in grit" as potted; "put 31 on bench 2" moves."""
    one = items[i]
    if one.family not in ("word", "act", "stop", "light", "sign") or (one.family == "act" and one.meaning != "moved"):
        return
    if _acted(items, i):
        return
    into = next(
        (k for k in range(i + 1, min(i + 8, len(items))) if items[k].family == "prep" and items[k].low in _WORDS["_into"]), None
    )
    if into is None or any(other.family in SEPARATORS - {"sep"} for other in items[i:into]):
        return
    of_what = into > i + 1 and family_at(items, i + 1) in SET_STARTS
    told = any(other.family in ("act", "kind", "taxon", "number", "nickname") for other in items[:i])
    behind = items[into + 1 : into + 6]
    ends = next((k for k, other in enumerate(behind) if other.family in SEPARATORS), len(behind))
    sized = any(other.family in ("potsize", "pot") or other.low in _WORDS["_pot"] for other in behind[:ends])
    mixed = bool(behind[:1]) and behind[0].family == "mix"
    if (of_what or told) and (sized or mixed):
        _become(one, "potted")


def _into_size(items: Sequence[Item], i: int) -> None:
    """Take "61 into a 5.5 square", "12 lobivias into 7s", "88 up to a 13 cm clay" as potted, where nothing else is done."""
    spelled = family_at(items, i + 1) == "det"
    k = i + 2 if spelled else i + 1
    if items[i].family != "prep" or _acted(items, i) or k >= len(items):
        return
    size = items[k]
    value = getattr(size.value, "value", size.value) if size.family in ("number", "potsize", "amount") else None
    pot = family_at(items, k + 1) == "pot" or low_at(items, k + 1) in _WORDS["_pot"]
    fits = size.family == "potsize" or (spelled and size.family == "number") or (pot and size.means("amount", "cm"))
    ends = pot or family_at(items, k + 1) in ("", *SEPARATORS)
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    told = any(one.family in SET_STARTS - {"det", "pron"} for one in before) and not any(
        one.family in ("sign", "date", "neg", "plan", "hedge", "query", "light") for one in before
    )
    if not isinstance(value, int | float) or not 4 <= value <= LARGEST_POT_CM or not (fits and ends and told):
        return
    if items[i].low in _WORDS["_stands_in"] and not spelled and any(one.family in ("act", "sign", "nowater") for one in items):
        return  # "the 12 in 9s, watered": which ones
    size.family, size.value = "potsize", float(value)
    _become(items[i], "potted" if any(one.means("kind", *YOUNG, "seedlings") for one in before) else "repotted")


def _crossings(items: Sequence[Item], i: int) -> None:
    """Cut "crossed 14 x 15 and 15 x 14" into its crosses, each with an act of its own."""
    crossed = next((one for one in reversed(items[:i]) if one.means("act", "pollinated")), None)
    earlier = [k for k in range(i) if items[k].family == "times" and crossed is not None and items[k].start > crossed.start]
    if crossed is None or not earlier:
        return
    joint = next((k for k in range(i - 1, earlier[-1], -1) if items[k].family in ("sep", "comma")), None)
    if joint is not None:
        _become(items[joint], "pollinated")


def _rewritten(items: Sequence[Item], i: int) -> None:
    """Take "labels 12 to 18 rewritten" as new labels."""
    for one in items[:i]:
        if one.family == "number" and one.meaning == "digits" and any(x.low in _WORDS["_tags"] for x in items[:i]):
            one.meaning = "label"
    if items[i].family == "word" and any(one.low in _WORDS["_tags"] for one in clause_at(items, i)):
        _become(items[i], "labelled")


def _plant(items: Sequence[Item], i: int) -> None:
    """Take "the plant in tray 2" as which one, and not as potted."""
    if items[i].family == "act" and (family_at(items, i - 1) in ("det", "adj") or low_at(items, i - 1) in _WORDS["that"]):
        items[i].family = "plants"


def _paid(items: Sequence[Item], i: int) -> None:
    """Take "paid 45 for the barn lot" as plants that came in, and their price."""
    price = items[i + 1] if i + 1 < len(items) else None
    if price is None or price.family not in ("number", "amount") or not items[i + 2 : i + 3]:
        return
    plants = items[i + 2].means("prep", "for") and family_at(items, i + 3) in SET_STARTS
    if plants and not any(one.family == "act" for one in items[:i]):
        _become(items[i], "acquired")
        if price.family == "number":
            items[i].more = {"price": str(price.value)}
            _silence(price, items[i + 2])
        else:
            _silence(items[i + 2])


def _several_of(items: Sequence[Item], i: int) -> None:
    """Take "offsets: 3 from 41, 2 from 12" as taken, each clause with an act of its own."""
    if not begins(items, i) or family_at(items, i + 1) != "colon" or _acted(items, i):
        return
    act = "offsets_taken" if items[i].means("kind", "offsets") else "cutting_taken"
    triple = [family_at(items, i + 2) == "number", i + 3 < len(items) and items[i + 3].means("prep", "from")]
    if items[i].family != "kind" or not all(triple):
        return
    k = i + 1
    while k + 2 < len(items) and family_at(items, k + 1) == "number" and items[k + 2].means("prep", "from"):
        _become(items[k], act)
        if items[k + 1].meaning == "digits":
            items[k + 1].meaning = "word"
        k = next((n for n in range(k + 3, len(items)) if items[n].family in ("comma", "sep")), len(items))


def _moved_up(items: Sequence[Item], i: int) -> None:
    """Take "moved 5 lobivias up from 7 to 9", "12 went from 7s to 9s" as repotted."""
    verb = next(
        (one for one in clause_at(items, i) if one.means("act", "moved", "given") or one.low in _WORDS["_went_into"]), None
    )
    if verb is not None and not any(one.family == "act" for one in clause_at(items, i) if one is not verb):
        _become(verb, "repotted", how="on")


def _each(items: Sequence[Item], i: int) -> None:
    """Take "each in an 11" as the size of every one's pot."""
    behind = items[i + 1 : i + 4]
    sized = any(one.family == "potsize" or one.low in _WORDS["_pot"] for one in behind) or family_at(items, i + 1) == "prep"
    if sized and begins(items, i) and any(one.means("act", "potted", "repotted") for one in items[:i]):
        _silence(items[i])


def _only_which(items: Sequence[Item], i: int) -> None:
    """Take "chucked the dead ones from tray 4" as some of them, whom only a person can tell."""
    led = family_at(items, i - 1) == "det" and family_at(items, i + 1) == "plants" and i + 1 < len(items)
    if items[i].meaning in ("died", "failed", "rooted") and led and (_acted(items, i) or items[i].family == "act"):
        items[i].family = "adj"


def _missing_ones(items: Sequence[Item], i: int) -> None:
    """Take "found the two missing lithops" as found again."""
    found = next((one for one in reversed(items[max(0, i - 4) : i]) if one.low in _WORDS["_found"]), None)
    if found is not None and family_at(items, i + 1) in (*NAMED, "number"):
        _become(found, "found_alive")
        items[i].family, items[i].kept = "condition", True


def _gave_pups(items: Sequence[Item], i: int) -> None:
    """Take "duchess gave me 4 pups" as offsets of a plant, and not as a present."""
    parent = family_at(items, i - 1) in ("nickname", "taxon") or (i and items[i - 1].means("number", "label", "digits"))
    pups = any(one.means("kind", "offsets") for one in items[i + 1 : i + 5])
    if parent and pups and (i == 1 or begins(items, i - 1) or family_at(items, i - 2) == "det"):
        _become(items[i], "offsets_taken")
        if family_at(items, i - 1) == "number":
            items[i - 1].meaning = "label"


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
        _silence(items[i])


def _counted_by_colon(items: Sequence[Item], i: int) -> None:
    """Take "s12: nothing, s13: 4, s14: 11" as one count for each sowing."""
    sown = family_at(items, i - 1) == "sowing" and family_at(items, i + 1) in ("number", "ratio", "clear", "neg")
    several = sum(one.family == "sowing" for one in items) > 1
    ends = family_at(items, i + 2) in ("", *SEPARATORS) or items[i + 2].means("act", "germinated")
    if sown and several and ends:
        _silence(items[i])


def _remain(items: Sequence[Item], i: int) -> None:
    """Take "lost 3, 18 remain" as how many are left, said beside it."""
    if family_at(items, i - 1) == "number" and begins(items, i - 1) and any(one.family == "act" for one in items[: i - 1]):
        items[i].family = items[i - 1].family = "word"
        items[i].kept = items[i - 1].kept = True


def _bagged(items: Sequence[Item], i: int) -> None:
    """Take "bagged seedlings opened up", "the bags of s14 opened" as uncovered."""
    bags = next((one for one in items[:i] if one.meaning == "covered" and one.family in ("act", "condition")), None)
    if bags is not None and not any(one.family in (*SEPARATORS, "neg") for one in items[items.index(bags) : i]):
        _become(items[i], "uncovered")
        bags.family, bags.kept = "condition", True


def _goes_to(items: Sequence[Item], i: int) -> None:
    """Take "teacup went to a 9" as its pot, and "went to pia" as given."""
    behind = items[i + 1 : i + 3]
    sized = len(behind) == 2 and behind[0].family == "det" and behind[1].family in ("number", "potsize")
    ends = family_at(items, i + 3) in ("", "pot", *SEPARATORS) or low_at(items, i + 3) in _WORDS["_pot"]
    if items[i].means("act", "given") and sized and ends and 4 <= (behind[1].value or 0) <= LARGEST_POT_CM:
        _become(items[i], "repotted")
        behind[1].family = "potsize"


def _by_rows(items: Sequence[Item], i: int) -> None:
    """Take "pricked out 6 x 6" as rows, and not as how many."""
    before = items[i - 1] if i else None
    if before is not None and before.family == "number" and any(one.means("act", "pricked_out") for one in items[:i]):
        before.family = items[i].family = "word"
        before.kept = items[i].kept = True


def _let_have(items: Sequence[Item], i: int) -> None:
    """Take "let hollis have 118" as given."""
    if family_at(items, i + 1) == "person" and low_at(items, i + 2) in _WORDS["has"]:
        _become(items[i], "given")
        _silence(items[i + 2])


def _attribute(items: Sequence[Item], i: int) -> None:
    """Take "the washed roots", "rooted cuttings potted" as which ones, where something else is said of them."""
    led = family_at(items, i - 1) == "det" or low_at(items, i - 1) in _WORDS["that"]
    described = items[i].family == "act" and items[i].form in ("past", "noun") and family_at(items, i + 1) in NAMED
    clause = [one for one in clause_at(items, i) if one is not items[i]]
    if not described or (items[i].form == "noun" and items[i].meaning != "rooted"):
        return
    told = any(one.family == "act" or (led and one.family == "sign") for one in clause)
    young = begins(items, i) and items[i + 1].family == "kind" and family_at(items, i + 2) == "act"
    if (led and told) or young:
        items[i].family, items[i].kept = "condition", True


def _label_found(items: Sequence[Item], i: int) -> None:
    """Take "lost label found again" as no plant that was found."""
    lost = next((one for one in items[:i] if one.means("act", "label_lost")), None)
    if lost is not None:
        lost.family = items[i].family = "word"
        lost.kept = items[i].kept = True


def _now_up(items: Sequence[Item], i: int) -> None:
    """Take "s13 now 22" as how many are up."""
    ends = family_at(items, i + 2) in ("", *SEPARATORS)
    if family_at(items, i - 1) == "sowing" and family_at(items, i + 1) in ("number", "ratio") and ends and not _acted(items, i):
        _become(items[i], "germinated")


def _parts_of_mix(items: Sequence[Item], i: int) -> None:
    """Take "3 parts pumice 1 part loam" as what a mix is made of, and not as plants."""
    if family_at(items, i - 1) == "number" and family_at(items, i + 1) == "mix":
        items[i - 1].family, items[i - 1].kept = "word", True
        _silence(items[i])


def _pollen_of(items: Sequence[Item], i: int) -> None:
    """Take "pollinated duchess with pollen of 44" as one cross."""
    if items[i - 1].means("prep", "with") and i > 1 and any(one.means("act", "pollinated") for one in items[: i - 1]):
        items[i].family, items[i].meaning = "prep", "with"
        _silence(items[i - 1])


def _praising(items: Sequence[Item], i: int) -> None:
    """Take "a lovely big echinocactus" as praise, and not as a look."""
    led = family_at(items, i - 1) in ("det", "number") and family_at(items, i + 1) in ("adj", *NAMED)
    if led and items[i].meaning == "healthy" and items[i].low in _WORDS["_praise"]:
        items[i].family = "adj"


def _through(items: Sequence[Item], i: int) -> None:
    """Take "s12: 30 of 40 through", "counted 21 in s14" as seedlings that are up."""
    sentence = _sentence(items, i)
    sown = any(one.family == "sowing" or one.means("kind", "seedlings") for one in sentence)
    counted = any(one.family in ("number", "ratio") for one in sentence)
    other = any(one.family in ("act", "sign", "taxon", "place") and one is not items[i] for one in sentence)
    if sown and counted and not other:
        _become(items[i], "germinated")


def _broke_off(items: Sequence[Item], i: int) -> None:
    """Take "two pups fell off 77" as offsets taken, "a leaf came off 203" as a cutting."""
    before = [one for one in clause_at(items, i) if one.start < items[i].start]
    kind = next((one for one in reversed(before) if one.means("kind", "offsets", "cuttings", "leaves")), None)
    if low_at(items, i - 1) in _WORDS["that"] and family_at(items, i - 2) in (*NAMED, "number"):
        _silence(items[i - 1], items[i])  # "regrafted the astro that fell off"
        if low_at(items, i + 1) in _WORDS["off_it"]:
            _silence(items[i + 1])
        return
    if kind is None or any(one.family in ("act", "neg") for one in clause_at(items, i) if one is not items[i]):
        return
    if any(one.means("act", "grafted", "failed", "united") or one.means("kind", "grafts") for one in items):
        return
    _become(items[i], "offsets_taken" if kind.meaning == "offsets" else "cutting_taken")
    if low_at(items, i + 1) in _WORDS["off_it"]:
        _silence(items[i + 1])
    parent = i + 2 if family_at(items, i + 1) == "stop" else i + 1
    if family_at(items, parent) == "number":
        items[parent].meaning = "label"


def _dried_up(items: Sequence[Item], i: int) -> None:
    """Take "the other graft dried up", "2 cuttings shrivelled away" as failed."""
    before = items[:i]
    young = any(one.means("kind", *YOUNG) or one.means("act", "grafted", "united", "rooted") for one in before[-8:])
    if young and not any(one.family in ("neg", "hedge") for one in clause_at(items, i)):
        _become(items[i], "failed")


def _tag_says(items: Sequence[Item], i: int) -> None:
    """Take "tag on 62 says mammillaria bombycina" as what the plant is called."""
    if low_at(items, i + 1) not in _WORDS["_of_its_plant"]:
        return
    says = next((k for k in range(i + 2, min(i + 6, len(items))) if items[k].low in _WORDS["_says"]), None)
    if says is None or says == i + 2:
        return
    _become(items[says], "named", "noun")
    _silence(items[i], items[i + 1])
    if family_at(items, i - 1) == "det":
        _silence(items[i - 1])


def _picked_it(items: Sequence[Item], i: int) -> None:
    """Take "seed pod ripe on 33, picked it" as a harvest."""
    fruit = any(one.means("sign", "fruiting") or one.low in _WORDS["_pods"] for one in items[:i])
    ends = (
        family_at(items, i + 1) in ("", "pron", *SEPARATORS)
        or items[i + 1].means("sign", "fruiting")
        or (low_at(items, i + 1) in _WORDS["_pods"])
    )
    pests = any(one.family == "sign" and one.meaning != "fruiting" for one in items[:i])
    if fruit and ends and not pests:
        _become(items[i], "seed_harvested")


def _cut_piece(items: Sequence[Item], i: int) -> None:
    """Take "topped 60, the top is drying" as what was cut off."""
    cut = any(one.means("act", *CUT) for one in items[:i])
    if cut and family_at(items, i - 1) == "det" and begins(items, i - 1) and items[i].family in ("adj", "part", "word", "plants"):
        _silence(items[i - 1], items[i])


def _the_pair(items: Sequence[Item], i: int) -> None:
    """Take "12 quid the pair", "5 for the lot" as the price of all of them."""
    paid = any(one.means("amount", "money") for one in items[max(0, i - 3) : i])
    if paid and family_at(items, i + 1) in ("", *SEPARATORS, "prep"):
        _silence(items[i])
        if family_at(items, i - 1) == "det":
            _silence(items[i - 1])


def _but_these(items: Sequence[Item], i: int) -> None:
    """Take "all have rooted but one" as an exception."""
    whole = any(
        one.means("refer", "all") or one.low in _WORDS["_every"] for one in clause_at(items, i) if one.start < items[i].start
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


_RULES: tuple[Rule, ...] = (
    _its, _into_a_pot, _each, _through, _broke_off, _dried_up, _tag_says, _picked_it, _cut_piece, _the_pair,
    _but_these, _alive, _ordered, _into_size, _plant, _rewritten,
    _bagged, _goes_to, _now_up, _parts_of_mix, _pollen_of,
    _missing_ones, _gave_pups, _while_doing, _counted_by_colon, _remain, _let_have, _paid, _several_of,
)  # fmt: skip
_CALLED = {rule.__name__: rule for rule in _RULES}
BY_WORD = {
    form: _CALLED[row.removeprefix("frame:")] for row, forms in _WORDS.items() if row.startswith("frame:") for form in forms
}


def settle(items: Sequence[Item], i: int) -> None:
    """Apply the rule that the words at `i` call, and the one for a past form that only describes."""
    rule = BY_WORD.get(items[i].low)
    if rule is not None:
        rule(items, i)
    if items[i].family == "condition":
        _only_which(items, i)
    elif items[i].family == "sign":
        _praising(items, i)
    elif items[i].means("act", "found_alive"):
        _label_found(items, i)
    elif items[i].family == "act":
        _only_which(items, i)
        _attribute(items, i)
    elif items[i].family == "sizes":
        _moved_up(items, i)
    elif items[i].family == "times":
        _crossings(items, i)
        _by_rows(items, i)
