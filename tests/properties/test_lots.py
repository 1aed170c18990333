"""The counts of a lot never drift: whatever came, left, died, was found, counted, split off, taken back or amended.

In = alive + split off + out + dead + missing, in any order of days. The balance is arithmetic; nothing here is measured.
"""

from __future__ import annotations

import shutil
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.app.intake import rebuild
from bot.care.accessions import number_of
from bot.care.events import CareEvent, Ref, refs_to_json
from bot.care.fold import fold_all
from bot.care.fold_lots import BEYOND, SPLIT_FROM, SPLIT_OFF
from bot.care.ledger import ledger_of
from bot.care.standing import Standing, Thing
from bot.store.database import open_database
from bot.store.people import CollectionSettings
from tests.app.bench import Bench

LOTS = ("barn", "hofer")
LABELS = tuple(str(one) for one in range(214, 226))
LEAVING = ("died", "given", "discarded", "missing")

counts = st.one_of(st.none(), st.integers(1, 12))
lots = st.sampled_from(LOTS)
days = st.integers(0, 60)
changes = st.one_of(
    st.tuples(st.just("acquired"), lots, counts, days),
    st.tuples(st.sampled_from(LEAVING), lots, counts, days),
    st.tuples(st.sampled_from((*LEAVING, "found_alive", "watered")), st.sampled_from(LABELS), st.none(), days),
    st.tuples(st.just("found_alive"), lots, counts, days),
    st.tuples(st.just("counted"), lots, st.integers(0, 12), days),
    st.tuples(st.just("split"), lots, st.lists(st.sampled_from(LABELS), min_size=1, max_size=5, unique=True), days),
    st.tuples(st.sampled_from(("potted", "washed", "watered", "isolated")), lots, counts, days),
    st.tuples(st.just("withdrawn"), st.integers(0, 40), st.none(), days),
    st.tuples(st.just("day"), st.integers(0, 40), st.integers(0, 60), days),
    st.tuples(st.just("count"), st.integers(0, 40), st.integers(1, 12), days),
)


def event_of(change: tuple[str, Any, Any, int], log: list[CareEvent]) -> CareEvent | None:
    what, about, held, day = change
    on = date(2026, 4, 1) + timedelta(days=day)

    def made(kind: str, what: str = "", refs: tuple[Ref, ...] = (), **facts: Any) -> CareEvent:
        recorded = datetime(2026, 4, 1, tzinfo=UTC)
        return CareEvent(f"e{len(log)}", 0, on, recorded, kind, what, refs, facts, sequence=len(log) + 1)

    if what in ("withdrawn", "day", "count"):
        if not log:
            return None
        target = log[about % len(log)]
        if what == "withdrawn":
            return made("withdrawn", targets=[target.identity])
        patch: dict[str, Any] = {"happened_on": (date(2026, 4, 1) + timedelta(days=held)).isoformat()}
        if what == "count":
            refs = tuple(Ref("lot", one.key, held) for one in target.refs if one.kind == "lot")
            patch = {"refs": refs_to_json(refs)} if refs else patch | {"happened_on": on.isoformat()}
        return made("amended", target=target.identity, patch=patch)
    if what == "split":
        refs = tuple(Ref("plant", one) for one in held)
        facts = {"from": f"lot:{about}", "accession": "2026.0001", "qualifier": 0}
        return made("known", "split", refs, **facts)
    kind = "known" if what == "counted" else "event"
    ref = Ref("lot", about, held) if about in LOTS else Ref("plant", about)
    return made(kind, what, (ref,))


def log_of(run: list[tuple[str, Any, Any, int]]) -> list[CareEvent]:
    log: list[CareEvent] = []
    for change in run:
        made = event_of(change, log)
        if made is not None:
            log.append(made)
    return log


def sums(lot: Thing) -> tuple[int, int]:
    """Return what came in and where it is, both from the lot alone."""
    tally = lot.tally
    out = sum(int(tally.get(one, 0)) for one in (*LEAVING, SPLIT_OFF))
    return int(tally.get("come", 0)) + int(tally.get(BEYOND, 0)), (lot.count or 0) + out


def lots_of(standing: Standing) -> list[Thing]:
    return [one for one in standing.things.values() if one.kind == "lot"]


@settings(max_examples=400, deadline=None)
@given(st.lists(changes, min_size=1, max_size=25))
def test_what_came_in_is_what_is_there_and_what_left(run: list[tuple[str, Any, Any, int]]) -> None:
    standing = fold_all(log_of(run))
    for lot in lots_of(standing):
        assert sums(lot)[0] == sums(lot)[1]
        assert (lot.count or 0) >= 0
        assert all(value >= 0 for value in lot.tally.values() if isinstance(value, int))
        found = ledger_of(standing, lot)
        assert found.closes
        members = [one for one in standing.things.values() if one.tally.get(SPLIT_FROM) == f"lot:{lot.key}"]
        assert len(members) == lot.tally.get(SPLIT_OFF, 0)


@settings(max_examples=100, deadline=None)
@given(st.lists(changes, min_size=1, max_size=15), st.sets(st.sampled_from(LABELS), min_size=1, max_size=5))
def test_a_split_taken_back_leaves_all_as_it_was(run: list[tuple[str, Any, Any, int]], labels: set[str]) -> None:
    log = log_of(run)
    before = fold_all(log).rows()
    made = event_of(("split", "barn", sorted(labels), 70), log)
    assert made is not None
    undone = event_of(("withdrawn", len(log), None, 70), [*log, made])
    assert undone is not None
    after = fold_all([*log, made, undone]).rows()
    assert {key: row for key, row in after.items() if key[0] != "fold"} == {
        key: row for key, row in before.items() if key[0] != "fold"
    }


@settings(max_examples=100, deadline=None)
@given(st.lists(changes, min_size=1, max_size=20))
def test_the_rows_bring_the_same_sums_back(run: list[tuple[str, Any, Any, int]]) -> None:
    standing = fold_all(log_of(run))
    again = Standing.from_rows(standing.rows())
    assert [ledger_of(again, lot) for lot in lots_of(again)] == [ledger_of(standing, lot) for lot in lots_of(standing)]


TYPED = (
    "9 mixed cacti from irma, bare root, 35 euro",
    "10 ordered from Hofer, 9 came, 3-6 cm, bare root, 45 eur, half with mites",
    "2 of the irma lot died",
    "gave 3 of the hofer lot to Nika",
    "one of the hofer lot went missing",
    "found 1 of the hofer lot",
    "found 2 more of the irma lot",
    "the irma lot has 7 plants",
    "number 2 of the irma lot from 214",
    "216 to 218 are from the hofer lot",
    "the blue one from the irma lot is 230",
    "3 of the lot are now 240 241 242",
    "number them",
    "214 died",
    "gave 216 to Nika",
    "found 214",
    "washed 4 of the irma lot",
    "binned 1 of the irma lot yesterday",
    "no that was 2 not 1",
    "no that was yesterday",
    "undo",
    "undo",
)


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file at the newest schema, to be copied for each example."""
    path = tmp_path_factory.mktemp("template") / "potside.db"
    open_database(path).close()
    return path


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from(TYPED), min_size=1, max_size=14), st.booleans())
def test_whatever_is_typed_of_lots_the_sums_close_and_are_the_same_after_a_rebuild(
    template: Path, typed: list[str], apart: bool
) -> None:
    with TemporaryDirectory() as folder:
        database = open_database(shutil.copy(template, Path(folder) / "potside.db"))
        bench = Bench(database, CollectionSettings(zone="Europe/London", latitude=51.5))
        given_out: dict[str, str] = {}
        for words in (TYPED[0], TYPED[1], *typed):
            said = bench.later(days=1 if apart else 0, minutes=5).type(words)
            for event in said.events:
                for position in range(len(event.refs)) if event.facts.get("accession") and event.kind != "amended" else ():
                    number = number_of(event, position)
                    assert given_out.setdefault(number, event.identity) == event.identity  # never given twice
            assert all(ledger_of(bench.standing, lot).closes for lot in lots_of(bench.standing))
        before = bench.standing.rows()
        assert before == fold_all(bench.log).rows()
        rebuild(database, bench.now)
        assert bench.standing.rows() == before
        database.close()
