"""Which things an event reaches: what refs name, what stands together, which cases are open on them."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from bot.care.events import CareEvent, Ref
from bot.care.standing import Case, Standing, Thing

PEST_SIGNS = frozenset(
    """spider_mite flat_mite mealybug root_mealybug scale_insect aphid thrips fungus_gnat vine_weevil whitefly slug
    caterpillar ant rodent nematode pest webbing""".split()
)
OUTSIDE = ("outdoor", "outside", "frame", "garden", "patio", "balcony", "yard")  # where sun, rain and frost reach a plant


def touched(standing: Standing, refs: Iterable[Ref]) -> list[Thing]:
    """Return the things that refs name, made on their first mention."""
    return [standing.thing(one.kind, one.key) for one in refs]


def stands_with(standing: Standing, thing: Thing) -> list[Thing]:
    """Return the living things that share the thing's lot or place, itself included: what a find puts at risk."""
    if thing.kind == "place":
        return [thing, *standing.at(thing.key)]
    place, lot = thing.place or None, thing.lot or None
    near = (one for one in standing.things.values() if one.place == place or one.lot == lot)
    mates = [one for one in near if one.alive and one.kind not in ("place", "house")]
    return mates if any(one is thing for one in mates) else [thing, *mates]


def overlaps(standing: Standing, left: Ref, right: Ref) -> bool:
    """Whether two refs can mean a plant in common: the same thing, or a plant and the place, lot or genus it belongs to."""
    if (left.kind, left.key) == (right.kind, right.key) or "house" in (left.kind, right.kind):
        return True
    return _inside(standing, left, right) or _inside(standing, right, left)


def _inside(standing: Standing, inner: Ref, outer: Ref) -> bool:
    thing = standing.things.get((inner.kind, inner.key))
    if thing is None:
        return False
    return {"place": thing.place, "lot": thing.lot, "taxon": thing.genus}.get(outer.kind) == outer.key


def open_cases(standing: Standing, refs: Iterable[Ref]) -> list[Case]:
    """Return the open cases that can be about a plant which the refs mean, oldest first."""
    wanted = _Wanted(standing, refs)
    hit = (one for one in standing.cases.values() if one.open and any(wanted.meets(mine) for mine in one.refs))
    return sorted(hit, key=lambda one: (one.opened_on, one.sequence))  # the same order whether folded live or from the start


class _Wanted:
    """A set of refs, looked up by key: a note on a bench names each of its plants, and a case may name as many."""

    def __init__(self, standing: Standing, refs: Iterable[Ref]) -> None:
        self._standing = standing
        self._named = {(one.kind, one.key) for one in refs}
        self._house = any(kind == "house" for kind, _ in self._named)
        self._around = {around for kind, key in self._named for around in _holders(standing, kind, key)}

    def meets(self, ref: Ref) -> bool:
        """Whether `ref` overlaps with one of them (see `overlaps`)."""
        key = (ref.kind, ref.key)
        if self._house or ref.kind == "house" or key in self._named or key in self._around:
            return True
        return any(one in self._named for one in _holders(self._standing, ref.kind, ref.key))


def _holders(standing: Standing, kind: str, key: str) -> tuple[tuple[str, str], ...]:
    """Return the place, lot and genus that a thing belongs to, as keys of refs."""
    thing = standing.things.get((kind, key))
    if thing is None:
        return ()
    return (("place", thing.place), ("lot", thing.lot), ("taxon", thing.genus))


def follow(thing: Thing, what: str, event: CareEvent) -> None:
    """Remember that something was done or seen which asks for a later look; the latest of its kind counts."""
    thing.follow = [one for one in thing.follow if one["what"] != what]
    thing.follow.append({"what": what, "on": event.happened_on.isoformat()})


@lru_cache(maxsize=512)  # asked of every plant for every cold night
def is_outside(place: str) -> bool:
    return any(word in place.lower() for word in OUTSIDE)
