"""A database that cannot be used: a code of its own, a sentence that says what to do, and the file as it was."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.messages import Incoming
from bot.store import inbox
from bot.store.database import Database, DatabaseProblem, open_database
from bot.store.problems import CODES, problem

CHILDREN = Path(__file__).parent / "children"
NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)


def contents(folder: Path) -> dict[str, str]:
    """Every file of a folder with the digest of its bytes."""
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir() if path.is_file()}


def refused(path: Path) -> DatabaseProblem:
    """Open a database that must be refused; whatever lies in its folder must stay as it is."""
    before = contents(path.parent)
    with pytest.raises(DatabaseProblem) as raised:
        open_database(path)
    assert contents(path.parent) == before
    assert str(path) in str(raised.value)
    return raised.value


def write_notes(database: Database, count: int, first: int = 0) -> None:
    for number in range(first, first + count):
        with database.write() as conn:
            inbox.take(conn, Incoming("terminal", "local", "test", str(number), "a note " * 100, NOW), NOW)


def kept_notes(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        count: int = connection.execute("SELECT count(*) FROM inbox").fetchone()[0]
        return count


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A database file with forty notes."""
    database = open_database(tmp_path / "potside.db")
    write_notes(database, 40)
    database.close()
    return tmp_path / "potside.db"


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any user of the machine can reach."""
    folder = Path(tempfile.mkdtemp(prefix="potside-folder-"))
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


def test_every_kind_has_an_exit_code_of_its_own() -> None:
    assert len(set(CODES.values())) == len(CODES)
    assert all(2 < code < 126 for code in CODES.values())  # 0 to 2 and from 126 on have meanings in a shell


@pytest.mark.parametrize("kind", sorted(set(CODES) - {"address", "driver"}))
def test_every_problem_names_the_database_and_says_what_to_do(kind: str) -> None:
    message = str(problem(kind, "/data/potside.db"))
    assert "/data/potside.db" in message
    assert 2 <= message.count(". ") + message.count("; ") + message.endswith(".") <= 4
    assert len(message) < 160


def test_a_newer_file_is_left_untouched(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = 'of a later year'")
        connection.commit()
    assert refused(path).kind == "newer"


def test_a_newer_file_with_an_unfinished_log_is_left_untouched(path: Path, tmp_path: Path) -> None:
    # as a process that was killed leaves it: the newer revision stands in the log beside the file alone
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = 'of a later year'")
        connection.commit()
        killed = tmp_path / "killed"
        killed.mkdir()
        for one in (path, path.with_name("potside.db-wal")):
            shutil.copy(one, killed / one.name)
    before = contents(killed)
    with pytest.raises(DatabaseProblem) as raised:
        open_database(killed / path.name)
    assert raised.value.kind == "newer"
    after = contents(killed)
    assert {name: after[name] for name in before} == before


def test_a_file_of_another_program_is_left_untouched(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "birds.db")) as connection:
        connection.execute("CREATE TABLE birds (name TEXT)")
        connection.commit()
    assert refused(tmp_path / "birds.db").kind == "foreign"


@pytest.mark.parametrize(
    "content", [b"watered tray 3\n", b"\0" * 8192, b"SQLite format 3\x00" + b"\xff" * 8176], ids=["text", "zeros", "header"]
)
def test_a_file_that_is_no_database_is_left_untouched(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "notes.txt").write_bytes(content)
    assert refused(tmp_path / "notes.txt").kind == "damaged"


def test_a_file_cut_short_is_left_untouched(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)
    assert refused(path).kind == "damaged"


def test_damage_that_shows_only_in_use_is_told(path: Path) -> None:
    pages = path.stat().st_size // 4096
    with path.open("r+b") as file:
        file.seek(4096 * (pages - 8))  # the newest pages hold notes; the schema stands in the first ones
        file.write(b"\xff" * 4096 * 8)
    database = open_database(path)
    with pytest.raises(DatabaseProblem, match="restore a backup") as raised, database.read() as conn:
        inbox.open_rows(conn)
    database.close()
    assert raised.value.kind == "damaged"


def test_a_folder_in_place_of_a_file(tmp_path: Path) -> None:
    (tmp_path / "potside.db").mkdir()
    assert refused(tmp_path / "potside.db").kind == "damaged"


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(DatabaseProblem, match="Create it first") as raised:
        open_database(tmp_path / "nowhere" / "potside.db")
    assert raised.value.kind == "no_folder"
    assert list(tmp_path.iterdir()) == []


def test_another_program_holds_the_lock(path: Path) -> None:
    database = open_database(path, wait_ms=20)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(DatabaseProblem, match="Another program holds") as raised:
            write_notes(database, 1, first=40)
        other.execute("ROLLBACK")
    assert raised.value.kind == "locked"
    write_notes(database, 1, first=40)
    database.close()
    assert kept_notes(path) == 41


def test_another_program_keeps_the_file_to_itself(path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(DatabaseProblem, match="Another program holds") as raised:
            open_database(path, wait_ms=20)
        other.execute("ROLLBACK")
    assert raised.value.kind == "locked"
    assert kept_notes(path) == 40


def test_a_server_row_that_is_locked(migrated_server_address: str) -> None:
    database, other = open_database(migrated_server_address, wait_ms=20), open_database(migrated_server_address)
    with database.write() as conn:
        inbox.take(conn, Incoming("terminal", "local", "test", "1", "a note", NOW), NOW)
    with other.write() as conn:
        inbox.mark_done(conn, 1, NOW)
        with pytest.raises(DatabaseProblem, match="Another program holds") as raised:
            done_too(database)
    assert raised.value.kind == "locked"
    database.close()
    other.close()


def done_too(database: Database) -> None:
    with database.write() as conn:
        inbox.mark_done(conn, 1, NOW)


@pytest.mark.parametrize(
    ("file_mode", "folder_mode"),
    [(0o444, 0o555), (0o444, 0o777), (0o666, 0o555), (0o000, 0o777)],
    ids=["both", "file", "folder", "unreadable"],
)
def test_a_file_that_can_only_be_read(
    path: Path, open_folder: Path, file_mode: int, folder_mode: int, environment: dict[str, str]
) -> None:
    target = open_folder / "potside.db"
    shutil.copy(path, target)
    before = contents(open_folder)
    target.chmod(file_mode)
    open_folder.chmod(folder_mode)
    assert (
        opened_by_an_ordinary_user(environment, path, target)
        == f"read_only|{CODES['read_only']}|{problem('read_only', str(target))}"
    )
    target.chmod(0o644)
    assert contents(open_folder) == before


def test_a_new_file_in_a_folder_that_can_only_be_read(path: Path, open_folder: Path, environment: dict[str, str]) -> None:
    open_folder.chmod(0o555)
    assert opened_by_an_ordinary_user(environment, path, open_folder / "new.db").startswith("read_only|")
    assert contents(open_folder) == {}


def opened_by_an_ordinary_user(environment: dict[str, str], scratch: Path, target: Path) -> str:
    command = [sys.executable, str(CHILDREN / "open_unprivileged.py"), str(scratch), str(target)]
    return subprocess.run(command, capture_output=True, text=True, check=True, env=environment).stdout.strip()


def test_a_file_on_a_disk_mounted_to_be_read_only(path: Path, open_folder: Path) -> None:
    shutil.copy(path, open_folder / "potside.db")
    with mounted(open_folder, "--bind", str(open_folder)):
        subprocess.run(["mount", "-o", "remount,bind,ro", str(open_folder)], check=True)
        assert refused(open_folder / "potside.db").kind == "read_only"
        with pytest.raises(DatabaseProblem, match="can only be read"):
            open_database(open_folder / "new.db")


def test_a_full_disk(open_folder: Path) -> None:
    with mounted(open_folder, "-t", "tmpfs", "-o", "size=2m", "tmpfs"):
        target, ballast = open_folder / "potside.db", open_folder / "ballast"
        database = open_database(target)
        write_notes(database, 20)
        fill_up(ballast)
        with pytest.raises(DatabaseProblem, match="make room and try again") as raised:
            write_notes(database, 1000, first=20)
        assert raised.value.kind == "full"
        kept = kept_through(database)
        assert kept >= 20
        ballast.unlink()
        write_notes(database, 5, first=2000)  # there is room again: the same connection goes on
        database.close()
        assert kept_notes(target) == kept + 5


def fill_up(ballast: Path) -> None:
    with ballast.open("wb", buffering=0) as file, suppress(OSError):
        while file.write(b"\0" * 4096) == 4096:
            pass


def test_a_disk_without_room_for_a_new_database(open_folder: Path) -> None:
    with mounted(open_folder, "-t", "tmpfs", "-o", "size=16k", "tmpfs"):
        with pytest.raises(DatabaseProblem, match="full or failing") as raised:
            open_database(open_folder / "potside.db")
        assert raised.value.kind == "full"


def kept_through(database: Database) -> int:
    with database.read() as conn:
        return sum(inbox.counts(conn).values())


class mounted:  # noqa: N801  reads as a with-statement
    """A file system mounted for the time of a test; where that is not permitted the test is skipped and says so."""

    def __init__(self, where: Path, *options: str) -> None:
        self.where, self.options = where, options

    def __enter__(self) -> None:
        if os.geteuid() != 0 or shutil.which("mount") is None:
            pytest.skip("mounting a file system is not permitted here")
        done = subprocess.run(["mount", *self.options, str(self.where)], capture_output=True, text=True, check=False)
        if done.returncode != 0:
            pytest.skip(f"mounting a file system is not permitted here: {done.stderr.strip()}")

    def __exit__(self, *_: object) -> None:
        subprocess.run(["umount", str(self.where)], check=True)


def test_a_file_that_may_not_grow(tmp_path: Path, environment: dict[str, str]) -> None:
    # the limit on file sizes stands for a disk that fails to write, also where mounting is not permitted
    path = tmp_path / "potside.db"
    ended = subprocess.run(
        [sys.executable, str(CHILDREN / "fill_limited.py"), str(path), "1000000"],
        capture_output=True,
        text=True,
        check=True,
        env=environment,
    )
    kept, kind, code, message = ended.stdout.strip().split("|")
    assert (kind, int(code)) == ("full", CODES["full"])
    assert message.startswith("The disk that holds")
    assert int(kept) > 20
    assert kept_notes(path) == int(kept) + 1


def test_a_library_that_is_too_old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 34, 1))
    with pytest.raises(DatabaseProblem, match=r"is too old\. Use a Python") as raised:
        open_database(tmp_path / "potside.db")
    assert raised.value.kind == "driver"
    assert list(tmp_path.iterdir()) == []


def test_a_server_that_does_not_answer(tmp_path: Path) -> None:
    pytest.importorskip("psycopg", reason="the PostgreSQL driver is not installed")
    with pytest.raises(DatabaseProblem, match="does not answer") as raised:
        open_database(f"postgresql://grower:secret@/potside?host={tmp_path}")
    assert raised.value.kind == "unreachable"
    assert "secret" not in str(raised.value)


def test_a_database_that_the_server_does_not_have(empty_server_address: str) -> None:
    with pytest.raises(DatabaseProblem) as raised:
        open_database(empty_server_address.replace("/store_", "/no_such_store_"))
    assert raised.value.kind == "unreachable"


def test_the_driver_is_not_installed(environment: dict[str, str]) -> None:
    program = (
        "import sys; sys.modules['psycopg'] = None\n"
        "from bot.store.database import DatabaseProblem, open_database\n"
        "try: open_database('postgresql://grower@localhost/potside')\n"
        "except DatabaseProblem as problem: print(problem.kind, problem, sep='|')\n"
    )
    ended = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, env=environment)
    assert ended.stdout.startswith("driver|")
    assert "pip install 'potside[postgresql]'" in ended.stdout
