"""What is due: the value, what it is computed from, and how its keys are made."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from bot.care.climate import DayTemperature
from bot.care.due_kept import Kept
from bot.care.events import Ref
from bot.care.sources import PROJECT_DEFAULT, Reason
from bot.care.standing import Thing

LASTS_DAYS = 400  # project default: the year that rest and growth are asked of, and a month
TRUST = {"LASTS_DAYS": PROJECT_DEFAULT}
Temperatures = Callable[[date], DayTemperature]


@dataclass(frozen=True, slots=True)
class Setting:
    """What the computations need beside the standing: the day, where the house stands, and the warmth of each place."""

    today: date
    latitude: float
    temperatures: Callable[[str], Temperatures]
    humidity: Callable[[str, date], float | None]
    nights: Callable[[str], Callable[[date], float | None]]
    settings: Any = None  # what it was made from, to tell whether it still holds
    pots: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)  # what is usual in a place: cm, material, mix, since
    memo: dict[Any, Any] = field(default_factory=dict, compare=False)  # what was worked out for this day and these readings
    alike: Callable[[str], str] = str  # one name for all places that share their warmth
    weather: Any = None  # where the warmth comes from, to be gone on with on another day
    lasting: dict[Any, tuple[date, Any]] = field(default_factory=dict, compare=False)  # what hangs on no day but its own

    kept: Kept = field(default_factory=Kept, compare=False)  # the pieces of what is due, as far as rows have not changed

    def apart(self) -> Setting:
        """Return the same for another standing: what hangs on how things stand is not shared with it."""
        return replace(self, kept=self.kept.copy(), memo={key: one for key, one in self.memo.items() if key != "learned"})

    def once(self, key: Any, work: Callable[[], Any]) -> Any:
        """Return what `work` comes to, worked out once for this setting."""
        if key not in self.memo:
            self.memo[key] = work()
        return self.memo[key]

    def kept_on(self, today: date, latitude: float, pots: Mapping[str, Any]) -> Kept:
        """Return what is kept of single things and holds on another day, or in other warmth, too."""
        if today < self.today or latitude != self.latitude or pots != self.pots:
            return Kept()
        same_day = today == self.today
        return self.kept.of_those(lambda share: not share.warm and (same_day or not share.passing))

    def lasting_on(self, today: date) -> dict[Any, tuple[date, Any]]:
        """Return what `for_good` worked out, as far as another day will ask for it again."""
        return {key: one for key, one in self.lasting.items() if one[0] >= today - timedelta(days=LASTS_DAYS)}

    def for_good(self, key: Any, about: date, work: Callable[[], Any]) -> Any:
        """Return what `work` comes to, worked out once as long as nothing changes the warmth: it must not hang on `today`.

        `about` is the day that it is about: what lies long back is let go.
        """
        if key not in self.lasting:
            self.lasting[key] = (about, work())
        return self.lasting[key][1]


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to look at or do.

    `key` names the thing for good (what it is about and the day it counts from), whatever its date comes to. `on` is the
    first day, `until` the last of its window. `kind` says what is asked, `about` the sign, act or words. `why` holds the
    reason as JSON values: the sum so far, the target, the base, how many days were measured or guessed, source and trust.
    """

    key: str
    kind: str
    on: date
    refs: tuple[Ref, ...]
    until: date | None = None
    place: str = ""
    about: str = ""
    why: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Share:
    """What one thing brings to what is due: its own lines, and the groups of pots and of rest that it belongs to, if any.

    `rest` ends with the grower's standing word for it. `warm` says that the lines hang on the warmth, `passing` that other
    ones may come on a later day.
    """

    water: tuple[Due, ...]
    stock: tuple[Due, ...]
    pots: tuple[Any, ...] | None
    rest: tuple[str, str, str] | None
    warm: bool
    passing: bool


def why_of(reason: Reason, **facts: Any) -> dict[str, Any]:
    """Return a reason as JSON values, without what it does not hold."""
    out = {
        "quantity": reason.quantity,
        "value": _rounded(reason.value),
        "target": _rounded(reason.target),
        "unit": reason.unit,
        "above_c": reason.above_c,
        "mark": reason.trust.mark,
        "source": reason.trust.source,
        **reason.facts,
        **facts,
    }
    return {key: value for key, value in out.items() if value not in (None, "", {}, [])}


def practice(days: str, **facts: Any) -> dict[str, Any]:
    """Return the reason of a rule of the trade: a number of days, marked common practice."""
    return {"quantity": "days", "rule": days, "mark": "common practice", **facts}


def place_of_refs(refs: Iterable[Ref], things: Mapping[tuple[str, str], Thing]) -> str:
    """Return the one place in which all of them stand, else an empty string."""
    places = {one.key if one.kind == "place" else getattr(things.get((one.kind, one.key)), "place", "") for one in refs}
    return places.pop() if len(places) == 1 else ""


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 1)
