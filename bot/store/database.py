"""Opens the database, gives out its connections, and turns what can go wrong with it into a sentence for a person."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from bot.store import sqlite_file
from bot.store.migrations import REVISIONS, bring_to, bring_to_head, stored_revision
from bot.store.problems import DatabaseProblem, problem_of

__all__ = ["Connection", "Database", "DatabaseProblem", "open_database"]

# With recursive_triggers the triggers that guard the care log also see the rows that a REPLACE deletes.
_PRAGMAS = ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON")


class Database:
    """An open database at the newest schema. Connections are given out for one reading or one writing at a time."""

    def __init__(self, engine: sa.Engine, name: str) -> None:
        """Take an engine made by `open_database`; `name` is what messages to a person call the database."""
        self._engine = engine
        self._name = name
        on_sqlite = engine.dialect.name == "sqlite"
        self._reader = (
            engine if on_sqlite else engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
        )
        self._writer = engine.execution_options(writes=True)

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """Yield a connection that sees one unchanging state of the database; what is written through it is not kept."""
        with self._problems(), self._reader.connect() as connection:
            yield connection

    @contextmanager
    def write(self, *, synced: bool = True) -> Iterator[Connection]:
        """Yield a connection that may write; commit at the end, take everything back on any exception.

        On SQLite the write lock is taken at once, so that what is read here cannot be overtaken before it is written. `synced`
        waits until the disk has it; without, a power cut may take the commit back, a killed process does not.
        """
        with self._problems(), self._writer.connect() as connection, _hasty(connection, hasty=not synced), connection.begin():
            if not synced and connection.dialect.name == "postgresql":
                connection.exec_driver_sql("SET LOCAL synchronous_commit = off")
            yield connection

    @property
    def name(self) -> str:
        """What messages to a person call it: the path, or the address without the password."""
        return self._name

    def close(self) -> None:
        """Close every connection; on SQLite the last one to close folds the write-ahead log into the file."""
        self._engine.dispose()

    @contextmanager
    def _problems(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            problem = problem_of(error.orig, self._name)
            if problem is None:
                raise
            raise problem from error


@contextmanager
def _hasty(connection: Connection, *, hasty: bool) -> Iterator[None]:
    """On SQLite, where this may change outside of a transaction only; the pool gets its connection back as it was."""
    if not hasty or connection.dialect.name != "sqlite":
        yield
        return
    driver: Any = connection.connection.driver_connection
    driver.execute("PRAGMA synchronous = NORMAL")
    try:
        yield
    finally:
        driver.execute("PRAGMA synchronous = FULL")


PATIENCE = 12  # times the usual wait for a lock, while the file is made or migrated: a minute for five seconds


def open_database(
    url_or_path: str | Path,
    *,
    create: bool = True,
    wait_ms: int = 5000,
    before_migration: Callable[[Database, str], None] | None = None,
) -> Database:
    """Return the database at a path, `sqlite:///path` or `postgresql://…` URL, brought to the newest schema.

    With `create` false a database that does not exist, or holds nothing yet, is a problem. `wait_ms` is how long to wait
    for a lock that another program holds, in milliseconds. `before_migration` is called with a database at an older schema
    and its revision before it is migrated; what it raises leaves the database as it was. Raises DatabaseProblem; a file that
    is refused (newer, foreign, damaged, read-only) has not been written to.
    """
    url = _url(url_or_path)
    if url.get_backend_name() == "sqlite":
        path = Path(url.database or "")
        at_head = sqlite_file.inspect(path, create=create, wait_ms=wait_ms * PATIENCE)
        engine, name = _sqlite_engine(path, wait_ms), str(path)
    else:
        name = url.render_as_string(hide_password=True)
        at_head, engine = False, _server_engine(url, name, wait_ms)
    database = Database(engine, name)
    try:
        if not at_head:
            _announce(database, before_migration)
            _migrate(database, url, wait_ms, create=create)
    except BaseException:
        database.close()
        raise
    return database


def _migrate(database: Database, url: sa.URL, wait_ms: int, *, create: bool) -> None:
    """Bring a database to the newest schema, waiting longer than usual: another program may be at it, on a slow board."""
    longer_ms = wait_ms * PATIENCE
    if url.get_backend_name() == "sqlite":
        engine = _sqlite_engine(Path(url.database or ""), longer_ms)
    else:
        engine = _server_engine(url, database.name, longer_ms)
    patient = Database(engine, database.name)
    try:
        with patient.write() as connection:
            bring_to_head(connection, database.name, create=create)
    finally:
        patient.close()


def _announce(database: Database, before_migration: Callable[[Database, str], None] | None) -> None:
    if before_migration is None:
        return
    with database.read() as connection:
        revision = stored_revision(connection)
    if revision in REVISIONS[:-1]:
        before_migration(database, str(revision))


def file_at(path: Path, revision: str) -> Database:
    """Return a new SQLite file with the schema of a revision: what the rows of a database of that age can be copied into."""
    database = Database(_sqlite_engine(path, 5000), str(path))
    with database.write() as connection:
        bring_to(connection, revision)
    return database


def is_file(url_or_path: str | Path) -> bool:
    """Whether a place is a SQLite file, not a server. Raises DatabaseProblem where it is neither."""
    return _url(url_or_path).get_backend_name() == "sqlite"


def file_of(url_or_path: str | Path) -> Path:
    """Return the path of a place that is a SQLite file."""
    return Path(_url(url_or_path).database or "")


def _url(url_or_path: str | Path) -> sa.URL:
    if isinstance(url_or_path, Path) or "://" not in url_or_path:
        return sa.URL.create("sqlite", database=str(url_or_path))
    url = sa.make_url(url_or_path)
    backend = url.get_backend_name()
    if backend in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    if backend != "sqlite" or not url.database:
        raise DatabaseProblem(
            "address", f"{backend} is not a database this program can use. Give a file, or a postgresql:// address."
        )
    return url


def _sqlite_engine(path: Path, wait_ms: int) -> sa.Engine:
    engine = sa.create_engine(sa.URL.create("sqlite", database=str(path)))

    @sa.event.listens_for(engine, "connect")
    def prepare(connection: Any, record: object) -> None:  # noqa: ARG001
        connection.isolation_level = None  # the driver must not begin transactions of its own; `begin` does
        for pragma in (f"busy_timeout = {wait_ms}", *_PRAGMAS):  # first the wait, since turning on the log may have to wait
            connection.execute(f"PRAGMA {pragma}")

    @sa.event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _connecting(wait_ms: int) -> dict[str, str]:
    """How each connection is set: a server that was made without an encoding would hand out bytes."""
    return {"options": f"-c lock_timeout={wait_ms}", "client_encoding": "utf8"}


def _server_engine(url: sa.URL, name: str, wait_ms: int) -> sa.Engine:
    try:
        return sa.create_engine(url, connect_args=_connecting(wait_ms))
    except ModuleNotFoundError as error:
        raise DatabaseProblem(
            "driver", f"{name} needs the PostgreSQL driver. Install it: pip install 'potside[postgresql]'."
        ) from error
