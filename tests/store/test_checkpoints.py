"""A checkpoint comes back as it was kept, row by row, and so does one whose rows were written as one piece."""

from __future__ import annotations

from datetime import date
from typing import Any

import sqlalchemy as sa

from bot.store import checkpoints
from bot.store.checkpoints import Checkpoint
from bot.store.database import Database
from bot.store.people import Chat
from bot.store.tables import checkpoint

ROWS: dict[tuple[str, str], dict[str, Any]] = {
    ("plant", "it's"): {"names": [{"name": 'the "big" one', "by": "O'Hara"}], "count": 1},
    ("place", "bench\\2 \u00fc"): {"last": {"watered": "2026-04-01"}, "place": "\x00\n"},
}
KEPT = Checkpoint(date(2026, 3, 1), 40, 8, ("a", "b"), ROWS)


def test_it_comes_back_as_it_was_kept(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        checkpoints.save(conn, chat.collection_id, "weeks", KEPT)
        found = checkpoints.load(conn, chat.collection_id, "weeks", 8)
        assert found is not None
        assert dict(found.rows) == ROWS
        assert (found.day, found.sequence, found.version, found.extras) == (KEPT.day, 40, 8, ("a", "b"))
        assert ("plant", "it's") in found.rows
        assert ("plant", "other") not in found.rows
        assert checkpoints.day_of(conn, chat.collection_id, "weeks", 8) == KEPT.day


def test_one_of_another_version_is_none(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        checkpoints.save(conn, chat.collection_id, "weeks", KEPT)
        assert checkpoints.load(conn, chat.collection_id, "weeks", 9) is None
        assert checkpoints.day_of(conn, chat.collection_id, "weeks", 9) is None
        assert checkpoints.day_of(conn, chat.collection_id, "year", 8) is None


def test_rows_that_were_kept_as_values_are_read_too(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        checkpoints.save(conn, chat.collection_id, "weeks", KEPT)
        values = [[kind, key, body] for (kind, key), body in ROWS.items()]
        conn.execute(sa.update(checkpoint).values(rows=values))
        found = checkpoints.load(conn, chat.collection_id, "weeks", 8)
        assert found is not None
        assert dict(found.rows) == ROWS


def test_a_kept_row_is_read_alone(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        checkpoints.save(conn, chat.collection_id, "weeks", KEPT)
        [[*_, first], _] = conn.execute(sa.select(checkpoint.c.rows)).scalar_one()
        assert isinstance(first, str), "a row is text of its own"
        assert '\\"' not in first


def test_rows_that_stand_otherwise_are_kept_beside_it(database: Database, chat: Chat) -> None:
    mine = chat.collection_id
    with database.write() as conn:
        checkpoints.save(conn, mine, "weeks", KEPT)
        checkpoints.save(conn, mine, "year", KEPT)
        checkpoints.bring_up(conn, mine, "weeks", KEPT, {("plant", "it's"): {"count": 2}}, 44)
        checkpoints.bring_up(conn, mine, "weeks", KEPT, {("plant", "9"): {"count": 1}}, 45)
        found, other = (checkpoints.load(conn, mine, reach, 8) for reach in ("weeks", "year"))
        assert found is not None
        assert other is not None
        assert dict(found.rows) == {**ROWS, ("plant", "it's"): {"count": 2}, ("plant", "9"): {"count": 1}}
        assert (found.sequence, found.day, found.extras) == (45, KEPT.day, ("a", "b"))
        assert (dict(other.rows), other.sequence) == (ROWS, 40)


def test_a_new_checkpoint_comes_without_what_stood_beside_the_last(database: Database, chat: Chat) -> None:
    mine = chat.collection_id
    with database.write() as conn:
        checkpoints.save(conn, mine, "weeks", KEPT)
        checkpoints.bring_up(conn, mine, "weeks", KEPT, {("plant", "9"): {"count": 1}}, 45)
        checkpoints.save(conn, mine, "weeks", KEPT)
        found = checkpoints.load(conn, mine, "weeks", 8)
        assert found is not None
        assert (dict(found.rows), found.sequence) == (ROWS, 40)
        checkpoints.bring_up(conn, mine, "weeks", KEPT, {("plant", "9"): {"count": 1}}, 45)
        checkpoints.forget(conn, mine)
        assert checkpoints.load(conn, mine, "weeks", 8) is None
