"""What is said of places: what is usual there, and what cannot be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any


def circle(inner: str, outer: str) -> str:
    """Return why a place cannot stand where it was said to stand."""
    if inner.lower() == outer.lower():
        return f"{inner} cannot stand in itself. Nothing changed."
    return f"{outer} stands in {inner} already, so {inner} cannot stand in {outer}. Nothing changed."


def not_usual(part: str) -> str:
    """Return what may be usual in a place, where a part of it was not understood."""
    return (
        f"“{part}” I cannot take as usual for a place; nothing kept. "
        "Size, material, mix and light I can: bench 2 is 7s, plastic, half mineral, full sun"
    )


def no_such(words: str, near: Sequence[str]) -> str:
    """Return that a plant is not there, with what comes near it."""
    return f"I don't know {words}." + (f" Did you mean {' or '.join(near)}?" if near else "")


def no_pot(cm: float) -> str:
    """Return that there is no such pot."""
    return f"A pot of {cm:g} cm? Nothing kept. Such as: bench 2 is 7s, plastic"


def usual(place: str, facts: Mapping[str, Any], light: str) -> str:
    """Return what is usual in a place."""
    parts = pot_parts(facts.get("pot", {}))
    return f"{place}: {', '.join(parts + ([light] if light else []))}"


def pot(held: Mapping[str, Any], several: bool) -> str:
    """Return a pot in words: "in a 9 cm pot, clay"."""
    size, *rest = pot_parts(held)
    return f"in {'' if several else 'a '}{size} pot{'s' if several else ''}{''.join(f', {one}' for one in rest)}"


def pot_parts(held: Mapping[str, Any]) -> list[str]:
    """Return what is known of a pot: size, material, mix."""
    parts = [f"{held['cm']:g} cm"] if "cm" in held else []
    parts += [str(held["material"])] if "material" in held else []
    return parts + ([f"{held['mix']} mix"] if "mix" in held else [])
