"""A note works out what it touched and no more, however many plants there are: counted, not timed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from bot.app.intake import Intake, rebuild
from bot.care import climate
from bot.care import standing as standing_module
from bot.care.events import CareEvent, Ref
from bot.care.standing import Thing
from bot.store import carelog, people
from tests.app.bench import Bench

FEW, MANY = 40, 400
ON_A_BENCH = 20
TODAY = date(2026, 7, 14)
GENERA = ("Rebutia", "Lithops", "Gymnocalycium", "Haworthia")


def _event(number: int, on: date, kind: str, what: str, refs: tuple[Ref, ...], **facts: Any) -> CareEvent:
    return CareEvent(f"e{number}", 0, on, datetime(on.year, on.month, on.day, 9, tzinfo=UTC), kind, what, refs, facts)


def _record(plants: int) -> Iterator[CareEvent]:
    """Plants on benches of twenty, watered on days of their own, and as many readings as plants."""
    numbers = iter(range(1, 10**6))
    begin = TODAY - timedelta(days=plants)
    for bench in range(plants // ON_A_BENCH):
        labels = tuple(Ref("plant", str(bench * ON_A_BENCH + one + 1)) for one in range(ON_A_BENCH))
        facts = {"settled": True, "name": GENERA[bench % len(GENERA)], "to": f"bench {bench + 1}"}
        yield _event(next(numbers), begin, "event", "acquired", labels, **facts)
    for day in range(1, plants):
        on = begin + timedelta(days=day)
        yield _event(next(numbers), on, "climate", "", (), min_c=10.0 + day % 7, max_c=25.0 + day % 5)
        if day >= plants - 30:
            bench = day % (plants // ON_A_BENCH)
            labels = tuple(Ref("plant", str(bench * ON_A_BENCH + one + 1)) for one in range(ON_A_BENCH))
            yield _event(next(numbers), on, "event", "watered", (Ref("place", f"bench {bench + 1}"), *labels), how="soak")


def _filled(bench: Bench, plants: int) -> Bench:
    """Fill the collection, and let it be spoken to once in the evening, so that what there is has been worked out."""
    bench.at("2026-07-14T17:00").type("hello")
    with bench.database.write() as conn:
        carelog.append(conn, bench.collection_id, list(_record(plants)))
    rebuild(bench.database, bench.now)
    bench.intake = Intake(bench.database, bench.settings)
    bench.at("2026-07-14T18:00").type("3 looks fine")
    bench.later(minutes=1).type("4 looks fine")
    return bench


@contextmanager
def _counted(monkeypatch: pytest.MonkeyPatch, bench: Bench) -> Iterator[Counter[str]]:
    """Count rows of things made, days of readings merged, and pieces of what is due worked out."""
    counts: Counter[str] = Counter()

    def counting(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def count(*given: Any) -> Any:
            counts[name] += 1
            return real(*given)

        return count

    before = _worked(bench)
    with monkeypatch.context() as patch:
        real = standing_module.Standing._row_of
        patch.setattr(standing_module.Standing, "_row_of", lambda held, key, one, old: _row(counts, real, held, key, one, old))
        patch.setattr(climate.PlaceClimate, "_merge", counting("days merged", climate.PlaceClimate._merge))
        yield counts
    counts.update({f"worked out: {key}": number - before.get(key, 0) for key, number in _worked(bench).items()})


def _row(counts: Counter[str], real: Callable[..., Any], *given: Any) -> Any:
    counts["things made a row"] += isinstance(given[2], Thing)
    return real(*given)


def _worked(bench: Bench) -> dict[str, int]:
    with bench.database.read() as conn:
        held = bench.intake.memory.current(conn, bench.collection_id)
    assert held.setting is not None
    return dict(held.setting.kept.worked)


def _work_of(monkeypatch: pytest.MonkeyPatch, bench: Bench, plants: int, *texts: str) -> Counter[str]:
    _filled(bench, plants)
    with _counted(monkeypatch, bench) as counts:
        for text in texts:
            bench.later(minutes=1).type(text)
    return +counts


@pytest.mark.parametrize("plants", [FEW, MANY])
def test_a_note_on_one_plant_works_out_that_plant_and_its_groups(
    bench: Bench, plants: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked = _work_of(monkeypatch, bench, plants, "7 soaked")
    assert worked["worked out: thing"] == 1
    assert worked["worked out: pots"] == 2  # those that it was watered with, and those of today
    assert worked["worked out: rest"] == 1  # the rebutias of its bench
    assert worked["things made a row"] <= 2
    assert worked["days merged"] == 0


@pytest.mark.parametrize("plants", [FEW, MANY])
def test_a_note_on_a_bench_works_out_that_bench(bench: Bench, plants: int, monkeypatch: pytest.MonkeyPatch) -> None:
    worked = _work_of(monkeypatch, bench, plants, "watered bench 1")
    assert worked["worked out: thing"] == ON_A_BENCH + 1
    assert worked["worked out: rest"] == 1
    assert worked["things made a row"] <= ON_A_BENCH + 2


def test_a_question_works_out_nothing(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = ("whats due", "where is 7", "when did i last water bench 1", "card 7")
    assert _work_of(monkeypatch, bench, MANY, *asked) == Counter()


def test_one_reading_more_is_one_day_looked_at(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    worked = _work_of(monkeypatch, bench, MANY, "min 9 max 27")
    assert worked["days merged"] <= 2
    assert worked["worked out: thing"] <= 1  # the plants themselves ask for nothing that hangs on the warmth


def test_a_new_day_works_out_no_plant_that_waits_for_nothing(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    _filled(bench, MANY)
    bench.at("2026-07-15T07:30")
    with _counted(monkeypatch, bench) as counts:
        bench.rounds()
        bench.later(minutes=1).type("whats due")
    assert counts["worked out: thing"] == 0
    assert counts["things made a row"] == counts["days merged"] == 0
    assert 0 < counts["worked out: pots"] <= MANY // ON_A_BENCH


def test_the_settings_of_another_collection_do_not_matter(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    _filled(bench, FEW)
    with bench.database.write() as conn:
        people.chat_of(conn, "terminal", "elsewhere", "elsewhere", bench.settings)
    other = Bench(bench.database, bench.settings, "elsewhere", bench.now)
    other.intake = bench.intake
    with _counted(monkeypatch, bench) as counts:
        other.type("set latitude -34")
        bench.later(minutes=1).type("7 soaked")
    assert counts["worked out: thing"] == 1
