"""Migrations bring a database to the newest schema, wholly or not at all, and only one that is ours."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Collection, Iterator
from contextlib import closing
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

import bot.store.migrations
from bot.app.intake import Intake
from bot.messages import Incoming
from bot.store import inbox, outbox
from bot.store.backup import back_up_into, restore
from bot.store.copying import copy_rows, summary, tables_of
from bot.store.database import Database, DatabaseProblem, _server_engine, _sqlite_engine, _url, open_database
from bot.store.indexes import PARTIAL_INDEXES
from bot.store.migrations import HEAD, REVISIONS, bring_to, bring_to_head, stored_revision
from bot.store.people import CollectionSettings
from bot.store.tables import metadata

MOMENT = datetime(2026, 4, 20, 9, 40, tzinfo=UTC)


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
    assert len(wanted) == 5


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


HERE = Path(__file__).parent
OLDER = REVISIONS[:-1]


def file_of_revision(revision: str, path: Path) -> Path:
    """Make anew the file that a version of the program of that time wrote."""
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((HERE / "data" / f"schema_{revision}.sql").read_text(encoding="utf-8"))
        connection.execute("PRAGMA journal_mode = WAL")
    return path


@pytest.fixture(params=OLDER)
def older(request: pytest.FixtureRequest, empty_address: str, tmp_path: Path) -> str:
    """Where a database of each earlier revision lies, with a collection in it."""
    file = file_of_revision(request.param, tmp_path / "older.db")
    if "://" not in empty_address:
        return str(file)
    target, source = open_database_without_tables(empty_address), Database(_sqlite_engine(file, 5000), str(file))
    with source.read() as rows, target.write() as conn:
        bring_to(conn, request.param)
        copy_rows(rows, conn, tables_of(rows))
    for one in (source, target):
        one.close()
    return empty_address


def test_every_earlier_version_comes_forward_with_all_it_held(older: str, tmp_path: Path) -> None:
    before = open_database_without_tables(older)
    with before.read() as conn:
        held = summary(conn, tables_of(conn))
    before.close()
    assert held.rows["care_log"] >= 6
    asked: list[str] = []
    opened = open_database(older, before_migration=lambda _, revision: asked.append(revision))
    assert asked
    with opened.read() as conn:
        after = summary(conn, tables_of(conn))
        assert {name: after.rows[name] for name in held.rows} == dict(held.rows)
        assert compare_metadata(MigrationContext.configure(conn, opts={"compare_type": True}), metadata) == []
    with pytest.raises(sa.exc.IntegrityError, match="append-only"), opened.write() as conn:
        conn.execute(sa.text("DELETE FROM care_log"))
    # The old collection goes on: its projections can be made anew, and a note is answered.
    intake = Intake(opened, CollectionSettings())
    intake.receive(Incoming("terminal", "local", "test", "new", "when did i last water 12", MOMENT), MOMENT)
    assert intake.work(MOMENT) == 1
    with opened.read() as conn:
        assert inbox.counts(conn)["poison"] == 0
        answers = [one.outgoing.text for one in map(partial(outbox.by_id, conn), range(1, 100)) if one]
    assert "1 Apr" in answers[-1]
    opened.close()
    open_database(older, before_migration=lambda _, revision: asked.append(revision)).close()
    assert len(asked) == 1


def test_a_migration_is_not_begun_where_the_backup_before_it_fails(older: str) -> None:
    def fail(database: Database, revision: str) -> None:
        raise DatabaseProblem("full", "no room for a backup")

    with pytest.raises(DatabaseProblem, match="no room"):
        open_database(older, before_migration=fail)
    untouched = open_database_without_tables(older)
    with untouched.read() as conn:
        assert stored_revision(conn) in OLDER
    untouched.close()


def test_the_backup_before_a_migration_is_one_of_the_older_schema(older: str, tmp_path: Path) -> None:
    made: list[Path] = []

    def keep(database: Database, revision: str) -> None:
        made.append(back_up_into(tmp_path / "backups", database, MOMENT, "0.1", f"before-{revision}"))

    open_database(older, before_migration=keep).close()
    manifest = restore(made[0], tmp_path / "restored.db")
    assert manifest.revision in OLDER
    restored, migrated = open_database(tmp_path / "restored.db"), open_database(older)
    with restored.read() as one, migrated.read() as other:
        assert summary(one, tables_of(one)) == summary(other, tables_of(one))
    restored.close()
    migrated.close()


@pytest.mark.parametrize("commits", [False, True])
def test_a_migration_that_is_killed_is_taken_up_again(older: str, environment: dict[str, str], commits: bool) -> None:
    program = (
        "import os, signal, sys, sqlalchemy as sa\n"
        "from bot.store import database, migrations\n"
        "def bring(connection, name, *, create):\n"
        "    migrations.bring_to_head(connection, name, create=create)\n"
        "    if sys.argv[2] == 'True': connection.commit()\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
        "database.bring_to_head = bring\n"
        "database.open_database(sys.argv[1])"
    )
    ended = subprocess.run([sys.executable, "-c", program, older, str(commits)], env=environment, check=False, timeout=60)
    assert ended.returncode == -9
    between = open_database_without_tables(older)
    with between.read() as conn:
        assert (stored_revision(conn) == HEAD) is commits
    between.close()
    opened = open_database(older, create=False)
    with opened.read() as conn:
        assert compare_metadata(MigrationContext.configure(conn, opts={"compare_type": True}), metadata) == []
    opened.close()


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
