"""A note about the past is folded from the entries of what it names, and comes to what a fold of the whole log comes to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.app import projecting, refolding
from bot.app.apart import changes_of, refolded_apart
from bot.app.intake import Intake, rebuild
from bot.app.refolding import refolded
from bot.care.due import VERSION
from bot.care.events import CORRECTIONS, CareEvent, Ref
from bot.care.fold import fold_all
from bot.care.partial import PLAIN_ACTS
from bot.care.standing import Standing
from bot.store import carelog, checkpoints, people, projections
from bot.store.database import Connection, Database, open_database
from bot.store.people import CollectionSettings
from tests.app.bench import Bench
from tests.properties.test_log import LOTS, OTHERS, PLANTS, happenings, patches

START = date(2024, 1, 1)
RECORDED = datetime(2026, 4, 15, 9, tzinfo=UTC)
_RUNS = iter(range(10**9))


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    opened = open_database(tmp_path_factory.mktemp("apart") / "apart.db")
    yield opened
    opened.close()


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """A log of any length is worth a checkpoint."""
    monkeypatch.setattr(refolding, "WORTH_KEEPING", 1)


def _collection(conn: Connection, name: str) -> int:
    return people.chat_of(conn, "terminal", name, name, CollectionSettings(zone="Europe/London")).collection_id


_SAID: tuple[dict[str, Any], ...] = (
    {},
    {"how": "soak"},
    {"how": "splash"},
    {"pot_cm": 9, "mix": "grit"},
    {"roots": "tap"},
    {"cut": "rot", "to": "the frame"},
)
_days = st.integers(0, 450).map(lambda days: START + timedelta(days=days))
_things = st.lists(st.sampled_from((*PLANTS, *LOTS, *OTHERS)), min_size=1, max_size=3, unique=True)
_plants = st.lists(st.sampled_from(PLANTS), min_size=1, max_size=2, unique=True)
# What care of one plant may reach beyond it: a reminder that waits for it, a mix told later, a plant split off, a floor.
_far = st.one_of(
    st.tuples(st.just("reminder"), st.tuples(st.just(""), st.just({"act": "watered", "due": "2024-06-01"})), _things),
    st.tuples(st.just("reminder"), st.tuples(st.just(""), st.just({"text": "feed", "awaits": ["flowering"]})), _things),
    st.tuples(st.just("taught"), st.tuples(st.just("mix"), st.just({"name": "grit", "parts": [["pumice", 70]]})), st.just([])),
    st.tuples(st.just("known"), st.tuples(st.just("split"), st.just({"from": "lot:irma"})), _plants),
    st.tuples(st.just("ruled"), st.tuples(st.just(""), st.just({"floor_c": 12.0})), _things),
    st.tuples(st.just("event"), st.tuples(st.just("moved"), st.just({"to": "bench 2"})), _plants),
    st.tuples(st.just("event"), st.tuples(st.just("isolated"), st.just({})), _plants),
)
_plain: st.SearchStrategy[Any] = st.one_of(
    st.tuples(st.just("event"), st.tuples(st.sampled_from(sorted(PLAIN_ACTS)), st.sampled_from(_SAID)), _things),
    st.tuples(st.just("event"), st.tuples(st.sampled_from(["watered", "fed", "repotted"]), st.sampled_from(_SAID)), _plants),
    st.tuples(st.just("finding"), st.tuples(st.sampled_from(["flowering", "scorch", "rot"]), st.just({})), _things),
    st.tuples(st.just("event"), st.tuples(st.sampled_from(["rest_started", "rest_ended"]), st.just({})), _things),
    st.tuples(st.just("hold"), st.tuples(st.just(""), st.just({"until": "2024-09-01"})), _things),
)
_MADE = st.tuples(st.just("made"), _days, st.one_of(happenings, happenings, _far))
_PLAIN = st.tuples(st.just("made"), _days, _plain)
_FIXED = st.tuples(st.just("fixed"), st.integers(0, 30), patches())
_UNDONE = st.tuples(st.just("undone"), st.integers(0, 30), st.none())
_ONE = st.one_of(_PLAIN, _PLAIN, _MADE, _FIXED, _UNDONE).map(lambda one: [one])
_NOTE = st.one_of(_ONE, _ONE, st.lists(st.one_of(_MADE, _PLAIN), min_size=1, max_size=3))
_NOTES = st.tuples(st.lists(st.one_of(_MADE, _PLAIN), min_size=5, max_size=25), st.lists(_NOTE, min_size=4, max_size=12))


def _note(steps: Sequence[tuple[Any, ...]], prefix: str, log: Sequence[CareEvent]) -> list[CareEvent]:
    """Return the events of a note; a fix or an undo is of today and about one of the last thirty."""
    made: list[CareEvent] = []
    today = max((one.happened_on for one in log), default=START)
    for step, on, what in steps:
        identity = f"{prefix}:{len(log) + len(made)}"
        if step == "made":
            kind, (act, facts), refs = what
            made.append(CareEvent(identity, 0, on, RECORDED, kind, act, tuple(refs), facts))
        elif step == "fixed" and log[-1 - on % len(log)].kind not in CORRECTIONS:
            facts = {"target": log[-1 - on % len(log)].identity, "patch": what}
            made.append(CareEvent(identity, 0, today, RECORDED, "amended", "", (), facts))
        else:
            facts = {"targets": [log[-1 - on % len(log)].identity]}
            made.append(CareEvent(identity, 0, today, RECORDED, "withdrawn", "", (), facts))
    return made


def _apart(conn: Connection, collection: int, now: Standing, new: Sequence[CareEvent]) -> Standing | None:
    return refolded_apart(conn, collection, now, new, changes_of(conn, collection, new))


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(notes=_NOTES, kept=st.integers(1, 6))
def _folds_both_ways(
    database: Database, taken: list[str], notes: tuple[list[tuple[Any, ...]], list[list[tuple[Any, ...]]]], kept: int
) -> None:
    prefix = f"run{next(_RUNS)}"
    log: list[CareEvent] = []
    with database.write() as conn:
        collection = _collection(conn, prefix)
        for number, steps in enumerate([notes[0], *notes[1]]):
            before = fold_all(log)
            new = carelog.append(conn, collection, _note(steps, prefix, log))
            log += new
            whole = fold_all(log)
            made = _apart(conn, collection, before, new)
            if made is not None:
                assert made.rows() == whole.rows()
                assert (made.last_on, made.last_sequence) == (whole.last_on, whole.last_sequence)
                taken.extend(one.what or one.kind for one in new)
            if number % kept == 0:
                assert refolded(conn, collection).rows() == whole.rows()


def test_whatever_reaches_back_it_is_the_fold_of_the_whole_log(database: Database, short: None) -> None:
    taken: list[str] = []
    _folds_both_ways(database, taken)
    assert len(taken) > 100, "hardly anything was folded apart"
    assert {"withdrawn", "amended", "watered"} <= set(taken)


# Cases that were once wrong or are easily so: what was there, the late note, and whether the whole log is needed for it.
_Told = tuple[str, str, str, int, dict[str, Any]]  # kind, what, label, day, facts
_BED: tuple[_Told, ...] = (
    ("event", "acquired", "12", 0, {"settled": True, "name": "lobivia", "to": "bench 2"}),
    ("event", "acquired", "13", 0, {"settled": True, "name": "lobivia", "to": "bench 2"}),
    ("event", "watered", "12", 50, {"how": "soak"}),
)
_PINNED: dict[str, tuple[tuple[_Told, ...], _Told, bool]] = {
    "before a watering": ((), ("event", "watered", "12", 40, {}), True),
    "after it": ((), ("event", "watered", "12", 60, {}), True),
    "potted before its water": ((), ("event", "repotted", "12", 45, {"pot_cm": 9}), True),
    "a plant that stands elsewhere since": (
        (("event", "moved", "12", 90, {"to": "the frame"}),),
        ("event", "fed", "12", 45, {}),
        True,
    ),
    "a dry pot learned from since": ((("finding", "mix_dry", "12", 60, {}),), ("event", "watered", "12", 55, {}), False),
    "a reminder it would have met": (
        (("reminder", "", "12", 30, {"act": "watered", "due": "2024-02-25"}),),
        ("event", "watered", "12", 56, {}),
        False,
    ),
    "a mix told later": (
        (("taught", "mix", "", 70, {"name": "grit", "parts": [["pumice", 70]]}),),
        ("event", "repotted", "12", 45, {"mix": "grit"}),
        True,
    ),
    "a cold night since": (
        (("climate", "", "", 60, {"min_c": -2.0, "place": "bench 2"}),),
        ("event", "watered", "12", 45, {}),
        True,
    ),
    "a find on the mate since": ((("finding", "mealybug", "13", 60, {}),), ("event", "watered", "12", 45, {}), True),
    "a rest of the bench since": (
        (("event", "rest_started", "place:bench 2", 70, {}),),
        ("event", "fed", "12", 45, {}),
        True,
    ),
    "a lot that a plant came out of since": (
        (("event", "acquired", "lot:irma", 10, {"settled": True}), ("known", "split", "30", 60, {"from": "lot:irma"})),
        ("event", "watered", "lot:irma", 45, {}),
        False,
    ),
    "a death": ((), ("event", "died", "12", 45, {}), False),
    "a move": ((), ("event", "moved", "12", 45, {"to": "the frame"}), False),
    "a find": ((), ("finding", "mealybug", "12", 45, {}), False),
    "a plant nobody spoke of": ((), ("event", "watered", "99", 45, {}), False),
}


def _told(prefix: str, number: int, one: _Told) -> CareEvent:
    kind, what, label, day, facts = one
    thing, _, key = label.rpartition(":")
    refs = (Ref(thing or "plant", key),) if label else ()
    return CareEvent(f"{prefix}:{number}", 0, START + timedelta(days=day), RECORDED, kind, what, refs, facts)


@pytest.mark.parametrize("name", _PINNED)
def test_a_pinned_case(name: str, database: Database, short: None) -> None:
    since, late, served = _PINNED[name]
    with database.write() as conn:
        prefix = f"pinned {name}"
        collection = _collection(conn, prefix)
        later: list[_Told] = [("event", "watered", "13", day, {}) for day in (120, 300)]
        log = [_told(prefix, number, one) for number, one in enumerate((*_BED, *since, *later))]
        log = carelog.append(conn, collection, log)
        refolded(conn, collection)
        before = fold_all(log)
        new = carelog.append(conn, collection, [_told(prefix, 100, late)])
        made = _apart(conn, collection, before, new)
        assert (made is not None) is served
        if made is not None:
            assert made.rows() == fold_all([*log, *new]).rows()
            undo = carelog.append(
                conn,
                collection,
                [CareEvent(f"{prefix}:u", 0, new[0].happened_on, RECORDED, "withdrawn", "", (), {"targets": [new[0].identity]})],
            )
            again = _apart(conn, collection, made, undo)
            assert again is not None
            assert again.rows() | {("fold", ""): {}} == before.rows() | {("fold", ""): {}}
            assert again.rows() == fold_all([*log, *new, *undo]).rows()


def _unseen(database: Database, name: str, label: str) -> tuple[int, list[CareEvent]]:
    """Return a collection whose checkpoints were made before an early watering of a plant was taken back, and its log."""
    told: list[_Told] = [
        *_BED,
        ("event", "watered", "13", 51, {"how": "soak"}),
        ("event", "watered", "12", 62, {"how": "splash"}),
        ("event", "watered", "13", 63, {"how": "splash"}),
        ("event", "watered", "12", 470, {}),
        ("event", "watered", "13", 475, {}),
        ("event", "inspected", "13", 480, {}),
    ]
    with database.write() as conn:
        collection = _collection(conn, name)
        log = carelog.append(conn, collection, [_told(name, number, one) for number, one in enumerate(told)])
        refolded(conn, collection)
        early = next(one for one in log if one.refs[0].key == label and one.facts.get("how") == "splash")
        return collection, [*log, *carelog.append(conn, collection, [_undo(name, early)])]


def _undo(prefix: str, event: CareEvent) -> CareEvent:
    facts = {"targets": [event.identity]}
    return CareEvent(f"{prefix}:undo {event.identity}", 0, START + timedelta(days=480), RECORDED, "withdrawn", "", (), facts)


def test_a_checkpoint_that_does_not_know_what_was_taken_back_serves_only_others(database: Database, short: None) -> None:
    collection, log = _unseen(database, "unseen", "12")
    with database.write() as conn:
        newest = next(one for one in reversed(log) if one.refs and one.refs[0].key == "12")
        new = carelog.append(conn, collection, [_undo("unseen", newest)])
        made = _apart(conn, collection, fold_all(log), new)
    assert made is not None
    assert made.things["plant", "12"].last["watered"] == (START + timedelta(days=50)).isoformat()
    assert made.rows() == fold_all([*log, *new]).rows()


@pytest.mark.parametrize("about", ["12", "13"])
def test_a_checkpoint_that_does_not_know_all_is_not_brought_up(about: str, database: Database, short: None) -> None:
    name = f"behind {about}"
    collection, log = _unseen(database, name, "13")
    with database.write() as conn:
        new = carelog.append(conn, collection, [_told(name, 100, ("event", "fed", about, 40, {}))])
        made = _apart(conn, collection, fold_all(log), new)
        whole = fold_all([*log, *new])
        assert made is not None
        assert made.rows() == whole.rows()
        assert refolded(conn, collection).rows() == whole.rows()
        newest = next(one for one in reversed(log) if one.refs and one.what == "watered")
        more = carelog.append(conn, collection, [_undo(name, newest)])
        assert refolded(conn, collection).rows() == fold_all([*log, *new, *more]).rows()


def test_a_checkpoint_that_knows_all_is_brought_up(database: Database, short: None, monkeypatch: pytest.MonkeyPatch) -> None:
    with database.write() as conn:
        collection = _collection(conn, "up")
        told: list[_Told] = [*_BED, *(("event", "watered", "13", day, {}) for day in range(70, 480, 10))]
        log = carelog.append(conn, collection, [_told("up", number, one) for number, one in enumerate(told)])
        refolded(conn, collection)
        for number, day in enumerate((40, 30, 460)):
            new = carelog.append(conn, collection, [_told("up", 900 + number, ("event", "fed", "12", day, {}))])
            made = _apart(conn, collection, fold_all(log), new)
            log += new
            assert made is not None
        for reach, span in refolding.REACHES.items():
            kept = checkpoints.load(conn, collection, reach, VERSION)
            assert kept is not None
            assert kept.day == START + timedelta(days=470) - span
            until = fold_all(one for one in log if one.happened_on <= kept.day)
            assert {**kept.rows, ("fold", ""): {}} == {**until.rows(), ("fold", ""): {}}
            assert kept.rows["plant", "12"]["last"]["fed"] == (START + timedelta(days=40)).isoformat()
        monkeypatch.setattr(carelog, "load", None)  # the whole log is not read
        assert refolded(conn, collection).rows() == fold_all(log).rows()


def test_the_last_day_of_the_log_moves_back_with_what_was_taken_back(database: Database, short: None) -> None:
    with database.write() as conn:
        collection = _collection(conn, "last day")
        told: list[_Told] = [*_BED, *(("event", "watered", "13", day, {}) for day in (100, 200)), ("event", "fed", "12", 200, {})]
        log = carelog.append(conn, collection, [_told("last day", number, one) for number, one in enumerate(told)])
        refolded(conn, collection)
        for gone in (log[-1], log[-2]):
            new = carelog.append(conn, collection, [_undo("last day", gone)])
            made = _apart(conn, collection, fold_all(log), new)
            log += new
            assert made is None or made.last_on == fold_all(log).last_on
        assert fold_all(log).last_on == START + timedelta(days=100)


PLANTS_A_BENCH = 30


def _years(file: Path, benches: int) -> Bench:
    """Return a bench with so many benches of thirty plants and 460 days of notes, written in bulk."""
    bench = Bench(open_database(file), now=datetime(2025, 4, 5, 18, tzinfo=UTC))
    bench.type("hello")
    events = []
    for number in range(benches):
        labels = [str(number * PLANTS_A_BENCH + one + 1) for one in range(PLANTS_A_BENCH)]
        place = f"bench {number + 1}"
        refs = tuple(Ref("plant", one) for one in labels)
        events.append(("acquired", 0, refs, {"settled": True, "name": "lobivia", "to": place}))
        days = range(4 + number % 3, 458, 5)
        events += [("watered", day, (Ref("place", place), *refs), {"how": "soak"}) for day in days]
    events.sort(key=lambda one: one[1])
    made = [
        CareEvent(f"past{at}", 0, START + timedelta(days=day), RECORDED, "event", what, refs, facts)
        for at, (what, day, refs, facts) in enumerate(events)
    ]
    with bench.database.write() as conn:
        carelog.append(conn, bench.collection_id, made)
    rebuild(bench.database, bench.now)
    return bench


@contextmanager
def _rows_of_the_log(database: Database) -> Iterator[list[int]]:
    """Count the rows that statements on the care log hand out, however they are read: by SQLite, row by row."""
    count, asked = [0], [""]

    def keep(_conn: Any, cursor: Any, statement: str, _parameters: Any, _context: Any, _many: bool) -> None:
        asked[0] = statement
        cursor.row_factory = counted

    def counted(_cursor: Any, row: tuple[Any, ...]) -> tuple[Any, ...]:
        count[0] += "care_log" in asked[0]
        return row

    sa.event.listen(database._engine, "before_cursor_execute", keep)
    try:
        yield count
    finally:
        sa.event.remove(database._engine, "before_cursor_execute", keep)


_BACK = ("watered 8 yesterday", "fed 8 on 20 december", "repotted 8 into 9cm on 3 june 2024", "undo", "no that was 9")


def _read_for_each(bench: Bench) -> dict[str, int]:
    bench.type("7 soaked")  # the first note after a start reads the newest events
    read: dict[str, int] = {}
    for text in _BACK:
        bench.later(minutes=5)
        with _rows_of_the_log(bench.database) as count:
            answer = bench.type(text)
        assert answer.events, text
        with bench.database.read() as conn:
            assert projections.load_standing(conn, bench.collection_id) == fold_all(bench.log).rows(), text
        read[text] = count[0]
    return read


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> dict[int, dict[str, int]]:
    """How many rows of the log each note reads where there are 60 plants, and where there are 360."""
    out = {}
    for benches in (2, 12):
        bench = _years(tmp_path_factory.mktemp("years") / "years.db", benches)
        out[benches] = _read_for_each(bench)
        bench.database.close()
    return out


@pytest.mark.parametrize("text", _BACK)
def test_what_it_reads_does_not_grow_with_the_collection(text: str, read: dict[int, dict[str, int]]) -> None:
    assert 0 < read[12][text] <= read[2][text] + 20
    assert read[12][text] < 700


def test_the_count_sees_a_whole_log(tmp_path: Path) -> None:
    bench = _years(tmp_path / "years.db", 2)
    with _rows_of_the_log(bench.database) as count:
        assert len(bench.log) > 150
    assert count[0] > 150 * PLANTS_A_BENCH
    bench.database.close()


def test_what_nothing_but_the_whole_log_tells_is_told_by_that(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bench = _years(tmp_path / "years.db", 2)
    bench.type("7 soaked")
    asked: list[int] = []

    def counted(conn: Connection, collection_id: int, first: date) -> Standing:
        asked.append(1)
        return refolded(conn, collection_id, first)

    monkeypatch.setattr(projecting, "refolded", counted)
    bench.intake = Intake(bench.database, bench.settings)  # after a start no earlier day is remembered
    for text in ("8 died on 20 december", "moved 9 to bench 2 on 20 december"):
        bench.type(text)
        assert bench.standing.rows() == fold_all(bench.log).rows()
    assert len(asked) == 2
    bench.database.close()
