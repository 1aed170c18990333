"""A reading in words reads back to itself: for any reading that has words of the bench."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from bot.notes.batch import names_from_json
from bot.notes.phrasing import examples, phrase
from bot.notes.reader import read
from bot.notes.reading import Entry, Reading, Selection
from bot.notes.render import line

NOW = datetime(2026, 4, 15, 10, 40, tzinfo=UTC)
NAMES = names_from_json(json.loads((Path(__file__).parents[1] / "notes" / "data" / "names.json").read_text(encoding="utf-8")))

LABELS = st.lists(st.integers(100, 612), min_size=1, max_size=5, unique=True).map(lambda found: tuple(str(one) for one in found))
PLACES = st.lists(st.sampled_from(["bench 1", "bench 2", "tray 3", "frame A", "top shelf"]), min_size=1, max_size=2, unique=True)
SELECTIONS = st.one_of(
    st.builds(Selection, labels=LABELS),
    st.builds(Selection, places=PLACES.map(tuple)),
    st.builds(Selection, taxa=st.sampled_from(["rebutia", "lithops", "haworthia", "copiapoa"]).map(lambda one: (one,))),
    st.builds(Selection, sowings=st.sampled_from(["S12", "S13", "S16"]).map(lambda one: (one,))),
)
DAYS = st.none() | st.dates(date(2025, 5, 1), date(2026, 4, 14))
ENTRIES = st.one_of(
    st.builds(Entry, type=st.just("event"), act=st.sampled_from(sorted(examples("act"))), which=SELECTIONS, when=DAYS),
    st.builds(Entry, type=st.just("skip"), act=st.just("watered"), which=SELECTIONS),
    st.builds(
        Entry,
        type=st.just("finding"),
        sign=st.sampled_from(sorted(examples("sign"))),
        status=st.sampled_from(["present", "absent", "cleared", "suspected"]),
        which=SELECTIONS,
    ),
    st.builds(Entry, type=st.just("climate"), min_c=st.integers(-9, 9).map(float), max_c=st.integers(10, 45).map(float)),
    st.builds(Entry, type=st.just("hold"), which=SELECTIONS, until=st.dates(date(2026, 4, 20), date(2026, 12, 31))),
    st.builds(
        Entry,
        type=st.just("measure"),
        of=st.just("height"),
        unit=st.just("cm"),
        which=st.builds(Selection, labels=LABELS.map(lambda found: found[:1])),
        value=st.integers(2, 90).map(float),
    ),
)


@given(entry=ENTRIES)
def test_what_is_put_into_words_reads_back_to_itself(entry: Entry) -> None:
    said = phrase(Reading("log", None, (entry,)))
    if said is None:
        return
    back = read(said, NOW, NAMES)
    assert [one.to_json() for one in back.entries if one.type != "remark"] == [entry.to_json()], (said, line(back))


def test_most_acts_and_signs_have_words() -> None:
    assert {"watered", "fed", "repotted", "potted", "unpotted", "died", "photographed"} <= set(examples("act"))
    assert len(examples("act")) >= 19
    assert len(examples("sign")) >= 40
