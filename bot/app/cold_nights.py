"""Which plants a cold night puts at risk, and which pots were wet in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from bot.app.climates import heater_of, house_lift
from bot.app.plan import View
from bot.care.drying import DRY_LEFT
from bot.care.due_water import share_left_on
from bot.care.events import CareEvent, Ref
from bot.care.floors import Floor, floor_of
from bot.care.frost import WARN_ABOVE_FLOOR_C, frost_risk
from bot.care.reach import is_outside
from bot.care.standing import Standing, Thing

FREEZING_C = 0.0
FROST_REMEMBERED_DAYS = 60
_KINDS = frozenset({"plant", "lot", "taxon", "batch", "sowing"})


@dataclass(frozen=True, slots=True)
class AtRisk:
    """One thing that a night of `night_c` may harm: its floor, and the share of water left in its pot where that is known."""

    ref: Ref
    night_c: float
    floor: Floor
    wet: bool
    tender: bool


@dataclass(frozen=True, slots=True)
class ColdNight:
    """What a night means to the collection; `lift_c` is what the house keeps above the forecast, from `lift_nights`."""

    night_c: float
    forecast: bool
    at_risk: tuple[AtRisk, ...]
    lift_c: float = 0.0
    lift_nights: int = 0
    heater_c: float | None = None


def cold_night(event: CareEvent, view: View) -> ColdNight | None:
    """Return what the minimum that a note tells means to the plants; None where it tells none, or none of long ago."""
    low = event.facts.get("min_c")
    if low is None or event.facts.get("since") or (view.today - event.happened_on).days > 1:
        return None
    standing, forecast, place = view.standing, bool(event.facts.get("forecast")), str(event.facts.get("place", ""))
    lift, nights = house_lift(standing) if forecast else (0.0, 0)
    heater = heater_of(standing, view.settings)
    found: list[AtRisk] = []
    for thing in standing.things.values():
        night = _night_of(thing, float(low), place, lift if forecast else None, heater)
        if night is not None and thing.alive:
            found += _risk(standing, thing, night, event.happened_on, view)
    found.sort(key=lambda one: (not (one.wet and one.tender), not one.tender, one.night_c - one.floor.c))
    return ColdNight(float(low), forecast, tuple(found), lift, nights, heater)


def _night_of(thing: Thing, low: float, place: str, lift: float | None, heater: float | None) -> float | None:
    """The minimum that a thing meets; None where the note does not speak of where it stands. `lift` is set for a forecast."""
    here = thing.key if thing.kind == "place" else thing.place
    if place:
        return low if here == place else None
    if lift is None:
        return None if is_outside(here) else low
    if is_outside(here):
        return low
    inside = low + lift
    return inside if heater is None else max(inside, heater)


def _risk(standing: Standing, thing: Thing, night_c: float, on: date, view: View) -> Iterator[AtRisk]:
    if night_c > FREEZING_C and not (thing.kind in _KINDS and _may_harm(night_c, floor_of(standing, thing))):
        return
    share = share_left_on(standing, thing, on, view.setting)
    wet = share is not None and share > DRY_LEFT and night_c <= FREEZING_C
    if thing.kind in _KINDS and not _spoken_for(standing, thing):
        floor = floor_of(standing, thing)
        tender = frost_risk(night_c, floor.c, share, unsure=floor.unsure).level == "alarm" and floor.source != "unknown"
        if tender or wet:
            yield AtRisk(thing.ref, night_c, floor, wet, tender)
    elif thing.kind == "place" and wet:
        yield AtRisk(thing.ref, night_c, Floor(FREEZING_C, "unknown"), wet=True, tender=False)


def _may_harm(night_c: float, floor: Floor) -> bool:
    """Whether a night may harm a thing in a pot however wet: where it cannot, its water need not be worked out."""
    return night_c - floor.c <= WARN_ABOVE_FLOOR_C


def _spoken_for(standing: Standing, thing: Thing) -> bool:
    """Whether the plants of a lot are known one by one, so that the lot itself need not be named as well."""
    return thing.kind == "lot" and any(one.lot == thing.key for one in standing.plants())


def wet_things(standing: Standing, on: date, view: View, place: str = "") -> tuple[tuple[Ref, float], ...]:
    """Return what was still wet on a day with the share of water left, the wettest first; of one place where one is named."""
    found = [
        (thing.ref, share)
        for thing in standing.things.values()
        if thing.alive and thing.kind != "house" and (not place or place in (thing.place, thing.key))
        if (share := share_left_on(standing, thing, on, view.setting)) is not None and share > DRY_LEFT
    ]
    return tuple(sorted(found, key=lambda one: -one[1]))


def frosts(standing: Standing, today: date) -> list[Mapping[str, Any]]:
    """Return the nights at or below freezing of the last two months that a note tells, forecasts for tonight among them."""
    since = (today - timedelta(days=FROST_REMEMBERED_DAYS)).isoformat()
    held = (
        one | {"place": key.partition("|")[0]}
        for key, readings in standing.readings.items()
        for one in readings
        if one.get("min_c") is not None and one["min_c"] <= FREEZING_C and one["on"] >= since
    )
    nights = [one for one in held if not one.get("forecast") or one["on"] >= today.isoformat()]
    return sorted(nights, key=lambda one: str(one["on"]))
