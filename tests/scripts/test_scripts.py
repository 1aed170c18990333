"""The two start scripts, on a copy of the tree in a path with a blank: without a network, without Python, and already set up."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = ["demo/start.sh", "tests/run.sh"]
SHELLS = [name for name in ("sh", "dash", "bash") if shutil.which(name)]
TOOLS = ("sh", "dirname", "cat", "cksum", "tr", "sed", "head", "mkdir", "rm", "mktemp", "printf")
NO_NETWORK = {"PIP_NO_INDEX": "1", "PIP_CONFIG_FILE": os.devnull, "PIP_FIND_LINKS": "", "PIP_EXTRA_INDEX_URL": ""}


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    copy = tmp_path / "a checkout"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".*", "__pycache__", "*.db"))
    return copy


def run(script: Path, *arguments: str, shell: str = "sh", **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [shutil.which(shell) or shell, str(script), *arguments],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        cwd="/",
        env=dict(os.environ) | {"PYTHON": sys.executable} | env,
        timeout=120,
        check=False,
    )


def set_up(tree: Path, extra: str, stamp: str | None = None) -> None:
    """Give the copy an environment that is this test's own interpreter, stamped as the scripts stamp theirs."""
    python = tree / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text(f'#!/bin/sh\nexec "{sys.executable}" "$@"\n', encoding="utf-8")
    python.chmod(0o755)
    script = f'. "{tree}/deploy/environment.sh"; sum_of_project "{tree}"'
    summed = subprocess.run(["sh", "-c", script], capture_output=True, text=True, check=True).stdout.strip()
    (tree / ".venv" / "potside-stamp").write_text(f"{stamp or summed} {extra}\n", encoding="utf-8")


@pytest.mark.parametrize("shell", SHELLS)
@pytest.mark.parametrize("script", [*SCRIPTS, "deploy/environment.sh"])
def test_the_shells_can_read_them(script: str, shell: str) -> None:
    subprocess.run([shell, "-n", str(ROOT / script)], check=True)


def test_the_checks_of_a_change_can_be_read() -> None:
    subprocess.run(["bash", "-n", str(ROOT / ".ci" / "run")], check=True)


@pytest.mark.parametrize("script", SCRIPTS)
def test_without_a_network_one_line_says_what_is_missing(script: str, tree: Path) -> None:
    for _ in range(2):  # the half-made environment of the first run changes nothing for the second
        done = run(tree / script, **NO_NETWORK)
        assert done.returncode == 1
        assert done.stdout == ""
        [line] = done.stderr.splitlines()
        assert line.startswith("potside: hatchling")
        assert "is missing and could not be fetched" in line
        assert Path(line.split("Details: ")[1]).is_file()


def test_without_python_one_line_says_so(tree: Path, tmp_path: Path) -> None:
    tools = tmp_path / "tools"
    tools.mkdir()
    for name in TOOLS:
        found = shutil.which(name)
        if found:
            (tools / name).symlink_to(found)
    old = tools / "python3"
    old.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")  # as a Python that is too old answers
    old.chmod(0o755)
    done = run(tree / "tests/run.sh", PATH=str(tools), PYTHON="")
    assert done.returncode == 1
    assert done.stderr == "potside: Python 3.11 or newer is missing: no python3 on the PATH is new enough.\n"


def test_a_second_run_installs_nothing(tree: Path) -> None:
    set_up(tree, "test")
    done = run(tree / "tests/run.sh", "--version", **NO_NETWORK)
    assert done.returncode == 0, done
    assert "pytest" in done.stdout
    assert not (tree / ".venv" / "potside-install.log").exists()


def test_the_demo_is_served_by_the_tests_environment(tree: Path) -> None:
    set_up(tree, "test")
    done = run(tree / "demo/start.sh", "--help", **NO_NETWORK)
    assert done.returncode == 0, done
    assert not (tree / ".venv" / "potside-install.log").exists()


@pytest.mark.parametrize(("extra", "stamp"), [("", None), ("test", "changed")])
def test_another_stamp_means_setting_up_again(extra: str, stamp: str | None, tree: Path) -> None:
    set_up(tree, extra, stamp)
    done = run(tree / "tests/run.sh", "--version", **NO_NETWORK)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1


def test_a_broken_environment_is_made_anew(tree: Path) -> None:
    set_up(tree, "test")
    (tree / ".venv" / "bin" / "python").write_text("#!/bin/sh\nexit 127\n", encoding="utf-8")
    done = run(tree / "tests/run.sh", "--version", **NO_NETWORK)
    assert done.returncode == 1
    assert (tree / ".venv" / "pyvenv.cfg").is_file()
