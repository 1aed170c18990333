"""A backup holds every row as it was, is whole or not there, and comes back into an empty place alone."""

from __future__ import annotations

import json
import random
import resource
import shutil
import signal
import subprocess
import sys
import threading
import zipfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from bot.care.events import CareEvent, Ref
from bot.messages import Incoming, Outgoing
from bot.store import archive, carelog, inbox, outbox
from bot.store.backup import back_up, back_up_into, latest, restore
from bot.store.database import Database, DatabaseProblem, open_database
from bot.store.notes import keep_note
from bot.store.people import Chat, CollectionSettings, chat_of
from bot.store.tables import metadata

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
CHILD = Path(__file__).parent / "children" / "back_up_often.py"
AWKWARD = [
    "watered tray 3",
    "naïve ± 5 °C 🌵",
    "nul \0 and \\u0000",
    "lone \ud800 half",
    "'; DROP TABLE care_log; --",
    "line\r\nline",
]


def fill(database: Database, chat: Chat, notes: int = 12) -> None:
    """Write notes with events, answers and every kind of text."""
    for number in range(notes):
        text = AWKWARD[number % len(AWKWARD)]
        with database.write() as conn:
            key = str(number)
            inbox_id = inbox.take(
                conn, Incoming("terminal", "local", "test", key, text, NOW + timedelta(microseconds=number)), NOW
            )
            assert inbox_id is not None
            note = keep_note(conn, inbox_id, chat.collection_id, chat.person_id, chat.id, text, NOW, {"n": [1.5, None]}, "log")
            event = CareEvent(
                f"e{key}", note, date(2026, 4, 15), NOW, "event", "watered", (Ref("plant", text), Ref("tray", "3", 4))
            )
            carelog.append(conn, chat.collection_id, [event])
            outbox.put(conn, f"reply:{key}", chat.id, Outgoing(text), "reply", NOW, note_id=note)
            inbox.mark_done(conn, inbox_id, NOW)


def everything(database: Database) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    with database.read() as conn:
        return {
            name: sorted((tuple(row) for row in conn.execute(sa.select(table))), key=repr)
            for name, table in metadata.tables.items()
        }


@pytest.fixture
def filled(database: Database, chat: Chat) -> Database:
    fill(database, chat)
    return database


@pytest.fixture(params=["sqlite", "postgresql"])
def other_place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty place to restore into, of either kind."""
    if request.param == "sqlite":
        return str(tmp_path / "restored.db")
    given: str = request.getfixturevalue("empty_server_address")
    return given


def test_every_row_comes_back_on_either_kind_of_database(filled: Database, other_place: str, tmp_path: Path) -> None:
    before = everything(filled)
    made = back_up(filled, tmp_path / "one.zip", NOW, "0.1")
    assert made.summary.rows["care_log"] == 12
    assert made.summary.rows["care_log_refs"] == 24
    restore(tmp_path / "one.zip", other_place)
    restored = open_database(other_place, create=False)
    assert everything(restored) == before
    with restored.write() as conn:  # numbers go on where they stopped, and the log is as closed as it was
        chat = chat_of(conn, "terminal", "local", "", CollectionSettings())
        assert inbox.take(conn, Incoming("terminal", "local", "test", "next", "next", NOW), NOW) == 13
        assert chat.id == 1
    with pytest.raises(sa.exc.IntegrityError, match="append-only"), restored.write() as conn:
        conn.execute(sa.text("DELETE FROM care_log"))
    restored.close()


def test_photos_come_along(filled: Database, tmp_path: Path) -> None:
    photos = tmp_path / "photos"
    (photos / "2026").mkdir(parents=True)
    (photos / "2026" / "one.jpg").write_bytes(bytes(range(256)) * 100)
    back_up(filled, tmp_path / "one.zip", NOW, "0.1", photos)
    target = tmp_path / "elsewhere"
    target.mkdir()
    restore(tmp_path / "one.zip", target / "potside.db", target / "photos")
    assert (target / "photos" / "2026" / "one.jpg").read_bytes() == bytes(range(256)) * 100
    assert sorted(one.name for one in target.iterdir()) == ["photos", "potside.db"]
    assert (target / "potside.db").stat().st_mode & 0o077 == 0


def test_a_dry_run_keeps_nothing(filled: Database, other_place: str, tmp_path: Path) -> None:
    back_up(filled, tmp_path / "one.zip", NOW, "0.1")
    before = sorted(tmp_path.iterdir())
    assert restore(tmp_path / "one.zip", other_place, dry_run=True).summary.rows["notes"] == 12
    assert sorted(tmp_path.iterdir()) == before
    with pytest.raises(DatabaseProblem, match="There is no database"):
        open_database(other_place, create=False)


def test_nothing_is_overwritten(filled: Database, address: str, tmp_path: Path) -> None:
    back_up(filled, tmp_path / "one.zip", NOW, "0.1")
    whole = (tmp_path / "one.zip").read_bytes()
    before = everything(filled)
    with pytest.raises(DatabaseProblem, match="holds something already") as raised:
        restore(tmp_path / "one.zip", address)
    assert raised.value.kind == "occupied"
    with pytest.raises(DatabaseProblem, match="holds something already"):
        back_up(filled, tmp_path / "one.zip", NOW, "0.1")
    restore(tmp_path / "one.zip", address, dry_run=True)
    assert (tmp_path / "one.zip").read_bytes() == whole
    assert everything(filled) == before


def test_photos_are_not_overwritten(filled: Database, tmp_path: Path) -> None:
    back_up(filled, tmp_path / "one.zip", NOW, "0.1")
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "mine.jpg").touch()
    with pytest.raises(DatabaseProblem, match="photos holds something already"):
        restore(tmp_path / "one.zip", tmp_path / "restored.db", tmp_path / "photos")
    assert not (tmp_path / "restored.db").exists()


def test_a_part_of_a_backup_is_no_backup(file_database: Database, tmp_path: Path) -> None:
    back_up(file_database, tmp_path / "one.zip", NOW, "0.1")
    whole = (tmp_path / "one.zip").read_bytes()
    generator = random.Random(8)
    lengths = {0, 1, len(whole) - 1, *(generator.randrange(len(whole)) for _ in range(40))}
    for length in lengths:
        (tmp_path / "part.zip").write_bytes(whole[:length])
        refused(tmp_path / "part.zip", tmp_path / "restored.db")


def test_a_changed_byte_is_found(file_database: Database, tmp_path: Path) -> None:
    with file_database.write() as conn:
        chat = chat_of(conn, "terminal", "local", "", CollectionSettings())
    fill(file_database, chat)
    back_up(file_database, tmp_path / "one.zip", NOW, "0.1")
    whole = bytearray((tmp_path / "one.zip").read_bytes())
    end_of_database = zipfile.ZipFile(tmp_path / "one.zip").getinfo(archive.DATABASE).compress_size
    generator = random.Random(9)
    for position in [generator.randrange(60, end_of_database) for _ in range(40)]:
        changed = whole.copy()
        changed[position] ^= 0xFF
        (tmp_path / "changed.zip").write_bytes(changed)
        refused(tmp_path / "changed.zip", tmp_path / "restored.db")


def refused(file: Path, target: Path) -> None:
    with pytest.raises(DatabaseProblem, match=r"damaged or not a backup|does not hold what was backed up") as raised:
        restore(file, target)
    assert raised.value.kind == "damaged"
    assert not target.exists()


def test_a_row_that_is_not_what_was_backed_up_is_found(filled: Database, tmp_path: Path) -> None:
    # a whole zip whose database differs by one word in one note
    back_up(filled, tmp_path / "one.zip", NOW, "0.1")
    folder = tmp_path / "unpacked"
    folder.mkdir()
    manifest = archive.unpack(tmp_path / "one.zip", folder)
    changed = open_database(folder / archive.DATABASE)
    with changed.write() as conn:
        conn.execute(sa.text("UPDATE notes SET text = 'watered tray 4' WHERE id = 1"))
    changed.close()
    archive.pack(tmp_path / "changed.zip", folder / archive.DATABASE, manifest, None)
    refused(tmp_path / "changed.zip", tmp_path / "restored.db")


@pytest.mark.parametrize("name", ["../outside", "/outside", "a/../../outside", "a\\..\\outside", ""])
def test_a_photo_stays_within_its_folder(file_database: Database, tmp_path: Path, name: str) -> None:
    back_up(file_database, tmp_path / "one.zip", NOW, "0.1")
    with zipfile.ZipFile(tmp_path / "one.zip") as file:
        manifest, database = json.loads(file.read(archive.MANIFEST)), file.read(archive.DATABASE)
    manifest["photos"] = {name: "0" * 64}
    with zipfile.ZipFile(tmp_path / "evil.zip", "w") as file:
        file.writestr(archive.DATABASE, database)
        file.writestr(f"photos/{name}", b"evil")
        file.writestr(archive.MANIFEST, json.dumps(manifest))
    (tmp_path / "deep" / "deeper").mkdir(parents=True)
    target = tmp_path / "deep" / "deeper" / "restored.db"
    with pytest.raises(DatabaseProblem, match="damaged or not a backup"):
        restore(tmp_path / "evil.zip", target, target.with_name("photos"))
    assert list(tmp_path.rglob("*outside*")) == []


@pytest.mark.parametrize(("key", "value"), [("format", 2), ("revision", "9999")])
def test_a_newer_backup_says_so(file_database: Database, tmp_path: Path, key: str, value: object) -> None:
    back_up(file_database, tmp_path / "one.zip", NOW, "0.1")
    with zipfile.ZipFile(tmp_path / "one.zip") as file:
        manifest, database = json.loads(file.read(archive.MANIFEST)), file.read(archive.DATABASE)
    with zipfile.ZipFile(tmp_path / "newer.zip", "w") as file:
        file.writestr(archive.DATABASE, database)
        file.writestr(archive.MANIFEST, json.dumps(manifest | {key: value}))
    with pytest.raises(DatabaseProblem, match="made by a newer version") as raised:
        restore(tmp_path / "newer.zip", tmp_path / "restored.db")
    assert raised.value.kind == "newer"


@pytest.mark.parametrize("name", ["potside.db", "nothing.zip"])
def test_what_is_no_backup_is_refused(file_database: Database, tmp_path: Path, name: str) -> None:
    with pytest.raises(DatabaseProblem, match=r"no backup at|damaged or not a backup"):
        restore(tmp_path / name, tmp_path / "restored.db")


def test_a_backup_holds_one_moment_while_others_write(database: Database, chat: Chat, address: str, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        writer, number = open_database(address), 0
        while not stop.is_set():
            number += 1
            with writer.write() as conn:  # in one transaction: never the one without the other
                taken = inbox.take(conn, Incoming("terminal", "local", "busy", str(number), "watered", NOW), NOW)
                outbox.put(conn, f"busy:{taken}", chat.id, Outgoing("ok"), "reply", NOW)
        writer.close()

    thread = threading.Thread(target=write)
    thread.start()
    try:
        counts = []
        for number in range(8):
            rows = back_up(database, tmp_path / f"{number}.zip", NOW, "0.1").summary.rows
            assert rows["inbox"] == rows["outbox"]
            counts.append(rows["inbox"])
    finally:
        stop.set()
        thread.join()
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]


@pytest.fixture
def filled_file(tmp_path: Path, file_template: Path) -> Path:
    path = Path(shutil.copy(file_template, tmp_path / "full.db"))
    opened = open_database(path)
    with opened.write() as conn:
        chat = chat_of(conn, "terminal", "local", "", CollectionSettings())
    fill(opened, chat, 60)
    opened.close()
    return path


def test_a_backup_that_is_killed_leaves_nothing_that_looks_whole(
    filled_file: Path, tmp_path: Path, environment: dict[str, str]
) -> None:
    folder, generator, unfinished = tmp_path / "backups", random.Random(17), 0
    folder.mkdir()
    for number in range(12):
        child = subprocess.Popen([sys.executable, CHILD, filled_file, folder], stdout=subprocess.PIPE, env=environment)
        assert child.stdout
        child.stdout.readline()  # the first one has begun
        try:
            child.wait(generator.uniform(0.0, 0.12))
        except subprocess.TimeoutExpired:
            child.send_signal(signal.SIGKILL)
        child.wait()
        child.stdout.close()
        unfinished += len(list(folder.glob(".potside-unfinished-*")))
        for file in folder.glob("*.zip"):
            restore(file, tmp_path / f"restored{number}-{file.stem}.db", dry_run=True)
            file.unlink()
    assert unfinished >= 6  # the kills did hit
    database = open_database(filled_file)
    made = back_up_into(folder, database, NOW, "0.1", "daily")
    database.close()
    assert [one.name for one in folder.iterdir()] == [made.name]  # what they left is cleared away


def limited(filled_file: Path, folder: Path, most_bytes: int, environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    program = (
        "import sys; from datetime import UTC, datetime; from pathlib import Path\n"
        "from bot.store.backup import back_up_into; from bot.store.database import DatabaseProblem, open_database\n"
        "try: back_up_into(Path(sys.argv[2]), open_database(sys.argv[1]), datetime(2026, 4, 15, tzinfo=UTC), '0.1', 'daily')\n"
        "except DatabaseProblem as problem: print(problem.kind)\n"
        "else: print('made')"
    )
    return subprocess.run(
        [sys.executable, "-c", program, filled_file, folder],
        capture_output=True,
        text=True,
        env=environment,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes)),
        check=True,
    )


@pytest.mark.parametrize("most_bytes", [0, 100, 4_096, 20_000, 60_000, 120_000])
def test_a_disk_that_is_full_leaves_no_backup(
    filled_file: Path, tmp_path: Path, environment: dict[str, str], most_bytes: int
) -> None:
    folder = tmp_path / "backups"
    assert filled_file.stat().st_size > most_bytes
    assert limited(filled_file, folder, most_bytes, environment).stdout.split() == ["full"]
    assert list(folder.iterdir()) == []
    assert limited(filled_file, folder, 10_000_000, environment).stdout.split() == ["made"]


def test_a_folder_that_cannot_be_written_says_so(file_database: Database, tmp_path: Path) -> None:
    (tmp_path / "a file").touch()
    with pytest.raises(DatabaseProblem) as raised:
        back_up_into(tmp_path / "a file" / "backups", file_database, NOW, "0.1", "daily")
    assert raised.value.kind in ("read_only", "no_folder")


def test_a_damaged_database_is_not_backed_up_over_good_ones(filled_file: Path, tmp_path: Path) -> None:
    database = open_database(filled_file)
    good = back_up_into(tmp_path / "backups", database, NOW, "0.1", "daily")
    database.close()
    pages = bytearray(filled_file.read_bytes())
    for start in range(4096, len(pages), 4096):
        if b"DROP TABLE care_log" in pages[start : start + 4096]:
            pages[start : start + 200] = b"\xff" * 200
    filled_file.write_bytes(pages)
    database = open_database(filled_file)
    with pytest.raises(DatabaseProblem) as raised:
        back_up_into(tmp_path / "backups", database, NOW + timedelta(days=1), "0.1", "daily")
    database.close()
    assert raised.value.kind == "damaged"
    assert list((tmp_path / "backups").iterdir()) == [good]


def test_the_newest_is_found_by_its_name(file_database: Database, tmp_path: Path) -> None:
    assert latest(tmp_path) is None
    back_up_into(tmp_path, file_database, NOW + timedelta(days=1), "0.1", "daily")
    back_up_into(tmp_path, file_database, NOW, "0.1", "")
    found = latest(tmp_path)
    assert found is not None
    assert found.name == "potside-20260416T094000Z-daily.zip"
