"""A folder to work in beside the place where a result will stand; what a kill leaves of one is cleared away by the next."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from bot.store.instance import Held, hold
from bot.store.problems import DatabaseProblem

BEGINNING = ".potside-unfinished-"
_LOCK = "in-use"


@contextmanager
def scratch_folder(beside: Path) -> Iterator[Path]:
    """Yield an empty folder within `beside` that only its owner can enter; it is gone afterwards."""
    clear_away(beside)
    folder = Path(tempfile.mkdtemp(prefix=BEGINNING, dir=beside))
    try:
        with hold(folder / _LOCK, str(folder)):
            yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def clear_away(beside: Path) -> None:
    """Remove the folders that nobody works in any more."""
    for one in beside.glob(f"{BEGINNING}*"):
        with suppress(DatabaseProblem, OSError):
            Held(one / _LOCK, str(one)).let_go()
            shutil.rmtree(one, ignore_errors=True)


def place(finished: Path, target: Path) -> None:
    """Give a finished file its name, on the disk for good, in one step. Raises FileExistsError where the name is taken."""
    sync(finished)
    try:
        os.link(finished, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without links, as on a memory stick
        if target.exists():
            raise FileExistsError(target) from None
        finished.rename(target)
    sync(target.parent)


def sync(path: Path) -> None:
    """Wait until a file or a folder is on the disk."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
