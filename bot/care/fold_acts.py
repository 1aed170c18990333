"""What each act changes in the standing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from bot.care.accessions import number_of
from bot.care.events import CareEvent, Ref
from bot.care.fold_lots import beyond, noted, potted_part
from bot.care.fold_record import awaited, fulfil_reminders
from bot.care.merging import AGAIN, BEHIND
from bot.care.reach import PEST_SIGNS, follow, is_outside, open_cases, touched
from bot.care.sources import PROJECT_DEFAULT
from bot.care.standing import OTHER_NUMBERS, Case, Standing, Thing, laid_over

LEAVES = {"died": "dead", "given": "given", "discarded": "discarded", "missing": "missing"}
LIGHT_WATERINGS = frozenset({"splash"})
ON_THE_RACK = timedelta(days=14)  # what is watered so long after stands in a pot again
RECENT = timedelta(days=120)  # a first water later than this after potting is no news
TRUST = {"ON_THE_RACK": PROJECT_DEFAULT, "RECENT": PROJECT_DEFAULT}


def act(standing: Standing, event: CareEvent) -> None:
    """Carry an act into the standing."""
    if standing.reminders:
        awaited(standing, event)
        fulfil_reminders(standing, event)
    special = _WHOLE_EVENT.get(event.what)
    if special is not None:
        special(standing, event)
        return
    rule = _ACTS.get(event.what)
    for ref in event.refs:
        thing = standing.thing(ref.kind, ref.key)
        if rule is not None:
            rule(standing, thing, event, ref)
        noted(thing, event.what, event.happened_on, ref.count)
    for case in open_cases(standing, event.refs) if event.what in ("treated", "inspected") else ():
        _case_step(case, event)


def _case_step(case: Case, event: CareEvent) -> None:
    if event.what == "treated":
        case.day0 = max(case.day0, event.happened_on)
        case.clean_looks.clear()
        case.treatments.append(
            {
                "on": event.happened_on.isoformat(),
                **{k: event.facts[k] for k in ("how", "product", "course", "dose") if k in event.facts},
            }
        )


def _watered(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    how = event.facts.get("how", "")
    if event.what == "fed":
        thing.last["watered"] = event.happened_on.isoformat()
    if thing.bare_on is not None and event.happened_on - thing.bare_on >= ON_THE_RACK:
        thing.bare_on, thing.bare_count = None, None  # what is watered so long after stands in a pot again, noted or not
    soak = {
        "how": how,
        "count": ref.count,
        "ml": event.facts.get("ml"),
        "event": event.identity,
        "except": event.facts.get("except"),
    }
    if how in LIGHT_WATERINGS and thing.soaked_on:
        thing.soak.setdefault("light", []).append({"on": event.happened_on.isoformat(), "ml": event.facts.get("ml")})
    else:
        thing.soaked_on = event.happened_on
        thing.soak = {key: value for key, value in soak.items() if value not in (None, "")}
    settled = [one for one in thing.settling if date.fromisoformat(one["on"]) < event.happened_on]
    if settled:
        thing.settling = [one for one in thing.settling if one not in settled]
        if any(event.happened_on - date.fromisoformat(one["on"]) < RECENT for one in settled):
            follow(thing, "first_water", event)
    if thing.hold and _hold_over(thing.hold, event.happened_on):
        thing.hold = {}


def _hold_over(hold: dict[str, Any], on: date) -> bool:
    return bool(hold.get("until")) and date.fromisoformat(hold["until"]) <= on


def _wetted(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    thing.soaked_on = event.happened_on
    thing.soak = {"how": "wetted", "event": event.identity} | ({"count": ref.count} if ref.count else {})
    follow(thing, "wetted", event)


def _isolated(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    thing.isolated_on, thing.isolated_why, thing.clean_looks = event.happened_on, event.facts.get("why", "set apart"), []


def _released(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    for one in [thing, *(standing.at(thing.key) if thing.kind == "place" else ())]:
        one.isolated_on, one.isolated_why = None, ""


def _bared(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    if thing.bare_on is None or event.what != "set_to_dry":
        thing.bare_on = event.happened_on
    count = ref.count if ref.count is not None else thing.count
    thing.bare_count = max(thing.bare_count or 0, count) if count is not None else thing.bare_count
    if thing.bare_count is not None and thing.count is not None:
        thing.bare_count = min(thing.bare_count, thing.count)
    thing.soaked_on, thing.soak, thing.settling = None, {}, []
    cut = event.facts.get("cut") or ("cut" if event.what == "root_pruned" else "")
    thing.cut = cut or thing.cut
    if event.facts.get("roots"):
        thing.roots = event.facts["roots"]


def _potted(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    bare = thing.bare_on is not None
    how = event.facts.get("how", "")
    state = ("cut" if thing.cut else "cleaned") if bare or how != "on" else "whole"
    if event.what == "potted" and not bare:
        state = "cleaned"
    count = ref.count if ref.count is not None else thing.bare_count
    left = (thing.bare_count or 0) - (count or 0) if thing.bare_count is not None else 0
    thing.bare_count, thing.bare_on = (left, thing.bare_on) if left > 0 else (None, None)
    thing.settling.append({"on": event.happened_on.isoformat(), "count": count, "state": state, "cut": thing.cut})
    thing.cut = thing.cut if left > 0 else ""
    thing.potted_on, thing.soaked_on, thing.soak = event.happened_on, None, {}
    if thing.hold and _hold_over(thing.hold, event.happened_on):
        thing.hold = {}
    _repot_facts(standing, thing, event, ref)


_POT_FACTS = (("pot_cm", "cm"), ("pot", "material"), ("mix", "mix"), ("depth_cm", "depth_cm"))


def _pot_said(standing: Standing, event: CareEvent) -> dict[str, Any]:
    """Return what an event says of the pot, its mix with the parts that were said, else with its recipe of that day."""
    said = {name: event.facts[fact] for fact, name in _POT_FACTS if fact in event.facts}
    if "parts" in event.facts:
        parts = [list(one) for one in event.facts["parts"]]
        return {**said, "recipe": {"parts": parts, "on": event.happened_on.isoformat()}}
    return standing.with_recipe(said)


def _repot_facts(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    before = dict(thing.pot)
    thing.pot = laid_over(thing.pot, _pot_said(standing, event))
    potted_part(thing, before, event.happened_on, ref.count)
    if event.facts.get("roots"):
        thing.roots = event.facts["roots"]
    if event.facts.get("to"):
        thing.place = event.facts["to"]


def _rest(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    for one in [thing, *(standing.at(thing.key) if thing.kind == "place" else ())]:
        if event.what == "rest_started":
            one.rest_on, one.rest_ended_on = event.happened_on, None
        else:
            one.rest_on, one.rest_ended_on = None, event.happened_on


def _moved(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    to = str(event.facts.get("to") or "")
    if not to:
        return
    standing.thing("place", to)
    if thing.kind == "place":
        thing.parent = to  # a tray on a bench: what stands in it goes along
    elif thing.place and any((one.kind, one.key) == ("place", thing.place) for one in event.refs):
        if is_outside(to):
            follow(thing, "moved_out", event)  # it stays where it stands, and that goes
    elif ref.count is None or ref.count == thing.count:
        before, thing.place = thing.place, to
        if before and is_outside(to) != is_outside(before):
            follow(thing, "moved_out" if is_outside(to) else "brought_in", event)


def _leaves(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    unbounded = thing.kind in ("place", "house", "taxon", "some")
    gone = ref.count if ref.count is not None else 1 if thing.count is None else thing.count
    if thing.count is not None and not unbounded:
        gone = min(gone, thing.count)  # nothing leaves twice: what died and was binned is one loss
    elif not unbounded:
        beyond(thing, gone)
    thing.tally[event.what] = thing.tally.get(event.what, 0) + gone
    if gone:
        cause = {"cause": event.facts["cause"]} if event.facts.get("cause") else {}
        thing.gone.append({"on": event.happened_on.isoformat(), "what": event.what, "count": gone} | cause)
    if event.what in ("died", "discarded") and _spreads(standing, thing, event):
        follow(standing.thing("place", thing.place), "neighbours", event)
    if unbounded or (thing.count is None and ref.count is not None):
        return  # a part of an unknown number leaves the rest
    if thing.count is not None and gone < thing.count:
        thing.count -= gone
        if thing.bare_count:
            thing.bare_count = min(thing.bare_count, thing.count)
        return
    thing.status, thing.count = LEAVES[event.what], 0
    if event.what == "given":
        follow(thing, "given", event)


def _spreads(standing: Standing, thing: Thing, event: CareEvent) -> bool:
    """Whether a death asks for a look at those that stood beside: by a pest or damping-off, said or followed."""
    if not thing.place:
        return False
    cause = str(event.facts.get("cause", ""))
    return cause in PEST_SIGNS | {"damping_off"} or (not cause and bool(open_cases(standing, (thing.ref,))))


def _found(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    back = wanted = ref.count or 1
    for act in ("missing", *LEAVES) if not event.facts.get("more") else ():  # what was only mislaid comes back first
        taken = min(back, thing.tally.get(act, 0))
        if taken:
            thing.tally[act] -= taken
            back -= taken
            _never_left(thing, act, taken)
    taken, before = wanted - back, thing.count or 0
    least = 1 if thing.kind == "plant" else before + wanted if event.facts.get("more") else wanted
    thing.status, thing.count = "alive", max(before + taken, least)
    beyond(thing, thing.count - before - taken)


def _never_left(thing: Thing, act: str, count: int) -> None:
    """Take so many back of what left by an act, the latest first."""
    for one in reversed([gone for gone in thing.gone if gone["what"] == act]):
        taken = min(count, one["count"])
        one["count"], count = one["count"] - taken, count - taken
    thing.gone = [gone for gone in thing.gone if gone["count"]]


def _named(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    name = {
        "name": event.facts.get("name", ""),
        "on": event.happened_on.isoformat(),
        "by": event.facts.get("by", ""),
        "sure": event.facts.get("sure", True),
    }
    thing.names.insert(len(thing.names) - bool(thing.names and event.facts.get(BEHIND)), name)


def _germinated(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    if ref.count is not None:
        before = thing.tally.get("up", 0)
        thing.tally["up"] = ref.count if event.facts.get("total") else before + ref.count
        thing.tally.setdefault("counts", []).append([event.happened_on.isoformat(), thing.tally["up"]])
    if "sown" in event.facts:
        thing.tally["sown"] = event.facts["sown"]


def _rooted(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    word = {"rooted": "rooted", "united": "rooted", "failed": "failed"}[event.what]
    said = ref.count if ref.count is not None else thing.tally.get("taken", thing.count or 1)
    others = thing.tally.get("failed" if word == "rooted" else "rooted", 0)
    left = thing.tally["taken"] - others if "taken" in thing.tally else None
    more = thing.tally.get(word, 0) + said
    # "The last one rooted" cannot make more than were taken; a total that is larger corrects the number taken.
    thing.tally[word] = (
        said if event.facts.get("total") else more if left is None else min(more, max(left, thing.tally.get(word, 0)))
    )
    thing.tally["taken"] = max(event.facts.get("of", 0), thing.tally.get("taken", 0), thing.tally[word])


def _sown(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    thing.came_on = event.happened_on
    sown = event.facts.get("sown", ref.count)
    if sown is not None:
        thing.tally["sown"] = sown
    if event.facts.get("name"):
        _named(standing, thing, event, ref)
    thing.place = str(event.facts.get("to") or thing.place)


def _pricked_out(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    thing.tally["pricked_out"] = thing.tally.get("pricked_out", 0) + (ref.count or 0)
    if event.facts.get("to") and thing.kind != "sowing":
        thing.place = event.facts["to"]
    follow(thing, "pricked_out", event)


def _pollinated(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    """Remember whose pollen it was given: what is sown of its seed has two parents."""
    if event.facts.get("by"):
        thing.tally["pollen"] = [*thing.tally.get("pollen", ()), [event.happened_on.isoformat(), str(event.facts["by"])]]


def _covered(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    follow(thing, event.what, event)


def _offered(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    if not event.facts.get("promised"):  # what one person was promised is no offer to others
        thing.tally["offered"] = ref.count if ref.count is not None else thing.count


_ACTS: dict[str, Callable[[Standing, Thing, CareEvent, Ref], None]] = {
    "watered": _watered,
    "fed": _watered,
    "wetted": _wetted,
    "isolated": _isolated,
    "released": _released,
    "unpotted": _bared,
    "washed": _bared,
    "root_pruned": _bared,
    "set_to_dry": _bared,
    "potted": _potted,
    "repotted": _potted,
    "rest_started": _rest,
    "rest_ended": _rest,
    "moved": _moved,
    "named": _named,
    "found_alive": _found,
    "germinated": _germinated,
    "rooted": _rooted,
    "united": _rooted,
    "failed": _rooted,
    "sown": _sown,
    "pollinated": _pollinated,
    "pricked_out": _pricked_out,
    "uncovered": _covered,
    "unshaded": _covered,
    "offered": _offered,
    "died": _leaves,
    "given": _leaves,
    "discarded": _leaves,
    "missing": _leaves,
}


def _acquired(standing: Standing, event: CareEvent) -> None:
    for position, ref in enumerate(event.refs):
        thing = standing.thing(ref.kind, ref.key)
        _numbered(thing, number_of(event, position))
        if ref.key in event.facts.get(AGAIN, ()):
            _noted_again(standing, thing, event, ref)
            continue
        if ref.kind == "plant":
            thing.count = 1
        elif ref.count is not None:  # a lot that comes without a number has an unknown one, not none
            thing.count = (thing.count or 0) + ref.count
        thing.status = "alive"
        thing.tally["come"] = thing.tally.get("come", 0) + (ref.count or (1 if ref.kind == "plant" else 0))
        _as_ordered(thing, event)
        thing.came_on, thing.came_from = event.happened_on, str(event.facts.get("from", thing.came_from))
        thing.price, thing.currency = event.facts.get("price", thing.price), event.facts.get("currency", thing.currency)
        thing.place = str(event.facts.get("to") or thing.place)
        if event.facts.get("name"):
            _named(standing, thing, event, ref)
        thing.pot = laid_over(thing.pot, _pot_said(standing, event))
        for alias in event.facts.get("aliases", ()):
            if alias not in thing.aliases:
                thing.aliases.append(alias)
        _newcomer(thing, event)
        thing.last["acquired"] = event.happened_on.isoformat()
    if event.facts.get("from"):
        standing.people.setdefault(str(event.facts["from"]).lower(), str(event.facts["from"]))


def _numbered(thing: Thing, number: str) -> None:
    """Give a thing its accession number; a second one, of a record that turned out to be the same plant, leads to it."""
    if thing.accession and number and number != thing.accession:
        thing.tally[OTHER_NUMBERS] = [*thing.tally.get(OTHER_NUMBERS, ()), number]
    thing.accession = thing.accession or number


def _noted_again(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    """Take from a second record of one arrival what the first did not say."""
    thing.came_from = thing.came_from or str(event.facts.get("from", ""))
    if thing.price is None:
        thing.price, thing.currency = event.facts.get("price"), event.facts.get("currency", thing.currency)
    thing.place = str(event.facts.get("to") or thing.place)
    if event.facts.get("name"):
        _named(standing, thing, event, ref)


def _as_ordered(thing: Thing, event: CareEvent) -> None:
    """Keep how many were ordered, and the range of their sizes."""
    if "ordered" in event.facts:
        thing.tally["ordered"] = thing.tally.get("ordered", 0) + event.facts["ordered"]
    if "size_cm" in event.facts:
        thing.tally["size_cm"] = list(event.facts["size_cm"])


def _newcomer(thing: Thing, event: CareEvent) -> None:
    """Newcomers stand apart until proven clean; seed needs no quarantine, plants of the grower's own record none either."""
    if event.facts.get("state") == "seed" or event.facts.get("settled"):
        return
    thing.isolated_on, thing.isolated_why = event.happened_on, "new"
    if event.facts.get("state") == "bare_root":
        thing.bare_on, thing.bare_count = event.happened_on, thing.count


_TAKEN = {"offsets_taken": "offsets", "cutting_taken": "cuttings", "grafted": "grafts"}


def _taken(standing: Standing, event: CareEvent) -> None:
    """Offsets, cuttings and grafts become a batch of their own, with the parent's name and place."""
    batch = standing.thing("batch", event.identity)
    parents = [one for one in event.refs if one.kind != "batch"]
    for parent in touched(standing, parents):
        parent.last[event.what] = event.happened_on.isoformat()
        batch.parent = batch.parent or f"{parent.kind}:{parent.key}"
        batch.names = batch.names or list(parent.names) or ([{"name": parent.key}] if parent.kind == "taxon" else [])
        batch.place = batch.place or parent.place
    count = event.facts.get("count") or 1
    batch.came_on, batch.count, batch.sequence = event.happened_on, count, event.sequence
    batch.tally |= {"kind": event.facts.get("kind") or _TAKEN[event.what], "taken": count}


_WHOLE_EVENT: dict[str, Callable[[Standing, CareEvent], None]] = {
    "acquired": _acquired,
    "offsets_taken": _taken,
    "cutting_taken": _taken,
    "grafted": _taken,
}
