"""What the answer says where a note goes against what is known; nothing of it ever stops the log."""

from __future__ import annotations

from typing import Any

import pytest

from tests.app.bench import Bench, act, labels, seen


def _named(bench: Bench, label: str, name: str) -> None:
    bench.note(act("named", labels(label), name=name))


def _water(bench: Bench, label: str, **details: Any) -> str:
    made = bench.note(act("watered", labels(label), **details))
    assert made.written == ["watered"]  # never in the way of the log
    return made.text


def test_watered_while_on_hold(bench: Bench) -> None:
    bench.note({"type": "hold", "which": labels("12"), "until": "2026-05-03"})
    assert "12 was to have no water until Sun 3 May" in _water(bench, "12")
    bench.at("2026-05-04T10:00")
    assert "Mind" not in _water(bench, "12")


def test_watered_while_out_of_the_pot(bench: Bench) -> None:
    bench.note(act("unpotted", labels("12"), when="2026-04-12"))
    assert "12 is out of the pot since Sun 12 Apr" in _water(bench, "12")


def test_watered_before_the_first_water_day(warm_bench: Bench) -> None:
    # A full repot in warm growth waits 7 days (common practice).
    warm_bench.note(act("repotted", labels("12"), when="2026-04-12"))
    assert "first water from Sun 19 Apr" in _water(warm_bench, "12")


def test_repotted_and_watered_on_one_day_in_either_order(warm_bench: Bench) -> None:
    both = warm_bench.note(act("repotted", labels("12")), act("watered", labels("12")))
    assert both.written == ["repotted", "watered"]
    assert "potted and watered on one day" in both.text
    _water(warm_bench, "14")
    assert "potted and watered on one day" in warm_bench.note(act("repotted", labels("14"))).text
    warm_bench.note(act("repotted", labels("15")))
    assert "potted and watered on one day" in _water(warm_bench, "15")


def test_watered_at_rest_by_the_growers_word(bench: Bench) -> None:
    bench.note(act("rest_started", labels("12"), when="2026-04-01"))
    made = bench.note(act("watered", labels("12")))
    assert "12 is at rest since Wed 1 Apr, by your word" in made.text
    woken = bench.note(act("watered", labels("12")), act("rest_ended", labels("12")))
    assert "Mind" not in woken.text  # the same note ends the rest


def test_watered_at_rest_by_the_genus_table(cool_bench: Bench) -> None:
    cool_bench.at("2026-01-15T10:00")
    _named(cool_bench, "12", "lithops")  # rests dry from October to April (table, confidence A)
    said = _water(cool_bench, "12")
    assert "should rest dry now (by the genus table, confidence A)" in said
    assert "old leaves dried to paper" in said
    assert "your word" not in said


def test_a_row_from_memory_is_no_ground_to_object(cool_bench: Bench) -> None:
    cool_bench.at("2026-01-15T10:00")
    _named(cool_bench, "12", "espostoa")  # confidence C
    assert "Mind" not in _water(cool_bench, "12")


def test_fed_at_rest_and_in_the_first_water(warm_bench: Bench) -> None:
    warm_bench.note(act("rest_started", labels("12"), when="2026-04-01"))
    assert "no feed until growth" in warm_bench.note(act("fed", labels("12"))).text
    warm_bench.note(act("repotted", labels("14"), when="2026-04-01"))
    assert "no feed in the first water" in warm_bench.note(act("fed", labels("14"))).text
    warm_bench.note(act("watered", labels("15"), when="2026-04-01"))
    assert "Mind" not in warm_bench.note(act("fed", labels("15"))).text


@pytest.mark.parametrize(("what", "words"), [("offered", "wait until it is clear"), ("given", "tell whoever has it now")])
def test_out_of_quarantine_into_other_hands(bench: Bench, what: str, words: str) -> None:
    bench.note(act("isolated", labels("12"), when="2026-04-03"))
    made = bench.note(act(what, labels("12"), to="irma"))
    if what == "offered":  # asked first, written after a yes
        assert made.written == []
        assert "offer all the same?" in made.text
        made = bench.note(act(what, labels("12"), to="irma"), answers=True)
    assert "12" in made.text
    assert "quarantine, day 12" in made.text
    assert words in made.text
    assert made.written == [what]


def test_given_with_an_open_case(bench: Bench) -> None:
    bench.note(seen("mealybug", labels("12")))
    assert "12 with a find that is still followed: offer all the same?" in bench.note(act("offered", labels("12"))).text
    made = bench.note(act("offered", labels("12")), answers=True)
    assert "12 is still followed for mealybugs" in made.text


def test_moved_to_a_brighter_place_in_spring_only(bench: Bench) -> None:
    bench.note(act("moved", labels("12"), to="loft"))
    assert "against scorch" in bench.note(act("moved", labels("12"), to="south sill")).text
    bench.at("2026-09-15T10:00")
    bench.note(act("moved", labels("14"), to="loft"))
    assert "scorch" not in bench.note(act("moved", labels("14"), to="south sill")).text


def test_the_third_hot_day_after_winter(bench: Bench) -> None:
    for day in ("2026-01-05", "2026-01-15", "2026-01-25", "2026-02-05", "2026-02-15"):
        bench.note({"type": "climate", "min_c": 4, "max_c": 10, "when": day})
    for day in ("2026-04-12", "2026-04-13"):
        assert "scorch" not in bench.note({"type": "climate", "min_c": 8, "max_c": 20, "when": day}).text
    assert "shade what stood dim" in bench.note({"type": "climate", "min_c": 8, "max_c": 21, "when": "2026-04-14"}).text
    assert "scorch" not in bench.note({"type": "climate", "min_c": 8, "max_c": 21, "when": "2026-04-15"}).text  # told once


@pytest.mark.parametrize(
    ("details", "words"),
    [
        ({"how": "spray", "product": "neem oil"}, "no oil on a dry resting plant"),
        ({"how": "spray", "product": "soap"}, "no soap on a dry resting plant"),
        ({"how": "spray", "product": "ipa"}, "alcohol as a spray is flammable"),
        ({"how": "dip", "product": "hot water"}, "never propose a hot dip"),
    ],
)
def test_what_speaks_against_a_treatment(bench: Bench, details: dict[str, Any], words: str) -> None:
    bench.note(act("rest_started", labels("12"), when="2026-04-01"))
    made = bench.note(act("treated", labels("12"), **details))
    assert words in made.text
    assert made.written == ["treated"]


def test_oil_in_the_heat_by_the_thermometer_only(bench: Bench) -> None:
    bench.at("2026-07-10T10:00")
    assert "29 °C" not in bench.note(act("treated", labels("14"), how="spray", product="oil")).text.split("Oil:")[0]
    bench.note({"type": "climate", "min_c": 18, "max_c": 34})
    assert "above 29 °C scorches" in bench.note(act("treated", labels("12"), how="spray", product="oil")).text
    assert "Mind" not in bench.note(act("treated", labels("15"), how="dab", product="ipa")).text


def test_safety_lines_come_once_and_again_after_thirty_days(bench: Bench) -> None:
    spray = act("treated", labels("12"), how="spray", product="bug clear")
    assert "label rate" in bench.note(spray).text
    assert "label rate" not in bench.note(spray).text
    bench.later(days=31)
    assert "label rate" in bench.note(spray).text
    bench.later(days=2)
    other = act("treated", labels("12"), how="spray", product="mite stop")
    assert "label rate" in bench.note(other).text  # the first use of another product


def test_safety_lines_come_before_the_first_use(bench: Bench) -> None:
    planned = {"type": "reminder", "act": "treated", "which": labels("12"), "due": "2026-04-20", "text": "spray 12 with ipa"}
    assert "no flame" in bench.note(planned, decision="remind").text
    asked = {"type": "question", "about": "dose", "details": {"product": "neem oil", "dose": "2 ml/l", "litres": 2.0}}
    assert "Oil: not below 10" in bench.note(asked, decision="answer").text


def test_safety_lines_by_plant_and_by_word(bench: Bench) -> None:
    _named(bench, "12", "euphorbia obesa")
    assert "sap burns" in bench.note(act("cutting_taken", labels("12"))).text
    _named(bench, "14", "opuntia microdasys")
    assert "Glochids" in bench.note(act("repotted", labels("14"))).text
    assert "joint" in bench.note({"type": "remark", "text": "spine"}, text="got a spine stuck in my finger").text
    assert "poison line or vet" in bench.note({"type": "remark", "text": "cat"}, text="the cat chewed 12").text
    assert "papers" in bench.note(act("given", labels("14"), to="olaf"), text="posted 14 abroad to olaf").text
    assert "mask" in bench.note(act("mixed"), text="mixed 10 litres").text


def test_an_unsure_genus_is_asked_about_once(bench: Bench) -> None:
    first = bench.note(act("named", labels("12"), name="espostoa"))
    assert "from memory only" in first.text
    assert "espostoas are winter growers" in first.text
    bench.later(days=40)
    assert "from memory only" not in bench.note(act("named", labels("14"), name="espostoa")).text
    assert "from memory" not in bench.note(act("named", labels("15"), name="lithops")).text


def test_part_shade_plants_in_the_sun(bench: Bench) -> None:
    _named(bench, "12", "haworthia")  # part shade by the genus table
    bench.note(act("moved", labels("12"), to="bench 1"))
    assert "12 (Haworthia) wants part shade (genus table)" in bench.note(act("moved", labels("12"), to="south sill")).text
    bench.type("12 takes full sun")
    bench.note(act("moved", labels("12"), to="bench 1"))
    assert "Mind" not in bench.note(act("moved", labels("12"), to="south sill")).text  # the grower overrules


def test_heat_under_glass_is_told_once(bench: Bench) -> None:
    assert "air and shade at once" in bench.note({"type": "climate", "min_c": 15, "max_c": 39}).text
    assert "air and shade" not in bench.note({"type": "climate", "min_c": 15, "max_c": 41}).text
    bench.later(days=31)
    assert "air and shade" not in bench.note({"type": "climate", "min_c": 15, "max_c": 37}).text


def test_may_i_water_knows_the_genus_table(cool_bench: Bench) -> None:
    cool_bench.at("2026-01-15T10:00")
    for label in ("12", "14"):
        _named(cool_bench, label, "lithops")
    _named(cool_bench, "15", "espostoa")
    ask = {"type": "question", "about": "may_water", "which": labels("12", "14")}
    said = cool_bench.note(ask, decision="answer").text
    assert said.startswith("Not 12 and 14: at rest now, by the genus table, confidence A; restart: old leaves")
    assert "Nothing holds" in cool_bench.note(ask | {"which": labels("15")}, decision="answer").text


def test_what_rests_and_is_wet(cool_bench: Bench) -> None:
    cool_bench.at("2026-01-15T10:00")
    _named(cool_bench, "12", "lithops")
    cool_bench.note(act("rest_started", labels("14")))
    cool_bench.note(act("watered", labels("12")))
    said = cool_bench.note({"type": "question", "about": "rest_check"}, decision="answer").text
    assert said.splitlines()[0] == "At rest and still wet: 12 (Lithops)."
    assert "14" in said.splitlines()[1]
