"""Undo and fixes of each kind: what was and what is are both told, and everything that had followed follows the change."""

from __future__ import annotations

from typing import Any

import pytest

from bot.care.events import CareEvent, Ref, effective
from bot.care.fold import fold_all
from tests.app.bench import Answer, Bench, acquired, act, day, fixed, labels, plant, seen


def _counted(bench: Bench) -> list[CareEvent]:
    return effective(bench.log)


def _rows(bench: Bench) -> dict[tuple[str, str], dict[str, Any]]:
    return {key: row for key, row in bench.standing.rows().items() if key != ("fold", "")}


def _fix(bench: Bench, what: str, to: Any = None, text: str = "", **said: Any) -> Answer:
    return bench.later(minutes=2).note(fixed(what, to, **said), decision="fix", text=text)


# --- undo -------------------------------------------------------------------------------------------------------------

NOTES: dict[str, list[dict[str, Any]]] = {
    "watering": [act("watered", labels("12"), how="soak")],
    "watering and mites": [act("watered", labels("12"), how="soak"), seen("spider_mite", labels("12"))],
    "isolation": [act("isolated", labels("12"), why="mites")],
    "death": [act("died", labels("12"), cause="rot")],
    "new stock": [acquired({"count": 6, "taxa": ["rebutia"]}, "irma", state="bare_root")],
    "wash and pot": [act("washed", labels("12")), act("potted", labels("12"), pot_cm=7)],
    "offsets": [act("offsets_taken", {"labels": ["12"], "kind": "offsets", "count": 3})],
    "sowing": [act("sown", {"sowings": ["S1"]}, sown=50, name="lithops")],
    "move": [act("moved", labels("12", "13"), to="bench 2")],
    "name": [act("named", labels("12"), name="lobivia")],
    "thermometer": [{"type": "climate", "min_c": -2, "max_c": 14}],
    "hold": [{"type": "hold", "which": labels("12"), "until": "2026-05-20"}],
    "reminder": [{"type": "reminder", "text": "order grit", "due": "2026-04-20"}],
    "skip": [{"type": "skip", "act": "watered", "which": labels("12"), "why": "damp"}],
    "height": [{"type": "measure", "of": "height", "which": labels("12"), "value": 7.5, "unit": "cm"}],
    "lesson": [{"type": "request", "do": "teach", "which": labels("12"), "text": "grandad"}],
    "rest": [act("rest_started", labels("12"))],
    "clean look": [act("inspected", labels("12")), seen("pest", labels("12"), status="absent")],
}


@pytest.mark.parametrize("entries", NOTES.values(), ids=NOTES.keys())
def test_undo_takes_back_a_whole_note_and_all_that_followed(bench: Bench, entries: list[dict[str, Any]]) -> None:
    bench.note(act("moved", labels("12"), to="bench 2"), act("watered", labels("12"), how="soak"))
    bench.later(days=1).note(seen("mealybug", labels("12")))
    bench.later(days=1).note({"type": "remark", "text": "a new day"})
    rows, dues = _rows(bench), bench.dues
    written = bench.later(minutes=5).note(*entries)
    assert written.events
    assert _rows(bench) != rows
    answer = _fix(bench, "undo")
    assert answer.written == ["withdrawn"]
    assert answer.text.startswith("Taken back: ")
    assert _rows(bench) == rows
    assert bench.dues == dues


def test_undo_again_takes_back_the_note_before(bench: Bench) -> None:
    bench.note(act("watered", labels("12")))
    bench.later(minutes=1).note(act("fed", labels("13")))
    _fix(bench, "undo")
    assert [one.what for one in _counted(bench)] == ["watered"]
    _fix(bench, "undo")
    assert _counted(bench) == []
    assert "nothing to take back" in _fix(bench, "undo").text


def test_a_named_undo_takes_back_what_it_names(bench: Bench) -> None:
    bench.note(act("watered", labels("12")), seen("spider_mite", labels("12")))
    _fix(bench, "undo", sign="spider_mite")
    assert [one.what for one in _counted(bench)] == ["watered"]
    bench.note(act("fed", labels("13")))
    _fix(bench, "undo", act="watered")
    assert [one.what for one in _counted(bench)] == ["fed"]


def test_undo_of_a_fix_brings_the_old_value_back(bench: Bench) -> None:
    bench.note(act("watered", labels("12")))
    _fix(bench, "which", labels("13"))
    assert _counted(bench)[0].refs == (plant("13"),)
    _fix(bench, "undo")
    assert _counted(bench)[0].refs == (plant("12"),)


def test_undo_on_an_empty_collection_says_so(bench: Bench) -> None:
    answer = _fix(bench, "undo")
    assert answer.events == ()
    assert "nothing to take back" in answer.text


# --- fixes ------------------------------------------------------------------------------------------------------------


def test_which(bench: Bench) -> None:
    bench.note(act("watered", labels("214"), how="soak"), seen("mealybug", labels("214")))
    answer = _fix(bench, "which", labels("215"))
    assert answer.written == ["amended", "amended"]
    assert {one.refs for one in _counted(bench)} == {(plant("215"),)}
    assert ("plant", "214") not in bench.standing.things
    assert {ref for one in bench.dues for ref in one.refs} == {plant("215")}
    assert "Was: " in answer.text
    assert "214" in answer.text.split("Now: ")[0]
    assert "215" in answer.text.split("Now: ")[1]
    assert "Selection(" not in answer.text


def test_count_of_an_unnamed_part(bench: Bench) -> None:
    bench.note(act("watered", {"count": 4}, how="soak"), seen("spider_mite"), decision="log_ask", ask="which")
    answer = _fix(bench, "count", 5, text="no that was 5 not 4")
    assert [one.refs[0].count for one in _counted(bench)] == [5, 5]
    assert answer.text.count("5") >= 1


def test_count_of_new_stock(bench: Bench) -> None:
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"))
    answer = _fix(bench, "count", 7)
    lot = bench.thing("lot", "irma")
    assert (lot.count, lot.tally["come"]) == (7, 7)
    assert "6" in answer.text.split("Now: ")[0]
    assert "7" in answer.text.split("Now: ")[1]


def test_count_of_offsets_and_seeds(bench: Bench) -> None:
    bench.note(act("offsets_taken", {"labels": ["12"], "kind": "offsets", "count": 3}))
    _fix(bench, "count", 4)
    assert next(one for one in bench.standing.things.values() if one.kind == "batch").tally["taken"] == 4
    bench.note(act("sown", {"sowings": ["S1"]}, sown=50))
    _fix(bench, "count", 40)
    assert bench.thing("sowing", "S1").tally["sown"] == 40


def test_the_old_number_tells_which_note_is_meant(bench: Bench) -> None:
    bench.note(act("watered", {"places": ["bench 2"], "count": 4}), decision="log")
    bench.later(minutes=2).note({"type": "climate", "min_c": 7, "max_c": 21})
    _fix(bench, "count", 5, text="no that was 5 not 7")
    climate = next(one for one in _counted(bench) if one.kind == "climate")
    assert climate.facts["min_c"] == 5
    assert next(one for one in _counted(bench) if one.what == "watered").refs[0].count == 4


def test_a_number_that_no_note_holds_changes_nothing(bench: Bench) -> None:
    bench.note({"type": "climate", "min_c": 7, "max_c": 21})
    answer = _fix(bench, "count", 5, text="no that was 5 not 9")
    assert answer.events == ()
    assert _counted(bench)[0].facts["min_c"] == 7


def test_when(warm_bench: Bench) -> None:
    warm_bench.note(act("watered", labels("12"), how="soak"), seen("mealybug", labels("12")))
    before = {one.kind: one.on for one in warm_bench.dues}
    answer = _fix(warm_bench, "when", "2026-04-12")
    assert {one.happened_on for one in _counted(warm_bench)} == {day("2026-04-12")}
    after = {one.kind: one.on for one in warm_bench.dues}
    assert {kind: (before[kind] - after[kind]).days for kind in before} == {"dry_look": 3, "pest_look": 3}
    assert "today" in answer.text.split("Now: ")[0]
    assert "12 Apr" in answer.text.split("Now: ")[1]
    assert warm_bench.standing == fold_all(warm_bench.log)


def test_when_still_to_come_is_refused(bench: Bench) -> None:
    bench.note(act("watered", labels("12")))
    answer = _fix(bench, "when", "2026-04-19")
    assert answer.events == ()
    assert "still to come" in answer.text
    assert _counted(bench)[0].happened_on == day("2026-04-15")


def test_act(bench: Bench) -> None:
    bench.note(act("watered", labels("12"), how="soak"))
    answer = _fix(bench, "act", "washed")
    assert [one.what for one in _counted(bench)] == ["washed"]
    assert bench.kinds() == {"pot_up"}
    assert "Soaked" in answer.text.split("Now: ")[0]
    assert "Washed" in answer.text.split("Now: ")[1]


def test_value_by_its_field(bench: Bench) -> None:
    bench.note({"type": "climate", "min_c": 7, "max_c": 21})
    answer = _fix(bench, "value", 12, field="max_c")
    assert (_counted(bench)[0].facts["min_c"], _counted(bench)[0].facts["max_c"]) == (7, 12)
    assert "21" in answer.text.split("Now: ")[0]
    assert "12" in answer.text.split("Now: ")[1]


def test_value_of_a_pot(bench: Bench) -> None:
    bench.note(act("repotted", labels("12"), pot_cm=7))
    _fix(bench, "value", 9, field="pot_cm")
    assert bench.thing("plant", "12").pot["cm"] == 9


@pytest.mark.parametrize(
    ("entry", "field", "to"),
    [
        ({"type": "climate", "min_c": 7, "max_c": 21}, "min_c", 25),
        (act("repotted", labels("12"), pot_cm=7), "pot_cm", 0),
        (act("repotted", labels("12"), pot_cm=7), "pot_cm", 400),
    ],
    ids=["min above max", "pot of 0 cm", "pot of 4 m"],
)
def test_a_fix_to_what_cannot_be_is_refused(bench: Bench, entry: dict[str, Any], field: str, to: float) -> None:
    bench.note(entry)
    before = _rows(bench)
    answer = _fix(bench, "value", to, field=field)
    assert answer.events == ()
    assert "not written" in answer.text
    assert _rows(bench) == before


def test_a_thermometer_fixed_to_what_cannot_be_is_refused(bench: Bench) -> None:
    bench.note({"type": "climate", "min_c": 7})
    answer = _fix(bench, "value", 90, field="min_c")
    assert answer.events == ()
    assert _counted(bench)[0].facts["min_c"] == 7


def test_product(bench: Bench) -> None:
    bench.note(act("treated", labels("12"), how="spray", product="oil"))
    answer = _fix(bench, "product", "soap")
    assert _counted(bench)[0].facts["product"] == "soap"
    assert "oil" in answer.text.split("Now: ")[0]
    assert "soap" in answer.text.split("Now: ")[1]


def test_place_of_a_move(bench: Bench) -> None:
    bench.note(act("moved", labels("12"), to="bench 2"))
    answer = _fix(bench, "place", "bench 3")
    assert bench.thing("plant", "12").place == "bench 3"
    assert "bench 2" in answer.text.split("Now: ")[0]
    assert "bench 3" in answer.text.split("Now: ")[1]


def test_place_of_a_thermometer(bench: Bench) -> None:
    bench.note({"type": "climate", "min_c": 7, "place": "the frame"})
    _fix(bench, "place", "the loft")
    assert _counted(bench)[0].facts["place"] == "the loft"
    assert set(bench.standing.readings) == {"the loft|2026"}


def test_place_of_a_watering(bench: Bench) -> None:
    bench.note(act("watered", {"places": ["bench 1"]}))
    _fix(bench, "place", {"places": ["bench 2"]})
    assert _counted(bench)[0].refs == (Ref("place", "bench 2"),)


def test_add_feeds_what_was_watered(bench: Bench) -> None:
    bench.note(act("watered", labels("12", "13"), when="2026-04-14"))
    answer = _fix(bench, "add", "fed")
    assert answer.written == ["fed"]
    assert answer.events[0].refs == (plant("12"), plant("13"))
    assert answer.events[0].happened_on == day("2026-04-14")


def test_add_does_the_same_to_plants_that_were_left_out(bench: Bench) -> None:
    bench.note(act("watered", labels("12"), when="2026-04-14", how="soak"), seen("mealybug", labels("12")))
    answer = _fix(bench, "add", labels("41"))
    assert [(one.what, one.refs, one.happened_on, one.facts) for one in answer.events] == [
        ("watered", (plant("41"),), day("2026-04-14"), {"how": "soak"})
    ]
    assert bench.thing("plant", "12").soaked_on == bench.thing("plant", "41").soaked_on == day("2026-04-14")
    assert "41" in answer.text
    assert "Selection(" not in bench.type("and i did number 42 as well").text


@pytest.mark.parametrize("what", ["count", "which", "when", "act", "value", "product", "place", "add"])
def test_a_fix_where_nothing_was_noted_says_so_and_writes_nothing(bench: Bench, what: str) -> None:
    to: dict[str, Any] = {"count": 5, "value": 5, "which": labels("12"), "when": "2026-04-12", "act": "fed", "add": "fed"}
    answer = _fix(bench, what, to.get(what, "soap"))
    assert answer.events == ()
    assert "nothing to change" in answer.text


def test_a_fix_is_about_the_last_note(bench: Bench) -> None:
    bench.note(act("watered", labels("12")))
    bench.later(days=1).note(act("watered", labels("20")))
    _fix(bench, "which", labels("21"))
    assert [one.refs for one in _counted(bench)] == [(plant("12"),), (plant("21"),)]


def test_fixes_upon_fixes_tell_the_value_before_each(bench: Bench) -> None:
    bench.note(act("watered", labels("12")))
    _fix(bench, "which", labels("13"))
    answer = _fix(bench, "which", labels("14"))
    assert "13" in answer.text.split("Now: ")[0]
    assert "14" in answer.text.split("Now: ")[1]
    assert bench.standing == fold_all(bench.log)


def test_a_bare_number_corrects_the_label_of_a_note_about_one_plant(bench: Bench) -> None:
    bench.note(act("watered", labels("5", "6")))
    bench.later(days=1).note(act("died", labels("5")))
    made = bench.type("no that was 6")
    assert "Was: Dead: 5" in made.text
    assert "Now: Dead: 6" in made.text
    assert bench.thing("plant", "5").alive
    assert not bench.thing("plant", "6").alive
