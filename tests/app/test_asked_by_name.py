"""Questions about the year and quarantine of named plants, about the day, and what nobody can answer."""

from __future__ import annotations

import pytest

from tests.app.bench import Bench


def some(bench: Bench) -> Bench:
    bench.type("12-20 are rebutias on bench 2")
    bench.type("got 3 lobivias from pia")
    return bench


@pytest.mark.parametrize("words", ["last soak before rest", "when is my last safe soak before the rest?"])
def test_the_last_soak_before_rest_is_asked_not_written(bench: Bench, words: str) -> None:
    said = some(bench).type(words)
    assert said.written == []
    assert "last soak before rest" in said.text
    assert "rebutias" in said.text


def test_whether_plants_rest(bench: Bench) -> None:
    some(bench).at("2026-12-10T09:00")
    assert bench.type("is 12 resting?").text.startswith("At rest now: 12")
    assert "look for the end of rest" in bench.type("when do the rebutias rest").text
    bench.at("2027-06-10T09:00")
    assert bench.type("are the rebutias dormant").text.startswith("Not at rest now: the rebutias")


def test_whether_plants_may_leave_quarantine(bench: Bench) -> None:
    """42 days and 500 degree-days, whichever comes later, and a look at the roots: project default over common practice."""
    some(bench)
    asked = "can i release the lobivias"
    assert "not before" in bench.type(asked).text
    assert "day 0 of 42, 0 of 500 degree-days, 0 clean looks, roots not seen" in bench.type(asked).text
    assert bench.type("is 12 ready to come out of quarantine").text == "Not in quarantine: 12 (Rebutia)."
    assert bench.type(asked).written == []
    bench.at("2026-09-10T09:00")
    assert "only after a look at the roots" in bench.type("when can the lobivias come out of quarantine").text


def test_how_long_the_day_is(bench: Bench) -> None:
    """At the equinox the day lasts a little over twelve hours everywhere: refraction and the sun's width (common practice)."""
    some(bench)
    assert "Fri 20 Mar: 12 h 1" in bench.at("2026-03-10T09:00").type("how long is the day on 20 march").text
    assert bench.at("2026-12-10T09:00").type("daylength").text.startswith("Today: 7 h 5")


@pytest.mark.parametrize("words", ["how deep is the sea", "what is the meaning of life"])
def test_a_question_that_nobody_taught_is_said_to_be_unknown(bench: Bench, words: str) -> None:
    assert some(bench).type(words).text.startswith("That question I do not know")


def test_the_heater_in_a_place(bench: Bench) -> None:
    assert "in the greenhouse: heater set to 5" in some(bench).type("heater set to 5 in the greenhouse").text


def test_a_watering_that_was_got_is_no_plant_that_came(bench: Bench) -> None:
    said = some(bench).type("15 got a light watering")
    assert said.written == ["watered"]
    assert [ref.key for one in said.events for ref in one.refs] == ["15"]


def test_the_second_spray_of_three_names_no_third_plant(bench: Bench) -> None:
    said = some(bench).type("2nd spray of 3 on 12 and 13")
    assert [ref.key for one in said.events for ref in one.refs] == ["12", "13"]
    assert "2 of 3" in said.text


def test_when_to_stop_and_to_begin_watering(bench: Bench) -> None:
    some(bench).at("2026-07-10T09:00")
    assert "last soak before rest" in bench.type("is it time to stop watering").text
    bench.at("2026-12-10T09:00")
    assert "look for the end of rest" in bench.type("when do i start watering the rebutias again").text
    assert bench.type("which ones are resting").text.startswith("At rest now: ")
    bench.at("2027-06-10T09:00")
    assert bench.type("which plants are resting?").text == "Not at rest now: any plant."
