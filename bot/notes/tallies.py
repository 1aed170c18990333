"""Clauses that hold several events at once: counts by sowing, causes by plant, crosses, swaps, pots by size."""

from __future__ import annotations

from typing import Any

from bot.notes.clauses import Clause
from bot.notes.details import CAUSES
from bot.notes.items import Item
from bot.notes.reading import Entry, Selection
from bot.notes.selections import Said
from bot.notes.subjects import Phrase
from bot.notes.talk import Talk, chosen
from bot.notes.weather import flat, temperature


def set_point(clause: Clause, talk: Talk) -> bool:
    """Write "thermostat set to 6" as the heater's setting."""
    head = clause.head
    assert head is not None
    if not any(word in head.low.split() for word in ("set", "to", "thermostat", "stat")):
        return False
    for one in flat(clause, talk):
        value = temperature(one, talk)
        if value is not None:
            one.used = True
            talk.add(Entry("climate", set_c=value, place=_where_set(clause, one)), clause.span())
            return True
    return False


def _where_set(clause: Clause, degrees: Item) -> str | None:
    """Return the place whose heater is set, and take the words of the place and of the number as read."""
    place = None
    for phrase in clause.phrases():
        places = phrase.fields.get("places", ())
        if len(places) == 1 and place is None:
            place, phrase.used = str(places[0]), True
        elif phrase.start <= degrees.start < phrase.end:
            phrase.used = True
    return place


def sized_pairs(clause: Clause, talk: Talk, act: str, details: dict[str, Any]) -> bool:
    """Write "repotted 12 into 9s, 14 into 11s" as one event for each size."""
    pairs: list[tuple[Phrase, float]] = []
    waiting: Phrase | None = None
    for one in clause.elements():
        if not isinstance(one, Phrase):
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


def crossed(clause: Clause, talk: Talk) -> bool:
    """Write a cross; "both ways" is two."""
    both = (
        any(isinstance(one, Phrase) and one.low.startswith("both") for one in clause.elements())
        or "both ways" in talk.text.lower()
    )
    named = [one for one in clause.elements() if isinstance(one, Phrase) and not one.out and not one.low.startswith("both")]
    source = next((one for one in named if one.prep == "from"), None)
    taken = any(isinstance(one, Item) and one.low.endswith("pollen from") for one in clause.elements())
    if source is None and taken and len(named) > 1:
        source = named[0]
    target = next((one for one in named if one.prep in ("to", "on")), None)
    if source is not None and target is not None:
        talk.add(
            Entry("event", act="pollinated", which=target.selection(), details={"by": _name(source.selection() or Selection())}),
            clause.span(),
        )
        return True
    if source is not None and all(one is source for one in named) and talk.last is not None:
        name = _name(source.selection() or Selection())  # "first flower on 41, pollinated from 44"
        talk.add(Entry("event", act="pollinated", details={"by": name}), clause.span())
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


def tally(clause: Clause, talk: Talk) -> bool:
    """Write "s13 12/25 s14 0/25" as one germination for each sowing."""
    pairs: list[tuple[Phrase, Any]] = []
    waiting: Phrase | None = None
    for one in clause.tally:
        if isinstance(one, Phrase) and "sowings" in one.fields:
            waiting = one
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
            and isinstance(one, Phrase)
            and set(one.fields) <= {"labels", "count", "words", "approx"}
            and one.prep is None
        ):
            number = one.fields.get("count") or one.fields.get("words") or one.fields.get("labels", ("x",))[0]
            if str(number).isdecimal():
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


def each_cause(clause: Clause, talk: Talk) -> bool:
    """Write "died: 31 (rot) 36 (mealy) 44" as one death for each cause."""
    groups: list[tuple[Phrase, str | None]] = []
    bracket = False
    for one in clause.tally:
        if isinstance(one, Phrase) and "labels" in one.fields:
            groups.append((one, None))
        elif isinstance(one, Item) and one.family in ("open", "close"):
            bracket = one.family == "open"
        elif isinstance(one, Item) and one.family == "sign" and groups and groups[-1][1] is None and bracket:
            groups[-1] = (groups[-1][0], one.meaning)
            one.used = True
        elif isinstance(one, Item) and one.low in CAUSES and groups and groups[-1][1] is None and bracket:
            groups[-1] = (groups[-1][0], one.low)
            one.used = True
    if len(groups) < 2 or not any(cause for _, cause in groups):
        return False
    for phrase, cause in groups:
        talk.add(
            Entry("event", act="died", which=Selection(labels=phrase.fields["labels"]), details=chosen({"cause": cause})),
            clause.span(),
        )
    return True


def swap_in(clause: Clause, talk: Talk, said: Said, details: dict[str, Any]) -> bool:
    """Split "got 2 adromischus for the aloe pup": what came in, and what went out for it."""
    last = talk.last
    if last is not None and last.act == "acquired" and last.which is None and last is talk.entries[-1]:
        details.update({key: value for key, value in last.details.items() if key not in details})
        talk.entries.pop()
    out = [
        one
        for one in clause.elements()
        if isinstance(one, Phrase)
        and one.prep == "for"
        and not (one.used and one.bare)  # a price
        and one.fields.keys() & {"taxa", "labels", "nicknames", "kind"}
        and not (one.bare and int(one.fields["labels"][0]) < 10)
    ]
    if not out or not said.sets:
        return False
    said.sets = said.sets[:1]
    given = out[0].selection()
    for key in out[0].fields:
        if said.sets[0].get(key) == out[0].fields[key]:
            said.sets[0].pop(key)
    inward = [one for one in clause.elements() if isinstance(one, Phrase) and one.prep is None and not one.out]
    if inward:
        said.sets = [dict(inward[0].fields)]
    talk.add(Entry("event", act="given", which=given, details=chosen({"to": details.get("from")})), clause.span())
    return True


def swap_out(clause: Clause, talk: Talk, details: dict[str, Any]) -> bool:
    """Split "swapped a lobivia for a thelo with renske": what went out, and what came in for it."""
    came = [
        one
        for one in clause.elements()
        if isinstance(one, Phrase)
        and one.prep == "for"
        and one.fields.keys() & {"taxa", "kind"}
        and not (one.bare and int(one.fields["labels"][0]) < 10)
    ]
    went = [one for one in clause.elements() if isinstance(one, Phrase) and one.prep is None and not one.out]
    if not came or not went:
        return False
    part = len(went) > 1 and set(went[1].fields) == {"kind"}
    if len(went) > 1 and (went[0].possessive or part):  # "teacup's pup", "a duchess pup": the pup leaves, not the plant
        went[0].fields = {**went[1].fields, **went[0].fields}
    talk.add(Entry("event", act="given", which=went[0].selection(), details=chosen(details)), clause.span())
    talk.add(
        Entry("event", act="acquired", which=came[0].selection(), details=chosen({"from": details.get("to")})), clause.span()
    )
    if went[0].fields.get("count") is not None and not went[0].whole:
        talk.ask("which", "a part of a set")
    return True


def all_moved(clause: Clause, talk: Talk, said: Said, details: dict[str, Any]) -> bool:
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
