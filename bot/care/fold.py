"""One care event onto the standing: what each act, finding and word of the grower changes.

`fold` is the only way in which the standing changes. It uses nothing but the standing and the event, so that the log folded
from the start gives the same rows as the log folded as it came.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Any

from bot.care.events import CareEvent, Ref, effective, refs_from_json
from bot.care.floors import floor_of
from bot.care.sources import PROJECT_DEFAULT
from bot.care.standing import Case, Reminder, Standing, Thing

CLEAN_LOOK_SIGNS = frozenset({"pest", "healthy"})
PEST_SIGNS = frozenset(
    """spider_mite flat_mite mealybug root_mealybug scale_insect aphid thrips fungus_gnat vine_weevil whitefly slug
    caterpillar ant rodent nematode pest webbing""".split()
)
# Webs are the mite's trace, so a case of webbing is a case of spider mite.
CASE_OF_SIGN = {"webbing": "spider_mite"}
LEAVES = {"died": "dead", "given": "given", "discarded": "discarded", "missing": "missing"}
LIGHT_WATERINGS = frozenset({"splash"})
OUTSIDE = ("outdoor", "outside", "frame", "garden", "patio", "balcony", "yard")  # where sun, rain and frost reach a plant
ON_THE_RACK = timedelta(days=14)  # project default
RECENT = timedelta(days=120)  # a first water later than this after potting is no news
CHILLED_BELOW_FLOOR_C = 3.0  # a degree below a safe floor is no harm to a dry plant
COLDEST_FLOOR_C = 18.0  # no floor lies higher, so a warmer night needs no look at each plant
TRUST = {
    "ON_THE_RACK": PROJECT_DEFAULT,
    "RECENT": PROJECT_DEFAULT,
    "CHILLED_BELOW_FLOOR_C": PROJECT_DEFAULT,
    "COLDEST_FLOOR_C": PROJECT_DEFAULT,
}


def fold_all(log: Iterable[CareEvent]) -> Standing:
    """Return the standing that the whole log comes to, corrections carried out."""
    events = list(log)
    standing = Standing()
    for event in effective(events):
        fold(standing, event)
    standing.last_sequence = max((one.sequence for one in events), default=0)
    return standing


def fold(standing: Standing, event: CareEvent) -> None:
    """Carry one effective event into the standing."""
    rule = _KINDS.get(event.kind)
    if rule is not None:
        rule(standing, event)
    standing.last_on = max(standing.last_on, event.happened_on)
    standing.last_sequence = max(standing.last_sequence, event.sequence)


def touched(standing: Standing, refs: Iterable[Ref]) -> list[Thing]:
    """Return the things that refs name, made on their first mention."""
    return [standing.thing(one.kind, one.key) for one in refs]


def stands_with(standing: Standing, thing: Thing) -> list[Thing]:
    """Return the living things that share the thing's lot or place, itself included: what a find puts at risk."""
    if thing.kind == "place":
        return [thing, *standing.at(thing.key)]
    mates = [
        one for one in standing.plants() if (thing.place and one.place == thing.place) or (thing.lot and one.lot == thing.lot)
    ]
    return mates if thing in mates else [thing, *mates]


def overlaps(standing: Standing, left: Ref, right: Ref) -> bool:
    """Whether two refs can mean a plant in common: the same thing, or a plant and the place, lot or genus it belongs to."""
    if (left.kind, left.key) == (right.kind, right.key) or "house" in (left.kind, right.kind):
        return True
    return _inside(standing, left, right) or _inside(standing, right, left)


def _inside(standing: Standing, inner: Ref, outer: Ref) -> bool:
    thing = standing.things.get((inner.kind, inner.key))
    if thing is None:
        return False
    return {"place": thing.place, "lot": thing.lot, "taxon": thing.genus}.get(outer.kind) == outer.key


# --- acts -------------------------------------------------------------------------------------------------------------


def _event(standing: Standing, event: CareEvent) -> None:
    special = _WHOLE_EVENT.get(event.what)
    if special is not None:
        special(standing, event)
        return
    rule = _ACTS.get(event.what)
    for ref in event.refs:
        thing = standing.thing(ref.kind, ref.key)
        if rule is not None:
            rule(standing, thing, event, ref)
        thing.last[event.what] = event.happened_on.isoformat()
    for case in _open_cases(standing, event.refs) if event.what in ("treated", "inspected") else ():
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
            _follow(thing, "first_water", event)
    if thing.hold and _hold_over(thing.hold, event.happened_on):
        thing.hold = {}


def _hold_over(hold: dict[str, Any], on: date) -> bool:
    return bool(hold.get("until")) and date.fromisoformat(hold["until"]) <= on


def _wetted(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    thing.soaked_on = event.happened_on
    thing.soak = {"how": "wetted", "event": event.identity} | ({"count": ref.count} if ref.count else {})
    _follow(thing, "wetted", event)


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
    _repot_facts(thing, event)


def _repot_facts(thing: Thing, event: CareEvent) -> None:
    for fact, name in (("pot_cm", "cm"), ("pot", "material"), ("mix", "mix"), ("depth_cm", "depth_cm")):
        if fact in event.facts:
            thing.pot[name] = event.facts[fact]
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
    elif ref.count is None or ref.count == thing.count:
        before, thing.place = thing.place, to
        if before and _is_outside(to) != _is_outside(before):
            _follow(thing, "moved_out" if _is_outside(to) else "brought_in", event)


def _is_outside(place: str) -> bool:
    return any(word in place.lower() for word in OUTSIDE)


def _leaves(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    unbounded = thing.kind in ("place", "house", "taxon", "some")
    gone = ref.count if ref.count is not None else 1 if thing.count is None else thing.count
    if thing.count is not None and not unbounded:
        gone = min(gone, thing.count)  # nothing leaves twice: what died and was binned is one loss
    thing.tally[event.what] = thing.tally.get(event.what, 0) + gone
    if event.what in ("died", "discarded") and _spreads(standing, thing, event):
        _follow(standing.thing("place", thing.place), "neighbours", event)
    if unbounded or (thing.count is None and ref.count is not None):
        return  # a part of an unknown number leaves the rest
    if thing.count is not None and gone < thing.count:
        thing.count -= gone
        if thing.bare_count:
            thing.bare_count = min(thing.bare_count, thing.count)
        return
    thing.status, thing.count = LEAVES[event.what], 0
    if event.what == "given":
        _follow(thing, "given", event)


def _spreads(standing: Standing, thing: Thing, event: CareEvent) -> bool:
    """Whether a death asks for a look at those that stood beside: by a pest or damping-off, said or followed."""
    if not thing.place:
        return False
    cause = str(event.facts.get("cause", ""))
    return cause in PEST_SIGNS | {"damping_off"} or (not cause and bool(_open_cases(standing, (thing.ref,))))


def _found(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    back = wanted = ref.count or 1
    for act in ("missing", *LEAVES):  # what was only mislaid comes back first
        taken = min(back, thing.tally.get(act, 0))
        if taken:
            thing.tally[act] -= taken
            back -= taken
    thing.status, thing.count = "alive", max((thing.count or 0) + wanted - back, 1 if thing.kind == "plant" else wanted)


def _named(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    name = {
        "name": event.facts.get("name", ""),
        "on": event.happened_on.isoformat(),
        "by": event.facts.get("by", ""),
        "sure": event.facts.get("sure", True),
    }
    thing.names.append(name)


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
    thing.tally[word] = said if event.facts.get("total") else thing.tally.get(word, 0) + said
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
    _follow(thing, "pricked_out", event)


def _covered(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
    _follow(thing, event.what, event)


def _offered(standing: Standing, thing: Thing, event: CareEvent, ref: Ref) -> None:
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
    for ref in event.refs:
        thing = standing.thing(ref.kind, ref.key)
        if ref.kind == "plant":
            thing.count = 1
        elif ref.count is not None:  # a lot that comes without a number has an unknown one, not none
            thing.count = (thing.count or 0) + ref.count
        thing.status = "alive"
        thing.tally["come"] = thing.tally.get("come", 0) + (ref.count or 1)
        thing.came_on, thing.came_from = event.happened_on, str(event.facts.get("from", thing.came_from))
        thing.price, thing.currency = event.facts.get("price", thing.price), event.facts.get("currency", thing.currency)
        thing.place = str(event.facts.get("to") or thing.place)
        if event.facts.get("name"):
            _named(standing, thing, event, ref)
        for alias in event.facts.get("aliases", ()):
            if alias not in thing.aliases:
                thing.aliases.append(alias)
        _newcomer(thing, event)
        thing.last["acquired"] = event.happened_on.isoformat()
    if event.facts.get("from"):
        standing.people.setdefault(str(event.facts["from"]).lower(), str(event.facts["from"]))


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


def _follow(thing: Thing, what: str, event: CareEvent) -> None:
    """Remember that something was done or seen which asks for a later look; the latest of its kind counts."""
    thing.follow = [one for one in thing.follow if one["what"] != what]
    thing.follow.append({"what": what, "on": event.happened_on.isoformat()})


# --- findings ---------------------------------------------------------------------------------------------------------

FOLLOWED_SIGNS = frozenset({"rot", "soft", "bronzing", "cold_mark", "scorch", "damping_off", "scarring", "grey_mould"})


def _finding(standing: Standing, event: CareEvent) -> None:
    sign, status = CASE_OF_SIGN.get(event.what, event.what), event.facts.get("status", "present")
    for thing in touched(standing, event.refs):
        thing.last[f"{status}:{event.what}"] = event.happened_on.isoformat()
        if event.what in FOLLOWED_SIGNS and status in ("present", "suspected"):
            _follow(thing, event.what, event)
        if event.what in ("mix_dry", "mix_damp") and status in ("present", "absent"):
            _dry_report(standing, thing, event, dry=(event.what == "mix_dry") == (status == "present"))
    if sign in PEST_SIGNS or (event.what in CLEAN_LOOK_SIGNS and status in ("absent", "cleared", "present")):
        _pest_finding(standing, event, sign, status)


def _dry_report(standing: Standing, thing: Thing, event: CareEvent, *, dry: bool) -> None:
    """Keep what was said of a soaked pot, for learning; a dry one waits for no look any more, a damp one for the next."""
    on = event.happened_on.isoformat()
    if thing.soaked_on is not None and thing.soaked_on < event.happened_on:
        said = ("already dry" if event.facts.get("already") else "dry") if dry else "damp"
        report = {"kind": thing.kind, "key": thing.key, "said": said, "soaked_on": thing.soaked_on.isoformat(), "on": on}
        standing.dry_reports.append(report)
    if dry:
        thing.soaked_on, thing.soak = None, {}
    elif thing.soaked_on is not None:
        thing.soak["damp_on"] = on


def _pest_finding(standing: Standing, event: CareEvent, sign: str, status: str) -> None:
    if status in ("present", "suspected") and sign in PEST_SIGNS:
        _find(standing, event, sign, suspected=status == "suspected")
        return
    _clean(standing, event, sign)


def _find(standing: Standing, event: CareEvent, sign: str, *, suspected: bool) -> None:
    on = event.happened_on
    same = [one for one in _open_cases(standing, event.refs) if one.sign in (sign, "pest") or sign == "pest"]
    if same:
        case = same[0]
        case.day0, case.suspected = max(case.day0, on), case.suspected and suspected
        case.sign = sign if case.sign == "pest" else case.sign
        case.clean_looks.clear()
        case.refs += tuple(one for one in event.refs if one not in case.refs)
    else:
        case = standing.cases[event.identity] = Case(
            event.identity, sign, event.refs, on, on, event.sequence, suspected=suspected
        )
    case.finds.append(on.isoformat())
    if "count" in event.facts:
        case.counts.append([on.isoformat(), int(event.facts["count"])])
    if not suspected:
        _restart_isolation(standing, event)


def _restart_isolation(standing: Standing, event: CareEvent) -> None:
    """A find restarts the quarantine of all that stood together (project default)."""
    for thing in touched(standing, event.refs):
        for mate in stands_with(standing, thing):
            if mate.isolated_on is not None:
                mate.isolated_on, mate.isolated_why, mate.clean_looks = event.happened_on, "find", []


def _clean(standing: Standing, event: CareEvent, sign: str) -> None:
    """A look that found none: it counts for each case it can speak of, and for the quarantine. A look is no all-clear."""
    on = event.happened_on.isoformat()
    wanted = None if sign in CLEAN_LOOK_SIGNS else sign
    for case in _open_cases(standing, event.refs):
        if (wanted is None or case.sign == wanted) and on not in case.clean_looks:
            case.clean_looks.append(on)
            if case.counts:
                case.counts.append([on, 0])
    for thing in touched(standing, event.refs):
        for mate in [thing, *(standing.at(thing.key) if thing.kind == "place" else ())]:
            if mate.isolated_on is not None and on not in mate.clean_looks:
                mate.clean_looks.append(on)


def _open_cases(standing: Standing, refs: Iterable[Ref]) -> list[Case]:
    wanted = tuple(refs)
    hit = (
        one
        for one in standing.cases.values()
        if one.open and any(overlaps(standing, mine, ref) for mine in one.refs for ref in wanted)
    )
    return sorted(hit, key=lambda one: (one.opened_on, one.sequence))  # the same order whether folded live or from the start


# --- the rest of the log ----------------------------------------------------------------------------------------------


def _skip(standing: Standing, event: CareEvent) -> None:
    for thing in touched(standing, event.refs):
        thing.last[f"skipped:{event.what}"] = event.happened_on.isoformat()


def _measure(standing: Standing, event: CareEvent) -> None:
    value = {key: event.facts[key] for key in ("value", "low", "high", "unit") if key in event.facts}
    for thing in touched(standing, event.refs):
        thing.tally[event.what] = value | {"on": event.happened_on.isoformat()}
        if event.facts.get("roots"):
            thing.roots = str(event.facts["roots"])


def _climate(standing: Standing, event: CareEvent) -> None:
    place = str(event.facts.get("place", ""))
    entry = {"on": event.happened_on.isoformat()} | {key: value for key, value in event.facts.items() if key != "place"}
    standing.readings.setdefault(f"{place}|{event.happened_on.year}", []).append(entry)
    low = event.facts.get("min_c")
    if low is None or event.facts.get("forecast"):
        return
    if low <= 0:
        _follow(standing.thing("place", place) if place else standing.thing("house", ""), "frost", event)
    elif low <= COLDEST_FLOOR_C:
        _chilled(standing, place, low, event)


def _chilled(standing: Standing, place: str, low: float, event: CareEvent) -> None:
    """A night above freezing that went below the floor of tender plants asks for the same second looks."""
    for thing in standing.plants():
        here = thing.place == place if place else not _is_outside(thing.place)
        if here and thing.genus:
            floor = floor_of(standing, thing)
            if low <= floor.c - CHILLED_BELOW_FLOOR_C and not floor.unsure:
                _follow(thing, "chilled", event)


def _hold(standing: Standing, event: CareEvent) -> None:
    hold = {key: event.facts[key] for key in ("until", "cond") if event.facts.get(key)} | {"on": event.happened_on.isoformat()}
    for thing in touched(standing, event.refs):
        thing.hold = dict(hold)


def _reminder(standing: Standing, event: CareEvent) -> None:
    facts = event.facts
    if facts.get("cancel") or facts.get("snooze"):
        _change_reminders(standing, event)
        return
    due = facts.get("due")
    standing.reminders[event.identity] = Reminder(
        key=event.identity,
        on=event.happened_on,
        due=date.fromisoformat(due[:10]) if due else None,
        at=due[11:16] if due and "T" in due else "",
        act=facts.get("act", ""),
        text=facts.get("text", ""),
        cond=facts.get("cond", ""),
        words=facts.get("words", ""),
        refs=event.refs,
        every_days=facts.get("every_days"),
    )


def _change_reminders(standing: Standing, event: CareEvent) -> None:
    for key, one in list(standing.reminders.items()):
        meant = not event.refs or any(overlaps(standing, mine, other) for mine in one.refs for other in event.refs)
        if not meant or (event.facts.get("act") and one.act and one.act != event.facts["act"]):
            continue
        if event.facts.get("cancel"):
            del standing.reminders[key]
        elif event.facts.get("due"):
            one.due = date.fromisoformat(event.facts["due"][:10])


def _taught(standing: Standing, event: CareEvent) -> None:
    name = str(event.facts["name"])
    if event.what == "person":
        standing.people[name.lower()] = name
        return
    for thing in touched(standing, event.refs):
        if thing.kind == "plant":
            thing.nickname = name
        elif name not in thing.aliases:
            thing.aliases.append(name)


def _handled(standing: Standing, event: CareEvent) -> None:
    said: dict[str, Any] = {"what": event.kind, "on": event.happened_on.isoformat()}
    if event.facts.get("until"):
        said["until"] = event.facts["until"]
    standing.handled[event.facts["due"]] = said
    reminder = standing.reminders.get(str(event.facts.get("reminder", "")))
    if reminder is None or event.kind == "later":
        return
    if event.kind == "done" and reminder.every_days and reminder.due:
        reminder.due += timedelta(days=reminder.every_days)
    else:
        del standing.reminders[reminder.key]


def _closed(standing: Standing, event: CareEvent) -> None:
    case = standing.cases.get(str(event.facts["case"]))
    if case is not None:
        case.closed_on = event.happened_on


def _known(standing: Standing, event: CareEvent) -> None:
    """A record of what is there without a day on which it came: a place of a lot, members of a lot, a pot."""
    facts = event.facts
    for thing in touched(standing, event.refs):
        thing.place = str(facts.get("place", thing.place))
        thing.lot = str(facts.get("lot", thing.lot))
        if "pot" in facts:
            thing.pot |= facts["pot"]
        if facts.get("parts"):
            for part in refs_from_json(facts["parts"]):
                standing.thing(part.kind, part.key).lot = thing.key


RULES = ("class", "months", "light", "floor_c")


def _ruled(standing: Standing, event: CareEvent) -> None:
    """Keep the grower's standing word on a genus, a plant, a lot or a place; the latest word on each matter counts."""
    said = {key: event.facts[key] for key in RULES if key in event.facts}
    on = event.happened_on.isoformat()
    for ref in event.refs:
        before = standing.rules.get(f"{ref.kind}:{ref.key}", {"said": {}})
        days = {**before["said"], **dict.fromkeys(said, on)}
        kept = {**before, **said, "said": days}
        if "months" in said and "class" not in said:  # "rest till may" is more exact than an earlier "winter growers"
            kept.pop("class", None)
            days.pop("class", None)
        if "class" in said and "months" not in said:
            kept.pop("months", None)
            days.pop("months", None)
        standing.rules[f"{ref.kind}:{ref.key}"] = kept


_KINDS: dict[str, Callable[[Standing, CareEvent], None]] = {
    "event": _event,
    "finding": _finding,
    "skip": _skip,
    "measure": _measure,
    "climate": _climate,
    "hold": _hold,
    "reminder": _reminder,
    "taught": _taught,
    "done": _handled,
    "later": _handled,
    "dropped": _handled,
    "closed": _closed,
    "known": _known,
    "ruled": _ruled,
}
