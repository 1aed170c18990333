"""Rules of the trade: each figure as growers give it, marked "common practice", or with its source where one prints it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from bot.care.climate import DayTemperature
from bot.care.courses import Course, course_of, next_treatment, repeated, works
from bot.care.daylength import daylength_trend
from bot.care.events import Ref
from bot.care.floors import floor_of
from bot.care.followups import follow_up_looks
from bot.care.frost import frost_risk, heat_level, looks_after_cold, scorch_day
from bot.care.genera import genus_row, genus_rows, months_at, names_of, source_of
from bot.care.pests import may_be_cleared, pest_row, quarantine_release, reinspection, released_on_inspection
from bot.care.potting import buy_list, pot_for
from bot.care.propagation import (
    callus,
    graft_looks,
    next_offset_look,
    offset_may_come_off,
    root_checks,
    sowing_looks,
    sowing_months,
)
from bot.care.rest import midrest_look, rest_due, rest_state, restart_opens
from bot.care.standing import Case, Standing, Thing
from bot.care.treatments import objections
from bot.care.wash import dry_time, first_water

pytestmark = pytest.mark.published

BENCH = Ref("place", "bench 2")
TENTH = date(2025, 5, 10)


def steady(mean_c: float) -> Callable[[date], DayTemperature]:
    return lambda _: DayTemperature(mean_c, mean_c, "measured")


def days(start: date, *counts: int) -> tuple[date, ...]:
    return tuple(start + timedelta(days=count) for count in counts)


# Newcomers and pests


def test_the_six_weeks_of_quarantine() -> None:
    """Common practice: newcomers stand apart for six weeks; in a room at 20 C the warmth asks for the same 42 days."""
    state = quarantine_release(TENTH, steady(20), TENTH)
    assert state.release_on == state.days_done_on == state.warmth_done_on == TENTH + timedelta(weeks=6)
    assert state.root_look_needed
    cool = quarantine_release(TENTH, steady(12), TENTH, horizon_days=200)
    assert cool.release_on
    assert cool.release_on > TENTH + timedelta(weeks=12)


def test_out_by_two_clean_looks_at_the_roots() -> None:
    """Common practice: with the pot off and clean twice, a fortnight apart, a plant may leave earlier."""
    assert released_on_inspection(days(TENTH, 0, 7)) is None
    assert released_on_inspection(days(TENTH, 0, 7, 14)) == TENTH + timedelta(days=14)


def test_two_clean_looks_close_a_case_and_one_does_not() -> None:
    """Common practice: one clean look proves nothing; the eggs must have had time to hatch."""
    row = pest_row("spider_mite")
    later = TENTH + timedelta(days=60)
    state = reinspection(row, TENTH, steady(22), later)
    assert not may_be_cleared(state, days(TENTH, 7), later)
    assert may_be_cleared(state, days(TENTH, 7, 30), later)
    assert not may_be_cleared(
        reinspection(row, TENTH, steady(22), TENTH + timedelta(days=8)), days(TENTH, 4, 8), TENTH + timedelta(days=8)
    )


def test_a_course_keeps_count() -> None:
    """Common practice: two or three sprays, counted as "2nd of 3", the next when the eggs have hatched and before they lay."""
    case = Case("1", "mites", (BENCH,), TENTH, TENTH)
    case.treatments.append({"on": TENTH.isoformat(), "how": "spray", "product": "soap", "course": "1/3"})
    state = reinspection(pest_row("spider_mite"), TENTH, steady(22), TENTH)
    assert course_of(case) == Course(1, 3)
    window = next_treatment(case, state)
    assert window is not None
    assert TENTH < window[0] <= window[1] < TENTH + timedelta(days=21)
    assert repeated(case) == {"how": "spray", "product": "soap", "course": "2/3"}
    assert works(case) is None
    case.counts += [[TENTH.isoformat(), 40], ["2025-05-20", 30]]  # University of Kentucky extension: one spray takes 50 to 60 %
    assert works(case) is False


@pytest.mark.parametrize(
    ("happening", "wanted"),
    [
        ("frost", (3, 14)),
        ("dabbed", (7,)),
        ("halted rot", (7,)),
        ("leak", (2, 10)),
        ("pricked out", (14,)),
        ("no such thing", ()),
    ],
)
def test_looks_that_a_note_implies(happening: str, wanted: tuple[int, ...]) -> None:
    """Common practice: days until the look."""
    assert follow_up_looks(happening, TENTH) == days(TENTH, *wanted)


@pytest.mark.parametrize(
    ("kind", "low_c", "high_c", "wanted"),
    [
        ("oil", 15, 31, ("too hot",)),
        ("oil", 2, 8, ("too cold",)),
        ("oil", 14, 24, ()),
        ("nematodes", 5, 9, ("too cold",)),
        ("systemic", 14, 24, ("never",)),
        ("peroxide", 14, 24, ("never",)),
    ],
)
def test_what_speaks_against_a_treatment(kind: str, low_c: float, high_c: float, wanted: tuple[str, ...]) -> None:
    """WSU Extension Hortsense, spray oil: between 50 and 85 F; Radova & Trnkova 2010: few nematodes work at 10 C."""
    assert objections(kind, low_c, high_c) == wanted
    assert ("dry resting plant" in objections("oil", 14, 24, dry_resting=True)) is True


def test_no_oil_within_thirty_days_of_sulphur() -> None:
    """Rutgers Plant & Pest Advisory: thirty days between sulphur and oil."""
    assert objections("oil", 14, 24, days_since_sulphur=29) == ("sulphur lately",)
    assert objections("oil", 14, 24, days_since_sulphur=30) == ()


# Washing, cutting, potting


@pytest.mark.parametrize(("width_cm", "wanted"), [(0.8, (3, 4)), (2, (7, 10)), (4, (14, 21)), (8, (21, 56))])
def test_how_long_a_cut_dries(width_cm: float, wanted: tuple[int, int]) -> None:
    """Common practice: a few days under a centimetre, a week or more to three, weeks above; half as long again in the cold."""
    known = dry_time("cut", width_cm, 20)
    assert (known.low, known.high) == wanted
    assert dry_time("cut", width_cm, 10).high == round(1.5 * wanted[1])
    assert callus(10 * width_cm, 20).days == pytest.approx(wanted, abs=4)


def test_washed_roots_dry_a_few_days_and_rot_two_weeks() -> None:
    """Common practice: nothing to two days for clean roots, three where torn, a week where cut, two after rot."""
    wanted = {"clean": 2, "torn": 3, "cut": 7, "rot": 14}
    assert {roots: dry_time(roots).high for roots in ("clean", "torn", "cut", "rot")} == wanted


def test_first_water() -> None:
    """Common practice (British Cactus & Succulent Society, The Growing Year): a fortnight in the cool; tap roots wait longer."""
    cool = first_water(TENTH, "repotted", warm_growth=False)
    assert cool.low_on == TENTH + timedelta(days=14)
    tap = first_water(TENTH, "repotted", warm_growth=False, root_form="tap")
    assert tap.low_on
    assert tap.low_on > TENTH + timedelta(days=14)
    assert tap.water_share < cool.water_share == 1
    after_rot = first_water(TENTH, "rot")
    assert after_rot.low_on
    assert after_rot.low_on >= TENTH + timedelta(weeks=3)


def test_pots_by_the_roots() -> None:
    """Common practice: for tap roots a pot just wider than the body and deeper than the root; for others a shallow one."""
    tap = pot_for("tap", body_cm=4.5, root_length_cm=9)
    assert (tap.diameter_cm, tap.depth_range_cm) == (6.5, (11, 12))
    assert tap.deep
    flat = pot_for("fibrous", spread_cm=8)
    assert 9 <= flat.diameter_cm <= 10
    assert flat.depth_cm < flat.diameter_cm
    lines = buy_list([tap, tap, flat])
    assert [(line.size_cm, line.deep, line.count) for line in lines] == [
        (7, True, 2),
        (9, False, 1),
    ]  # Jacksons Nurseries, pot sizes
    assert all(line.litres > 0 for line in lines)


# Sowing and increase


def test_a_sowing_is_looked_at_weekly_and_given_up_late() -> None:
    """Common practice: seedlings within a fortnight, weekly counts; slow kinds get twice the time."""
    usual, slow = sowing_looks(TENTH), sowing_looks(TENTH, "Ariocarpus")
    assert usual.looks[:3] == days(TENTH, 7, 14, 21)
    assert usual.give_up_review == TENTH + timedelta(days=60)
    assert slow.give_up_review == TENTH + timedelta(days=120)
    assert slow.prick_out[0] >= TENTH + timedelta(days=360)  # bcss.org.uk, seed raising, figures 5-6: 14 months


def test_when_to_sow() -> None:
    """Common practice: summer growers in spring, winter growers at summer's end, half a year apart in the south."""
    rebutia, conophytum = genus_row("Rebutia"), genus_row("Conophytum")
    assert rebutia
    assert conophytum
    assert sowing_months(rebutia, 52) <= {3, 4, 5, 6}
    assert sowing_months(conophytum, 52) <= {8, 9, 10}
    assert sowing_months(rebutia, -34) == months_at(sowing_months(rebutia, 52), -34) <= {9, 10, 11, 12}


def test_cuttings_grafts_and_offsets() -> None:
    """Common practice: roots after three weeks, ties off after one to two, united by four; a third of the parent is enough."""
    assert root_checks(TENTH, 2) == days(TENTH, 21, 28)
    assert graft_looks(TENTH) == days(TENTH, 7, 14, 28)
    assert offset_may_come_off(2, 6)
    assert not offset_may_come_off(1.5, 6)
    assert offset_may_come_off(1.5, 6, own_roots=True)
    assert next_offset_look(TENTH, 3) == date(2026, 3, 1)


# The year, frost and heat


def test_water_starts_in_march_and_stops_in_october() -> None:
    """Common practice (British Cactus & Succulent Society, The Growing Year): water from March, none after October, at 51 N."""
    assert not restart_opens("summer", date(2025, 2, 20), 51.5, 7)
    assert restart_opens("summer", date(2025, 3, 25), 51.5, 7)
    assert not restart_opens("summer", date(2025, 3, 25), 51.5, 3)
    assert not rest_due("summer", date(2025, 9, 1), 51.5, 12)
    assert rest_due("summer", date(2025, 10, 31), 51.5, 7)
    assert rest_due("summer", date(2025, 4, 30), -51.5, 7)
    assert restart_opens("epiphyte", date(2025, 1, 1), 51.5, 10)


def test_living_stones_are_dry_in_winter_until_the_old_leaves_are_papery() -> None:
    """Common practice: no water for Lithops from late autumn until the old pair has dried; the middle of rest gets one look."""
    state = rest_state(date(2025, 1, 15), 51.5, lambda _: 6.0, genus_row("Lithops"))
    assert (state.phase, state.water, state.feed, state.sign_first) == ("rest", "none", False, True)
    assert state.restart_from
    assert date(2025, 3, 1) <= state.restart_from <= date(2025, 5, 31)
    growing = rest_state(date(2025, 9, 10), 51.5, lambda _: 12.0, genus_row("Lithops"))
    assert growing.phase == "growth"
    assert midrest_look(date(2024, 11, 1), date(2025, 3, 1)) == date(2024, 12, 31)


def test_the_dry_floor_of_five_degrees() -> None:
    """Garden News UK, 7 Nov 2017, and common practice: dry cacti at 5 C, tropical kinds at 10 to 12."""
    standing = Standing()
    floors = {
        genus: floor_of(standing, Thing("plant", "1", names=[{"name": genus}])).c
        for genus in ("Rebutia", "Melocactus", "Nowhere")
    }
    assert floors["Melocactus"] >= 10
    assert floors["Nowhere"] == 5
    assert floors["Rebutia"] <= 5
    for night_c, level in ((3, "alarm"), (6, "warn"), (9, "none")):
        assert frost_risk(night_c, 5).level == level
    assert frost_risk(6, 5, share_left=0.9).level == "alarm"


@pytest.mark.parametrize("year", [2024, 2025, 2026])
def test_days_turn_at_the_solstices(year: int) -> None:
    """Astronomical Applications, U.S. Naval Observatory, Earth's seasons: 20 or 21 June and 21 December in 2024 to 2026."""
    for latitude, before, after in ((52, "rising", "falling"), (-34, "falling", "rising")):
        assert daylength_trend(latitude, date(year, 6, 10)) == before
        assert daylength_trend(latitude, date(year, 7, 1)) == after
        assert daylength_trend(latitude, date(year, 12, 11)) == after
        assert daylength_trend(latitude, date(year + 1, 1, 1)) == before


def test_heat() -> None:
    """Common practice (Altman Plants, cactus care page): shade and air above 100 F (38 C)."""
    assert [heat_level(max_c) for max_c in (30, 36, 38.5, 45)] == ["none", "note", "warn", "alarm"]


def test_damage_shows_late() -> None:
    """Common practice: cold damage shows within a fortnight; three hot days in a row scorch what stood dim."""
    assert looks_after_cold(TENTH) == days(TENTH, 10, 14)
    maxima = dict(zip(days(TENTH, 0, 1, 2, 3, 4), (20.0, 26.0, 19.0, 26.0, 27.0), strict=True))
    assert scorch_day(maxima, 15) is None
    assert scorch_day(maxima | {TENTH + timedelta(days=5): 25.0}, 15) == TENTH + timedelta(days=5)


# Genera


def test_names_that_moved() -> None:
    """Lobivia is sold under its own name and as Echinopsis; each finds the other.

    Anderson 2001, The Cactus Family; Hunt 2006, The New Cactus Lexicon (from memory).
    """
    assert "Echinopsis" in names_of("Lobivia")
    assert "Lobivia" in names_of("Echinopsis")
    row = genus_row("lithops")
    assert row is not None
    assert row.growth_class == "leaf-exchanging"
    assert genus_rows("Lithops")[0] is row
    assert all(source_of(code) != code for codes in row.sources.values() for code in codes)
    assert months_at(frozenset({11, 12, 1}), -34) == {5, 6, 7}
