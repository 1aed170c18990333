"""`potside backup`, `restore`, `status` and `setup` as a person runs them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from bot.store.problems import CODES
from tests.cli.process import ROOT, environment, run

MORNING = "@ 2026-04-15T10:40\n"  # a clock that stands: between two programs the real one may pass midnight
NOTES = f"{MORNING}watered tray 3\nmites on 12\n"


@pytest.fixture
def db(tmp_path: Path) -> Path:
    """A database with two notes."""
    path = tmp_path / "potside.db"
    assert run("chat", "--db", str(path), "--latitude", "51", given=NOTES).code == 0
    return path


def test_back_up_and_bring_back(db: Path, tmp_path: Path) -> None:
    done = run("backup", "--db", str(db))
    assert done.code == 0, done
    (file,) = (tmp_path / "backups").iterdir()
    assert str(file) in done.out
    assert file.stat().st_mode & 0o077 == 0 or (tmp_path / "backups").stat().st_mode & 0o077 == 0
    dry = run("restore", str(file), "--db", str(db), "--dry-run")
    assert dry.code == 0, dry
    assert "Sound: 2 notes" in dry.out
    refused = run("restore", str(file), "--db", str(db))
    assert refused.code == CODES["occupied"]
    assert refused.err.count("\n") == 1
    back = run("restore", str(file), "--db", str(tmp_path / "back.db"))
    assert back.code == 0, back
    answer = run("chat", "--db", str(tmp_path / "back.db"), given=f"{MORNING}when did i last water tray 3\n")
    assert "today" in answer.out.lower(), answer


def test_a_backup_goes_where_it_is_told(db: Path, tmp_path: Path) -> None:
    assert run("backup", "--db", str(db), "--to", str(tmp_path / "stick")).code == 0
    assert len(list((tmp_path / "stick").iterdir())) == 1
    assert run("backup", "--db", str(db), "--to", str(tmp_path / "mine.zip")).code == 0
    again = run("backup", "--db", str(db), "--to", str(tmp_path / "mine.zip"))
    assert again.code == CODES["occupied"]
    env = environment(POTSIDE_BACKUPS=str(tmp_path / "elsewhere"))
    assert run("backup", "--db", str(db), env=env).code == 0
    assert len(list((tmp_path / "elsewhere").iterdir())) == 1


@pytest.mark.parametrize(
    ("file", "kind"), [("nothing.zip", "missing"), ("potside.db", "damaged"), ("empty.zip", "damaged"), (".", "damaged")]
)
def test_what_is_no_backup_is_one_line(db: Path, tmp_path: Path, file: str, kind: str) -> None:
    (tmp_path / "empty.zip").touch()
    done = run("restore", str(tmp_path / file), "--db", str(tmp_path / "back.db"))
    assert done.code in (CODES[kind], CODES["read_only"]), done
    assert done.err.startswith("potside: ")
    assert done.err.count("\n") == 1
    assert not (tmp_path / "back.db").exists()


def test_status_shows_what_waits_and_what_was_done(db: Path) -> None:
    run("backup", "--db", str(db))
    done = run("status", "--db", str(db), "--json")
    assert done.code == 0, done
    shown = json.loads(done.out)
    assert shown["inbox"] == {"open": 0, "done": 2, "poison": 0}
    assert shown["outbox"]["waiting"] == 0
    assert shown["last_backup"] is not None
    assert shown["next_wake"] > shown["last_update"]
    assert shown["size_bytes"] == db.stat().st_size
    assert shown["running"] is False
    for line in ("2 handled", "last backup: 2", "schema"):
        assert line in run("status", "--db", str(db)).out
    assert run("status", "--db", str(db), "--check").code == 1  # the bot does not run


def test_the_second_program_on_one_file_says_so_and_stops(db: Path) -> None:
    first = subprocess.Popen(
        [sys.executable, "-m", "bot", "chat", "--db", str(db), "--json"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=ROOT,
        env=environment(),
    )
    assert first.stdin
    assert first.stdout
    first.stdin.write(b"watered tray 4\n")
    first.stdin.flush()
    assert b"tray 4" in first.stdout.readline()
    second = run("chat", "--db", str(db), given="watered tray 5\n")
    assert second.code == CODES["in_use"], second
    assert (
        second.err
        == f"potside: Another Potside is using {db}. Stop that one first; two on one file would get in each other's way.\n"
    )
    assert json.loads(run("status", "--db", str(db), "--json").out)["running"] is True
    assert run("backup", "--db", str(db)).code == 0  # looking and backing up do no harm
    first.kill()
    first.communicate()
    after = run("chat", "--db", str(db), given="whats due\n")  # a kill leaves no lock behind
    assert after.code == 0, after
    assert "tray 5" not in after.out


def test_locale_c_changes_nothing(db: Path) -> None:
    env = environment(LC_ALL="C", LANG="C", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0")
    done = run("chat", "--db", str(db), given="watered Möwe 3 🌵\nwhats due\n".encode(), env=env)
    assert done.code == 0, done
    assert "\ufffd" not in done.out
    for command in (["status"], ["backup"], ["inbox"]):
        assert run(*command, "--db", str(db), env=env).code == 0
    folder = db.parent / "backups"
    assert run("restore", str(next(folder.iterdir())), "--db", str(db.with_name("Möwe.db")), env=env).code == 0


def test_without_time_zone_data_of_the_system(db: Path, tmp_path: Path) -> None:
    empty = tmp_path / "no-zones"
    empty.mkdir()
    env = environment(PYTHONTZPATH=str(empty), POTSIDE_ZONE="Europe/Prague")
    done = run("chat", "--db", str(tmp_path / "new.db"), given="watered tray 3\n", env=env)
    assert done.code == 0, done
    assert "tray 3" in done.out


def test_without_any_time_zone_data(tmp_path: Path) -> None:
    # neither the system's nor the package's: a line that says so, no traceback
    (tmp_path / "hide").mkdir()
    (tmp_path / "hide" / "tzdata.py").write_text("", encoding="utf-8")  # a module of that name with no data in it
    env = environment(PYTHONTZPATH=str(tmp_path), POTSIDE_ZONE="Europe/Prague", PYTHONPATH=f"{tmp_path / 'hide'}:{ROOT}")
    done = run("chat", "--db", str(tmp_path / "new.db"), given="watered tray 3\n", env=env)
    assert done.code == 2, done
    assert "POTSIDE_ZONE" in done.err
    assert "Traceback" not in done.err


def test_setup_without_a_token_writes_nothing(tmp_path: Path) -> None:
    for given, told in (("\n", "There is no bot without a token"), ("abc\n", "does not look like a bot token")):
        done = run("setup", "--file", str(tmp_path / "potside.env"), given=given)
        assert done.code == 2, done
        assert told in done.err
        assert not (tmp_path / "potside.env").exists()
