"""Every constant of the computations says where it comes from: a source outside the project, or a plain mark."""

from __future__ import annotations

import ast
import importlib
from collections.abc import Mapping
from pathlib import Path

import pytest

import bot.care
from bot.care.sources import Trust, package_table

pytestmark = pytest.mark.published

ROOM = Path(bot.care.__file__).parent


NO_FIGURES = {("due", "VERSION")}  # counts versions of the computation, computes nothing


def modules() -> list[str]:
    """Modules that compute: all that state how far their constants are to be trusted, or hold a figure."""
    return sorted(path.stem for path in ROOM.glob("*.py") if states_trust(path) or figures(path))


def states_trust(path: Path) -> bool:
    """Whether a module has a table of trust."""
    return "TRUST = {" in path.read_text(encoding="utf-8")


def constants(path: Path) -> dict[str, ast.expr]:
    """The module's own constants by name."""
    found: dict[str, ast.expr] = {}
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
            continue
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        found |= {one.id: node.value for one in targets if isinstance(one, ast.Name) and one.id.isupper()}
    return {name: value for name, value in found.items() if not name.startswith("_") and name != "TRUST"}


def figures(path: Path) -> set[str]:
    """Names of the constants that hold a number, or a table of them."""
    return {
        name
        for name, value in constants(path).items()
        if (path.stem, name) not in NO_FIGURES
        and any(isinstance(one, ast.Constant) and type(one.value) in (int, float) for one in ast.walk(value))
    }


@pytest.mark.parametrize("name", modules())
def test_every_constant_has_a_source_or_a_mark(name: str) -> None:
    path, module = ROOM / f"{name}.py", importlib.import_module(f"bot.care.{name}")
    trust: Mapping[str, Trust] = getattr(module, "TRUST", {})
    assert figures(path) <= set(trust), f"{name}: a figure without a source or a mark"
    assert set(trust) <= set(constants(path)), f"{name}: trust in a constant that is not there"
    for constant, known in trust.items():
        assert known.mark in ("common practice", "from memory", "project default") or known.source, constant


def test_a_figure_without_a_source_is_seen(tmp_path: Path) -> None:
    path = tmp_path / "module.py"
    path.write_text("WORDS = ('a',)\nDAYS = 3\nTABLE: dict[str, tuple[int, int]] = {'x': (1, 2)}\n_INNER = 4\n", encoding="utf-8")
    assert figures(path) == {"DAYS", "TABLE"}


def test_the_computing_modules_are_the_ones_expected() -> None:
    wanted = {"pests", "dormancy", "climate", "normals", "daylength", "drying", "learning", "evaporation", "genera"}
    assert wanted | {"rest", "wash", "followups", "frost", "potting", "doses", "propagation"} <= set(modules())
    assert {"due_water", "due_rest", "due_health", "due_stock"} <= set(modules())


def test_rows_of_tables_name_their_source() -> None:
    for line in package_table("pests.csv"):
        assert line["status"] in ("published", "derived", "memory")
        assert line["source"], line
    for line in package_table("propagation.csv"):
        assert line["source"], line
        assert line["label"], line
