"""What can be wrong with a database, each kind with an exit code and a sentence that says what to do."""

from __future__ import annotations

import sqlite3

# The codes follow the meanings that BSD's sysexits.h (1987) gave them, where one fits.
CODES = {
    "damaged": 65,  # EX_DATAERR
    "missing": 66,  # EX_NOINPUT
    "no_folder": 72,  # EX_OSFILE
    "unreachable": 69,  # EX_UNAVAILABLE
    "driver": 71,  # EX_OSERR
    "read_only": 73,  # EX_CANTCREAT
    "full": 74,  # EX_IOERR
    "locked": 75,  # EX_TEMPFAIL
    "foreign": 76,  # EX_PROTOCOL
    "newer": 77,
    "address": 78,  # EX_CONFIG
    "occupied": 79,
    "in_use": 80,
}

_SENTENCES = {
    "damaged": "{name} is damaged or not a database. Nothing was changed; move it aside and restore a backup.",
    "missing": "There is no database at {name}. Check the path; “potside chat” makes one with your first note.",
    "no_folder": "The folder of {name} does not exist. Create it first, or check the path.",
    "unreachable": "The database server at {name} does not answer. Check that it runs and that the address is right.",
    "read_only": "{name} can only be read. Give the user who runs this program permission to write the file and its folder.",
    "full": "The disk that holds {name} is full or failing. Nothing was half written; make room and try again.",
    "locked": "Another program holds {name} locked. Close it, or wait until it is done, and try again.",
    "foreign": "{name} belongs to another program. It was left untouched; give this one a file of its own.",
    "newer": "{name} was written by a newer version of this program. It was left untouched; install the newer version.",
    "occupied": "{name} holds something already. It was left untouched; choose an empty place.",
    "in_use": "Another Potside is using {name}. Stop that one first; two on one file would get in each other's way.",
}

_SQLITE_KINDS = {
    sqlite3.SQLITE_BUSY: "locked",
    sqlite3.SQLITE_LOCKED: "locked",
    sqlite3.SQLITE_PROTOCOL: "locked",
    sqlite3.SQLITE_READONLY: "read_only",
    sqlite3.SQLITE_PERM: "read_only",
    sqlite3.SQLITE_CANTOPEN: "read_only",
    sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_IOERR: "full",
    sqlite3.SQLITE_CORRUPT: "damaged",
    sqlite3.SQLITE_NOTADB: "damaged",
}

# SQLSTATE codes, PostgreSQL documentation, appendix "PostgreSQL Error Codes".
_SQLSTATE_KINDS = {
    "53100": "full",
    "58030": "full",
    "25006": "read_only",
    "55P03": "locked",
    "XX001": "damaged",
    "XX002": "damaged",
}
_SQLSTATE_CLASSES = {"08": "unreachable", "28": "unreachable", "3D": "unreachable", "57P": "unreachable"}


class DatabaseProblem(Exception):
    """A database that cannot be used as it is; `str()` is a sentence or two for a person.

    `kind` is a key of `CODES`, `code` the exit code that belongs to it.
    """

    def __init__(self, kind: str, message: str) -> None:
        super().__init__(message)
        self.kind = kind
        self.code = CODES[kind]


def problem(kind: str, name: str) -> DatabaseProblem:
    """Return the problem of this kind with its usual sentence about the database called `name`."""
    return DatabaseProblem(kind, _SENTENCES[kind].format(name=name))


def problem_of(error: BaseException | None, name: str) -> DatabaseProblem | None:
    """Return the problem behind a driver's error, or None where the error is the program's own fault."""
    kind = _kind(error)
    return None if kind is None else problem(kind, name)


def _kind(error: BaseException | None) -> str | None:
    if isinstance(error, sqlite3.Error):
        code: int | None = getattr(error, "sqlite_errorcode", None)  # set only where SQLite itself reported
        return None if code is None else _SQLITE_KINDS.get(code & 0xFF)
    state = getattr(error, "sqlstate", None)
    if isinstance(state, str):
        return _SQLSTATE_KINDS.get(state, _SQLSTATE_CLASSES.get(state[:2], _SQLSTATE_CLASSES.get(state[:3])))
    # A server that cannot be reached, or that went away, reports no state at all.
    return "unreachable" if type(error).__name__ == "OperationalError" else None
