"""Treatments: the weather they want, and what is never proposed."""

from __future__ import annotations

import pytest

from bot.care.treatments import TREATMENTS, objections


@pytest.mark.parametrize("kind", ["alcohol spray", "hot dip", "peroxide", "essential oil", "systemic"])
def test_never_proposed(kind: str) -> None:
    assert objections(kind, 15, 20) == ("never",)


def test_weather() -> None:
    """WSU Extension: spray oil not below 50 F nor above 85 F (10 to 29 C)."""
    assert objections("oil", 15, 25) == ()
    assert objections("oil", 15, 30) == ("too hot",)
    assert objections("oil", 2, 8) == ("too cold",)
    assert objections("soap", 2, 8) == ()
    assert objections("soap", 18, 33) == ("too hot",)


def test_a_dry_resting_plant_is_not_wetted() -> None:
    assert objections("soap", 8, 15, dry_resting=True) == ("dry resting plant",)
    assert objections("alcohol dab", 8, 15, dry_resting=True) == ()


def test_oil_after_sulphur() -> None:
    assert objections("oil", 15, 25, days_since_sulphur=20) == ("sulphur lately",)
    assert objections("oil", 15, 25, days_since_sulphur=30) == ()


def test_what_is_not_known_is_not_judged() -> None:
    assert objections("singing", 5, 40) == ()


def test_eggs_survive_soap() -> None:
    """Effects of Household Soap Solutions on the Mortality of the Two-spotted Spider Mite, 2006: no effect on eggs."""
    assert "mite eggs" in TREATMENTS["soap"].survives
