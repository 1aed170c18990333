"""A fold from the checkpoint gives the rows that a fold of the whole log gives, whatever reaches back, moves or corrects."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.app import refolding
from bot.app.refolding import refolded
from bot.care.due import VERSION
from bot.care.events import CareEvent, Ref
from bot.care.fold import fold_all
from bot.store import carelog, checkpoints, people
from bot.store.database import Connection, Database, open_database
from bot.store.people import CollectionSettings
from tests.app.bench import Bench

START = date(2024, 1, 1)
RECORDED = datetime(2026, 4, 15, 9, tzinfo=UTC)


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """A log of any length is worth a checkpoint."""
    monkeypatch.setattr(refolding, "WORTH_KEEPING", 1)


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    opened = open_database(tmp_path_factory.mktemp("fold") / "fold.db")
    yield opened
    opened.close()


def _collection(conn: Connection, name: str) -> int:
    return people.chat_of(conn, "terminal", name, name, CollectionSettings(zone="Europe/London")).collection_id


# Each step: how many days after the start, the act, which plants; or which earlier event is withdrawn or moved.
_PLAIN = st.tuples(
    st.just("act"),
    st.integers(0, 400),
    st.sampled_from(["watered", "moved", "named", "died", "repotted", "inspected", "mites", "clean", "min"]),
    st.lists(st.integers(1, 4), min_size=1, max_size=3, unique=True),
)
_UNDO = st.tuples(st.just("undo"), st.integers(0, 400), st.integers(1, 12), st.just([0]))
_MOVE = st.tuples(st.just("move"), st.integers(0, 400), st.integers(1, 12), st.integers(0, 400))
_BATCH = st.lists(st.one_of(_PLAIN, _PLAIN, _UNDO, _MOVE), min_size=1, max_size=5)


def _event(number: int, prefix: str, step: tuple, log: list[CareEvent]) -> CareEvent:  # type: ignore[type-arg]
    kind, days, what, other = step
    on, identity = START + timedelta(days=days), f"{prefix}:{number}"
    if kind == "act" or not log:
        labels = other if kind == "act" and isinstance(other, list) else [1]
        refs = tuple(Ref("plant", str(one)) for one in labels)
        if what in ("mites", "clean"):
            sign = ("spider_mite", "present") if what == "mites" else ("pest", "absent")
            return CareEvent(identity, 0, on, RECORDED, "finding", sign[0], refs, {"status": sign[1]})
        if what == "min":
            return CareEvent(identity, 0, on, RECORDED, "climate", "", (), {"min_c": 3.0})
        facts: dict[str, dict[str, Any]] = {
            "moved": {"to": f"bench {days % 3}"},
            "named": {"name": "Melocactus"},
            "repotted": {"pot_cm": 9.0},
        }
        return CareEvent(identity, 0, on, RECORDED, "event", str(what), refs, facts.get(str(what), {}))
    target = log[-1 - int(what) % len(log)].identity
    if kind == "undo":
        return CareEvent(identity, 0, on, RECORDED, "withdrawn", "", (), {"targets": [target]})
    patch = {"happened_on": (START + timedelta(days=int(other))).isoformat()}
    return CareEvent(identity, 0, on, RECORDED, "amended", "", (), {"target": target, "patch": patch})


_RUNS = iter(range(10**9))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(batches=st.lists(_BATCH, min_size=2, max_size=8))
def test_the_rows_are_those_of_a_fold_from_the_start(batches: list, database: Database, short: None) -> None:  # type: ignore[type-arg]
    prefix = f"run{next(_RUNS)}"
    log: list[CareEvent] = []
    with database.write() as conn:
        collection = _collection(conn, prefix)
        for batch in batches:
            new: list[CareEvent] = []
            for step in batch:
                new.append(_event(len(log) + len(new), prefix, step, [*log, *new]))
            log += carelog.append(conn, collection, new)
            made, whole = refolded(conn, collection), fold_all(log)
            assert made.rows() == whole.rows()
            assert (made.last_on, made.last_sequence) == (whole.last_on, whole.last_sequence)


def _watering(number: int, on: date, label: str = "1") -> CareEvent:
    return CareEvent(f"w{number}:{label}", 0, on, RECORDED, "event", "watered", (Ref("plant", label),))


def test_what_happened_lately_is_folded_from_the_checkpoint_alone(
    database: Database, short: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    with database.write() as conn:
        collection = _collection(conn, "lately")
        carelog.append(conn, collection, [_watering(one, START + timedelta(days=one), "50") for one in range(600)])
        refolded(conn, collection)
        kept = checkpoints.load(conn, collection, "weeks", VERSION)
        assert kept is not None
        assert kept.day == START + timedelta(days=599) - refolding.REACHES["weeks"]
        carelog.append(conn, collection, [_watering(600, START + timedelta(days=590), "51")])
        asked: list[int] = []
        whole = carelog.load

        def counted(*args: Any, **more: Any) -> list[CareEvent]:
            asked.append(1)
            return whole(*args, **more)

        monkeypatch.setattr(carelog, "load", counted)
        after = refolded(conn, collection)
        assert not asked, "the whole log was read for a note of last week"
        assert after.things[("plant", "51")].last["watered"] == (START + timedelta(days=590)).isoformat()
        carelog.append(conn, collection, [_watering(601, START + timedelta(days=3), "52")])
        assert ("plant", "52") in refolded(conn, collection).things
        assert asked, "a note of two years ago was folded without the log it comes in"


def test_a_note_of_last_season_is_folded_from_the_checkpoint_of_a_year(
    database: Database, short: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    with database.write() as conn:
        collection = _collection(conn, "season")
        carelog.append(conn, collection, [_watering(one, START + timedelta(days=one), "70") for one in range(0, 900, 3)])
        refolded(conn, collection)
        asked: list[int] = []
        whole = carelog.load

        def counted(*args: Any, **more: Any) -> list[CareEvent]:
            asked.append(1)
            return whole(*args, **more)

        monkeypatch.setattr(carelog, "load", counted)
        carelog.append(conn, collection, [_watering(901, START + timedelta(days=600), "71")])
        after = refolded(conn, collection)
        assert not asked, "the whole log was read for a note of last season"
        assert after.rows() == fold_all(whole(conn, collection)).rows()
        weeks = checkpoints.load(conn, collection, "weeks", VERSION)
        assert weeks is not None
        assert ("plant", "71") in weeks.rows, "the nearer checkpoint does not know of it"


def test_a_checkpoint_that_grows_old_is_brought_forward(database: Database, short: None) -> None:
    with database.write() as conn:
        collection = _collection(conn, "forward")
        carelog.append(conn, collection, [_watering(one, START + timedelta(days=one), "60") for one in range(50)])
        refolded(conn, collection)
        carelog.append(conn, collection, [_watering(one, START + timedelta(days=one), "60") for one in range(50, 200)])
        refolded(conn, collection)
        kept = checkpoints.load(conn, collection, "weeks", VERSION)
        assert kept is not None
        assert kept.day == START + timedelta(days=199) - refolding.REACHES["weeks"]
        assert checkpoints.load(conn, collection, "weeks", VERSION + 1) is None


def test_notes_that_reach_back_and_rebuild_come_to_the_same(tmp_path: Path, short: None) -> None:
    from bot.app.intake import rebuild  # noqa: PLC0415

    with_database = open_database(tmp_path / "bench.db")
    bench = Bench(with_database)
    for words in (
        "1-3 are lobivias",
        "watered 1 yesterday",
        "watered 2 last sunday",
        "undo",
        "moved 3 to bench 2",
        "fed 1 on 3 april",
    ):
        bench.type(words)
        bench.later(minutes=10)
    before = bench.standing.rows()
    assert rebuild(with_database, bench.now)
    assert bench.standing.rows() == before
    assert ("plant", "2") in bench.standing.things
    assert "watered" not in bench.thing("plant", "2").last
    with_database.close()
