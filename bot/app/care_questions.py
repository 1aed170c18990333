"""Questions on warmth, water, rest and treatments: from what is asked to the facts of the answer."""

from __future__ import annotations

import math
from datetime import date, timedelta

from bot.app.advice import water_objection
from bot.app.asked import Found, stock_asked, things_asked
from bot.app.cold_nights import frosts, wet_things
from bot.app.dosing import labels_said, worked_dose
from bot.app.plan import Draft, View
from bot.care.courses import course_of, works
from bot.care.drying import DRY_LEFT
from bot.care.due_health import state_of
from bot.care.due_water import drying_of, learned_of, pot_class, share_left_on
from bot.care.floors import floor_of
from bot.care.reach import overlaps
from bot.care.standing import Thing
from bot.notes.reading import Entry


def wet(entry: Entry, draft: Draft) -> Found:
    """What is still wet by the drying model, today."""
    place = draft.which(entry.which).place if entry.which else ""
    found = wet_things(draft.view.standing, draft.view.today, draft.view, place)
    return Found("wet", {"things": found, "sign": entry.sign}, refs=tuple(ref for ref, _ in found))


def wet_in_frost(entry: Entry, draft: Draft) -> Found:
    """What was wet in the last frost that a note tells."""
    nights = frosts(draft.view.standing, draft.view.today)
    if not nights:
        return Found("wet_in_frost", {"night": None})
    night = nights[-1]
    found = wet_things(draft.view.standing, date.fromisoformat(night["on"]), draft.view, str(night["place"]))
    return Found("wet_in_frost", {"night": night, "things": found}, refs=tuple(ref for ref, _ in found))


def floors(entry: Entry, draft: Draft) -> Found:
    """How cold the plants may stand that a question about temperatures names."""
    things = [one for one in things_asked(entry, draft) if one.kind not in ("house", "place")]
    floors = {one.genus or one.key: (one, floor_of(draft.view.standing, one)) for one in things}
    for taxon in entry.which.taxa if entry.which and not things else ():
        thing = Thing("taxon", taxon.lower(), names=[{"name": taxon}])
        floors[taxon] = (thing, floor_of(draft.view.standing, thing))
    return Found("floors", {"floors": tuple(floors.values())})


def climate(entry: Entry, draft: Draft) -> Found:
    """What the thermometer showed, on the days asked of or last."""
    if entry.which is not None and (entry.which.taxa or entry.which.labels or entry.which.nicknames):
        return floors(entry, draft)
    since = entry.since or draft.view.today - timedelta(days=1)
    first, last = since.isoformat(), (entry.until or draft.view.today).isoformat()
    read = [(key, one) for key, held in draft.view.standing.readings.items() for one in held if not one.get("forecast")]
    hits = [one for one in read if first <= one[1]["on"] <= last]
    none_then = not hits and bool(read)
    if none_then:
        hits = sorted(read, key=lambda one: str(one[1]["on"]))[-1:]
    found = sorted((one | {"place": key.partition("|")[0]} for key, one in hits), key=lambda one: str(one["on"]))
    asked = (since, entry.until or draft.view.today) if none_then and entry.since is not None else None
    return Found("climate", {"readings": tuple(found), "since": since, "none": asked})


def dose(entry: Entry, draft: Draft) -> Found:
    """How much of a product belongs into so much water."""
    said = entry.details
    labels = labels_said(draft.view.standing.rules)
    worked = worked_dose(draft.view.text, str(said.get("product", "")), str(said.get("dose", "")), said.get("litres"), labels)
    return Found("dose", {"worked": worked})


def rest_check(entry: Entry, draft: Draft) -> Found:
    """What should stand dry now, and what of it is wet."""
    view = draft.view
    resting = [one for one in stock_asked(entry, draft) if _rests(one, view)]
    shares = {one.key: share_left_on(view.standing, one, view.today, view.setting) for one in resting}
    wet = [one for one in resting if (share := shares[one.key]) is not None and share > DRY_LEFT]
    return Found("rest_check", {"resting": tuple(resting), "wet": tuple(wet)})


def _rests(thing: Thing, view: View) -> bool:
    """Whether a thing should stand dry now, by the grower's word or a row of the table that is sure."""
    found = None if thing.rest_on is not None else water_objection(thing, view.today, view)
    return thing.rest_on is not None or (found is not None and found.kind == "rest_known")


def outcome(entry: Entry, draft: Draft) -> Found:
    """How the last treatments worked."""
    standing, view = draft.view.standing, draft.view
    asked = draft.which(entry.which).refs if entry.which else ()
    cases = [
        one
        for one in standing.cases.values()
        if one.treatments
        and entry.sign in (None, one.sign)
        and (not asked or any(overlaps(standing, mine, ref) for mine in one.refs for ref in asked))
    ]
    judged = tuple((one, works(one), course_of(one), state_of(standing, one, view.setting).all_clear_on) for one in cases[-3:])
    return Found("outcome", {"cases": judged})


def dry_time(entry: Entry, draft: Draft) -> Found:
    """How fast pots of a size dry here: what the grower's reports taught, and the days of a soak given today."""
    standing, setting = draft.view.standing, draft.view.setting
    cm = entry.which.pot_cm if entry.which else None
    learned = learned_of(standing, setting)
    alike = [
        learner
        for thing in standing.things.values()
        if (learner := learned.of(f"{thing.kind}:{thing.key}")).reports and (cm is None or pot_class(thing, setting)[0] == cm)
    ]
    reports = sum(one.reports for one in alike)
    factor = math.exp(sum(math.log(one.factor) * one.reports for one in alike) / reports) if reports else learned.of("").factor
    pot = Thing("plant", "", pot={"cm": cm} if cm else {})
    forecast = drying_of(standing, pot, setting.today, "", setting, factor if reports else None)
    facts = {"cm": pot_class(pot, setting)[0], "factor": factor, "n": reports, "all": learned.reports, "forecast": forecast}
    return Found("dry_time", facts)
