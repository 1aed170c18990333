"""Migrations bring a database to the newest schema, wholly or not at all, and only one that is ours."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Collection, Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

import bot.store.migrations
from bot.store.database import Database, DatabaseProblem, _server_engine, _sqlite_engine, _url, open_database
from bot.store.indexes import PARTIAL_INDEXES
from bot.store.migrations import HEAD, REVISIONS, bring_to_head
from bot.store.tables import metadata


def test_the_revisions_named_in_code_are_those_in_the_folder() -> None:
    script = ScriptDirectory(str(Path(bot.store.migrations.__file__).parent))
    assert [one.revision for one in script.walk_revisions()] == list(reversed(REVISIONS))


@pytest.fixture
def migrated(empty_address: str) -> Iterator[Database]:
    """A database brought to the newest schema by the migrations just now."""
    opened = open_database(empty_address)
    yield opened
    opened.close()


def test_migrations_end_at_the_tables(migrated: Database) -> None:
    assert {one.name for one in PARTIAL_INDEXES} <= {one.name for table in metadata.tables.values() for one in table.indexes}
    with migrated.read() as conn:
        context = MigrationContext.configure(conn, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, metadata) == []
        assert context.get_current_revision() == HEAD


def test_migrations_make_the_checks_of_the_tables(migrated: Database) -> None:
    # the comparison above passes over check constraints
    wanted = {(table.name, str(one.name)) for table in metadata.tables.values() for one in table.constraints if _is_check(one)}
    with migrated.read() as conn:
        inspector = sa.inspect(conn)
        made = {(name, one["name"]) for name in inspector.get_table_names() for one in inspector.get_check_constraints(name)}
    assert made == wanted
    assert len(wanted) == 3


def _is_check(constraint: sa.Constraint) -> bool:
    return isinstance(constraint, sa.CheckConstraint)


def test_opening_again_finds_what_was_written(database: Database, address: str) -> None:
    with database.write() as conn:
        conn.execute(sa.insert(metadata.tables["people"]).values(public_id="one"))
    again = open_database(address, create=False)
    with again.read() as conn:
        assert conn.scalar(sa.text("SELECT public_id FROM people")) == "one"
    again.close()


def test_a_migration_that_is_broken_off_leaves_nothing(empty_address: str) -> None:
    engine = open_database_without_tables(empty_address)
    with pytest.raises(RuntimeError, match="broken off"):
        migrate_and_fail(engine, empty_address)
    with engine.read() as conn:
        assert sa.inspect(conn).get_table_names() == []
    engine.close()
    open_database(empty_address).close()


def migrate_and_fail(engine: Database, address: str) -> None:
    with engine.write() as conn:
        bring_to_head(conn, address, create=True)
        assert "care_log" in sa.inspect(conn).get_table_names()
        raise RuntimeError("broken off")


def open_database_without_tables(address: str) -> Database:
    url = _url(address)
    if url.get_backend_name() == "sqlite":
        return Database(_sqlite_engine(Path(address), 5000), address)
    return Database(_server_engine(url, address, 5000), address)


def test_a_database_of_another_program_is_refused(empty_address: str) -> None:
    engine = open_database_without_tables(empty_address)
    with engine.write() as conn:
        conn.execute(sa.text("CREATE TABLE birds (name TEXT)"))
    engine.close()
    with pytest.raises(DatabaseProblem, match="belongs to another program") as raised:
        open_database(empty_address)
    assert raised.value.kind == "foreign"
    engine = open_database_without_tables(empty_address)
    with engine.read() as conn:
        assert sa.inspect(conn).get_table_names() == ["birds"]
    engine.close()


def test_a_newer_database_is_refused(database: Database, address: str) -> None:
    with database.write() as conn:
        conn.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(DatabaseProblem, match="newer version") as raised:
        open_database(address)
    assert raised.value.kind == "newer"


def test_an_empty_database_is_not_filled_unasked(empty_address: str) -> None:
    with pytest.raises(DatabaseProblem, match="There is no database at") as raised:
        open_database(empty_address, create=False)
    assert raised.value.kind == "missing"
    assert not Path(empty_address).exists()


def test_processes_that_create_the_same_database_at_once_all_get_it(empty_address: str, environment: dict[str, str]) -> None:
    program = "import sys; from bot.store.database import open_database; open_database(sys.argv[1]).close(); print('open')"
    started = [
        subprocess.Popen([sys.executable, "-c", program, empty_address], stdout=subprocess.PIPE, text=True, env=environment)
        for _ in range(3)
    ]
    assert [one.communicate(timeout=60)[0] for one in started] == ["open\n"] * 3
    again = open_database(empty_address, create=False)
    with again.read() as conn:
        assert conn.scalar(sa.text("SELECT count(*) FROM alembic_version")) == 1
    again.close()


def test_opening_at_head_imports_neither_alembic_nor_a_driver_it_does_not_need(
    tmp_path: Path, environment: dict[str, str]
) -> None:
    open_database(tmp_path / "potside.db").close()
    program = (
        "import sys; from bot.store.database import open_database\n"
        "from bot.store import carelog, inbox, notes, outbox, people, projections\n"
        "open_database(sys.argv[1]).close(); print(*sys.modules)"
    )
    ended = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path / "potside.db")], capture_output=True, text=True, check=True
    )
    imported: Collection[str] = ended.stdout.split()
    assert "sqlalchemy" in imported
    assert not {"alembic", "psycopg", "sqlalchemy.orm", "sqlalchemy.dialects.postgresql", "mako"} & set(imported)
