"""Parts of a mix in words."""

from __future__ import annotations

import pytest

from bot.app.recipes import Fault, Recipe, recipe_in


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        ("1 loam 2 pumice 1 grit", [("loam", 1), ("pumice", 2), ("grit", 1)]),
        ("1 part loam, 2 parts pumice and 1 part grit", [("loam", 1), ("pumice", 2), ("grit", 1)]),
        ("two parts of pumice, one loam", [("pumice", 2), ("loam", 1)]),
        ("2:1:1 pumice, loam and grit", [("pumice", 2), ("loam", 1), ("grit", 1)]),
        ("2:1:1 pumice loam grit", [("pumice", 2), ("loam", 1), ("grit", 1)]),
        ("pumice loam grit 2:1:1", [("pumice", 2), ("loam", 1), ("grit", 1)]),
        ("equal parts loam, sand and grit", [("loam", 1), ("sand", 1), ("grit", 1)]),
        ("loam and sand in equal parts", [("loam", 1), ("sand", 1)]),
        ("half loam half sand", [("loam", 1), ("sand", 1)]),
        ("half pumice, a quarter loam, a quarter grit", [("pumice", 2), ("loam", 1), ("grit", 1)]),
        ("a third loam, the rest pumice", [("loam", 1), ("pumice", 2)]),
        ("1/2 loam 1/2 sand", [("loam", 1), ("sand", 1)]),
        ("pumice 2, loam 1", [("pumice", 2), ("loam", 1)]),
        ("3 pumice : 1 loam", [("pumice", 3), ("loam", 1)]),
        ("2,5 pumice, 1 loam", [("pumice", 2.5), ("loam", 1)]),
        ("1 john innes no 2 2 pumice", [("john innes no 2", 1), ("pumice", 2)]),
        ("2 pumice (3-6 mm) 1 loam", [("pumice (3-6 mm)", 2), ("loam", 1)]),
        ("1 l loam 2 l pumice", [("loam", 1), ("pumice", 2)]),
        ("2 Bims, 1 Loam", [("bims", 2), ("loam", 1)]),
    ],
)
def test_parts(words: str, parts: list[tuple[str, float]]) -> None:
    assert recipe_in(words) == Recipe(tuple(parts))


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        ("50% pumice, 30% loam, 20% grit", [("pumice", 50), ("loam", 30), ("grit", 20)]),
        ("50 % pumice rest loam", [("pumice", 50), ("loam", 50)]),
        ("60/40 pumice/loam", [("pumice", 60), ("loam", 40)]),
        ("pumice 60%, loam 40%", [("pumice", 60), ("loam", 40)]),
        ("33% pumice 33% loam 33% grit", [("pumice", 33), ("loam", 33), ("grit", 33)]),
        ("pure pumice", [("pumice", 100)]),
    ],
)
def test_percent(words: str, parts: list[tuple[str, float]]) -> None:
    assert recipe_in(words) == Recipe(tuple(parts), percent=True)


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("50% pumice, 30% loam", "sum"),
        ("60% pumice 60% loam", "sum"),
        ("100% pumice, the rest loam", "sum"),
        ("half pumice half loam half grit", "sum"),
        ("50% pumice 1 loam", "sum"),
        ("0 loam 2 pumice", "zero"),
        ("-1 loam 2 pumice", "zero"),
        ("1 loam minus 2 pumice", "zero"),
        ("1/0 loam 1 pumice", "zero"),
        ("1 loam 2 loam", "twice"),
        ("1 loam 5000 pumice", "many"),
        ("2 loam the rest pumice", "many"),
        ("the rest loam, the rest pumice", "many"),
    ],
)
def test_what_cannot_be_is_a_fault(words: str, kind: str) -> None:
    found = recipe_in(words)
    assert isinstance(found, Fault)
    assert found.kind == kind


@pytest.mark.parametrize(
    "words",
    ["", "half", "12", "gritty", "3 weeks old", "2 days old and 3 bags left", "1 loam and a bit of grit", "half gone", "pure joy",
     "2:1 pumice", "2:1:1 pumice loam", "loam", "12 and 14", "1 x 2"],
)  # fmt: skip
def test_what_is_no_recipe(words: str) -> None:
    assert recipe_in(words) is None
