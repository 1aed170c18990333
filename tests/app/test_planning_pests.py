"""From a find to its all-clear, and from a newcomer to its release.

At 15 to 25 °C every day a base of b gives exactly 20 - b degree-days a day, so that the days come out by hand from the sums and
bases of the pest table. What has no degree-days is common practice, and marked so.
"""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil
from typing import Any

import pytest

from bot.care.events import Ref, effective
from bot.care.pest_rows import PestIntervals, pest_row
from tests.app.bench import Bench, acquired, act, asked, day, fixed, labels, question, seen

FOUND = date(2026, 4, 15)
NUMBER_12 = labels("12")
MEAN_C = 20.0


def _intervals(sign: str) -> PestIntervals:
    row = pest_row(sign, on_cacti=False)
    assert row is not None
    assert row.intervals is not None
    return row.intervals


def _day_of(sum_dd: float, base_c: float) -> date:
    """Return the day on which a sum is reached, counted from the day after the find."""
    return FOUND + timedelta(days=ceil(round(sum_dd / (MEAN_C - base_c), 6)))


def _clean(bench: Bench, *held: str) -> list[str]:
    return bench.note(act("inspected", labels(*held or ("12",))), seen("pest", labels(*held or ("12",)), status="absent")).written


def _case_open(bench: Bench) -> bool:
    return any(one.open for one in bench.standing.cases.values())


# --- looks ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("sign", ["spider_mite", "mealybug", "thrips", "fungus_gnat", "aphid"])
def test_the_look_comes_at_the_early_end_of_the_eggs_range(warm_bench: Bench, sign: str) -> None:
    warm_bench.note(seen(sign, NUMBER_12))
    now = _intervals(sign)
    early = _day_of(now.early_retreat_dd, now.early_base_c)
    look = warm_bench.due("pest_look")
    assert look.on == min(early, FOUND + timedelta(days=7)), "at the latest weekly in the warm (common practice)"
    assert look.why["quantity"] == "degree-days"


@pytest.mark.parametrize("sign", ["whitefly", "slug", "caterpillar", "nematode", "ant", "rodent", "pest"])
def test_without_degree_days_looks_after_7_and_14_days_common_practice(warm_bench: Bench, sign: str) -> None:
    warm_bench.note(seen(sign, NUMBER_12))
    look = warm_bench.due("pest_look")
    assert look.on == FOUND + timedelta(days=7)
    assert look.why["mark"] == "common practice"
    warm_bench.at("2026-04-22T10:00")
    _clean(warm_bench)
    (second,) = [one for one in warm_bench.dues if one.kind in ("pest_look", "clear_look")]
    assert second.on == FOUND + timedelta(days=14)


def test_a_suspicion_gets_a_lens_after_two_or_three_days_common_practice(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12, status="suspected"))
    lens = warm_bench.due("suspicion_look")
    assert (lens.on, lens.until) == (FOUND + timedelta(days=2), FOUND + timedelta(days=3))
    warm_bench.later(days=2).note(seen("spider_mite", NUMBER_12))
    assert "suspicion_look" not in warm_bench.kinds()
    assert warm_bench.due("pest_look").why.get("suspected", False) is False
    assert len(warm_bench.standing.cases) == 1


def test_webs_are_mites(warm_bench: Bench) -> None:
    warm_bench.note(seen("webbing", NUMBER_12))
    assert [one.sign for one in warm_bench.standing.cases.values()] == ["spider_mite"]


def test_old_scars_are_no_find(warm_bench: Bench) -> None:
    """Project default: one extra look 7 days later, no case."""
    warm_bench.note(seen("scarring", NUMBER_12))
    assert warm_bench.standing.cases == {}
    look = warm_bench.due("follow_up")
    assert (look.about, look.on) == ("scarring", FOUND + timedelta(days=7))


def test_nothing_found_opens_no_case(warm_bench: Bench) -> None:
    for status in ("absent", "cleared"):
        warm_bench.note(seen("spider_mite", NUMBER_12, status=status))
    assert warm_bench.standing.cases == {}
    assert warm_bench.dues == ()


def test_a_find_that_is_already_followed_is_the_same_case_counted_anew(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12))
    first = warm_bench.due("pest_look").on
    warm_bench.later(days=4).note(seen("spider_mite", labels("12", "13")))
    (case,) = warm_bench.standing.cases.values()
    assert set(case.refs) == {Ref("plant", "12"), Ref("plant", "13")}
    assert (case.opened_on, case.day0) == (FOUND, FOUND + timedelta(days=4))
    assert warm_bench.due("pest_look").on == first + timedelta(days=4)


def test_another_pest_is_another_case(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12), seen("mealybug", NUMBER_12))
    assert sorted(one.sign for one in warm_bench.standing.cases.values()) == ["mealybug", "spider_mite"]


def test_a_treatment_counts_the_days_anew_and_looks_for_survivors(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12))
    warm_bench.later(days=2).note(act("treated", NUMBER_12, how="spray", product="soap", course="1/3"))
    (case,) = warm_bench.standing.cases.values()
    assert case.day0 == FOUND + timedelta(days=2)
    assert case.treatments[0]["course"] == "1/3"
    assert "survivors_look" in warm_bench.kinds()


def test_a_case_ends_with_its_plants(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", labels("12", "13")))
    warm_bench.note(act("died", NUMBER_12))
    assert "pest_look" in warm_bench.kinds(), "13 is still there"
    warm_bench.note(act("discarded", labels("13")))
    assert "pest_look" not in warm_bench.kinds()


# --- the all-clear ----------------------------------------------------------------------------------------------------


def test_closed_after_two_clean_looks_and_the_late_end_of_the_range(warm_bench: Bench) -> None:
    bench = warm_bench
    bench.note(seen("spider_mite", NUMBER_12))
    now = _intervals("spider_mite")
    clear_on = _day_of(now.late_clear_dd, now.late_base_c)
    bench.now += timedelta(days=8)
    assert "closed" not in _clean(bench)
    bench.now += clear_on - timedelta(days=9) - FOUND
    assert "closed" not in _clean(bench), "two clean looks, a day too early"
    bench.later(days=1)
    assert _clean(bench)[-1] == "closed"
    assert not _case_open(bench)
    assert not {one for one in bench.kinds() if "look" in one and one != "dry_look"}


def test_one_clean_look_is_not_enough_however_late(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12))
    warm_bench.later(days=60)
    assert "closed" not in _clean(warm_bench)
    assert _case_open(warm_bench)
    assert "closed" not in _clean(warm_bench), "two looks of one day are one look"
    warm_bench.later(days=1)
    assert _clean(warm_bench)[-1] == "closed"


def test_gone_is_not_seen_and_no_all_clear(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12))
    warm_bench.later(days=5).note(seen("spider_mite", NUMBER_12, status="cleared"))
    assert _case_open(warm_bench)


def test_a_find_between_wipes_the_clean_looks(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12))
    warm_bench.later(days=30)
    _clean(warm_bench)
    warm_bench.later(days=1).note(seen("spider_mite", NUMBER_12))
    warm_bench.later(days=1)
    assert "closed" not in _clean(warm_bench)


def test_no_mites_says_nothing_of_mealybugs(warm_bench: Bench) -> None:
    warm_bench.note(seen("mealybug", NUMBER_12))
    for _ in range(2):
        warm_bench.later(days=60).note(seen("spider_mite", NUMBER_12, status="absent"))
    assert _case_open(warm_bench)


def test_in_the_cold_no_date_is_promised_and_looks_go_on_every_28_days(cool_bench: Bench) -> None:
    cool_bench.type("set normals " + "0/6 " * 12)
    cool_bench.note(seen("mealybug", NUMBER_12))
    look = cool_bench.due("pest_look")
    assert look.on == FOUND + timedelta(days=28)
    assert look.why["cold"] is True
    cool_bench.later(days=28)
    assert "closed" not in _clean(cool_bench)
    cool_bench.later(days=28)
    assert "closed" not in _clean(cool_bench)


def test_mites_in_a_northern_winter_may_be_dormant(cool_bench: Bench) -> None:
    cool_bench.at("2026-12-10T10:00").note(seen("spider_mite", NUMBER_12))
    assert cool_bench.due("pest_look").why["dormant"] is True
    for _ in range(3):
        cool_bench.later(days=15)
        assert "closed" not in _clean(cool_bench)


def test_undo_of_the_closing_look_opens_the_case_again(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12))
    warm_bench.later(days=100)
    _clean(warm_bench)
    warm_bench.later(days=1)
    assert _clean(warm_bench)[-1] == "closed"
    warm_bench.note(fixed("undo"), decision="fix")
    assert _case_open(warm_bench)
    assert "closed" not in {one.kind for one in effective(warm_bench.log)}


def test_done_of_a_look_is_a_look_but_not_a_clean_one(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12))
    warm_bench.later(days=10).note(question("due", until="2026-06-01"), decision="answer")
    answer = warm_bench.note(asked("done", 1), decision="do")
    assert "inspected" in answer.written
    (case,) = warm_bench.standing.cases.values()
    assert case.clean_looks == []
    assert all(one.on > warm_bench.now.date() for one in warm_bench.dues), "the next look is still to come"


# --- quarantine -------------------------------------------------------------------------------------------------------


def _newcomers(bench: Bench, **details: Any) -> None:
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma", to="q shelf", **details))


def test_newcomers_stand_apart_with_a_look_the_day_they_come_in(warm_bench: Bench) -> None:
    _newcomers(warm_bench)
    lot = warm_bench.thing("lot", "irma")
    assert (lot.isolated_on, lot.isolated_why, lot.place) == (FOUND, "new", "q shelf")
    assert warm_bench.due("intake_look").on == FOUND


@pytest.mark.parametrize(
    ("normals", "days"),
    [("15/25", 42), ("12/20", 63), ("20/30", 42)],
    ids=["12 a day reach 500 in 42 days", "8 a day reach it in 63", "in the warm the 42 days hold"],
)
def test_release_is_the_later_of_42_days_and_500_degree_days(bench: Bench, normals: str, days: int) -> None:
    """Six weeks are common practice; 500 degree-days above 8 °C are the project's default."""
    bench.type("set normals " + f"{normals} " * 12)
    _newcomers(bench)
    assert bench.due("release_look").on == FOUND + timedelta(days=days)


def test_where_it_is_too_cool_no_release_is_promised(cool_bench: Bench) -> None:
    _newcomers(cool_bench)
    assert "release_look" not in cool_bench.kinds()
    look = cool_bench.due("isolation_look")
    assert look.on == FOUND + timedelta(days=14)
    assert "release" not in look.why or look.why["release"] is None


def test_seed_needs_no_quarantine(warm_bench: Bench) -> None:
    _newcomers(warm_bench, state="seed")
    assert warm_bench.thing("lot", "irma").isolated_on is None


def test_a_find_restarts_all_that_stood_together(warm_bench: Bench) -> None:
    _newcomers(warm_bench)
    warm_bench.note(acquired({"count": 2, "taxa": ["lithops"]}, "nika", to="q shelf"))
    warm_bench.note(acquired({"count": 2, "taxa": ["lithops"]}, "lojze", to="porch"))
    warm_bench.later(days=10).note(seen("mealybug", {"lots": ["nika"]}))
    found_on = FOUND + timedelta(days=10)
    assert warm_bench.thing("lot", "irma").isolated_on == found_on
    assert warm_bench.thing("lot", "nika").isolated_on == found_on
    assert warm_bench.thing("lot", "lojze").isolated_on == FOUND, "the porch is another place"
    release = {one.refs[0].key: one.on for one in warm_bench.dues if one.kind == "release_look"}
    assert release == {
        "irma": found_on + timedelta(days=42),
        "nika": found_on + timedelta(days=42),
        "lojze": FOUND + timedelta(days=42),
    }


def test_a_suspicion_restarts_nothing(warm_bench: Bench) -> None:
    _newcomers(warm_bench)
    warm_bench.later(days=10).note(seen("mealybug", {"lots": ["irma"]}, status="suspected"))
    assert warm_bench.thing("lot", "irma").isolated_on == FOUND


def test_what_does_not_stand_apart_is_not_put_apart_by_a_find(warm_bench: Bench) -> None:
    warm_bench.note(act("moved", labels("12", "13"), to="bench 2"))
    answer = warm_bench.note(seen("mealybug", NUMBER_12))
    assert warm_bench.thing("plant", "12").isolated_on is None
    assert "Set it apart" in answer.text


def test_released_ends_it(warm_bench: Bench) -> None:
    _newcomers(warm_bench)
    warm_bench.later(days=43).note(act("released", {"lots": ["irma"]}))
    assert warm_bench.thing("lot", "irma").isolated_on is None
    assert not warm_bench.kinds() & {"release_look", "isolation_look", "intake_look"}


def test_a_released_shelf_releases_what_stands_on_it(warm_bench: Bench) -> None:
    _newcomers(warm_bench)
    warm_bench.later(days=43).note(act("released", {"places": ["q shelf"]}))
    assert warm_bench.thing("lot", "irma").isolated_on is None


def test_looks_of_the_quarantine_come_every_fortnight_project_default(warm_bench: Bench) -> None:
    _newcomers(warm_bench)
    warm_bench.note(act("inspected", {"lots": ["irma"]}), seen("pest", {"lots": ["irma"]}, status="absent"))
    assert "intake_look" not in warm_bench.kinds()
    assert warm_bench.due("isolation_look").on == FOUND + timedelta(days=14)
    warm_bench.later(days=14).note(seen("pest", {"lots": ["irma"]}, status="absent"))
    assert warm_bench.due("isolation_look").on == FOUND + timedelta(days=28)
    assert warm_bench.thing("lot", "irma").clean_looks == ["2026-04-15", "2026-04-29"]


def test_a_plant_set_apart_for_mites_is_followed_by_day(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", NUMBER_12), act("isolated", NUMBER_12, why="mites"))
    assert warm_bench.thing("plant", "12").isolated_on == day("2026-04-15")
    assert warm_bench.due("release_look").on == FOUND + timedelta(days=42)
