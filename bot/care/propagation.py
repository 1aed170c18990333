"""Sowings, offsets, cuttings and grafts: when to look, how sure a percentage is, what is still pending.

Days come from the default schedule in `propagation.csv` (common practice, between the sources that the table lists).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from bot.care.genera import GenusRow, months_at
from bot.care.sources import COMMON_PRACTICE, FROM_MEMORY, Trust, package_table

NORMAL_95 = 1.959964
DRY_COLD_BELOW_C = 15.0
SOWING_LOOKS_DAYS = (7, 14, 21)
WEEK_DAYS = 7
TIES_OFF_DAYS = (7, 14)
UNION_DAYS = (14, 28)
ROOT_CHECK_DAYS = (21, 28)
OFFSET_OF_PARENT = 1 / 3
SLOW_SEEDLINGS = frozenset({"Ariocarpus", "Astrophytum", "Aztekium", "Strombocactus", "Pelecyphora", "Epithelantha"})
PRICK_OUT_MONTHS = (6, 12)
PRICK_OUT_SLOW_MONTHS = (12, 15)

TRUST = {
    "NORMAL_95": Trust("published", "Wilson 1927, J. Am. Stat. Assoc. 22:209-212; 95 % of a normal distribution"),
    "DRY_COLD_BELOW_C": COMMON_PRACTICE,
    "SOWING_LOOKS_DAYS": COMMON_PRACTICE,
    "WEEK_DAYS": COMMON_PRACTICE,
    "TIES_OFF_DAYS": COMMON_PRACTICE,
    "UNION_DAYS": Trust("common practice", "garden forum, Cacti rooting and grafting: 2 to 4 weeks"),
    "ROOT_CHECK_DAYS": COMMON_PRACTICE,
    "OFFSET_OF_PARENT": COMMON_PRACTICE,
    "SLOW_SEEDLINGS": FROM_MEMORY,
    "PRICK_OUT_MONTHS": COMMON_PRACTICE,
    "PRICK_OUT_SLOW_MONTHS": Trust("published", "bcss.org.uk, seed raising, figures 5-6 (14 months)"),
}


@dataclass(frozen=True, slots=True)
class Germination:
    """Share of the sown seed that is up, in percent, with its 95 % interval."""

    up: int
    sown: int
    percent: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class SowingLooks:
    """When to look at a sowing: counts, and the review at which to give up or try a cold spell; then pricking out."""

    looks: tuple[date, ...]
    give_up_review: date
    prick_out: tuple[date, date]


@dataclass(frozen=True, slots=True)
class Callus:
    """Days that a cut should dry, and the first look for roots after potting."""

    days: tuple[int, int]
    root_check_days: tuple[int, int]
    slowed: bool


@dataclass(frozen=True, slots=True)
class Rooted:
    """How a batch stands: of those taken, so many rooted, lost and still pending; a pending one is not a dead one."""

    taken: int
    rooted: int
    lost: int
    pending: int
    percent: float | None


def wilson_interval(hits: int, tries: int) -> tuple[float, float]:
    """95 % interval (Wilson) of a share, 0 to 1. Raises ValueError unless 0 <= hits <= tries and tries > 0."""
    if tries <= 0 or not 0 <= hits <= tries:
        raise ValueError(f"{hits} of {tries} is not possible")
    share, z2 = hits / tries, NORMAL_95**2
    middle = (share + z2 / (2 * tries)) / (1 + z2 / tries)
    half = NORMAL_95 / (1 + z2 / tries) * math.sqrt(share * (1 - share) / tries + z2 / (4 * tries * tries))
    return max(0.0, middle - half), min(1.0, middle + half)


def germination(up: int, sown: int) -> Germination:
    """Germination of a sowing (31 of 50: 62 %, 48 to 74). Raises ValueError for counts that cannot be."""
    low, high = wilson_interval(up, sown)
    return Germination(up, sown, 100 * up / sown, 100 * low, 100 * high)


def sowing_looks(sown_on: date, genus: str = "") -> SowingLooks:
    """Looks at a sowing: after 7, 14 and 21 days, then weekly to the give-up review (60 days, slow kinds 120)."""
    slow = genus in SLOW_SEEDLINGS
    give_up = _days("give-up review, slow kinds" if slow else "give-up review of a sowing")[0]
    later = range(SOWING_LOOKS_DAYS[-1] + WEEK_DAYS, give_up, WEEK_DAYS)
    looks = tuple(sown_on + timedelta(days=n) for n in (*SOWING_LOOKS_DAYS, *later))
    first, last = PRICK_OUT_SLOW_MONTHS if slow else PRICK_OUT_MONTHS
    prick_out = sown_on + timedelta(days=round(first * 30.4)), sown_on + timedelta(days=round(last * 30.4))
    return SowingLooks(looks, sown_on + timedelta(days=give_up), prick_out)


def sowing_months(row: GenusRow, latitude: float, *, heated: bool = False) -> frozenset[int]:
    """Months in which a genus is sown at a latitude: winter growers at summer's end, others in spring."""
    if row.genus in ("Lithops", "Dinteranthus", "Faucaria"):
        subject, item = "summer-growing mesembs (Lithops Dinteranthus Faucaria)", "sowing window"
    elif row.growth_class == "winter":
        subject, item = "winter-growing mesembs", "sowing window"
    else:
        subject, item = "summer growers", f"sowing window {'heated propagator' if heated else 'unheated'}"
    cell = next(
        line["months_nh"] for line in package_table("propagation.csv") if (line["subject"], line["item"]) == (subject, item)
    )
    return months_at(frozenset(int(month) for month in cell.split(";")), latitude)


def callus(cut_width_mm: float, mean_c: float | None = None, *, damp_air: bool = False) -> Callus:
    """How long a cutting of a width dries before it is potted, and when to look for roots.

    Below 15 C or in damp air half as long again. Raises ValueError for a width that is not above zero.
    """
    if cut_width_mm <= 0:
        raise ValueError("the width of a cut must be above zero")
    band = next(name for below, name in _CALLUS_BANDS if cut_width_mm < below)
    low = _days(f"callus, cut {band}")[0]
    high = _CALLUS_UPPER_DAYS[band]
    slowed = damp_air or (mean_c is not None and mean_c < DRY_COLD_BELOW_C)
    more = 1 + _days("callus, below 15 C or damp air")[0] / 100 if slowed else 1.0
    return Callus((round(low * more), round(high * more)), ROOT_CHECK_DAYS, slowed)


def root_checks(potted_on: date, weeks: int = 4) -> tuple[date, ...]:
    """Looks for roots after a cutting or offset was potted: after three weeks, then weekly."""
    first = _days("first root check after potting")[0]
    return tuple(potted_on + timedelta(days=first + WEEK_DAYS * n) for n in range(weeks))


def graft_looks(grafted_on: date) -> tuple[date, date, date]:
    """A graft's days: ties off from, ties off at the latest, and united or not."""
    first, last = TIES_OFF_DAYS
    return grafted_on + timedelta(days=first), grafted_on + timedelta(days=last), grafted_on + timedelta(days=UNION_DAYS[1])


def offset_may_come_off(offset_cm: float, parent_cm: float, *, own_roots: bool = False) -> bool:
    """Whether an offset is big enough to go on alone: a third of the parent, or with roots of its own."""
    return own_roots or offset_cm >= OFFSET_OF_PARENT * parent_cm


def next_offset_look(seen_on: date, repotting_month: int) -> date:
    """The next yearly look at offsets left on, on the first day of the month in which the grower repots."""
    this_year = date(seen_on.year, repotting_month, 1)
    return this_year if this_year > seen_on else date(seen_on.year + 1, repotting_month, 1)


def rooted_of(taken: int, rooted: int, lost: int = 0, removed: int = 0) -> Rooted:
    """How a batch of cuttings or offsets stands; percent of those not removed. Raises ValueError for impossible counts."""
    pending = taken - rooted - lost - removed
    if min(taken, rooted, lost, removed, pending) < 0:
        raise ValueError(f"{rooted} rooted, {lost} lost and {removed} removed of {taken} is not possible")
    kept = taken - removed
    return Rooted(taken, rooted, lost, pending, 100 * rooted / kept if kept else None)


_CALLUS_BANDS = ((10.0, "under 10 mm"), (30.0, "10-30 mm"), (60.0, "30-60 mm"), (math.inf, "over 60 mm"))
_CALLUS_UPPER_DAYS = {"under 10 mm": 4, "10-30 mm": 10, "30-60 mm": 21, "over 60 mm": 56}


@cache
def _days(item: str) -> tuple[int, int]:
    line = next(
        line for line in package_table("propagation.csv") if line["subject"] == "default schedule" and line["item"] == item
    )
    return int(line["low"]), int(line["high"])
