"""A reading in words reads back to itself: those of all corpora, and any that is made up of what the bench speaks of."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.notes.reader import read
from bot.notes.reading import Entry, Reading, Selection
from bot.notes.render import line
from bot.notes.wordings import facts, told
from tests.corpus.test_corpus import NAMES, NOW, corpus

SHARE = 0.99
WRITES = frozenset(("event", "finding", "skip", "measure", "climate", "hold", "reminder"))
DATA = Path(__file__).parents[1] / "notes" / "data"

LABELS = st.lists(st.integers(100, 612), min_size=1, max_size=4, unique=True).map(lambda found: tuple(str(one) for one in found))
PLACES = st.lists(st.sampled_from(["bench 1", "bench 2", "tray 3", "frame A", "top shelf"]), min_size=1, max_size=2, unique=True)
TAXA = st.sampled_from(["rebutia", "lithops", "haworthia", "copiapoa"]).map(lambda one: (one,))
SELECTIONS = st.one_of(
    st.builds(Selection, labels=LABELS),
    st.builds(Selection, places=PLACES.map(tuple)),
    st.builds(Selection, taxa=TAXA),
    st.builds(Selection, taxa=TAXA, places=PLACES.map(lambda found: tuple(found[:1]))),
    st.builds(Selection, taxa=TAXA, count=st.integers(2, 20)),
    st.builds(
        Selection,
        places=PLACES.map(lambda found: tuple(found[:1])),
        excluded=st.builds(Selection, labels=LABELS.map(lambda found: found[:2])).map(lambda one: (one,)),
    ),
)
PLANTS = st.builds(Selection, labels=LABELS)
DAYS = st.none() | st.dates(date(2025, 9, 1), date(2026, 4, 14))
ACTS = ["watered", "fed", "misted", "inspected", "treated", "washed", "repotted", "moved", "turned", "top_dressed", "unpotted"]
SIGNS = ["spider_mite", "mealybug", "scale_insect", "thrips", "whitefly", "fungus_gnat", "root_mealybug", "aphid", "slug"]
DETAILS = st.sampled_from([{}, {}, {"product": "soap"}, {"product": "neem", "dose": "5ml/l"}])
ENTRIES = st.one_of(
    st.builds(Entry, type=st.just("event"), act=st.sampled_from(ACTS[:4]), which=SELECTIONS, when=DAYS),
    st.builds(Entry, type=st.just("event"), act=st.sampled_from(ACTS), which=PLANTS, when=DAYS),
    st.builds(Entry, type=st.just("event"), act=st.just("treated"), which=PLANTS, when=DAYS, details=DETAILS),
    st.builds(
        Entry,
        type=st.just("event"),
        act=st.just("repotted"),
        which=PLANTS,
        when=DAYS,
        details=st.integers(5, 20).map(lambda size: {"pot_cm": size}),
    ),
    st.builds(Entry, type=st.just("skip"), act=st.sampled_from(["watered", "fed", "treated"]), which=PLANTS),
    st.builds(
        Entry,
        type=st.just("finding"),
        sign=st.sampled_from(SIGNS),
        status=st.sampled_from(["present", "absent", "cleared", "suspected"]),
        which=PLANTS,
    ),
    st.builds(Entry, type=st.just("climate"), min_c=st.integers(-9, 9).map(float), max_c=st.integers(10, 45).map(float)),
    st.builds(Entry, type=st.just("hold"), which=PLANTS, until=st.dates(date(2026, 4, 20), date(2026, 12, 31))),
    st.builds(
        Entry,
        type=st.just("reminder"),
        act=st.sampled_from(["watered", "fed", "inspected", "repotted"]),
        which=PLANTS,
        due=st.dates(date(2026, 4, 17), date(2026, 12, 31)),
    ),
    st.builds(
        Entry,
        type=st.just("measure"),
        of=st.just("height"),
        unit=st.just("cm"),
        which=PLANTS.map(lambda one: Selection(labels=one.labels[:1])),
        value=st.integers(2, 90).map(float),
    ),
)


def back(text: str) -> Reading:
    """Return what a text says at the moment and in the collection of the corpora."""
    return read(text, NOW, NAMES)


def noted() -> list[Reading]:
    """Return the readings of all corpora and gold notes that write something."""
    texts = [phrase for _, phrase, _ in corpus()]
    for path in sorted(DATA.glob("*.jsonl")):
        texts += [json.loads(row)["text"] for row in path.read_text(encoding="utf-8").splitlines() if '"text"' in row]
    readings = [back(text) for text in texts]
    return [one for one in readings if any(entry.type in WRITES for entry in one.entries)]


def unsaid(readings: list[Reading]) -> list[str]:
    """Return the readings that no words read back to."""
    found = []
    for one in readings:
        said = told(one, back, NOW.date())
        if said is None:
            found.append(line(one))
        else:
            assert facts(back(said)) == facts(one), said
    return found


def test_one_in_six_of_the_corpora_reads_back_to_itself() -> None:
    some = noted()[::6]
    assert len(some) > 100
    missing = unsaid(some)
    assert len(missing) <= 0.02 * len(some), missing


@pytest.mark.soak
def test_all_of_the_corpora_reads_back_to_itself() -> None:
    every = noted()
    missing = unsaid(every)
    assert len(missing) <= (1 - SHARE) * len(every), missing


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(entry=ENTRIES)
def test_any_entry_has_words_that_read_back_to_it(entry: Entry) -> None:
    said = told(Reading("log", None, (entry,)), back, NOW.date())
    assert said is not None, entry.to_json()
    assert facts(back(said)) == [entry.to_json()]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(first=PLANTS, second=PLANTS, days=st.tuples(DAYS, DAYS))
def test_two_acts_on_two_days_keep_their_days(first: Selection, second: Selection, days: tuple[date | None, date | None]) -> None:
    entries = (
        Entry("event", act="watered", which=first, when=days[0]),
        Entry("event", act="fed", which=second, when=days[1]),
    )
    said = told(Reading("log", None, entries), back, NOW.date())
    assert said is not None
    assert facts(back(said)) == [one.to_json() for one in entries]
