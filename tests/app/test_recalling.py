"""A note that corrects or reaches back some days is folded from what the process remembers of them, to the rows of a rebuild."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from bot.app import projecting, recalling
from bot.app.intake import Intake, rebuild
from bot.app.refolding import refolded
from bot.care.fold import fold_all
from bot.care.standing import Row
from bot.store import projections
from bot.store.database import open_database
from tests.app.bench import Bench

_TALE = {
    "2026-04-05T18:00": (
        "8 soaked|mites on 9|undo|9 died|undo|moved 10 to bench 2|undo|bought no 900 from Anna|undo|bought no 900 from Anna"
    ),
    "2026-04-06T09:00": (
        "900 died yesterday|undo|min 4 max 21|undo|remind me to feed 11 on 20 april|undo|12 is a rebutia|no that was 13"
    ),
    "2026-04-07T09:00": (
        "mites on 14 yesterday|14 is clean|watered bench 1 yesterday|undo|undo|gritty mix is 70 pumice 30 loam|undo"
    ),
    "2026-04-09T09:00": "moved 15 to bench 2 on sunday|fed bench 2 on saturday|8 died on saturday|undo|mites on 11 on saturday",
}


@pytest.fixture
def whole_logs(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Something for each time that more of the log is folded than what is remembered."""
    asked: list[int] = []
    whole = refolded

    def counted(*args: object) -> object:
        asked.append(1)
        return whole(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(projecting, "refolded", counted)
    monkeypatch.setattr(projecting, "refolded_apart", lambda *_: None)
    return asked


def _bench(file: Path) -> Bench:
    bench = Bench(open_database(file)).at("2026-04-01T09:00")
    for text in ("8-15 are lobivias on bench 1", "moved 14 15 to bench 2", "watered bench 1", "watered bench 2"):
        bench.type(text)
        bench.later(hours=20)
    return bench


def test_each_note_of_some_days_comes_to_the_fold_of_the_whole_log(tmp_path: Path, whole_logs: list[int]) -> None:
    bench = _bench(tmp_path / "tale.db")
    whole_logs.clear()  # the very first note of a collection makes its standing
    for moment, notes in _TALE.items():
        bench.at(moment)
        for text in notes.split("|"):
            bench.later(minutes=5)
            assert bench.type(text).events, text
            assert whole_logs == [], text
            held, whole = bench.intake.memory._held[bench.collection_id].standing, fold_all(bench.log)
            assert held.rows() == whole.rows(), text
            with bench.database.read() as conn:
                assert projections.load_standing(conn, bench.collection_id) == whole.rows(), text
    before, dues = bench.standing.rows(), bench.dues
    assert rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before
    assert bench.dues == dues
    bench.database.close()


def test_how_all_stood_before_the_note_stays_as_it_was(tmp_path: Path) -> None:
    bench = _bench(tmp_path / "before.db")
    for text in ("8 soaked", "mites on 8", "undo", "fed 8 yesterday", "9 died yesterday", "undo"):
        held, before = bench.intake.memory._held[bench.collection_id], bench.standing.rows()
        reached_back = text == "undo" or "yesterday" in text
        bench.type(text)
        bench.later(minutes=5)
        if reached_back:
            things = {key: held.standing.row_of(key) for key in held.standing.things}  # each from the thing as it is
            assert things == {key: row for key, row in before.items() if key in things}, text
            assert held.standing.rows() == before, text
    bench.database.close()


def test_what_was_not_lived_through_is_folded_from_the_log(tmp_path: Path, whole_logs: list[int]) -> None:
    bench = _bench(tmp_path / "start.db")
    whole_logs.clear()
    bench.intake = Intake(bench.database, bench.settings)
    bench.type("undo")  # of a note from before the start
    assert whole_logs == [1]
    assert bench.standing.rows() == fold_all(bench.log).rows()
    bench.type("8 soaked")
    bench.later(minutes=5).type("undo")
    assert whole_logs == [1]
    assert bench.standing.rows() == fold_all(bench.log).rows()
    bench.database.close()


def test_a_pot_that_is_usual_in_a_place_gets_its_recipe_in_the_rows_too(tmp_path: Path) -> None:
    bench = _bench(tmp_path / "mix.db")
    for text in ("bench 2 is 7s in gritty", "gritty mix is 70 pumice 30 loam"):
        assert bench.type(text).events, text
        bench.later(minutes=5)
    kept = bench.standing.rows()
    assert kept == fold_all(bench.log).rows()
    assert kept["rule", "place:bench 2"]["pot"]["recipe"]["parts"] == [["pumice", 70.0], ["loam", 30.0]]
    bench.database.close()


def _end(day: int, sequence: int) -> dict[tuple[str, str], Row]:
    return {("fold", ""): {"last_on": date(2026, 4, day).isoformat(), "last_sequence": sequence}}


def test_what_is_remembered_is_the_newest_notes_and_the_ends_of_days() -> None:
    kept: tuple[dict[tuple[str, str], Row], ...] = ()
    for number in range(90):
        kept = recalling.remember(kept, _end(1 + number // 3, number))  # type: ignore[assignment]
    sequences = [one["fold", ""]["last_sequence"] for one in kept]
    newest = list(range(90 - recalling.MOST_NOTES, 90))
    ends = [3 * day + 2 for day in range(30)][-recalling.MOST_DAYS :]
    assert sequences == sorted({*newest, *ends})
    assert recalling.remember(kept, {}) == kept
