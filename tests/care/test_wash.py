"""From the wash to the first water: the trade's days, what moves them, and what the rest window forbids."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.care.followups import follow_up_looks
from bot.care.genera import genus_row
from bot.care.rest import RestState, rest_state
from bot.care.wash import Potting, Roots, dry_time, first_water

D = date(2026, 5, 4)


@pytest.mark.parametrize(("roots", "days"), [("clean", (0, 2)), ("torn", (3, 3)), ("cut", (7, 7)), ("rot", (14, 14))])
def test_dry_time_by_roots(roots: Roots, days: tuple[int, int]) -> None:
    """Common practice: clean within 2 days, torn 3, cut 7, rot 14."""
    known = dry_time(roots)
    assert (known.low, known.high) == days


@pytest.mark.parametrize(("width", "days"), [(0.5, (3, 4)), (1, (7, 10)), (2.9, (7, 10)), (4, (14, 21)), (8, (21, 56))])
def test_dry_time_by_width(width: float, days: tuple[int, int]) -> None:
    """Common practice: under 1 cm 3-4 days, 1-3 cm 7-10, 3-6 cm 14-21, larger 3-8 weeks."""
    known = dry_time("cut", width)
    assert (known.low, known.high) == days


def test_cold_slows_healing_but_not_clean_roots() -> None:
    assert dry_time("cut", mean_c=12).high == 10
    assert dry_time("cut", mean_c=12).slowed
    assert dry_time("cut", mean_c=15).high == 7
    assert dry_time("clean", mean_c=5).high == 2
    assert dry_time("clean", mean_c=10, rh_pct=80).surface_days > dry_time("clean", mean_c=25, rh_pct=50).surface_days


def test_nothing_stays_forgotten_on_the_rack() -> None:
    assert dry_time("cut").looks(D) == (D + timedelta(days=7), D + timedelta(days=14))


def test_an_impossible_cut() -> None:
    with pytest.raises(ValueError, match="above zero"):
        dry_time("cut", 0)


@pytest.mark.parametrize(
    ("potting", "warm", "days"),
    [
        ("potted on", True, (3, 7)),
        ("repotted", True, (7, 7)),
        ("repotted", False, (14, 14)),
        ("cut", True, (14, 21)),
        ("rot", True, (21, 28)),
    ],
)
def test_first_water(potting: Potting, warm: bool, days: tuple[int, int]) -> None:
    """Common practice: 3-7 days with the ball kept, 7 or 14 after a full repot, 14-21 after a cut, 21-28 after rot."""
    water = first_water(D, potting, warm_growth=warm)
    assert (water.low_on, water.high_on) == tuple(D + timedelta(days=n) for n in days)
    assert water.water_share == 1


def test_a_tap_root_drinks_later_and_less() -> None:
    water = first_water(D, "repotted", root_form="tap")
    assert water.low_on == D + timedelta(days=14)
    assert water.water_share == 0.5


def test_first_water_waits_for_the_restart() -> None:
    def cold(day: date) -> RestState:
        return rest_state(day, 52, lambda _: 7.0, genus_row("Mammillaria"))

    winter = first_water(date(2026, 1, 20), "repotted", warm_growth=False, rest_on=cold)
    assert winter.waits_for_restart
    assert winter.low_on == rest_state(date(2026, 2, 3), 52, lambda _: 7.0, genus_row("Mammillaria")).restart_from
    summer = first_water(date(2026, 6, 1), "repotted", rest_on=cold)
    assert not summer.waits_for_restart


def test_follow_up_looks() -> None:
    assert follow_up_looks("frost", D) == (D + timedelta(days=3), D + timedelta(days=14))
    assert follow_up_looks("scarring", D) == (D + timedelta(days=7),)
    assert follow_up_looks("sang to", D) == ()
