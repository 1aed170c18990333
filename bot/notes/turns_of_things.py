"""Turns of phrase about things that are no plants, and about what was only spoken of: words that would else be read as care.

Run with the rules of `turns`; which words call which rule is in `things.csv` ("thing ...").
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.calendar import DatePhrase
from bot.notes.framing import become
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, SET_STARTS, Rule, begins, clause_at, family_at, low_at
from bot.notes.reading import PESTS
from bot.notes.turned_words import LARGEST_POT_CM, WORDS, called_by, ends, keep, keep_to_the_end, silence

THING_WORDS = {**WORDS, **{key: frozenset(words) for key, words in listed("things").items()}}


def _sun_shelf(items: Sequence[Item], i: int) -> None:
    """Take "sun shelf watered" as the name of a place, and not as a day."""
    behind = items[i + 1] if i + 1 < len(items) else None
    if behind is None or items[i].family not in ("date", "stop") or behind.family != "somewhere":
        return
    if i == 0 or family_at(items, i - 1) in ("prep", "det", "act"):
        name = items[i].low.split()[-1]
        behind.low, behind.start = f"{name} {behind.low}", items[i].end - len(name)
        silence(items[i])


def _mealy_mix(items: Sequence[Item], i: int) -> None:
    """Take "mealy mix for 12", "mite bottle" as a thing for it, and not as a find."""
    if family_at(items, i - 1) == "sign" and items[i - 1].meaning in PESTS and items[i].start - items[i - 1].end == 1:
        keep(items[i - 1], items[i])


def _to_clean(items: Sequence[Item], i: int) -> None:
    """Take "cut back to clean" as how far it was cut, and not as free of pests."""
    if family_at(items, i - 1) in ("prep", "till") and any(one.low in THING_WORDS["cut_at"] for one in clause_at(items, i)):
        keep(items[i - 1], items[i])


def _holding_off(items: Sequence[Item], i: int) -> None:
    """Take "holding off on tray 5 for a week" as no water till then."""
    clause = clause_at(items, i)
    lasts = any(one.means("amount", "days") or one.family == "till" for one in clause)
    if lasts and not any(one.family == "act" for one in clause):
        items[i].family, items[i].meaning = "nowater", "dry"
        if low_at(items, i + 1) == "on":
            silence(items[i + 1])


def _stood_in(items: Sequence[Item], i: int) -> None:
    """Take "stood the seed trays in water 20 mins" as watered from below."""
    water = items[i + 1] if i + 1 < len(items) else None
    verb = next((one for one in clause_at(items, i) if one.low in THING_WORDS["stood_in"] and one.start < items[i].start), None)
    if verb is None or water is None or water.low not in THING_WORDS["standing_water"] or items.index(verb) + 1 >= i:
        return
    become(verb, "watered", how="below")
    silence(items[i], water)


def _lost_track(items: Sequence[Item], i: int) -> None:
    """Take "lost track of which i watered" as told, and not as done."""
    keep_to_the_end(items, i)


def _on_the_floor(items: Sequence[Item], i: int) -> None:
    """Take "water on the floor of frame A" as a puddle, and not as care."""
    behind = [one.low for one in items[i + 1 : i + 4]]
    led = family_at(items, i + 1) == "prep" and any(low in THING_WORDS["puddled_on"] for low in behind[1:])
    if led and begins(items, i) and items[i].form != "past":
        keep_to_the_end(items, i)


def _the_heater(items: Sequence[Item], i: int) -> None:
    """Take "check the heater" as an errand."""
    thing = i + 2 if family_at(items, i + 1) == "det" else i + 1
    behind = items[thing + 1 :]
    when = all(one.family in ("date", "stop", "break", "prep", "clock") for one in behind)
    if begins(items, i) and low_at(items, thing) in THING_WORDS["house_things"] and when:
        items[i].family = "errand"


def _has_dried(items: Sequence[Item], i: int) -> None:
    """Take "callused 10 days so potted 41" as what came before, and not as set to dry now."""
    if low_at(items, i - 1) in THING_WORDS["_has"] and items[i].family == "act" and items[i].form == "past":
        keep(items[i])  # "the cuttings have callused": done with drying
        return
    days = family_at(items, i + 1) == "amount" and items[i + 1].meaning == "days"
    then = family_at(items, i + 2) in SEPARATORS and any(one.means("act", "potted", "repotted") for one in items[i + 3 : i + 5])
    if days and then and begins(items, i):
        keep(items[i], items[i + 1])


def _split_off(items: Sequence[Item], i: int) -> None:
    """Take "3 aloes split off" as a clump divided, and not as a torn skin."""
    if family_at(items, i - 1) in ("taxon", "kind") and low_at(items, i + 1) == "off" and ends(items, i + 2):
        become(items[i], "divided")
        silence(items[i + 1])


def _fine_water(items: Sequence[Item], i: int) -> None:
    """Take "butt water 14c fine" as said of the water, and "strong feed for the epis" of the feed, and not of plants."""
    behind = items[i + 1] if i + 1 < len(items) else None
    if behind is not None and behind.family == "act" and behind.form in ("noun", "base") and items[i].family == "sign":
        silence(items[i])
        return
    if family_at(items, i - 1) == "amount" and any(one.family in ("measure", "climate") for one in clause_at(items, i)):
        keep(items[i])


def _of_them(items: Sequence[Item], i: int) -> None:
    """Take "mealies in the crown of 203, 3 of them" as how many insects, and not as plants."""
    before = items[: max(0, i - 2)]
    pest = any(one.family == "sign" and one.meaning in PESTS for one in before)
    single = any(one.family in ("number", "nickname") for one in before)
    if pest and single and family_at(items, i - 1) == "number" and begins(items, i - 1) and ends(items, i + 1):
        keep(items[i - 1], items[i])


def _to_buy(items: Sequence[Item], i: int) -> None:
    """Take "buy pumice" as an errand."""
    if i == 0:
        items[i].family = "errand"


def _none_up(items: Sequence[Item], i: int) -> None:
    """Take "s13 none after 3 wks" as none up."""
    if (
        family_at(items, i - 1) == "sowing"
        and begins(items, i - 1)
        and (ends(items, i + 1) or low_at(items, i + 1) in THING_WORDS["so_far"])
    ):
        items[i].family, items[i].meaning = "clear", "clear"
        keep_to_the_end(items, i + 1)


def _roots_of(items: Sequence[Item], i: int) -> None:
    """Take "roots of 41 brown" as the plant of that label."""
    number = items[i + 1] if i + 1 < len(items) else None
    part = family_at(items, i - 1) in ("part", "sign") or low_at(items, i - 1) in THING_WORDS["_parts"]
    if number is None or number.family != "number" or number.meaning != "digits" or not part:
        return
    if family_at(items, i + 2) not in ("plants", "taxon", "kind", "number"):
        number.meaning = "label"


def _product_on(items: Sequence[Item], i: int) -> None:
    """Take "oil on the scale on 91", "sulphur on the cut, 118", "ipa on duchess" as treated with it."""
    product = items[i - 1] if i else None
    k = i + 1
    while family_at(items, k) in ("det", "refer"):
        k += 1
    hit = items[k] if k < len(items) else None
    if product is None or product.family != "product" or not begins(items, i - 1) or hit is None:
        return
    if any(one.family == "act" for one in clause_at(items, i)):
        return
    cut = hit.low in THING_WORDS["_wounds"]
    plant = hit.family in ("nickname", "number", "taxon", "place", "lot") and any(one.family == "sign" for one in items[k:])
    if cut or plant or (hit.family == "sign" and hit.meaning in PESTS):
        items[i].family, items[i].meaning, items[i].form = "act", "treated", "past"
        silence(*(one for one in items[i + 1 : k] if one.family == "refer" and hit.family == "sign"))
        if cut:
            keep(hit)


def _from_the_pod(items: Sequence[Item], i: int) -> None:
    """Take "8 seeds from the pod on duchess" as seed off that plant."""
    if i < 2 or family_at(items, i - 1) != "det" or not items[i - 2].means("prep", "from") or family_at(items, i + 1) != "prep":
        return
    if any(one.means("act", "seed_harvested") or one.low in THING_WORDS["_seed"] for one in items[:i]):
        silence(items[i - 1], items[i], items[i + 1])


def _first_one(items: Sequence[Item], i: int) -> None:
    """Take "first one up in s14" as one."""
    if items[i].family == "plants" and low_at(items, i - 1) in THING_WORDS["the_first"] and family_at(items, i + 1) == "act":
        items[i].family, items[i].meaning, items[i].value = "number", "word", 1.0


def _says(items: Sequence[Item], i: int) -> None:
    """Take "label on 12 says last repot 2022" as what stands on a label, and not as done."""
    label = next((k for k in range(i) if items[k].low in THING_WORDS["label_words"]), None)
    if (
        label is not None
        and any(one.family in ("act", "number") for one in items[i:])
        and not any(one.means("act", "named") for one in items)
    ):
        keep_to_the_end(items, label)


def _which_i_did(items: Sequence[Item], i: int) -> None:
    """Take "everything i repotted last week can have a drink" as which plants, and not as done again."""
    act = items[i + 1] if i + 1 < len(items) else None
    if (
        act is None
        or act.family != "act"
        or act.form != "past"
        or family_at(items, i - 1) not in ("refer", "plants", "state", "q")
    ):
        return
    last = i + 2 if family_at(items, i + 2) == "date" else i + 1
    if any(one.family in ("plan", "act", "nowater", "sign", "clear", "q", "light") for one in items[last + 1 :]):
        whose = items[i - 1]
        whose.family, whose.meaning = "state", act.meaning if act.meaning in ("repotted", "treated") else "new"
        keep(*items[i : last + 1])


def _asked_in_passing(items: Sequence[Item], i: int) -> None:
    """Take "mealy on 41? might be dust" as suspected."""
    sign = next((one for one in items[:i] if one.family == "sign"), None)
    goes_on = any(one.family not in ("query", "break", "stop") for one in items[i + 1 :])
    if sign is not None and goes_on and not any(one.family in ("act", "q") for one in items[:i]):
        sign.more = {**sign.more, "status": "suspected"} if not sign.more.get("status") else sign.more


def _no_more(items: Sequence[Item], i: int) -> None:
    """Take "no more sprays on bench 2 for 3 wks" as told, and not as sprayed; "no more mites" as gone."""
    behind = items[i + 1] if i + 1 < len(items) else None
    ruled = any(one.low in THING_WORDS["_of_all"] for one in items)  # "no more feed for anything": a standing rule
    if behind is not None and behind.means("act", "treated", "fed") and behind.form != "past" and not ruled:
        keep_to_the_end(items, i)
    elif behind is not None and behind.family == "sign" and behind.meaning in PESTS:
        items[i].kept = True


def _airing(items: Sequence[Item], i: int) -> None:
    """Take "took the lid off s13, airing" as no place."""
    if begins(items, i) and i > 0 and ends(items, i + 1):
        keep(items[i])


def _it_takes(items: Sequence[Item], i: int) -> None:
    """Take "see if it takes" as no offsets."""
    if family_at(items, i - 1) == "pron" or low_at(items, i - 1) in THING_WORDS["_it"]:
        keep(items[i])


def _clean_inside(items: Sequence[Item], i: int) -> None:
    """Take "cut above, clean inside" as the flesh, and not as free of pests."""
    if low_at(items, i + 1) in THING_WORDS["_inside"]:
        keep(items[i], items[i + 1])


def _wants(items: Sequence[Item], i: int) -> None:
    """Take "jan wants the spare haw" as a wish, and not as to be done."""
    if family_at(items, i - 1) == "person" and begins(items, i - 1):
        keep_to_the_end(items, i)


def _brushed_with(items: Sequence[Item], i: int) -> None:
    """Take "brushed meths into the axils of 41" as dabbed."""
    if family_at(items, i + 1) == "product":
        become(items[i], "treated", how="dab")


def _half_the_roots(items: Sequence[Item], i: int) -> None:
    """Take "cut half the roots off 88" as roots pruned."""
    roots = next((k for k in range(i + 1, min(i + 4, len(items))) if items[k].low in THING_WORDS["root_words"]), None)
    if roots is None or any(one.family == "act" for one in items[i + 1 : roots]) or items[i].family == "act":
        return
    items[i].family, items[i].meaning, items[i].form = "act", "root_pruned", "past"
    silence(*items[i + 1 : roots + 1])


def _out_of_its_pot(items: Sequence[Item], i: int) -> None:
    """Take "took 36 out of its pot" as one thing done."""
    if any(
        one.means("act", "unpotted") and one.low.startswith("out") for one in clause_at(items, i) if one.start > items[i].start
    ):
        silence(items[i])


def _let_loose(items: Sequence[Item], i: int) -> None:
    """Take "released cryptolaemus on the q shelf" as predators put out."""
    if items[i].means("act", "released") and any(one.more.get("how") == "predators" for one in clause_at(items, i)):
        silence(items[i])


def _when_it_was(items: Sequence[Item], i: int) -> None:
    """Ask which of the numbers is how many: "root mealy on 3 when repotting: 12, 15, 31"."""
    numbers = [one for one in items if one.family == "number" and one.meaning == "digits"]
    colon = any(one.family == "colon" for one in items[i:])
    if colon and len(numbers) > 2 and numbers[0].start < items[i].start and float(numbers[0].value or 0) == len(numbers) - 1:
        numbers[0].meaning = "word"  # how many, and no label


def _part_came(items: Sequence[Item], i: int) -> None:
    """Take "cutting from jan has rooted" as a cutting that came from a person."""
    person = family_at(items, i + 1) == "person"
    if person and items[i].family == "act" and any(one.means("act", "rooted", "failed", "died") for one in items[i + 1 :]):
        items[i].family, items[i].meaning = "kind", "cuttings" if items[i].means("act", "cutting_taken") else "offsets"


def _probably(items: Sequence[Item], i: int) -> None:
    """Take "31 is probably dead", "is probably mealy" as a hedge, and not as a name."""
    if items[i].means("act", "named") and family_at(items, i + 1) in ("sign", "act", "clear", "state"):
        items[i].family, items[i].meaning = "hedge", "maybe"
        if family_at(items, i - 1) == "number" and begins(items, i - 1):
            items[i - 1].meaning = "label"


def _cannot_see(items: Sequence[Item], i: int) -> None:
    """Take "bronzing on 12, cant see mites" as none seen, and not as a plant that is missing."""
    if items[i].family == "act" and family_at(items, i + 1) == "sign":
        items[i].family, items[i].meaning = "neg", "no"


def _going_over(items: Sequence[Item], i: int) -> None:
    """Take "gymnos going over" as flowers that fade, and not as looked over."""
    if items[i].family == "act" and ends(items, i + 1) and family_at(items, i - 1) in ("taxon", "nickname", "number"):
        items[i].family, items[i].meaning, items[i].more = "sign", "flowering", {"status": "cleared"}


def _stalk_cut(items: Sequence[Item], i: int) -> None:
    """Take "flower stalk on the haw cut off" as tidying, and not as a cutting."""
    if items[i].means("act", "cutting_taken") and any(one.means("sign", "budding", "flowering") for one in clause_at(items, i)):
        keep(items[i])


def _pests_taken(items: Sequence[Item], i: int) -> None:
    """Take "took the mealies off 41 with a brush" as taken off by hand."""
    k = i + 2 if family_at(items, i + 1) == "det" else i + 1
    pest = items[k] if k < len(items) else None
    if pest is not None and pest.family == "sign" and pest.meaning in PESTS and low_at(items, k + 1) in THING_WORDS["_off"]:
        become(items[i], "treated", how="hand")


def _pests_died(items: Sequence[Item], i: int) -> None:
    """Take "all mealies dead", "the mites on 12 are all dead", "dead mites" as pests that died, and not the plant."""
    if not items[i].means("act", "died"):
        return
    if family_at(items, i + 1) == "sign" and items[i + 1].meaning in PESTS:
        keep(items[i])
        return
    k = i - 1
    while k > 0 and items[k].family in BETWEEN:
        k -= 1
    if k < 0 or items[k].family != "sign" or items[k].meaning not in PESTS:
        return
    if any(one.family == "refer" for one in items[max(0, k - 2) : i]):
        items[k].more = {**items[k].more, "status": "cleared"}
    keep(items[i], *(one for one in items[k + 1 : i] if one.family in ("refer", "q")))


BETWEEN = frozenset("q light stop refer prep det number nickname taxon place lot part approx".split())


def _forecast(items: Sequence[Item], i: int) -> None:
    """Take "frost forecast, fleece over frame A" as why, where no degrees are said."""
    if not any(one.family in ("number", "amount", "range") for one in clause_at(items, i)):
        keep(items[i])


def _out_of_order(items: Sequence[Item], i: int) -> None:
    """Take "heater failed" as said of the heater."""
    if low_at(items, i - 1) in THING_WORDS["house_things"] and items[i].family != "prep":
        keep(items[i - 1], items[i])


def _in_a_pot_now(items: Sequence[Item], i: int) -> None:
    """Take "downpotted wonky, roots gone, now in a 7" as the pot."""
    potted = next((one for one in items[:i] if one.means("act", "potted", "repotted")), None)
    number = items[i + 2] if i + 2 < len(items) else None
    if number is None or potted is None or not begins(items, i) or family_at(items, i + 1) != "det" or number.family != "number":
        return
    if ends(items, i + 3) and 0 < float(number.value or 0) <= LARGEST_POT_CM:
        potted.more = {**potted.more, "pot_cm": f"{float(number.value or 0):g}"}
        silence(items[i], number)


def _so_long_clean(items: Sequence[Item], i: int) -> None:
    """Take "out of quarantine, 6 wks clean" as how long it was."""
    if i and items[i - 1].means("amount", "days") and begins(items, i - 1):
        keep(items[i - 1])


def _did_it(items: Sequence[Item], i: int) -> None:
    """Take "did bench 2 first thing, 91 was dry" as something done that is not said, and not as a question."""
    told = i == 0 and any(one.family == "comma" for one in items) and not any(one.family == "query" for one in items)
    if told and family_at(items, i + 1) in SET_STARTS - {"pron"} and items[i].sense("did"):
        items[i].become("did")
        next(one for one in items if one.family == "comma").family = "break"


def then_next(items: Sequence[Item], i: int) -> None:
    """Take "tray 3 sprayed, next weds", "…, next in 7" as done, and to be done again then."""
    before = clause_at(items, i - 1)
    done = any(one.family == "act" and one.form == "past" for one in before)
    planned = any(one.family in ("plan", "remind", "counter", "neg") for one in before)
    behind = items[i].family == "date" or family_at(items, i + 1) == "prep"
    if done and not planned and behind and family_at(items, i - 1) in ("comma", "dash") and low_at(items, i).startswith("next"):
        items[i - 1].family = "break"
        if low_at(items, i + 1) == "in" and family_at(items, i + 2) == "number" and ends(items, i + 3):
            days = items[i + 2]
            days.family, days.value, days.start = "date", DatePhrase("offset", days=int(days.value or 0)), items[i].start
            silence(items[i], items[i + 1])


_RULES: tuple[Rule, ...] = (
    _sun_shelf,
    _mealy_mix,
    _to_clean,
    _holding_off,
    _stood_in,
    _lost_track,
    _on_the_floor,
    _the_heater,
    _has_dried,
    _split_off,
    _fine_water,
    _did_it,
    _of_them,
    _forecast,
    _pests_died,
    _cannot_see,
    _going_over,
    _stalk_cut,
    _pests_taken,
    _probably,
    _out_of_its_pot,
    _let_loose,
    _when_it_was,
    _part_came,
    _says,
    _which_i_did,
    _asked_in_passing,
    _no_more,
    _airing,
    _it_takes,
    _clean_inside,
    _wants,
    _brushed_with,
    _half_the_roots,
    _roots_of,
    _product_on,
    _from_the_pod,
    _first_one,
    _to_buy,
    _none_up,
    _out_of_order,
    _in_a_pot_now,
    _so_long_clean,
    then_next,
)
BY_WORD = called_by("thing", _RULES, THING_WORDS)
