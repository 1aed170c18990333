"""Slips: a part of what was done taken back, numbers and strengths that cannot be, days before the plant, an edited purchase."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from bot.care.fold import fold_all
from bot.messages import Incoming
from tests.app.bench import Answer, Bench


def stocked(bench: Bench) -> Bench:
    for words in ("bought a rebutia from Anna, label 11", "bench 1 has 12 14 15 16", "12 to 16 are lobivias"):
        bench.type(words)
    return bench.later(days=20)


def last(bench: Bench, act: str, labels: Iterable[str]) -> list[bool]:
    return [act in bench.standing.things[("plant", one)].last for one in labels]


def edited(bench: Bench, text: str) -> Answer:
    """Hand in the newest message once more with other words."""
    key = f"{bench.address}:{bench.notes}"
    again = Incoming(
        "terminal", bench.address, "terminal", f"{key}:edited", text, bench.now, sender=bench.address, message_key=key
    )
    before = bench.last_sequence()
    inbox_id = bench.intake.receive(again, bench.now)
    assert inbox_id is not None
    bench.intake.work(bench.now)
    return bench._answer(inbox_id, before)


@pytest.mark.parametrize("note", ["watered bench 1", "watered 12 14 15 16", "watered the lobivias"])
def test_one_plant_is_taken_out_of_what_was_done_to_several(bench: Bench, note: str) -> None:
    stocked(bench).type(note)
    assert bench.type("undo 15").written == ["amended"]
    assert last(bench, "watered", ("12", "14", "15", "16")) == [True, True, False, True]
    assert fold_all(bench.log).rows() == bench.standing.rows()
    bench.type("undo")
    assert last(bench, "watered", ("15",)) == [True]


def test_what_was_done_to_one_is_taken_back_whole(bench: Bench) -> None:
    stocked(bench).type("watered bench 1")
    bench.type("fed 15")
    assert bench.type("undo 15").written == ["withdrawn"]
    assert last(bench, "watered", ("12", "15")) == [True, True]


def test_several_that_came_together_keep_their_letters(bench: Bench) -> None:
    bench.type("bought 2 lobivias from Ida, labels 21 22")
    before = {key: one.accession for (_, key), one in bench.standing.things.items() if one.accession}
    bench.type("undo 21")
    after = {key: one.accession for (_, key), one in bench.standing.things.items() if one.accession}
    assert all(before[key] == number for key, number in after.items())


@pytest.mark.parametrize(
    "note", ["fed 12 at 500 ml/l", "fed 12 at 60 ml per litre", "fed bench 1 at 50 g per litre", "fed 12 100 ml/l"]
)
def test_a_strength_that_burns_is_not_written(bench: Bench, note: str) -> None:
    said = stocked(bench).type(note)
    assert (said.written, "would burn roots" in said.text) == ([], True)


@pytest.mark.parametrize(
    "note", ["fed 12 at 5 ml/l", "fed 12 at 1 g/l", "fed 12 half strength", "fed 12", "sprayed 12 with soap 100 ml/l"]
)
def test_a_strength_of_a_label_is(bench: Bench, note: str) -> None:
    assert stocked(bench).type(note).written


@pytest.mark.parametrize("note", ["watered -3 on bench 1", "potted -2 rebutias", "repotted -4 lobivias", "bought -2 parodias"])
def test_fewer_than_none(bench: Bench, note: str) -> None:
    said = stocked(bench).type(note)
    assert (said.written, "ewer than none" in said.text) == ([], True)


def test_a_temperature_below_zero_is_none(bench: Bench) -> None:
    assert stocked(bench).type("min -3 last night").written == ["climate"]


def test_a_number_that_is_not_there_came_from_somebody(bench: Bench) -> None:
    said = stocked(bench).type("77 came from Anna")
    assert (said.written, [one.words for one in said.buttons]) == ([], ["bought no 77 from Anna", "bought 77 plants from Anna"])
    one = bench.type("bought no 77 from Anna")
    assert [(ref.kind, ref.key) for ref in one.events[0].refs] == [("plant", "77")]
    assert bench.type("14 came from Anna").written == ["source"]
    assert bench.thing("plant", "14").came_from.lower() == "anna"


@pytest.mark.parametrize("note", ["new plant no 14, gymnocalycium", "bought no 11 from Ida", "bought no 15 from Ida, parodia"])
def test_a_label_twice(bench: Bench, note: str) -> None:
    said = stocked(bench).type(note)
    assert (said.written, "here already" in said.text) == ([], True)


def test_a_plant_spoken_of_may_still_come(bench: Bench) -> None:
    assert stocked(bench).type("bought no 14 from Ida, lobivia").written == ["acquired"]


def test_days_before_the_plant_and_to_come(bench: Bench) -> None:
    stocked(bench)
    said = bench.type("bought 9 parodias from Ida, watered them on 2 march 2020")
    assert (said.written, "not written" in said.text) == (["acquired"], True)
    said = bench.type("watered 12 on 30 june")
    assert (said.written, "30 June is yet to come" in said.text) == ([], True)
    bench.type("watered 11")
    said = bench.later(days=2).type("event 1 was on yesterday")
    assert (said.written, "not changed" in said.text or "has an entry" in said.text) == ([], True)


def test_an_arrival_long_ago_is_no_news(bench: Bench) -> None:
    said = stocked(bench).type("event 1 was on 3 march 2020")
    assert (said.written, "Keep apart" in said.text) == (["amended"], False)
    assert not [one for one in bench.dues if one.kind in ("intake_look", "quarantine_look", "release_look")]
    assert "Keep apart" not in bench.type("bought a parodia from Ida on 3 march 2021").text
    assert "Keep apart" in bench.type("bought a parodia from Ida").text


def test_an_edited_purchase_keeps_its_accession_number(bench: Bench) -> None:
    bench.type("bought 3 lobivias from Ida")
    assert [one.facts["accession"] for one in bench.log if one.what == "acquired"] == ["2026.0001"]
    said = edited(bench, "bought 5 lobivias from Ida")
    assert [one.what or one.kind for one in said.events] == ["withdrawn", "acquired"]
    assert said.events[-1].facts["accession"] == "2026.0001"
    bench.type("bought 2 rebutias from Anna")
    assert [one.facts["accession"] for one in bench.log if one.what == "acquired"][-1] == "2026.0002"
    assert bench.thing("lot", "ida").count == 5


def test_a_bench_without_plants_holds_no_thirty(bench: Bench) -> None:
    stocked(bench).type("put tray 4 in bench 1")
    assert "tray 4" not in bench.type("watered 30").text
