"""The database and the folders that settings name."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot import __version__
from bot.chat.clock import local_zone
from bot.config import Settings, data_directory
from bot.store import instance
from bot.store.archive import PHOTOS
from bot.store.database import Database, file_of, is_file, open_database
from bot.store.people import CollectionSettings

if TYPE_CHECKING:
    from bot.app.upkeep import Keeping


def collection_defaults(settings: Settings) -> CollectionSettings:
    """Return how a new collection is set up."""
    zone = settings.zone or local_zone(None).key
    return CollectionSettings(zone=zone, latitude=settings.latitude, morning_time=settings.morning)


@contextmanager
def opened(place: str, *, create: bool = True, alone: bool = False, settings: Settings | None = None) -> Iterator[Database]:
    """Open the database at a file or address, making the program's own data folder where it is not there yet.

    With `alone` a file is held so that no second program opens it so. Where `settings` are given, a database that must be
    migrated is backed up first.
    """
    make_data_folder(place)

    def before_migration(older: Database, revision: str) -> None:
        from bot.store.backup import back_up_into

        assert settings is not None
        kept = keeping(settings)
        back_up_into(kept.backups, older, datetime.now(UTC), __version__, f"before-{revision}", kept.photos)

    with _held(place) if alone else nullcontext():
        database = open_database(place, create=create, before_migration=before_migration if settings else None)
        try:
            yield database
        finally:
            database.close()


def make_data_folder(place: str) -> None:
    if Path(place).parent == data_directory():
        data_directory().mkdir(parents=True, exist_ok=True)


@contextmanager
def _held(place: str) -> Iterator[None]:
    """Hold a file's lock; a place where there can be no file is left to who opens it to complain about."""
    path = instance.lock_file(file_of(place)) if is_file(place) else None
    if path is None or not os.access(path.parent, os.W_OK) or path.is_dir():
        yield
        return
    with instance.hold(path, place):
        yield


def keeping(settings: Settings) -> Keeping:
    """Return how the database of these settings is looked after."""
    from bot.app.upkeep import Keeping

    folder = file_of(settings.database).absolute().parent if is_file(settings.database) else None
    data = folder or data_directory()
    return Keeping(
        backup_folder(settings),
        settings.backup_at,
        ZoneInfo(collection_defaults(settings).zone),
        __version__,
        data / PHOTOS,
        (folder,) if folder else (),
        settings.keep_raw_days,
        settings.keep_notes_days,
        settings.keep_photos_days,
    )


def backup_folder(settings: Settings) -> Path:
    """Return where backups are put: where the settings say, else beside the database file, else in the data folder."""
    if settings.backups is not None:
        return Path(settings.backups)
    return (file_of(settings.database).absolute().parent if is_file(settings.database) else data_directory()) / "backups"
