"""Turns of phrase about care, finds and readings: purposes, coordinated adjectives, parts of a plant, measures without a unit.

Run with the rules of `turns`; which words call which rule is in `care.csv` ("care ...").
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.amounts import Amount
from bot.notes.framing import become
from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, Rule, begins, clause_at, family_at, low_at, set_follows
from bot.notes.reading import PESTS
from bot.notes.turned_words import WORDS, called_by, degrees, ends, keep, keep_to_the_end, silence

_WORDS = {**WORDS, **{key: frozenset(words) for key, words in listed("care").items()}}
NAMED = frozenset(("place", "taxon", "nickname", "lot", "number", "somewhere", "range", "sowing", "kind"))


def _purpose(items: Sequence[Item], i: int) -> None:
    """Take "hosed the floor to get the humidity up" as what it was done for."""
    done = any(one.family == "act" and one.form in ("past", "noun") for one in items[:i])
    planned = any(one.family in ("plan", "remind", "counter") for one in items[:i])
    if done and not planned and low_at(items, i + 1) in _WORDS["purposes"]:
        keep_to_the_end(items, i)


def _and_so(items: Sequence[Item], i: int) -> None:
    """Take "brown and squishy" as one look: the adjective says nothing beside the sign."""
    if family_at(items, i - 1) == "adj" and family_at(items, i + 1) == "sign" and family_at(items, i - 2) in ("light", "stop"):
        silence(items[i - 1], items[i])


def _on_the_flower(items: Sequence[Item], i: int) -> None:
    """Take "aphids on the flower stalk of 55" as where they sit, and not as flowers."""
    led = i - 1 if family_at(items, i - 1) == "prep" else i - 2 if family_at(items, i - 1) == "det" else -1
    pest = any(one.family == "sign" and one.meaning in PESTS for one in clause_at(items, i) if one.start < items[i].start)
    if (
        led > 0
        and items[led].family == "prep"
        and pest
        and items[i].family == "sign"
        and family_at(items, i + 1) in ("prep", *NAMED)
    ):
        items[i].family, items[i].meaning = "part", "-"


def _not_yet(items: Sequence[Item], i: int) -> None:
    """Take "fed bench 1. top shelf not yet" as left out."""
    given = any(one.means("act", "watered", "fed", "misted", "treated", "turned") for one in items[:i])
    if given and family_at(items, i - 1) in NAMED and ends(items, i + 1):
        items[i].family, items[i].meaning = "skipped", "skipped"


def _since_then(items: Sequence[Item], i: int) -> None:
    """Take "scorch on 41 after i took the shading down" as when it came, and not as done now."""
    k = i + 2 if low_at(items, i + 1) in _WORDS["mine"] else i + 1
    found = any(one.family == "sign" for one in items[:i])
    verb = items[k] if k < len(items) else None
    mine = k == i + 2 and verb is not None and verb.family in ("act", "word", "light")
    if found and verb is not None and (mine or (verb.family == "act" and verb.form in ("past", "ing"))):
        keep_to_the_end(items, i)


def _wet_too(items: Sequence[Item], i: int) -> None:
    """Take "the rain got in and wet the copis" as wetted, and not as watered."""
    if any(one.means("act", "wetted") for one in items[:i]) and set_follows(items, i):
        items[i].family, items[i].meaning, items[i].form = "act", "wetted", "past"
        items[i].more = next(one.more for one in items[:i] if one.means("act", "wetted"))


def _read_off(items: Sequence[Item], i: int) -> None:
    """Take "the thermometer in frame A showed 2 degrees" as what it read."""
    if any(one.family == "climate" for one in items[:i]):
        silence(items[i])


def _bare_measure(items: Sequence[Item], i: int) -> None:
    """Take "height 12.5, width 8", "34 cm tall, 11 across" as centimetres [common practice]."""
    named = items[i].low in _WORDS["measured"]
    k = i + 1
    while named and family_at(items, k) in ("light", "stop", "colon", "prep", "equals", "approx"):
        k += 1
    behind = named and family_at(items, k) == "number"
    if not behind:
        k = i - 1
    already = any(one.means("amount", "cm") or (one.means("measure") and one is not items[i]) for one in items[:k])
    if family_at(items, k) != "number" or not (behind or (already and family_at(items, k - 1) in SEPARATORS)):
        return
    number = items[k]
    measure = items[i].sense("measure")
    if measure is None or number.value is None or number.meaning == "signed":
        return
    items[i].become("measure", measure.meaning)
    number.value = Amount(float(number.value), "cm", number.low)
    number.family, number.meaning = "amount", "cm"


def _by_so_much(items: Sequence[Item], i: int) -> None:
    """Take "turned 41 and 42 by 180" as how far, and not as a plant."""
    turned = any(one.means("act", "turned") for one in items[:i])
    if turned and family_at(items, i + 1) in ("number", "fraction", "amount") and ends(items, i + 2):
        silence(items[i], items[i + 1])


def _so_that(items: Sequence[Item], i: int) -> None:
    """Take "turned the shelf so the other side gets sun" as what it was done for."""
    behind = []
    for one in items[i + 1 :]:
        if one.family in SEPARATORS:
            break
        behind.append(one)
    done = any(one.family == "act" and one.form in ("past", "noun") for one in items[:i])
    if done and any(one.low in _WORDS["results"] for one in behind[1:]):
        keep_to_the_end(items, i + 1)


def _from_there(items: Sequence[Item], i: int) -> None:
    """Take "77 from the sill to frame B" as the plant of that label."""
    number = items[i - 1] if i else None
    rest = [one for one in clause_at(items, i) if one.start > items[i].start]
    there = [k for k, one in enumerate(rest) if one.means("prep", "to")]
    placed = (
        there and any(one.family in PLACES for one in rest[: there[0]]) and any(one.family in PLACES for one in rest[there[0] :])
    )
    moved = i > 1 and items[i - 2].means("act", "moved")
    if number is not None and number.family == "number" and placed and (i == 1 or moved or begins(items, i - 1)):
        number.meaning = "label"


def _out_of(items: Sequence[Item], i: int) -> None:
    """Take "taken out of the propagator" as where it was."""
    if (
        family_at(items, i - 1) == "act"
        and items[i - 1].means("act", "moved")
        and items[i - 1].low.endswith(tuple(_WORDS["ends out"]))
    ):
        items[i].family, items[i].meaning, items[i].low = "prep", "from", "out of"


def _now_on(items: Sequence[Item], i: int) -> None:
    """Take "taken out of the propagator, now on the top shelf" as where the same plants went."""
    moved = any(one.means("act", "moved", "unpotted", "potted", "repotted", "released") for one in items[:i])
    if moved and begins(items, i) and items[i].family == "act":
        items[i].family, items[i].meaning, items[i].low = "prep", "to", "to"


def _no_sunday(items: Sequence[Item], i: int) -> None:
    """Take "netting up against the sun" as no day."""
    led = i - 1 if family_at(items, i - 1) == "det" else i
    if items[i].family == "date" and (led < i or " " in items[i].low):
        silence(items[i])


def _minus(items: Sequence[Item], i: int) -> None:
    """Take "minus 3 coming", "fleece on, minus 4 tonight" as degrees, and not as plants left out."""
    number = items[i + 1] if i + 1 < len(items) else None
    if number is None or items[i].family != "except" or number.family != "number" or number.value is None:
        return
    behind = items[i + 2] if i + 2 < len(items) else None
    if behind is None or not (behind.low in _WORDS["cold ahead"] or behind.low in _WORDS["cold there"]):
        return
    silence(items[i])
    number.value, number.meaning = -float(number.value), "signed"
    if behind.low in _WORDS["cold ahead"]:
        behind.family, behind.meaning = "climate", "forecast"


def _down_to(items: Sequence[Item], i: int) -> None:
    """Take "frame B down to 0.5 last night", "up to 38 in here" as a thermometer."""
    number = items[i + 1] if i + 1 < len(items) else None
    clause = [one for one in clause_at(items, i) if one.start < items[i].start]
    other = any(one.family in ("act", "sign", "sizes") for one in clause)
    if number is None or items[i].family == "climate" or other or not items[i].sense("climate"):
        return
    led = not clause or clause[-1].family in ("place", "somewhere", "stop", "light", "number", "word", "date")
    told = not ends(items, i + 2) and (items[i + 2].family == "date" or items[i + 2].low in _WORDS["cold there"])
    signed = number.meaning == "signed" or (number.family == "amount" and number.meaning in ("c", "f", "degree"))
    if led and (signed or (number.family == "number" and told)):
        items[i].become("climate")


def _dealt_with(items: Sequence[Item], i: int) -> None:
    """Take "1 mealy on 15, removed" as a pest taken off by hand."""
    signs = [k for k in range(i) if items[k].family == "sign" and items[k].meaning in PESTS]
    pest = signs and not items[signs[-1]].more.get("status") and family_at(items, signs[-1] - 1) != "neg"
    alone = begins(items, i) and (ends(items, i + 1) or (family_at(items, i + 1) == "pron" and ends(items, i + 2)))
    if pest and alone:
        become(items[i], "treated", how="hand")


def _not_bought(items: Sequence[Item], i: int) -> None:
    """Take "forgot to buy some" as an errand, and not as plants that were not bought."""
    if family_at(items, i - 1) == "neg" or family_at(items, i - 1) == "counter":
        silence(items[i - 1])
        keep_to_the_end(items, i)


def _all_the_mix(items: Sequence[Item], i: int) -> None:
    """Take "washed all the soil away" as soil, and not as all plants."""
    if family_at(items, i + 1) == "mix" and items[i].family == "refer":
        silence(items[i])


def _down_from(items: Sequence[Item], i: int) -> None:
    """Take "812 g, down from 840" as what it was before."""
    measured = any(one.family == "measure" for one in items[:i])
    if measured and low_at(items, i - 1) in _WORDS["compared"] and family_at(items, i + 1) in ("number", "amount"):
        items[i].family = items[i - 1].family = items[i + 1].family = "word"
        items[i - 1].kept = items[i].kept = items[i + 1].kept = True


def _getting(items: Sequence[Item], i: int) -> None:
    """Take "lithops getting their first drink", "nights are getting cold" as no plants that came in."""
    given = any(one.means("act", "watered", "fed", "misted") and one.form != "past" for one in items[i + 1 : i + 5])
    grown = low_at(items, i + 1).endswith("er") and family_at(items, i + 1) in ("word", "adj")  # "that is getting bigger"
    if given or grown or (family_at(items, i - 1) == "light" and family_at(items, i + 1) in ("word", "adj", "stop", "climate")):
        items[i].family, items[i].meaning = "light", "found"


def _dry_till(items: Sequence[Item], i: int) -> None:
    """Take "conos now dry till july" as kept dry till then."""
    if items[i].family == "sign" and family_at(items, i + 1) == "till" and family_at(items, i - 1) in ("stop", "light", *NAMED):
        items[i].family, items[i].meaning = "nowater", "dry"


def _as_long(items: Sequence[Item], i: int) -> None:
    """Take "keep 118 dry while the base calluses" as how long."""
    if any(one.family == "nowater" for one in items[:i]) and family_at(items, i + 1) in ("det", "pron", "part"):
        items[i].family, items[i].meaning = "till", "till"


def _gave_one(items: Sequence[Item], i: int) -> None:
    """Take "gave 41 a quick sip" as the plant of that label: so many are not given one drink."""
    number = items[i + 1] if i + 1 < len(items) else None
    given = any(one.means("act", "watered", "fed", "misted", "turned") for one in items[i + 2 : i + 6])
    if number is None or number.family != "number" or number.value is None or not given:
        return
    if float(number.value) >= LEAST_LABEL and items[i + 2].low.split()[0] in _WORDS["an"]:
        number.meaning = "label"


def _cleared_off(items: Sequence[Item], i: int) -> None:
    """Take "cleared moss off tray 1" as cleaning."""
    if items[i + 1 : i + 2] and items[i + 1].means("sign", "algae", "webbing"):
        become(items[i], "cleaned")
        keep(items[i + 1])


def _high(items: Sequence[Item], i: int) -> None:
    """Take "14 cm high" as a height."""
    if i and items[i - 1].means("amount", "cm"):
        items[i].family, items[i].meaning = "measure", "height"


def _none_on(items: Sequence[Item], i: int) -> None:
    """Take "mites on 41, none on 42" as the same sign, absent there: only what stands behind it is free of it."""
    seen = next((one for one in reversed(items[:i]) if one.family == "sign"), None)
    told = seen is not None and not seen.more.get("status") and any(one.family in NAMED for one in items[:i])
    denied = seen is not None and any(
        one.family == "neg" and one.start < seen.start for one in clause_at(items, items.index(seen))
    )
    if seen is None or not told or denied or not begins(items, i) or family_at(items, i + 1) != "prep":
        return
    if not any(one.means("act", "inspected") for one in items[:i]):
        items[i].family, items[i].meaning, items[i].more = "sign", seen.meaning, {"status": "absent"}


def _first_since(items: Sequence[Item], i: int) -> None:
    """Take "getting their first drink since october" as given now."""
    act = next((one for one in items[max(0, i - 2) : i] if one.means("act", "watered", "fed") and one.form == "noun"), None)
    first = any(one.low.split()[0] in _WORDS["the first"] for one in items[:i])
    if act is not None and first and family_at(items, i + 1) == "date":
        act.form = "past"
        keep(items[i], items[i + 1])


def _tonight(items: Sequence[Item], i: int) -> None:
    """Take "-2 tonight" as a forecast, and not as a reading of last night."""
    degrees = items[i - 1] if i else None
    cold = degrees is not None and (degrees.meaning == "signed" or degrees.means("amount", "c", "f", "degree"))
    if cold and not any(one.means("act", "heated") or one.means("climate", "set") for one in items[:i]):
        items[i].family, items[i].meaning = "climate", "forecast"


def _still_so_hot(items: Sequence[Item], i: int) -> None:
    """Take "vents wide open, still 33" as degrees, and not as a plant."""
    air = any(one.means("act", "vented", "heated", "damped_down") for one in items[:i])
    number = items[i + 1] if i + 1 < len(items) else None
    if number is None or number.family != "number" or number.value is None:
        return
    if air and begins(items, i) and ends(items, i + 2):
        degrees(number)


def _round_of(items: Sequence[Item], i: int) -> None:
    """Take "sprayed with abamectin, round 1 of 3" as a step of a course."""
    if any(one.means("act", "treated") for one in items[:i]) and family_at(items, i + 1) in ("number", "ratio"):
        silence(items[i])


PLACES = frozenset(("place", "somewhere", "numbered"))


_RULES: tuple[Rule, ...] = (
    _still_so_hot,
    _round_of,
    _tonight,
    _none_on,
    _first_since,
    _not_bought,
    _all_the_mix,
    _down_from,
    _getting,
    _dry_till,
    _as_long,
    _gave_one,
    _cleared_off,
    _high,
    _by_so_much,
    _so_that,
    _from_there,
    _out_of,
    _now_on,
    _no_sunday,
    _minus,
    _down_to,
    _dealt_with,
    _purpose,
    _and_so,
    _on_the_flower,
    _not_yet,
    _since_then,
    _wet_too,
    _read_off,
    _bare_measure,
)
BY_WORD = called_by("care", _RULES, _WORDS)
