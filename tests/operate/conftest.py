"""Running for years is tried over the same databases as the store."""

from __future__ import annotations

from tests.store.conftest import (  # noqa: F401
    address,
    administrator,
    database,
    empty_server_address,
    environment,
    file_database,
    file_template,
    migrated_server_address,
    server,
    server_template,
)
