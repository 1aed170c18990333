"""From the wash to the first water: minutes in the bath, days on the rack, and when a potted plant may drink.

Sources disagree by weeks; the values are common practice with their ranges, and the grower overrules them. A first water
never falls into rest: it waits for the restart, and a firm, slightly shrunken plant in rest is normal.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from bot.care.drying import WIND_FUNCTION
from bot.care.evaporation import aerodynamic_term
from bot.care.genera import RootForm
from bot.care.rest import RestState
from bot.care.sources import COMMON_PRACTICE, PROJECT_DEFAULT, Reason, Trust

Roots = Literal["clean", "torn", "cut", "rot"]
Potting = Literal["potted on", "repotted", "cut", "rot"]

WASH_MINUTES = (10, 15)
FORGOTTEN_AFTER_DAYS = 7
FILM_MM = 0.5
SLOW_BELOW_C = 15.0
SLOW_FACTOR = 1.5
DRY_DAYS: Mapping[Roots, tuple[int, int]] = {"clean": (0, 2), "torn": (3, 3), "cut": (7, 7), "rot": (14, 14)}
DRY_DAYS_BY_WIDTH_CM: tuple[tuple[float, tuple[int, int]], ...] = (
    (1.0, (3, 4)),
    (3.0, (7, 10)),
    (6.0, (14, 21)),
    (float("inf"), (21, 56)),
)
FIRST_WATER_WARM_DAYS: Mapping[Potting, tuple[int, int]] = {
    "potted on": (3, 7),
    "repotted": (7, 7),
    "cut": (14, 21),
    "rot": (21, 28),
}
FIRST_WATER_COOL_DAYS: Mapping[Potting, tuple[int, int]] = {**FIRST_WATER_WARM_DAYS, "potted on": (7, 14), "repotted": (14, 14)}
STORAGE_ROOT_LATER_DAYS = 7
STORAGE_ROOT_WATER_SHARE = 0.5

TRUST = {
    "WASH_MINUTES": COMMON_PRACTICE,
    "FORGOTTEN_AFTER_DAYS": PROJECT_DEFAULT,
    "FILM_MM": Trust("derived", "a film of water on washed roots"),
    "SLOW_BELOW_C": COMMON_PRACTICE,
    "SLOW_FACTOR": COMMON_PRACTICE,
    "DRY_DAYS": Trust("common practice", "0-7 days for clean roots to two weeks after rot; sources disagree"),
    "DRY_DAYS_BY_WIDTH_CM": Trust("common practice", "under 1 cm 3-4 days to 3-8 weeks above 6 cm"),
    "FIRST_WATER_WARM_DAYS": Trust("common practice", "base 14 days: British Cactus & Succulent Society, The Growing Year"),
    "FIRST_WATER_COOL_DAYS": Trust("common practice", "base 14 days: British Cactus & Succulent Society, The Growing Year"),
    "STORAGE_ROOT_LATER_DAYS": Trust("common practice", "tap roots and tubers rot within days when overwatered"),
    "STORAGE_ROOT_WATER_SHARE": Trust("common practice", "tap roots and tubers rot within days when overwatered"),
}


@dataclass(frozen=True, slots=True)
class DryTime:
    """Days on the rack before potting, `low` to `high`, and how long the washed surface alone stays wet."""

    low: int
    high: int
    surface_days: float
    slowed: bool
    reason: Reason

    def looks(self, since: date) -> tuple[date, date]:
        """The day to ask "pot?", and the day that brings the forgotten back."""
        due = since + timedelta(days=self.high)
        return due, due + timedelta(days=FORGOTTEN_AFTER_DAYS)


@dataclass(frozen=True, slots=True)
class FirstWater:
    """When a potted plant may have its first water: from `low_on`, at the latest look `high_on`; how much of the usual.

    `waits_for_restart` says that it would have fallen into rest; the dates are then those of the restart, None where that
    lies too far off.
    """

    low_on: date | None
    high_on: date | None
    water_share: float
    waits_for_restart: bool
    reason: Reason


def film_drying_days(temperature_c: float, rh_pct: float) -> float:
    """Days until the film of a wash has dried from roots, in normal air without sun."""
    return FILM_MM / aerodynamic_term(temperature_c, temperature_c, rh_pct, WIND_FUNCTION["normal"])


def dry_time(
    roots: Roots = "clean", cut_width_cm: float | None = None, mean_c: float | None = None, rh_pct: float | None = None
) -> DryTime:
    """How long washed, torn or cut roots, or any cut of a given width, should dry before potting.

    A width decides over the word. Below 15 C cuts take half as long again. Raises ValueError for a width that is not
    above zero.
    """
    low, high = DRY_DAYS[roots]
    if cut_width_cm is not None:
        if cut_width_cm <= 0:
            raise ValueError("the width of a cut must be above zero")
        low, high = next(days for below, days in DRY_DAYS_BY_WIDTH_CM if cut_width_cm < below)
    slowed = mean_c is not None and mean_c < SLOW_BELOW_C and (roots != "clean" or cut_width_cm is not None)
    if slowed:
        low, high = round(low * SLOW_FACTOR), round(high * SLOW_FACTOR)
    surface = film_drying_days(20 if mean_c is None else mean_c, 60 if rh_pct is None else rh_pct)
    trust = TRUST["DRY_DAYS" if cut_width_cm is None else "DRY_DAYS_BY_WIDTH_CM"]
    reason = Reason("days dry", None, float(high), "days", None, trust, {"roots": roots, "cut_width_cm": cut_width_cm})
    return DryTime(low, high, surface, slowed, reason)


def first_water(
    potted_on: date,
    potting: Potting,
    *,
    warm_growth: bool = True,
    root_form: RootForm = "fibrous",
    rest_on: Callable[[date], RestState] | None = None,
) -> FirstWater:
    """When a plant potted on a day may drink first. `rest_on` keeps the day out of the rest window."""
    low, high = (FIRST_WATER_WARM_DAYS if warm_growth else FIRST_WATER_COOL_DAYS)[potting]
    storage = root_form != "fibrous"
    later = STORAGE_ROOT_LATER_DAYS if storage else 0
    first, last = potted_on + timedelta(days=low + later), potted_on + timedelta(days=high + later)
    state = rest_on(first) if rest_on else None
    waits = state is not None and state.phase == "rest"
    if state is not None and waits:
        span = last - first
        opened = state.restart_from
        first_on, last_on = opened, opened + span if opened else None
    else:
        first_on, last_on = first, last
    facts = {"potting": potting, "root_form": root_form, "warm_growth": warm_growth}
    return FirstWater(
        low_on=first_on,
        high_on=last_on,
        water_share=STORAGE_ROOT_WATER_SHARE if storage else 1.0,
        waits_for_restart=waits,
        reason=Reason("days since potting", None, float(low + later), "days", None, TRUST["FIRST_WATER_WARM_DAYS"], facts),
    )
