"""The standing's own words: what it knows of names, places and lots, and what an event leaves in it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from bot.care.events import CareEvent, Ref
from bot.care.fold import fold, fold_all, fold_on, overlaps, stands_with
from bot.care.standing import Standing, Thing

TODAY = date(2026, 4, 15)
RECORDED = datetime(2026, 4, 15, 9, 0, tzinfo=UTC)
BENCH = Ref("place", "bench 2")


def _plant(label: str) -> Ref:
    return Ref("plant", label)


def _event(what: str, *refs: Ref, kind: str = "event", on: date = TODAY, **facts: Any) -> CareEvent:
    return CareEvent(f"{what}-{on}", 1, on, RECORDED, kind, what, refs, facts)


def _after(*events: CareEvent) -> Standing:
    standing = Standing()
    for event in events:
        fold(standing, event)
    return standing


# --- names ------------------------------------------------------------------------------------------------------------


def test_names_of_an_empty_collection_are_none() -> None:
    names = Standing().names()
    assert (names.places, names.nicknames, names.lots, names.labels, names.genera) == ((), {}, {}, None, ())


def test_names_are_those_that_notes_brought() -> None:
    standing = _after(
        _event("moved", _plant("12"), _plant("612"), to="bench 2"),
        _event("named", _plant("12"), name="Lobivia aurea"),
        _event("plant", _plant("612"), kind="taught", name="grandad"),
        _event("acquired", Ref("lot", "irma", 6), name="rebutia", aliases=["hollis lot"]),
        _event("person", kind="taught", name="Irma"),
        _event("sown", Ref("sowing", "S1"), sown=50),
    )
    names = standing.names()
    assert names.places == ("bench 2",)
    assert names.nicknames == {"grandad": "612"}
    assert names.lots == {"irma": ("hollis lot",)}
    assert names.people == ("Irma",)
    assert names.sowings == ("S1",)
    assert names.labels == (12, 612)
    assert set(names.genera) == {"lobivia", "rebutia"}


def test_a_lot_is_known_by_its_other_wordings() -> None:
    standing = _after(_event("acquired", Ref("lot", "irma", 6), aliases=["hollis lot"]))
    for words in ("irma", "IRMA", "hollis lot", "Hollis Lot"):
        found = standing.lot_of(words)
        assert found is not None, words
        assert found.key == "irma"
    assert standing.lot_of("nika") is None


def test_the_last_name_given_counts_and_none_is_forgotten() -> None:
    standing = _after(_event("named", _plant("12"), name="lobivia"), _event("named", _plant("12"), name="Echinopsis aurea"))
    thing = standing.things[("plant", "12")]
    assert (thing.taxon, thing.genus) == ("Echinopsis aurea", "echinopsis")
    assert [one["name"] for one in thing.names] == ["lobivia", "Echinopsis aurea"]


def test_unnumbered_plants_of_a_genus_carry_their_genus_and_place() -> None:
    thing = Standing().thing("taxon", "rebutia @ tray 3")
    assert (thing.genus, thing.place, thing.count) == ("rebutia", "tray 3", None)


@pytest.mark.parametrize(
    ("status", "count", "alive"), [("alive", None, True), ("alive", 3, True), ("alive", 0, False), ("dead", 3, False)]
)
def test_alive(status: str, count: int | None, alive: bool) -> None:
    assert Thing("lot", "irma", count=count, status=status).alive is alive


def test_rows_leave_out_what_was_never_said() -> None:
    rows = _after(_event("watered", _plant("12"))).rows()
    assert set(rows[("plant", "12")]) == {"kind", "key", "count", "status", "last", "soaked_on", "soak", "first_on"}


def test_the_house_goes_through_its_rows() -> None:
    standing = _after(_event("", kind="climate", min_c=-2), _event("shaded", Ref("house", "")))
    assert Standing.from_rows(standing.rows()) == standing


# --- who stands with whom ---------------------------------------------------------------------------------------------


def _bench_and_lot() -> Standing:
    return _after(
        _event("moved", _plant("12"), _plant("13"), to="bench 2"),
        _event("moved", _plant("20"), to="tray 3"),
        _event("named", _plant("20"), name="lobivia"),
        _event("acquired", Ref("lot", "irma", 2)),
        _event("", Ref("lot", "irma"), kind="known", parts=[["plant", "20", None], ["plant", "21", None]]),
        _event("moved", _plant("21"), to="the porch"),
    )


def test_what_shares_a_place_or_a_lot_stands_together() -> None:
    standing = _bench_and_lot()
    assert {one.key for one in stands_with(standing, standing.things[("plant", "12")])} == {"12", "13"}
    assert {one.key for one in stands_with(standing, standing.things[("plant", "20")])} == {"20", "21"}
    assert {one.key for one in stands_with(standing, standing.things[("place", "bench 2")])} == {"bench 2", "12", "13"}


def test_what_stands_nowhere_stands_alone() -> None:
    standing = _after(_event("watered", _plant("1")), _event("watered", _plant("2")))
    assert [one.key for one in stands_with(standing, standing.things[("plant", "1")])] == ["1"]


@pytest.mark.parametrize(
    ("left", "right", "meet"),
    [
        (_plant("12"), _plant("12"), True),
        (_plant("12"), _plant("13"), False),
        (_plant("12"), BENCH, True),
        (BENCH, _plant("12"), True),
        (_plant("20"), BENCH, False),
        (_plant("20"), Ref("lot", "irma"), True),
        (_plant("20"), Ref("taxon", "lobivia"), True),
        (_plant("12"), Ref("taxon", "lobivia"), False),
        (Ref("house", ""), _plant("12"), True),
        (_plant("999"), Ref("house", ""), True),
        (_plant("999"), BENCH, False),
    ],
)
def test_whether_two_refs_can_mean_a_plant_in_common(left: Ref, right: Ref, meet: bool) -> None:
    assert overlaps(_bench_and_lot(), left, right) is meet


def test_the_dead_do_not_stand_anywhere() -> None:
    standing = _bench_and_lot()
    fold(standing, _event("died", _plant("12")))
    assert {one.key for one in standing.at("bench 2")} == {"13"}


def test_a_bench_that_is_moved_takes_its_plants_along() -> None:
    standing = _bench_and_lot()
    fold(standing, _event("moved", Ref("place", "tray 3"), to="bench 2"))
    assert standing.things[("place", "tray 3")].parent == "bench 2"
    assert standing.things[("plant", "20")].place == "tray 3"


# --- what an event leaves ---------------------------------------------------------------------------------------------


def test_an_event_of_an_unknown_kind_or_act_breaks_nothing() -> None:
    standing = _after(_event("frobnicated", _plant("12")), _event("x", kind="of a newer version"))
    assert standing.things[("plant", "12")].last == {"frobnicated": "2026-04-15"}


def test_a_splash_does_not_begin_the_drying_anew() -> None:
    soaked = _event("watered", _plant("12"), on=date(2026, 4, 10), how="soak")
    thing = _after(soaked, _event("watered", _plant("12"), how="splash", ml=20)).things[("plant", "12")]
    assert thing.soaked_on == date(2026, 4, 10)
    assert thing.soak["light"] == [{"on": "2026-04-15", "ml": 20}]
    assert thing.last["watered"] == "2026-04-15"


def test_feeding_is_watering() -> None:
    thing = _after(_event("fed", _plant("12"))).things[("plant", "12")]
    assert thing.soaked_on == TODAY
    assert thing.last == {"watered": "2026-04-15", "fed": "2026-04-15"}


def test_a_dry_report_ends_the_wait_and_is_kept_for_learning() -> None:
    soaked = _event("watered", _plant("12"), on=date(2026, 4, 10), how="soak")
    standing = _after(soaked, _event("mix_dry", _plant("12"), kind="finding", status="present"))
    assert standing.things[("plant", "12")].soaked_on is None
    (report,) = standing.dry_reports
    assert (report["said"], report["soaked_on"], report["on"]) == ("dry", "2026-04-10", "2026-04-15")


@pytest.mark.parametrize(
    ("sign", "status", "said"),
    [
        ("mix_dry", "present", "dry"),
        ("mix_dry", "absent", "damp"),
        ("mix_damp", "present", "damp"),
        ("mix_damp", "absent", "dry"),
    ],
)
def test_damp_is_not_dry_however_it_is_said(sign: str, status: str, said: str) -> None:
    soaked = _event("watered", _plant("12"), on=date(2026, 4, 10), how="soak")
    standing = _after(soaked, _event(sign, _plant("12"), kind="finding", status=status))
    assert [one["said"] for one in standing.dry_reports] == [said]
    assert (standing.things[("plant", "12")].soaked_on is None) is (said == "dry")


def test_thermometer_notes_are_kept_by_place_and_year() -> None:
    standing = _after(
        _event("", kind="climate", min_c=4, place="the frame"),
        _event("", kind="climate", min_c=6),
        _event("", kind="climate", min_c=1, on=date(2027, 1, 2)),
    )
    assert set(standing.readings) == {"the frame|2026", "|2026", "|2027"}
    assert standing.readings["|2026"] == [{"on": "2026-04-15", "min_c": 6}]


def test_the_fold_of_nothing_is_nothing() -> None:
    assert fold_all([]) == Standing()
    assert Standing().rows() == {}
    assert Standing.from_rows({}) == Standing()


# --- what is made a row of anew ---------------------------------------------------------------------------------------


def test_a_row_is_the_very_same_while_nothing_in_it_changes() -> None:
    standing = _after(_event("acquired", _plant("1"), _plant("2"), name="Lobivia"))
    before = standing.rows()
    fold_on(standing, [_event("watered", _plant("1"), how="soak")])
    after = standing.rows(before)
    assert after["plant", "2"] is before["plant", "2"]
    assert after["plant", "1"] != before["plant", "1"]
    assert after == Standing.from_rows(after).rows()


def test_what_a_fold_changes_without_naming_it_is_a_new_row_too() -> None:
    standing = _after(
        _event("acquired", _plant("1"), _plant("2"), name="Discocactus"), _event("moved", _plant("1"), _plant("2"), to="bench 2")
    )
    standing.by_genus()  # kept from here on: its things are not asked for one by one
    before = standing.rows()
    fold_on(standing, [_event("", kind="climate", min_c=1.0)])
    after = standing.rows(before)
    assert after["plant", "1"] != before["plant", "1"]
    assert after == fold_rows(standing)


def test_the_pot_of_a_rule_in_a_row_does_not_change_with_the_standing() -> None:
    standing = _after(_event("", BENCH, kind="ruled", pot={"cm": 7, "mix": "gritty"}))
    before = standing.rows()
    fold_on(standing, [_event("mix", kind="taught", name="gritty", parts=[["loam", 1.0], ["grit", 2.0]])])
    assert "recipe" not in before["rule", "place:bench 2"]["pot"]
    assert standing.rows(before)["rule", "place:bench 2"]["pot"]["recipe"]["parts"] == [["loam", 1.0], ["grit", 2.0]]


def fold_rows(standing: Standing) -> dict[tuple[str, str], dict[str, Any]]:
    """Return the rows of a standing with nothing taken over from before."""
    return Standing.from_rows(Standing(**{name: getattr(standing, name) for name in _VALUES}).rows()).rows()


_VALUES = ("things", "cases", "reminders", "readings", "handled", "people", "rules", "last_on", "last_sequence", "accessions")
