"""Things done: the event, its details, and whether it can be written as it stands."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from bot.notes.clauses import Clause, is_phrase
from bot.notes.details import cause_of, destinations, name_of, people_of, put_kinds, read_details
from bot.notes.items import Item
from bot.notes.reading import PESTS, Entry, Selection
from bot.notes.selections import Said, gather
from bot.notes.talk import Talk, chosen
from bot.notes.tallies import all_moved, crossed, each_cause, set_point, sized_pairs, swap_in, swap_out, tally
from bot.notes.weather import temperature

HOUSE = frozenset("heated vented damped_down shaded unshaded covered uncovered mixed cleaned seed_soaked".split())
COMES_IN = frozenset("acquired offsets_taken cutting_taken divided germinated seed_harvested sown mixed".split())
GRAVE = frozenset("died missing given discarded released".split())
ROTTEN = ("mush", "rot", "dead", "dying")
REFERRED = frozenset("rooted united failed potted set_to_dry washed unpotted germinated pricked_out".split())
OFFSPRING = frozenset("offsets cuttings leaves grafts seedlings".split())


def event(clause: Clause, talk: Talk) -> None:
    """Write the event of a clause whose head is an act."""
    head = clause.head
    assert head is not None
    act = _act(clause, head)
    people = [one for one in clause.elements() if isinstance(one, Item) and one.family == "person"]
    act = _with_people(clause, act, people)
    off = any(is_phrase(one) and one.low.startswith("off ") for one in clause.elements()) or any(
        isinstance(one, Item) and one.low in ("off", "down", "removed", "away") for one in clause.elements()
    )
    if off and act in ("shaded", "covered") and head.form == "noun":
        act = {"shaded": "unshaded", "covered": "uncovered"}[act]
    if act == "discarded" and clause.has("mix") is not None and not clause.phrases():
        return
    if act == "failed" and any(
        isinstance(one, Item)
        and one.low in ("heater", "fan", "thermostat", "propagator", "prop", "timer", "pump", "bulb", "lights", "lamp", "power")
        for one in clause.elements()
    ):
        for one in clause.elements():
            if isinstance(one, Item):
                one.kept = True
        return
    if act == "heated" and set_point(clause, talk):
        return
    if act == "missing" and talk.entries and not clause.phrases() and not clause.every("pron"):
        for one in clause.elements():
            if isinstance(one, Item):
                one.kept = True
        return
    if act == "found_alive" and talk.last is not None and talk.last.act == "found_alive" and not clause.phrases():
        return
    if act == "missing" and talk.last is not None and talk.last.act == "missing" and clause.has("query") is not None:
        return
    if act in ("potted", "repotted") and sized_pairs(clause, talk, act, dict(head.more)):
        return
    details: dict[str, Any] = {key: float(value) if key == "price" else value for key, value in head.more.items()}
    read_details(clause, talk, act, details)
    tallied = clause.elements()
    clause.tally = [
        one
        for one in tallied
        if is_phrase(one)
        or (isinstance(one, Item) and one.family in ("ratio", "open", "close", "sign", "number", "neg", "clear"))
    ]
    phrases = clause.phrases()
    put_kinds(clause, act, phrases, talk, details)
    said = gather(clause, talk, act)
    if "_ratio" in details:
        said.sets.append(details.pop("_ratio"))
    destinations(clause, act, said, details)
    if act == "pollinated" and head.low.startswith("self"):
        details["by"] = "self"
    if act == "named":
        name_of(clause, talk, details)
    people_of(clause, act, people, details, said, talk)
    cause_of(clause, act, details, talk)
    if (
        act == "set_to_dry"
        and said.sets
        and "kind" not in said.sets[0]
        and any(one.low in ("roots", "rts") for one in clause.every("part"))
    ):
        said.sets[0]["kind"] = "roots"
    if act == "pollinated" and crossed(clause, talk, said, details):
        return
    if act == "germinated" and tally(clause, talk):
        return
    if act == "died" and each_cause(clause, talk, details):
        return
    if act == "given" and swap_out(clause, talk, said, details):
        return
    if act == "acquired" and swap_in(clause, talk, said, details):
        pass
    if act == "moved" and all_moved(clause, talk, said, details):
        return
    sets: list[Selection | None] = list(said.selections()) or [None]
    _write(clause, talk, act, details, sets)
    _ask(clause, talk, act, said, sets, details)
    talk.rules.append(f"event: {head.low!r} is {act}")


def _act(clause: Clause, head: Item) -> str:
    """Settle acts that depend on what else the clause says."""
    act = head.meaning
    words = {one.low for one in clause.elements() if isinstance(one, Item)}
    product = clause.has("product") is not None
    if act == "watered" and head.low.startswith(("drench", "dunk")) and (product or clause.has("dose") is not None):
        return "treated"
    if act == "watered" and head.more.get("how") == "soak" and (words & {"seed", "seeds", "overnight"}):
        return "seed_soaked"
    if act == "watered" and clause.has("act") is None and (words & {"leak", "rain"}):
        return "wetted"
    if (
        act == "treated"
        and head.more.get("how") == "dip"
        and not product
        and not any(one.family == "sign" for one in clause.every("sign"))
    ):
        return "watered" if head.low.startswith("dip") and clause.has("prep", "in") is None and False else act
    if act == "treated" and head.low.startswith("spray") and not product and words & {"water", "plain"}:
        return "misted"
    if act == "cleaned" and product:
        return "treated"
    if act == "released" and words & {"predators", "predator", "ladybirds"}:
        return "treated"
    if act == "potted" and clause.has("sizes") is not None:
        return "repotted"
    return act


def _with_people(clause: Clause, act: str, people: list[Item]) -> str:
    """Turn giving round where the giver is somebody else: "jan gave me two"."""
    head = clause.head
    if head is None or not people:
        return act
    if (
        act == "given"
        and people[0].start < head.start
        and head.low not in ("took", "has taken")
        and head.low in ("gave", "gave away", "sent", "given", "swapped", "donated", "give", "posted")
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
    if (
        act in ("germinated", "rooted")
        and any(isinstance(one, Item) and one.low == "more" for one in clause.elements())
        and not any(
            isinstance(one, Item) and one.low in ("total", "making", "altogether", "in all", "thats", "that's", "so")
            for one in clause.elements()
        )
    ):
        pass
    elif act in ("germinated", "rooted") and any(which is not None and which.count is not None for which in sets):
        details["total"] = True
    for which in sets:
        talk.add(Entry("event", act=act, which=which, details=chosen(details), sure=sure), clause.span())
    if act in COMES_IN and any(which is not None and which.count is not None for which in sets):
        talk.counted = True
    if act in ("unpotted", "acquired", "offsets_taken", "cutting_taken"):
        talk.counted = True


def _ask(clause: Clause, talk: Talk, act: str, said: Said, sets: Iterable[Selection | None], details: dict[str, Any]) -> None:
    if (
        act == "treated"
        and "product" not in details
        and details.get("how") in ("spray", "drench", "dip", "dab", "dust", None)
        and not (clause.head is not None and clause.head.low.startswith(("hose", "hosed", "blast")))
    ):
        if details.get("how") is None or True:
            talk.ask("product", "a treatment without its product")
    for which in sets:
        _ask_one(clause, talk, act, said, which, details)
    if clause.head is not None and any(isinstance(one, Item) and one.meaning == "sum" for one in talk.items):
        talk.ask("count", "two numbers were added")


def _ask_one(clause: Clause, talk: Talk, act: str, said: Said, which: Selection | None, details: dict[str, Any]) -> None:
    grave = act in GRAVE
    if which is None or which == Selection(kind="offsets"):
        if act in HOUSE or act == "acquired" or (talk.settled and not (False)):
            return
        if act == "photographed" and talk.settled:
            return
        if "course" in details:
            return
        talk.ask("which", f"{act} of which plants?", hard=grave)
        return
    if which.words is not None:
        number = which.words.isdigit()
        grave = grave or any(word in which.words for word in ROTTEN)
        talk.ask(
            "which",
            "the number may be a label or a count" if number else "only a person can say which",
            hard=(grave and act != "given") or number,
        )
        return
    if which.state == "shrivelled" and which.count is not None:
        talk.ask("which", "only a person can say which")
        return
    if which.count is None and which.fraction is None:
        if which.refer in ("rest", "same", "last") and not talk.settled and len(which.to_json()) == 1:
            talk.ask("which", "what the talk is about is not in this note")
        elif which.refer == "all" and act in GRAVE | {"moved"} and len(which.to_json()) == 1:
            talk.ask("which", "everything?", hard=True)
        if which.state is not None and act in GRAVE:
            talk.ask("which", "only a person can say which", hard=True)
        elif which.state == "shrivelled":
            talk.ask("which", "only a person can say which")
        return
    if said.whole or act in COMES_IN or (which.of is not None and not which.places) or act in HOUSE:
        return
    if which.labels or which.sowings:
        return
    if (
        act == "died"
        and talk.last is not None
        and (which.kind == "seedlings" or any(one.which is not None and one.which.sowings for one in talk.entries))
    ):
        return
    if act == "died" and details.get("cause") == "dead on arrival":
        return
    if talk.counted and act not in ("given", "offered") and not which.taxa and not which.places:
        return
    if which.lots and _apposed(clause):
        return
    if act == "rooted" and which.kind in OFFSPRING and which.of is not None:
        return
    talk.ask(
        "which",
        "a part of a set",
        hard=act in ("died", "missing", "released", "discarded")
        or (act == "given" and which.kind is None and which.words is None and False),
    )


def _apposed(clause: Clause) -> bool:
    """Return whether the count only repeats how many there are: "the barn lot, 17", "renske's 8"."""
    phrases = [one for one in clause.elements() if is_phrase(one)]
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
            talk.ask("which", "only a person can say which", hard=which.words.isdigit())
    talk.rules.append(f"skip: {act}")


__all__ = ["PESTS", "event", "replace", "skip", "temperature"]
