"""Turns of phrase about what was done, was not done or is to be done."""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.neighbours import SEPARATORS, Rule, begins, clause_at, family_at, low_at
from bot.notes.reading import PESTS
from bot.notes.turned_words import WORDS, ends, keep, silence

_DAYS = {word: int(row.removeprefix("every_")) for row, words in WORDS.items() if row.startswith("every_") for word in words}


def _forgot(items: Sequence[Item], i: int) -> None:
    """Take "forgot: repotted 77 last week" as said late, and not as left undone."""
    behind = items[i + 2 : i + 5]
    if family_at(items, i + 1) in SEPARATORS and any(one.family == "act" and one.form == "past" for one in behind):
        silence(items[i])


def _mine(items: Sequence[Item], i: int) -> None:
    """Take "in march i split the sedum", "i put 12 on the sill" as done: a verb whose past is written like its base."""
    act = items[i + 1] if i + 1 < len(items) else None
    if act is not None and act.family == "act" and act.form == "base" and act.low.split()[0] in WORDS["same_past"]:
        act.form = "past"


def _sat(items: Sequence[Item], i: int) -> None:
    """Take "sat the cuttings on the rack" as put there, and not as saturday."""
    named = family_at(items, i + 1) == "det" and family_at(items, i + 2) in (
        "kind",
        "taxon",
        "nickname",
        "plants",
        "lot",
        "refer",
    )
    placed = named and any(one.family in ("prep", "act") for one in items[i + 3 : i + 6])
    if items[i].family != "date" or not placed:
        return
    if any(one.family == "act" for one in clause_at(items, i)):
        silence(items[i])
    else:
        items[i].family, items[i].meaning, items[i].form, items[i].low = "act", "moved", "past", "put"


def _too_soon(items: Sequence[Item], i: int) -> None:
    """Take "91 split, watered too soon" as the cause of it, and not as water given today."""
    if family_at(items, i - 1) == "act" and items[i - 1].form == "past" and any(one.family == "sign" for one in items[: i - 1]):
        keep(items[i - 1], items[i])


def _to_somebody(items: Sequence[Item], i: int) -> None:
    """Take "gave the spare ario to wilma" as given, and not as offered."""
    spare = items[i + 1] if i + 1 < len(items) else None
    to = next((k for k in range(i + 2, min(i + 6, len(items))) if items[k].means("prep", "to")), None)
    if spare is None or not spare.means("act", "offered") or to is None or family_at(items, to + 1) != "person":
        return
    items[i].family, items[i].meaning, items[i].form = "act", "given", "past"
    silence(spare)


def _in_by(items: Sequence[Item], i: int) -> None:
    """Take "everything back in by friday" as a move that is planned."""
    if low_at(items, i + 1) in WORDS["deadline"] and family_at(items, i + 2) == "date":
        items[i].family, items[i].meaning, items[i].form = "act", "moved", "base"


def _one_in(items: Sequence[Item], i: int) -> None:
    """Take "1 in 3 germinated" as a share."""
    ends = family_at(items, i + 2) in ("act", "sign", "light")
    numbers = [items[k] for k in (i - 1, i + 1) if 0 <= k < len(items) and items[k].family == "number"]
    if len(numbers) < 2 or not ends or not begins(items, i - 1):
        return
    part, whole = (float(one.value or 0) for one in numbers)
    if 0 < part < whole <= 20:
        numbers[0].family, numbers[0].value = "fraction", round(part / whole, 3)
        silence(items[i], numbers[1])


def _off(items: Sequence[Item], i: int) -> None:
    """Take "9 off duchess, 5 rooted" as offsets taken; "2 off bench 1" is no plant's."""
    counted = family_at(items, i - 1) == "number" and begins(items, i - 1)
    parent = family_at(items, i + 1) == "nickname" or (family_at(items, i + 1) == "det" and family_at(items, i + 2) == "taxon")
    if counted and parent and not any(one.family == "act" for one in clause_at(items, i)):
        items[i].family, items[i].meaning, items[i].form = "act", "offsets_taken", "past"


def _of_grafts(items: Sequence[Item], i: int) -> None:
    """Take "2 grafts took, 1 came off", "grafts: 4 took" as united and failed."""
    if any(one.means("kind", "grafts") or one.means("act", "grafted") for one in items[:i]):
        failed = items[i].low in WORDS["came_away"]
        if failed and low_at(items, i + 1) in WORDS["off_it"]:
            silence(items[i + 1])
        elif failed or not (ends(items, i + 1) or family_at(items, i + 1) == "number"):
            return
        items[i].family, items[i].meaning, items[i].form = "act", "failed" if failed else "united", "past"


def _scraped(items: Sequence[Item], i: int) -> None:
    """Take "one scale on 41, scraped it off", "scraped the mealy off 41" as pests taken off by hand."""
    it = any(one.family == "sign" and one.meaning in PESTS for one in items[:i]) and family_at(items, i + 1) == "pron"
    pest = next((one for one in items[i + 1 : i + 4] if one.family == "sign"), None)
    product = any(one.family == "product" for one in clause_at(items, i))
    if (it or (pest is not None and pest.meaning in PESTS)) and not product and items[i].family in ("act", "word"):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "treated", "past", {"how": "hand"}


def _next_up(items: Sequence[Item], i: int) -> None:
    """Take "pot bound 63, next size up in spring" as a plan."""
    if any(one.family == "date" for one in items[i + 1 : i + 4]) and begins(items, i):
        items[i].form = "base"


def _no_water(items: Sequence[Item], i: int) -> None:
    """Take "unless it warms up no water" as an order to keep dry, though a condition stands before it."""
    if items[i].family == "stop" and items[i].sense("nowater") and any(one.family == "cond" for one in items[:i]):
        items[i].become("nowater")
        items[i].used = False


def _to_go(items: Sequence[Item], i: int) -> None:
    """Take "first of three, 2 to go" as what is left of a course."""
    if family_at(items, i - 1) == "number" and ends(items, i + 1):
        keep(items[i - 1], items[i])


def _when_done(items: Sequence[Item], i: int) -> None:
    """Take "a pup came off 203 when i moved it" as how it came, and not as a condition."""
    act = next((k for k in (i + 1, i + 2) if family_at(items, k) == "act" and items[k].form == "past"), None)
    if act is not None and family_at(items, i + 1) in ("act", "pron", "stop") and any(one.family == "act" for one in items[:i]):
        keep(*items[i : act + 1])


def _daily(items: Sequence[Item], i: int) -> None:
    """Take "check 41 daily" as every day."""
    if any(one.family == "act" and one.form == "base" for one in items[:i]):
        items[i].family, items[i].value = "every", _DAYS[items[i].low]


def _pieces(items: Sequence[Item], i: int) -> None:
    """Take "cut 3 arms off the colonel" as cuttings."""
    k = i + 2 if family_at(items, i + 1) in ("number", "det") else i + 1
    if low_at(items, k) in WORDS["pieces"] and low_at(items, k + 1) in WORDS["away_from"]:
        items[i].family, items[i].meaning, items[i].form = "act", "cutting_taken", "past"
        items[k].family, items[k].meaning = "kind", "cuttings"
        items[k + 1].family, items[k + 1].meaning = "prep", "from"


def _on_the_pest(items: Sequence[Item], i: int) -> None:
    """Take "alcohol on the mealy on 203" as a treatment and a find."""
    k = i + 2 if family_at(items, i + 1) == "det" else i + 1
    pest = items[k] if k < len(items) else None
    led = i and items[i - 1].family == "product" and not any(one.family == "act" for one in items[:i])
    if led and pest is not None and pest.family == "sign" and pest.meaning in PESTS:
        items[i].family, items[i].meaning, items[i].form = "act", "treated", "past"


def _none_given(items: Sequence[Item], i: int) -> None:
    """Take "tray 5 watered, tray 6 nothing" as left out, and not as a look."""
    named = family_at(items, i - 1) in ("place", "taxon", "nickname", "lot") and ends(items, i + 1)
    given = any(one.means("act", "watered", "fed", "misted") for one in items[:i])
    if named and given and not any(one.family == "sign" or one.means("act", "inspected", "treated") for one in items[:i]):
        items[i].family, items[i].meaning = "skipped", "skipped"


def _batch_of(items: Sequence[Item], i: int) -> None:
    """Take "new batch of grit mix, 20 l" as mix that was made."""
    k = i + 2 if family_at(items, i + 1) == "prep" else i + 1
    if family_at(items, k) == "mix" and not any(one.family == "act" for one in items[:i]):
        items[i].family, items[i].meaning, items[i].form = "act", "mixed", "past"
        silence(*items[i + 1 : k], *(one for one in items[:i] if one.family in ("state", "adj", "det")))


def _stands(items: Sequence[Item], i: int) -> None:
    """Take "tray 6 is on the kitchen sill now" as where it was put."""
    place = next((one for one in items[i + 1 : i + 4] if one.family == "place"), None)
    subject = items[i - 1] if i else None
    named = subject is not None and subject.family in ("place", "taxon", "nickname", "number", "lot")
    last = items[-1].low in WORDS["from_now"] or low_at(items, i + 1) in WORDS["from_now"]
    other = any(one.family in ("act", "sign", "query", "q") and one is not items[i] for one in items)
    if named and place is not None and family_at(items, i + 1) in ("prep", "stop") and last and not other:
        items[i].family, items[i].meaning, items[i].form, items[i].low = "act", "moved", "past", "put"
        if subject is not None and subject.family == "number":
            subject.meaning = "label"


def _drench(items: Sequence[Item], i: int) -> None:
    """Take "if the mealy is still there i will drench it" as a treatment."""
    pest = any(one.family == "sign" and one.meaning in PESTS and not one.more.get("status") for one in items[:i])
    if pest and items[i].means("act", "watered"):
        items[i].meaning, items[i].more = "treated", {"how": "drench"}


def _turned(items: Sequence[Item], i: int) -> None:
    """Take "turned brown at the base" as how it looks, and not as a plant that was turned."""
    if family_at(items, i + 1) in ("adj", "sign") and (ends(items, i + 2) or family_at(items, i + 2) in ("prep", "date", "part")):
        items[i].family, items[i].meaning = "light", "found"


def _from_day(items: Sequence[Item], i: int) -> None:
    """Take "enough rest, water from monday" as planned."""
    act = items[i - 1] if i else None
    if family_at(items, i + 1) == "date" and act is not None and act.family == "act" and act.form != "past":
        act.form = "base"
        silence(items[i])


def _seed_tray(items: Sequence[Item], i: int) -> None:
    """Take "soaked the seed trays" as trays that were watered, and not as seed that was soaked."""
    if family_at(items, i + 1) in ("numbered", "somewhere", "plants", "pot") or low_at(items, i + 1) in WORDS["seed_trays"]:
        items[i].meaning, items[i].more = "watered", {"how": "soak"}
        items[i + 1].family, items[i + 1].meaning = "kind", "seed_pots"


def _but_not(items: Sequence[Item], i: int) -> None:
    """Take "watered but not fed" as a feed that was left out."""
    if family_at(items, i + 1) == "act" and items[i + 1].form == "past":
        items[i].family, items[i].meaning = "neg", "undone"


def _out(items: Sequence[Item], i: int) -> None:
    """Take "aloes out for the summer", "melos back in" as a move."""
    named = i and items[i - 1].family in ("taxon", "nickname", "lot") and begins(items, i - 1)
    if named and all(one.used or one.family in ("date", "break", "stop") for one in items[i + 1 :]):
        items[i].family, items[i].meaning, items[i].form = "act", "moved", "past"


def _unpacked(items: Sequence[Item], i: int) -> None:
    """Take "unpacked the parcel: 3 parodias" as plants that came in."""
    if begins(items, i) and any(one.low in WORDS["parcels"] for one in items[i + 1 : i + 3]):
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"
        silence(*items[i + 1 : next((k for k in range(i + 1, len(items)) if items[k].family in SEPARATORS), i + 1) + 1])


def _came_away(items: Sequence[Item], i: int) -> None:
    """Take "5 offsets came away" as offsets that are off, and not as plants that came in."""
    away = next((one for one in items[i : i + 2] if WORDS["away"] & set(one.low.split())), None)
    if away is not None and any(one.means("kind", "offsets") for one in clause_at(items, i)):
        silence(away)
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "offsets_taken", "past", {}


def _potted_dry(items: Sequence[Item], i: int) -> None:
    """Take "77 potted dry", "repotted 63 dry" as how it was potted, and not as a pot that has dried."""
    k = i - 2 if family_at(items, i - 1) in ("number", "nickname", "taxon") else i - 1
    if k >= 0 and items[k].means("act", "potted", "repotted") and ends(items, i + 1):
        keep(items[i])


RULES: tuple[Rule, ...] = (
    _forgot,
    _mine,
    _sat,
    _too_soon,
    _to_somebody,
    _in_by,
    _one_in,
    _off,
    _of_grafts,
    _scraped,
    _next_up,
    _no_water,
    _to_go,
    _when_done,
    _daily,
    _pieces,
    _on_the_pest,
    _none_given,
    _batch_of,
    _stands,
    _drench,
    _turned,
    _from_day,
    _seed_tray,
    _but_not,
    _out,
    _unpacked,
    _came_away,
    _potted_dry,
)
