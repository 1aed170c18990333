"""What backups are called, and which of them are kept: pure, by their names alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

DAYS, WEEKS, MONTHS = 7, 4, 12
BEFORE_MIGRATIONS = 3
_NAME = re.compile(r"potside-(\d{8}T\d{6})Z(?:-(daily|before-\w+))?\.zip")


@dataclass(frozen=True, slots=True)
class Named:
    """A backup by its name: the moment it was made (UTC), and `daily`, `before-<revision>` or "" where a person asked for it."""

    name: str
    moment: datetime
    reason: str


def name_of(moment: datetime, reason: str = "") -> str:
    """Return the name of the backup made at a moment (aware)."""
    return f"potside-{moment.astimezone(UTC):%Y%m%dT%H%M%S}Z{'-' + reason if reason else ''}.zip"


def named(name: str) -> Named | None:
    """Return what a name says, or None where it is not that of a backup."""
    match = _NAME.fullmatch(name)
    if match is None:
        return None
    try:
        return Named(name, datetime.strptime(match[1], "%Y%m%dT%H%M%S").replace(tzinfo=UTC), match[2] or "")
    except ValueError:
        return None


def superseded(names: Iterable[str], just_made: str = "") -> list[str]:
    """Return the backups that need not be kept any longer, oldest first.

    Of the daily ones the newest of each of the last 7 days, 4 weeks and 12 months that have one are kept; of those made before
    a migration the newest 3; those that a person asked for, and the one just made whatever the clock says, always.
    """
    found = sorted(filter(None, map(named, names)), key=lambda one: one.moment, reverse=True)
    daily = [one for one in found if one.reason == "daily"]
    before = [one for one in found if one.reason.startswith("before-")]
    kept = {one.name for one in (*_kept_of(daily), *before[:BEFORE_MIGRATIONS])} | {just_made}
    return [one.name for one in reversed(found) if one.reason and one.name not in kept]


def _kept_of(daily: Sequence[Named]) -> list[Named]:
    rules: tuple[tuple[int, Callable[[datetime], object]], ...] = (
        (DAYS, datetime.date),
        (WEEKS, lambda moment: moment.isocalendar()[:2]),
        (MONTHS, lambda moment: (moment.year, moment.month)),
    )
    return [one for most, period in rules for one in _newest_of_each(daily, period)[:most]]


def _newest_of_each(daily: Sequence[Named], period: Callable[[datetime], object]) -> list[Named]:
    """The newest of each period, newest period first."""
    newest: dict[object, Named] = {}
    for one in daily:
        newest.setdefault(period(one.moment), one)
    return list(newest.values())
