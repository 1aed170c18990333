"""Lots in the talk: as they come in, plants numbered out of them, what they hold and what became of them."""

from __future__ import annotations

import pytest

from bot.app.intake import rebuild
from bot.app.lot_labels import labels_of, run_from
from bot.care.events import Ref
from bot.care.ledger import ledger_of
from tests.app.bench import Answer, Bench

WHOLE = "10 ordered from Hofer, 9 came, 3-6 cm, bare root, 45 eur, half with mites"


def with_lot(bench: Bench) -> Bench:
    bench.type("9 mixed cacti from irma, bare root, 35 euro")
    return bench


def labels(said: Answer) -> list[str]:
    return [ref.key for one in said.events for ref in one.refs if ref.kind == "plant"]


def left(bench: Bench, lot: str = "irma") -> int | None:
    return bench.thing("lot", lot).count


# --- as it comes in ----------------------------------------------------------------------------------------------------


def test_a_lot_comes_in_with_all_that_its_note_tells(bench: Bench) -> None:
    said = bench.type(WHOLE)
    assert said.written == ["acquired", "spider_mite"]
    lot = bench.thing("lot", "hofer")
    assert (lot.count, lot.came_from, lot.price, lot.currency) == (9, "hofer", 45, "EUR")
    assert (lot.tally["ordered"], lot.tally["come"], lot.tally["size_cm"]) == (10, 9, [3, 6])
    assert (lot.bare_count, lot.accession) == (9, "2026.0001")
    assert said.events[1].refs == (Ref("lot", "hofer", 5),)  # the larger half of nine
    assert said.events[1].facts["share"] == "half"
    assert "9 came of 10 ordered, 3 to 6 cm, EUR 45." in bench.type("card of the hofer lot").text


@pytest.mark.parametrize(("words", "count", "ordered", "refs"), [
    ("ordered 12 lobivias from Nika, 11 came, £20", 11, 12, ()),
    ("11 of 12 came from Nika yesterday, 2 cm, all with scale", 11, 12, (Ref("lot", "nika"),)),
    ("got 8 from Nika, 2 to 5 cm, a quarter with mites", 8, None, (Ref("lot", "nika", 2),)),
    ("6 mixed from Nika, bare root, 20 eur, 3 with mealybugs", 6, None, (Ref("lot", "nika", 3),)),
])  # fmt: skip
def test_other_ways_to_say_so(bench: Bench, words: str, count: int, ordered: int | None, refs: tuple[Ref, ...]) -> None:
    said = bench.type(words)
    assert (left(bench, "nika"), bench.thing("lot", "nika").tally.get("ordered")) == (count, ordered)
    assert tuple(ref for one in said.events if one.kind == "finding" for ref in one.refs) == refs


@pytest.mark.parametrize(("words", "told"), [
    ("10 ordered from Hofer, 14 came, 3-6 cm", "14 of 10 ordered? Nothing written."),
    ("10 ordered from Hofer, 0 came", "None came, so nothing is written."),
])  # fmt: skip
def test_what_cannot_have_come_is_not_written(bench: Bench, words: str, told: str) -> None:
    said = bench.type(words)
    assert said.written == []
    assert told in said.text


def test_a_note_with_a_part_of_another_kind_is_left_to_the_reader(bench: Bench) -> None:
    said = bench.type("10 ordered from Hofer, 9 came, watered bench 2")
    assert "acquired" not in [one.what for one in said.events if "ordered" in one.facts]


# --- numbers -----------------------------------------------------------------------------------------------------------


def test_the_lot_is_numbered_from_the_next_clear_number(bench: Bench) -> None:
    with_lot(bench).type("12 is a lobivia")
    said = bench.type("number the irma lot")
    assert (said.written, labels(said)) == (["split"], [str(one) for one in range(13, 22)])
    assert left(bench) == 0
    assert "No lot here has a plant without a number." in bench.type("number them").text


@pytest.mark.parametrize(("words", "given"), [
    ("number them from 214", [str(one) for one in range(214, 223)]),
    ("number 3 of the irma lot from 214", ["214", "215", "216"]),
    ("214 to 219 are from the irma lot", [str(one) for one in range(214, 220)]),
    ("214, 215 and 217 are from the irma lot", ["214", "215", "217"]),
    ("the blue one from the irma lot is 214", ["214"]),
    ("one of the irma lot is now K-17b", ["K-17b"]),
    ("3 of the lot are now 214 215 216", ["214", "215", "216"]),
    ("two of them are now 214 and 215", ["214", "215"]),
    ("number the irma lot from K-01", [f"K-0{one}" for one in range(1, 10)]),
])  # fmt: skip
def test_ways_to_give_numbers(bench: Bench, words: str, given: list[str]) -> None:
    said = with_lot(bench).type(words)
    assert labels(said) == given
    assert left(bench) == 9 - len(given)
    assert bench.thing("plant", given[0]).came_from == "irma"


@pytest.mark.parametrize(("words", "told"), [
    ("300 to 312 are from the irma lot", "holds 9 plants without a number, you gave 13"),
    ("number 12 of the irma lot from 214", "holds 9 plants without a number, you gave 12"),
    ("3 of the lot are now 214 215", "3 plants, but 2 numbers"),
    ("214 to 219 are from the barn lot", "I know no barn lot: nothing written. There is the irma lot (9)."),
    ("number the barn lot", "I know no barn lot"),
    ("12 is from the irma lot", "12 (Lobivia) on bench 2 is here already. Is that the plant from the irma lot?"),
    ("number the irma lot from 10", "12 is on a plant already, so nothing is written. The next clear run begins at 13."),
])  # fmt: skip
def test_what_cannot_be_numbered_is_said_and_not_written(bench: Bench, words: str, told: str) -> None:
    with_lot(bench).type("12 is a lobivia on bench 2")
    said = bench.type(words)
    assert said.written == []
    assert told in said.text
    assert left(bench) == 9


def test_a_label_that_is_here_is_taken_after_a_yes(bench: Bench) -> None:
    with_lot(bench).type("12 is a lobivia on bench 2")
    asked = bench.type("12 is from the irma lot")
    said = bench.type(asked.buttons[0].words)
    assert said.written == ["split"]
    one = bench.thing("plant", "12")
    assert (one.lot, one.taxon, one.place, left(bench)) == ("irma", "Lobivia", "bench 2", 8)
    assert "12 is from the irma lot already" in bench.type("12 is from the irma lot").text


def test_the_offered_run_is_one_press_away(bench: Bench) -> None:
    with_lot(bench).type("216 is a lobivia")
    asked = bench.type("number them from 214")
    said = bench.type(asked.buttons[0].words)
    assert labels(said)[0] == "217"


def test_undo_puts_the_lot_together_again_and_gives_no_letter_twice(bench: Bench) -> None:
    with_lot(bench).type("number 2 of the irma lot from 214")
    rows = {key: row for key, row in bench.standing.rows().items() if key[0] != "fold"}
    bench.type("number 3 of the irma lot from 220")
    bench.type("undo")
    assert {key: row for key, row in bench.standing.rows().items() if key[0] != "fold"} == rows
    bench.type("number 1 of the irma lot from 220")
    assert bench.thing("plant", "220").accession == "2026.0001*F"


def test_the_same_after_a_rebuild(bench: Bench) -> None:
    with_lot(bench).type("washed 4 of the lot")
    bench.type("number 3 of the irma lot from 214")
    bench.type("215 died")
    bench.type("undo")
    bench.type("gave 2 of the irma lot to Nika")
    before = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before
    assert ledger_of(bench.standing, bench.thing("lot", "irma")).closes


def test_them_is_the_part_that_was_spoken_of(bench: Bench) -> None:
    with_lot(bench).type("washed 4 of the lot")
    assert labels(bench.type("number them from 214")) == ["214", "215", "216", "217"]
    assert "Which lot?" in with_other(bench).later(hours=2).type("number them").text


def with_other(bench: Bench) -> Bench:
    bench.type("6 mixed from Nika, bare root, 20 eur, 3 with mealybugs")
    return bench


def test_words_that_name_a_genus_name_the_plant(bench: Bench) -> None:
    with_lot(bench).type("the small mammillaria from the irma lot is 214")
    assert bench.thing("plant", "214").taxon.lower() == "mammillaria"


def test_a_label_of_ones_own_scheme_is_kept_and_read(bench: Bench) -> None:
    with_lot(bench).type("one of the irma lot is now K-17b")
    assert labels(bench.type("watered k-17b")) == ["K-17b"]
    assert bench.type("card K-17b").text.startswith("K-17b")


# --- counts ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words", ["what became of the irma lot", "how many of the irma lot are left", "what's left of the irma lot?"]
)
def test_what_became_of_a_lot_is_one_line(bench: Bench, words: str) -> None:
    with_lot(bench).type("2 of the irma lot died")
    bench.type("number 2 of the irma lot from 214")
    bench.type("gave 214 to Nika")
    bench.type("found 3 more of the irma lot")
    told = bench.type(words)
    assert told.written == []
    assert told.text == "9 left of the irma lot (215; 8 without a number): 9 came, 3 more found, 1 given or sold, 2 dead."


def test_a_lot_that_is_counted(bench: Bench) -> None:
    assert bench.type("the barn lot has 12 plants").written == ["counted"]
    assert "2 missing by the record" in bench.type("the barn lot has 10 plants").text
    assert bench.type("what became of the barn lot").text == "10 left of the barn lot: 12 noted, 2 missing."
    bench.type("undo")
    assert left(bench, "barn") == 12


def test_a_lot_of_unknown_number_is_not_numbered_blindly(bench: Bench) -> None:
    bench.note({"type": "event", "act": "acquired", "which": {"lots": ["barn"]}, "details": {"from": "nika"}})
    bench.type("214 is from the barn lot")
    assert bench.thing("plant", "214").came_from == "nika"


# --- faults ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words", ["repotted 4 of the barn lot", "watered the attic lot", "mites on the barn lot", "2 of the barn lot died"]
)
def test_a_lot_that_is_not_there_is_not_made(bench: Bench, words: str) -> None:
    said = with_lot(bench).type(words)
    assert said.written == []
    assert "nothing written. There is the irma lot (9)." in said.text
    assert {key for kind, key in bench.standing.things if kind == "lot"} == {"irma"}
    assert bench.type(said.buttons[0].words).events[0].refs[0].key == "irma"


def test_more_than_a_lot_holds_is_said(bench: Bench) -> None:
    said = with_lot(bench).type("gave 20 of the irma lot to Nika")
    assert (said.written, "The irma lot holds 9 plants, not 20: nothing written." in said.text) == ([], True)


def test_a_label_twice(bench: Bench) -> None:
    assert labels(bench.type("bought no 12 from Anna")) == ["12"]
    said = bench.type("bought no 12 from Anna")
    assert (said.written, "12 is here already: nothing written." in said.text) == ([], True)
    bench.type("13 is a lobivia")
    assert labels(bench.type("bought #13 from Anna")) == ["13"]  # spoken of before it was noted as come
    bench.type("gave 12 to Nika")
    assert labels(bench.type("got #12 from Nika")) == ["12"]  # it came back
    bench.type("12 died")
    assert "12, dead, is here already" in bench.type("bought #12 from Anna").text


def test_a_plant_that_went_missing_is_written(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    assert bench.type("12 went missing").written == ["missing"]
    assert bench.type("found 12").written == ["found_alive"]


@pytest.mark.parametrize("words", ["bought #12 from Anna on 3 may 2027", "bought #12 from Anna tomorrow"])
def test_a_day_to_come_is_not_written(bench: Bench, words: str) -> None:
    assert bench.type(words).written == []


def test_nothing_was_done_to_a_numbered_plant_before_its_lot_came(bench: Bench) -> None:
    with_lot(bench).type("number them from 214")
    said = bench.type("watered 214 on 1 march")
    assert (said.written, "came" in said.text) == ([], True)


# --- labels ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "found"), [
    ("214 215 216", ("214", "215", "216")),
    ("214 to 216", ("214", "215", "216")),
    ("214-216, 220 and 221", ("214", "215", "216", "220", "221")),
    ("K-17b", ("K-17b",)),
    ("K-17", ("K-17",)),
    ("K-17 to K-19", ("K-17", "K-18", "K-19")),
    ("12a and 12b", ("12a", "12b")),
    ("216 to 214", ()),
    ("1 to 5000", ()),
    ("214 214", ("214",)),
])  # fmt: skip
def test_labels_in_a_row(text: str, found: tuple[str, ...]) -> None:
    assert labels_of(text) == found


def test_runs_keep_their_noughts() -> None:
    assert run_from("K-008", 3) == ["K-008", "K-009", "K-010"]
    assert run_from("99", 2) == ["99", "100"]


def test_what_is_due_for_a_lot_just_numbered_stays_one_line(bench: Bench) -> None:
    with_lot(bench).type("number 4 of the irma lot from 214")
    lines = bench.later(days=3).type("whats due").text.splitlines()
    assert [one.partition(" ")[2] for one in lines if "ready to pot?" in one] == [
        "ready to pot?: the irma lot, since yesterday (by 24 Apr)",
        "ready to pot?: the cacti (4), since yesterday (by 24 Apr)",
    ]
    number = next(one.partition(".")[0] for one in lines if "the cacti (4)" in one)
    assert bench.type(f"done {number}").written == ["done"] * 4 + ["potted"]


def test_what_was_paid_is_told_of_the_lot_with_those_that_have_numbers(bench: Bench) -> None:
    with_lot(bench).type("number 8 of the irma lot from 214")
    bench.type("214 died")
    told = bench.type("how much did i pay for the irma lot").text
    assert "8 of 9 left" in told
    assert "EUR 35, 3.89 each, 4.38 for each left" in told  # 35 / 9 and 35 / 8


def test_a_find_on_a_part_stands_on_the_card_of_the_lot(bench: Bench) -> None:
    bench.type(WHOLE)
    assert "Open: spider mites since" in bench.type("card of the hofer lot").text
