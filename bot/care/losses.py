"""Deaths and plant-years at risk, by cause, lot, seller, genus or place, and how a lot has fared since it came.

Deaths are counted over the time that plants stood at risk, never over today's stock. A plant that was given away or is missing
was at risk until then. Plants and lots are counted; sowings, offsets and cuttings are not, they have counts of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from bot.care.standing import Standing, Thing
from bot.care.survival import DAYS_A_YEAR, Rate, Survival, kaplan_meier

By = Literal["cause", "lot", "seller", "genus", "place"]
COUNTED = ("plant", "lot")
DEATHS = ("died", "discarded")
UNKNOWN = ""  # the group of what was not said


@dataclass(frozen=True, slots=True)
class Left:
    """Some of a thing that left it on a day: dead or not, and why as far as said."""

    on: date
    count: int
    dead: bool
    cause: str = UNKNOWN


@dataclass(frozen=True, slots=True)
class AtRisk:
    """A thing from its first day on record: how many there were at first, and those that left since."""

    thing: Thing
    since: date
    count: int
    left: tuple[Left, ...]

    def plant_days(self, first: date, last: date) -> float:
        """Return the days that its plants stood at risk from one day to another, summed over the plants."""
        begin = max(self.since, first)
        stayed = self.count - sum(one.count for one in self.left)
        whole = stayed * max(0, (last - begin).days)
        return whole if not self.left else whole + sum(one.count * max(0, (min(one.on, last) - begin).days) for one in self.left)

    def deaths(self, first: date, last: date) -> list[Left]:
        """Return the deaths from one day to another."""
        return [one for one in self.left if one.dead and first <= one.on <= last]

    def stood(self, first: date, last: date) -> int:
        """Return how many of it stood at risk at some time from one day to another."""
        return self.count - sum(one.count for one in self.left if one.on < first) if self.since <= last else 0


def at_risk(things: Iterable[Thing]) -> list[AtRisk]:
    """Return what is known of the plants and lots among these things; those of an unknown number are left out."""
    found = []
    for one in things:
        since = min((day for day in (one.came_on, one.first_on) if day is not None), default=None)
        if one.kind not in COUNTED or since is None or one.count is None:
            continue
        left = (
            ()
            if not one.gone
            else tuple(
                Left(date.fromisoformat(gone["on"]), gone["count"], gone["what"] in DEATHS, gone.get("cause", UNKNOWN))
                for gone in one.gone
            )
        )
        count = one.count + sum(gone.count for gone in left)
        if count > 0:
            found.append(AtRisk(one, since, count, left))
    return found


def rate_of(things: Iterable[Thing], first: date, last: date) -> Rate:
    """Return deaths per plant-year of these things from one day to another, both in."""
    risked = at_risk(things)
    deaths = sum(one.count for risk in risked for one in risk.deaths(first, last))
    days = sum(risk.plant_days(first, last) for risk in risked)
    return Rate(deaths, days / DAYS_A_YEAR, sum(risk.stood(first, last) for risk in risked))


def rates_by(standing: Standing, by: By, first: date, last: date) -> list[tuple[str, Rate]]:
    """Return the rate of each group, most deaths first; UNKNOWN is the group of what nobody said.

    A cause is set against all plant-years; every other group against its own.
    """
    if by == "cause":
        return _by_cause(standing, first, last)
    groups: dict[str, list[Thing]] = {}
    for thing in standing.things.values():
        if thing.kind in COUNTED:
            groups.setdefault(_group(standing, thing, by), []).append(thing)
    rates = [(name, rate_of(things, first, last)) for name, things in groups.items()]
    return sorted((one for one in rates if one[1].plants), key=_most_deaths)


def _by_cause(standing: Standing, first: date, last: date) -> list[tuple[str, Rate]]:
    whole = rate_of(standing.things.values(), first, last)
    counts: dict[str, int] = {}
    for risk in at_risk(standing.things.values()):
        for one in risk.deaths(first, last):
            counts[one.cause] = counts.get(one.cause, 0) + one.count
    return sorted(((cause, Rate(count, whole.plant_years, whole.plants)) for cause, count in counts.items()), key=_most_deaths)


def _most_deaths(item: tuple[str, Rate]) -> tuple[int, float, str]:
    return (-item[1].deaths, -item[1].plant_years, item[0])


def _group(standing: Standing, thing: Thing, by: By) -> str:
    lot = standing.things.get(("lot", thing.lot)) if thing.lot else None
    if by == "lot":
        return thing.key if thing.kind == "lot" else thing.lot
    if by == "seller":
        return (thing.came_from or (lot.came_from if lot else "")).lower()
    return thing.genus or (lot.genus if lot else "") if by == "genus" else thing.place


def survival_of_lot(standing: Standing, key: str, today: date) -> Survival | None:
    """Return how the plants of a lot have survived since it came, its numbered plants included; None where that day is unknown.

    What is alive, given away or missing was last seen alive today or on the day it left.
    """
    followed = followed_of_lot(standing, key, today)
    return None if followed is None else kaplan_meier(followed)


def followed_of_lot(standing: Standing, key: str, today: date) -> list[tuple[float, bool]] | None:
    """Return for each plant of a lot the days it was followed since the lot came, and whether it died then; None as above."""
    lot = standing.things.get(("lot", key))
    if lot is None or lot.came_on is None:
        return None
    members = [one for one in standing.things.values() if one is lot or (one.kind == "plant" and one.lot == key)]
    return sorted(_followed(members, lot.came_on, today))


def _followed(members: Iterable[Thing], came_on: date, today: date) -> Iterator[tuple[float, bool]]:
    for risk in at_risk(members):
        for one in risk.left:
            yield from [(float(max(0, (one.on - came_on).days)), one.dead)] * one.count
        stayed = risk.count - sum(one.count for one in risk.left)
        yield from [(float(max(0, (today - came_on).days)), False)] * stayed
