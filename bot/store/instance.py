"""One program at a time on one SQLite file: a lock on a file beside it that the system lets go when the process ends."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bot.store.problems import problem


class Held:
    """A lock that this process holds until `let_go`, or until it ends in whatever way."""

    def __init__(self, path: Path, name: str) -> None:
        """Take the lock on the file at `path`, which is made where it is not there.

        Raises DatabaseProblem (in_use) about `name` where another process, or another part of this one, holds it.
        """
        import fcntl  # noqa: PLC0415  not there on every system; only who runs for years needs it

        self._file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(self._file)
            raise problem("in_use", name) from None

    def let_go(self) -> None:
        """Give the lock back; the file stays, since another may be about to lock it."""
        os.close(self._file)


@contextmanager
def hold(path: Path, name: str) -> Iterator[None]:
    """Hold the lock while the block lasts."""
    held = Held(path, name)
    try:
        yield
    finally:
        held.let_go()


def lock_file(database: Path) -> Path:
    """Return the file whose lock stands for a SQLite file."""
    return database.with_name(f"{database.name}-lock")


def is_held(database: Path) -> bool:
    """Whether some program is using a SQLite file as its only one."""
    path = lock_file(database)
    if not path.exists():
        return False
    import fcntl  # noqa: PLC0415

    number = os.open(path, os.O_RDWR | os.O_CLOEXEC)
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return True
    finally:
        os.close(number)
    return False
