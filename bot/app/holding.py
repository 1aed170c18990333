"""What of the due things reaches the grower by itself: muted places are silent, and an absence holds what can wait."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from bot.app.groups import CAN_WAIT
from bot.care.due_values import Due
from bot.store.people import CollectionSettings

# The names under which the settings keep these, all of them optional.
MUTED, AWAY, QUIET, NOTHING_DUE, WEEKLY_SIGN = "muted", "away", "quiet", "nothing_due", "weekly_sign"
QUIET_FROM, QUIET_UNTIL = time(22, 0), time(7, 0)  # project default
SIGN_WEEKDAY = 6  # Sunday


@dataclass(frozen=True, slots=True)
class Absence:
    """From which day nobody is there, and the day on which the grower is back."""

    since: date
    back: date


def with_extra(settings: CollectionSettings, **values: Any) -> CollectionSettings:
    """Return the settings with these values kept beside the others; None takes one away."""
    merged = {**settings.extra, **values}
    return replace(settings, extra={key: value for key, value in merged.items() if value is not None})


def muted_places(settings: CollectionSettings) -> tuple[str, ...]:
    """Return the places of which the morning message says nothing."""
    return tuple(settings.extra.get(MUTED, ()))


def absence(settings: CollectionSettings) -> Absence | None:
    """Return the absence that was announced and not yet ended."""
    said = settings.extra.get(AWAY)
    return Absence(date.fromisoformat(said["since"]), date.fromisoformat(said["back"])) if said else None


def quiet_hours(settings: CollectionSettings) -> tuple[time, time]:
    """Return from and until when nothing urgent may ring, local time."""
    said = settings.extra.get(QUIET)
    return (time.fromisoformat(said[0]), time.fromisoformat(said[1])) if said else (QUIET_FROM, QUIET_UNTIL)


def is_quiet(moment: datetime, settings: CollectionSettings) -> bool:
    """Whether a local moment lies in the quiet hours."""
    start, end = quiet_hours(settings)
    at = moment.time()
    return start <= at < end if start <= end else at >= start or at < end


def for_the_grower(dues: Iterable[Due], settings: CollectionSettings, today: date) -> list[Due]:
    """Return what the morning message of a day may tell: nothing of muted places, and while away only what cannot wait."""
    muted = {one.lower() for one in muted_places(settings)}
    told = [one for one in dues if one.place.lower() not in muted]
    gone = absence(settings)
    return [one for one in told if cannot_wait(one, gone.back)] if gone and gone.since <= today < gone.back else told


def cannot_wait(due: Due, back: date) -> bool:
    """Whether a thing must be seen to before the grower is back."""
    if due.on >= back or due.kind in CAN_WAIT:
        return False
    return due.kind == "reminder" or due.until is None or due.until < back


def for_the_sitter(dues: Iterable[Due], gone: Absence) -> list[Due]:
    """Return what a sitter must see to, by day."""
    return sorted((one for one in dues if cannot_wait(one, gone.back)), key=lambda one: max(one.on, gone.since))


def last_seen(since: date, settings: CollectionSettings, today: date) -> date:
    """Return up to which day the grower was told everything: on the way back, the day before the absence."""
    gone = absence(settings)
    return min(since, gone.since - timedelta(days=1)) if gone and today >= gone.back else since


def sign_of_life_due(settings: CollectionSettings, today: date, news: Sequence[object]) -> bool:
    """Whether the bot is to say that it is still there: on Sundays without other news, where that is wanted."""
    return bool(settings.extra.get(WEEKLY_SIGN)) and today.weekday() == SIGN_WEEKDAY and not news
