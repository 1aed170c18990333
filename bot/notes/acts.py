"""Things done: the event, its details, and whether it can be written as it stands."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from bot.notes.amounts import Amount
from bot.notes.clauses import Clause, is_phrase
from bot.notes.items import Item
from bot.notes.reading import PESTS, Entry, Selection
from bot.notes.selections import Said, gather
from bot.notes.subjects import Phrase
from bot.notes.talk import Talk, chosen
from bot.notes.weather import flat, temperature

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
    if act == "heated" and _set_point(clause, talk):
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
    if act in ("potted", "repotted") and _pairs(clause, talk, act, dict(head.more)):
        return
    details: dict[str, Any] = {key: float(value) if key == "price" else value for key, value in head.more.items()}
    _details(clause, talk, act, details)
    tallied = clause.elements()
    clause.tally = [
        one
        for one in tallied
        if is_phrase(one)
        or (isinstance(one, Item) and one.family in ("ratio", "open", "close", "sign", "number", "neg", "clear"))
    ]
    phrases = clause.phrases()
    _kinds(clause, act, phrases, talk, details)
    said = gather(clause, talk, act)
    if "_ratio" in details:
        said.sets.append(details.pop("_ratio"))
    _destinations(clause, act, said, details)
    if act == "pollinated" and head.low.startswith("self"):
        details["by"] = "self"
    if act == "named":
        _name_of(clause, talk, details)
    _people_details(clause, act, people, details, said, talk)
    _cause(clause, act, details, talk)
    if (
        act == "set_to_dry"
        and said.sets
        and "kind" not in said.sets[0]
        and any(one.low in ("roots", "rts") for one in clause.every("part"))
    ):
        said.sets[0]["kind"] = "roots"
    if act == "pollinated" and _crossed(clause, talk, said, details):
        return
    if act == "germinated" and _tally(clause, talk):
        return
    if act == "died" and _each_cause(clause, talk, details):
        return
    if act == "given" and _swapped(clause, talk, said, details):
        return
    if act == "acquired" and _swap(clause, talk, said, details):
        pass
    if act == "moved" and _all_moved(clause, talk, said, details):
        return
    sets: list[Selection | None] = list(said.selections()) or [None]
    _write(clause, talk, act, details, sets)
    _ask(clause, talk, act, said, sets, details)
    talk.rules.append(f"event: {head.low!r} is {act}")


def _set_point(clause: Clause, talk: Talk) -> bool:
    """Write "thermostat set to 6" as the heater's setting."""
    head = clause.head
    assert head is not None
    if not any(word in head.low.split() for word in ("set", "to", "thermostat", "stat")):
        return False
    for one in flat(clause, talk):
        value = temperature(one, talk)
        if value is not None:
            one.used = True
            talk.add(Entry("climate", set_c=value), clause.span())
            return True
    return False


def _pairs(clause: Clause, talk: Talk, act: str, details: dict[str, Any]) -> bool:
    """Write "repotted 12 into 9s, 14 into 11s" as one event for each size."""
    pairs: list[tuple[Phrase, float]] = []
    waiting: Phrase | None = None
    for one in clause.elements():
        if not is_phrase(one):
            continue
        size = one.fields.get("pot_cm") if len(one.fields) == 1 else None
        if size is None and one.prep == "to" and one.bare:
            size = float(one.fields["labels"][0])
        if size is not None and waiting is not None and one.prep in ("to", "on"):
            pairs.append((waiting, size))
            waiting = None
        elif size is None and one.prep is None:
            waiting = one
    if len(pairs) < 2:
        return False
    numbers = all("labels" in phrase.fields for phrase, _ in pairs)
    for phrase, size in pairs:
        phrase.used = True
        talk.add(Entry("event", act=act, which=phrase.selection(), details=chosen({**details, "pot_cm": size})), clause.span())
    for one in clause.phrases():
        one.used = True
    if not numbers and any("count" in phrase.fields for phrase, _ in pairs):
        talk.ask("which", "a part of a set")
    return True


def _crossed(clause: Clause, talk: Talk, said: Said, details: dict[str, Any]) -> bool:
    """Write a cross; "both ways" is two."""
    both = any(is_phrase(one) and one.low.startswith("both") for one in clause.elements()) or "both ways" in talk.text.lower()
    named = [one for one in clause.elements() if is_phrase(one) and not one.out and not one.low.startswith("both")]
    source = next((one for one in named if one.prep == "from"), None)
    target = next((one for one in named if one.prep in ("to", "on")), None)
    if source is not None and target is not None:
        talk.add(
            Entry("event", act="pollinated", which=target.selection(), details={"by": _name(source.selection() or Selection())}),
            clause.span(),
        )
        return True
    times = clause.has("times")
    if times is not None and named and not any(one.prep == "with" for one in named):
        times.used = True
        talk.add(Entry("event", act="pollinated", which=named[0].selection(), details={"by": str(times.value)}), clause.span())
        return True
    partner = next((one for one in named if one.prep in ("with", "for")), None)
    parents = [one for one in named if one is not partner]
    if partner is None or not parents:
        return False
    one, other = parents[0].selection(), partner.selection()
    assert one is not None
    assert other is not None
    talk.add(Entry("event", act="pollinated", which=one, details={"by": _name(other)}), clause.span())
    if both:
        talk.add(Entry("event", act="pollinated", which=other, details={"by": _name(one)}), clause.span())
    return True


def _name(one: Selection) -> str:
    return " ".join((*one.labels, *one.nicknames, *one.taxa, *one.places, *one.lots)) or (one.words or "")


def _tally(clause: Clause, talk: Talk) -> bool:
    """Write "s13 12/25 s14 0/25" as one germination for each sowing."""
    pairs: list[tuple[Phrase, Any]] = []
    waiting: Phrase | None = None
    for one in clause.tally:
        if is_phrase(one) and "sowings" in one.fields:
            waiting = one
            if (
                one.fields.get("count") is not None
                and one.bare is False
                and "labels" not in one.fields
                and len(one.fields["sowings"]) == 1
                and False
            ):
                pairs.append((one, None))
        elif (
            waiting is not None
            and isinstance(one, Item)
            and one.family in ("neg", "clear")
            and one.low in ("nowt", "none", "nil", "nothing", "zero")
        ):
            pairs.append((waiting, (0, None)))
            waiting = None
        elif waiting is not None and isinstance(one, Item) and one.family == "ratio":
            pairs.append((waiting, one.value))
            one.used, waiting = True, None
        elif (
            waiting is not None
            and is_phrase(one)
            and set(one.fields) <= {"labels", "count", "words", "approx"}
            and one.prep is None
        ):
            number = one.fields.get("count") or one.fields.get("words") or one.fields.get("labels", ("x",))[0]
            if str(number).isdigit():
                pairs.append((waiting, (int(number), None, bool(one.fields.get("approx")))))
                waiting = None
    if len(pairs) < 2:
        return False
    for phrase, value in pairs:
        details = chosen({"total": True, "sown": int(value[1]) if value[1] is not None else None})
        talk.add(
            Entry(
                "event",
                act="germinated",
                which=Selection(
                    sowings=phrase.fields["sowings"], count=int(value[0]), approx=value[2] if len(value) > 2 else False
                ),
                details=details,
            ),
            clause.span(),
        )
    return True


def _each_cause(clause: Clause, talk: Talk, details: dict[str, Any]) -> bool:
    """Write "died: 31 (rot) 36 (mealy) 44" as one death for each cause."""
    groups: list[tuple[Phrase, str | None]] = []
    bracket = False
    for one in clause.tally:
        if is_phrase(one) and "labels" in one.fields:
            groups.append((one, None))
        elif isinstance(one, Item) and one.family in ("open", "close"):
            bracket = one.family == "open"
        elif isinstance(one, Item) and one.family == "sign" and groups and groups[-1][1] is None and bracket:
            groups[-1] = (groups[-1][0], one.meaning)
            one.used = True
    if len(groups) < 2 or not any(cause for _, cause in groups):
        return False
    for phrase, cause in groups:
        talk.add(
            Entry("event", act="died", which=Selection(labels=phrase.fields["labels"]), details=chosen({"cause": cause})),
            clause.span(),
        )
    return True


def _swapped(clause: Clause, talk: Talk, said: Said, details: dict[str, Any]) -> bool:
    """Split "swapped a lobivia for a thelo with renske": what went out, and what came in for it."""
    came = [
        one
        for one in clause.elements()
        if is_phrase(one) and one.prep == "for" and one.fields.keys() & {"taxa", "kind"} and not one.bare
    ]
    went = [one for one in clause.elements() if is_phrase(one) and one.prep is None and not one.out]
    if not came or not went:
        return False
    talk.add(Entry("event", act="given", which=went[0].selection(), details=chosen(details)), clause.span())
    talk.add(
        Entry("event", act="acquired", which=came[0].selection(), details=chosen({"from": details.get("to")})), clause.span()
    )
    if went[0].fields.get("count") is not None and not went[0].whole:
        talk.ask("which", "a part of a set")
    return True


def _swap(clause: Clause, talk: Talk, said: Said, details: dict[str, Any]) -> bool:
    """Split "got 2 adromischus for the aloe pup": what came in, and what went out for it."""
    last = talk.last
    if last is not None and last.act == "acquired" and last.which is None and last is talk.entries[-1]:
        details.update({key: value for key, value in last.details.items() if key not in details})
        talk.entries.pop()
    out = [
        one
        for one in clause.elements()
        if is_phrase(one) and one.prep == "for" and one.fields.keys() & {"taxa", "labels", "nicknames", "kind"} and not one.bare
    ]
    if not out or not said.sets:
        return False
    said.sets = said.sets[:1]
    given = out[0].selection()
    for key in out[0].fields:
        if said.sets[0].get(key) == out[0].fields[key]:
            said.sets[0].pop(key)
    inward = [one for one in clause.elements() if is_phrase(one) and one.prep is None and not one.out]
    if inward:
        said.sets = [dict(inward[0].fields)]
    talk.add(Entry("event", act="given", which=given, details=chosen({"to": details.get("from")})), clause.span())
    return True


def _all_moved(clause: Clause, talk: Talk, said: Said, details: dict[str, Any]) -> bool:
    """Ask before half a house moves."""
    place = next((one.fields["places"][0] for one in said.source if "places" in one.fields), None)
    everything = (
        not said.sets
        or said.sets[0] == {"refer": "all"}
        or set(said.sets[0]) <= {"fraction", "refer"}
        or (
            set(said.sets[0]) <= {"places", "refer", "fraction"}
            and (
                said.sets[0].get("places", ("",))[0] in ("outdoors", "greenhouse", "frame", "indoors")
                or said.sets[0].get("fraction")
            )
        )
    )
    head = clause.head
    assert head is not None
    inward = head.low.endswith("in") or " in " in f" {head.low} "
    low = {one.low for one in clause.elements() if isinstance(one, Item)}
    if "to" not in details and (inward or low & {"inside", "indoors"}):
        details["to"] = "indoors"
    elif "to" not in details and (head.low.endswith(("out", "outside")) or low & {"outside", "outdoors"}):
        details["to"] = "outdoors"
    if not everything or not (said.sets or place or inward):
        if place is not None and said.sets:
            details["from"] = place
        return False
    which = Selection(places=(place,)) if place else (said.selections()[0] if said.sets else None)
    talk.add(Entry("event", act="moved", which=which, details=chosen(details)), clause.span())
    talk.ask("where", "half a house is not moved on a guess", hard=True)
    return True


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


def _before(one: Item, clause: Clause) -> Item | None:
    items = [e for e in clause.elements() if isinstance(e, Item)]
    i = items.index(one)
    return items[i - 1] if i else None


def _people_details(clause: Clause, act: str, people: list[Item], details: dict[str, Any], said: Said, talk: Talk) -> None:
    for person in people:
        person.used = True
        before = _before(person, clause)
        if before is not None and before.family == "prep":
            before.used = True
        if person.form == "possessive" or clause.topic:
            lot = next((key for key in talk.names.names.lots if key.lower() == person.meaning), None)
            if lot is not None and act != "given":
                if act == "acquired" and not clause.topic:
                    details["from"] = person.meaning
                    continue
                said.whole = True
                if said.sets:
                    said.sets[0].setdefault("lots", (lot,))
                else:
                    said.sets.append({"lots": (lot,)})
                continue
        if act in ("given", "offered"):
            details["to"] = person.meaning
        elif act == "acquired":
            details["from"] = person.meaning
        elif act == "named":
            details["by"] = person.meaning
        else:
            lot = next((key for key in talk.names.names.lots if key.lower() == person.meaning), None)
            if lot is not None and act != "labelled":
                if said.sets:
                    said.sets[0].setdefault("lots", (lot,))
                else:
                    said.sets.append({"lots": (lot,)})
            else:
                details["by"] = person.meaning
    if act == "acquired" and not clause.topic:
        _source(said, details)


def _source(said: Said, details: dict[str, Any]) -> None:
    if said.sets and "lots" in said.sets[-1] and "from" not in details and not details.get("_topic"):
        lot = said.sets[-1].pop("lots")[0]
        details["from"] = lot
    said.sets = [one for one in said.sets if one]
    for phrase in said.source:
        fields = phrase.fields
        if "lots" in fields:
            details.setdefault("from", fields["lots"][0])
        elif "places" in fields:
            details.setdefault("from", fields["places"][0])
        elif "words" in fields:
            details.setdefault("from", fields["words"])


def _details(clause: Clause, talk: Talk, act: str, details: dict[str, Any]) -> None:
    """Read product, dose, strength, sizes, mix, minutes, course, money from the items of a clause."""
    for one in clause.elements():
        if isinstance(one, Item) and not one.used:
            _detail(one, clause, talk, act, details)
    for one in clause.every("act"):
        if one is not clause.head and one.meaning == act:
            details.update({key: value for key, value in one.more.items() if key not in details})
            one.used = True
    _potsizes(clause, act, details)
    how = details.get("how")
    if (
        act == "treated"
        and how is None
        and clause.head is not None
        and clause.head.low in ("drench", "drenched", "dip", "dipped")
    ):
        details["how"] = "drench"
    if act == "treated" and clause.head is not None and clause.head.meaning == "watered":
        details["how"] = "drench" if clause.head.low.startswith("drench") else "dip"


def _detail(one: Item, clause: Clause, talk: Talk, act: str, details: dict[str, Any]) -> None:
    family, value = one.family, one.value
    if family == "product" and act in ("treated", "washed", "cleaned", "fed"):
        details.setdefault(
            "product",
            {"maths": "meths", "moths": "meths", "ip a": "ipa", "i p a": "ipa", "soap spray": "soap"}.get(one.low, one.low),
        )
    elif family == "dose":
        details["dose"] = value if value is not None else one.low
    elif family == "strength" and act in ("fed", "watered", "treated"):
        details["strength"] = float(one.meaning)
    elif family == "mixratio":
        details["mix" if act in ("mixed", "potted", "repotted") else "dose"] = f"{details.get('mix', '')} {value}".strip()
    elif family == "mix" and act in ("potted", "repotted", "top_dressed", "mixed", "pricked_out", "sown", "divided", "rooted"):
        word = one.low.removesuffix(" mix").removesuffix(" compost") if one.low not in ("mix", "compost") else ""
        if word:
            details["mix"] = f"{details.get('mix', '')} {word}".strip()
    elif family == "pot" and act in ("potted", "repotted", "pricked_out"):
        details["pot"] = one.low
    elif family == "sizes" and act in ("potted", "repotted"):
        details["from_pot_cm"], details["pot_cm"] = value
    elif family == "ordinal" or (family == "ratio" and act in ("treated", "fed") and 0 < value[0] <= value[1] < 10):
        if family == "ratio":
            details["course"] = f"{int(value[0])}/{int(value[1])}"
        else:
            _course(one, clause, details)
            return
    elif family == "amount":
        if not _amount(one, talk, act, details):
            return
    elif family == "course":
        details["course"] = value
    elif family == "condition" and act in ("acquired", "given"):
        details["state"] = one.meaning
    elif family == "number" and act in ("acquired", "given") and one.value is not None and not float(one.value).is_integer():
        details["price"] = float(one.value)
    elif family == "times":
        pass
    elif family == "why" and act == "died":
        details["cause"] = one.low
    elif one.low in ("each", "apiece", "a piece", "ea", "each one") and ("ml" in details or "price" in details):
        details["each"] = True
    else:
        return
    one.used = True


def _course(one: Item, clause: Clause, details: dict[str, Any]) -> None:
    items = list(clause.elements())
    i = items.index(one)
    nxt = items[i + 1 : i + 3]
    if (
        len(nxt) == 2
        and isinstance(nxt[0], Item)
        and nxt[0].means("prep", "of")
        and (is_phrase(nxt[1]) or (isinstance(nxt[1], Item) and nxt[1].family == "number"))
    ):
        total = nxt[1].fields.get("labels", (None,))[0] if is_phrase(nxt[1]) else str(int(nxt[1].value))
        total = total or str(nxt[1].fields.get("count")) if is_phrase(nxt[1]) else total
        details["course"] = f"{one.value}/{total}"
        one.used = nxt[1].used = True


def _amount(one: Item, talk: Talk, act: str, details: dict[str, Any]) -> bool:
    value = one.value
    if one.meaning == "money":
        details["price"], details["currency"] = value.value, value.unit
        return True
    if not isinstance(value, Amount):
        return False
    if value.unit == "ml" and act in ("watered", "fed", "wetted", "misted"):
        details["ml"] = value.value
    elif value.unit == "l" and act in ("watered", "fed", "mixed", "misted", "treated"):
        if act in ("watered", "misted"):
            details["ml"] = value.value * 1000
        else:
            details["litres"] = value.value
    elif value.unit == "ml" and act == "treated":
        details["dose"] = value.typed
    elif value.unit == "minutes":
        details["minutes"] = value.value
    elif value.unit == "cm" and act in ("potted", "repotted", "pricked_out"):
        details["pot_cm"] = value.value
    elif value.unit == "percent":
        if act == "fed":
            details["strength"] = value.value / 100
        elif act == "treated":
            details["dose"] = value.typed
        else:
            return False
    elif value.unit in ("sachet", "drops", "tsp", "tbsp", "capful", "ppm", "g"):
        details["dose"] = value.typed
    else:
        return False
    return True


def _potsizes(clause: Clause, act: str, details: dict[str, Any]) -> None:
    """Take "into 9s", "in a 9 cm pot" as the new pot and not as a set."""
    if act not in ("potted", "repotted", "pricked_out"):
        return
    head = clause.head
    for one in clause.elements():
        if not is_phrase(one) or one.used:
            continue
        if (
            "pot_cm" in one.fields
            and len(one.fields) == 1
            and (one.prep in ("to", "on") or (head is not None and one.start > head.start and len(clause.phrases()) > 1))
        ):
            details["pot_cm"] = one.fields["pot_cm"]
            one.used = True
        elif one.prep == "to" and one.bare and int(one.fields["labels"][0]) < 40:
            details["pot_cm"] = float(one.fields["labels"][0])
            one.used = True


def _name_of(clause: Clause, talk: Talk, details: dict[str, Any]) -> None:
    """Take what follows "is", "isnt … its", "turned out to be" as the name, as typed."""
    head = clause.head
    assert head is not None
    after = [
        one
        for one in clause.after
        if (is_phrase(one) and "taxa" in one.fields) or (isinstance(one, Item) and one.family == "word" and len(one.low) > 3)
    ]
    if after:
        last = after[-1]
        details.setdefault("name", talk.text[last.start : last.end].removeprefix("a ").removeprefix("an "))
        for one in after:
            one.used = True


def _seeds(clause: Clause, act: str, phrases: list[Phrase]) -> None:
    """Keep "seeds only" as words: what went was not plants."""
    if act in ("given", "offered") and any(isinstance(one, Item) and one.low in ("seed", "seeds") for one in clause.elements()):
        for one in phrases[:1]:
            one.fields.setdefault("words", "seeds")


def _kinds(clause: Clause, act: str, phrases: list[Phrase], talk: Talk, details: dict[str, Any]) -> None:
    """Put counts and kinds where the contract wants them: offsets with their parent, seeds sown, seeds harvested."""
    if act in ("treated", "fed"):
        for one in phrases:
            if set(one.fields) == {"count", "of"} and len(phrases) > 1 and one.fields["count"] <= one.fields["of"] < 10:
                details["course"] = f"{one.fields['count']}/{one.fields['of']}"
                one.used = True
    if act == "sown":
        for one in phrases:
            if (
                one.bare
                and one.prep is None
                and "sown" not in details
                and (
                    any("sowings" in x.fields or "taxa" in x.fields for x in phrases)
                    or any(e.low in ("seed", "seeds") for e in clause.every("word"))
                )
            ):
                details["sown"] = int(one.fields.pop("labels")[0])
                one.bare = False
            count = one.fields.get("count")
            if count is not None and "sown" not in details:
                details["sown"] = one.fields.pop("count")
    _seeds(clause, act, phrases)
    if act == "offsets_taken" and not any(one.fields.get("kind") == "offsets" for one in phrases):
        for one in phrases[:1]:
            one.fields.setdefault("kind", "offsets")
    if act in ("rooted", "united", "failed"):
        for item in clause.every("ratio"):
            item.used = True
            count = {"count": int(item.value[0]), "of": int(item.value[1])}
            if phrases:
                phrases[-1].fields.update(count)
            else:
                details["_ratio"] = count
    if act == "germinated":
        for one in phrases:
            if one.fields.get("of") is not None:
                details["sown"] = one.fields.pop("of")
        total = next(
            (
                n
                for n, one in enumerate(clause.elements())
                if isinstance(one, Item) and one.low in ("total", "making", "altogether", "in all", "thats", "that's", "so")
            ),
            None,
        )
        counts = (
            [one for one in clause.elements()[total:] if is_phrase(one) and (one.bare or set(one.fields) <= {"count", "refer"})]
            if total is not None
            else []
        )
        if counts:
            for one in phrases:
                if one is not counts[-1]:
                    one.fields.pop("count", None)
                if one.bare and one is not counts[-1]:
                    one.used = True
    if act == "germinated":
        for item in clause.every("ratio"):
            item.used = True
            details["sown"] = int(item.value[1])
            details["total"] = True
            phrases_with = [one for one in phrases if one.fields.keys() & {"sowings", "taxa", "places", "words"}]
            target = phrases_with[-1] if phrases_with else None
            if target is not None:
                target.fields["count"] = int(item.value[0])


def _destinations(clause: Clause, act: str, said: Said, details: dict[str, Any]) -> None:
    for phrase in said.to:
        fields = phrase.fields
        if act in ("grafted", "named"):
            if act == "grafted":
                details["name"] = fields["taxa"][0]
            continue
        place = fields.get("places", (None,))[0] or fields.get("words")
        if place is not None and act != "divided":
            details["to"] = place
        if "pot_cm" in fields:
            details["pot_cm"] = fields["pot_cm"]


def _cause(clause: Clause, act: str, details: dict[str, Any], talk: Talk) -> None:
    if act not in ("died", "discarded"):
        return
    for one in clause.elements():
        if isinstance(one, Item) and one.family == "sign" and not one.used:
            details["cause"] = one.meaning
            one.used = True
        elif (
            isinstance(one, Item)
            and one.low
            in (
                "frost",
                "cold",
                "overwatering",
                "underwatering",
                "heat",
                "sun",
                "drought",
                "rain",
                "damp",
                "old age",
                "neglect",
                "dead on arrival",
                "doa",
            )
            and "cause" not in details
        ):
            details["cause"] = one.low
            one.used = True
    if clause.head is not None and clause.head.low in ("dead on arrival", "doa"):
        details["cause"] = "dead on arrival"
    last = talk.last
    if (
        "cause" not in details
        and act == "died"
        and last is not None
        and last.type == "finding"
        and last.status != "absent"
        and (
            last.sign in PESTS
            or last.sign in ("rot", "damping_off", "soft", "grey_mould", "cold_mark", "scorch", "chewed", "dead_roots")
        )
    ):
        details["cause"] = last.sign


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
