"""Every constant of the computations says where it comes from: a source outside the project, or a plain mark."""

from __future__ import annotations

import ast
import importlib
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType

import pytest

import bot.care
from bot.care.sources import Trust, package_table

pytestmark = pytest.mark.published

ROOM = Path(bot.care.__file__).parent


def modules() -> list[str]:
    """Modules that compute: all that state how far their constants are to be trusted."""
    return sorted(path.stem for path in ROOM.glob("*.py") if "TRUST = {" in path.read_text(encoding="utf-8"))


def constants(module: ModuleType) -> set[str]:
    """Names of the module's own constants that hold numbers, or tables of them."""
    tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))
    found: set[str] = set()
    for node in tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        found |= {target.id for target in targets if isinstance(target, ast.Name) and target.id.isupper()}
    return {name for name in found if not name.startswith("_") and name != "TRUST"}


@pytest.mark.parametrize("name", modules())
def test_every_constant_has_a_source_or_a_mark(name: str) -> None:
    module = importlib.import_module(f"bot.care.{name}")
    trust: Mapping[str, Trust] = module.TRUST
    assert constants(module) == set(trust), name
    for constant, known in trust.items():
        assert known.mark in ("common practice", "from memory", "project default") or known.source, constant


def test_the_computing_modules_are_the_ones_expected() -> None:
    wanted = {"pests", "dormancy", "climate", "normals", "daylength", "drying", "learning", "evaporation", "genera"}
    assert wanted | {"rest", "wash", "followups", "frost", "potting", "doses", "propagation"} <= set(modules())


def test_rows_of_tables_name_their_source() -> None:
    for line in package_table("pests.csv"):
        assert line["status"] in ("published", "derived", "memory")
        assert line["source"], line
    for line in package_table("propagation.csv"):
        assert line["source"], line
        assert line["label"], line
