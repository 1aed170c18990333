"""Two records of one plant made one: nothing of the old label is left, counts of lots hold, taken back it leaves no trace.

What holds is arithmetic and identity; nothing here is measured.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.app.intake import rebuild
from bot.care.accessions import number_of
from bot.care.events import CareEvent, Ref, effective
from bot.care.fold import fold_all
from bot.care.ledger import ledger_of
from bot.care.merging import MERGED, SAME, rewritten
from bot.store import carelog, people
from bot.store.database import open_database
from bot.store.people import CollectionSettings
from tests.app.bench import Bench
from tests.properties.test_lots import LABELS, changes, log_of, lots_of, sums

labels = st.lists(st.sampled_from(LABELS), min_size=2, max_size=2, unique=True)
children = st.lists(st.sampled_from(LABELS), max_size=4)


def about(log: list[CareEvent], parent: str, children: list[str]) -> list[CareEvent]:
    """Return the log with children of a plant, an answer to what was due of it, and a cross with it."""
    on, at = date(2026, 6, 10), datetime(2026, 6, 10, tzinfo=UTC)
    more = [
        CareEvent(f"c{n}", 0, on, at, "known", "parent", (Ref("plant", f"9{one}"),), {"parent": f"plant:{parent}"})
        for n, one in enumerate(children)
    ]
    more += [
        CareEvent("d0", 0, on, at, "done", "", (Ref("plant", parent),), {"due": f"isolation|plant:{parent}|2026-06-01"}),
        CareEvent("p0", 0, on, at, "event", "pollinated", (Ref("plant", "999"),), {"by": parent}),
        CareEvent("r0", 0, on, at, "reminder", "", (Ref("plant", parent),), {"act": "watered", "due": "2026-12-01"}),
    ]
    return [*log, *(replace(one, sequence=len(log) + n) for n, one in enumerate(more, 1))]


def merge(log: list[CareEvent], old: str, new: str) -> list[CareEvent]:
    """Return the log with two records made one, as the words do it."""
    at, number = datetime(2026, 7, 1, tzinfo=UTC), len(log)
    made: list[CareEvent] = []
    for event, patch in rewritten(effective(log), Ref("plant", old), Ref("plant", new)):
        facts = {"target": event.identity, "patch": patch}
        made.append(CareEvent(f"m{number}-{len(made)}", 0, date(2026, 7, 1), at, "amended", "", (), facts))
    facts = {SAME: [old]}
    made.append(CareEvent(f"m{number}", 0, date(2026, 7, 1), at, "known", MERGED, (Ref("plant", new),), facts))
    return [*log, *(replace(one, sequence=number + n) for n, one in enumerate(made, 1))]


def spoken_of(held: Any, label: str) -> bool:
    """Return whether a label is anywhere in JSON values, as a plant."""
    if isinstance(held, dict):
        return any(spoken_of(one, label) for one in held.values())
    if isinstance(held, list):
        return held[:2] == ["plant", label] or any(spoken_of(one, label) for one in held)
    return isinstance(held, str) and f"plant:{label}" in held.split("|")


@settings(max_examples=200, deadline=None)
@given(st.lists(changes, min_size=1, max_size=20), labels, children)
def test_nothing_is_said_of_the_record_that_ended(
    run: list[tuple[str, Any, Any, int]], pair: list[str], young: list[str]
) -> None:
    old, new = pair
    log = about(log_of(run), old, young)
    assert spoken_of([one.facts for one in log], old)
    standing = fold_all(merge(log, old, new))
    rows = {key: row for key, row in standing.rows().items() if key[0] != "merged"}
    assert ("plant", old) not in rows
    assert not any(spoken_of(row, old) or key[1] == f"plant:{old}" for key, row in rows.items())
    assert standing.same(Ref("plant", old)) == Ref("plant", new)
    assert all(standing.things["plant", f"9{one}"].parent == f"plant:{new}" for one in young)
    for lot in lots_of(standing):
        assert sums(lot)[0] == sums(lot)[1]
        assert ledger_of(standing, lot).closes


@settings(max_examples=200, deadline=None)
@given(st.lists(changes, min_size=1, max_size=20), labels, children)
def test_a_merge_taken_back_leaves_all_as_it_was(run: list[tuple[str, Any, Any, int]], pair: list[str], young: list[str]) -> None:
    log = about(log_of(run), pair[0], young)
    before = fold_all(log)
    done = merge(log, *pair)
    targets = [one.identity for one in done[len(log) :]]
    taken_back = CareEvent(
        "w",
        0,
        date(2026, 7, 2),
        datetime(2026, 7, 2, tzinfo=UTC),
        "withdrawn",
        "",
        (),
        {"targets": targets},
        sequence=len(done) + 1,
    )
    after = fold_all([*done, taken_back])
    for standing in (before, after):
        standing.last_sequence = 0  # how far the log goes is the one thing that differs
    assert after.rows() == before.rows()


@settings(max_examples=100, deadline=None)
@given(st.lists(changes, min_size=1, max_size=15), st.permutations(LABELS))
def test_two_merges_lead_to_the_last(run: list[tuple[str, Any, Any, int]], order: list[str]) -> None:
    first, second, third = order[:3]
    standing = fold_all(merge(merge(about(log_of(run), first, []), first, second), second, third))
    assert {standing.same(Ref("plant", one)).key for one in (first, second, third)} == {third}
    assert not {("plant", first), ("plant", second)} & standing.things.keys()


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(LABELS), min_size=2, max_size=8, unique=True), st.data())
def test_the_letters_of_the_others_stay(brought: list[str], data: st.DataObject) -> None:
    """A letter that was given is never another plant's (common practice): two of an accession made one, the rest keep theirs."""
    old, new = data.draw(st.permutations(brought))[:2]
    at = datetime(2026, 4, 1, tzinfo=UTC)
    refs = tuple(Ref("plant", one) for one in brought)
    facts = {"accession": "2026.0004", "qualifier": 3}
    came = CareEvent("e0", 0, date(2026, 4, 1), at, "event", "acquired", refs, facts, sequence=1)
    given_before = {one.key: number_of(came, position) for position, one in enumerate(refs)}
    standing = fold_all(merge([came], old, new))
    for label in set(brought) - {old, new}:
        assert standing.things["plant", label].accession == given_before[label]
    assert standing.things["plant", new].accession in (given_before[old], given_before[new])
    assert standing.accessions["2026.0004"] == 3 + len(brought)


@settings(max_examples=60, deadline=None)
@given(st.lists(changes, min_size=1, max_size=20), st.permutations(LABELS), children)
def test_the_entries_that_are_read_for_it_are_those_of_the_whole_log(
    run: list[tuple[str, Any, Any, int]], order: list[str], young: list[str]
) -> None:
    """What names a plant by its refs, in its facts, or since an amendment: with these a merge is the one of the whole log."""
    first, second, third = order[:3]
    log = merge(about(about(log_of(run), first, young), second, young), first, second)
    log = [replace(one, identity=f"{one.identity}:{number}") for number, one in enumerate(log, 1) if one.kind != "amended"]
    log = merge(log, first, second)
    with TemporaryDirectory() as folder:
        database = open_database(Path(folder) / "read.db")
        with database.write() as conn:
            chat = people.chat_of(conn, "terminal", "one", "one", CollectionSettings())
            whole = carelog.append(conn, chat.collection_id, [replace(one, sequence=0) for one in log])
            for old, new in ((second, third), (third, second)):
                read = carelog.load_speaking_of(conn, chat.collection_id, "plant", (old, new))
                wanted = rewritten(effective(whole), Ref("plant", old), Ref("plant", new))
                assert rewritten(effective(read), Ref("plant", old), Ref("plant", new)) == wanted
        database.close()


def test_entries_of_other_plants_are_not_read_for_it() -> None:
    on, at = date(2026, 6, 10), datetime(2026, 6, 10, tzinfo=UTC)
    odd = "o'\"%_\u00fc"
    log = [CareEvent(f"e{label}", 0, on, at, "event", "watered", (Ref("plant", str(label)),)) for label in range(300)]
    said: tuple[dict[str, Any], ...] = (
        {"parent": f"plant:{odd}"},
        {"of": [["plant", odd, None]]},
        {"by": odd},
        {"parent": "plant:470"},
        {"due": "x|plant:4"},
    )
    log += [CareEvent(f"s{number}", 0, on, at, "known", "", (Ref("plant", "9"),), facts) for number, facts in enumerate(said)]
    with TemporaryDirectory() as folder:
        database = open_database(Path(folder) / "read.db")
        with database.write() as conn:
            chat = people.chat_of(conn, "terminal", "one", "one", CollectionSettings())
            carelog.append(conn, chat.collection_id, log)
            found = carelog.load_speaking_of(conn, chat.collection_id, "plant", ("47", odd))
        database.close()
    assert [one.identity for one in found] == ["e47", "s0", "s1", "s2", "s3"]


def test_one_plant_that_came_once_came_once() -> None:
    """Two records of one arrival are the earlier one: no second quarantine, no second plant of the accession's year."""
    with TemporaryDirectory() as folder:
        bench = Bench(
            open_database(f"sqlite:///{Path(folder) / 'one.db'}"), CollectionSettings(zone="Europe/Oslo", latitude=60.4)
        )
        bench.at("2026-03-02T09:00")
        bench.type("bought no 12 from Hofer")
        bench.at("2026-03-20T09:00")
        bench.type("released 12")
        bench.at("2026-05-02T09:00")
        bench.type("bought a rebutia for 6 eur, no 47")
        bench.type("merge 47 into 12")
        plant = bench.standing.things["plant", "12"]
        assert (plant.came_on, plant.isolated_on, plant.price) == (date(2026, 3, 2), None, 6.0)
        assert plant.accession == "2026.0001"
        live = bench.standing.rows()
        rebuild(bench.database, bench.now)
        assert bench.standing.rows() == live
