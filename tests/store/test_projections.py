"""Projections: written row by row, read in order, wiped without touching the log."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from bot.care.events import CareEvent, Ref
from bot.store import carelog
from bot.store.database import Database
from bot.store.people import Chat, CollectionSettings, chat_of
from bot.store.projections import (
    DueRecord,
    ProjectionState,
    load_due,
    load_kind,
    load_standing,
    load_state,
    redate_due,
    save_due,
    save_standing,
    save_state,
    wipe_projections,
)

DAY = date(2026, 4, 15)
LOOK = DueRecord(
    "look|bench 2", "look", DAY, date(2026, 4, 18), "bench 2", {"why": "82 of 130 degree-days", "refs": [["plant", "3"]]}, 1, DAY
)


def test_standing_is_replaced_thing_by_thing(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        save_standing(conn, chat.collection_id, {("plant", "1"): {"count": 1}, ("plant", "2"): {"x": None}, ("lot", "é"): {}})
        save_standing(
            conn, chat.collection_id, {("plant", "2"): {"rest": [1.5]}, ("place", "1"): {"y": "ß"}}, [("lot", "é"), ("lot", "?")]
        )
        save_standing(conn, chat.collection_id, {}, [])
    with database.read() as conn:
        found = load_standing(conn, chat.collection_id)
    assert found == {("place", "1"): {"y": "ß"}, ("plant", "1"): {"count": 1}, ("plant", "2"): {"rest": [1.5]}}


def test_due_is_replaced_key_by_key_and_read_by_date(database: Database, chat: Chat) -> None:
    early = replace(LOOK, key="z", on=date(2026, 4, 2), until=None)
    late = replace(LOOK, key="a", on=date(2026, 5, 1))
    twin = replace(LOOK, key="b")
    with database.write() as conn:
        save_due(conn, chat.collection_id, [late, LOOK, early, twin, replace(LOOK, key="gone")])
        moved = replace(LOOK, on=date(2026, 4, 16), body={"why": "cold days"}, version=2)
        save_due(conn, chat.collection_id, [moved], ["gone", "never there"])
    with database.read() as conn:
        assert load_due(conn, chat.collection_id, None) == [early, twin, moved, late]
        assert load_due(conn, chat.collection_id, DAY) == [early, twin]
        assert load_due(conn, chat.collection_id, date(2026, 4, 16)) == [early, twin, moved]
        assert load_due(conn, chat.collection_id, date(2026, 4, 1)) == []


def test_what_is_due_is_read_by_kind_and_dated_anew_without_its_body(database: Database, chat: Chat) -> None:
    asked = replace(LOOK, key="asked", kind="reminder")
    with database.write() as conn:
        other = chat_of(conn, "terminal", "second", "", CollectionSettings())
        save_due(conn, chat.collection_id, [LOOK, asked])
        save_due(conn, other.collection_id, [LOOK])
        assert load_due(conn, chat.collection_id, kind="reminder") == [asked]
        redate_due(conn, chat.collection_id, date(2026, 4, 16))
        assert load_due(conn, chat.collection_id) == [replace(one, made_on=date(2026, 4, 16)) for one in (asked, LOOK)]
        assert load_due(conn, other.collection_id) == [LOOK]


def test_a_kind_of_the_standing_is_read_by_the_end_of_its_keys(database: Database, chat: Chat) -> None:
    rows = {
        ("readings", key): {"readings": [{"on": key}]} for key in ("|2025", "|2026", "bench_2|2026", "bench 2|2025", "100%|2026")
    }
    with database.write() as conn:
        save_standing(conn, chat.collection_id, rows | {("rule", "x|2026"): {}})
        assert load_kind(conn, chat.collection_id, "readings").keys() == {key for _, key in rows}
        assert load_kind(conn, chat.collection_id, "readings", "|2026").keys() == {"|2026", "bench_2|2026", "100%|2026"}
        assert load_kind(conn, chat.collection_id, "readings", "_2|2026").keys() == {"bench_2|2026"}


def test_how_far_the_fold_has_come(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        assert load_state(conn, chat.collection_id) == ProjectionState(0, 0)
        save_state(conn, chat.collection_id, ProjectionState(12, 1))
        save_state(conn, chat.collection_id, ProjectionState(14, 2))
        assert load_state(conn, chat.collection_id) == ProjectionState(14, 2)


def test_wiping_leaves_the_log_and_other_collections(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        other = chat_of(conn, "terminal", "second", "", CollectionSettings())
        event = CareEvent("one", 0, DAY, datetime(2026, 4, 15, tzinfo=UTC), "event", "watered", (Ref("plant", "1"),))
        log = carelog.append(conn, chat.collection_id, [event])
        for one in (chat, other):
            save_standing(conn, one.collection_id, {("plant", "1"): {}})
            save_due(conn, one.collection_id, [LOOK])
            save_state(conn, one.collection_id, ProjectionState(1, 1))
        wipe_projections(conn, chat.collection_id)
    with database.read() as conn:
        assert load_standing(conn, chat.collection_id) == {}
        assert load_due(conn, chat.collection_id) == []
        assert load_state(conn, chat.collection_id) == ProjectionState()
        assert carelog.load(conn, chat.collection_id) == log
        assert load_standing(conn, other.collection_id) == {("plant", "1"): {}}
        assert load_due(conn, other.collection_id) == [LOOK]
        assert load_state(conn, other.collection_id) == ProjectionState(1, 1)
