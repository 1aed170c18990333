"""Settings by words: what is understood, what is refused and in which words, and that what is due follows at once."""

from __future__ import annotations

import re
from datetime import time
from typing import Any

import pytest

from bot.app.setting_words import changed_settings
from bot.store.people import CollectionSettings
from tests.app.bench import Answer, Bench, acquired, act, day, labels

PLAIN = CollectionSettings(zone="Europe/London")
TWELVE = "1/6 1/7 3/10 5/13 8/17 11/20 13/22 13/22 10/18 7/14 4/9 2/7"


def _set(bench: Bench, words: str) -> Answer:
    return bench.note({"type": "request", "do": "set", "text": words}, decision="do")


@pytest.mark.parametrize(
    ("words", "name", "value"),
    [
        ("set latitude 51.5", "latitude", 51.5),
        ("latitude is 51,5", "latitude", 51.5),
        ("my latitude is 33.9 S", "latitude", -33.9),
        ("set latitude -33.9", "latitude", -33.9),
        ("set latitude 34 south", "latitude", -34.0),
        ("set latitude 51° north", "latitude", 51.0),
        ("set latitude 0", "latitude", 0.0),
        ("set zone Europe/Prague", "zone", "Europe/Prague"),
        ("my time zone is Australia/Sydney", "zone", "Australia/Sydney"),
        ("set the zone to UTC", "zone", "UTC"),
        ("set zone europe/prague", "zone", "Europe/Prague"),
        ("set morning 07:15", "morning_time", time(7, 15)),
        ("set the morning message to 8", "morning_time", time(8, 0)),
        ("morning at 6.30", "morning_time", time(6, 30)),
        ("set morning 7pm", "morning_time", time(19, 0)),
        ("set morning 12pm", "morning_time", time(12, 0)),
        ("set morning 12am", "morning_time", time(0, 0)),
        ("set morning 0:00", "morning_time", time(0, 0)),
        ("my coldest night is 5", "floor_c", 5.0),
        ("set the coldest night to -2.5", "floor_c", -2.5),
        ("heater is at 7 °C", "floor_c", 7.0),
        ("set units us", "units", "us"),
        ("units: metric", "units", "metric"),
        ("set date order mdy", "date_order", "mdy"),
        ("date order d/m/y", "date_order", "dmy"),
        (f"set normals {TWELVE}", "normals", tuple(tuple(map(float, one.split("/"))) for one in TWELVE.split())),
    ],
)
def test_words_that_are_understood(words: str, name: str, value: Any) -> None:
    before = CollectionSettings(
        zone="Asia/Tokyo", units="metric" if value == "us" else "us", date_order="mdy", morning_time=time(3)
    )
    if name in ("floor_c", "normals"):
        before = PLAIN
    after = changed_settings(before, words)
    assert getattr(after, name) == value
    assert {key for key in after.to_json() if after.to_json()[key] != before.to_json()[key]} <= {name}, "one thing alone changes"


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("set latitude north", "latitude wants degrees"),
        ("set latitude 91", "between -90 and 90"),
        ("set latitude -120.5", "between -90 and 90"),
        ("set zone Middle/Earth", "no time zone 'Middle/Earth'"),
        ("set zone ../../etc/passwd", "no time zone"),
        ("set zone Europe", "no time zone"),
        ("set morning 25:00", "the morning message wants a time"),
        ("set morning 7:75", "the morning message wants a time"),
        ("my coldest night is 80", "wants degrees"),
        ("set units furlongs per fortnight, really", "units are metric or us"),
        ("set date order ymd", "dmy (24/12) or mdy (12/24)"),
        ("set normals 1/6 1/7", "twelve pairs"),
        ("set normals " + "9/6 " * 12, "twelve pairs"),
        ("set normals " + "80/90 " * 12, "twelve pairs"),
        ("set the kettle on", "I can set: latitude"),
        ("set", "I can set: latitude"),
        ("", "I can set: latitude"),
    ],
)
def test_words_that_are_refused_say_what_is_wanted(bench: Bench, words: str, wanted: str) -> None:
    before = bench.note({"type": "remark", "text": "first"}) and bench.view_settings()
    answer = _set(bench, words)
    assert wanted.lower() in answer.text.lower()
    assert len(answer.text) < 200
    assert bench.view_settings() == before


@pytest.mark.parametrize("words", ["set latitude 91", "set zone Nowhere", "set morning 25", "my coldest night is 80"])
def test_the_example_in_the_refusal_is_itself_understood(bench: Bench, words: str) -> None:
    said = _set(bench, words).text
    example = re.search(r"such as:? (.+?)(?: \(|\.?$)", said)
    assert example is not None
    words = example[1].rstrip(".")
    assert changed_settings(PLAIN, words if " " in words else f"set zone {words}") != PLAIN


def test_the_answer_says_how_it_is_now(bench: Bench) -> None:
    assert _set(bench, "set latitude -33.9").text == "Latitude 33.9° south."
    assert _set(bench, "set latitude -33.9").text == "That is how it is set already."
    assert _set(bench, "set morning 7:15").text == "Morning message at 07:15."
    assert bench.view_settings().latitude == -33.9


def test_several_settings_in_one_note(bench: Bench) -> None:
    words = [{"type": "request", "do": "set", "text": one} for one in ("set latitude 40", "set morning 6:00")]
    bench.note(*words, decision="do")
    assert (bench.view_settings().latitude, bench.view_settings().morning_time) == (40.0, time(6, 0))


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("set latitude 46", "latitude", 46.0),
        ("set zone Europe/Ljubljana", "zone", "Europe/Ljubljana"),
        ("my coldest night is 5", "floor_c", 5.0),
        ("set morning 07:15", "morning_time", time(7, 15)),
        ("set units us", "units", "us"),
        ("set date order mdy", "date_order", "mdy"),
    ],
)
def test_as_typed(bench: Bench, text: str, name: str, value: Any) -> None:
    assert bench.type(text).events == ()
    assert getattr(bench.view_settings(), name) == value


def test_what_is_due_follows_a_setting_at_once(bench: Bench) -> None:
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"))
    _set(bench, "set normals " + "15/25 " * 12)
    assert bench.due("release_look").on == day("2026-05-27"), "12 degree-days a day: the six weeks hold"
    _set(bench, "set normals " + "12/20 " * 12)
    assert bench.due("release_look").on == day("2026-06-17"), "8 degree-days a day: 500 on day 63"


def test_a_heater_holds_the_nights_up(bench: Bench) -> None:
    _set(bench, "set normals " + "-4/4 " * 12)
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"))
    assert "release_look" not in bench.kinds()
    _set(bench, "my coldest night is 16")
    assert "release_look" in bench.kinds()


def test_in_us_units_the_coldest_night_is_in_fahrenheit(bench: Bench) -> None:
    _set(bench, "set units us")
    _set(bench, "my coldest night is 41")
    assert bench.view_settings().floor_c == 5.0
    _set(bench, "my coldest night is 8 C")
    assert bench.view_settings().floor_c == 8.0


def test_dates_are_read_in_the_order_that_was_set(bench: Bench) -> None:
    bench.note(act("named", labels("12"), name="lobivia"))
    _set(bench, "set date order mdy")
    assert bench.type("watered 12 on 4/3").events[0].happened_on == day("2026-04-03")
    _set(bench, "set date order dmy")
    assert bench.type("watered 12 on 4/3").events[0].happened_on == day("2026-03-04")


def test_settings_go_through_the_store_unchanged() -> None:
    full = changed_settings(changed_settings(PLAIN, f"set normals {TWELVE}"), "set latitude -33.9")
    assert CollectionSettings.from_json(full.to_json()) == full
