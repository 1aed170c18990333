"""The use cases run over a real database: a SQLite file, and where it is asked for PostgreSQL as well."""

from __future__ import annotations

import pytest

from bot.app import intake
from bot.store.database import Database
from bot.store.people import CollectionSettings
from tests.app.bench import COOL, WARM, Bench, planted_reader
from tests.store.conftest import (  # noqa: F401
    address,
    administrator,
    database,
    file_database,
    file_template,
    migrated_server_address,
    server,
    server_template,
)


def _bench(opened: Database, settings: CollectionSettings, monkeypatch: pytest.MonkeyPatch) -> Bench:
    made = Bench(opened, settings)
    monkeypatch.setattr(intake, "read_for", planted_reader(made))
    return made


@pytest.fixture
def bench(file_database: Database, monkeypatch: pytest.MonkeyPatch) -> Bench:  # noqa: F811
    """A collection in London in which nothing was said yet, on a SQLite file."""
    return _bench(file_database, CollectionSettings(zone="Europe/London", latitude=51.5), monkeypatch)


@pytest.fixture
def warm_bench(file_database: Database, monkeypatch: pytest.MonkeyPatch) -> Bench:  # noqa: F811
    """The same, at 20 °C all year by its monthly normals."""
    return _bench(file_database, CollectionSettings(zone="Europe/London", latitude=51.5, normals=WARM), monkeypatch)


@pytest.fixture
def cool_bench(file_database: Database, monkeypatch: pytest.MonkeyPatch) -> Bench:  # noqa: F811
    """The same, at 8 °C all year."""
    return _bench(file_database, CollectionSettings(zone="Europe/London", latitude=51.5, normals=COOL), monkeypatch)


@pytest.fixture
def any_bench(database: Database, monkeypatch: pytest.MonkeyPatch) -> Bench:  # noqa: F811
    """A collection in London, on a SQLite file and on PostgreSQL."""
    return _bench(database, CollectionSettings(zone="Europe/London", latitude=51.5), monkeypatch)
