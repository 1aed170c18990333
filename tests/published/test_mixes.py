"""Mixes by their parts: which materials hold water how, and the class of the drying model that follows."""

from __future__ import annotations

import pytest

from bot.care.drying import MIXES, Pot, Potted, store_of
from bot.care.mixes import DENSE, LOAM, ORGANIC, POROUS, class_of, kind_of, mineral_share

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("part", "kind"),
    [
        ("pumice", POROUS),
        ("coarse pumice", POROUS),
        ("pumice (3-6 mm)", POROUS),
        ("Akadama", POROUS),
        ("cat litter", POROUS),
        ("sharp sand", DENSE),
        ("chick grit", DENSE),
        ("sieved loam", LOAM),
        ("john innes no 2", LOAM),
        ("loam based compost", ORGANIC),
        ("leaf-mould", ORGANIC),
        ("orchid bark", ORGANIC),
        ("charcoal", ""),
        ("gritty", ""),
        ("", ""),
    ],
)
def test_what_a_part_is(part: str, kind: str) -> None:
    """Common practice: pumice, lava and perlite are porous, grit and sand dense, peat, coir, bark and composts organic."""
    assert kind_of(part) == kind


def test_the_mineral_share_is_by_volume() -> None:
    """By the definition of parts by volume (common practice): of 1 loam, 2 pumice, 1 grit three quarters are mineral."""
    assert mineral_share([("loam", 1), ("pumice", 2), ("grit", 1)]) == (0.75, 0.75)
    assert mineral_share([("peat", 1)]) == (0.0, 0.0)
    assert mineral_share([("pumice", 2), ("unheard", 1), ("peat", 1)]) == (0.5, 0.75)


@pytest.mark.parametrize("parts", [[], [("loam", 0)], [("loam", 1), ("pumice", -1)]])
def test_no_share_is_nothing(parts: list[tuple[str, float]]) -> None:
    """By definition (common practice)."""
    with pytest.raises(ValueError, match="above zero"):
        mineral_share(parts)


@pytest.mark.parametrize(
    ("parts", "mix"),
    [
        ([("pumice", 100)], "mineral"),
        ([("grit", 3), ("pumice", 1)], "grit"),
        ([("loam", 1), ("pumice", 2), ("grit", 1)], "mineral"),
        ([("loam", 1), ("sand", 1)], "half"),
        ([("pumice", 2), ("coir", 3)], "half"),
        ([("loam", 2), ("peat", 1), ("grit", 1)], "loam"),
        ([("peat", 2), ("loam", 1), ("perlite", 1)], "peat"),
        ([("unheard", 1), ("loam", 1)], None),
        ([("unheard", 1), ("peat", 1), ("loam", 1)], None),
        ([("unheard", 1), ("pumice", 9)], "mineral"),
        ([("loam", 1), ("peat", 1), ("unheard", 0.1)], None),
    ],
)
def test_the_class_of_a_mix(parts: list[tuple[str, float]], mix: str | None) -> None:
    """Common practice: a mix that is half mineral dries as such; what nobody can tell is told, and not guessed."""
    assert class_of(parts) == mix


def test_what_holds_less_water_by_its_parts_holds_less_in_the_model() -> None:
    """Common practice: the more of a mix is mineral, the less water the same pot holds."""
    recipes = ([("grit", 1)], [("pumice", 3), ("loam", 1)], [("pumice", 1), ("peat", 1)], [("peat", 1)])
    classes = [class_of(one) for one in recipes]
    held = [store_of(Potted(Pot(9.0), one)).total_mm for one in classes if one is not None]
    assert len(held) == len(recipes)
    assert held == sorted(held)
    assert set(classes) <= set(MIXES)
