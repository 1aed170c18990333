"""Runs the program as a person does: a process of its own, with bytes in and bytes out."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 60


def environment(**more: str) -> dict[str, str]:
    """Return this process's environment without settings of the program, and with `more`."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("POTSIDE_")}
    return kept | {"TZ": "Europe/London", "PYTHONPATH": str(ROOT)} | more


def run(*arguments: str | bytes, given: bytes | str = b"", env: Mapping[str, str] | None = None, cwd: Path = ROOT) -> Result:
    """Run `python -m bot` with the arguments and standard input, to its end."""
    done = subprocess.run(
        [sys.executable, "-m", "bot", *arguments],
        input=given.encode() if isinstance(given, str) else given,
        capture_output=True,
        env=dict(env) if env is not None else environment(),
        cwd=cwd,
        timeout=PATIENCE_S,
        check=False,
    )
    return Result(done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))


class Result:
    """How a run ended: its exit code, and what it wrote."""

    def __init__(self, code: int, out: str, err: str) -> None:
        """Keep all three."""
        self.code = code
        self.out = out
        self.err = err

    def __repr__(self) -> str:
        """Show all three, for a failing test."""
        return f"exit code {self.code}\n{self.out}\n{self.err}"
