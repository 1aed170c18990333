"""The terminal's clock: the real one, or one that stands where it was put."""

from __future__ import annotations

import re
from datetime import UTC, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

FIRST, LAST = 1971, 2199  # years that a pretended clock may show
LONGEST_STEP = timedelta(days=1_100)  # each day between costs a round
BARE_DAY = time(9, 0)  # where a date without a time puts the clock: after the morning message of that day

_STEP = re.compile(r"([+-]\d{1,5})(?:\s*d(?:ays?)?)?(?:\s+(\d{1,2}):(\d{2}))?")


class ClockProblem(Exception):
    """The clock cannot be put there; the text says why, for the person who typed it."""


class Clock:
    """The moment it is, as an aware UTC time. `zone` is that of the person at the terminal."""

    def __init__(self, zone: tzinfo, pretended: datetime | None = None) -> None:
        """Start at `pretended` and stand there, or follow the real time where there is none."""
        self.zone = zone
        self.pretended = pretended

    def now(self) -> datetime:
        """Return the moment it is, in UTC."""
        return self.pretended or datetime.now(UTC)

    def local(self) -> datetime:
        """Return the moment it is, in the zone of the person at the terminal."""
        return self.now().astimezone(self.zone)

    def put(self, moment: datetime) -> None:
        """Stop the clock at `moment`."""
        self.pretended = moment.astimezone(UTC)


def moment_of(words: str, now: datetime) -> datetime:
    """Return the aware UTC moment that `words` name, where `now` is the local moment it is.

    A date with a time ("2026-04-15T10:40"), a date alone (then 09:00), or days from now ("+1", "-40", "+1 07:35").
    Raises ClockProblem for anything else.
    """
    step = _STEP.fullmatch(words.strip())
    try:
        found = _stepped(step, now) if step else _written(words.strip(), now.tzinfo)
        moment = found.astimezone(UTC)
    except (ValueError, OverflowError):
        shown = words.strip()[:40]
        raise ClockProblem(f'"{shown}" is not a moment. Write it as @ 2026-04-15T10:40, @ 2026-04-15 or @ +1.') from None
    if not FIRST <= moment.year <= LAST:
        raise ClockProblem(f"The clock goes from {FIRST} to {LAST}.")
    return moment


def _stepped(step: re.Match[str], now: datetime) -> datetime:
    days, hour, minute = step.groups()
    day = now + timedelta(days=int(days))
    return day if hour is None else day.replace(hour=int(hour), minute=int(minute), second=0, microsecond=0)


def _written(words: str, zone: tzinfo | None) -> datetime:
    found = datetime.fromisoformat(words)
    if re.fullmatch(r"[\dW-]+", words):
        found = datetime.combine(found.date(), BARE_DAY)
    return found if found.tzinfo else found.replace(tzinfo=zone)


def local_zone(name: str | None) -> ZoneInfo:
    """Return the zone of that name, or the machine's own where there is none (UTC if it has none either).

    Raises ClockProblem for a name that is not a zone.
    """
    if name is None:
        return _machine_zone()
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ClockProblem(f'"{name[:40]}" is not a time zone. Write it as Europe/Berlin.') from None


def _machine_zone() -> ZoneInfo:
    from tzlocal import get_localzone_name  # noqa: PLC0415  looks around on the machine; not needed when a zone is named

    try:
        return ZoneInfo(get_localzone_name() or "UTC")
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")
