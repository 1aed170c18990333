"""What a mix is made of: how its parts hold water, how much of it is mineral, and which class of the drying model that is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bot.care.drying import Mix
from bot.care.sources import Trust

Parts = Sequence[tuple[str, float]]
# Grains that hold water inside, grains that hold it on their surface alone, fine soil, and what was alive.
POROUS, DENSE, LOAM, ORGANIC = "porous", "dense", "loam", "organic"
_WORDS = {
    POROUS: (
        "pumice|lava|scoria|akadama|kanuma|zeolite|seramis|perlite|vermiculite|moler|cat litter|expanded clay|baked clay"
        "|clay granules|leca|diatomite|crushed brick|brick"
    ),
    DENSE: "grit|gravel|sand|granite|quartz|flint|basalt|shingle|stone|stones|chippings|limestone|slate",
    LOAM: "loam|soil|topsoil|garden soil|john innes|clay|marl",
    ORGANIC: (
        "peat|coir|compost|bark|leaf mould|leaf mold|leafmould|leafmold|humus|castings|sphagnum|moss|wood fibre|coco|cocopeat"
    ),
}
PARTS: Mapping[str, str] = {word: kind for kind, words in _WORDS.items() for word in words.split("|")}
MINERAL = frozenset((POROUS, DENSE))
MINERAL_FROM = 0.75  # from this share on a mix dries as a mineral one
HALF_FROM = 0.40  # and from this one as half and half

TRUST = {
    "PARTS": Trust("common practice", "which materials are mineral and which organic"),
    "MINERAL": Trust("common practice", "pumice, lava, grit and the like; loam counts apart"),
    "MINERAL_FROM": Trust("project default", "three quarters"),
    "HALF_FROM": Trust("project default", "half, with room for parts that are measured by the scoop"),
}


def kind_of(part: str) -> str:
    """Return what a part of a mix is: porous, dense, loam or organic; empty where its name holds no word that is known.

    The last known word counts: "loam based compost" is organic, "pumice sand" dense. Common practice.
    """
    low = f" {' '.join(part.lower().replace('-', ' ').split())} "
    found = [(low.rfind(f" {word} ") + len(word), len(word), kind) for word, kind in PARTS.items() if f" {word} " in low]
    return max(found)[2] if found else ""


def mineral_share(parts: Parts) -> tuple[float, float]:
    """Return the least and the most that is mineral of a mix (0 to 1, by volume), from pairs of a name and a share.

    They differ by what no word tells of. Common practice. Raises ValueError for shares that are not above zero.
    """
    if not parts or min(share for _, share in parts) <= 0:
        raise ValueError("the parts of a mix must be above zero")
    held, total = _held(parts), sum(share for _, share in parts)
    sure = sum(held.get(one, 0.0) for one in MINERAL)
    return sure / total, (sure + held.get("", 0.0)) / total


def class_of(parts: Parts) -> Mix | None:
    """Return the class of the drying model that a mix falls in, shares by volume.

    From three quarters mineral on it is mineral (grit where most of that is dense), from 40 % half, else loam or peat by what
    there is more of. None where the parts that nobody knows would decide. Project default.
    """
    least, most = ((share >= HALF_FROM) + (share >= MINERAL_FROM) for share in mineral_share(parts))
    if least != most:
        return None
    held = _held(parts)
    dense, porous, loam, organic, unknown = (held.get(one, 0.0) for one in (DENSE, POROUS, LOAM, ORGANIC, ""))
    if least == 1:
        return "half"
    if least == 2:
        return "grit" if dense > porous + unknown else "mineral"
    if abs(loam - organic) < unknown:
        return None
    return "loam" if loam > organic else "peat"


def _held(parts: Parts) -> dict[str, float]:
    """Return how many shares there are of each kind."""
    held: dict[str, float] = {}
    for name, share in parts:
        kind = kind_of(name)
        held[kind] = held.get(kind, 0.0) + share
    return held
