"""Cold nights: who is at risk tonight, what was wet in the frost, and the second looks."""

from __future__ import annotations

from typing import Any

import pytest

from bot.app.climates import setting_of
from tests.app.bench import Bench, act, asked, labels, question


def climate(**facts: Any) -> dict[str, Any]:
    return {"type": "climate", **facts}


@pytest.fixture
def autumn(cool_bench: Bench) -> Bench:
    """Rebutias on bench 1 (safe to 3 °C dry by the table), a melocactus on bench 2 (15), a sempervivum on the patio (-15)."""
    cool_bench.at("2026-11-10T10:00")
    cool_bench.note(act("named", labels("1", "2", "3"), name="rebutia"), act("moved", labels("1", "2", "3"), to="bench 1"))
    cool_bench.note(act("named", labels("4"), name="melocactus"), act("moved", labels("4"), to="bench 2"))
    cool_bench.note(act("named", labels("5"), name="sempervivum"), act("moved", labels("5"), to="patio"))
    return cool_bench.at("2026-11-20T16:00")


def test_tonights_frost_names_wet_and_tender_plants_first(autumn: Bench) -> None:
    autumn.note(act("watered", labels("1", "2", "3"), when="2026-11-17"))
    autumn.note(act("watered", labels("5"), when="2026-11-19"))
    made = autumn.note(climate(min_c=-4.0, forecast=True))
    lines = made.text.splitlines()
    assert "-4 °C" in lines[0]
    assert lines[1] == "First: wet and tender: bench 1 (3) (floor 3 °C dry)."
    assert lines[2] == "Too cold for: 4 (Melocactus) (floor 15 °C dry)."
    assert lines[3].startswith("Still wet, keep above 0 °C: 5 (Sempervivum).")  # it stands -15 dry
    assert "House counted 2 °C above that (a guess)" in lines[3]
    assert len(lines) == 4


def test_wet_and_tender_at_once(autumn: Bench) -> None:
    autumn.note(act("watered", labels("4"), when="2026-11-19"))
    assert "First: wet and tender: 4 (Melocactus)" in autumn.note(climate(min_c=-4.0, forecast=True)).text


def test_the_heater_holds_the_house(autumn: Bench) -> None:
    autumn.note(act("watered", labels("1", "2", "3"), when="2026-11-17"))
    autumn.note(climate(set_c=6.0))
    made = autumn.note(climate(min_c=-4.0, forecast=True))
    assert "bench 1" not in made.text  # 6 °C inside, their floor is 3
    assert "4 (Melocactus)" in made.text
    assert "6 °C, the heater's" in made.text


def test_a_forecast_for_one_place(autumn: Bench) -> None:
    made = autumn.note(climate(min_c=-16.0, forecast=True, place="patio"))
    assert "5 (Sempervivum)" in made.text
    assert "Melocactus" not in made.text


def test_the_growers_floor_overrules_the_table(autumn: Bench) -> None:
    autumn.note(act("watered", labels("5"), when="2026-06-01"))
    assert "5 (Sempervivum)" not in autumn.note(climate(min_c=4.0, forecast=True)).text
    autumn.type("5 never below 6")
    assert "4 and 5 (floor 6 to 15" in autumn.note(climate(min_c=4.0, forecast=True)).text


def test_what_was_wet_when_it_froze(autumn: Bench) -> None:
    autumn.note(act("watered", labels("1", "2", "3"), when="2026-11-17"))
    autumn.note(act("watered", labels("5"), when="2026-08-01"))
    autumn.at("2026-11-21T08:00").note(climate(min_c=-3.0))
    asked_of = autumn.at("2026-11-25T08:00").note(question("wet_in_frost"), decision="answer").text
    assert "-3 °C, Sat 21 Nov: wet then: bench 1 (3)" in asked_of
    assert "4" not in asked_of
    assert "bench 1 (3)" in autumn.note(question("list", sign="mix_damp"), decision="answer").text
    assert "No frost" in autumn.at("2027-03-01T08:00").note(question("wet_in_frost"), decision="answer").text


def test_cold_damage_is_looked_for_twice(autumn: Bench) -> None:
    autumn.at("2026-11-21T08:00").note(climate(min_c=-3.0))
    assert autumn.due("follow_up").on.isoformat() == "2026-11-24"
    autumn.at("2026-11-24T10:00")
    autumn.note(question("due"), decision="answer")
    autumn.note(asked("done", 1), decision="do")
    autumn.note(act("inspected", {"words": "the house"}))
    second = [one for one in autumn.dues if one.kind == "follow_up"]
    assert [(one.on.isoformat(), one.until and one.until.isoformat()) for one in second] == [("2026-12-01", "2026-12-05")]


def test_a_night_above_freezing_below_a_tender_floor(autumn: Bench) -> None:
    autumn.at("2026-11-21T08:00").note(climate(min_c=4.0))
    look = autumn.due("follow_up")
    assert look.about == "chilled"
    assert [one.key for one in look.refs] == ["4"]  # the melocactus, whose floor is 15


def test_how_cold_may_they_stand(autumn: Bench) -> None:
    said = autumn.note(question("climate", which={"taxa": ["melocactus"]}), decision="answer").text
    assert "Melocactus: not below 15 °C, dry (genus table, confidence" in said
    autumn.type("melocactus never below 12")
    said = autumn.note(question("climate", which={"taxa": ["melocactus"]}), decision="answer").text
    assert "12 °C, dry (by your word of 20 Nov)" in said
    assert (
        "Not in my table: nonsuchias; I count on 5 °C"
        in autumn.note(question("climate", which={"taxa": ["nonsuchia"]}), decision="answer").text
    )


def test_the_lift_of_the_house_is_learned(autumn: Bench) -> None:
    for day in range(1, 6):
        autumn.at(f"2026-11-{day:02}T16:00").note(climate(min_c=float(day), forecast=True))
        autumn.at(f"2026-11-{day + 1:02}T08:00").note(climate(min_c=day + 4.5))
    made = autumn.at("2026-11-20T16:00").note(climate(min_c=-1.0, forecast=True))
    assert "House counted 4.5 °C above that (your last 5 nights)" in made.text


def test_a_reading_since_a_reset_bounds_every_day_of_its_time(bench: Bench) -> None:
    bench.note(climate(min_c=14.0, max_c=15.0, since="2026-04-05"))
    temperatures = setting_of(bench.standing, bench.settings, bench.now.date()).temperatures("")
    for day in range(6, 16):
        known = temperatures(bench.now.date().replace(day=day))
        assert 14 <= known.min_c <= known.max_c <= 15
        assert known.kind == "filled"


def test_outside_normals_are_lifted_for_the_house(bench: Bench) -> None:
    pairs = " ".join(["4/12"] * 12)
    bench.note(asked("set", text=f"normals {pairs}"), decision="do")
    inside = setting_of(bench.standing, bench.view_settings(), bench.now.date()).temperatures("")(bench.now.date())
    said = bench.note(asked("set", text=f"outside normals {pairs}"), decision="do").text
    outside = setting_of(bench.standing, bench.view_settings(), bench.now.date()).temperatures("")(bench.now.date())
    assert "hold outdoors" in said
    assert outside.min_c - inside.min_c == pytest.approx(2.0)  # a closed cool house keeps 2 °C above the night (project default)
    assert outside.kind == "normal"
