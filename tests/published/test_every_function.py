"""Every public computation is called by a check in this folder that names where its figure comes from."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

import bot.care

pytestmark = pytest.mark.published

HERE = Path(__file__).parent
ROOM = Path(bot.care.__file__).parent
# These compute nothing of their own: they put computations together with the care log, keep it, or take inputs in.
JOINING = {
    "due", "due_health", "due_rest", "due_stock", "due_values", "due_water", "events", "fold", "fold_acts", "fold_findings",
    "fold_lots", "fold_record", "losses", "merging", "partial", "reach", "reckon", "reckon_inputs", "reckon_table", "seasons",
    "sources", "standing",
}  # fmt: skip
SAYS_WHENCE = re.compile(r"\b(1[89]|20)\d\d\b|common practice|from memory|definition|extension", re.IGNORECASE)


def public_functions(path: Path) -> list[str]:
    """The functions of a module that others may call, those without inputs (tables read) left out."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    found = [node for node in body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")]
    return [node.name for node in found if node.args.args or node.args.kwonlyargs]


COMPUTATIONS = [
    (path.stem, name) for path in sorted(ROOM.glob("*.py")) if path.stem not in JOINING for name in public_functions(path)
]


def called(node: ast.AST) -> set[str]:
    """The names of all that is called within."""
    calls = (one.func for one in ast.walk(node) if isinstance(one, ast.Call))
    return {call.id if isinstance(call, ast.Name) else call.attr for call in calls if isinstance(call, ast.Name | ast.Attribute)}


def mentioned(node: ast.AST) -> set[str]:
    """The names of all that is called or handed on within (a table of functions in a module counts for the tests that use it)."""
    names = {one.id for one in ast.walk(node) if isinstance(one, ast.Name)}
    return names | called(node) | {one.attr for one in ast.walk(node) if isinstance(one, ast.Attribute)}


def compares(function: ast.FunctionDef) -> bool:
    """Whether a test can fail: it asserts, or hands a result to the checker."""
    return any(isinstance(node, ast.Assert) for node in ast.walk(function)) or bool(
        called(function) & {"close", "within", "check"}
    )


def says_whence(function: ast.FunctionDef, module_text: str) -> bool:
    """Whether a check names its source: in its docstring, or row by row from a table with a column for it."""
    return bool(SAYS_WHENCE.search(ast.get_docstring(function) or "")) or "sourced(" in module_text or "source = " in module_text


def checks_of(text: str) -> Iterator[tuple[str, set[str]]]:
    """Each test of a module that compares and names its source, with every name that it reaches."""
    body = ast.parse(text).body
    parts: Mapping[str, ast.stmt] = {name: node for node in body for name in _names_bound(node) if not name.startswith("test_")}
    for node in body:
        is_test = isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
        if is_test and compares(node) and says_whence(node, text):  # type: ignore[arg-type]
            yield node.name, _reached(node, parts)  # type: ignore[attr-defined]


def _names_bound(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.FunctionDef):
        return [node.name]
    targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
    return [target.id for target in targets if isinstance(target, ast.Name)]


def _reached(node: ast.AST, parts: Mapping[str, ast.stmt]) -> set[str]:
    found, waiting = set[str](), [node]
    while waiting:
        new = mentioned(waiting.pop()) - found
        found |= new
        waiting += [parts[name] for name in new if name in parts]
    return found


CHECKED = {
    name
    for path in HERE.glob("test_*.py")
    if path != Path(__file__)
    for _, names in checks_of(path.read_text(encoding="utf-8"))
    for name in names
}


@pytest.mark.parametrize(("module", "name"), COMPUTATIONS)
def test_has_a_check_against_something_outside(module: str, name: str) -> None:
    assert name in CHECKED, f"{module}.{name}: no published figure and no figure of the trade in {HERE.name}"


def test_no_module_is_forgotten() -> None:
    assert {path.stem for path in ROOM.glob("*.py")} >= JOINING
    assert len(COMPUTATIONS) > 80


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ('def test_a():\n    """Allen 1998."""\n    assert slope(1) == 2\n', True),
        ('def test_a():\n    """It works."""\n    assert slope(1) == 2\n', False),
        ('def test_a():\n    """Allen 1998."""\n    slope(1)\n', False),
        ('def test_a():\n    """Allen 1998."""\n    assert other(1) == 2\n', False),
        ('def part():\n    return slope(1)\n\ndef test_a():\n    """Common practice."""\n    assert part() == 2\n', True),
    ],
)
def test_only_a_check_that_can_fail_and_names_its_source_counts(text: str, counts: bool) -> None:
    assert any("slope" in names for _, names in checks_of(text)) is counts
