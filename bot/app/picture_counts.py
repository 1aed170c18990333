"""The facts of pictures that count: due load, flowering, germination, survival, waterings by place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from bot.app.groups import grouped
from bot.app.plan import View
from bot.care.events import CareEvent, Ref, effective
from bot.care.losses import followed_of_lot, survival_of_lot
from bot.care.reach import overlaps
from bot.care.standing import Standing, Thing
from bot.care.survival import Survival
from bot.store import carelog
from bot.store.database import Connection

WEEKS_AHEAD = 8
YEARS_BACK = 10
MOST_SOWINGS = 5
WEEKS_BACK = 13
MOST_PLACES = 12
MOST_MOVED = 300  # things whose moves are looked up one by one; beyond them the place of today stands
_SORTS = {
    "pests": "pest_look survivors_look clear_look late_look treat_again suspicion_look isolation_look intake_look release_look",
    "water": "dry_look pot_up first_water hold_ends hold_open",
    "young": "sowing_look sowing_review rooted_look ties_off union_look prick_out offset_look",
}
_SORT_OF = {kind: sort for sort, kinds in _SORTS.items() for kind in kinds.split()}
SORTS = (*_SORTS, "other")


# --- due load -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Load:
    """Lines of the due list: overdue, then by week from Monday to Sunday, and of what sort. `first` is this week's Monday."""

    first: date
    overdue: Mapping[str, int]
    weeks: tuple[Mapping[str, int], ...]
    later: int

    @property
    def total(self) -> int:
        """How many lines are drawn."""
        return sum(sum(one.values()) for one in (self.overdue, *self.weeks))


def load_ahead(view: View) -> Load:
    """Return how much is due in each of the coming weeks, counted in lines as a list of that week shows them."""
    today = view.today
    monday = today - timedelta(days=today.weekday())
    bounds = [monday + timedelta(weeks=number) for number in range(WEEKS_AHEAD + 1)]
    weeks = []
    for start, end in pairwise(bounds):
        lines = grouped([one for one in view.due if max(start, today) <= one.on < end], today)
        weeks.append(Counter(_SORT_OF.get(one.kind, "other") for one in lines))
    overdue = Counter(_SORT_OF.get(one.kind, "other") for one in grouped([one for one in view.due if one.on < today], today))
    return Load(monday, overdue, tuple(weeks), len(grouped([one for one in view.due if one.on >= bounds[-1]], today)))


# --- flowering ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Flowering:
    """How many plants were seen in flower by year and month. `months` begin in July south of the line, and so do the years."""

    years: tuple[int, ...]
    months: tuple[int, ...]
    counts: tuple[tuple[int, ...], ...]
    sightings: int
    plants: int
    last_on: date


def flowering(conn: Connection, collection_id: int, view: View, refs: Sequence[Ref]) -> Flowering | None:
    """Return when plants were seen in flower in the last ten years, of some things or of all; None where never."""
    begin = 7 if view.setting.latitude < 0 else 1
    newest = _year(view.today, begin)
    since = date(newest - YEARS_BACK + 1, begin, 1)
    events = effective(carelog.load_of(conn, collection_id, ("finding",), ("flowering",), since))
    seen: dict[tuple[int, int], set[Ref]] = {}
    sightings, last_on = 0, date.min
    for event in events:
        if event.kind != "finding" or event.what != "flowering" or not since <= event.happened_on <= view.today:
            continue
        mine = [one for one in _singles(event) if not refs or any(overlaps(view.standing, one, ref) for ref in refs)]
        if event.facts.get("status", "present") != "present" or not mine:
            continue
        key = (_year(event.happened_on, begin), event.happened_on.month)
        seen.setdefault(key, set()).update(Ref(one.kind, one.key) for one in mine)
        sightings, last_on = sightings + len(mine), max(last_on, event.happened_on)
    if not seen:
        return None
    years = tuple(range(newest, min(year for year, _ in seen) - 1, -1))
    months = tuple((begin - 1 + number) % 12 + 1 for number in range(12))
    counts = tuple(tuple(len(seen.get((year, month), ())) for month in months) for year in years)
    return Flowering(years, months, counts, sightings, len(set().union(*seen.values())), last_on)


def _year(day: date, begin: int) -> int:
    return day.year if day.month >= begin else day.year - 1


def _singles(event: CareEvent) -> list[Ref]:
    """Return what an event is about without the place that its members stand in."""
    members = [one for one in event.refs if one.kind not in ("place", "house")]
    return members or list(event.refs)


# --- germination ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Sowing:
    """One sowing: its code and name, how many seeds were sown (None: nobody said), and how many were up by days since."""

    thing: Thing
    sown: int | None
    counts: tuple[tuple[int, int], ...]

    @property
    def up(self) -> int:
        """How many were up at the last count."""
        return self.counts[-1][1]


def germinations(standing: Standing, refs: Sequence[Ref]) -> tuple[list[Sowing], list[Thing]]:
    """Return the sowings that are meant and have counts, the newest five, and those meant that nobody counted yet."""
    every = [one for one in standing.things.values() if one.kind == "sowing" and one.came_on is not None]
    asked = {(one.kind, one.key) for one in refs}
    mine = [one for one in every if not refs or ("sowing", one.key) in asked or ("taxon", one.genus) in asked]
    mine += [one for one in every if one not in mine and ("place", one.place) in asked]
    mine.sort(key=lambda one: (one.came_on or date.min, one.sequence, one.key))
    counted = [_sowing(one) for one in mine if one.tally.get("counts")]
    return counted[-MOST_SOWINGS:], [one for one in mine if not one.tally.get("counts")]


def _sowing(thing: Thing) -> Sowing:
    assert thing.came_on is not None
    days = {max(0, (date.fromisoformat(on) - thing.came_on).days): int(up) for on, up in thing.tally["counts"]}
    sown: int | None = thing.tally.get("sown")
    counts = sorted(days.items())
    if sown is not None and sown < max(up for _, up in counts):
        sown = None  # more up than sown: the number sown was wrong
    return Sowing(thing, sown, tuple(counts))


# --- survival -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Surviving:
    """How a lot has survived since it came: the curve, and how long each plant was followed and whether it died then."""

    lot: Thing
    came_on: date
    curve: Survival
    followed: tuple[tuple[float, bool], ...]

    def at_risk(self, days: float) -> int:
        """Return how many were followed for so long or longer."""
        return sum(1 for one, _ in self.followed if one >= days)


def surviving(view: View, lot: Thing) -> Surviving | None:
    """Return how a lot has survived; None where nobody knows when it came or how many there were."""
    curve = survival_of_lot(view.standing, lot.key, view.today)
    if curve is None or not curve.n or lot.came_on is None:
        return None
    return Surviving(lot, lot.came_on, curve, tuple(followed_of_lot(view.standing, lot.key, view.today) or ()))


# --- waterings ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Watered:
    """On which days something in a place was watered and fed."""

    place: str
    watered: tuple[date, ...]
    fed: tuple[date, ...]

    @property
    def days(self) -> int:
        """On how many days it got water."""
        return len({*self.watered, *self.fed})

    @property
    def last_on(self) -> date:
        """The last of them."""
        return max((*self.watered, *self.fed))


def waterings(
    conn: Connection, collection_id: int, view: View, refs: Sequence[Ref], weeks: int = WEEKS_BACK
) -> tuple[date, list[Watered]]:
    """Return the first day looked at and the waterings of each place since, those watered on most days first.

    A plant counts for the place in which it stood on that day.
    """
    since = view.today - timedelta(weeks=weeks)
    events = effective(carelog.load_of(conn, collection_id, ("event",), ("watered", "fed", "moved"), since))
    events = [one for one in events if since <= one.happened_on <= view.today and one.kind == "event"]
    stood = _Places(conn, collection_id, view.standing, [one for one in events if one.what == "moved"])
    days: dict[str, dict[str, set[date]]] = {}
    for event in events:
        if event.what not in ("watered", "fed"):
            continue
        for ref in event.refs:
            if refs and not any(overlaps(view.standing, ref, one) for one in refs):
                continue
            place = stood.on(ref, event.happened_on)
            if place is not None:
                days.setdefault(place, {"watered": set(), "fed": set()})[event.what].add(event.happened_on)
    found = [Watered(place, tuple(sorted(one["watered"])), tuple(sorted(one["fed"]))) for place, one in days.items()]
    return since, sorted(found, key=lambda one: (-one.days, -one.last_on.toordinal(), one.place))


class _Places:
    """Where each thing stood on a day: where it stands now, but for those that were moved since, by their own events."""

    def __init__(self, conn: Connection, collection_id: int, standing: Standing, moves: Iterable[CareEvent]) -> None:
        self._standing = standing
        moved = {(ref.kind, ref.key) for one in moves for ref in one.refs if ref.kind not in ("place", "house", "some")}
        corrections = carelog.corrections(conn, collection_id) if moved else []
        self._moves = {key: self._history(conn, collection_id, corrections, *key) for key in sorted(moved)[:MOST_MOVED]}

    @staticmethod
    def _history(
        conn: Connection, collection_id: int, corrections: list[CareEvent], kind: str, key: str
    ) -> list[tuple[date, str]]:
        events = carelog.in_order([*carelog.by_ref(conn, collection_id, kind, key), *corrections])
        mine = [one for one in effective(events) if any((ref.kind, ref.key) == (kind, key) for ref in one.refs)]
        return [(one.happened_on, str(one.facts["to"])) for one in mine if one.facts.get("to")]

    def on(self, ref: Ref, day: date) -> str | None:
        """Return the place in which a thing stood; an empty one where it had none, None where the event is of no place."""
        if ref.kind in ("place", "house"):
            return ref.key if ref.kind == "place" else "house"
        if ref.kind == "some":
            return None
        thing = self._standing.things.get((ref.kind, ref.key))
        history = self._moves.get((ref.kind, ref.key))
        if history is None:
            return thing.place if thing else None
        return next((place for on, place in reversed(history) if on <= day), "")
