"""The list that a swap partner sees: only what stands here leaves the collection.

Names, counts, pot sizes, rooted or not, offered or not. No price, source, address, place, lot, case, label or wild locality
is ever read here; plants in quarantine, settling in, with an open case or on hold for one are left out whole, and so is
what the owner noted as collected in the wild.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bot.care.events import Ref
from bot.care.names import parse
from bot.care.reach import open_cases
from bot.care.standing import Standing, Thing

UNNAMED = "unnamed"
WILD = "W"  # provenance of the transfer format
_SWITCHES = ("offsets", "offered", "photos")
LONGEST_NAME = 90  # letters; the longest names of a cross of two cultivars are shorter
MOST_PHOTOS = 40  # on one list
KINDS = ("plant", "lot", "batch", "taxon")


@dataclass(frozen=True, slots=True)
class Shown:
    """What a share is of: nothing named means all that may be shown. Values within a field are alternatives, fields narrow."""

    genera: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()
    labels: tuple[str, ...] = ()
    offsets: bool = False
    offered: bool = False
    photos: bool = False

    def to_json(self) -> dict[str, Any]:
        """Return it as plain JSON values."""
        return {name: list(value) if isinstance(value, tuple) else value for name, value in self._fields().items() if value}

    @classmethod
    def from_json(cls, row: Mapping[str, Any]) -> Shown:
        """Return what `to_json` gave."""
        named = {name: tuple(row.get(name, ())) for name in ("genera", "places", "lots", "labels")}
        offsets, offered, photos = (bool(row.get(name)) for name in _SWITCHES)
        return cls(**named, offsets=offsets, offered=offered, photos=photos)

    def has(self, thing: Thing) -> bool:
        """Whether a thing is among what is shared."""
        return (
            (not self.genera or thing.genus in self.genera)
            and (not self.places or thing.place in self.places)
            and (not self.lots or thing.lot in self.lots or (thing.kind == "lot" and thing.key in self.lots))
            and (not self.labels or (thing.kind == "plant" and thing.key in self.labels))
            and (not self.offsets or thing.kind == "batch")
            and (not self.offered or "offered" in thing.tally)
        )

    def _fields(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in ("genera", "places", "lots", "labels", *_SWITCHES)}


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the list: a name, how many, the pot in cm where all have the same, whether rooted, how many are offered."""

    name: str
    count: int
    pot_cm: float | None
    rooted: str
    offered: int


def rows(standing: Standing, shown: Shown) -> list[Row]:
    """Return the lines of a list by name, like plants of one name, size and state added up."""
    added: dict[tuple[str, float | None, str], list[int]] = {}
    for thing in standing.plants():
        if thing.kind not in KINDS or not shown.has(thing) or not may_be_shown(standing, thing):
            continue
        for key, count, offered in _parts(thing, standing):
            sums = added.setdefault(key, [0, 0])
            sums[0], sums[1] = sums[0] + count, sums[1] + offered
    found = [Row(name, count, pot_cm, rooted, offered) for (name, pot_cm, rooted), (count, offered) in added.items()]
    return sorted(found, key=lambda one: (one.name == UNNAMED, one.name.lower(), one.pot_cm or 0, one.rooted))


def pictured(standing: Standing, shown: Shown, photos: Iterable[tuple[Sequence[Ref], str]]) -> tuple[tuple[str, str], ...]:
    """Return (name, file) of the photos on a list, the newest of each name; given is what each shows and its file, oldest first.

    A photo on which anything stands that the list does not show is left out.
    """
    found: dict[str, str] = {}
    for refs, file in photos if shown.photos else ():
        meant = map(standing.same, refs)
        things = [standing.things.get((one.kind, one.key)) for one in meant]
        if file and things and all(one is not None and _on(standing, shown, one) for one in things):
            names = {key[0] for one in things if one for key, _, _ in _parts(one, standing)}
            found |= dict.fromkeys(names if len(names) == 1 else (), file)
    return tuple(
        sorted(((name, file) for name, file in found.items() if name != UNNAMED), key=lambda one: one[0].lower())[:MOST_PHOTOS]
    )


def _on(standing: Standing, shown: Shown, thing: Thing) -> bool:
    return thing.alive and thing.kind in KINDS and shown.has(thing) and may_be_shown(standing, thing)


def wished_for(standing: Standing) -> tuple[str, ...]:
    """Return the names that the owner wishes for; what others wish for stays with the owner."""
    own = (public_name(one["name"]) for one in standing.wishes.values() if not one["who"])
    return tuple(sorted({one for one in own if one != UNNAMED}, key=str.lower))


def may_be_shown(standing: Standing, thing: Thing) -> bool:
    """Whether a thing is free to be seen: clean, settled and not apart."""
    lot = standing.things.get(("lot", thing.lot))
    if WILD in (thing.tally.get("provenance"), lot.tally.get("provenance") if lot else None):
        return False  # what was taken from the wild is nobody's business but the owner's
    apart = any(one.isolated_on is not None for one in (thing, lot) if one) or bool(thing.settling) or bool(thing.hold)
    return not apart and not open_cases(standing, (thing.ref,))


def public_name(typed: str) -> str:
    """Return a name by the codes without what stands behind it; "unnamed" where it does not begin with one.

    What growers write behind a name is often where it was found.
    """
    taxon = parse(typed)
    return taxon.printed if taxon.known and len(taxon.printed) <= LONGEST_NAME else UNNAMED


def _parts(thing: Thing, standing: Standing) -> Iterable[tuple[tuple[str, float | None, str], int, int]]:
    name = public_name_of(thing, standing)
    pot = thing.pot.get("cm")
    pot_cm = float(pot) if isinstance(pot, int | float) else None
    count = thing.count if thing.count is not None else 1
    offered = min(int(thing.tally.get("offered") or 0), count)
    if thing.kind != "batch":
        yield (name, pot_cm, ""), count, offered
        return
    rooted = min(int(thing.tally.get("rooted", 0)), count)
    for state, number in (("rooted", rooted), ("unrooted", count - rooted)):
        if number:
            yield (name, pot_cm, state), number, min(offered, number)
            offered -= min(offered, number)


def public_name_of(thing: Thing, standing: Standing) -> str:
    """Return the public name of a thing: its own, that of its genus, else that of its parent."""
    return public_name(thing.taxon or _genus_of_kind(thing) or _parent_name(thing, standing))


def _genus_of_kind(thing: Thing) -> str:
    return thing.key.partition(" @ ")[0] if thing.kind == "taxon" else ""


def _parent_name(thing: Thing, standing: Standing) -> str:
    kind, _, key = thing.parent.partition(":")
    parent = standing.things.get((kind, key)) if key else None
    return parent.taxon if parent else ""
