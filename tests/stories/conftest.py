"""The stories are played over a SQLite file and over a real PostgreSQL server."""

from __future__ import annotations

from tests.store.conftest import administrator, migrated_server_address, server, server_template  # noqa: F401
