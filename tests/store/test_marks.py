"""Moments remembered by name."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from bot.store import marks
from bot.store.database import Database

NOON = datetime(2026, 5, 12, 12, tzinfo=UTC)


def test_a_mark_is_kept_replaced_and_forgotten(database: Database) -> None:
    with database.write() as conn:
        assert marks.marked(conn, "reached:telegram") is None
        marks.mark(conn, "reached:telegram", NOON)
        marks.mark(conn, "reached:telegram", NOON + timedelta(hours=1))
    with database.write() as conn:
        assert marks.marked(conn, "reached:telegram") == NOON + timedelta(hours=1)
        marks.unmark(conn, "reached:telegram")
        assert marks.marked(conn, "reached:telegram") is None


def test_names_are_found_by_their_beginning_as_it_stands(database: Database) -> None:
    with database.write() as conn:
        for name in ("quiet:a:7", "quiet:a:-8", "quiet:b:7", "quiet%"):
            marks.mark(conn, name, NOON)
        assert marks.names_marked(conn, "quiet:a:") == ["quiet:a:-8", "quiet:a:7"]
        assert marks.names_marked(conn, "quiet%") == ["quiet%"]
