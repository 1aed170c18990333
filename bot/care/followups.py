"""Looks that a note itself implies: n days after what it tells (all common practice among growers)."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from bot.care.sources import COMMON_PRACTICE

FOLLOW_UP_DAYS: Mapping[str, tuple[int, ...]] = {
    "single mealybug": (7, 14),
    "suspicion": (2,),
    "bronzing": (7,),
    "scarring": (7,),
    "dabbed": (7,),
    "predators": (14,),
    "trap count": (7,),
    "rot cut": (2,),
    "halted rot": (7,),
    "leak": (2, 10),
    "frost": (3, 14),
    "heater failure": (2, 14),
    "sun change": (3,),
    "first water of the year": (3,),
    "pricked out": (14,),
    "bag off": (1, 14),
    "unrooted": (14,),
    "brought indoors": (7,),
    "posted": (14,),
    "hold without end": (30,),
    "death by pest": (7,),
    "beside a find": (7,),
}

TRUST = {"FOLLOW_UP_DAYS": COMMON_PRACTICE}


def follow_up_looks(happening: str, on: date) -> tuple[date, ...]:
    """The days of the looks that a happening implies; none for one that implies nothing."""
    return tuple(on + timedelta(days=days) for days in FOLLOW_UP_DAYS.get(happening, ()))
