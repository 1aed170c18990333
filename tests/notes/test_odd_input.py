"""Input that is no note: each gets a reading, nothing raises, and what cannot be is asked about."""

from __future__ import annotations

import json
import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from bot.care.known_names import Names
from bot.notes.reader import read
from bot.notes.reading import Question
from tests.corpus.test_corpus import NAMES, corpus

NOW = datetime(2026, 4, 15, 10, 40, tzinfo=ZoneInfo("Europe/London"))


@pytest.mark.parametrize(
    "text",
    [
        *("", "   ", "\n\n", "🌵🌵", "水やりベンチ", "\x00\x07\x1b[0m", "?" * 50, "/nonsense", "((((", "x" * 5000),
        "DROP TABLE plants; --",
        "<b>hi</b><script>x</script>",
    ],
)
def test_what_is_no_note_is_a_remark(text: str) -> None:
    reading = read(text, NOW)
    assert reading.decision == "log"
    assert {one.type for one in reading.entries} == {"remark"}


def test_five_thousand_characters_of_notes_are_read_and_none_is_lost() -> None:
    text = "watered bench 2, " * 300
    reading = read(text, NOW)
    assert reading.entries[0].act == "watered"
    assert reading.entries[-1].span[1] == len(text)


def test_a_day_that_does_not_exist_is_asked() -> None:
    reading = read("watered bench 2 on 31 feb", NOW)
    assert (reading.decision, reading.ask) == ("ask", "when")


def test_a_temperature_outside_any_greenhouse_is_asked() -> None:
    assert read("min -60 last night", NOW).decision == "ask"
    assert read("max 75 in the greenhouse", NOW).decision == "ask"


def test_minimum_above_maximum_is_kept_as_said() -> None:
    entry = read("min 30 max 5", NOW).entries[0]
    assert (entry.min_c, entry.max_c) == (30, 5)


def test_fahrenheit_is_the_growers_unit_where_set() -> None:
    assert read("min 41 last night", NOW, units="imperial").entries[0].min_c == 5
    assert read("min 41f last night", NOW).entries[0].min_c == 5


def test_a_note_may_begin_with_a_minus() -> None:
    entry = read("-3 last night", NOW).entries[0]
    assert (entry.type, entry.min_c, str(entry.when)) == ("climate", -3, "2026-04-14")


@pytest.mark.parametrize(
    ("text", "order", "wanted"),
    [
        ("watered bench 2 on 3/4", "dmy", "2026-04-03"),
        ("watered bench 2 on 3/4", "mdy", "2026-03-04"),
        ("watered bench 2 on 2026-04-02", "dmy", "2026-04-02"),
        ("watered bench 2 on 2.4.2026", "dmy", "2026-04-02"),
        ("watered bench 2 april the 2nd", "dmy", "2026-04-02"),
        ("watered bench 2 fri before last", "dmy", "2026-04-03"),
        ("watered bench 2 over easter", "dmy", "2026-04-05"),
        ("watered bench 2 the day before yesterday", "dmy", "2026-04-13"),
        ("watered bench 2 a fortnight ago", "dmy", "2026-04-01"),
        ("watered bench 2 on the 3rd", "dmy", "2026-04-03"),
    ],
)
def test_dates_of_what_was_done(text: str, order: str, wanted: str) -> None:
    assert str(read(text, NOW, Names(places=("bench 2",)), date_order=order).entries[0].when) == wanted


@pytest.mark.parametrize(("hemisphere", "wanted"), [("N", "2027-03-01"), ("S", "2026-09-01")])
def test_seasons_follow_the_hemisphere(hemisphere: str, wanted: str) -> None:
    assert str(read("repot 77 next spring", NOW, hemisphere=hemisphere).entries[0].due) == wanted


def test_reading_imports_dateparser_only_for_a_phrase_that_needs_it() -> None:
    import subprocess  # noqa: PLC0415
    import sys  # noqa: PLC0415

    code = (
        "import sys; from datetime import datetime; from bot.notes.reader import read;"
        "read('watered bench 2 yesterday', datetime(2026, 4, 15)); print('dateparser' in sys.modules);"
        "read('watered bench 2 april the 2nd', datetime(2026, 4, 15)); print('dateparser' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]


@pytest.mark.parametrize("put", ["9" * 400, "9" * 13, "0", "00", "1.5.5", "²", "-1", "999999999999", "٣"])
def test_any_number_of_the_corpora_may_be_any_other(put: str) -> None:
    """A key that sticks, a superscript, a version number: read, or left as it is, and always fit for JSON."""
    for _, phrase, _ in corpus()[::3]:
        for found in re.finditer(r"\d+", phrase):
            text = phrase[: found.start()] + put + phrase[found.end() :]
            json.dumps(read(text, NOW, NAMES).to_json(), allow_nan=False)
            read(text, NOW, NAMES, answer_to=Question(phrase, "which"))
