"""Accession numbers that a spreadsheet brings, and a table of plants that went out coming in again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from bot.app import projecting
from bot.app.english import bulk
from bot.app.exchanging import plants_table
from bot.app.plants_columns import guessed
from bot.app.plants_import import Imported
from bot.app.plants_session import import_plants, take_back
from bot.app.plants_table import read_table
from bot.care.accessions import index_of, letter
from bot.care.fold import fold_all
from bot.store import people
from bot.store.people import CollectionSettings
from tests.app.bench import Bench
from tests.app.test_plants_import import sheet, workbook

HEAD = ("No", "Name", "Acc. no.", "Acquired")


def take(bench: Bench, rows: Sequence[Sequence[str]], head: Sequence[str] = HEAD, *, leave_bad: bool = False) -> Imported:
    return taken(bench, sheet(rows, head).encode(), leave_bad=leave_bad)


def taken(bench: Bench, content: bytes, *, leave_bad: bool = False) -> Imported:
    made = import_plants(bench.database, content, bench.now, {}, write=True, leave_bad=leave_bad)
    assert fold_all(bench.log).rows() == bench.standing.rows()
    return made


def numbers(bench: Bench) -> dict[str, str]:
    return {key: one.accession for (kind, key), one in bench.standing.things.items() if kind in ("plant", "lot")}


@pytest.fixture
def garden(bench: Bench) -> Bench:
    bench.type("watered 90")
    return bench


@pytest.mark.parametrize(
    "head", ["Accession", "accession number", "Acc. no.", "ACCESSION NO", "Acc-Nr", "Zugangsnummer", "accession_number"]
)
def test_the_column_is_known_by_its_head(head: str) -> None:
    table = read_table(sheet([("1", "2019.0042"), ("2", "2019.0043")], ("No", head)).encode())
    assert [one.role for one in guessed(table, {}, "dmy")] == ["label", "accession"]


def test_numbers_are_kept_as_they_are(garden: Bench) -> None:
    rows = [
        ("1", "Rebutia", "2019.0042", "2019-03-12"),
        ("2", "Lobivia", "2019.0043 *b", ""),
        ("3", "Lobivia", "2019.0043*AB", "2020"),
        ("4", "Parodia", "", "2019-06-01"),
    ]
    made = take(garden, rows)
    assert (len(made.new), made.faults) == (4, ())
    held = numbers(garden)
    assert (held["1"], held["2"], held["3"]) == ("2019.0042", "2019.0043*B", "2019.0043*AB")
    assert held["4"] == "2019.0044"  # given by the bot: higher than any that the file brings, in whichever row it stands


def test_a_row_without_a_number_gets_none_that_a_later_row_brings(garden: Bench) -> None:
    take(garden, [("4", "Parodia", "", "2019-06-01"), ("1", "Rebutia", "2019.0001", "2019-03-12")])
    assert (numbers(garden)["4"], numbers(garden)["1"]) == ("2019.0002", "2019.0001")


def test_the_next_number_is_higher_than_the_highest_of_its_year(garden: Bench) -> None:
    take(garden, [("1", "Rebutia", "2026.0107", "2026-01-12"), ("2", "Rebutia", "2025.0900", "")])
    garden.type("bought 3 lobivias from Ida")
    assert "2026.0108" in numbers(garden).values()
    take_back(garden.database, garden.now)
    garden.type("bought 2 parodias from Ida")
    assert "2026.0109" in numbers(garden).values()


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("2019-42", "row 3: “2019-42” is no accession number."),
        ("2019.42", "row 3: “2019.42” is no accession number."),
        ("2019.0000", "row 3: “2019.0000” is no accession number."),
        ("0042.2019", "row 3: “0042.2019” is no accession number."),
        ("2019.0042*", "row 3: “2019.0042*” is no accession number."),
        ("2019.0042*7", "row 3: “2019.0042*7” is no accession number."),
        ("2019.0042; 2019.0043", "row 3: “2019.0042; 2019.0043” is no accession number."),
        ("2027.0001", "row 3: accession 2027.0001 is of a year to come; this is 2026."),
        ("2019.0007", "row 3: accession 2019.0007 stands in row 2 already. Give one of them another."),
    ],
)
def test_a_number_that_cannot_be_holds_all_back(garden: Bench, cell: str, said: str) -> None:
    before = garden.log
    rows = [("1", "Rebutia", "2019.0007", ""), ("2", "Lobivia", cell, "")]
    made = take(garden, rows)
    assert [bulk.fault(one)[: len(said)] for one in made.faults] == [said]
    assert (made.written, garden.log) == (False, before)
    assert take(garden, rows, leave_bad=True).written
    assert {"1"} <= numbers(garden).keys()
    assert "2" not in numbers(garden)


def test_a_number_that_stands_with_another_plant(garden: Bench) -> None:
    take(garden, [("1", "Rebutia", "2019.0042*A", "")])
    made = take(garden, [("1", "Rebutia", "2019.0042*A", ""), ("2", "Lobivia", "2019.0042*a", "")])
    assert [bulk.fault(one) for one in made.faults] == [
        "row 3: accession 2019.0042*A stands in row 2 already. Give one of them another."
    ]
    made = take(garden, [("2", "Lobivia", "2019.0042*A", "")])
    assert [bulk.fault(one) for one in made.faults] == [
        "row 2: accession 2019.0042*A was given to 1; none is given twice. Leave the cell empty or give another."
    ]
    assert take(garden, [("2", "Lobivia", "2019.0042*B", "")]).written


def test_a_number_that_was_taken_back_is_given_to_nobody_else(garden: Bench) -> None:
    take(garden, [("1", "Rebutia", "2019.0042", "2019-01-05")])
    take_back(garden.database, garden.now)
    assert len(take(garden, [("2", "Lobivia", "2019.0042", "")]).faults) == 1
    assert take(garden, [("1", "Rebutia", "2019.0042", "2019-01-05")]).written
    assert numbers(garden)["1"] == "2019.0042"


def test_a_number_that_the_bot_gave_stays_and_is_told(garden: Bench) -> None:
    take(garden, [("1", "Rebutia", "2019-03-12")], ("No", "Name", "Acquired"))
    made = take(garden, [("1", "Rebutia", "2019.0042", "2019-03-12")])
    assert [bulk.difference(one) for one in made.differences] == [
        "row 2: the accession number of 1 is “2019.0001” here and “2019.0042” there. Left as it is here."
    ]
    assert numbers(garden)["1"] == "2019.0001"


def test_a_plant_of_the_notes_takes_the_number_of_the_file(garden: Bench) -> None:
    assert take(garden, [("90", "Rebutia", "2019.0042*C", "")]).written
    assert numbers(garden)["90"] == "2019.0042*C"
    assert "90" in garden.type("accession 2019.0042*c").text


def test_the_same_file_twice_brings_nothing(garden: Bench) -> None:
    rows = [("1", "Rebutia", "2019.0042", "2019-03-12"), ("2", "Lobivia", "2019.0043*B", "")]
    take(garden, rows)
    before = garden.log
    again = take(garden, rows)
    assert (again.same, again.events, garden.log) == (2, (), before)


def test_a_number_that_a_workbook_took_for_a_sum(garden: Bench) -> None:
    made = taken(garden, workbook([["No", "Accession"], [1, 2019.0042], [2, "2019.0100"], [3, 2019.0100]]), leave_bad=True)
    assert [bulk.fault(one)[:40] for one in made.faults] == ["row 4: “2019.01” is no accession number."]
    assert (numbers(garden)["1"], numbers(garden)["2"]) == ("2019.0042", "2019.0100")


def test_where_nothing_else_is_the_label_the_number_is(garden: Bench) -> None:
    assert take(garden, [("2019.0042*B", "Rebutia")], ("Accession", "Name")).written
    assert numbers(garden)["2019.0042*B"] == "2019.0042*B"
    assert take(garden, [("A-17", "Rebutia")], ("Accession", "Name")).written
    assert numbers(garden)["A-17"] == ""


def test_letters_count_as_they_are_written() -> None:
    assert all(index_of(letter(one)) == one for one in range(1_000))


def test_what_goes_out_comes_in_again(garden: Bench) -> None:
    for words in (
        "12 is a rebutia on bench 1",
        "bought K-18 lobivia from Anna, 4.50 eur",
        "9 ordered from hofer, 9 came",
        "3 of the hofer lot are now 215 216 217",
        "12 is in a 9",
        "give 12 an accession number",
        "took 3 pups off 12",
        "sown 50 lobivia as S1",
        "216 died of rot",
    ):
        garden.type(words)
    standing = garden.standing
    table = plants_table(standing).encode()
    with garden.database.write() as conn:
        people.chat_of(conn, "terminal", "another", "another", CollectionSettings(name="second", zone="Europe/London"))
        second = next(one for one in people.all_collections(conn) if one.id != garden.collection_id)
        people.save_settings(conn, second.id, replace(second.settings, name="second"))
    made = import_plants(garden.database, table, garden.now, {}, "second", write=True)
    assert (made.faults, made.written) == ((), True)
    with garden.database.read() as conn:
        there = projecting.load(conn, second.id).standing
    living = {one.key: one for one in standing.plants() if one.kind in ("plant", "lot") and one.alive}
    assert {one.key for one in there.plants()} == living.keys()
    for key, one in living.items():
        other = there.things[one.kind, key]
        mine = (one.taxon, one.place, one.pot.get("cm"), one.came_on, one.came_from, one.price, one.currency, one.accession)
        assert mine == (
            other.taxon, other.place, other.pot.get("cm"), other.came_on, other.came_from, other.price, other.currency,
            other.accession,
        )  # fmt: skip
        assert one.count == other.count
    assert ("plant", "216") not in there.things
    again = import_plants(garden.database, plants_table(there).encode(), garden.now, {}, "second", write=True)
    assert (again.new, again.differences, again.faults) == ((), (), ())
