"""The first talk: which words answer a question, which are notes all the same, and which zone a place suggests."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

import pytest

from bot.app.first_talk import begun, suggested_zone
from bot.store import people
from bot.store.people import CollectionSettings
from tests.app.bench import Bench


def _open(bench: Bench, question: str) -> Bench:
    """Let a question of the first talk be open."""
    bench.type("12 and 13 are lobivias")
    bench.type("moved 12 to bench 1")
    with bench.database.write() as conn:
        settings = people.settings_of(conn, bench.collection_id)
        people.save_settings(conn, bench.collection_id, replace(settings, extra={"first_talk": question}))
    return bench


# Latitude and longitude from the gazetteer of the IANA time zone database (zone1970.tab names the same zones), to 0.1 degrees.
@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [
        (51.5, -0.1, "Europe/London"),
        (50.1, 14.4, "Europe/Prague"),
        (-26.2, 28.0, "Africa/Johannesburg"),
        (35.7, 139.7, "Asia/Tokyo"),
        (-33.9, 151.2, "Australia/Sydney"),
        (34.1, -118.2, "America/Los_Angeles"),
        (-36.9, 174.8, "Pacific/Auckland"),
    ],
)
def test_a_place_suggests_the_zone_of_its_city(latitude: float, longitude: float, zone: str) -> None:
    settings = CollectionSettings(zone="UTC", latitude=latitude, longitude=longitude)
    assert suggested_zone(settings) == zone


def test_without_a_place_the_zone_that_is_set_is_suggested() -> None:
    assert suggested_zone(CollectionSettings(zone="Europe/Berlin", latitude=10.0)) == "Europe/Berlin"


def test_what_is_set_already_is_not_asked() -> None:
    assert begun(CollectionSettings()).extra == {"first_talk": "place"}
    assert begun(CollectionSettings(latitude=51.5)).extra == {"first_talk": "zone"}


@pytest.mark.parametrize(
    ("question", "words", "field", "value"),
    [
        ("place", "51.5", "latitude", 51.5),
        ("place", "about 34 south", "latitude", -34.0),
        ("place", "48,2° N.", "latitude", 48.2),
        ("zone", "europe/prague", "zone", "Europe/Prague"),
        ("zone", "Los Angeles", "zone", "America/Los_Angeles"),
        ("coldest", "5", "floor_c", 5.0),
        ("coldest", "-2.5 °C", "floor_c", -2.5),
        ("coldest", "41f", "floor_c", 5.0),
        ("morning", "6:45", "morning_time", time(6, 45)),
        ("morning", "at 8", "morning_time", time(8, 0)),
        ("morning", "7 pm", "morning_time", time(19, 0)),
    ],
)
def test_words_that_answer_a_question(bench: Bench, question: str, words: str, field: str, value: object) -> None:
    answer = _open(bench, question).type(words)
    assert answer.written == []
    assert getattr(bench.view_settings(), field) == value
    assert bench.view_settings().extra.get("first_talk") != question


@pytest.mark.parametrize("question", ["place", "zone", "coldest", "morning"])
@pytest.mark.parametrize("note", ["watered bench 1", "mites on 12", "5 lithops from jo", "12 died", "min 4 max 19", "whats due"])
def test_a_note_is_a_note_whatever_question_is_open(bench: Bench, question: str, note: str) -> None:
    free = Bench(bench.database, bench.settings, address="other", now=bench.now)
    for one in (bench, free):
        _open(one, question)
    with free.database.write() as conn:
        people.save_settings(conn, free.collection_id, replace(free.view_settings(), extra={}))
    assert bench.type(note).text == free.type(note).text
    assert bench.view_settings().extra == {"first_talk": question}


@pytest.mark.parametrize(("question", "words"), [("place", "95"), ("coldest", "400"), ("morning", "25:00")])
def test_an_answer_out_of_range_is_asked_again(bench: Bench, question: str, words: str) -> None:
    before = _open(bench, question).view_settings()
    bench.type(words)
    assert bench.view_settings() == before


def test_the_open_question_of_a_note_comes_before_that_of_the_first_talk(bench: Bench) -> None:
    _open(bench, "coldest")
    asked = bench.note(
        {"type": "event", "act": "watered", "which": {"count": 4}}, decision="log_ask", ask="which", text="soaked four"
    )
    assert "Which" in asked.text
    bench.type("12")
    assert bench.view_settings().floor_c is None
