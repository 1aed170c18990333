"""Brings a database to the newest schema.

`REVISIONS` repeats, oldest first, what stands in `versions/`: comparing with it is free, while asking alembic costs its import.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from sqlalchemy import Connection, inspect, text

from bot.store.locks import MIGRATION, wait_for
from bot.store.problems import problem

REVISIONS = ("0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008")
HEAD = REVISIONS[-1]
VERSION_TABLE = "alembic_version"
STORED_REVISION = "SELECT version_num FROM alembic_version"


def refusal(tables: Collection[str], revisions: Sequence[str]) -> str | None:
    """Return why a database with these tables and these stored revisions is not ours to migrate, or None where it is.

    The reason is a kind of DatabaseProblem: `newer` or `foreign`.
    """
    if revisions:
        return None if len(revisions) == 1 and revisions[0] in REVISIONS else "newer"
    return "foreign" if set(tables) - {VERSION_TABLE, "sqlite_sequence", "sqlite_stat1", "sqlite_stat4"} else None


def bring_to_head(connection: Connection, name: str, *, create: bool) -> None:
    """Create or migrate the schema in the transaction of `connection`: wholly, or not at all.

    Raises DatabaseProblem where the database is newer, belongs to another program, or is empty and `create` is false.
    """
    wait_for(connection, MIGRATION)
    tables = inspect(connection).get_table_names()
    revisions = list(connection.scalars(text(STORED_REVISION))) if VERSION_TABLE in tables else []
    refused = refusal(tables, revisions)
    if refused is not None:
        raise problem(refused, name)
    if not revisions and not create:
        raise problem("missing", name)
    if not revisions or revisions[0] != HEAD:
        _upgrade(connection)


def stored_revision(connection: Connection) -> str | None:
    """Return the revision of the schema that the database is at, or None where it holds none of ours."""
    if VERSION_TABLE not in inspect(connection).get_table_names():
        return None
    return connection.scalars(text(STORED_REVISION)).first()


def bring_to(connection: Connection, revision: str) -> None:
    """Create the schema as it was at a revision, in an empty database and the transaction of `connection`."""
    _upgrade(connection, revision)


def _upgrade(connection: Connection, revision: str = HEAD) -> None:
    from alembic import command  # noqa: PLC0415  takes 0.3 s to import, and most starts have nothing to migrate
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent))
    config.attributes["connection"] = connection
    command.upgrade(config, revision)
