"""What follows from water, washing and pots: drying-off checks, the rack, the first water."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from typing import Any, cast

from bot.care.drying import (
    DailyDemand,
    DryingForecast,
    Material,
    Mix,
    Plant,
    Pot,
    Potted,
    daily_demand,
    drying_forecast,
    store_of,
    water_balance,
)
from bot.care.due_kept import Kept
from bot.care.due_values import Due, Setting, Share, why_of
from bot.care.events import Ref
from bot.care.genera import genus_row
from bot.care.learning import Belief, DryReport, Learned, Learner, learn
from bot.care.mixes import class_of
from bot.care.seasons import said_on, state_of_thing
from bot.care.sources import COMMON_PRACTICE, PROJECT_DEFAULT, Trust
from bot.care.standing import Standing, Thing, laid_over
from bot.care.wash import DryTime, FirstWater, Potting, Roots, dry_time, first_water

DEFAULT_POT_CM = 9.0  # project default: the most common size on a hobby bench [common practice]
ASSUMED_RH_PCT = 77.0  # what the dew-point rule for unknown humidity comes to at 5 to 12 C [derived, FAO-56 equation 48]
WARM_MEAN_C = 15.0  # growth counts as warm from here (common practice)
DAMP_LOOK_DAYS = 2  # project default: a pot reported damp is looked at again after two days
# Width of the cut of what was taken, where nobody measured it (project default).
CUT_WIDTH_CM = {"offsets": 0.8, "cuttings": 2.0, "leaves": 0.5, "grafts": 1.0}
MIX_WORDS: dict[str, Mix] = {
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
MATERIAL_WORDS: dict[str, Material] = {"clay": "clay", "terracotta": "clay", "glazed": "glazed", "fabric": "fabric"}
_ROOTS_OF_CUT: dict[str, Roots] = {"": "clean", "fine": "torn", "cut": "cut", "rot": "rot"}
_POTTING_OF_STATE: dict[str, Potting] = {"whole": "potted on", "cleaned": "repotted", "cut": "cut", "rot": "rot"}

TRUST = {
    "DEFAULT_POT_CM": Trust("project default", "the most common size on a hobby bench"),
    "ASSUMED_RH_PCT": Trust("derived", "FAO-56 equation 48, dew point 2 C below the minimum, at 5 to 12 C"),
    "WARM_MEAN_C": COMMON_PRACTICE,
    "DAMP_LOOK_DAYS": PROJECT_DEFAULT,
    "CUT_WIDTH_CM": PROJECT_DEFAULT,
}


def water_of(standing: Standing, thing: Thing, setting: Setting) -> Iterator[Due]:
    """Yield the look at the rack and the first waters of a thing."""
    if not thing.alive and thing.kind not in ("place", "some"):
        return
    if thing.bare_on is not None:
        yield _pot_up(thing, setting)
    for one in thing.settling:
        yield _first_water(standing, thing, one, setting)


# --- drying -----------------------------------------------------------------------------------------------------------


def drying_due(standing: Standing, setting: Setting, kept: Kept, shares: Iterable[tuple[Thing, object, Share]]) -> Iterator[Due]:
    """Yield one look for all pots of a kind in one place that were soaked together."""
    groups: dict[tuple[Any, ...], tuple[list[Thing], list[object]]] = {}
    learned = learned_of(standing, setting)
    soaked = _soaked_in(standing)
    for thing, row, share in shares:
        if share.pots is None or (thing.kind == "place" and _members_speak(thing, soaked)):
            continue
        things, rows = groups.setdefault(share.pots, ([], [learned]))
        things.append(thing)
        rows.append(row)
    for group, (things, rows) in groups.items():
        yield from kept.piece(("pots", *group), rows, partial(_drying_look, standing, things, group[0], group[1], setting))


def _members_speak(place: Thing, soaked: Collection[tuple[str, date | None]]) -> bool:
    """Whether what stands in a place was soaked with it (`soaked`: where and when) and is looked at for itself."""
    return not place.soak.get("count") and (place.key, place.soaked_on) in soaked


def _soaked_in(standing: Standing) -> set[tuple[str, date | None]]:
    """Return where and when plants were soaked, the places around theirs too."""
    stood = {
        (one.place, one.soaked_on)
        for one in standing.things.values()
        if one.soaked_on is not None and one.kind not in ("place", "house") and one.alive
    }
    return {(around, on) for place, on in stood for around in standing.around(place)}


def pots_of(thing: Thing, setting: Setting) -> tuple[Any, ...] | None:
    """Return the pots with which a soaked thing is looked at: day, place, pot, mix; None where it dries by itself unseen."""
    if thing.soaked_on is None or thing.bare_on is not None or thing.kind in ("house", "sowing"):
        return None
    if not thing.alive and thing.kind not in ("place", "some"):
        return None
    place = thing.key if thing.kind == "place" else thing.place
    return (thing.soaked_on, place, *pot_class(thing, setting), thing.soak.get("damp_on", ""))


def pot_of(thing: Thing, setting: Setting) -> dict[str, Any]:
    """Return what is known of a thing's pot: its own, else what is usual where it stands."""
    return laid_over(setting.pots.get(thing.key if thing.kind == "place" else thing.place, {}), thing.pot)


def mix_class(pot: Mapping[str, Any]) -> Mix:
    """Return the class of the mix in a pot: by its recipe where that tells, else by its word, else half."""
    parts = [(str(name), float(share)) for name, share in pot.get("recipe", {}).get("parts", ())]
    return (class_of(parts) if parts else None) or MIX_WORDS.get(str(pot.get("mix", "")), "half")


def pot_class(thing: Thing, setting: Setting) -> tuple[float, Material, Mix]:
    """Return size in cm, material and mix class of a thing's pot, with defaults for what nobody said."""
    pot = pot_of(thing, setting)
    material = MATERIAL_WORDS.get(str(pot.get("material", "")), "plastic")
    return float(pot.get("cm") or DEFAULT_POT_CM), material, mix_class(pot)


def pot_facts(thing: Thing, setting: Setting) -> dict[str, Any]:
    """Return where the pot of a thing comes from: noted, usual in its place since a day, or assumed."""
    usual = setting.pots.get(thing.key if thing.kind == "place" else thing.place, {})
    facts: dict[str, Any] = {"assumed": not thing.pot.get("cm") and not usual.get("cm")}
    if usual.get("cm") and not thing.pot.get("cm"):
        facts |= {"usual_in": usual["place"], "usual_since": usual["since"]}
    return facts


def potted_of(thing: Thing, setting: Setting) -> Potted:
    """Return the pot of a thing as the drying model takes it."""
    cm, material, mix = pot_class(thing, setting)
    shape = "square" if pot_of(thing, setting).get("material") == "square" else "round"
    plant: Plant = "rest" if thing.rest_on else "growing" if _is_warm(thing.place, setting.today, setting) else "cool"
    return Potted(Pot(cm, material, cast("Any", shape)), mix, plant)


def demand_of(potted: Potted, place: str, setting: Setting) -> DailyDemand:
    """Return the daily demand of a pot in a place, each day worked out once for this setting."""
    temperatures = setting.temperatures(place)
    made: DailyDemand = setting.for_good(
        ("demand", potted, setting.alike(place)),
        date.max,
        lambda: daily_demand(potted, temperatures, setting.latitude, lambda day: setting.humidity(place, day)),
    )
    return made


def learned_of(standing: Standing, setting: Setting) -> Learned:
    """Return what the grower's reports have taught of the pots so far."""
    made: Learned = setting.once(
        "learned", lambda: learn(_heard(_report(standing, one, setting) for one in standing.dry_reports))
    )
    return made


def learn_anew(standing: Standing, setting: Setting, kept: Kept) -> None:
    """Let `learned_of` return what the reports teach today: a plant that was repotted counts by its new pot."""
    reports = [
        kept.piece(("report", number), (one, kept.rows.get((one["kind"], one["key"]))), partial(_report, standing, one, setting))
        for number, one in enumerate(standing.dry_reports)
    ]
    setting.memo["learned"] = kept.piece(("learned",), reports, lambda: learn(_heard(reports)))


def _heard(reports: Iterable[DryReport | None]) -> Iterator[DryReport]:
    return (one for one in reports if one is not None)


def _report(standing: Standing, said: Mapping[str, Any], setting: Setting) -> DryReport | None:
    thing = standing.things.get((said["kind"], said["key"]))
    if thing is None:
        return None
    potted = potted_of(thing, setting)
    demand_on = demand_of(potted, thing.place, setting)
    start, end = date.fromisoformat(said["soaked_on"]), date.fromisoformat(said["on"])
    spent = sum(demand_on(start + timedelta(days=day)) for day in range(1, (end - start).days + 1))
    return DryReport(f"{said['kind']}:{said['key']}", said["said"], spent, store_of(potted).need_mm()) if spent > 0 else None


def _learner(standing: Standing, thing: Thing, setting: Setting) -> Learner:
    return learned_of(standing, setting).of(f"{thing.kind}:{thing.key}")


def drying_of(
    standing: Standing, thing: Thing, soaked_on: date, place: str, setting: Setting, factor: float | None = None
) -> DryingForecast:
    """Return when a soaked pot should be dry in the weather of its place, by the model and the grower's reports.

    `factor` stands in for the learned one, for a kind of pots instead of a pot.
    """
    potted = potted_of(thing, setting)
    light = {date.fromisoformat(one["on"]): float(one["ml"]) for one in thing.soak.get("light", ()) if one.get("ml")}
    learner = _learner(standing, thing, setting)
    if factor is not None:
        learner = replace(learner, pot=Belief(math.log(factor) - learner.grower.mean, learner.pot.variance))
    key = ("dry", potted, setting.alike(place), soaked_on, learner, tuple(sorted(light.items())))
    made: DryingForecast = setting.once(
        key,
        lambda: drying_forecast(
            potted,
            soaked_on,
            setting.today,
            demand_of(potted, place, setting),
            learner,
            waterings_ml=light,
            temperatures=setting.temperatures(place),
        ),
    )
    return made


def share_left_on(standing: Standing, thing: Thing, day: date, setting: Setting) -> float | None:
    """Return the share of its water (1 soaked, 0 dry) that a pot held on a day; None where no soak before it is known."""
    if thing.soaked_on is None or thing.bare_on is not None or thing.soaked_on > day:
        return None
    place = thing.key if thing.kind == "place" else thing.place
    potted, learner = potted_of(thing, setting), _learner(standing, thing, setting)
    light = {date.fromisoformat(one["on"]): float(one["ml"]) for one in thing.soak.get("light", ()) if one.get("ml")}
    key = ("left", potted, setting.alike(place), thing.soaked_on, day, learner.factor, tuple(sorted(light.items())))
    made: float = setting.once(
        key,
        lambda: (
            water_balance(
                store_of(potted), thing.soaked_on or day, day, demand_of(potted, place, setting), learner.factor, light
            ).share_left
        ),
    )
    return made


def _drying_look(standing: Standing, things: list[Thing], soaked_on: date, place: str, setting: Setting) -> tuple[Due, ...]:
    forecast = drying_of(standing, things[0], soaked_on, place, setting)
    if forecast.look_on is None or forecast.dry_on is None:
        return ()
    cm, material, mix = pot_class(things[0], setting)
    damp_on = things[0].soak.get("damp_on", "")
    key = f"dry|{soaked_on}|{place}|{cm:g}|{material}|{mix}" + (f"|{damp_on}" if damp_on else "")
    first = max(forecast.look_on, soaked_on + timedelta(days=1))
    on = max(first, date.fromisoformat(damp_on) + timedelta(days=DAMP_LOOK_DAYS)) if damp_on else first
    refs = tuple(_counted(one) for one in things)
    learner = _learner(standing, things[0], setting)
    facts = _drying_facts(things[0], forecast, soaked_on, place, setting) | {
        "reports": learner.reports,
        "factor": round(learner.factor, 2),
    }
    why = why_of(forecast.reason, **facts) | {"quantity": "drying"}
    return (Due(key, "dry_look", on, refs, max(on, forecast.high_on) if forecast.high_on else None, place, "", why),)


def _drying_facts(thing: Thing, forecast: DryingForecast, soaked_on: date, place: str, setting: Setting) -> dict[str, Any]:
    assert forecast.dry_on is not None
    temperatures = setting.temperatures(place)
    days = [temperatures(soaked_on + timedelta(days=one)) for one in range(1, max(1, (forecast.dry_on - soaked_on).days) + 1)]
    rh = setting.humidity(place, soaked_on)
    cm, material, mix = pot_class(thing, setting)
    return {
        "kinds": dict(forecast.kinds),
        "since": soaked_on.isoformat(),
        "days": (forecast.dry_on - soaked_on).days,
        "low": _days(soaked_on, forecast.low_on),
        "high": _days(soaked_on, forecast.high_on),
        "pot_cm": cm,
        "material": material,
        "mix": mix,
        **pot_facts(thing, setting),
        "min_c": min(one.min_c for one in days),
        "max_c": max(one.max_c for one in days),
        "rh": rh if rh is not None else ASSUMED_RH_PCT,
        "rh_assumed": rh is None,
    }


def _counted(thing: Thing) -> Ref:
    return Ref(thing.kind, thing.key, thing.soak.get("count") if thing.kind != "plant" else None)


def _days(start: date, end: date | None) -> int | None:
    return (end - start).days if end else None


def _is_warm(place: str, day: date, setting: Setting) -> bool:
    return setting.temperatures(place)(day).mean_c >= WARM_MEAN_C


# --- the rack and the first water -------------------------------------------------------------------------------------


def rack_time(thing: Thing, setting: Setting) -> DryTime:
    """Return how long what lies on the rack should dry before it is potted."""
    assert thing.bare_on is not None
    mean_c = setting.temperatures(thing.place)(thing.bare_on).mean_c
    kind = str(thing.tally.get("kind", "")) if thing.kind == "batch" else ""
    width = CUT_WIDTH_CM.get(kind)
    return dry_time(_ROOTS_OF_CUT.get(thing.cut, "clean"), width, mean_c, setting.humidity(thing.place, thing.bare_on))


def _pot_up(thing: Thing, setting: Setting) -> Due:
    assert thing.bare_on is not None
    time = rack_time(thing, setting)
    on, again = time.looks(thing.bare_on)
    if thing.hold.get("until"):
        on = date.fromisoformat(thing.hold["until"])
        again = max(on, again)
    known = setting.temperatures(thing.place)(thing.bare_on)
    facts = {
        "since": thing.bare_on.isoformat(),
        "low": time.low,
        "high": time.high,
        "cut": thing.cut,
        "state": thing.cut or "clean",
        "mean_c": round(known.mean_c),
        "mean_kind": known.kind,
        "count": thing.bare_count,
    }
    why = why_of(time.reason, **facts) | {"quantity": "days", "rule": _span(time.low, time.high)}
    ref = Ref(thing.kind, thing.key, thing.bare_count if thing.kind != "plant" else None)
    return Due(
        f"rack|{thing.kind}:{thing.key}|{thing.bare_on}|{thing.bare_count}", "pot_up", on, (ref,), again, thing.place, "", why
    )


def _span(low: int, high: int) -> str:
    return f"{low} to {high} days" if low != high else f"{low} days"


def first_water_of(standing: Standing, thing: Thing, settling: dict[str, Any], setting: Setting) -> FirstWater:
    """Return when newly potted plants may have their first water: by their roots, the warmth, and never inside rest."""
    potted_on = date.fromisoformat(settling["on"])
    state = "rot" if settling.get("cut") == "rot" else str(settling["state"])
    row = genus_row(thing.genus) if thing.genus else None
    form = thing.roots or (row.root_form if row else "fibrous")
    known = row is not None or bool(said_on(standing.rule_for(thing)))
    return first_water(
        potted_on,
        _POTTING_OF_STATE[state],
        warm_growth=_is_warm(thing.place, potted_on, setting),
        root_form=cast("Any", form),
        rest_on=(lambda day: state_of_thing(standing, thing, day, setting)) if known else None,
    )


def _first_water(standing: Standing, thing: Thing, settling: dict[str, Any], setting: Setting) -> Due:
    found = first_water_of(standing, thing, settling, setting)
    potted_on = date.fromisoformat(settling["on"])
    on, until = found.low_on or potted_on + timedelta(days=180), found.high_on
    if thing.hold.get("until"):
        on = max(on, date.fromisoformat(thing.hold["until"]))
        until = max(on, until) if until else None
    low, high = (on - potted_on).days, ((until or on) - potted_on).days
    row = genus_row(thing.genus) if thing.genus else None
    facts = {
        "since": settling["on"],
        "roots": thing.roots or (row.root_form if row else "fibrous"),
        "roots_from": "noted" if thing.roots else f"genus {row.confidence}" if row else "assumed",
        "state": "rot" if settling.get("cut") == "rot" else settling["state"],
        "mean_c": round(setting.temperatures(thing.place)(potted_on).mean_c),
        "mean_kind": setting.temperatures(thing.place)(potted_on).kind,
        "share": found.water_share,
        "waits": found.waits_for_restart,
    }
    why = why_of(found.reason, **facts) | {"quantity": "days", "rule": _span(low, high)}
    count = settling.get("count")
    ref = Ref(thing.kind, thing.key, count if thing.kind != "plant" else None)
    return Due(f"first|{thing.kind}:{thing.key}|{settling['on']}|{count}", "first_water", on, (ref,), until, thing.place, "", why)
