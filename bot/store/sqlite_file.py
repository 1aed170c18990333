"""Looks at a SQLite file before it is opened for writing, so that a file which must be refused is not touched."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from bot.store.migrations import HEAD, STORED_REVISION, VERSION_TABLE, refusal
from bot.store.problems import DatabaseProblem, problem, problem_of

_HEADER = b"SQLite format 3\x00"
_OLDEST_LIBRARY = (3, 35, 0)  # the first with RETURNING (SQLite release history, 2021-03-12)


def inspect(path: Path, *, create: bool, wait_ms: int) -> bool:
    """Return True where the file is at the newest schema, False where it has to be created or brought there.

    `wait_ms` is how long to wait for another program's lock. Raises DatabaseProblem where the file cannot be used, without
    having written to it.
    """
    name = str(path)
    if sqlite3.sqlite_version_info < _OLDEST_LIBRARY:
        raise DatabaseProblem(
            "driver", f"SQLite {sqlite3.sqlite_version} is too old. Use a Python that was built with 3.35 or newer."
        )
    if not path.parent.is_dir():
        raise problem("no_folder", name)
    if path.is_dir():
        raise problem("damaged", name)
    holds_data = path.exists() and path.stat().st_size > 0
    if not holds_data and not create:
        raise problem("missing", name)
    if not holds_data:
        _check_writable(path)
        return False
    revision = _revision(path, wait_ms)
    _check_writable(path)
    return revision == HEAD


def _check_writable(path: Path) -> None:
    # SQLite writes beside the file too, so the folder counts. os.access also knows file systems mounted read-only.
    places = [path.parent, path] if path.exists() else [path.parent]
    if not all(os.access(place, os.R_OK | os.W_OK) for place in places):
        raise problem("read_only", str(path))


def _revision(path: Path, wait_ms: int) -> str | None:
    name = str(path)
    try:
        with path.open("rb") as file:
            if file.read(len(_HEADER)) != _HEADER:
                raise problem("damaged", name)
        with closing(sqlite3.connect(_read_only(path), uri=True, timeout=wait_ms / 1000)) as connection:
            tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
            revisions = [row[0] for row in connection.execute(STORED_REVISION)] if VERSION_TABLE in tables else []
    except PermissionError:
        raise problem("read_only", name) from None
    except sqlite3.Error as error:
        raise problem_of(error, name) or error from error
    refused = refusal(tables, revisions)
    if refused is not None:
        raise problem(refused, name)
    return revisions[0] if revisions else None


def _read_only(path: Path) -> str:
    # Even a reader makes files beside a database that keeps a write-ahead log. Where there is none now, the file alone holds
    # everything and can be read as if nobody could change it, which leaves no trace.
    log = path.with_name(f"{path.name}-wal")
    return f"{path.absolute().as_uri()}?{'mode=ro' if log.exists() else 'immutable=1'}"
