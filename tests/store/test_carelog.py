"""The care log: numbered without gaps, read back exactly, never changed."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import IntegrityError, StatementError

from bot.care.events import CareEvent, Ref
from bot.store import carelog
from bot.store.database import Connection, Database
from bot.store.notes import keep_note
from bot.store.people import Chat, CollectionSettings, chat_of
from bot.store.tables import care_log, care_log_refs

CHILDREN = Path(__file__).parent / "children"
DAY = date(2026, 4, 15)
MOMENT = datetime(2026, 4, 15, 9, 40, 0, 123456, tzinfo=UTC)


def event(identity: str, *refs: Ref, **more: Any) -> CareEvent:
    return replace(CareEvent(identity, 0, DAY, MOMENT, "event", "watered", refs), **more)


def append(database: Database, chat: Chat, *events: CareEvent) -> list[CareEvent]:
    with database.write() as conn:
        return carelog.append(conn, chat.collection_id, events)


def load(database: Database, chat: Chat, after: int = 0) -> list[CareEvent]:
    with database.read() as conn:
        return carelog.load(conn, chat.collection_id, after=after)


def test_events_come_back_as_they_were_appended(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        note = keep_note(conn, None, chat.collection_id, chat.person_id, chat.id, "x", MOMENT, {}, "log")
    full = event(
        "one",
        Ref("plant", "203"),
        Ref("lot", "Lobivia, Tacna 4 östl.", 4),
        Ref("house", ""),
        note=note,
        person=chat.person_id,
        happened_at=time(21, 5, 30),
        facts={"volume_ml": 0.1 + 0.2, "product": None, "größe": "5½ ″", "deep": [{"a": [1, 2.0, True]}], "big": 2**63},
    )
    bare = CareEvent("two", 0, date(1999, 12, 31), MOMENT, "withdrawn")
    written = append(database, chat, full, bare)
    assert written == [replace(full, sequence=1), replace(bare, sequence=2)]
    assert load(database, chat) == written


def test_sequences_go_on_without_gaps_in_each_collection(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        other = chat_of(conn, "terminal", "second", "", CollectionSettings())
    with database.read() as conn:
        assert carelog.last_sequence(conn, chat.collection_id) == 0
    assert append(database, chat) == []
    mine = [one.sequence for one in append(database, chat, event("a"), event("b"))]
    theirs = [one.sequence for one in append(database, other, event("c"))]
    with pytest.raises(RuntimeError):
        append_and_fail(database, chat)
    mine += [one.sequence for one in append(database, chat, event("d"))]
    assert (mine, theirs) == ([1, 2, 3], [1])
    assert [one.identity for one in load(database, chat, after=1)] == ["b", "d"]
    assert load(database, chat, after=3) == []
    assert [one.identity for one in load(database, other)] == ["c"]
    with database.read() as conn:
        assert carelog.last_sequence(conn, chat.collection_id) == 3


def append_and_fail(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        carelog.append(conn, chat.collection_id, [event("lost", Ref("plant", "1"))])
        raise RuntimeError


def test_an_identity_is_in_the_log_once(database: Database, chat: Chat) -> None:
    append(database, chat, event("one", Ref("plant", "1")))
    with pytest.raises(IntegrityError):
        append(database, chat, event("two", Ref("plant", "1")), event("one"))
    assert [one.identity for one in load(database, chat)] == ["one"]


@pytest.mark.parametrize("unknown", [{"note": 4711}, {"person": 4711}])
def test_a_note_or_person_that_is_not_there_is_refused(database: Database, chat: Chat, unknown: dict[str, int]) -> None:
    with pytest.raises(IntegrityError):
        append(database, chat, event("one", **unknown))
    assert load(database, chat) == []


def test_one_event_by_its_identity_within_its_collection(database: Database, chat: Chat) -> None:
    [one] = append(database, chat, event("one", Ref("plant", "1")))
    with database.write() as conn:
        other = chat_of(conn, "terminal", "second", "", CollectionSettings())
        assert carelog.load_identities(conn, chat.collection_id, ["two", "one", "one"]) == [one]
        assert carelog.load_identities(conn, other.collection_id, ["one"]) == []
        assert carelog.load_identities(conn, chat.collection_id, []) == []


def test_many_events_by_their_identities_come_in_order(database: Database, chat: Chat) -> None:
    written = append(database, chat, *(event(f"one {number}") for number in range(900)))
    with database.read() as conn:
        assert carelog.load_identities(conn, chat.collection_id, [one.identity for one in reversed(written)]) == written


def test_events_that_name_things_come_with_those_refs_alone(database: Database, chat: Chat) -> None:
    bench = tuple(Ref("plant", str(number)) for number in range(50))
    append(
        database,
        chat,
        event("before", Ref("plant", "7")),
        event("bench", Ref("place", "bench 1"), *bench),
        event("other", Ref("plant", "8"), Ref("lot", "7", 3)),
        event("part", Ref("lot", "irma", 4), happened_on=date(2026, 4, 1)),
    )
    with database.read() as conn:
        found = carelog.load_naming(conn, chat.collection_id, [("plant", "7"), ("lot", "irma"), ("place", "bench 1")], 2)
    assert [(one.identity, one.refs, one.sequence) for one in found] == [
        ("bench", (Ref("place", "bench 1"), Ref("plant", "7")), 2),
        ("part", (Ref("lot", "irma", 4),), 4),
    ]
    assert found[1].happened_on == date(2026, 4, 1)


def test_events_of_some_kinds_come_from_a_sequence_on(database: Database, chat: Chat) -> None:
    append(
        database, chat, event("one", kind="climate"), event("two"), event("three", kind="climate"), event("four", kind="taught")
    )
    with database.read() as conn:
        found = carelog.load_kinds(conn, chat.collection_id, ("climate", "taught"), 2)
    assert [one.identity for one in found] == ["three", "four"]


def test_the_first_event_that_counts_after_a_day_or_a_sequence(database: Database, chat: Chat) -> None:
    days = (date(2026, 4, 1), date(2026, 4, 9), date(2026, 4, 3), date(2026, 4, 4))
    append(database, chat, *(event(str(day), happened_on=day) for day in days))
    with database.read() as conn:
        asked = ((date(2026, 4, 5), 3), (date(2026, 4, 9), 3), (date(2026, 4, 30), 4), (date.min, 0))
        assert [carelog.first_after(conn, chat.collection_id, *one) for one in asked] == [2, 4, 5, 1]
        asked_before = ((date(2026, 4, 3), 1, 5), (date(2026, 4, 3), 3, 5), (date(2026, 4, 3), 1, 3), (date(2026, 4, 1), 0, 2))
        assert [carelog.any_before(conn, chat.collection_id, *one) for one in asked_before] == [True, False, False, True]


def test_the_events_that_name_a_thing_have_all_their_refs(database: Database, chat: Chat) -> None:
    both = event("both", Ref("plant", "1"), Ref("plant", "2"))
    append(database, chat, event("one", Ref("plant", "1")), event("place", Ref("place", "1")), both)
    with database.read() as conn:
        found = carelog.by_ref(conn, chat.collection_id, "plant", "2")
        assert [(one.identity, one.refs) for one in found] == [("both", both.refs)]
        assert [one.identity for one in carelog.by_ref(conn, chat.collection_id, "plant", "1")] == ["one", "both"]
        assert carelog.by_ref(conn, chat.collection_id, "lot", "1") == []


def test_the_events_of_a_thing_come_alone_where_nobody_asks_what_else_they_name(database: Database, chat: Chat) -> None:
    both = event("both", Ref("plant", "1"), Ref("plant", "2", 3))
    append(database, chat, event("one", Ref("plant", "1")), both, event("other", Ref("lot", "2")))
    with database.read() as conn:
        found = carelog.by_ref(conn, chat.collection_id, "plant", "2", alone=True)
        assert [(one.identity, one.refs, one.facts) for one in found] == [("both", (Ref("plant", "2", 3),), both.facts)]
        assert [one.sequence for one in carelog.by_ref(conn, chat.collection_id, "plant", "1", alone=True)] == [1, 2]


@pytest.mark.parametrize(
    "change",
    [
        sa.update(care_log).values(what="fed"),
        sa.update(care_log).where(care_log.c.sequence == 1).values(facts={}),
        sa.delete(care_log),
        sa.update(care_log_refs).values(key="2"),
        sa.delete(care_log_refs),
    ],
    ids=["update", "update of one", "delete", "update of refs", "delete of refs"],
)
def test_the_log_is_append_only(database: Database, chat: Chat, change: sa.Executable) -> None:
    written = append(database, chat, event("one", Ref("plant", "1")))
    with pytest.raises(IntegrityError, match="append-only"), database.write() as conn:
        conn.execute(change)
    assert load(database, chat) == written


def test_the_log_cannot_be_replaced_or_emptied_either(database: Database, chat: Chat) -> None:
    written = append(database, chat, event("one", Ref("plant", "1")))
    on_server = database._engine.dialect.name == "postgresql"
    statement = "TRUNCATE care_log CASCADE" if on_server else "REPLACE INTO care_log SELECT * FROM care_log"
    with pytest.raises(IntegrityError), database.write() as conn:
        conn.exec_driver_sql(statement)
    assert load(database, chat) == written


def test_a_moment_is_kept_to_the_microsecond_in_any_zone(database: Database, chat: Chat) -> None:
    there = timezone(timedelta(hours=-7, minutes=-30))
    moments = [MOMENT, MOMENT.astimezone(there), datetime(1931, 5, 1, tzinfo=UTC), datetime.max.replace(tzinfo=UTC)]
    append(database, chat, *(event(str(number), recorded_at=one) for number, one in enumerate(moments)))
    assert [one.recorded_at for one in load(database, chat)] == moments


def test_a_moment_without_a_zone_is_refused(database: Database, chat: Chat) -> None:
    with pytest.raises(StatementError, match="needs a time zone"):
        append(database, chat, event("one", recorded_at=MOMENT.replace(tzinfo=None)))


@pytest.mark.parametrize("value", [math.nan, math.inf, DAY, {1, 2}, b"x"], ids=repr)
def test_facts_that_are_not_json_are_refused(database: Database, chat: Chat, value: object) -> None:
    with pytest.raises(StatementError):
        append(database, chat, event("one", facts={"value": value}))
    assert load(database, chat) == []


TEXT = st.text(st.characters(exclude_categories=()), max_size=12)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    facts=st.dictionaries(TEXT, JSON, max_size=5),
    refs=st.lists(st.builds(Ref, st.sampled_from(["plant", "place"]), TEXT, st.none() | st.integers(0, 2**62)), max_size=4),
    at=st.none() | st.times(),
    on=st.dates(),
)
def test_whatever_the_facts_they_come_back_exactly(
    database: Database, chat: Chat, facts: dict[str, Any], refs: list[Ref], at: time | None, on: date
) -> None:
    with database.write() as conn:
        last = carelog.last_sequence(conn, chat.collection_id)
        given_event = event(f"event {last}", *refs, facts=facts, happened_at=at, happened_on=on)
        written = carelog.append(conn, chat.collection_id, [given_event])
        back = carelog.load(conn, chat.collection_id, after=last)
    assert back == written == [replace(given_event, sequence=last + 1)]
    assert sorted(map(repr, flat(back[0].facts))) == sorted(map(repr, flat(facts)))  # -0.0 and 0, 1 and 1.0 and True differ


def flat(value: object) -> list[object]:
    if isinstance(value, dict):
        return [leaf for key, inner in value.items() for leaf in (key, *flat(inner))]
    if isinstance(value, list):
        return [leaf for inner in value for leaf in flat(inner)]
    return [value]


def test_two_processes_append_to_one_collection_at_once(
    database: Database, address: str, chat: Chat, environment: dict[str, str]
) -> None:
    command = [sys.executable, str(CHILDREN / "append_many.py"), address, str(chat.collection_id)]
    started = [subprocess.Popen([*command, name, "40"], env=environment) for name in ("a", "b")]
    assert [one.wait(timeout=120) for one in started] == [0, 0]
    log = load(database, chat)
    assert [one.sequence for one in log] == list(range(1, 161))
    for name in ("a", "b"):
        assert [one.identity for one in log if one.identity.startswith(name)] == [f"{name}{number}" for number in range(80)]


def test_a_killed_writer_leaves_whole_transactions(
    database: Database, address: str, chat: Chat, environment: dict[str, str]
) -> None:
    for name in ("a", "b", "c"):
        command = [sys.executable, str(CHILDREN / "append_many.py"), address, str(chat.collection_id), name, "100000"]
        before = len(load(database, chat))
        with subprocess.Popen(command, env=environment) as child:
            while len(load(database, chat)) < before + 10:
                assert child.poll() is None
            child.kill()
    log = load(database, chat)
    assert [one.sequence for one in log] == list(range(1, len(log) + 1))
    assert len(log) % 2 == 0  # two events in each transaction
    with database.read() as conn:
        assert refs_of(conn) == len(log)
    assert append(database, chat, event("after"))[0].sequence == len(log) + 1


def refs_of(conn: Connection) -> int:
    count: int = conn.execute(sa.select(sa.func.count()).select_from(care_log_refs)).scalar_one()
    return count
