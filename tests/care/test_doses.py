"""Doses: arithmetic as growers write it, and what gets none."""

from __future__ import annotations

import pytest

from bot.care.doses import (
    Dose,
    DoseRefused,
    Rate,
    dilution_ml,
    dose,
    grams_for_nitrogen,
    nitrogen_ppm,
    no_dose_for,
    parse_litres,
    parse_rate,
)


@pytest.mark.parametrize(
    ("text", "rate"),
    [
        ("2ml/l", Rate(2)),
        ("2 ml per litre", Rate(2)),
        ("10 ml per 5 l", Rate(2)),
        ("1 in 200", Rate(5)),
        ("1:200", Rate(5)),
        ("2%", Rate(20)),
        ("1,5 %", Rate(15)),
        ("0.5 g/l", Rate(0.5, "g")),
        ("500mg/l", Rate(0.5, "g")),
    ],
)
def test_rates(text: str, rate: Rate) -> None:
    assert parse_rate(text) == rate


@pytest.mark.parametrize("text", ["", "two", "2ml", "-2ml/l", "1 in 0", "2 ml/l; drop table"])
def test_no_rates(text: str) -> None:
    with pytest.raises(ValueError, match="rate"):
        parse_rate(text)


@pytest.mark.parametrize(("text", "litres"), [("7l", 7), ("7", 7), ("500 ml", 0.5), ("1.5 litres", 1.5)])
def test_litres(text: str, litres: float) -> None:
    assert parse_litres(text) == litres


def test_seven_litres_at_two() -> None:
    """2 ml/l x 7 l = 14 ml."""
    assert dose(parse_rate("2ml/l"), parse_litres("7l")) == Dose(14, "ml", 7)


@pytest.mark.parametrize("product", ["imidacloprid", "a systemic", "hydrogen peroxide 3%", "tea tree oil", "Essential oil mix"])
def test_no_dose_for_what_must_not(product: str) -> None:
    assert no_dose_for(product)
    with pytest.raises(DoseRefused, match="local rules"):
        dose(Rate(2), 7, product)


def test_soap_and_plain_oil_are_arithmetic() -> None:
    assert no_dose_for("insecticidal soap") is None
    assert dose(parse_rate("1.5%"), 2, "horticultural oil").amount == 30


def test_the_label_wins() -> None:
    with pytest.raises(DoseRefused, match="label"):
        dose(Rate(5), 1, label_rate=Rate(2))
    with pytest.raises(DoseRefused, match="label"):
        dose(Rate(1, "g"), 1, label_rate=Rate(2))
    assert dose(Rate(2), 1, label_rate=Rate(2)).amount == 2


@pytest.mark.parametrize("litres", [0, -7, 1e9])
def test_impossible_water(litres: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        dose(Rate(2), litres)


def test_feed() -> None:
    """0.5 g/l of 20-10-20 is 100 ppm N."""
    assert nitrogen_ppm(0.5, 20) == 100
    assert grams_for_nitrogen(100, 20, 7) == 3.5
    with pytest.raises(ValueError, match="percent N"):
        nitrogen_ppm(1, 120)
    with pytest.raises(ValueError, match="percent N"):
        grams_for_nitrogen(100, 0)


def test_alcohol() -> None:
    """99 to 70 %: 707 ml made up to 1 litre."""
    strong, water = dilution_ml(99, 70, 1000)
    assert strong == pytest.approx(707.07, abs=0.01)
    assert strong + water == 1000
    with pytest.raises(ValueError, match="strength"):
        dilution_ml(70, 99, 1000)
