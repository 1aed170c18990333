"""What the rest of the log changes: readings, holds, reminders, names taught, due things handled, rules of the grower."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from bot.care.accessions import number_of
from bot.care.events import CareEvent, refs_from_json, refs_to_json
from bot.care.floors import Floor, floor_of
from bot.care.fold_lots import COUNTED, DATA, SPLIT, counted, origin, split
from bot.care.merging import MERGED, merged
from bot.care.reach import follow, is_outside, overlaps, touched
from bot.care.sources import COMMON_PRACTICE, PROJECT_DEFAULT
from bot.care.standing import BATCH, KEPT, LABEL, PARTNER, REPEATING, Reminder, Standing, laid_over, mix_key, wish_key

NOT_SOWN = frozenset({"offset", "cutting", "leaf", "division", "graft"})  # raised from a piece of one plant: no pollen
CHILLED_BELOW_FLOOR_C = 3.0  # a degree below a safe floor is no harm to a dry plant
COLDEST_FLOOR_C = 18.0  # no floor lies higher, so a warmer night needs no look at each plant
TRUST = {"NOT_SOWN": COMMON_PRACTICE, "CHILLED_BELOW_FLOOR_C": PROJECT_DEFAULT, "COLDEST_FLOOR_C": PROJECT_DEFAULT}


def skip(standing: Standing, event: CareEvent) -> None:
    """Remember that something was left."""
    for thing in touched(standing, event.refs):
        thing.last[f"skipped:{event.what}"] = event.happened_on.isoformat()


def measure(standing: Standing, event: CareEvent) -> None:
    """Keep a measured value."""
    value = {key: event.facts[key] for key in ("value", "low", "high", "unit") if key in event.facts}
    for thing in touched(standing, event.refs):
        thing.tally[event.what] = value | {"on": event.happened_on.isoformat()}
        if event.facts.get("roots"):
            thing.roots = str(event.facts["roots"])


def climate(standing: Standing, event: CareEvent) -> None:
    """Keep a thermometer entry, and what a cold night asks for."""
    place = str(event.facts.get("place", ""))
    entry = {"on": event.happened_on.isoformat()} | {key: value for key, value in event.facts.items() if key != "place"}
    standing.readings.setdefault(f"{place}|{event.happened_on.year}", []).append(entry)
    low = event.facts.get("min_c")
    if low is None or event.facts.get("forecast"):
        return
    if low <= 0:
        follow(standing.thing("place", place) if place else standing.thing("house", ""), "frost", event)
    elif low <= COLDEST_FLOOR_C:
        _chilled(standing, place, low, event)


def _chilled(standing: Standing, place: str, low: float, event: CareEvent) -> None:
    """A night above freezing that went below the floor of tender plants asks for the same second looks."""
    for things in standing.by_genus().values():
        floor = None if standing.rules else floor_of(standing, things[0])  # without words of the grower a genus has one floor
        if floor is not None and not _harms(low, floor):
            continue
        for thing in things:
            here = thing.place == place if place else not is_outside(thing.place)
            if here and thing.alive and _harms(low, floor or floor_of(standing, thing)):
                follow(standing.changing(thing), "chilled", event)


def _harms(low: float, floor: Floor) -> bool:
    return low <= floor.c - CHILLED_BELOW_FLOOR_C and not floor.unsure


def hold(standing: Standing, event: CareEvent) -> None:
    """Keep that no water is to be given."""
    hold = {key: event.facts[key] for key in ("until", "cond") if event.facts.get(key)} | {"on": event.happened_on.isoformat()}
    for thing in touched(standing, event.refs):
        thing.hold = dict(hold)


def reminder(standing: Standing, event: CareEvent) -> None:
    """Keep a reminder, or cancel or put off one that exists."""
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
        genus=facts.get("genus", ""),
        awaits=list(facts.get("awaits", ())),
    )


def order(standing: Standing, event: CareEvent) -> None:
    """Be told of an order on the day after it should have come; an order that came or was dropped is late no more.

    The order itself is told by the log alone; `late` are the words for the day on which it is.
    """
    facts = event.facts
    if event.what in ("dropped", "complete"):
        standing.reminders.pop(str(facts["order"]), None)
    elif facts.get("due"):
        key = str(facts.get("order", event.identity))
        day = date.fromisoformat(facts["due"]) + timedelta(days=1)
        standing.reminders[key] = Reminder(key, event.happened_on, day, text=str(facts.get("late", "")), order=True)


def awaited(standing: Standing, event: CareEvent) -> None:
    """Let what was put off until something is seen or done be due on the day on which that is noted."""
    for one in standing.reminders.values():
        if one.due is not None or event.what not in one.awaits or event.happened_on < one.on:
            continue
        if any(overlaps(standing, mine, other) for mine in standing.asked_for(one) for other in event.refs):
            one.due = event.happened_on


def fulfil_reminders(standing: Standing, event: CareEvent) -> None:
    """Take what the grower asked to be told as done, where the act itself was done on its day or a little before it.

    All that was asked for must have had it, now or on another day since.
    """
    done = {(ref.kind, ref.key) for ref in event.refs if ref.count is None}
    if not done:
        return
    for key, one in list(standing.reminders.items()):
        if one.act != event.what or one.due is None or not one.on <= event.happened_on or event.happened_on < one.counts_from():
            continue
        asked = {(ref.kind, ref.key) for ref in standing.still_asked(one)}
        if asked & done and asked <= done:
            _fulfilled(standing, key, one, event.happened_on)


def _fulfilled(standing: Standing, key: str, one: Reminder, on: date) -> None:
    if not one.every_days:
        del standing.reminders[key]
        return
    while one.due and one.counts_from() <= on:
        one.due += timedelta(days=one.every_days)


def _change_reminders(standing: Standing, event: CareEvent) -> None:
    for key, one in list(standing.reminders.items()):
        meant = not event.refs or any(overlaps(standing, mine, other) for mine in one.refs for other in event.refs)
        if not meant or (event.facts.get("act") and one.act and one.act != event.facts["act"]):
            continue
        if event.facts.get("cancel"):
            del standing.reminders[key]
        elif event.facts.get("due"):
            one.due = date.fromisoformat(event.facts["due"][:10])


def taught(standing: Standing, event: CareEvent) -> None:
    """Keep a name."""
    name = str(event.facts["name"])
    if event.what in ("mix", "mix_forgotten"):
        _mix(standing, event, name)
        return
    if event.what == "person":
        standing.people[name.lower()] = name
        return
    for thing in touched(standing, event.refs):
        if thing.kind == "plant":
            thing.nickname = name
        elif name not in thing.aliases:
            thing.aliases.append(name)


def _mix(standing: Standing, event: CareEvent, name: str) -> None:
    """Keep what a mix is made of. Pots that were filled before its recipe was ever told have had this one."""
    key, facts = mix_key(name), event.facts
    first = standing.mixes.pop(key, None) is None and not facts.get("now")
    if event.what == "mix_forgotten":
        return
    kept = {"said": name, "parts": [list(one) for one in facts["parts"]], "on": event.happened_on.isoformat()}
    standing.mixes[key] = kept | ({"percent": True} if facts.get("percent") else {})
    if not first:
        return
    for pot in (*(one.pot for one in standing.things.values()), *(one.get("pot", {}) for one in standing.rules.values())):
        if pot.get("mix") and "recipe" not in pot and mix_key(str(pot["mix"])) == key:
            pot.update(standing.with_recipe(pot))


def handled(standing: Standing, event: CareEvent) -> None:
    """Keep what the grower said of a due thing."""
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


def closed(standing: Standing, event: CareEvent) -> None:
    """End a case."""
    case = standing.cases.get(str(event.facts["case"]))
    if case is not None:
        case.closed_on = event.happened_on


def known(standing: Standing, event: CareEvent) -> None:
    """A record of what is there without a day on which it came: a place of a lot, members of a lot, a pot."""
    if event.what in _KNOWN_APART:
        _KNOWN_APART[event.what](standing, event)
        return
    facts = event.facts
    for position, thing in enumerate(touched(standing, event.refs)):
        thing.accession = thing.accession or number_of(event, position)
        thing.place = str(facts.get("place", thing.place))
        thing.lot = str(facts.get("lot", thing.lot))
        if "pot" in facts:
            thing.pot = laid_over(thing.pot, standing.with_recipe(facts["pot"]))
        thing.parent = str(facts.get("parent", thing.parent))
        thing.pollen = str(facts.get("pollen", "" if facts.get("parent") and facts.get("how") in NOT_SOWN else thing.pollen))
        if facts.get("came_from"):
            thing.came_from = str(facts["came_from"])
            standing.people.setdefault(thing.came_from.lower(), thing.came_from)
        if facts.get("how"):
            thing.tally["raised_as"] = facts["how"]
        if facts.get("parts"):
            for part in refs_from_json(facts["parts"]):
                standing.thing(part.kind, part.key).lot = thing.key


_KNOWN_APART: dict[str, Callable[[Standing, CareEvent], None]] = {SPLIT: split, COUNTED: counted, DATA: origin, MERGED: merged}


def wished(standing: Standing, event: CareEvent) -> None:
    """Keep what somebody wishes for, or drop it."""
    if event.what == "dropped":
        standing.wishes.pop(str(event.facts["wish"]), None)
        return
    who, name = str(event.facts.get("who", "")), str(event.facts["name"])
    standing.wishes[wish_key(who, name)] = {
        "who": who,
        "name": name,
        "on": event.happened_on.isoformat(),
        "sequence": event.sequence,
    }


def _kept(standing: Standing, event: CareEvent) -> None:
    own = {"refs": refs_to_json(event.refs), "on": event.happened_on.isoformat()}
    standing.rules[f"{KEPT}{event.identity}"] = {**event.facts, **own}


def _label(standing: Standing, event: CareEvent) -> None:
    standing.rules[f"{LABEL}{event.facts['product']}"] = {**event.facts, "on": event.happened_on.isoformat()}


def _batch(standing: Standing, event: CareEvent) -> None:
    standing.rules[f"{BATCH}{event.facts['product']}"] = {**event.facts, "on": event.happened_on.isoformat()}


def _partner(standing: Standing, event: CareEvent) -> None:
    standing.rules[f"{PARTNER}{str(event.facts['person']).lower()}"] = {**event.facts, "on": event.happened_on.isoformat()}


def _rule_dropped(standing: Standing, event: CareEvent) -> None:
    key = str(event.facts["rule"])
    standing.rules.pop(key, None)
    standing.reminders.pop(key.removeprefix(REPEATING), None)


_RULES_APART: dict[str, Callable[[Standing, CareEvent], None]] = {
    "kept": _kept,
    "label": _label,
    "batch": _batch,
    "partner": _partner,
    "dropped": _rule_dropped,
}
RULES = ("class", "months", "light", "floor_c", "pot")


def ruled(standing: Standing, event: CareEvent) -> None:
    """Keep the grower's standing word on a genus, a plant, a lot or a place; the latest word on each matter counts.

    A rule in free words (`kept`) and a product's label (`label`) are kept beside them, and `dropped` takes one back.
    """
    if event.what in _RULES_APART:
        _RULES_APART[event.what](standing, event)
        return
    said = {key: event.facts[key] for key in RULES if key in event.facts}
    on = event.happened_on.isoformat()
    for ref in event.refs:
        before = standing.rules.get(f"{ref.kind}:{ref.key}", {"said": {}})
        days = {**before["said"], **dict.fromkeys(said, on)}
        kept = {**before, **said, "said": days}
        if "pot" in said:
            kept["pot"] = laid_over(before.get("pot", {}), standing.with_recipe(said["pot"]))
            standing.thing(ref.kind, ref.key)
        if "months" in said and "class" not in said:  # "rest till may" is more exact than an earlier "winter growers"
            kept.pop("class", None)
            days.pop("class", None)
        if "class" in said and "months" not in said:
            kept.pop("months", None)
            days.pop("months", None)
        standing.rules[f"{ref.kind}:{ref.key}"] = kept
