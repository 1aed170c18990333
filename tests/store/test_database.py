"""Connections: what is kept, what is taken back, who waits for whom, and how durable a commit is."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from bot.store import marks
from bot.store.database import Connection, Database, DatabaseProblem, open_database
from bot.store.tables import chats, people

CHILDREN = Path(__file__).parent / "children"


def add_person(conn: Connection, public_id: str) -> None:
    conn.execute(sa.insert(people).values(public_id=public_id))


def everybody(database: Database) -> list[str]:
    with database.read() as conn:
        return list(conn.scalars(sa.select(people.c.public_id).order_by(people.c.id)))


def test_a_write_is_kept_at_its_end(database: Database) -> None:
    with database.write() as conn:
        add_person(conn, "one")
        assert everybody(database) == []  # not before
    assert everybody(database) == ["one"]


def test_an_exception_takes_everything_back(database: Database) -> None:
    with pytest.raises(RuntimeError, match="half way"):
        write_and_fail(database)
    assert everybody(database) == []


def write_and_fail(database: Database) -> None:
    with database.write() as conn:
        add_person(conn, "one")
        raise RuntimeError("half way")


def test_a_refused_row_takes_everything_back(database: Database) -> None:
    with pytest.raises(IntegrityError):
        write_twice(database, "one")
    assert everybody(database) == []
    with database.write() as conn:
        add_person(conn, "two")
    assert everybody(database) == ["two"]


def write_twice(database: Database, public_id: str) -> None:
    with database.write() as conn:
        add_person(conn, public_id)
        add_person(conn, public_id)


def test_a_reading_sees_one_unchanging_state(database: Database) -> None:
    with database.read() as conn:
        assert conn.scalar(sa.select(sa.func.count()).select_from(people)) == 0
        with database.write() as other:
            add_person(other, "one")
        assert conn.scalar(sa.select(sa.func.count()).select_from(people)) == 0
    assert everybody(database) == ["one"]


def test_foreign_keys_are_enforced(database: Database) -> None:
    lost = sa.insert(chats).values(transport="terminal", address="local", person_id=1, collection_id=1, talk={})
    with pytest.raises(IntegrityError), database.write() as conn:
        conn.execute(lost)


@pytest.mark.parametrize(
    ("pragma", "wanted"), [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1), ("busy_timeout", 5000)]
)
def test_sqlite_is_set_to_lose_nothing(file_database: Database, pragma: str, wanted: object) -> None:
    # SQLite documentation, "PRAGMA Statements": synchronous 2 is FULL
    for opened in (file_database.read, file_database.write):
        with opened() as conn:
            assert conn.exec_driver_sql(f"PRAGMA {pragma}").scalar() == wanted


def test_every_pooled_connection_is_set_so(file_database: Database) -> None:
    with file_database.read() as one, file_database.read() as two, file_database.write() as three:
        assert [conn.exec_driver_sql("PRAGMA synchronous").scalar() for conn in (one, two, three)] == [2, 2, 2]


def test_a_write_that_need_not_outlast_the_power_waits_for_no_disk_and_leaves_no_trace(file_database: Database) -> None:
    # SQLite documentation, "PRAGMA Statements": synchronous 1 is NORMAL, 2 is FULL
    with file_database.write(synced=False) as conn:
        assert conn.exec_driver_sql("PRAGMA synchronous").scalar() == 1
        add_person(conn, "kept")
    with pytest.raises(RuntimeError), file_database.write(synced=False):
        raise RuntimeError
    with file_database.write() as conn:
        assert conn.exec_driver_sql("PRAGMA synchronous").scalar() == 2
    assert everybody(file_database) == ["kept"]


def test_a_write_on_sqlite_takes_the_lock_at_once(file_database: Database, tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "potside.db", timeout=0, isolation_level=None)) as other:
        with file_database.read():
            other.execute("BEGIN IMMEDIATE")  # a reading does not hold it
            other.execute("ROLLBACK")
        with file_database.write(), pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")


def test_closing_leaves_one_file(file_database: Database, tmp_path: Path) -> None:
    with file_database.write() as conn:
        add_person(conn, "one")
    file_database.close()
    assert [path.name for path in tmp_path.iterdir()] == ["potside.db"]


def test_two_processes_write_at_once_and_nothing_is_lost(database: Database, address: str, environment: dict[str, str]) -> None:
    command = [sys.executable, str(CHILDREN / "write_many.py"), address]
    started = [
        subprocess.Popen([*command, name, "60"], stdout=subprocess.PIPE, text=True, env=environment) for name in ("a", "b")
    ]
    assert [one.communicate(timeout=120)[0].strip() for one in started] == ["60 written"] * 2
    assert sorted(everybody(database)) == sorted(f"{name}{number}" for name in "ab" for number in range(60))


def test_a_path_with_spaces_and_signs_is_a_path(tmp_path: Path) -> None:
    for given in (tmp_path / "a ?b#c%20.db", str(tmp_path / "d é.db"), f"sqlite:///{tmp_path / 'e.db'}"):
        open_database(given).close()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a ?b#c%20.db", "d é.db", "e.db"]


@pytest.mark.parametrize("given", ["mysql://root@localhost/potside", "sqlite://", "ftp://example.org/x"])
def test_an_address_of_another_kind_is_refused(given: str) -> None:
    with pytest.raises(DatabaseProblem, match=r"Give a file, or a postgresql:// address\.") as raised:
        open_database(given)
    assert raised.value.kind == "address"


def test_a_server_database_without_an_encoding_holds_every_letter(administrator: sa.Engine) -> None:
    """PostgreSQL 18 documentation, 23.3.1: in SQL_ASCII the server converts nothing, and drivers hand out bytes."""
    name = "store_without_encoding"
    with administrator.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name} TEMPLATE template0 ENCODING 'SQL_ASCII' LC_COLLATE 'C' LC_CTYPE 'C'")
    try:
        address = administrator.url.set(database=name, drivername="postgresql").render_as_string(hide_password=False)
        database = open_database(address)
        with database.write() as conn:
            marks.mark(conn, "größer", datetime(2026, 4, 15, tzinfo=UTC))
        with database.read() as conn:
            assert marks.names_marked(conn, "größer") == ["größer"]
        database.close()
    finally:
        with administrator.connect() as connection:
            connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")
