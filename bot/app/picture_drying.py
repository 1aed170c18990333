"""How a pot dries, as drawn: the curve of the model behind the drying-off check, and what the grower said of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from bot.app.plan import View
from bot.care.drying import HORIZON_DAYS, DailyDemand, DryingForecast, Potted, store_of, water_balance
from bot.care.due_water import demand_of, drying_of, learned_of, pot_class, potted_of
from bot.care.events import Ref
from bot.care.learning import Learner
from bot.care.standing import Standing, Thing
from bot.sharing.picture_parts import thinned

MOST_DAYS = 60  # points of a curve
MOST_REPORTS = 30  # the newest


@dataclass(frozen=True, slots=True)
class Report:
    """What was said of a pot so many days after a soak, and the share of water the model gives it for then."""

    days: int
    share: float
    said: str


@dataclass(frozen=True, slots=True)
class Drying:
    """The share of its water that a pot holds by days since the soak (1 soaked, 0 air-dry), its 80 % range, and the reports.

    `waiting` says that it was not found dry since; `alike` counts the pots of a kind soaked in one place that day.
    """

    thing: Thing
    soaked_on: date
    waiting: bool
    alike: int
    forecast: DryingForecast
    curve: tuple[tuple[int, float, float, float], ...]  # days, low, middle, high
    reports: tuple[Report, ...]
    learner: Learner
    pot: tuple[float, str, str]


def drying(view: View, refs: Iterable[Ref]) -> Drying | None:
    """Return how the pot that was soaked last of some things dries; None where no soak of theirs is known."""
    standing = view.standing
    things = _things(standing, refs)
    waiting = [one for one in things if one.soaked_on is not None and one.bare_on is None]
    if waiting:
        thing = max(waiting, key=lambda one: (one.soaked_on or date.min, one.kind == "plant"))
        assert thing.soaked_on is not None
        alike = [one for one in waiting if one.soaked_on == thing.soaked_on and one.place == thing.place]
        mine = pot_class(thing, view.setting)
        same = sum(one.count or 1 for one in alike if pot_class(one, view.setting) == mine and one.kind != "place")
        return _drying(view, thing, thing.soaked_on, max(1, same), waiting=True)
    keys = {(one.kind, one.key) for one in things}
    told = [one for one in standing.dry_reports if (one["kind"], one["key"]) in keys]
    if not told:
        return None
    last = max(told, key=lambda one: str(one["on"]))
    thing = standing.things[last["kind"], last["key"]]
    return _drying(view, thing, date.fromisoformat(last["soaked_on"]), 1, waiting=False)


def _things(standing: Standing, refs: Iterable[Ref]) -> list[Thing]:
    found: dict[tuple[str, str], Thing] = {}
    for ref in refs:
        mine = standing.things.get((ref.kind, ref.key))
        named = [mine] if mine is not None else []
        if ref.kind == "place":
            named += standing.within(ref.key)
        elif ref.kind == "lot":
            named += [one for one in standing.plants() if one.lot == ref.key]
        elif ref.kind == "taxon":
            named += [one for one in standing.by_genus().get(ref.key, ()) if one.alive]
        found |= {(one.kind, one.key): one for one in named}
    return list(found.values())


def _drying(view: View, thing: Thing, soaked_on: date, alike: int, *, waiting: bool) -> Drying:
    setting, place = view.setting, thing.key if thing.kind == "place" else thing.place
    potted = potted_of(thing, setting)
    learner = learned_of(view.standing, setting).of(f"{thing.kind}:{thing.key}")
    demand_on = demand_of(potted, place, setting)
    forecast = drying_of(view.standing, thing, soaked_on, place, setting)
    light = _light(thing) if waiting else {}
    reports = _reports(view.standing, thing, potted, demand_on, learner)
    last = max(one for one in (forecast.high_on, forecast.dry_on, soaked_on + timedelta(days=1)) if one)
    if waiting:  # a soak of long ago would be a needle at the left
        last = max(last, min(view.today, last + (last - soaked_on) / 2, soaked_on + timedelta(days=HORIZON_DAYS)))
    days = thinned(range((last - soaked_on).days + 2), MOST_DAYS)
    factors = (learner.factor / learner.spread, learner.factor, learner.factor * learner.spread)

    def left(day: int, factor: float) -> float:
        return water_balance(store_of(potted), soaked_on, soaked_on + timedelta(days=day), demand_on, factor, light).share_left

    low, middle, high = factors
    curve = tuple((day, left(day, low), left(day, middle), left(day, high)) for day in days)
    return Drying(thing, soaked_on, waiting, alike, forecast, curve, reports, learner, pot_class(thing, setting))


def _light(thing: Thing) -> Mapping[date, float]:
    return {date.fromisoformat(one["on"]): float(one["ml"]) for one in thing.soak.get("light", ()) if one.get("ml")}


def _reports(standing: Standing, thing: Thing, potted: Potted, demand_on: DailyDemand, learner: Learner) -> tuple[Report, ...]:
    mine: list[dict[str, Any]] = [one for one in standing.dry_reports if (one["kind"], one["key"]) == (thing.kind, thing.key)]
    found = []
    for one in mine[-MOST_REPORTS:]:
        start, end = date.fromisoformat(one["soaked_on"]), date.fromisoformat(one["on"])
        share = water_balance(store_of(potted), start, end, demand_on, learner.factor).share_left
        found.append(Report((end - start).days, share, str(one["said"])))
    return tuple(found)
