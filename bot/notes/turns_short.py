"""Turns of phrase of notes that say little: moves without a verb of their own, plans of a move, counts told without a noun.

Run with the rules of `turns`; the words that call a rule stand in a row "turn _name" of `english/terse.csv`.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.framing import become
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, SET_STARTS, Rule, begins, clause_at, family_at, low_at
from bot.notes.tokens import EPITHET_ENDINGS
from bot.notes.turned_words import degrees, ends, keep, silence

ROWS = {key: frozenset(words) for key, words in listed("terse").items()}
PLACES = frozenset(("place", "somewhere", "numbered"))
AHEAD = frozenset(("plan", "remind"))


def _place_behind(items: Sequence[Item], i: int) -> bool:
    """Return whether a place follows, with nothing but "to the" before it, or behind the plants that go there."""
    for one in items[i + 1 :]:
        if one.family in PLACES:
            return True
        if one.family in SEPARATORS - {"sep"} or one.family not in (*SET_STARTS, "prep", "stop", "sep"):
            return False
    return False


def _goes(items: Sequence[Item], i: int) -> None:
    """Take "41 and 43 must go to frame B tomorrow" as a move that is planned."""
    planned = family_at(items, i - 1) in AHEAD or (family_at(items, i - 2) in AHEAD and items[i - 1].means("prep", "to"))
    if planned and items[i].family != "act" and family_at(items, i + 1) in ("prep", *PLACES) and _place_behind(items, i):
        become(items[i], "moved", "base")


def _to_put(items: Sequence[Item], i: int) -> None:
    """Take "remind me to put the aloes outdoors" as a move that is planned; "put 31 in a 9 cm pot" pots."""
    led = family_at(items, i - 1) in AHEAD
    alone = not any(one.family in ("act", "mix", "pot", "potsize") for one in clause_at(items, i) if one is not items[i])
    if led and alone and family_at(items, i + 1) in SET_STARTS and _place_behind(items, i):
        become(items[i], "moved", "base")


def _came_by(items: Sequence[Item], i: int) -> None:
    """Take "Hollis came by and ..." as a visit, and not as plants that came in."""
    visits = family_at(items, i - 1) == "person" and low_at(items, i + 1) in ROWS["_visits"]
    if visits and (i + 2 >= len(items) or items[i + 2].family in (*SEPARATORS, "date", "stop", "prep")):
        silence(items[i], items[i + 1])


def _gave_them(items: Sequence[Item], i: int) -> None:
    """Take "wilma was here, gave her 12 and 15" as given to wilma, who was named before; "hollis gave me 41" came in."""
    them = items[i + 1] if i + 1 < len(items) else None
    before = [k for k in range(i) if items[k].family == "person"]
    if them is None or them.low not in ROWS["_them"] or not items[i].means("act", "given") or not before:
        return
    who = items[before[-1]]
    them.family, them.meaning, them.low = who.family, who.meaning, who.low
    if not any(one.family == "act" for one in items[before[-1] + 1 : i]):
        silence(who)


def _read_off(items: Sequence[Item], i: int) -> None:
    """Take "31 on the thermometer in frame A", "38 in the greenhouse at noon" as degrees."""
    clause = clause_at(items, i)
    led = items[i - 2] if family_at(items, i - 1) == "det" else items[i - 1] if i else None
    if led is None or led.low not in ROWS["_read_at"]:
        return
    numbers = [one for one in clause if one.family == "number"]
    told = any(
        one.family in ("act", "sign", "amount", "climate", "taxon", "kind") for one in clause if one.start < items[i].start
    )
    if len(numbers) != 1 or told or numbers[0] is not clause[0] or not -20 <= float(numbers[0].value or 0) <= HOTTEST_C:
        return
    degrees(numbers[0])
    silence(items[i], *(one for one in items[i - 1 : i] if one.low in ROWS["_at"]))


def _kept_at(items: Sequence[Item], i: int) -> None:
    """Take "propagator at 24" as degrees; "tray 3 at 9" may be an hour."""
    number = items[i + 1] if i + 1 < len(items) else None
    room = items[i - 1] if i else None
    if (
        number is None
        or room is None
        or not number.means("number", "digits")
        or not room.low.split()[-1:]
        or not ends(items, i + 2)
    ):
        return
    heated = bool(ROWS["_heated"] & {room.low, room.meaning.lower()})
    first = begins(items, i - 1) or (family_at(items, i - 2) == "det" and begins(items, i - 2))
    if heated and first and LEAST_KEPT_C <= float(number.value or 0) <= HOTTEST_C:
        degrees(number)
        silence(items[i])


def _lowest(items: Sequence[Item], i: int) -> None:
    """Take "minimum in the greenhouse last night minus 1" as a thermometer, its sign a word."""
    k = next((k for k in range(i + 1, min(i + 7, len(items))) if items[k].family == "number"), None)
    if k is None or not items[i].sense("climate") or not begins(items, i) or not ends(items, k + 1):
        return
    between = items[i + 1 : k]
    if any(one.family not in (*PLACES, "prep", "det", "date", "stop", "except", "q", "light", "climate") for one in between):
        return
    items[i].become("climate")
    if between and between[-1].family == "except":
        silence(between[-1])
        items[k].value, items[k].meaning = -float(items[k].value or 0), "signed"


def _name(items: Sequence[Item], i: int) -> int:
    """Return where a botanical name that begins at `i` ends, `i` where none does."""
    k = i + 1 if family_at(items, i) == "taxon" else i
    epithet = k < len(items) and items[k].family == "word" and items[k].form == "new" and items[k].low.endswith(EPITHET_ENDINGS)
    return k + 1 if epithet else k


def _other_name(items: Sequence[Item], i: int) -> None:
    """Take "203 is not schwarzii, it is bombycina", "88 is not a mamm but a parodia" as what it is called now."""
    copula = items[i - 1] if i > 1 else None
    if copula is None or copula.family not in ("q", "light") or family_at(items, i - 2) not in ("number", "nickname"):
        return
    first = i + 1 + (family_at(items, i + 1) == "det")
    k = turn = _name(items, first)
    while family_at(items, k) in ("comma", "sep", "pron", "q", "det", "light"):
        k += 1
    after = _name(items, k)
    if len({first, turn, k, after}) < 4 or not (ends(items, after) or family_at(items, after) == "accto"):
        return
    become(copula, "named", "noun")
    copula.low = "is a"
    silence(*items[i:k])


def _praise(items: Sequence[Item], i: int) -> None:
    """Take "she was very happy", "lovely scent" as no state of the plants."""
    one = items[i]
    if not one.means("sign", "healthy"):
        return
    clause = clause_at(items, i)
    plants = any(other.family in SET_STARTS - {"det", "pron", "adj"} for other in clause if other is not one)
    people = any(other.low in ROWS["_people"] or other.family == "person" for other in clause if other.start < one.start)
    of_it = begins(items, i) and (low_at(items, i + 1) in ROWS["_praised"] or family_at(items, i + 1) == "adj")
    if not plants and (people or of_it):
        keep(one, *(other for other in clause if other.family in ("word", "adj") and other.start > one.start))


def _give(items: Sequence[Item], i: int) -> None:
    """Take "give the mamms their first water on saturday" as still to be done."""
    act = next((one for one in items[i + 1 : i + 8] if one.family in (*SEPARATORS, "act")), None)
    if begins(items, i) and act is not None and act.family == "act" and act.form == "noun":
        act.form = "base"


def _was_before(items: Sequence[Item], i: int) -> None:
    """Take "60: 3 heads, was 2", "12 cm tall, was 10 in march" as what it was then."""
    measured = any(one.family == "measure" or one.means("act", "germinated") for one in items[:i])
    figure = items[i + 1] if i + 1 < len(items) else None
    if (
        figure is not None
        and figure.family == "number"
        and family_at(items, i + 2) == "comma"
        and low_at(items, i + 3) in ROWS["_now"]
    ):
        keep(items[i], figure)  # "s12 was 14, now 20 up"
        silence(items[i + 2], items[i + 3])
        return
    if not measured or figure is None or not begins(items, i) or not i or figure.family not in ("number", "amount"):
        return
    k = i + 2
    while family_at(items, k) in ("date", "stop", "prep", "det") or low_at(items, k) in ROWS["_then"]:
        k += 1
    if ends(items, k):
        keep(*items[i:k])


def _looks(items: Sequence[Item], i: int) -> None:
    """Take the number in "41 looks lovely" as one plant's."""
    number = items[i - 1] if i else None
    if number is not None and number.means("number", "digits") and begins(items, i - 1) and float(number.value or 0) > 1:
        number.meaning = "label"


def _of_quarantine(items: Sequence[Item], i: int) -> None:
    """Take "released 60 from q" as said twice."""
    if any(one.means("act", "released") for one in items[:i]) and family_at(items, i - 1) == "prep":
        silence(items[i])


HOTTEST_C, LEAST_KEPT_C = 55, 13  # project default: no house is hotter; below, "at 9" may be an hour
_MORE = (_praise, _give, _was_before, _looks, _of_quarantine)
RULES: tuple[Rule, ...] = (_goes, _to_put, _came_by, _gave_them, _read_off, _kept_at, _lowest, _other_name, *_MORE)
