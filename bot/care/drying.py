"""How a pot dries: a two-stage water balance of one pot from temperature, humidity, light, mix, material and plant.

While the mix is wet it loses what air and sun ask for; below a threshold it loses ever less (FAO-56 equation 74). The
class parameters rest on practice, not on weighed pots: two anchors (6 cm clay in summer 2 to 4 days, 9 cm plastic in
November 21 to 35 days) were in view when they were chosen. Always shown with a range; learned from the grower's reports.

Lengths in cm, water in mm over the surface of the mix, evaporation in mm/day.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Literal

from bot.care.climate import DayTemperature, Kind
from bot.care.evaporation import aerodynamic_term, extraterrestrial_radiation, radiation_term
from bot.care.learning import Learner
from bot.care.sources import Reason, Trust

Shape = Literal["round", "square"]
Material = Literal["plastic", "glazed", "clay", "fabric"]
Mix = Literal["grit", "mineral", "half", "loam", "peat"]
Plant = Literal["none", "rest", "cool", "growing", "leafy"]
Air = Literal["still", "normal", "moving"]
Light = Literal["full", "half", "shade", "dark"]


@dataclass(frozen=True, slots=True)
class MixClass:
    """Water at container capacity and left when air-dry (shares of volume), easily lost water in mm, loss per cm height."""

    capacity: float
    residual: float
    easy_mm: float
    height_effect: float


MIXES: Mapping[Mix, MixClass] = {
    "grit": MixClass(0.18, 0.03, 2, 0.019),
    "mineral": MixClass(0.27, 0.05, 3, 0.019),
    "half": MixClass(0.35, 0.07, 5, 0.030),
    "loam": MixClass(0.38, 0.10, 8, 0.035),
    "peat": MixClass(0.52, 0.12, 8, 0.043),
}
WIND_FUNCTION: Mapping[Air, float] = {"still": 1.6, "normal": 2.4, "moving": 3.5}
SUN_SHARE: Mapping[Light, float] = {"full": 0.7, "half": 0.4, "shade": 0.2, "dark": 0.05}
PLANT_SHARE: Mapping[Plant, float] = {"none": 0.0, "rest": 0.10, "cool": 0.28, "growing": 0.57, "leafy": 1.0}
WALL_CM: Mapping[Material, float] = {"plastic": 0.1, "glazed": 0.5, "clay": 0.5, "fabric": 0.1}
WALL_SHARE: Mapping[Material, float] = {"plastic": 0.0, "glazed": 0.0, "clay": 0.35, "fabric": 0.5}
CROWDED_CLAY_SHARE = 0.18
TOP_DRESSING = 0.7
RIM_GAP_CM = 1.0
BASE_OF_TOP = 0.70
HEIGHT_OF_TOP = 0.85
CAPACITY_MEASURED_AT_CM = 7.6
HEIGHT_EFFECT_CM = (3.8, 15.2)
CLAY_WATER_SHARE = 0.19
GLASS = 0.65
CLEARNESS_MIDWINTER = 0.33
CLEARNESS_SWING = 0.12
LONGWAVE_LOSS_MJ = 0.3
SHORTWAVE_KEPT = 0.77
DRY_LEFT = 0.15
LOOK_LEFT = 0.35
CAUTIOUS = 1.6
HORIZON_DAYS = 200

_MODEL = Trust("project default", "class parameters chosen with two practice anchors in view")
TRUST = {
    "MIXES": Trust("derived", "height effect: Owen & Altland 2008, HortScience 43(2):505-508; the rest project default"),
    "WIND_FUNCTION": Trust("project default", "near Penman 1956 as in McMahon et al. 2013, Hydrol. Earth Syst. Sci. 17:1331"),
    "SUN_SHARE": _MODEL,
    "PLANT_SHARE": Trust("published", "0.28 and 0.57: Rezaei, Jarrett, Berghage & Beattie 2005, ASAE paper 052150 (sedum mats)"),
    "WALL_CM": _MODEL,
    "WALL_SHARE": Trust("project default", "planted clay pots use about a third more water: hort.net, igsrobin, Feb 1999"),
    "CROWDED_CLAY_SHARE": _MODEL,
    "TOP_DRESSING": _MODEL,
    "RIM_GAP_CM": _MODEL,
    "BASE_OF_TOP": _MODEL,
    "HEIGHT_OF_TOP": _MODEL,
    "CAPACITY_MEASURED_AT_CM": Trust("derived", "middle of the heights in Owen & Altland 2008, HortScience 43(2):505-508"),
    "HEIGHT_EFFECT_CM": Trust("published", "Owen & Altland 2008, HortScience 43(2):505-508"),
    "CLAY_WATER_SHARE": Trust("from memory", "soaked earthenware holds about 10 % by mass at density 1.9"),
    "GLASS": _MODEL,
    "CLEARNESS_MIDWINTER": _MODEL,
    "CLEARNESS_SWING": _MODEL,
    "LONGWAVE_LOSS_MJ": _MODEL,
    "SHORTWAVE_KEPT": Trust("published", "FAO-56 equation 38"),
    "DRY_LEFT": _MODEL,
    "LOOK_LEFT": _MODEL,
    "CAUTIOUS": Trust("derived", "80 % of the parameter spread, logarithmic sd 0.35 to 0.39"),
    "HORIZON_DAYS": _MODEL,
}


@dataclass(frozen=True, slots=True)
class Pot:
    """A pot by its outer top, and base, height and wall in cm where known (else the usual shape).

    Raises ValueError for sizes that hold no mix.
    """

    top_cm: float
    material: Material = "plastic"
    shape: Shape = "round"
    base_cm: float | None = None
    height_cm: float | None = None
    rim_gap_cm: float = RIM_GAP_CM
    wall_cm: float | None = None

    def __post_init__(self) -> None:
        if not 0 < self.top_cm <= 200:
            raise ValueError(f"a pot of {self.top_cm:g} cm is not possible")
        if self.fill_height_cm <= 0 or self.inner_base_cm <= 0:
            raise ValueError("these sizes leave no room for mix")

    @property
    def wall(self) -> float:
        return WALL_CM[self.material] if self.wall_cm is None else self.wall_cm

    @property
    def base(self) -> float:
        return BASE_OF_TOP * self.top_cm if self.base_cm is None else self.base_cm

    @property
    def height(self) -> float:
        return HEIGHT_OF_TOP * self.top_cm if self.height_cm is None else self.height_cm

    @property
    def fill_height_cm(self) -> float:
        return self.height - self.wall - self.rim_gap_cm

    @property
    def inner_base_cm(self) -> float:
        return self.base - 2 * self.wall

    @property
    def inner_top_cm(self) -> float:
        """Inner diameter (or side) at the fill line."""
        return self.inner_base_cm + (self.top_cm - self.base) * self.fill_height_cm / (self.height - self.wall)


@dataclass(frozen=True, slots=True)
class Potted:
    """A pot with its mix, its plant and where it stands: all that the drying model asks of it."""

    pot: Pot
    mix: Mix = "half"
    plant: Plant = "growing"
    air: Air = "normal"
    light: Light = "full"
    top_dressed: bool = False
    crowded: bool = False
    cover: float | None = None

    @property
    def cover_share(self) -> float:
        if self.cover is not None:
            return self.cover
        return TOP_DRESSING if self.top_dressed else 1.0

    @property
    def wall_share(self) -> float:
        return CROWDED_CLAY_SHARE if self.crowded and self.pot.material == "clay" else WALL_SHARE[self.pot.material]


@dataclass(frozen=True, slots=True)
class Store:
    """What a pot holds: volume in cm3, areas of surface and wall in cm2, all and easily lost water in mm of the surface."""

    volume_cm3: float
    surface_cm2: float
    wall_cm2: float
    total_mm: float
    easy_mm: float

    def need_mm(self, left: float = DRY_LEFT) -> float:
        """Demand in mm that dries a soaked pot until the share `left` of its water remains (0 < left <= 1)."""
        late = self.total_mm - self.easy_mm
        if left * self.total_mm >= late:
            return (1 - left) * self.total_mm
        return self.easy_mm + late * math.log(late / (left * self.total_mm))

    def depletion_mm(self, demand_mm: float) -> float:
        """Water lost from a soaked pot by a summed demand, both in mm."""
        if demand_mm <= self.easy_mm:
            return demand_mm
        late = self.total_mm - self.easy_mm
        return self.total_mm - late * math.exp(-(demand_mm - self.easy_mm) / late)

    def demand_behind(self, depletion_mm: float) -> float:
        """The summed demand that leads from soaked to this depletion: `depletion_mm` turned round."""
        if depletion_mm <= self.easy_mm:
            return max(0.0, depletion_mm)
        late = self.total_mm - self.easy_mm
        return self.easy_mm + late * math.log(late / max(self.total_mm - depletion_mm, 1e-9 * late))

    def share_left(self, demand_mm: float) -> float:
        """Share of the water (1 soaked, 0 dry) left after a summed demand."""
        return 1 - self.depletion_mm(demand_mm) / self.total_mm


@dataclass(frozen=True, slots=True)
class DryingEstimate:
    """Days until dry in weather that stays as it is, with the 80 % range, and the day from which to look."""

    days: float
    low: float
    high: float
    look_days: float
    demand_mm: float
    need_mm: float
    reason: Reason


@dataclass(frozen=True, slots=True)
class DryingForecast:
    """When a soaked pot should be dry: `look_on` from when to look, `dry_on` within `low_on` .. `high_on`.

    Dates are None where they lie further than 200 days after the soak. `share_left` holds for the day asked about, `kinds`
    counts the days up to `dry_on` by how their temperature is known.
    """

    soaked_on: date
    look_on: date | None
    dry_on: date | None
    low_on: date | None
    high_on: date | None
    share_left: float
    demand_mm: float
    need_mm: float
    kinds: Mapping[Kind, int]
    reason: Reason


@dataclass(frozen=True, slots=True)
class Balance:
    """Where the water of a pot went between two days, in mm of its surface: evaporated + drained = added + depletion."""

    evaporated_mm: float
    added_mm: float
    drained_mm: float
    depletion_mm: float
    share_left: float
    spent_mm: float


DailyDemand = Callable[[date], float]


def store_of(potted: Potted) -> Store:
    """Volume, areas and water of a pot filled with its mix."""
    pot, mix = potted.pot, MIXES[potted.mix]
    h, d1, d2 = pot.fill_height_cm, pot.inner_top_cm, pot.inner_base_cm
    c = math.pi / 4 if pot.shape == "round" else 1.0
    volume = c * h * (d1 * d1 + d1 * d2 + d2 * d2) / 3
    surface = c * d1 * d1
    wall = 4 * c * (d1 + d2) / 2 * math.hypot(h, (d1 - d2) / 2)
    # The effect of height was measured between these two; it is held beyond them, where the line would empty a tall pot.
    height = min(max(h, HEIGHT_EFFECT_CM[0]), HEIGHT_EFFECT_CM[1])
    capacity = mix.capacity * (1 - mix.height_effect * (height - CAPACITY_MEASURED_AT_CM))
    total = 10 * volume * (capacity - mix.residual) / surface
    easy = min(mix.easy_mm, total / 2)
    if pot.material == "clay":
        soaked = 10 * CLAY_WATER_SHARE * pot.wall * (wall + surface / 2) / surface
        total, easy = total + soaked, easy + soaked
    return Store(volume, surface, wall, total, easy)


def demand(potted: Potted, store: Store, min_c: float, max_c: float, rh_pct: float | None, net_mj: float) -> float:
    """What the air and the sun ask of the wet pot in a day, in mm; `net_mj` is the net radiation at the plant."""
    aero = aerodynamic_term(min_c, max_c, rh_pct, WIND_FUNCTION[potted.air])
    sun = radiation_term(min_c, max_c, net_mj)
    through_wall = potted.wall_share * store.wall_cm2 / store.surface_cm2 * (aero + 0.3 * sun)
    return potted.cover_share * (sun + aero) * (1 + PLANT_SHARE[potted.plant]) + through_wall


def net_radiation_inside(latitude: float, day_of_year: int, light: Light) -> float:
    """Net radiation at a plant under glass, in MJ/m2/day, never below 0."""
    season = math.copysign(1, latitude) * math.cos(2 * math.pi * (day_of_year - 172) / 365)
    clearness = CLEARNESS_MIDWINTER + CLEARNESS_SWING * (1 + season) / 2
    ra_mj = extraterrestrial_radiation(latitude, day_of_year)
    return max(0.0, SHORTWAVE_KEPT * GLASS * clearness * ra_mj * SUN_SHARE[light] - LONGWAVE_LOSS_MJ)


def days_to_dry(
    potted: Potted,
    min_c: float,
    max_c: float,
    rh_pct: float | None,
    net_mj: float,
    learner: Learner | None = None,
    left: float = DRY_LEFT,
) -> DryingEstimate:
    """Days from a soak until the share `left` of the water remains, in constant weather.

    `rh_pct` None takes the night's dew point (FAO-56 equation 48). Raises ValueError for a minimum above the maximum, a
    humidity outside 0 to 100 or a share outside 0 to 1.
    """
    if min_c > max_c:
        raise ValueError(f"minimum {min_c:g} is above maximum {max_c:g}: swapped?")
    if rh_pct is not None and not 0 <= rh_pct <= 100:
        raise ValueError(f"humidity {rh_pct:g} % is outside 0 to 100")
    if not 0 < left < 1:
        raise ValueError("the share left must lie between 0 and 1")
    known = learner or Learner()
    store = store_of(potted)
    q = demand(potted, store, min_c, max_c, rh_pct, net_mj)
    need = known.factor * store.need_mm(left)
    days = need / q
    look = min(days, known.factor * store.need_mm(max(LOOK_LEFT, left)) / q)
    return DryingEstimate(days, days / known.spread, days * known.spread, look, q, need, _reason(q, need, known, "mm/day"))


def daily_demand(
    potted: Potted,
    temperatures: Callable[[date], DayTemperature],
    latitude: float,
    humidity: Callable[[date], float | None] | None = None,
) -> DailyDemand:
    """The demand of each day in mm, from a place's temperatures, humidity and daylight. Each day is worked out once."""
    store = store_of(potted)

    @cache
    def on(day: date) -> float:
        known = temperatures(day)
        rh_pct = humidity(day) if humidity else None
        net_mj = net_radiation_inside(latitude, day.timetuple().tm_yday, potted.light)
        return demand(potted, store, known.min_c, known.max_c, rh_pct, net_mj)

    return on


def water_balance(
    store: Store,
    soaked_on: date,
    until: date,
    demand_on: DailyDemand,
    factor: float = 1.0,
    waterings_ml: Mapping[date, float] | None = None,
) -> Balance:
    """The pot's water from a soak through the day `until`. Light waterings, rain and leaks come at the day's end.

    A learned `factor` above 1 makes each day count for less. Misting is no watering: leave it out.
    """
    spent = evaporated = added = drained = 0.0
    for day in _days_after(soaked_on, until):
        before = store.depletion_mm(spent)
        spent += demand_on(day) / factor
        after = store.depletion_mm(spent)
        evaporated += after - before
        given = 10 * (waterings_ml or {}).get(day, 0.0) / store.surface_cm2
        if given:
            kept = min(given, after)
            added, drained = added + given, drained + given - kept
            spent = store.demand_behind(after - kept)
    return Balance(evaporated, added, drained, store.depletion_mm(spent), store.share_left(spent), spent)


def drying_forecast(
    potted: Potted,
    soaked_on: date,
    today: date,
    demand_on: DailyDemand,
    learner: Learner | None = None,
    waterings_ml: Mapping[date, float] | None = None,
    temperatures: Callable[[date], DayTemperature] | None = None,
) -> DryingForecast:
    """When a pot soaked on a day should be dry, from the weather that was and that is to be expected."""
    known = learner or Learner()
    store = store_of(potted)
    need = store.need_mm()
    end = soaked_on + timedelta(days=HORIZON_DAYS)
    balance = water_balance(store, soaked_on, max(today, soaked_on), demand_on, known.factor, waterings_ml)

    dry_mm, look_mm = store.need_mm(DRY_LEFT), store.need_mm(LOOK_LEFT)
    wanted = (
        (known.factor, look_mm),
        (known.factor, dry_mm),
        (known.factor / known.spread, dry_mm),
        (known.factor * known.spread, dry_mm),
    )
    look, dry, low, high = _dry_days(store, soaked_on, end, demand_on, wanted, waterings_ml)
    kinds: Mapping[Kind, int] = {}
    if temperatures and dry:
        kinds = dict(Counter(temperatures(day).kind for day in _days_after(soaked_on, dry)))
    return DryingForecast(
        soaked_on=soaked_on,
        look_on=look,
        dry_on=dry,
        low_on=low,
        high_on=high,
        share_left=balance.share_left,
        demand_mm=balance.spent_mm,
        need_mm=need,
        kinds=kinds,
        reason=_reason(balance.spent_mm, need, known, "mm"),
    )


def last_safe_soak(
    potted: Potted, dry_by: date, demand_on: DailyDemand, learner: Learner | None = None, cautious: float = CAUTIOUS
) -> tuple[date | None, date | None]:
    """Latest soak after which the pot is dry on or before `dry_by`: the central and the cautious day.

    None where not even 200 days would do.
    """
    need = (learner or Learner()).factor * store_of(potted).need_mm()
    wanted, found = (need, cautious * need), [None, None]  # type: tuple[float, float], list[date | None]
    total, day = 0.0, dry_by
    for _ in range(HORIZON_DAYS):
        total += demand_on(day)
        day -= timedelta(days=1)
        found = [one or (day if total >= mm else None) for one, mm in zip(found, wanted, strict=True)]
        if None not in found:
            break
    return found[0], found[1]


def _dry_days(
    store: Store,
    soaked_on: date,
    end: date,
    demand_on: DailyDemand,
    wanted: Sequence[tuple[float, float]],
    waterings_ml: Mapping[date, float] | None,
) -> list[date | None]:
    """Return for each factor and need in mm the day on which that much is spent, None where it is not by the end."""
    spent, found = [0.0] * len(wanted), [None] * len(wanted)  # type: list[float], list[date | None]
    given_ml = waterings_ml or {}
    last_watering = max(given_ml, default=soaked_on)
    for day in _days_after(soaked_on, end):
        asked, given = demand_on(day), 10 * given_ml.get(day, 0.0) / store.surface_cm2
        for at, (factor, need_mm) in enumerate(wanted):
            if found[at] is None:
                spent[at] += asked / factor
                if given:
                    spent[at] = store.demand_behind(max(0.0, store.depletion_mm(spent[at]) - given))
                if spent[at] >= need_mm and day >= last_watering:
                    found[at] = day
        if None not in found:
            break
    return found


def _days_after(start: date, end: date) -> Iterator[date]:
    return (start + timedelta(days=n) for n in range(1, (end - start).days + 1))


def _reason(value: float, target: float, learner: Learner, unit: str) -> Reason:
    facts = {"factor": round(learner.factor, 3), "reports": learner.reports, "spread": round(learner.spread, 3)}
    return Reason("evaporation", value, target, unit, None, _MODEL, facts)
