"""What follows from a find: looks, treatments, all-clear, dormancy and release from isolation."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.care.climate import DayTemperature
from bot.care.pests import (
    Reinspection,
    course_works,
    may_be_cleared,
    mites_may_be_dormant,
    pest_row,
    pest_rows,
    possible_share,
    quarantine_release,
    reinspection,
    released_on_inspection,
)

DAY0 = date(2026, 5, 4)


def steady(min_c: float, max_c: float, today: date = DAY0, pest: str = "spider_mite") -> Reinspection:
    return reinspection(pest_row(pest), DAY0, lambda _: DayTemperature(min_c, max_c), today, latitude=52)


def days(count: int) -> timedelta:
    return timedelta(days=count)


def test_signs_find_their_rows() -> None:
    def key(sign: str, *, on_cacti: bool | None = None) -> str:
        row = pest_row(sign, on_cacti)
        return row.key if row else ""

    assert key("mealybug", on_cacti=True) == "mealybug_cactus"
    assert key("mealybug", on_cacti=False) == key("mealybug") == "mealybug_citrus"
    assert key("scale_insect") == "armoured_scale"
    for sign in ("spider_mite", "flat_mite", "aphid", "thrips", "fungus_gnat", "vine_weevil", "root_mealybug"):
        assert key(sign) == sign
    for sign in ("whitefly", "slug", "caterpillar", "nematode", "ant", "rodent", "pest"):
        assert key(sign) == ""


def test_low_confidence_rows_are_flagged() -> None:
    sure = {key for key, row in pest_rows().items() if not row.unsure}
    assert sure == {"spider_mite", "fungus_gnat", "aphid"}


def test_looks_are_early_and_the_all_clear_is_late() -> None:
    due = steady(15, 25)
    assert due.survivors_look == (DAY0 + days(2), DAY0 + days(3))
    assert due.next_look_on == DAY0 + days(2)
    assert due.early_look_on
    assert due.retreat_on
    assert due.latest_on
    assert due.clear_on
    assert due.all_clear_on
    assert due.early_look_on < due.retreat_on <= due.latest_on < due.clear_on < due.all_clear_on
    # 149 and 20 degree-days above 12.5 C, the high end of the studies, at 7.5 a day and a little.
    assert (due.all_clear_on - DAY0).days == 23


def test_the_sum_so_far_and_its_target() -> None:
    due = steady(20, 20, DAY0 + days(5))
    assert (due.sum_dd, due.target_dd, due.base_c) == (45, 65, 11)
    assert due.kinds["measured"] == 23  # behind the all-clear: 169 degree-days at 7.5 a day
    assert due.trade_days == (5, 10)
    assert steady(20, 20, DAY0 + days(9)).target_dd == 150


def test_next_look_moves_on_after_a_look() -> None:
    warm = reinspection(pest_row("mealybug"), DAY0, lambda _: DayTemperature(14, 24), DAY0 + days(4), last_look=DAY0 + days(3))
    assert warm.look_cap_days == 7
    assert warm.next_look_on == warm.early_look_on == DAY0 + days(7)


def test_past_the_latest_treatment_it_is_late() -> None:
    assert not steady(20, 20, DAY0 + days(10)).late
    assert steady(20, 20, DAY0 + days(11)).late


def test_cold_prints_no_date_months_away() -> None:
    due = steady(4, 10)
    assert due.cold
    assert due.retreat_on is due.latest_on is due.all_clear_on is None
    seen = reinspection(pest_row("spider_mite"), DAY0, lambda _: DayTemperature(4, 10), DAY0, last_look=DAY0 + days(3))
    assert seen.next_look_on == DAY0 + days(3 + 28)
    assert not may_be_cleared(due, [DAY0 + days(20), DAY0 + days(40)], DAY0 + days(60))


def test_pests_without_degree_days_get_plain_looks() -> None:
    due = reinspection(None, DAY0, lambda _: DayTemperature(15, 25), DAY0, sprayed=False, sign="whitefly")
    assert due.pest == "whitefly"
    assert due.next_look_on == DAY0 + days(7)
    assert due.all_clear_on == DAY0 + days(14)
    later = reinspection(None, DAY0, lambda _: DayTemperature(15, 25), DAY0 + days(8), sprayed=False, last_look=DAY0 + days(7))
    assert later.next_look_on == DAY0 + days(14)


def test_mites_sleep_in_a_cool_autumn_and_wake_in_spring() -> None:
    cool = DayTemperature(6, 14)
    assert mites_may_be_dormant(date(2026, 10, 1), 52, cool)
    assert not mites_may_be_dormant(date(2026, 7, 1), 52, cool)
    assert not mites_may_be_dormant(date(2026, 10, 1), 52, DayTemperature(19, 26))
    assert not mites_may_be_dormant(date(2027, 4, 1), 52, DayTemperature(8, 20))
    assert mites_may_be_dormant(date(2027, 4, 1), 52, DayTemperature(4, 12))
    assert mites_may_be_dormant(date(2026, 4, 1), -35, cool)
    assert not mites_may_be_dormant(date(2026, 10, 1), 10, cool)


def test_dormancy_stops_the_all_clear_and_starts_the_count_afresh() -> None:
    def weather(day: date) -> DayTemperature:
        return DayTemperature(10, 24) if date(2027, 4, 5) <= day or day < date(2026, 9, 20) else DayTemperature(5, 12)

    found = date(2026, 10, 3)
    asleep = reinspection(pest_row("spider_mite"), found, weather, date(2026, 12, 1), latitude=52)
    assert asleep.dormant
    assert asleep.all_clear_on is None
    assert asleep.wakes_on == date(2027, 4, 5)
    assert not may_be_cleared(asleep, [date(2026, 10, 20), date(2026, 11, 20)], date(2026, 12, 1))
    awake = reinspection(pest_row("spider_mite"), found, weather, date(2027, 4, 20), latitude=52, last_look=date(2027, 3, 20))
    assert not awake.dormant
    assert awake.counted_from == awake.next_look_on == date(2027, 4, 5)
    assert awake.retreat_on
    assert awake.retreat_on > date(2027, 4, 5)


def test_cleared_needs_the_date_and_two_clean_looks() -> None:
    today = DAY0 + days(30)
    due = steady(15, 25, today)
    assert may_be_cleared(due, [DAY0 + days(9), DAY0 + days(23)], today)
    assert not may_be_cleared(due, [DAY0 + days(23)], today)
    assert not may_be_cleared(due, [DAY0, DAY0 + days(23)], today)
    assert not may_be_cleared(due, [DAY0 + days(9), DAY0 + days(20)], DAY0 + days(22))


@pytest.mark.parametrize(("at_c", "expected"), [(25, 42), (20, 42), (15, 72)])
def test_quarantine_is_the_later_of_days_and_warmth(at_c: float, expected: int) -> None:
    # 500 degree-days above 8 C are 30 days at 25 C, 42 at 20 C, 72 at 15 C.
    release = quarantine_release(DAY0, lambda _: DayTemperature(at_c, at_c), DAY0)
    assert release.release_on == DAY0 + days(expected)
    assert release.root_look_needed


def test_a_winter_arrival_gets_no_date_but_a_way_out() -> None:
    start = date(2026, 11, 20)
    release = quarantine_release(start, lambda _: DayTemperature(5, 11, "normal"), start + days(60), latitude=52, mite_find=True)
    assert release.release_on is None
    assert not release.inspection_only_allowed
    assert set(release.kinds) == {"normal"}
    assert released_on_inspection([start + days(3), start + days(10)]) is None
    assert released_on_inspection([start + days(3), start + days(10), start + days(17)]) == start + days(17)


def test_vine_weevil_is_looked_for_at_night() -> None:
    due = reinspection(pest_row("vine_weevil"), DAY0, lambda _: DayTemperature(10, 20), DAY0, sprayed=False)
    assert due.night_look
    assert due.next_look_on == DAY0 + days(7)
    assert not steady(15, 25).night_look


def test_a_clear_sample_leaves_a_share_open() -> None:
    # The rule of three: 17 clear leave up to 18 %, 20 clear 15 %.
    assert round(100 * possible_share(17)) == 18
    assert possible_share(20) == pytest.approx(0.15)
    assert possible_share(1) == 1
    with pytest.raises(ValueError, match="at least one"):
        possible_share(0)


def test_whether_a_course_works() -> None:
    assert course_works([12, 1, 0]) is True
    assert course_works([12, 10]) is False
    assert course_works([12]) is None
    assert course_works([0, 3]) is None
