"""What goes wrong with disks, files and clocks over the years, tried and counted."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from bot.app.intake import Intake
from bot.app.service import Service
from bot.messages import Incoming
from bot.store import carelog, inbox, outbox
from bot.store.copying import summary, tables_of
from bot.store.database import Database, open_database
from bot.store.people import CollectionSettings
from bot.store.problems import CODES
from bot.store.tables import notes
from tests.cli.process import run

NOTE_LIMITED = Path(__file__).parent / "note_limited.py"
NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
PAGE = 4096


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with a collection in it."""
    path = tmp_path_factory.mktemp("begun") / "potside.db"
    database = open_database(path)
    intake = Intake(database, CollectionSettings(zone="Europe/London", latitude=51.5))
    for number, text in enumerate(("moved 12-18 to bench 2", "min 4 max 19", "watered bench 2")):
        intake.receive(Incoming("terminal", "local", "t", str(number), text, NOW), NOW)
        intake.work(NOW)
    database.close()
    return path


def test_a_disk_full_at_each_write_of_a_note_loses_and_doubles_nothing(
    begun: Path, tmp_path: Path, environment: dict[str, str]
) -> None:
    outcomes, held = [], []
    for page in range(0, 44, 2):
        path = Path(shutil.copy(begun, tmp_path / f"{page}.db"))
        command = [sys.executable, str(NOTE_LIMITED), str(path), str(page * PAGE + 100)]
        done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
        assert done.returncode == 0, done.stderr
        outcomes.append(done.stdout.strip())
        database = open_database(path)
        with database.read() as conn:
            assert inbox.counts(conn) == {"open": 0, "done": 4, "poison": 0}
            assert outbox.counts(conn)["waiting"] == 4
            held.append(summary(conn, tables_of(conn)).digests["care_log"])
        database.close()
    assert outcomes == sorted(outcomes)  # full up to some size, written from there on
    assert {"full", "written"} == set(outcomes)
    assert len(set(held)) == 1  # the same log to the row, wherever the disk gave out


@pytest.mark.parametrize("table", ["care_log", "inbox", "standing"])
def test_a_corrupt_page_is_one_line_and_nothing_is_made_worse(begun: Path, tmp_path: Path, table: str) -> None:
    path = Path(shutil.copy(begun, tmp_path / "potside.db"))
    with closing(sqlite3.connect(path)) as connection:
        root = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = ?", [table]).fetchone()[0]
    pages = bytearray(path.read_bytes())
    pages[(root - 1) * PAGE : root * PAGE] = b"\xa5" * PAGE
    path.write_bytes(pages)
    done = run("chat", "--db", str(path), given="watered 12\n")
    assert done.code == CODES["damaged"], done
    assert done.err == f"potside: {path} is damaged or not a database. Nothing was changed; move it aside and restore a backup.\n"
    done = run("backup", "--db", str(path))
    assert done.code == CODES["damaged"], done
    assert list((tmp_path / "backups").iterdir()) == []


def test_a_clock_that_goes_back_a_year_loses_no_note_and_sends_no_flood(database: Database) -> None:
    service = Service(database, CollectionSettings(zone="Europe/London", latitude=51.5))
    intake = Intake(database, CollectionSettings(zone="Europe/London", latitude=51.5))

    def write(key: str, moment: datetime) -> None:
        assert intake.receive(Incoming("terminal", "local", "t", key, f"watered tray {key}", moment), moment) is not None
        assert service.work(moment) == 1

    write("1", NOW)
    service.round(NOW + timedelta(days=1))
    for number, wrong in enumerate((NOW - timedelta(days=365), NOW - timedelta(days=364), NOW + timedelta(days=2)), 2):
        write(str(number), wrong)
        upcoming = service.round(wrong)
        assert upcoming is not None
        assert wrong < upcoming <= wrong + timedelta(days=2)
    with database.read() as conn:
        assert inbox.counts(conn) == {"open": 0, "done": 4, "poison": 0}
        assert [one.sequence for one in carelog.load(conn, 1)] == [1, 2, 3, 4]
        texts = list(conn.scalars(sa.select(notes.c.text).order_by(notes.c.id)))
        assert outbox.counts(conn)["waiting"] <= 4 + 4  # four answers, and at most a morning each
    assert texts == [f"watered tray {number}" for number in range(1, 5)]
