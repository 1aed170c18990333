"""Rest through the year: classes, months, gates, and who overrules whom."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.care.genera import GrowthClass, genus_row
from bot.care.normals import fit_two_harmonics, moved_half_a_year
from bot.care.rest import RestState, midrest_look, rest_state

OCEANIC = (2.0, 2.0, 3.0, 4.5, 7.5, 10.5, 12.5, 12.3, 10.2, 7.5, 4.5, 2.5)


def cool_house(day: date) -> float:
    return max(fit_two_harmonics(OCEANIC).on(day) + 2, 5)


def southern_house(day: date) -> float:
    return max(fit_two_harmonics(moved_half_a_year(OCEANIC)).on(day) + 2, 5)


def state(genus: str, day: date) -> RestState:
    return rest_state(day, 52, cool_house, genus_row(genus))


def test_a_desert_cactus_rests_dry_in_winter() -> None:
    winter = state("Mammillaria", date(2026, 1, 10))
    assert (winter.phase, winter.water, winter.feed) == ("rest", "none", False)
    assert winter.restart_from == date(2026, 4, 8)
    summer = state("Mammillaria", date(2026, 6, 10))
    assert (summer.phase, summer.water, summer.feed) == ("growth", "normal", True)
    assert summer.rest_from == date(2026, 10, 1)
    assert summer.margin_days == 0
    assert not summer.unsure


def test_a_warm_house_opens_the_look_in_march() -> None:
    warm = rest_state(date(2026, 2, 1), 52, lambda _: 10.0, genus_row("Mammillaria"))
    assert warm.restart_from
    assert date(2026, 3, 14) <= warm.restart_from <= date(2026, 3, 20)


def test_a_winter_grower_turns_it_round() -> None:
    assert state("Aeonium", date(2026, 7, 10)).phase == "rest"
    assert state("Aeonium", date(2026, 10, 20)).phase == "growth"
    assert state("Aeonium", date(2026, 12, 20)).phase == "slow"


def test_conophytum_waits_for_cool_nights_from_mid_july() -> None:
    opened = state("Conophytum", date(2026, 6, 10)).restart_from
    assert opened == date(2026, 7, 15)
    hot = rest_state(date(2026, 6, 10), 52, lambda day: 19.0 if day < date(2026, 8, 9) else 14.0, genus_row("Conophytum"))
    assert hot.restart_from == date(2026, 8, 9)


def test_lithops_need_their_sign_first() -> None:
    spring = state("Lithops", date(2026, 4, 20))
    assert spring.phase == "growth"
    assert spring.sign_first
    assert "paper" in spring.sign


def test_tropicals_wait_for_warm_nights_whatever_the_month() -> None:
    assert state("Melocactus", date(2026, 5, 1)).phase == "rest"
    assert state("Melocactus", date(2026, 5, 1)).water == "light"
    assert rest_state(date(2026, 5, 1), 52, lambda _: 16.0, genus_row("Melocactus")).phase == "growth"


def test_opportunists_slow_down_in_summer() -> None:
    assert state("Haworthia", date(2026, 7, 10)).phase == "slow"
    assert state("Haworthia", date(2026, 7, 10)).water == "light"
    assert state("Haworthia", date(2026, 10, 10)).phase == "growth"
    assert state("Haworthia", date(2026, 1, 10)).phase == "rest"


def test_epiphytes_are_never_dry() -> None:
    for month in range(1, 13):
        assert state("Epiphyllum", date(2026, month, 10)).water != "none"
    assert state("Schlumbergera", date(2026, 9, 10)).phase == "rest"


@pytest.mark.parametrize("genus", ["Mammillaria", "Aeonium", "Haworthia", "Lithops", "Melocactus"])
def test_the_south_is_the_north_half_a_year_on(genus: str) -> None:
    for month in range(1, 13):
        north = rest_state(date(2026, month, 15), 52, cool_house, genus_row(genus)).phase
        south = rest_state(date(2026, month, 15) + timedelta(days=184), -52, southern_house, genus_row(genus)).phase
        assert north == south, month


def test_without_nights_the_dates_have_a_margin() -> None:
    blind = rest_state(date(2026, 1, 10), 52, lambda _: None, genus_row("Mammillaria"))
    assert blind.margin_days == 21
    assert blind.restart_from == date(2026, 3, 18)


def test_unknown_and_unsure_genera_follow_the_class_and_ask() -> None:
    assert rest_state(date(2026, 1, 10), 52, cool_house).unsure
    unsure = state("Espostoa", date(2026, 10, 5))
    assert unsure.unsure
    assert unsure.phase == "growth"  # the table says October, the class rule 11 October: the class stands alone
    assert state("Espostoa", date(2026, 10, 12)).phase == "rest"


def test_the_grower_overrules_the_genus() -> None:
    may = frozenset({10, 11, 12, 1, 2, 3, 4, 5})
    taught = rest_state(date(2026, 4, 20), 52, cool_house, genus_row("Mammillaria"), rest_months=may)
    assert taught.phase == "rest"
    assert not taught.unsure
    never = rest_state(date(2026, 1, 20), 52, cool_house, genus_row("Mammillaria"), rest_months=frozenset())
    assert never.phase == "growth"
    kind: GrowthClass = "winter"
    assert rest_state(date(2026, 7, 10), 52, cool_house, genus_row("Mammillaria"), growth_class=kind).phase == "rest"
    assert not rest_state(date(2026, 7, 10), 52, cool_house, genus_row("Mammillaria"), growth_class=kind).unsure


def test_the_look_in_the_middle_of_rest() -> None:
    assert midrest_look(date(2026, 10, 1), date(2027, 4, 8)) == date(2027, 1, 3)
