"""Attacks are tried over the same databases as the store."""

from __future__ import annotations

from tests.store.conftest import (  # noqa: F401
    address,
    administrator,
    database,
    file_template,
    migrated_server_address,
    server,
    server_template,
)
