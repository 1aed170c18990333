"""What follows from water, washing and pots: drying-off checks, the rack, the first water."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any, cast

from bot.care.drying import DryingForecast, Mix, Plant, Pot, Potted, daily_demand, drying_forecast
from bot.care.due_values import Due, Setting, practice, why_of
from bot.care.events import Ref
from bot.care.standing import Standing, Thing

DEFAULT_POT_CM = 9.0  # project default: the most common size on a hobby bench [common practice]
ASSUMED_RH_PCT = 77.0  # what the dew-point rule for unknown humidity comes to at 5 to 12 C [derived, FAO-56 equation 48]
WARM_MEAN_C = 15.0  # growth counts as warm from here (common practice)
TAP_ROOTS = frozenset({"tap", "tuber"})
# Days to dry before potting (earliest, latest) by what was cut; from 15 C up, half as long again below. Common practice.
DRY_DAYS = {"": (2, 7), "fine": (3, 7), "cut": (7, 10), "rot": (14, 21)}
BATCH_DRY_DAYS = {"offsets": (3, 4), "cuttings": (7, 10), "leaves": (3, 7)}
RACK_REMINDER_DAYS = 7
# Days from potting to the first water (earliest, latest) by the state of the roots: warm growth, and otherwise. Common practice.
FIRST_WATER_DAYS = {
    "whole": ((3, 7), (7, 14)),
    "cleaned": ((7, 10), (14, 21)),
    "cut": ((14, 21), (14, 21)),
    "rot": ((21, 28), (21, 28)),
}
TAP_ROOT_LATER_DAYS = 7
_MIXES = {
    "grit": "grit",
    "gritty": "grit",
    "pumice": "mineral",
    "mineral": "mineral",
    "lava": "mineral",
    "akadama": "mineral",
    "half": "half",
    "half mineral": "half",
    "loam": "loam",
    "john innes": "loam",
    "peat": "peat",
    "coir": "peat",
    "compost": "peat",
}
_MATERIALS = {"clay": "clay", "terracotta": "clay", "glazed": "glazed", "fabric": "fabric", "plastic": "plastic"}


def water_due(standing: Standing, setting: Setting) -> Iterator[Due]:
    """Yield drying-off checks, looks at the rack, and first waters."""
    yield from _drying_looks(standing, setting)
    for thing in standing.things.values():
        if not thing.alive and thing.kind not in ("place", "some"):
            continue
        if thing.bare_on is not None:
            yield _pot_up(thing, setting)
        for one in thing.settling:
            yield _first_water(thing, one, setting)


def _drying_looks(standing: Standing, setting: Setting) -> Iterator[Due]:
    """One look for all pots of a kind in one place that were soaked together."""
    groups: dict[tuple[Any, ...], list[Thing]] = {}
    for thing in standing.things.values():
        if thing.soaked_on is None or thing.bare_on is not None or _spoken_for(standing, thing):
            continue
        place = thing.key if thing.kind == "place" else thing.place
        groups.setdefault((thing.soaked_on, place, *_pot_class(thing)), []).append(thing)
    for (soaked_on, place, cm, material, mix), things in groups.items():
        yield from _drying_look(things, soaked_on, place, (cm, material, mix), setting)


def _spoken_for(standing: Standing, thing: Thing) -> bool:
    """Whether a place's members speak for it, or the thing is gone."""
    if thing.kind == "place":
        return not thing.soak.get("count") and any(one.soaked_on == thing.soaked_on for one in standing.at(thing.key))
    if thing.kind in ("house", "sowing"):
        return True
    return not thing.alive and thing.kind != "some"


def _pot_class(thing: Thing) -> tuple[float, str, str]:
    cm = float(thing.pot.get("cm") or DEFAULT_POT_CM)
    material = _MATERIALS.get(str(thing.pot.get("material", "")), "plastic")
    return cm, material, _MIXES.get(str(thing.pot.get("mix", "")), "half")


def potted_of(thing: Thing, setting: Setting) -> Potted:
    """Return the pot of a thing as the drying model takes it, with defaults for what nobody said."""
    cm, material, mix = _pot_class(thing)
    shape = "square" if thing.pot.get("material") == "square" else "round"
    plant: Plant = "rest" if thing.rest_on else "growing" if _is_warm(thing.place, setting.today, setting) else "cool"
    return Potted(Pot(cm, cast("Any", material), cast("Any", shape)), cast(Mix, mix), plant)


def _drying_look(
    things: list[Thing], soaked_on: date, place: str, pot: tuple[float, str, str], setting: Setting
) -> Iterator[Due]:
    forecast, potted = drying_of(things[0], soaked_on, place, setting)
    if forecast.look_on is None or forecast.dry_on is None:
        return
    temperatures = setting.temperatures(place)
    span = range(1, max(1, (forecast.dry_on - soaked_on).days) + 1)
    days = [temperatures(soaked_on + timedelta(days=one)) for one in span]
    rh = setting.humidity(place, soaked_on)
    why = why_of(
        forecast.reason,
        kinds=dict(forecast.kinds),
        since=soaked_on.isoformat(),
        days=(forecast.dry_on - soaked_on).days,
        low=_days(soaked_on, forecast.low_on),
        high=_days(soaked_on, forecast.high_on),
        pot_cm=pot[0],
        material=pot[1],
        mix=pot[2],
        assumed=not things[0].pot.get("cm"),
        min_c=min(one.min_c for one in days),
        max_c=max(one.max_c for one in days),
        rh=rh if rh is not None else ASSUMED_RH_PCT,
        rh_assumed=rh is None,
        plant=potted.plant,
    )
    why["quantity"] = "drying"
    key = f"dry|{soaked_on}|{place}|{pot[0]:g}|{pot[1]}|{pot[2]}"
    refs = tuple(_counted(one) for one in things)
    yield Due(key, "dry_look", max(forecast.look_on, soaked_on + timedelta(days=1)), refs, forecast.high_on, place, "", why)


def _counted(thing: Thing) -> Ref:
    return Ref(thing.kind, thing.key, thing.soak.get("count") if thing.kind != "plant" else None)


def drying_of(thing: Thing, soaked_on: date, place: str, setting: Setting) -> tuple[DryingForecast, Potted]:
    """Return when a soaked pot should be dry in the weather of its place, and the pot that was counted with."""
    potted = potted_of(thing, setting)
    temperatures = setting.temperatures(place)
    demand_on = daily_demand(potted, temperatures, setting.latitude, lambda day: setting.humidity(place, day))
    light = {date.fromisoformat(one["on"]): float(one["ml"]) for one in thing.soak.get("light", ()) if one.get("ml")}
    return drying_forecast(potted, soaked_on, setting.today, demand_on, waterings_ml=light, temperatures=temperatures), potted


def _days(start: date, end: date | None) -> int | None:
    return (end - start).days if end else None


def _is_warm(place: str, day: date, setting: Setting) -> bool:
    return setting.temperatures(place)(day).mean_c >= WARM_MEAN_C


def _pot_up(thing: Thing, setting: Setting) -> Due:
    assert thing.bare_on is not None
    kind = str(thing.tally.get("kind", "")) if thing.kind == "batch" else ""
    first, last = BATCH_DRY_DAYS.get(kind) or DRY_DAYS.get(thing.cut, DRY_DAYS[""])
    warm = _is_warm(thing.place, thing.bare_on, setting)
    if not warm:
        first, last = round(first * 1.5), round(last * 1.5)
    until = thing.hold.get("until")
    on = date.fromisoformat(until) if until else thing.bare_on + timedelta(days=first)
    why = practice(
        f"{first} to {last} days" + ("" if warm else " in the cool"),
        since=thing.bare_on.isoformat(),
        cut=thing.cut,
        count=thing.bare_count,
    )
    ref = Ref(thing.kind, thing.key, thing.bare_count if thing.kind != "plant" else None)
    return Due(
        f"rack|{thing.kind}:{thing.key}|{thing.bare_on}|{thing.bare_count}",
        "pot_up",
        on,
        (ref,),
        on + timedelta(days=RACK_REMINDER_DAYS),
        thing.place,
        "",
        why,
    )


def first_water_window(thing: Thing, settling: dict[str, Any], setting: Setting) -> tuple[date, date, str]:
    """Return the first and last day of the look for the first water, and the rule behind it."""
    potted_on = date.fromisoformat(settling["on"])
    state = "rot" if settling.get("cut") == "rot" else str(settling["state"])
    first, last = FIRST_WATER_DAYS[state][0 if _is_warm(thing.place, potted_on, setting) else 1]
    if thing.roots in TAP_ROOTS:
        first, last = first + TAP_ROOT_LATER_DAYS, last + TAP_ROOT_LATER_DAYS
    return potted_on + timedelta(days=first), potted_on + timedelta(days=last), f"{first} to {last} days, roots {state}"


def _first_water(thing: Thing, settling: dict[str, Any], setting: Setting) -> Due:
    on, until, rule = first_water_window(thing, settling, setting)
    if thing.hold.get("until"):
        on = max(on, date.fromisoformat(thing.hold["until"]))
        until = max(on, until)
    count = settling.get("count")
    ref = Ref(thing.kind, thing.key, count if thing.kind != "plant" else None)
    why = practice(rule, since=settling["on"], roots=thing.roots)
    return Due(f"first|{thing.kind}:{thing.key}|{settling['on']}|{count}", "first_water", on, (ref,), until, thing.place, "", why)
