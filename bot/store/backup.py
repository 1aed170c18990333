"""Backups: made while the program runs, checked by restoring them into a temporary place, never half there."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store import archive, rotation
from bot.store.archive import Manifest
from bot.store.copying import Summary, copy_rows, is_empty, summary, tables_of
from bot.store.database import Database, file_at, file_of, is_file, open_database
from bot.store.migrations import HEAD, REVISIONS, stored_revision
from bot.store.problems import DatabaseProblem, problem, problem_of
from bot.store.scratch import place, scratch_folder, sync

_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EFBIG)


def back_up(database: Database, file: Path, now: datetime, program: str, photos: Path | None = None) -> Manifest:
    """Write a backup of the database, and of the photos below a folder, to a new file; return what it says of itself.

    The state of one moment is kept while others go on writing. Before the file gets its name it is on the disk and has been
    restored into a temporary place and found to hold the same rows. Raises DatabaseProblem; then there is no file.
    """
    if file.exists():
        raise problem("occupied", str(file))
    with _problems(file.parent), scratch_folder(file.parent) as folder:
        revision, held = _copied(database, folder / archive.DATABASE)
        manifest = Manifest(now, program, revision, held, archive.photos_in(photos))
        packed = folder / "backup.zip"
        archive.pack(packed, folder / archive.DATABASE, manifest, photos)
        (folder / "check").mkdir()
        _unpacked(packed, folder / "check")
        place(packed, file)
    return manifest


def back_up_into(folder: Path, database: Database, now: datetime, program: str, reason: str, photos: Path | None = None) -> Path:
    """Write a backup into a folder, made where it is not there, under a name from the moment and the reason; return the file.

    Those that it supersedes are removed. Raises DatabaseProblem.
    """
    with _problems(folder):
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    file = folder / rotation.name_of(now, reason)
    back_up(database, file, now, program, photos)
    with _problems(folder):
        for name in rotation.superseded([one.name for one in folder.iterdir()], just_made=file.name):
            (folder / name).unlink(missing_ok=True)
    return file


def latest(folder: Path) -> Path | None:
    """Return the newest backup in a folder by its name, or None."""
    names = [one for one in map(rotation.named, (file.name for file in folder.glob("potside-*.zip"))) if one]
    return folder / max(names, key=lambda one: one.moment).name if names else None


def restore(file: Path, place_of_database: str | Path, photos: Path | None = None, *, dry_run: bool = False) -> Manifest:
    """Make a database, and the folder of photos, anew from a backup and bring it to the newest schema.

    The place must be empty: a path where there is no file, or a PostgreSQL database without rows. With `dry_run` everything
    is tried in a temporary place, whatever the place holds, and nothing is kept. Raises DatabaseProblem; then nothing is changed.
    """
    on_file = is_file(place_of_database)
    path = file_of(place_of_database) if on_file else Path()
    if on_file and not dry_run:
        _check_free(path)
    if not dry_run:
        _check_photos_free(photos)
    beside = path.parent if on_file else file.parent
    with _problems(beside), scratch_folder(_temporary() if dry_run else beside) as folder:
        manifest = _unpacked(file, folder)
        if not on_file and not dry_run:
            _into_server(folder / archive.DATABASE, str(place_of_database))
        else:
            open_database(folder / archive.DATABASE).close()
        if dry_run:
            return manifest
        if manifest.photos:
            _place_photos(folder / archive.PHOTOS, photos)
        if on_file:
            _placed(folder / archive.DATABASE, path)
    return manifest


def _temporary() -> Path:
    import tempfile  # noqa: PLC0415  only for a dry run

    return Path(tempfile.gettempdir())


def _copied(database: Database, copy: Path) -> tuple[str, Summary]:
    """Write one state of the database into a SQLite file; return its revision and what it holds."""
    with database.read() as conn:
        revision = stored_revision(conn)
        if revision not in REVISIONS:
            raise problem("newer" if revision else "missing", database.name)
        if conn.dialect.name == "sqlite":
            held = summary(conn, tables_of(conn))
            _copy_pages(conn, copy)
        else:
            held = _copy_logically(conn, copy, revision)
    return revision, held


def _copy_pages(conn: Connection, copy: Path) -> None:
    source: Any = conn.connection.driver_connection
    with closing(sqlite3.connect(copy)) as target:
        source.backup(target)  # all pages in one step, from the state that this reading transaction sees
        target.execute("PRAGMA journal_mode = DELETE")  # so that the copy is one file


def _copy_logically(conn: Connection, copy: Path, revision: str) -> Summary:
    target = file_at(copy, revision)
    try:
        with target.write() as into:
            tables = tables_of(into)
            copy_rows(conn, into, tables)
        held = summary(conn, tables)
    finally:
        target.close()
    with closing(sqlite3.connect(copy)) as one_file:
        one_file.execute("PRAGMA journal_mode = DELETE")
    return held


def _unpacked(file: Path, folder: Path) -> Manifest:
    """Unpack a backup into a folder and compare what is there with what was there when it was made."""
    manifest = archive.unpack(file, folder)
    if manifest.revision not in REVISIONS:
        raise DatabaseProblem("newer", f"{file} was made by a newer version of this program. Install that one first.")
    with closing(sqlite3.connect(folder / archive.DATABASE)) as copy:
        sound = [row[0] for row in copy.execute("PRAGMA integrity_check")] == ["ok"]
    if not sound or summary_of_file(folder / archive.DATABASE) != manifest.summary:
        raise DatabaseProblem("damaged", f"{file} does not hold what was backed up. Nothing was changed; try another.")
    return manifest


def summary_of_file(path: Path) -> Summary:
    """Return what a SQLite file holds, at whatever revision it is."""
    engine = sa.create_engine(sa.URL.create("sqlite", database=str(path)))
    try:
        with engine.connect() as conn:
            return summary(conn, tables_of(conn))
    finally:
        engine.dispose()


def _into_server(copy: Path, address: str) -> None:
    """Bring a copy to the newest schema and copy its rows into an empty database on a server, all or none."""
    newest = open_database(copy)
    target = open_database(address)
    try:
        with newest.read() as source:
            tables = tables_of(source)
            with target.write() as into:
                if stored_revision(into) != HEAD or not is_empty(into, tables):
                    raise problem("occupied", target.name)
                copy_rows(source, into, tables)
                if summary(into, tables) != summary(source, tables):
                    raise DatabaseProblem("damaged", f"{target.name} did not take every row as it was. Nothing was kept.")
    finally:
        newest.close()
        target.close()


def _check_free(path: Path) -> None:
    if not path.parent.is_dir():
        raise problem("no_folder", str(path))
    if any(path.with_name(path.name + ending).exists() for ending in ("", "-wal", "-journal")):
        raise problem("occupied", str(path))


def _check_photos_free(photos: Path | None) -> None:
    if photos is not None and photos.is_dir() and any(photos.iterdir()):
        raise problem("occupied", str(photos))


def _placed(copy: Path, path: Path) -> None:
    copy.chmod(0o600)
    try:
        place(copy, path)
    except FileExistsError:
        raise problem("occupied", str(path)) from None


def _place_photos(unpacked: Path, photos: Path | None) -> None:
    if photos is None:
        raise DatabaseProblem("no_folder", "This backup holds photos, and there is no folder for them.")
    if photos.is_dir():
        photos.rmdir()  # empty, as was checked; a folder that filled up in the meantime is an OSError
    unpacked.rename(photos)
    sync(photos.parent)


@contextmanager
def _problems(folder: Path) -> Iterator[None]:
    """Turn what the disk of a folder refuses into a sentence for a person."""
    try:
        yield
    except FileExistsError as error:
        raise problem("occupied", str(error.filename or folder)) from error
    except OSError as error:
        kind = "full" if error.errno in _NO_ROOM else "no_folder" if error.errno == errno.ENOENT else "read_only"
        raise problem(kind, str(folder)) from error
    except sqlite3.Error as error:
        raise problem_of(error, str(folder)) or error from error
