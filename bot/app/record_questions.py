"""What the record of plants tells: what was found last, what waits for its first water, what has no name, what sulks."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from bot.app.plan import Draft, View
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.care.losses import DEATHS
from bot.care.reach import PEST_SIGNS
from bot.care.standing import Standing, Thing
from bot.notes.reading import Entry

STATUSES = ("present", "suspected", "absent", "cleared")
TEMPERATURE_WITHIN_DAYS = 3  # a reading this near tells how warm it was then
DONE = frozenset({"watered", "fed", "misted", "treated", "repotted", "moved", "inspected"})


def found_last(things: Iterable[Thing], draft: Draft) -> dict[str, Any] | None:
    """Return what was seen at the last look at some things, and what comes next; None where nothing was."""
    seen = [(_latest(one), one) for one in things]
    dated = [(day, thing, signs) for (day, signs), thing in seen if signs]
    if not dated:
        return None
    newest = max(day for day, _, _ in dated)
    at_last = [(thing, signs) for day, thing, signs in dated if day == newest]
    refs = [thing.ref for thing, _ in at_last]
    coming = [one for one in draft.view.due if one.key.startswith("look|") and any(ref in one.refs for ref in refs)]
    treated = max((thing.last["treated"] for thing, _ in at_last if "treated" in thing.last), default="")
    signs = dict.fromkeys(one for _, held in at_last for one in held)
    return {"on": newest, "refs": tuple(refs), "signs": tuple(signs), "treated": treated, "next": _first(coming)}


def _latest(thing: Thing) -> tuple[str, list[tuple[str, str]]]:
    """Return the day on which something was last seen or looked for, and what, as (status, sign)."""
    split = [(day, *key.split(":", 1)) for key, day in thing.last.items() if key.split(":", 1)[0] in STATUSES]
    newest = max((day for day, _, _ in split), default="")
    return newest, [(status, sign) for day, status, sign in split if day == newest]


def _first(dues: Iterable[Due]) -> Due | None:
    return min(dues, key=lambda one: one.on, default=None)


def with_sign(standing: Standing, sign: str) -> list[tuple[Thing, date]]:
    """Return the living things on which a sign that is no pest was seen and not seen to end, with the day, oldest first."""
    found = []
    for one in standing.plants():
        day = max((one.last.get(f"{status}:{sign}", "") for status in ("present", "suspected")), default="")
        ended = max((one.last.get(f"{status}:{sign}", "") for status in ("absent", "cleared")), default="")
        if day and day > ended:
            found.append((one, date.fromisoformat(day)))
    return sorted(found, key=lambda item: (item[1], item[0].key))


def is_pest(sign: str | None) -> bool:
    """Whether a sign opens a case."""
    return sign in PEST_SIGNS


def meant_to(entry: Entry, draft: Draft) -> dict[str, Any]:
    """Return what the grower asked to be reminded of, up to the end of a span: dated first, then what waits for a sign."""
    until = entry.until or date.max
    held = [one for one in draft.view.standing.reminders.values() if one.due is None or one.due <= until]
    ranked = sorted(held, key=lambda one: (one.due is None, one.due or date.max, one.on))
    return {"reminders": tuple(ranked), "until": entry.until}


def state_of_act(thing: Thing, act: str) -> bool:
    """Return whether a thing stands as an act leaves it: bare since it was washed, settling since it was repotted."""
    if act in ("set_to_dry", "washed", "unpotted"):
        return thing.bare_on is not None
    if act in ("potted", "repotted"):
        return bool(thing.settling)
    if act == "isolated":
        return thing.isolated_on is not None
    if act == "offered":
        return "offered" in thing.tally
    return act in thing.last


def done_in_span(entry: Entry, things: Iterable[Thing], draft: Draft) -> dict[str, Any]:
    """Return what an act was last done to since a day, by day, newest first, with the strength where one was noted."""
    act, today = str(entry.act), draft.view.today
    since = entry.since or today.replace(day=1)
    until = entry.until or today
    by_day: dict[str, list[Ref]] = {}
    for one in things:
        day = one.last.get(act, "")
        if since.isoformat() <= day <= until.isoformat():
            by_day.setdefault(day, []).append(one.ref)
    days = tuple((date.fromisoformat(day), tuple(refs)) for day, refs in sorted(by_day.items(), reverse=True))
    return {"act": act, "since": since, "until": until, "days": days, "strengths": _strengths(draft, act)}


def _strengths(draft: Draft, act: str) -> Mapping[date, float]:
    return {one.happened_on: one.facts["strength"] for one in draft.view.recent if one.what == act and "strength" in one.facts}


def started(entry: Entry, draft: Draft) -> dict[str, Any]:
    """Return when the watering of a year began (rest ended), what of, and how warm it was then."""
    standing = draft.view.standing
    first, last = (entry.since or date.min).isoformat(), (entry.until or draft.view.today).isoformat()
    by_day: dict[str, list[Thing]] = {}
    for one in standing.things.values():
        day = one.last.get("rest_ended", "")
        if first <= day <= last:
            by_day.setdefault(day, []).append(one)
    days = tuple((date.fromisoformat(day), _whole(things), _warmth(standing, day)) for day, things in sorted(by_day.items()))
    return {"days": days, "since": entry.since, "until": entry.until}


def _whole(things: list[Thing]) -> tuple[Ref, ...]:
    """Return the places among things, else the things: a bench stands for what is on it."""
    places = [one.ref for one in things if one.kind in ("place", "house")]
    return tuple(places or [one.ref for one in things])


def _warmth(standing: Standing, day: str) -> Mapping[str, Any] | None:
    """Return the thermometer entry nearest to a day; None where none is near."""
    on = date.fromisoformat(day)
    near = [
        (abs((date.fromisoformat(one["on"]) - on).days), one)
        for held in standing.readings.values()
        for one in held
        if not one.get("forecast") and "min_c" in one
    ]
    found = min(near, key=lambda item: item[0], default=None)
    return found[1] if found is not None and found[0] <= TEMPERATURE_WITHIN_DAYS else None


def sowings_meant(entry: Entry, things: Iterable[Thing], standing: Standing) -> list[Thing]:
    """Return the sowings that are named, by their code or by their genus; the newest where none is."""
    named = [one for one in things if one.kind == "sowing"] if entry.which is not None else []
    taxa = entry.which.taxa if entry.which is not None else ()
    every = [one for one in standing.things.values() if one.kind == "sowing"]
    by_genus = [one for one in every if any(one.genus == taxon.split(" ")[0].lower() for taxon in taxa)]
    found = named or by_genus or ([] if entry.which is not None else every)
    return sorted(found, key=lambda one: (one.came_on or date.min, one.key))[-3:]


def unnamed(things: Iterable[Thing]) -> list[Thing]:
    """Return the living plants and lots that nobody named yet."""
    return [one for one in things if one.kind in ("plant", "lot") and one.alive and not one.taxon]


def counted_besides(things: Iterable[Thing], standing: Standing, taxa: Iterable[str]) -> dict[str, int]:
    """Return how many offsets and cuttings there are of some genera, and how many of their plants died or are missing."""
    genera = {one.split(" ")[0].lower() for one in taxa}
    mine = [one for one in standing.things.values() if one.genus in genera] if genera else list(things)
    left = [gone for one in mine for gone in one.gone]
    return {
        "young": sum(one.count or 0 for one in mine if one.kind == "batch" and one.alive),
        "dead": sum(gone["count"] for gone in left if gone["what"] in DEATHS),
        "missing": sum(gone["count"] for gone in left if gone["what"] == "missing"),
    }


_OF_STOCK = re.compile(
    r"\b(?:(?:i|we|ve) got|have|own|list|all|here|plants?|stock|collection|everything|grow|keep|inventory)\b", re.IGNORECASE
)


def not_of_stock(entry: Entry, view: View) -> bool:
    """Whether a question of which only "what" was read does not speak of what there is: then nobody knows what it asks."""
    read = entry.about == "list" and not (entry.act or entry.sign) and bool(view.standing.things)
    return read and _OF_STOCK.search(view.text) is None
