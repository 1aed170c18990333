"""Verbs whose particle stands behind the set between them: "damped the frames down", "turned two of them out"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bot.notes.items import Item
from bot.notes.lexicon import PARTICLES, Lexicon, Sense
from bot.notes.neighbours import SEPARATORS, family_at


def join_particles(items: Sequence[Item], lexicon: Lexicon) -> set[int]:
    """Join a verb and its particle over the set between them: "damped the frames down"; return where that was."""
    joined: set[int] = set()
    particles = lexicon.particles
    for i, one in enumerate(items):
        if one.low not in lexicon.parted or one.family not in VERBAL:
            continue
        for j in range(i + 2, min(i + 9, len(items))):
            other = items[j]
            stops = other.family in SEPARATORS and other.low not in ("and", "&", ",")
            if stops or other.more.get("how") in ("predators", "nematodes"):
                break
            if _out_of_its_pot(items, i, j, particles) or _particle(items, i, j, particles):
                joined.add(i)
                break
    return joined


VERBAL = frozenset(("act", "word", "light", "errand", "stop", "sign", "plants", "other"))


def _out_of_its_pot(items: Sequence[Item], i: int, j: int, particles: Mapping[tuple[str, str], Sense]) -> bool:
    pots = j + 2 < len(items) and items[j + 2].low in ("pots", "pot", "trays")
    if items[j].low != "out of" or not pots or (items[i].low, "out") not in particles:
        return False
    items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "unpotted", "past", {}
    items[j].family = items[j + 1].family = items[j + 2].family = "stop"
    return True


def _particle(items: Sequence[Item], i: int, j: int, particles: Mapping[tuple[str, str], Sense]) -> bool:
    particle, after = items[j], family_at(items, j + 1)
    if particle.low not in PARTICLES or particle.family not in ("prep", "word", "particle", "act", "somewhere", "place"):
        return False
    sense = particles.get((items[i].low, particle.low))
    ends = after in ("", "date", "stop", "clock", "query", "prep") or after in SEPARATORS
    if sense is None or not (ends or (particle.low in ("down", "up", "over") and after in ("act", "sign"))):
        return False
    items[i].family, items[i].meaning, items[i].form, items[i].more = "act", sense.meaning, sense.form, sense.more
    particle.family = "stop"
    return True
