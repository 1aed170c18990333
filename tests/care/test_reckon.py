"""Computations by name: the fixed inputs and outputs, what they refuse, and that the list tells all."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import pytest

from bot.care.reckon import ReckonError, reckon, reckon_list, reckon_names

NAMES = (
    "degree-days reinspect quarantine drying last-soak daylength rest vapour-pressure radiation pot pot-volume mix dose "
    "dilution frost germination callus"
)
DRYING = {
    "pot": "9",
    "material": "plastic",
    "mix": "half",
    "min": "11",
    "max": "19",
    "rh": "70",
    "plant": "growing",
    "air": "normal",
    "light": "full",
}


def result(name: str, **given: str) -> Mapping[str, Any]:
    return reckon(name, given).result


def test_all_names_are_there() -> None:
    assert set(reckon_names()) == set(NAMES.split())


def test_degree_days() -> None:
    # Zalom et al. 1983, Table 7, case 5: 60/100 F, thresholds 55 and 90: sine 22.82, triangle 23.75.
    given = {"min": "60", "max": "100", "base": "55", "upper": "90"}
    assert reckon("degree-days", given).result["value"] == pytest.approx(22.82, abs=0.006)
    assert reckon("degree-days", {**given, "method": "triangle"}).result["value"] == pytest.approx(23.75, abs=0.006)
    assert reckon("degree-days", {"min": "5", "max": "15", "base": "11"}).result["value"] == pytest.approx(1.12349, abs=2e-5)


def test_daylength_and_sunrise() -> None:
    # Skyfield with JPL DE421: 12.1861 h at 52 N on 20 March 2025. USNO, Atlanta, 21 June 2007: 5:27 to 19:51 EST.
    assert result("daylength", latitude="52", day="2025-03-20")["hours"] == pytest.approx(12.1861, abs=0.03)
    times = result("daylength", latitude="33.7667", longitude="-84.4167", day="2007-06-21")
    assert times["sunrise"].startswith("2007-06-21T10:2")
    assert result("daylength", latitude="78", longitude="15", day="2025-06-21")["sunrise"] is None


def test_vapour_pressure_and_radiation() -> None:
    # FAO-56 Examples 3 and 8; dew point 6.714 C at 10 C and 80 %.
    assert result("vapour-pressure", t="24.5")["kpa"] == pytest.approx(3.075, abs=0.001)
    assert result("vapour-pressure", t="10", rh="80")["dew_point_c"] == pytest.approx(6.714, abs=0.01)
    assert result("radiation", latitude="-20", day="246")["ra_mj_m2_day"] == pytest.approx(32.2, abs=0.05)
    assert result("radiation", latitude="-20", day="2025-09-03")["ra_mj_m2_day"] == pytest.approx(32.2, abs=0.05)
    assert result("radiation", latitude="52", day="196")["inside_mj_m2_day"] == pytest.approx(5.94, abs=0.006)


def test_drying() -> None:
    dry = reckon("drying", {**DRYING, "rn": "3.0"})
    assert dry.result["days"] == pytest.approx(9.5, abs=0.06)
    assert dry.result["high"] / dry.result["days"] == pytest.approx(1.99, abs=0.005)
    assert dry.range["days"] == [dry.result["low"], dry.result["high"]]
    assert dry.inputs["cover"] == "bare"
    gritty = result("drying", **{**DRYING, "rn": "3.0", "cover": "grit"})
    assert gritty["days"] > dry.result["days"]
    clay = {**DRYING, "rn": "3.0", "material": "terracotta"}
    assert result("drying", **clay, placement="pot-to-pot")["days"] > result("drying", **clay)["days"]
    assert result("drying", **{**DRYING, "latitude": "52", "day": "100"})["days"] > 0
    assert result("drying", **{**DRYING, "rn": "3.0", "left": "0.35"})["days"] == pytest.approx(5.5, abs=0.06)


def test_last_soak() -> None:
    soak = reckon("last-soak", {**DRYING, "latitude": "52", "dry-by": "2025-11-15"}).result
    assert soak["cautious"] < soak["central"] < "2025-11-15"
    minima = "2,2,3,4.5,7.5,10.5,12.5,12.3,10.2,7.5,4.5,2.5"
    by_month = reckon("last-soak", {"pot": "9", "latitude": "52", "dry-by": "2025-11-15", "minima": minima, "plant": "cool"})
    assert by_month.result["central"] < "2025-10-25"
    with pytest.raises(ReckonError, match="minima="):
        reckon("last-soak", {"pot": "9", "latitude": "52", "dry-by": "2025-11-15"})


def test_reinspect() -> None:
    # Spider mite at a steady 15 C: 17, 22 and 38 days.
    dates = result("reinspect", pest="spider_mite", on="2026-05-01", min="15", max="15")
    assert (dates["retreat"], dates["latest"], dates["clear"]) == ("2026-05-18", "2026-05-23", "2026-06-08")
    cold = reckon("reinspect", {"pest": "spider mite", "on": "2026-05-01", "min": "2", "max": "8"})
    assert cold.result["retreat"] is None
    assert "28 days" in cold.reason
    with pytest.raises(ReckonError, match="7 and 14 days"):
        result("reinspect", pest="whitefly", on="2026-05-01", min="15", max="15")
    with pytest.raises(ReckonError, match="swapped"):
        result("reinspect", pest="thrips", on="2026-05-01", min="25", max="15")


def test_quarantine() -> None:
    assert result("quarantine", start="2026-05-01", min="15", max="15")["release"] == "2026-07-12"


def test_pots_and_mix() -> None:
    assert result("pot-volume", top="9", base="6", height="8.5")["litres"] == pytest.approx(0.381, abs=0.001)
    assert result("pot", body="4.5", roots="tap", root_length="9")["diameter_cm"] == 6.5
    assert reckon("pot", {"body": "4.5cm", "roots": "tap", "root-length": "9 cm"}).range["depth_cm"] == [11, 12]
    mix = result("mix", pots="24", litres="0.29", parts="2:1:1")
    assert mix["litres"] == pytest.approx(8.04, abs=0.01)
    assert sum(mix["parts_litres"]) == pytest.approx(mix["litres"], abs=1e-5)
    with pytest.raises(ReckonError, match="litres="):
        result("mix", pots="24")


def test_doses() -> None:
    assert result("dose", rate="2ml/l", water="7l")["ml"] == 14
    assert result("dose", rate="1 in 200", water="5")["ml"] == 25
    assert result("dilution", **{"from": "99", "to": "70"})["strong_ml"] == pytest.approx(707, abs=0.1)
    with pytest.raises(ReckonError, match="local rules"):
        result("dose", rate="2ml/l", water="7l", product="imidacloprid")


def test_frost_rest_germination_callus() -> None:
    assert result("frost", night="6", genus="Mammillaria")["level"] == "warn"
    assert result("frost", night="6", floor="5", left="0.4")["level"] == "alarm"
    assert result("frost", night="6", **{"class": "tropical"})["level"] == "alarm"
    assert result("frost", night="6", floor="0", nights="4 5 3.5 6")["chance_below_floor"] < 0.05
    assert result("rest", genus="Mammillaria", latitude="52", day="2026-01-10", night="7")["phase"] == "rest"
    assert result("rest", latitude="-37", day="2026-01-10", **{"class": "winter"})["unsure"] is False
    grown = result("germination", up="31", sown="50")
    assert (grown["percent"], round(grown["low"]), round(grown["high"])) == (62, 48, 74)
    assert result("callus", width="2", t="12")["days"] == 15


@pytest.mark.parametrize(
    ("name", "given", "wanted"),
    [
        ("daylenght", {}, "did you mean daylength"),
        ("", {}, "There are"),
        ("daylength", {}, "latitude="),
        ("daylength", {"latitude": "52"}, "day="),
        ("daylength", {"latitude": "north", "day": "1"}, "latitude wants a number in degrees"),
        ("daylength", {"latitude": "152", "day": "1"}, "outside -90 to 90"),
        ("daylength", {"latitude": "nan", "day": "1"}, "wants a number"),
        ("daylength", {"latitude": "52", "day": "31 feb"}, "a date like"),
        ("daylength", {"latitude": "52", "day": "400"}, "1 to 366"),
        ("daylength", {"latitude": "52", "day": "1", "moon": "full"}, "knows no moon"),
        ("degree-days", {"min": "20", "max": "10", "base": "5"}, "swapped"),
        ("degree-days", {"min": "1", "max": "10", "base": "5", "method": "guess"}, "method is one of"),
        ("drying", {**DRYING, "pot": "0", "rn": "3"}, "not possible"),
        ("drying", DRYING, "latitude= and day="),
        ("drying", {**DRYING, "rn": "3", "cover": "moss"}, "cover is bare"),
        ("drying", {**DRYING, "rn": "3", "cover": "7"}, "up to 1"),
        ("germination", {"up": "3", "sown": "2"}, "3 of 2"),
        ("germination", {"up": "3.5", "sown": "5"}, "whole number"),
        ("frost", {"night": "3"}, "floor="),
        ("rest", {"latitude": "52", "day": "2026-01-01"}, "genus= or class="),
        ("rest", {"latitude": "52", "day": "2026-01-01", "genus": "Petunia"}, "not in the table"),
        ("vapour-pressure", {"t": "10", "rh": "0"}, "above 0"),
        ("vapour-pressure", {"t": "-237.3"}, "t wants a number in C"),
        ("dose", {"rate": "some", "water": "7l"}, "a rate reads like"),
    ],
)
def test_what_is_wanted_is_said(name: str, given: Mapping[str, str], wanted: str) -> None:
    with pytest.raises(ReckonError, match=wanted):
        reckon(name, given)


def test_json_holds_all_parts() -> None:
    told = json.loads(reckon("reinspect", {"pest": "thrips", "on": "2026-05-01", "min": "12", "max": "24"}).as_json())
    assert set(told) == {"name", "inputs", "result", "range", "reason", "sources"}
    assert told["inputs"] == {"pest": "thrips", "on": "2026-05-01", "min": 12.0, "max": 24.0}
    assert any("Katayama 1997" in source for source in told["sources"])
    assert "degree-days above 9.5 C" in told["reason"]


def test_text_is_short() -> None:
    text = reckon("dose", {"rate": "2ml/l", "water": "7l"}).as_text()
    assert text.splitlines()[0] == "ml: 14"
    assert "no date" in reckon("reinspect", {"pest": "thrips", "on": "2026-05-01", "min": "2", "max": "8"}).as_text()


def test_the_list_names_inputs_units_defaults_and_sources() -> None:
    for computation in reckon_list():
        assert computation["sources"], computation["name"]
        assert computation["gives"], computation["name"]
        for one in computation["inputs"]:
            assert one["usage"].startswith(f"{one['name']}=")
            assert one["required"] == (one["default"] is None and "may be missing" not in one["usage"])
    json.dumps(reckon_list())
