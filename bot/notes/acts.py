"""Things done: the event, its details, and whether it can be written as it stands."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from bot.notes.clauses import Clause
from bot.notes.details import (
    TOTALS,
    batch_behind,
    cause_of,
    destinations,
    name_of,
    people_of,
    put_kinds,
    read_details,
    roots_behind,
    roots_only,
)
from bot.notes.heads import Phrase
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import PESTS, Entry, Selection
from bot.notes.selections import Said, gather
from bot.notes.talk import Talk, chosen
from bot.notes.tallies import all_moved, crossed, each_cause, set_point, sized_pairs, swap_in, swap_out, tally
from bot.notes.weather import temperature

HOUSE = frozenset("heated vented damped_down shaded unshaded covered uncovered mixed cleaned seed_soaked".split())
COMES_IN = frozenset("acquired offsets_taken cutting_taken divided germinated seed_harvested sown mixed".split())
ONE = "the "  # what one plant is described with: "the blue one", not "seeds"
GRAVE = frozenset("died missing given discarded released".split())
ROTTEN = ("mush", "rot", "dead", "dying")
REFERRED = frozenset("rooted united failed potted set_to_dry washed unpotted germinated pricked_out".split())
TALLIED = ("climate", "ratio", "open", "close", "sign", "number", "neg", "clear")
_WORDS = {key: frozenset(words) for key, words in listed("spoken").items()}
MACHINES = _WORDS["machines"]
UNGRAFTED = frozenset(("cuttings", "offsets", "leaves"))  # they take by rooting
OFFSPRING = frozenset("offsets cuttings leaves grafts seedlings".split())


def event(clause: Clause, talk: Talk) -> None:
    """Write the event of a clause whose head is an act."""
    head = clause.head
    assert head is not None
    people = clause.every("person")
    act = _taken_off(clause, _with_people(clause, _act(clause, head), people))
    if _no_event(clause, talk, act) or (act == "heated" and set_point(clause, talk)):
        return
    if act in ("potted", "repotted") and sized_pairs(clause, talk, act, dict(head.more)):
        return
    details: dict[str, Any] = {key: float(value) if key in ("price", "pot_cm") else value for key, value in head.more.items()}
    read_details(clause, act, details)
    batch_behind(clause, talk.items, act, details)
    if act == "acquired" and "state" not in details and any("bare root" in one.low for one in clause.phrases()):
        details["state"] = "bare_root"
    _price(clause, head, details)
    if act in ("germinated", "died"):
        clause.tally = [one for one in clause.elements() if isinstance(one, Phrase) or one.family in TALLIED]
    put_kinds(clause, act, clause.phrases(), details)
    said = gather(clause, talk, act)
    if "_ratio" in details:
        said.sets.append(details.pop("_ratio"))
    roots_behind(act, said, details)
    destinations(act, said, details)
    if act == "pollinated" and head.low.startswith("self"):
        details["by"] = "self"
    if act == "named":
        name_of(clause, talk, details)
        for one in said.sets:
            one.pop("excluded", None)  # "echinopsis, not lobivia": the name that it has not
            if "labels" in one or "nicknames" in one:
                one.pop("taxa", None)
        said.sets = [one for one in said.sets if one]
    people_of(clause, act, people, details, said, talk)
    cause_of(clause, act, details, talk)
    roots_only(clause, act, said)
    talk.rules.append(f"event: {head.low!r} is {act}")
    if _several(clause, talk, act, said, details):
        return
    sets: list[Selection | None] = list(said.selections()) or [None]
    _write(clause, talk, act, details, sets)
    _ask(clause, talk, act, said, sets, details)


def _price(clause: Clause, head: Item, details: dict[str, Any]) -> None:
    """Take the bare number behind "for" as the price of what was sold: "sold 12 to ana for 5"."""
    if not head.low.startswith(("sold", "sell", "bought", "buy")) or "price" in details:
        return
    price = next((one for one in clause.phrases() if one.prep == "for" and one.bare), None)
    if price is not None:
        details["price"] = float(price.fields["labels"][0])
        price.used = True


def _several(clause: Clause, talk: Talk, act: str, said: Said, details: dict[str, Any]) -> bool:
    """Write the clauses that hold several events; False where the clause holds one."""
    if act == "pollinated":
        return crossed(clause, talk)
    if act == "germinated":
        return tally(clause, talk)
    if act == "died":
        return each_cause(clause, talk)
    if act == "given":
        return swap_out(clause, talk, details)
    if act == "acquired":
        swap_in(clause, talk, said, details)
        return False
    return act == "moved" and all_moved(clause, talk, said, details)


def _taken_off(clause: Clause, act: str) -> str:
    """Turn a cover that comes off into its opposite: "took the shade netting off"."""
    head = clause.head
    if head is None or act not in ("shaded", "covered") or head.form != "noun":
        return act
    off = any(one.low.startswith(COMES_OFF) if isinstance(one, Phrase) else one.low in AWAY for one in clause.elements())
    return {"shaded": "unshaded", "covered": "uncovered"}[act] if off else act


AWAY = frozenset(listed("spoken")["cover_away"])
COMES_OFF = tuple(f"{one} " for one in AWAY)


def _no_event(clause: Clause, talk: Talk, act: str) -> bool:
    """Return whether the words only sound like an event: a failed heater, a bottle that cannot be found."""
    last = talk.last.act if talk.last is not None else None
    bare = not clause.phrases()
    if act == "discarded":
        return clause.has("mix") is not None and bare
    if act == "found_alive":
        return last == "found_alive" and bare
    if act == "given":
        return last == "acquired" and bare and head_low(clause).startswith("swap")
    if act == "missing" and last == "missing" and clause.has("query") is not None:
        return True
    things = _of_things(clause, talk, act, bare, last)
    if things:
        for one in clause.elements():
            if isinstance(one, Item):
                one.kept = True
    return things


def _of_things(clause: Clause, talk: Talk, act: str, bare: bool, last: str | None) -> bool:
    """Return whether what was done was done to a thing: the heater died, the vents were closed, a bag of pumice came."""
    if act == "acquired":
        return bare and (clause.has("mix") is not None or clause.has("product") is not None)
    if act == "vented":
        return any(one.low in ("closed", "shut", "close", "closing") for one in clause.every("word"))
    if act == "missing":
        return bool(talk.entries) and bare and (last == "label_lost" or not clause.every("pron"))
    return act in ("failed", "turned", "died") and not MACHINES.isdisjoint(clause.lows())


def head_low(clause: Clause) -> str:
    """Return the words of a clause's head."""
    return clause.head.low if clause.head is not None else ""


def _act(clause: Clause, head: Item) -> str:
    """Settle acts that depend on what else the clause says."""
    act = head.meaning
    words = clause.lows()
    product = clause.has("product") is not None
    if (
        act == "watered"
        and head.low.startswith(("drench", "dunk"))
        and (words & {"against"} or product or clause.has("dose") is not None)
    ):
        return "treated"
    if act == "watered" and head.more.get("how") == "soak" and (words & {"seed", "seeds", "overnight"}):
        return "seed_soaked"
    if act == "watered" and clause.has("act") is None and (words & {"leak", "rain"}):
        return "wetted"
    if act == "treated" and head.low.startswith("spray") and not product and words & {"water", "plain"}:
        return "misted"
    if act == "cleaned" and product and not _of_a_house(clause):
        return "treated"  # glass and trays are cleaned with soap, plants treated
    if act == "released" and words & {"predators", "predator", "ladybirds"}:
        return "treated"
    if act == "potted" and clause.has("sizes") is not None:
        return "repotted"
    if act == "failed" and head.low in _WORDS["not_made_it"] and not any(one.fields.get("kind") for one in clause.phrases()):
        return "died"
    if act in ("united", "failed") and any(one.fields.get("kind") in UNGRAFTED for one in clause.phrases()):
        return "rooted" if act == "united" else act
    if act == "cutting_taken" and any(one.low == "roots" for one in clause.every("part")):
        return "root_pruned"
    return act


def _with_people(clause: Clause, act: str, people: list[Item]) -> str:
    """Turn giving round where the giver is somebody else: "jan gave me two"."""
    head = clause.head
    if head is None or not people:
        return act
    to_whom = any(
        isinstance(one, Item) and one.means("prep", "to") and people[0].start - one.end == 1 for one in clause.elements()
    )
    brought = head.low in _WORDS["brought_by"] and people[0].start < head.start
    if act == "moved" and brought and not any(one.prep == "to" for one in clause.phrases()):
        return "acquired"
    if act == "acquired" and to_whom and head.low in _WORDS["for_free"]:
        return "given"
    if (
        act == "given"
        and people[0].start < head.start
        and head.low not in ("took", "has taken")
        and head.low in _WORDS["_handed"]
        and not any(isinstance(one, Item) and one.means("prep", "for") for one in clause.before)  # "offsets for pia, posted"
    ):
        return "acquired"
    if (
        act == "given"
        and any(isinstance(one, Item) and one.means("prep", "from") for one in clause.elements())
        and head.low.startswith(("swap", "trade"))
    ):
        return "acquired"
    return act


def _write(clause: Clause, talk: Talk, act: str, details: dict[str, Any], sets: list[Selection | None]) -> None:
    head = clause.head
    assert head is not None
    hedged = list(clause.every("hedge"))
    sure = (not hedged and head.form != "doubt") or (act == "died" and any(which is not None and which.approx for which in sets))
    if clause.has("query") is not None and act == "named":
        sure = False
    counted = bool([which for which in sets if which is not None and which.count is not None])
    low = clause.lows()
    if act in ("germinated", "rooted") and counted and ("more" not in low or low & set(TOTALS)):
        details["total"] = True
    if sets == [None] and act in ("watered", "fed", "misted") and _said_before(talk, act, details):
        return
    for which in sets:
        talk.add(Entry("event", act=act, which=which, details=chosen(details), sure=sure), clause.span())
    if act in COMES_IN and counted:
        talk.counted = True
    if act in ("unpotted", "acquired", "offsets_taken", "cutting_taken"):
        talk.counted = True


def _said_before(talk: Talk, act: str, details: dict[str, Any]) -> bool:
    """Take "…, so he was watered from below" as more about the same watering."""
    last = talk.entries[-1] if talk.entries else None
    if last is None or last.act != act or last.type != "event" or last.which is None:
        return False
    talk.entries[-1] = replace(last, details={**details, **last.details})
    return True


def _ask(clause: Clause, talk: Talk, act: str, said: Said, sets: Sequence[Selection | None], details: dict[str, Any]) -> None:
    sprayed = details.get("how") in ("spray", "drench", "dip", "dab", "dust", None)
    hosed = clause.head is not None and clause.head.low.startswith(("hose", "hosed", "blast"))
    if act == "treated" and "product" not in details and sprayed and not hosed:
        talk.ask("product", "a treatment without its product")
    for which in sets:
        if which is None or (which.kind == "offsets" and which == Selection(kind="offsets")):
            _ask_unnamed(talk, act, details)
        elif which.words is not None:
            _ask_words(talk, act, which.words)
        elif which.state == "shrivelled" and which.count is not None:
            talk.ask("which", "only a person can say which")
        elif which.count is None and which.fraction is None:
            _ask_referred(talk, act, which)
        elif not _settled_part(clause, talk, act, said, which, details):
            lost = act in ("died", "missing", "released", "discarded") or (
                act == "given" and which.kind is None and not which.lots
            )
            talk.ask("which", "a part of a set", hard=lost)
    if not talk.lacks("number") and "sum" in [one.meaning for one in talk.items]:
        talk.ask("count", "two numbers were added")
    if said.unsure and act == "pricked_out":
        talk.ask("which", "numbers without a place")
    elif said.unsure and act != "germinated":
        talk.ask("count", "numbers without a place", hard=True)
    if act in ("potted", "repotted") and len(clause.every("open")) > 1 and "pot_cm" in details:
        talk.ask("count", "pot sizes by plant", hard=True)
    if act == "pricked_out" and any(which is not None and len(which.labels) > 1 for which in sets):
        talk.ask("count", "seedlings have no labels", hard=True)


def _ask_unnamed(talk: Talk, act: str, details: dict[str, Any]) -> None:
    if act in HOUSE or act == "acquired" or talk.settled or "course" in details:
        return
    talk.ask("which", f"{act} of which plants?", hard=act in GRAVE)


def _of_a_house(clause: Clause) -> bool:
    """Return whether what was cleaned is a place: glass and trays are cleaned with soap, plants are treated."""
    phrases = clause.phrases()
    return bool(phrases) and all(one.fields.keys() == {"places"} for one in phrases)


def _ask_words(talk: Talk, act: str, words: str) -> None:
    number = words.isdecimal()
    grave = (act in GRAVE or any(word in words for word in ROTTEN)) and (act != "given" or words.startswith(ONE))
    talk.ask("which", "the number may be a label or a count" if number else "only a person can say which", hard=grave or number)


def _ask_referred(talk: Talk, act: str, which: Selection) -> None:
    alone = which.refer is not None and len(which.to_json()) == 1
    if which.refer in ("rest", "same", "last") and not talk.settled and alone:
        talk.ask("which", "what the talk is about is not in this note")
    elif which.refer == "all" and act in GRAVE | {"moved"} and alone:
        talk.ask("which", "everything?", hard=True)
    somewhere = (which.lots or which.places) and not (which.taxa or which.labels or which.sowings or which.nicknames)
    if somewhere and act in ("died", "missing") and not which.refer and " all " not in f" {talk.low} ":
        talk.ask("which", "a whole lot or bench is not lost on a guess", hard=True)
    if which.state is not None and act in GRAVE:
        talk.ask("which", "only a person can say which", hard=True)
    elif which.state == "shrivelled":
        talk.ask("which", "only a person can say which")


def _settled_part(clause: Clause, talk: Talk, act: str, said: Said, which: Selection, details: dict[str, Any]) -> bool:
    """Return whether a counted set needs no question: what comes in or off, "four of the six", a lot by its number."""
    part_of_batch = which.of is not None and not which.places and (act not in GRAVE or which.kind is not None)
    if said.whole or act in COMES_IN | HOUSE or part_of_batch or which.labels or which.sowings:
        return True
    sown = which.kind == "seedlings" or any(one.which is not None and one.which.sowings for one in talk.entries)
    if act == "died" and (details.get("cause") == "dead on arrival" or (sown and talk.last is not None)):
        return True
    if talk.counted and act not in ("given", "offered") and not which.taxa and not which.places:
        return True
    return bool(which.lots) and act not in GRAVE and _apposed(clause)


def _apposed(clause: Clause) -> bool:
    """Return whether the count only repeats how many there are: "the barn lot, 17", "renske's 8"."""
    phrases = [one for one in clause.elements() if isinstance(one, Phrase)]
    return any("lots" in first.fields and set(second.fields) <= {"count"} for first, second in itertools.pairwise(phrases))


def skip(clause: Clause, talk: Talk) -> None:
    """Write that something was looked at and deliberately not done."""
    head = clause.head
    assert head is not None
    act = _act(clause, head)
    why = clause.has("why")
    if why is not None:
        why.used = True
    said = gather(clause, talk, act)
    sets: list[Selection | None] = list(said.selections()) or [None]
    for which in sets:
        talk.add(Entry("skip", act=act, which=which, why=why.low if why is not None else None), clause.span())
    for which in sets:
        if which is not None and (which.words is not None):
            talk.ask("which", "only a person can say which", hard=which.words.isdecimal())
    talk.rules.append(f"skip: {act}")


__all__ = ["PESTS", "event", "replace", "skip", "temperature"]
