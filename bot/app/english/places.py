"""What is said of places: what is usual there, and what cannot be."""

from __future__ import annotations

from collections.abc import Mapping
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


def no_pot(cm: float) -> str:
    """Return that there is no such pot."""
    return f"A pot of {cm:g} cm? Nothing kept. Such as: bench 2 is 7s, plastic"


def usual(place: str, facts: Mapping[str, Any], light: str) -> str:
    """Return what is usual in a place."""
    pot = facts.get("pot", {})
    parts = [f"{pot['cm']:g} cm"] if "cm" in pot else []
    parts += [str(pot["material"])] if "material" in pot else []
    parts += [f"{pot['mix']} mix"] if "mix" in pot else []
    parts += [light] if light else []
    return f"{place}: {', '.join(parts)}"
