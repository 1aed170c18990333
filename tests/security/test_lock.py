"""The lock file pins every package that is asked for, with sums, and says nowhere whence it comes."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import requires
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
LOCK = (ROOT / "deploy" / "requirements.lock").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PINNED = re.compile(r"(?m)^([a-z0-9-]+)==(\S+?)(?: ;[^\\\n]*)?(?: \\)?$")


def pins() -> dict[str, str]:
    return dict(PINNED.findall(LOCK))


@pytest.mark.parametrize("asked", [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["postgresql"]])
def test_what_is_asked_for_is_pinned_to_a_version_that_will_do(asked: str) -> None:
    wanted = Requirement(asked)
    assert wanted.specifier.contains(pins()[canonicalize_name(wanted.name)])


@pytest.mark.parametrize("name", sorted(pins()))
def test_what_a_package_needs_is_pinned_too(name: str) -> None:
    try:
        needed = [Requirement(one) for one in requires(name) or []]
    except ModuleNotFoundError:
        pytest.skip(f"{name} is not installed here")
    for one in needed:
        if one.marker is None or one.marker.evaluate({"extra": ""}):
            assert canonicalize_name(one.name) in pins()


def test_every_pin_has_sums_and_nothing_has_an_address() -> None:
    entries = re.split(r"(?m)^(?=[a-z])", LOCK)[1:]
    assert len(entries) == len(set(PINNED.findall(LOCK))) >= len(pins()) >= 25  # a package may have a version for older Pythons
    for one in entries:
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", one), one[:60]
    assert "://" not in LOCK
    assert "index" not in LOCK
