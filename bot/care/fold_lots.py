"""Single plants out of a lot: what they carry with them, and the counts of the lot, which never drift.

For each lot holds: come + beyond = alive without a number + split off + given + died + discarded + missing. `beyond` are plants
that the record never saw come: found, counted, or split off a lot of unknown number.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from bot.care.accessions import number_of
from bot.care.events import CareEvent, Ref
from bot.care.standing import Case, Reminder, Standing, Thing, laid_over

SPLIT, COUNTED, DATA = "split", "counted", "data"
ORIGIN = ("field_number", "provenance", "label_text")  # what is known of where a plant is from, as typed
SPLIT_OFF, BEYOND, SPLIT_FROM = "split_off", "beyond", "split_from"  # in the tally of the lot, of the lot, of the plant
OF_THE_LOT_ALONE = frozenset({"given", "died", "discarded", "missing", "found_alive", "offered", "offsets_taken"})
IN_PARTS = frozenset({"lot", "batch", "sowing"})
WATERINGS, POTTINGS = ("watered", "fed", "wetted"), ("potted", "repotted")


def noted(thing: Thing, what: str, on: date, count: int | None) -> None:
    """Remember when an act or sign was last noted, and of a lot whether for all of it: only that holds for each of its plants."""
    before = thing.last.get(what)
    thing.last[what] = on.isoformat()
    if thing.kind not in IN_PARTS or count is None:
        thing.partly.pop(what, None)
        return
    held = thing.partly.get(what)
    same_day = held is not None and held["on"] == on.isoformat()
    reached = count + (held["count"] if held and same_day else 0)  # "4 of the lot", then 5 of it on the same day: all nine
    if thing.count is not None and reached >= thing.count:
        thing.partly.pop(what, None)
        return
    whole = held.get("whole") if held else before
    thing.partly[what] = {"on": on.isoformat(), "count": reached} | ({"whole": whole} if whole else {})


def potted_part(thing: Thing, before: dict[str, Any], on: date, count: int | None) -> None:
    """Remember whether the pot that was noted is that of all plants of a lot."""
    if thing.kind not in IN_PARTS or count is None:
        thing.partly.pop("pot", None)
        return
    held = thing.partly.get("pot")
    mixed = held is not None and (held["mixed"] or before != thing.pot)
    reached = count + (held["count"] if held else 0)
    if not mixed and thing.count is not None and reached >= thing.count:
        thing.partly.pop("pot", None)
    else:
        thing.partly["pot"] = {"on": on.isoformat(), "count": reached, "mixed": mixed}


def beyond(thing: Thing, count: int) -> None:
    """Count plants that the record never saw come, so that what is there adds up."""
    if count > 0:
        thing.tally[BEYOND] = thing.tally.get(BEYOND, 0) + count


def split(standing: Standing, event: CareEvent) -> None:
    """Make single plants of a lot (batch, sowing) out of it: each carries what held for all of it, the lot counts down."""
    kind, _, key = str(event.facts["from"]).partition(":")
    source = standing.thing(kind, key)
    labels = [(position, ref) for position, ref in enumerate(event.refs) if ref.kind == "plant"]
    new = []
    for position, ref in labels:
        plant = standing.thing("plant", ref.key)
        plant.accession = plant.accession or number_of(event, position)
        if SPLIT_FROM in plant.tally:
            continue  # a plant comes out of one lot once
        plant.tally[SPLIT_FROM] = f"{kind}:{key}"
        _carried(source, plant)
        if event.facts.get("words"):
            plant.tally["words"] = str(event.facts["words"])
        new.append(plant)
    _with_it(standing, source, new)
    _less(source, len(new))
    if source.count == 0:
        _nothing_left(standing, source)


def counted(standing: Standing, event: CareEvent) -> None:
    """Take how many a lot was counted to hold: more are beyond what came, fewer are missing."""
    for ref in event.refs:
        thing = standing.thing(ref.kind, ref.key)
        if ref.count is None or thing.kind != "lot":
            continue
        lacking = (thing.count or 0) - ref.count
        beyond(thing, -lacking)
        if lacking > 0:
            thing.tally["missing"] = thing.tally.get("missing", 0) + lacking
            thing.gone.append({"on": event.happened_on.isoformat(), "what": "missing", "count": lacking})
        thing.count = ref.count
        _clamped(thing)


def origin(standing: Standing, event: CareEvent) -> None:
    """Keep a field number, a provenance, the text of a label."""
    said = {key: event.facts[key] for key in ORIGIN if key in event.facts}
    for ref in event.refs:
        standing.thing(ref.kind, ref.key).tally.update(said)


def _less(source: Thing, taken: int) -> None:
    held = min(taken, source.count) if source.count is not None else 0
    beyond(source, taken - held)
    source.tally[SPLIT_OFF] = source.tally.get(SPLIT_OFF, 0) + taken
    if source.count is not None:
        source.count -= held
    if source.bare_count is not None and source.bare_count > (source.count or 0):
        source.bare_count = source.count
    _clamped(source)


def _clamped(source: Thing) -> None:
    if source.count is None:
        return
    source.bare_count = min(source.bare_count, source.count) if source.bare_count is not None else None
    kept = [one if one["count"] is None else one | {"count": min(one["count"], source.count)} for one in source.settling]
    source.settling = [one for one in kept if one["count"] != 0]


def _carried(source: Thing, plant: Thing) -> None:
    """Give a plant what held for all of its lot, as far as nothing is noted of the plant itself."""
    if source.kind == "lot":
        plant.lot, plant.parent = source.key, plant.parent or source.parent
        plant.pollen = plant.pollen or source.pollen
    else:
        plant.parent = plant.parent or (source.parent if source.kind == "batch" else f"{source.kind}:{source.key}")
        how = {"offsets": "offset", "cuttings": "cutting", "grafts": "graft", "leaves": "leaf"}
        raised = how.get(str(source.tally.get("kind", "")), "seedling" if source.kind == "sowing" else "")
        if raised:
            plant.tally.setdefault("raised_as", raised)
    plant.came_on, plant.came_from = plant.came_on or source.came_on, plant.came_from or source.came_from
    plant.names = plant.names or [dict(one) for one in source.names]
    plant.place = plant.place or source.place
    plant.first_on = min((one for one in (plant.first_on, source.first_on) if one is not None), default=None)
    for name in ("raised_as", *ORIGIN):
        if name in source.tally:
            plant.tally.setdefault(name, source.tally[name])
    for act, day in source.last.items():
        whole = source.partly[act].get("whole") if act in source.partly else day
        if whole and act not in OF_THE_LOT_ALONE:
            plant.last.setdefault(act, whole)
    _carried_water(source, plant)
    _carried_pot(source, plant)
    _carried_state(source, plant)


def _carried_water(source: Thing, plant: Thing) -> None:
    if plant.soaked_on is not None or source.soaked_on is None:
        return
    if not any(one in source.partly for one in WATERINGS):
        plant.soaked_on, plant.soak = source.soaked_on, {k: v for k, v in source.soak.items() if k != "count"}
        return
    whole = max((one["whole"] for act in WATERINGS if (one := source.partly.get(act, {})).get("whole")), default=None)
    if whole and (source.potted_on is None or whole > source.potted_on.isoformat()):
        plant.soaked_on = date.fromisoformat(whole)


def _carried_pot(source: Thing, plant: Thing) -> None:
    if "pot" not in source.partly:
        plant.pot = laid_over(source.pot, plant.pot)
    plant.roots = plant.roots or source.roots
    if any(one in source.partly for one in POTTINGS):
        return
    if plant.potted_on is None and source.potted_on is not None:
        plant.potted_on = source.potted_on
        last = source.settling[-1:]
        plant.settling = [one | {"count": 1 if one["count"] is not None else None} for one in last]


def _carried_state(source: Thing, plant: Thing) -> None:
    all_bare = source.bare_count is None or source.count is None or source.bare_count >= source.count
    if source.bare_on is not None and all_bare and plant.bare_on is None and plant.potted_on is None:
        plant.bare_on, plant.bare_count, plant.cut = source.bare_on, 1, source.cut
    if source.isolated_on is not None and plant.isolated_on is None:
        plant.isolated_on, plant.isolated_why = source.isolated_on, source.isolated_why
        plant.clean_looks = list(source.clean_looks)
    plant.rest_on, plant.rest_ended_on = plant.rest_on or source.rest_on, plant.rest_ended_on or source.rest_ended_on
    plant.hold = plant.hold or dict(source.hold)
    followed = {one["what"] for one in plant.follow}
    plant.follow += [dict(one) for one in source.follow if one["what"] not in followed]


def _with_it(standing: Standing, source: Thing, plants: list[Thing]) -> None:
    """Let what is followed, asked and said of all of a lot be about its single plants too."""
    refs = tuple(one.ref for one in plants)
    for case in standing.cases.values():
        if case.open and _whole(source, case.refs):
            case.refs += tuple(one for one in refs if one not in case.refs)
    for reminder in standing.reminders.values():
        if _whole(source, reminder.refs):
            reminder.refs += tuple(one for one in refs if one not in reminder.refs)
    mine = f"{source.kind}:{source.key}"
    for due, said in list(standing.handled.items()):
        parts = due.split("|")
        if mine in parts:
            standing.handled |= {_for_one(parts, mine, one): dict(said) for one in plants}


def _for_one(parts: list[str], mine: str, plant: Thing) -> str:
    """Return the key of the same due thing of a single plant; pots are counted in the last part of some."""
    renamed = [f"plant:{plant.key}" if one == mine else one for one in parts]
    if parts[0] in ("first", "rack") and renamed[-1] != "None":
        renamed[-1] = "1"
    return "|".join(renamed)


def _whole(source: Thing, refs: tuple[Ref, ...]) -> bool:
    return any(
        (one.kind, one.key) == (source.kind, source.key) and (one.count is None or (source.count or one.count) <= one.count)
        for one in refs
    )


def _nothing_left(standing: Standing, source: Thing) -> None:
    """Where all plants of a lot have numbers, what was followed or asked of the lot is about them."""
    members = tuple(one.ref for one in standing.seen() if one.tally.get(SPLIT_FROM) == f"{source.kind}:{source.key}")
    followed: tuple[Case | Reminder, ...] = (*standing.cases.values(), *standing.reminders.values())
    for held in followed:
        if any((one.kind, one.key) == (source.kind, source.key) for one in held.refs):
            kept = tuple(one for one in held.refs if (one.kind, one.key) != (source.kind, source.key))
            held.refs = kept + tuple(one for one in members if one not in kept) or held.refs
    source.bare_on, source.bare_count, source.settling = None, None, []
    source.isolated_on, source.isolated_why, source.hold, source.follow = None, "", {}, []
    source.soaked_on, source.soak = None, {}


__all__ = ["COUNTED", "DATA", "ORIGIN", "SPLIT", "beyond", "counted", "noted", "origin", "potted_part", "split"]
