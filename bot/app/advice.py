"""What speaks against something that a note tells: said in one short sentence, never in the way of the log.

Everything is looked up in how things stood before the note: on hold, out of the pot, newly potted, at rest, apart.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from bot.app.dosing import label_of, labels_said
from bot.app.kept_rules import broken_rules
from bot.app.plan import View
from bot.care.daylength import daylength_trend
from bot.care.doses import parse_rate
from bot.care.due_health import release_of
from bot.care.due_rest import last_soak_of
from bot.care.due_water import first_water_of
from bot.care.events import CareEvent, Ref
from bot.care.fold_acts import LIGHT_WATERINGS
from bot.care.frost import scorch_day
from bot.care.genera import genus_row
from bot.care.reach import OUTSIDE
from bot.care.seasons import said_on, state_of_thing
from bot.care.standing import Standing, Thing
from bot.care.treatments import objections

MOST_SENTENCES = 1
SUNNY = 2
_DIM = ("loft", "cellar", "garage", "cupboard", "shade", "north", "indoor", "inside", "under ", "spare room", "hall", "cabinet")
_SUNNY = ("sun", "south", "glass", "top shelf")
_WINTER_MONTHS = {True: (12, 1, 2), False: (6, 7, 8)}
# The gravest first: what may kill comes before what may mark.
_WEIGHT = (
    "bare",
    "own_rule",
    "above_label",
    "rest_said",
    "rest_known",
    "hold",
    "late_soak",
    "same_day",
    "newly_potted",
    "treatment",
    "fed_rest",
    "fed_first",
    "released",
    "apart",
    "case",
    "too_bright",
    "brighter",
    "hot_run",
)


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing that speaks against what was done: its kind, the plants, and facts for the sentence."""

    kind: str
    refs: tuple[Ref, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


def advise(events: Iterable[CareEvent], view: View) -> list[Advice]:
    """Return what speaks against the events of a note, the gravest alone: one sentence is read, two are not."""
    found: dict[tuple[str, str], Advice] = {}
    noted = [one for one in events if one.kind in ("event", "climate")]
    for event in noted:
        for one in _of_event(event, view, noted):
            key = (one.kind, str(sorted(one.facts.items(), key=str)))
            refs = found[key].refs if key in found else ()
            found[key] = replace(one, refs=tuple(dict.fromkeys((*refs, *one.refs))))
    return sorted(found.values(), key=lambda one: _WEIGHT.index(one.kind))[:MOST_SENTENCES]


def _of_event(event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    if event.kind == "climate":
        yield from _hot_run(event, view)
        return
    if event.what == "treated":
        yield from _above_label(event, view.standing)
    rule = _RULES.get(event.what)
    for ref in event.refs:
        thing = view.standing.things.get((ref.kind, ref.key)) or Thing(ref.kind, ref.key)
        for text, said_on_day in broken_rules(thing, event, view.standing, noted) if view.standing.rules else ():
            yield Advice("own_rule", (thing.ref,), {"text": text, "on": said_on_day})
        if rule is not None:
            yield from rule(thing, event, view, noted)


def _above_label(event: CareEvent, standing: Standing) -> Iterator[Advice]:
    """A treatment at a rate above that which the grower has read on the label."""
    product, said = str(event.facts.get("product", "")), str(event.facts.get("dose", ""))
    label = label_of(product, labels_said(standing.rules)) if product and said else None
    try:
        rate = parse_rate(said) if label else None
    except ValueError:
        return
    if label and rate and rate.unit == label.unit and rate.per_litre > label.per_litre:
        yield Advice("above_label", (), {"product": product, "most": label.per_litre, "unit": label.unit})


# --- water and feed ---------------------------------------------------------------------------------------------------


def water_objection(thing: Thing, on: date, view: View) -> Advice | None:
    """Return what speaks against water for a thing on a day; None where nothing does."""
    if thing.bare_on is not None and thing.bare_on <= on:
        return Advice("bare", (thing.ref,), {"since": thing.bare_on.isoformat()})
    hold = thing.hold
    if hold and hold["on"] <= on.isoformat() and (not hold.get("until") or hold["until"] > on.isoformat()):
        return Advice("hold", (thing.ref,), {key: hold[key] for key in ("until", "cond") if hold.get(key)})
    if thing.rest_on is not None and thing.rest_on <= on:
        return Advice("rest_said", (thing.ref,), {"since": thing.rest_on.isoformat()})
    return _newly_potted(thing, on, view) or _rests_by_the_table(thing, on, view)


def _newly_potted(thing: Thing, on: date, view: View) -> Advice | None:
    for one in thing.settling:
        first = first_water_of(view.standing, thing, one, view.setting).low_on
        if one["on"] == on.isoformat():
            return Advice("same_day", (thing.ref,), {"whole": one["state"] == "whole"})
        if first is not None and one["on"] < on.isoformat() and on < first:
            return Advice("newly_potted", (thing.ref,), {"potted_on": one["on"], "first": first.isoformat()})
    return None


def _rests_by_the_table(thing: Thing, on: date, view: View) -> Advice | None:
    """A row of confidence C is no ground to object: it asks."""
    state = (
        state_of_thing(view.standing, thing, on, view.setting)
        if thing.genus and thing.kind in ("plant", "lot", "taxon")
        else None
    )
    if state is None or state.phase != "rest" or state.water != "none" or state.unsure:
        return None
    if thing.rest_ended_on is not None and (on - thing.rest_ended_on).days < 180:
        return None
    said = said_on(view.standing.rule_for(thing))
    facts = {"genus": thing.genus, "confidence": state.reason.facts.get("confidence", ""), "sign": state.sign, "said": said}
    return Advice("rest_known", (thing.ref,), facts)


def _watered(thing: Thing, event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    potted = [
        one for one in noted if one.what in ("potted", "repotted") and _same(one, thing) and one.happened_on == event.happened_on
    ]
    if potted:
        yield Advice("same_day", (thing.ref,), {"whole": potted[0].facts.get("how") == "on"})
        return
    found = water_objection(thing, event.happened_on, view)
    if found is not None and not _ends(found, thing, noted):
        yield found
    if found is None and event.facts.get("how") not in LIGHT_WATERINGS:
        yield from _too_late_to_dry(thing, event.happened_on, view)


def _too_late_to_dry(thing: Thing, on: date, view: View) -> Iterator[Advice]:
    """A soak that will not have dried when the rest begins."""
    state = (
        state_of_thing(view.standing, thing, on, view.setting)
        if thing.genus and thing.kind in ("plant", "lot", "taxon")
        else None
    )
    row = genus_row(thing.genus)
    if state is None or state.unsure or state.rest_from is None or row is None or not row.rest_water.startswith("dry"):
        return
    central, _ = last_soak_of(view.standing, thing, state.rest_from, view.setting)
    if central is not None and on > central:
        yield Advice("late_soak", (thing.ref,), {"rest_from": state.rest_from.isoformat(), "last": central.isoformat()})


def _ends(found: Advice, thing: Thing, noted: list[CareEvent]) -> bool:
    """Whether the same note ends what speaks against it."""
    return found.kind.startswith("rest") and any(one.what == "rest_ended" and _same(one, thing) for one in noted)


def _fed(thing: Thing, event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    found = water_objection(thing, event.happened_on, view)
    if found is not None and found.kind in ("rest_said", "rest_known"):
        yield replace(found, kind="fed_rest")
    elif thing.settling:
        yield Advice("fed_first", (thing.ref,))
    elif found is not None:
        yield found
    elif thing.rest_ended_on is not None and thing.last.get("watered", "") < thing.rest_ended_on.isoformat():
        yield Advice("fed_first", (thing.ref,))


def _potted(thing: Thing, event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    if thing.last.get("watered") == event.happened_on.isoformat():
        yield Advice("same_day", (thing.ref,), {"whole": event.facts.get("how") == "on"})


def _same(event: CareEvent, thing: Thing) -> bool:
    return any((ref.kind, ref.key) == (thing.kind, thing.key) for ref in event.refs)


# --- leaving, moving, treating ----------------------------------------------------------------------------------------


def _released(thing: Thing, event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    """The evidence for letting something out: days, warmth, clean looks, roots; and what was lacking."""
    if thing.isolated_on is None:
        return
    found = release_of(view.standing, thing, view.setting)
    clear = found.release_on is not None and found.release_on <= event.happened_on and not found.root_look_needed
    yield Advice(
        "released",
        (thing.ref,),
        {
            "days": (event.happened_on - thing.isolated_on).days,
            "sum": round(found.sum_dd),
            "target": round(found.target_dd),
            "looks": [one for one in thing.clean_looks if one >= thing.isolated_on.isoformat()],
            "roots": not found.root_look_needed,
            "clear": clear,
        },
    )


def _leaves(thing: Thing, event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    apart = thing if thing.isolated_on is not None else _holder_apart(thing, view.standing)
    if apart is not None and apart.isolated_on is not None:
        yield Advice("apart", (thing.ref,), {"days": (event.happened_on - apart.isolated_on).days, "act": event.what})
        return
    case = next((one for one in view.standing.cases.values() if one.open and thing.ref in one.refs), None)
    if case is not None:
        yield Advice("case", (thing.ref,), {"sign": case.sign, "act": event.what})


def _holder_apart(thing: Thing, standing: Standing) -> Thing | None:
    holders = (standing.things.get(("place", thing.place)), standing.things.get(("lot", thing.lot)))
    return next((one for one in holders if one is not None and one.isolated_on is not None), None)


def _moved(thing: Thing, event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    before, after = thing.place.lower(), str(event.facts.get("to", "")).lower()
    brighter = bool(before) and _light(after) > _light(before)
    rule = view.standing.rule_for(thing)
    row = genus_row(thing.genus) if thing.genus else None
    wanted = rule.get("light") or (row.light if row and not row.unsure else "")
    if wanted == "part_shade" and _light(after) >= SUNNY:
        yield Advice("too_bright", (thing.ref,), {"said": "light" in rule})
    elif brighter and rule.get("light") != "full_sun" and daylength_trend(view.setting.latitude, event.happened_on) == "rising":
        yield Advice("brighter", (thing.ref,))


def _light(place: str) -> int:
    """A rank of places by their light, by the words of their names."""
    if any(word in place for word in OUTSIDE):
        return 3
    if any(word in place for word in _DIM):
        return 0
    return SUNNY if any(word in place for word in _SUNNY) else 1


def treatment_kind(how: str, product: str) -> str:
    """Return the kind of treatment that words mean, as the table of treatments calls it; empty where it has none."""
    low = product.lower()
    for kind, pattern in _KINDS:
        if pattern.search(low):
            if kind == "alcohol":
                return "alcohol spray" if how == "spray" else "alcohol dab"
            return kind
    return how if how == "drench" else ""


_KINDS = (
    ("essential oil", re.compile(r"essential|tea tree|rosemary|clove|peppermint|thyme|lavender")),
    ("soap", re.compile(r"\bsoaps?\b")),
    ("oil", re.compile(r"\b(oils?|neem)\b")),
    ("alcohol", re.compile(r"\b(ipa|alcohol|spirits?|meths|isopropyl|surgical)\b")),
    ("peroxide", re.compile(r"peroxide|h2o2")),
    ("hot dip", re.compile(r"\bhot\b")),
    ("nematodes", re.compile(r"nematode")),
    ("water jet", re.compile(r"\b(hose|jet|water)\b")),
)


def _treated(thing: Thing, event: CareEvent, view: View, noted: list[CareEvent]) -> Iterator[Advice]:
    kind = treatment_kind(str(event.facts.get("how", "")), str(event.facts.get("product", "")))
    if not kind:
        return
    day = view.setting.temperatures(thing.place)(event.happened_on)
    known = day.kind in ("measured", "filled", "forecast")  # a guess is no ground to object
    rest = water_objection(thing, event.happened_on, view)
    against = objections(
        kind,
        day.min_c if known else None,
        day.max_c if known else None,
        dry_resting=rest is not None and rest.kind in ("rest_said", "rest_known"),
        days_since_sulphur=_since_sulphur(thing, event.happened_on, view.standing),
    )
    if against:
        facts = {"what": kind, "against": against[0]} | ({"max_c": day.max_c} if known and against[0] == "too hot" else {})
        yield Advice("treatment", (thing.ref,), facts)


def _since_sulphur(thing: Thing, on: date, standing: Standing) -> int | None:
    days = [
        date.fromisoformat(one["on"])
        for case in standing.cases.values()
        if thing.ref in case.refs
        for one in case.treatments
        if re.search(r"sul(ph|f)ur", str(one.get("product", "")).lower())
    ]
    return (on - max(days)).days if days else None


# --- heat -------------------------------------------------------------------------------------------------------------


def _hot_run(event: CareEvent, view: View) -> Iterator[Advice]:
    """The third day in a row of the year's first run well above the winter's mean: what stood dim may scorch."""
    if event.facts.get("max_c") is None or event.facts.get("forecast"):
        return
    place, on, winter = str(event.facts.get("place", "")), event.happened_on, _WINTER_MONTHS[view.setting.latitude >= 0]
    maxima = _maxima(view.standing, place, on - timedelta(days=210)) | {on: float(event.facts["max_c"])}
    cold = [value for day, value in maxima.items() if day.month in winter and timedelta(0) <= on - day <= timedelta(days=210)]
    spring = {
        day: value for day, value in maxima.items() if day.month not in winter and timedelta(0) <= on - day <= timedelta(days=120)
    }
    if len(cold) >= 5 and scorch_day(spring, sum(cold) / len(cold)) == on:
        yield Advice("hot_run", (), {"mean_c": round(sum(cold) / len(cold), 1)})


def _maxima(standing: Standing, place: str, since: date) -> dict[date, float]:
    begin = since.isoformat()
    return {
        date.fromisoformat(one["on"]): float(one["max_c"])
        for key, held in standing.readings.items()
        if key.partition("|")[0] == place
        for one in held
        if one["on"] >= begin and one.get("max_c") is not None and not one.get("forecast")
    }


_RULES: dict[str, Callable[[Thing, CareEvent, View, list[CareEvent]], Iterator[Advice]]] = {
    "watered": _watered,
    "fed": _fed,
    "potted": _potted,
    "repotted": _potted,
    "released": _released,
    "given": _leaves,
    "offered": _leaves,
    "moved": _moved,
    "treated": _treated,
}
