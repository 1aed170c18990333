"""From the pot to the first water: out, washed, dry, potted, watered, at the days that growers keep.

All days here are common practice, as the project settled them where sources differ. On the rack: uncut roots at once or within
2 days, small torn roots 3, cut roots 7, rot cut back 14; below 15 °C cuts take half as long again; asked about on the day and 7
days later. First water: ball kept whole 3 to 7 days in warm growth; roots cleaned, uncut 7 in warm growth, 14 otherwise; cut
roots 14 to 21; after rot 21 to 28; a tap root or tuber 7 days later and half the water; never inside the rest.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from bot.care.due_values import Due
from bot.care.genera import genus_row
from tests.app.bench import Bench, acquired, act, day, labels, question

START = date(2026, 4, 15)
NUMBER_12 = labels("12")


def _days(due: Due, since: date = START) -> tuple[int, int | None]:
    return (due.on - since).days, (due.until - since).days if due.until else None


def _of_practice(due: Due) -> bool:
    return bool(due.why["mark"] == "common practice")


# --- on the rack ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entries", "days"),
    [
        ([act("unpotted", NUMBER_12)], 2),
        ([act("washed", NUMBER_12)], 2),
        ([act("set_to_dry", NUMBER_12)], 2),
        ([act("washed", NUMBER_12, cut="fine")], 3),
        ([act("root_pruned", NUMBER_12)], 7),
        ([act("washed", NUMBER_12), act("root_pruned", NUMBER_12)], 7),
        ([act("root_pruned", NUMBER_12, cut="rot")], 14),
    ],
    ids=["unpotted", "washed", "set to dry", "torn", "cut", "washed and cut", "rot"],
)
def test_ready_to_pot_common_practice(warm_bench: Bench, entries: list[dict[str, Any]], days: int) -> None:
    warm_bench.note(*entries)
    due = warm_bench.due("pot_up")
    assert _days(due) == (days, days + 7), "asked about on the day, and a week later it is not forgotten"
    assert _of_practice(due)
    assert due.refs[0].key == "12"


@pytest.mark.parametrize(("cut", "days"), [("rot", (21, 21)), ("cut", (10, 11)), ("", (2, 2))])
def test_below_15_degrees_cuts_take_half_as_long_again(cool_bench: Bench, cut: str, days: tuple[int, int]) -> None:
    cool_bench.note(act("root_pruned", NUMBER_12, cut=cut) if cut else act("washed", NUMBER_12))
    assert days[0] <= _days(cool_bench.due("pot_up"))[0] <= days[1]


@pytest.mark.parametrize(
    ("kind", "taken", "days"), [("offsets", "offsets_taken", 4), ("cuttings", "cutting_taken", 10)], ids=["0.8 cm", "2 cm"]
)
def test_cuts_dry_by_their_width_common_practice(warm_bench: Bench, kind: str, taken: str, days: int) -> None:
    """Under 1 cm 3 to 4 days, 1 to 3 cm 7 to 10."""
    warm_bench.note(act(taken, {"labels": ["12"], "kind": kind, "count": 3}), act("set_to_dry"))
    assert _days(warm_bench.due("pot_up"))[0] == days


def test_what_lies_dry_waits_for_no_drying_off(warm_bench: Bench) -> None:
    warm_bench.note(act("watered", NUMBER_12, how="soak"))
    assert "dry_look" in warm_bench.kinds()
    warm_bench.later(days=1).note(act("unpotted", NUMBER_12))
    assert warm_bench.kinds() == {"pot_up"}


def test_setting_to_dry_again_does_not_begin_the_days_anew(warm_bench: Bench) -> None:
    warm_bench.note(act("washed", NUMBER_12))
    warm_bench.later(days=1).note(act("set_to_dry", NUMBER_12))
    assert warm_bench.due("pot_up").on == START + timedelta(days=2)


def test_a_second_wash_begins_the_days_anew(warm_bench: Bench) -> None:
    warm_bench.note(act("washed", NUMBER_12))
    warm_bench.later(days=4).note(act("washed", NUMBER_12))
    assert warm_bench.due("pot_up").on == START + timedelta(days=6)


def test_a_part_that_is_potted_leaves_the_rest_on_the_rack(warm_bench: Bench) -> None:
    warm_bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma", state="bare_root"))
    assert warm_bench.due("pot_up").refs[0].count == 6
    warm_bench.later(days=1).note(act("potted", {"lots": ["irma"], "count": 4}))
    assert warm_bench.due("pot_up").refs[0].count == 2
    assert warm_bench.due("first_water").refs[0].count == 4
    warm_bench.later(days=1).note(act("potted", {"lots": ["irma"], "count": 2}))
    assert "pot_up" not in warm_bench.kinds()
    assert [one.refs[0].count for one in warm_bench.dues if one.kind == "first_water"] == [4, 2]


def test_what_died_on_the_rack_is_not_asked_about(warm_bench: Bench) -> None:
    warm_bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma", state="bare_root"))
    warm_bench.later(days=1).note(act("died", {"lots": ["irma"], "count": 2}))
    assert warm_bench.due("pot_up").refs[0].count == 4
    warm_bench.note(act("died", {"lots": ["irma"]}))
    assert "pot_up" not in warm_bench.kinds()


# --- the first water --------------------------------------------------------------------------------------------------

WHOLE = [act("repotted", NUMBER_12, how="on")]
CLEANED = [act("washed", NUMBER_12), act("potted", NUMBER_12)]
REPOTTED = [act("repotted", NUMBER_12)]
CUT = [act("root_pruned", NUMBER_12), act("potted", NUMBER_12)]
ROT = [act("root_pruned", NUMBER_12, cut="rot"), act("potted", NUMBER_12)]


@pytest.mark.parametrize(
    ("entries", "warm", "cool"),
    [
        (WHOLE, (3, 7), None),
        (CLEANED, (7, 7), (14, 14)),
        (REPOTTED, (7, 7), (14, 14)),
        (CUT, (14, 21), (14, 21)),
        (ROT, (21, 28), (21, 28)),
    ],
    ids=["ball kept whole", "washed", "a full repot", "cut", "rot"],
)
def test_first_water_common_practice(
    warm_bench: Bench, entries: list[dict[str, Any]], warm: tuple[int, int], cool: tuple[int, int] | None
) -> None:
    warm_bench.note(*entries)
    due = warm_bench.due("first_water")
    assert _days(due) == warm
    assert _of_practice(due)
    assert due.why["share"] == 1.0
    if cool is not None:
        warm_bench.type("set normals " + "4/12 " * 12)
        assert _days(warm_bench.due("first_water")) == cool, "at 8 °C, where nothing grows warmly"


@pytest.mark.parametrize("roots", ["tap", "tuber"])
@pytest.mark.parametrize(
    ("entries", "days"),
    [(WHOLE, (10, 14)), (CLEANED, (14, 14)), (CUT, (21, 28)), (ROT, (28, 35))],
    ids=["whole", "cleaned", "cut", "rot"],
)
def test_a_tap_root_waits_a_week_longer_and_gets_half_common_practice(
    warm_bench: Bench, roots: str, entries: list[dict[str, Any]], days: tuple[int, int]
) -> None:
    *before, potted = entries
    warm_bench.note(*before, potted | {"details": potted.get("details", {}) | {"roots": roots}})
    due = warm_bench.due("first_water")
    assert _days(due) == days
    assert due.why["share"] == 0.5


def test_roots_seen_at_the_wash_count_at_the_potting(warm_bench: Bench) -> None:
    warm_bench.note(act("washed", NUMBER_12, roots="tap"))
    warm_bench.later(days=2).note(act("potted", NUMBER_12))
    assert _days(warm_bench.due("first_water"), date(2026, 4, 17)) == (14, 14)


def test_a_genus_known_for_its_tap_root_needs_no_word_of_it(warm_bench: Bench) -> None:
    row = genus_row("lophophora")
    assert row is not None
    assert row.root_form != "fibrous"
    warm_bench.note(act("named", NUMBER_12, name="lophophora"), *CLEANED)
    assert warm_bench.due("first_water").why["share"] == 0.5


def test_the_first_water_never_falls_into_rest(cool_bench: Bench) -> None:
    """Potted in November; a lobivia rests in winter and waits for its restart, as common practice has it."""
    row = genus_row("lobivia")
    assert row is not None
    rest = row.rest_months(51.5)
    assert {11, 12, 1} <= rest
    cool_bench.at("2026-11-05T09:00").note(act("named", NUMBER_12, name="lobivia"), *CLEANED)
    due = cool_bench.due("first_water")
    assert due.on > date(2027, 2, 1)
    assert due.why["waits"] is True


def test_the_first_water_ends_the_wait_and_brings_a_look_three_days_later(warm_bench: Bench) -> None:
    warm_bench.note(*CLEANED)
    warm_bench.later(days=8).note(act("watered", NUMBER_12))
    assert "first_water" not in warm_bench.kinds()
    look = warm_bench.due("follow_up")
    assert (look.about, look.on) == ("first_water", START + timedelta(days=11))
    assert _of_practice(look)


def test_a_watering_of_the_potting_day_itself_is_not_the_first_water(warm_bench: Bench) -> None:
    """Watered before it was potted that day: it stands in dry mix and still waits."""
    warm_bench.note(act("watered", NUMBER_12), *CLEANED)
    assert "first_water" in warm_bench.kinds()
    assert "dry_look" not in warm_bench.kinds()


def test_newly_potted_plants_are_not_to_be_watered_yet(warm_bench: Bench) -> None:
    warm_bench.note(*CLEANED)
    text = warm_bench.note(question("may_water", which=NUMBER_12), decision="answer").text
    assert text.startswith("Not 12: newly potted, first water Wed 22 Apr or after")


def test_the_whole_chain(warm_bench: Bench) -> None:
    """Unpotted, washed, dried, potted and watered: one thing due after the other, and at the end only the drying-off."""
    bench = warm_bench
    bench.note(act("unpotted", NUMBER_12))
    assert bench.kinds() == {"pot_up"}
    bench.later(minutes=20).note(act("washed", NUMBER_12), act("root_pruned", NUMBER_12))
    assert bench.due("pot_up").on == day("2026-04-22")
    bench.at("2026-04-22T10:00").note(act("potted", NUMBER_12, pot_cm=7, mix="pumice"))
    assert bench.kinds() == {"first_water"}
    assert (bench.due("first_water").on, bench.due("first_water").until) == (day("2026-05-06"), day("2026-05-13"))
    bench.at("2026-05-08T10:00").note(act("watered", NUMBER_12, how="soak"))
    assert bench.kinds() == {"dry_look", "follow_up"}
    look = bench.due("dry_look")
    assert look.on > day("2026-05-08")
    assert (look.why["pot_cm"], look.why["mix"], look.why["assumed"]) == (7, "mineral", False)


def test_a_pot_that_nobody_described_is_said_to_be_assumed(warm_bench: Bench) -> None:
    warm_bench.note(act("watered", NUMBER_12, how="soak"))
    assert warm_bench.due("dry_look").why["assumed"] is True


# --- rest -------------------------------------------------------------------------------------------------------------


def test_rest_begins_and_ends_by_the_growers_word(bench: Bench) -> None:
    bench.note(act("named", NUMBER_12, name="lobivia"), act("moved", NUMBER_12, to="bench 2"))
    bench.at("2026-10-20T10:00").note(act("watered", NUMBER_12), act("rest_started", NUMBER_12))
    assert bench.thing("plant", "12").rest_on == day("2026-10-20")
    end = bench.due("rest_end")
    assert date(2027, 2, 1) <= end.on <= date(2027, 5, 15), "a summer grower in London restarts in spring"
    bench.at("2027-04-01T10:00").note(act("watered", NUMBER_12), act("rest_ended", NUMBER_12))
    assert bench.thing("plant", "12").rest_on is None
    assert bench.thing("plant", "12").rest_ended_on == day("2027-04-01")
    assert "rest_end" not in bench.kinds()


def test_in_the_south_the_year_is_turned(bench: Bench) -> None:
    bench.type("set latitude -34")
    bench.at("2026-04-20T10:00").note(act("named", NUMBER_12, name="lobivia"), act("rest_started", NUMBER_12))
    assert date(2026, 8, 1) <= bench.due("rest_end").on <= date(2026, 11, 15)


def test_a_bench_put_to_rest_takes_its_plants_along(bench: Bench) -> None:
    bench.note(act("moved", labels("12", "13"), to="bench 2"))
    bench.note(act("rest_started", {"places": ["bench 2"]}))
    assert bench.thing("plant", "12").rest_on == bench.thing("plant", "13").rest_on == START


def test_resting_plants_are_not_to_be_watered(bench: Bench) -> None:
    bench.note(act("rest_started", NUMBER_12))
    assert "at rest" in bench.note(question("may_water", which=NUMBER_12), decision="answer").text
