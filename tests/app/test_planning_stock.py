"""What comes, is raised, and goes: lots and their numbers, sowings, offsets, swaps and losses."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from bot.care.events import Ref
from tests.app.bench import Answer, Bench, acquired, act, day, labels, plant, question, seen

START = date(2026, 4, 15)
THREE_OFFSETS = act("offsets_taken", {"labels": ["41"], "kind": "offsets", "count": 3})


def _batch(bench: Bench) -> Any:
    (found,) = [one for one in bench.standing.things.values() if one.kind == "batch"]
    return found


def _ask(bench: Bench, about: str, **said: Any) -> str:
    return bench.note(question(about, **said), decision="answer").text


# --- lots -------------------------------------------------------------------------------------------------------------


def test_a_lot_is_called_after_who_it_came_from(bench: Bench) -> None:
    answer = bench.note(acquired({"count": 14, "words": "mixed cacti"}, "Irma", state="bare_root", price=35, currency="€"))
    lot = bench.thing("lot", "irma")
    assert (lot.count, lot.came_from, lot.price, lot.bare_count) == (14, "Irma", 35, 14)
    assert "the irma lot" in answer.text
    assert bench.standing.names().people == ("Irma",)


def test_a_second_lot_of_the_same_giver_is_another_lot(bench: Bench) -> None:
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"))
    bench.later(days=30).note(acquired({"count": 2, "taxa": ["lithops"]}, "irma"))
    assert {key: one.count for (kind, key), one in bench.standing.things.items() if kind == "lot"} == {"irma": 6, "irma 2": 2}


def test_two_lots_in_one_note_are_two_lots(bench: Bench) -> None:
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"), acquired({"count": 2, "taxa": ["lithops"]}, "irma"))
    assert {key: one.count for (kind, key), one in bench.standing.things.items() if kind == "lot"} == {"irma": 6, "irma 2": 2}


def test_a_lot_spoken_of_before_it_was_noted_as_come_is_that_lot(bench: Bench) -> None:
    bench.note(act("watered", {"lots": ["irma"]}))
    bench.note(acquired({"count": 6, "taxa": ["rebutia"], "lots": ["irma"]}))
    assert bench.thing("lot", "irma").count == 6


def test_a_lot_that_comes_without_a_number_is_alive(bench: Bench) -> None:
    bench.note(act("watered", {"lots": ["irma"]}))
    bench.note(acquired({"lots": ["irma"]}))
    assert bench.thing("lot", "irma").alive


def test_plants_that_come_with_numbers_are_plants(bench: Bench) -> None:
    bench.note(acquired(labels("301", "302") | {"taxa": ["lithops"]}, "nika"))
    assert {bench.thing("plant", one).genus for one in ("301", "302")} == {"lithops"}
    assert bench.thing("plant", "301").isolated_why == "new"


def test_what_leaves_a_lot_is_taken_from_its_number(bench: Bench) -> None:
    bench.note(acquired({"count": 10, "taxa": ["rebutia"]}, "irma"))
    bench.note(act("died", {"lots": ["irma"], "count": 2}, cause="rot"))
    bench.note(act("given", {"lots": ["irma"], "count": 3}, to="nika"))
    bench.note(act("missing", {"lots": ["irma"], "count": 1}))
    lot = bench.thing("lot", "irma")
    assert lot.count == 4
    assert (lot.tally["died"], lot.tally["given"], lot.tally["missing"]) == (2, 3, 1)
    assert _ask(bench, "losses", which={"lots": ["irma"]}).startswith("2 of 10 dead")
    assert _ask(bench, "source", which={"lots": ["irma"]}).startswith("The irma lot: ")


def test_a_numbered_death_is_written_and_may_be_undone(bench: Bench) -> None:
    bench.note(act("named", labels("22"), name="lobivia"))
    answer = bench.note(act("died", labels("22"), cause="rot"))
    assert answer.written == ["died"]
    assert "undo" in [one.words for one in answer.buttons]
    assert bench.thing("plant", "22").status == "dead"
    assert plant("22") not in [one.ref for one in bench.standing.plants()]


def test_what_died_is_no_more_asked_about(warm_bench: Bench) -> None:
    warm_bench.note(act("watered", labels("22"), how="soak"), {"type": "hold", "which": labels("22"), "until": "2026-05-01"})
    warm_bench.note(act("isolated", labels("22")), act("washed", labels("22")))
    assert warm_bench.dues
    warm_bench.note(act("died", labels("22")))
    assert warm_bench.dues == ()


def test_died_and_then_binned_is_one_loss(bench: Bench) -> None:
    bench.note(act("died", labels("22")))
    bench.note(act("discarded", labels("22")))
    assert _ask(bench, "losses").startswith("1 dead")


def test_found_alive_is_no_loss(bench: Bench) -> None:
    bench.note(act("missing", labels("22")))
    bench.note(act("found_alive", labels("22")))
    assert bench.thing("plant", "22").alive
    assert "None noted as dead" in _ask(bench, "losses")


def test_a_swap_is_asked_after_two_weeks_later_common_practice(bench: Bench) -> None:
    bench.note(act("given", labels("22"), to="nika"))
    look = bench.due("follow_up")
    assert (look.about, look.on, look.why["mark"]) == ("given", START + timedelta(days=14), "common practice")


def test_what_is_offered_is_on_the_swap_list_until_it_is_given(bench: Bench) -> None:
    bench.note(act("offered", labels("22", "23")))
    assert "22" in _ask(bench, "swap_list")
    bench.note(act("given", labels("22"), to="nika"))
    assert "22" not in _ask(bench, "swap_list")
    assert "23" in _ask(bench, "swap_list")


def test_a_new_number_is_pointed_out_once(bench: Bench) -> None:
    assert "new to me" in bench.note(act("watered", labels("500"))).text
    assert "new to me" not in bench.note(act("watered", labels("500"))).text


def test_a_nickname_names_its_plant(bench: Bench) -> None:
    bench.note({"type": "request", "do": "teach", "which": labels("49"), "text": "grandad"}, decision="do")
    answer = bench.later(hours=1).note(act("watered", {"nicknames": ["Grandad"]}))
    assert answer.events[0].refs == (plant("49"),)


def test_a_genus_in_a_place_is_narrowed_to_that_place(bench: Bench) -> None:
    bench.note(act("named", labels("12", "13"), name="lobivia"), act("moved", labels("12"), to="bench 2"))
    bench.note(act("moved", labels("13"), to="tray 3"))
    answer = bench.later(hours=1).note(act("watered", {"taxa": ["lobivia"], "places": ["bench 2"]}))
    assert answer.events[0].refs == (plant("12"),)


def test_an_exception_is_left_out(bench: Bench) -> None:
    bench.note(act("named", labels("12", "13"), name="lobivia"), act("moved", labels("12", "13", "14"), to="bench 2"))
    bench.note(act("named", labels("14"), name="lithops"))
    answer = bench.later(hours=1).note(act("watered", {"places": ["bench 2"], "except": {"taxa": ["lithops"]}}, how="soak"))
    assert plant("14") not in answer.events[0].refs
    assert set(answer.events[0].refs) >= {plant("12"), plant("13")}
    assert bench.thing("plant", "14").soaked_on is None


def test_care_for_a_genus_is_not_care_for_its_seed(bench: Bench) -> None:
    bench.note(act("sown", {"sowings": ["S1"], "taxa": ["lithops"]}, sown=40))
    answer = bench.later(hours=1).note(act("watered", {"taxa": ["lithops"]}), act("rest_started", {"taxa": ["lithops"]}))
    assert Ref("sowing", "S1") not in {ref for one in answer.events for ref in one.refs}
    assert bench.thing("sowing", "S1").rest_on is None


# --- sowings ----------------------------------------------------------------------------------------------------------


def _sown(bench: Bench, genus: str = "lobivia") -> Answer:
    return bench.note(act("sown", {"sowings": ["S1"]}, sown=50, name=genus))


def _up(bench: Bench, count: int, *, total: bool = True) -> Answer:
    details = {"total": True} if total else {}
    return bench.note({"type": "event", "act": "germinated", "which": {"sowings": ["S1"], "count": count}, "details": details})


def test_counts_are_totals_and_more_is_added(bench: Bench) -> None:
    _sown(bench)
    bench.at("2026-04-22T09:00")
    _up(bench, 6)
    bench.at("2026-04-29T09:00")
    answer = _up(bench, 31)
    assert bench.thing("sowing", "S1").tally["up"] == 31
    assert "31 of 50 up (62 %)" in answer.text
    _up(bench, 4, total=False)
    assert bench.thing("sowing", "S1").tally["up"] == 35
    assert _ask(bench, "germination", which={"sowings": ["S1"]}).startswith("S1: 35 up, 70 % (n = 50), day 14")


def test_looks_after_7_14_and_21_days_then_weekly_common_practice(bench: Bench) -> None:
    _sown(bench)
    for days, up in ((7, 0), (14, 3), (21, 6), (28, 8), (35, 9)):
        look = bench.due("sowing_look")
        assert (look.on, look.why["mark"]) == (START + timedelta(days=days), "common practice")
        bench.now += look.on - bench.now.date()
        _up(bench, up)
    assert bench.due("sowing_look").why["up"] == 9


def test_between_two_looks_a_count_asks_for_the_next(bench: Bench) -> None:
    _sown(bench)
    bench.later(days=9)
    _up(bench, 31)
    look = bench.due("sowing_look")
    assert (look.on, look.why["up"]) == (START + timedelta(days=14), 31)


@pytest.mark.parametrize(("genus", "days"), [("lobivia", 60), ("astrophytum", 120)], ids=["most", "slow kinds"])
def test_give_up_or_wait_common_practice(bench: Bench, genus: str, days: int) -> None:
    _sown(bench, genus)
    bench.later(days=days - 1)
    _up(bench, 9)
    review = bench.due("sowing_review")
    assert review.on == START + timedelta(days=days)


def test_a_sowing_that_is_all_up_or_pricked_out_is_looked_at_no_more(bench: Bench) -> None:
    _sown(bench)
    _up(bench, 50)
    assert "sowing_look" not in bench.kinds()
    bench.note(act("sown", {"sowings": ["S2"]}, sown=20))
    bench.note(act("pricked_out", {"sowings": ["S2"], "count": 11}))
    assert not bench.kinds() & {"sowing_look", "sowing_review"}
    look = bench.due("follow_up")
    assert (look.about, look.on) == ("pricked_out", START + timedelta(days=14))


def test_nothing_up_is_a_count(bench: Bench) -> None:
    _sown(bench)
    bench.later(days=7)
    _up(bench, 0)
    assert bench.thing("sowing", "S1").tally["up"] == 0
    assert bench.due("sowing_look").on == START + timedelta(days=14)


def test_seedlings_lost_leave_the_sowing_alive(bench: Bench) -> None:
    _sown(bench)
    bench.later(days=21)
    _up(bench, 30)
    bench.note(act("died", {"sowings": ["S1"], "count": 4}, cause="damping_off"))
    sowing = bench.thing("sowing", "S1")
    assert sowing.alive
    assert sowing.tally["died"] == 4


def test_sowings_get_the_next_number(bench: Bench) -> None:
    bench.note(act("sown", {"taxa": ["lithops"]}, sown=40), act("sown", {"taxa": ["rebutia"]}, sown=20))
    assert {key for kind, key in bench.standing.things if kind == "sowing"} == {"S1", "S2"}


# --- offsets, cuttings, grafts ----------------------------------------------------------------------------------------


def test_offsets_become_a_batch_with_the_parents_name_and_place(bench: Bench) -> None:
    bench.note(act("named", labels("41"), name="echinopsis"), act("moved", labels("41"), to="bench 2"))
    bench.note(THREE_OFFSETS)
    batch = _batch(bench)
    assert (batch.count, batch.genus, batch.place, batch.parent) == (3, "echinopsis", "bench 2", "plant:41")
    assert "Children of 41: the offsets of 41" in _ask(bench, "lineage", which=labels("41"))


def test_two_of_three_rooted_leaves_one_pending(bench: Bench) -> None:
    bench.note(THREE_OFFSETS)
    answer = bench.later(days=25).note(act("rooted", {"kind": "offsets", "count": 2, "of": 3}, total=True))
    assert "2 of 3" in answer.text
    assert "1 pending" in answer.text
    batch = _batch(bench)
    assert (batch.tally["taken"], batch.tally["rooted"], batch.count) == (3, 2, 3)
    look = bench.due("rooted_look")
    assert (look.why["pending"], look.why["taken"]) == (1, 3)
    assert look.on == START + timedelta(days=25 + 14), "the unrooted are looked at after 14 days (common practice)"
    assert "2 of 3 rooted, 1 pending" in _ask(bench, "rooted")


def test_a_failed_one_is_not_pending(bench: Bench) -> None:
    bench.note(THREE_OFFSETS)
    bench.later(days=25).note(act("rooted", {"kind": "offsets", "count": 2, "of": 3}, total=True))
    bench.later(days=7).note(act("failed", {"kind": "offsets", "count": 1}))
    assert "rooted_look" not in bench.kinds()
    assert "2 of 3 rooted, 1 failed, 0 pending" in _ask(bench, "rooted")


def test_the_tug_comes_three_weeks_after_potting_common_practice(bench: Bench) -> None:
    bench.note(THREE_OFFSETS)
    assert bench.due("rooted_look").on == START + timedelta(days=21)
    bench.later(days=4).note(act("potted", {"kind": "offsets", "count": 3}))
    assert bench.due("rooted_look").on == START + timedelta(days=4 + 21)


def test_a_grafts_ties_come_off_after_7_to_14_days_common_practice(bench: Bench) -> None:
    bench.note(act("grafted", {"labels": ["41"], "kind": "grafts", "count": 2}))
    ties = bench.due("ties_off")
    assert (ties.on, ties.until) == (START + timedelta(days=7), START + timedelta(days=14))


def test_offsets_off_an_unnamed_plant_are_written(bench: Bench) -> None:
    answer = bench.note(act("offsets_taken", {"kind": "offsets", "count": 3}))
    assert answer.written == ["offsets_taken"]
    assert _batch(bench).parent == ""


def test_undo_of_taking_offsets_leaves_none(bench: Bench) -> None:
    bench.note(THREE_OFFSETS)
    bench.note({"type": "fix", "what": "undo"}, decision="fix")
    assert not [one for one in bench.standing.things.values() if one.kind == "batch"]
    assert bench.dues == ()


# --- second looks -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sign", "days"),
    [("rot", 2), ("soft", 2), ("bronzing", 7), ("cold_mark", 3), ("scorch", 3), ("damping_off", 2), ("grey_mould", 7)],
)
def test_second_looks_common_practice(bench: Bench, sign: str, days: int) -> None:
    bench.note(seen(sign, labels("12")))
    look = bench.due("follow_up")
    assert (look.on, look.about, look.why["mark"]) == (START + timedelta(days=days), sign, "common practice")
    bench.now += look.on - bench.now.date()
    bench.note(act("inspected", labels("12")))
    assert all(one.on > bench.now.date() for one in bench.dues)


def test_a_frost_in_the_house_is_looked_after_twice_common_practice(bench: Bench) -> None:
    """On day 3, and again after 10 to 14 days, since the damage hides."""
    bench.note({"type": "climate", "min_c": -2})
    assert bench.due("follow_up").on == START + timedelta(days=3)
    bench.at("2026-04-18T09:00").note(act("inspected", {"refer": "all"}))
    assert START + timedelta(days=10) <= bench.due("follow_up").on <= START + timedelta(days=14)


def test_a_forecast_of_frost_is_no_frost(bench: Bench) -> None:
    bench.note({"type": "climate", "min_c": -4, "forecast": True})
    assert bench.dues == ()


def test_a_leak_is_looked_after_on_day_2_and_10_common_practice(bench: Bench) -> None:
    bench.note(act("wetted", labels("12")))
    looks = [one.on for one in bench.dues if one.kind == "follow_up"]
    assert looks == [START + timedelta(days=2)]
    bench.at("2026-04-17T09:00").note(act("inspected", labels("12")))
    assert [one.on for one in bench.dues if one.kind == "follow_up"] == [day("2026-04-25")]


def test_out_into_the_sun_is_looked_after_in_3_days_and_the_first_place_is_no_move(bench: Bench) -> None:
    """Common practice: three days after a change of sun; brought indoors, pests are looked for within a week."""
    bench.note(act("moved", labels("12"), to="bench 2"))
    assert bench.kinds() == set()
    bench.note(act("moved", labels("12"), to="bench 3"))
    assert bench.kinds() == set()
    bench.note(act("moved", labels("12"), to="outdoors"))
    assert bench.due("follow_up").on == START + timedelta(days=3)
    bench.later(days=100).note(act("moved", labels("12"), to="bench 2"))
    looks = [due.on for due in bench.dues if due.about == "brought_in"]
    assert looks == [START + timedelta(days=107)]


def lots(bench: Bench) -> Bench:
    bench.type("12-15 are rebutias on bench 2")
    bench.type("got 10 lobivias from Hofer")
    return bench.later(hours=20)


def test_a_part_of_the_lot_is_never_everything(bench: Bench) -> None:
    """Nothing was spoken of lately: of one lot alone it is meant, of several it is asked, and nobody dies of a guess."""
    said = lots(bench).type("3 of the lot died")
    assert [(ref.kind, ref.key, ref.count) for one in said.events for ref in one.refs] == [("lot", "hofer", 3)]
    assert bench.standing.things[("plant", "12")].alive
    assert bench.standing.things[("lot", "hofer")].count == 7
    said = bench.later(hours=20).type("2 of the lot have mites")
    assert [(ref.kind, ref.key, ref.count) for one in said.events for ref in one.refs] == [("lot", "hofer", 2)]
    bench.type("got 5 aloes from Pia")
    said = bench.later(hours=20).type("3 of the lot died")
    assert said.written == []
    assert "Which 3 died?" in said.text


def test_all_of_a_number_is_everything_only_where_it_is_so_many(bench: Bench) -> None:
    bench.type("12-15 are rebutias on bench 2")
    said = bench.later(hours=20).type("watered all 4")
    assert {ref.key for one in said.events for ref in one.refs} >= {"12", "13", "14", "15"}
    said = bench.later(hours=20).type("all 40 died")
    assert said.written == []
    assert bench.standing.things[("plant", "12")].alive


@pytest.mark.parametrize(
    "words", ["60 of the hofer lot died", "all 60 of the hofer lot died", "bought 0 rebutias", "bought -3 lobivias"]
)
def test_numbers_that_cannot_be_are_not_written(bench: Bench, words: str) -> None:
    said = lots(bench).type(words)
    assert said.written == []
    assert bench.standing.things[("lot", "hofer")].count == 10
