"""What is kept from note to note is what comes out from nothing: after any run of notes, days, undos and settings.

Two growers type into one intake, as in a running program. After each note what is held of both is compared with the log folded
anew and with all that is due worked out anew, under a setting made anew.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from bot.app import projecting
from bot.app.climates import setting_of
from bot.app.intake import local
from bot.care.due import all_due
from bot.care.due_water import learned_of
from bot.care.fold import fold_all
from bot.care.standing import Standing
from bot.store import inbox, people
from bot.store.database import open_database
from bot.store.people import CollectionSettings
from tests.app.bench import Bench

CALM = settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # each step is a note on a database: a run is read, not made shorter
)
BEGINNING = (
    "bought 6 lobivias from Anna",
    "number them from 1",
    "1 to 4 are on bench 1",
    "5 and 6 are on bench 2",
    "6 is a melocactus",
    "bench 1 is 9s, plastic, half mineral",
    "watered everything",
)
PLANTS = ("1", "2", "3 and 4", "5", "6", "bench 1", "bench 2", "everything")
SAID = (
    "watered {}",
    "gave {} 30ml",
    "{} is dry",
    "{} still damp",
    "repotted {} into 11cm pumice",
    "mites on {}",
    "sprayed {} with soap",
    "checked {} for mites, clean",
    "washed {} bare root",
    "potted {} into 9cm",
    "{} rests",
    "{} is growing again",
    "moved {} to bench 2",
    "moved {} outside",
    "{} has rot, cut it",
    "lost {} to rot",
    "no water for {} till may",
    "{} is flowering",
    "{} takes full sun",
    "took 3 cuttings off {}",
)
ALONE = (
    "min 2 max 15",
    "min 4 max 21",
    "min 14 max 33",
    "bench 1 min 1 max 12",
    "forecast -2 tonight",
    "humidity 60",
    "min 3 max 20 yesterday",
    "bench 1 stands in the hall",
    "hall min 7 max 18",
    "house kept above 6",
    "set latitude -34",
    "set latitude 51.5",
    "my lobivias rest from november to february",
    "drop rule 1",
    "the gritty mix is 3 pumice 1 loam",
    "bench 2 is 7s, clay, gritty mix",
    "bench 1 is 11s, clay",
    "5 is a lithops",
    "sown 20 parodia",
    "12 came up",
    "remind me to feed bench 1 on friday",
    "watered bench 1 yesterday",
    "no that was bench 2",
    "undo",
    "undo",
    "done 1",
    "later 1 by a week",
    "watered 5 and whats due",
    "whats due",
)
MOVES = ("a minute", "a minute", "a minute", "a day", "a week", "a season")
HOURS = {"a minute": 1 / 60, "a day": 24, "a week": 168, "a season": 2000}

spoken = st.one_of(
    st.tuples(st.sampled_from(SAID), st.sampled_from(PLANTS)).map(lambda one: one[0].format(one[1])), st.sampled_from(ALONE)
)
steps = st.tuples(spoken, st.sampled_from(MOVES), st.booleans(), st.booleans())


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file at the newest schema in which two growers have begun, to be copied for each example."""
    path = tmp_path_factory.mktemp("template") / "potside.db"
    with _growers(path) as both:
        for bench in both:
            for text in BEGINNING:
                bench.later(minutes=1).type(text)
    return path


@contextmanager
def _growers(path: Path) -> Iterator[tuple[Bench, Bench]]:
    database = open_database(path)
    try:
        both = tuple(Bench(database, CollectionSettings(zone="Europe/London", latitude=51.5), name) for name in ("here", "there"))
        both[1].intake = both[0].intake
        yield both[0], both[1]
    finally:
        database.close()


def _as_from_nothing(bench: Bench) -> None:
    """Compare what is held of a collection with what comes out of its log, its settings and its day from nothing."""
    with bench.database.read() as conn:
        held = bench.intake.memory.current(conn, bench.collection_id)
        stored = projecting.load(conn, bench.collection_id)
        collection = people.settings_of(conn, bench.collection_id)
        assert [reason for _, reason in inbox.poison_rows(conn)] == []
    assert held.setting is not None
    fresh = fold_all(bench.log)
    assert held.standing.rows(held.rows) == fresh.rows() == held.rows == stored.rows
    assert held.standing.names() == Standing.from_rows(held.rows).names() or not held.rows
    setting = setting_of(held.standing, collection, held.setting.today)
    anew = all_due(held.standing, setting)
    assert list(held.dues()) == anew
    assert {one.key: (one.on, one.until, dict(one.why)) for one in stored.dues()} == {
        one.key: (one.on, one.until, projecting.due_of(projecting.record_of(one, setting.today)).why) for one in anew
    }
    assert learned_of(held.standing, held.setting) == learned_of(held.standing, setting)
    for place in ("", "bench 1", "bench 2", "hall", "outside"):
        assert held.setting.temperatures(place)(setting.today) == setting.temperatures(place)(setting.today)
        assert held.setting.nights(place)(setting.today) == setting.nights(place)(setting.today)


@CALM
@given(st.lists(steps, min_size=1, max_size=14))
def test_what_is_kept_is_what_comes_out_from_nothing(template: Path, run: list[tuple[str, str, bool, bool]]) -> None:
    with TemporaryDirectory() as folder, _growers(Path(shutil.copy(template, Path(folder) / "potside.db"))) as both:
        both[0].notes = both[1].notes = 100
        for bench in both:
            bench.at("2026-04-15T11:00").type("whats due")
        for text, moved, there, rounds in run:
            for bench in both:
                bench.later(hours=HOURS[moved])
            if rounds:
                both[0].rounds()
            bench = both[there]
            assert bench.type(text).text.strip(), text
            assert local(bench.now, bench.settings).date() >= bench.log[-1].recorded_at.date()
            for one in both:
                _as_from_nothing(one)
