"""Plants from a spreadsheet: columns guessed and told, rows that cannot be right, once and for all, and back again."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from bot.app.english import bulk
from bot.app.plants_cells import read_date, read_pot_cm, read_price
from bot.app.plants_columns import IGNORED, guessed, told_of, unsettled
from bot.app.plants_import import Imported
from bot.app.plants_session import import_plants, session, take_back
from bot.app.plants_table import MOST_BYTES, PlantsProblem, read_table
from bot.care.fold import fold_all
from tests.app.bench import Bench

HEAD = ("No", "Name", "Bench", "Pot", "Acquired", "From", "Price")
ROWS = (
    ("1", "Mammillaria hahniana", "Long shelf", "7cm", "12/03/2019", "Ada Quill", "4.50"),
    ("2", "Lithops lesliei 'Pinkie'", "Long shelf", "3 in", "2020", "", ""),
    ("3", "Aloe aff. variegata", "West sill", "", "", "", ""),
)


def sheet(rows: Sequence[Sequence[str]] = ROWS, head: Sequence[str] = HEAD, separator: str = ",") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator).writerows([head, *rows])
    return out.getvalue()


def workbook(lines: Sequence[Sequence[Any]], merged: str = "") -> bytes:
    book = Workbook()
    page = book.active
    assert page is not None
    for line in lines:
        page.append(list(line))
    if merged:
        page.merge_cells(merged)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.fixture
def garden(bench: Bench) -> Bench:
    """A collection in which one note was written."""
    bench.type("watered 90")
    return bench


def take(bench: Bench, content: str | bytes, *, write: bool = True, leave_bad: bool = False, told: str = "") -> Imported:
    content = content.encode() if isinstance(content, str) else content
    made = import_plants(bench.database, content, bench.now, told_of(told), write=write, leave_bad=leave_bad)
    if write:
        assert fold_all(bench.log).rows() == bench.standing.rows()
    return made


def faults(made: Imported) -> list[str]:
    return [bulk.fault(one) for one in made.faults]


# --- what comes of it -------------------------------------------------------------------------------------------------


def test_what_came_on_a_day_gets_the_accession_number_of_its_year_once(garden: Bench) -> None:
    take(garden, sheet())
    assert [garden.thing("plant", one).accession for one in ("1", "2", "3")] == ["2019.0001", "2020.0001", ""]
    take_back(garden.database, garden.now)
    take(garden, sheet())
    assert garden.thing("plant", "1").accession == "2019.0002"
    take(garden, sheet())
    assert garden.thing("plant", "1").accession == "2019.0002"


def test_each_row_becomes_a_plant_with_all_it_says(garden: Bench) -> None:
    made = take(garden, sheet())
    assert (len(made.new), len(made.changed), made.same, faults(made)) == (3, 0, 0, [])
    one, two, three = (garden.thing("plant", label) for label in "123")
    assert (one.taxon, one.place, one.pot["cm"], one.came_from) == ("Mammillaria hahniana", "long shelf", 7.0, "Ada Quill")
    assert (one.came_on, one.price, one.isolated_on) == (date(2019, 3, 12), 4.5, None)
    assert (two.taxon, two.pot["cm"], two.came_on) == ("Lithops lesliei 'Pinkie'", 7.6, date(2020, 7, 1))
    assert (three.taxon, three.place, three.came_on, three.pot) == ("Aloe aff. variegata", "west sill", None, {})
    assert {"long shelf", "west sill"} <= set(garden.standing.names().places)
    assert garden.type("where is 3").text == "3 (Aloe aff. variegata): west sill."


def test_a_look_first_writes_nothing(garden: Bench) -> None:
    before = garden.log
    made = take(garden, sheet(), write=False)
    assert len(made.new) == 3
    assert not made.written
    assert garden.log == before
    assert bulk.next_step(made) == "Nothing is written yet: --write takes it."


def test_the_same_file_twice_makes_nothing_new(garden: Bench) -> None:
    take(garden, sheet())
    before = garden.log
    again = take(garden, sheet())
    assert (again.new, again.changed, again.same, again.events) == ((), (), 3, ())
    assert garden.log == before


def test_a_row_that_has_changed_brings_the_change_alone(garden: Bench) -> None:
    take(garden, sheet())
    changed = ("1", "Mammillaria hahniana", "West sill", "9cm", "12/03/2018", "Ada Quill", "5.50")
    made = take(garden, sheet((changed, *ROWS[1:])))
    assert (len(made.new), len(made.changed), made.same) == (0, 1, 2)
    assert [(one.kind, one.what) for one in made.events] == [("amended", ""), ("event", "moved"), ("known", "imported")]
    one = garden.thing("plant", "1")
    assert (one.place, one.pot["cm"], one.came_on, one.price) == ("west sill", 9.0, date(2018, 3, 12), 5.5)
    assert [name["name"] for name in one.names] == ["Mammillaria hahniana"]
    assert take(garden, sheet((changed, *ROWS[1:]))).events == ()


def test_what_notes_said_since_stays_when_the_file_comes_again(garden: Bench) -> None:
    take(garden, sheet())
    garden.later(days=1).type("moved 1 to bench 9")
    take(garden, sheet())
    assert garden.thing("plant", "1").place == "bench 9"


def test_plants_known_from_notes_are_filled_in_and_never_overruled(garden: Bench) -> None:
    garden.type("3 is a gasteria")
    made = take(garden, sheet())
    (one,) = made.differences
    assert (one.row, one.label, one.role) == (4, "3", "name")
    assert "Left as it is here" in bulk.difference(one)
    three = garden.thing("plant", "3")
    assert (three.genus, three.place) == ("gasteria", "west sill")


def test_an_import_is_taken_back_as_one_and_may_come_again(garden: Bench) -> None:
    before = garden.standing.rows()
    take(garden, sheet())
    assert take_back(garden.database, garden.now) == 3
    after = garden.standing.rows()
    assert {key: row for key, row in after.items() if key[0] != "fold"} == {
        key: row for key, row in before.items() if key[0] != "fold"
    }
    assert take_back(garden.database, garden.now) == 0
    assert len(take(garden, sheet()).new) == 3
    assert garden.thing("plant", "1").taxon == "Mammillaria hahniana"


def test_several_under_one_label_are_a_lot(garden: Bench) -> None:
    head = ("Label", "Name", "Qty", "Received")
    made = take(garden, sheet((("B7", "Lobivia", "6", "2024-05-04"), ("8", "Rebutia", "1", "")), head))
    assert len(made.new) == 2
    lot = garden.thing("lot", "B7")
    assert (lot.count, lot.taxon, lot.came_on) == (6, "Lobivia", date(2024, 5, 4))
    assert garden.thing("plant", "8").taxon == "Rebutia"


def test_two_collections_never_see_each_others_plants(garden: Bench) -> None:
    other = Bench(garden.database, garden.settings, "other")
    other.type("watered 5")
    with pytest.raises(PlantsProblem) as problem:
        take(garden, sheet(), write=False)
    assert "several collections" in bulk.problem(problem.value.kind, problem.value.facts)
    with garden.database.read() as conn:
        from bot.store import people  # noqa: PLC0415

        mine = next(one.public_id for one in people.all_collections(conn) if one.id == garden.collection_id)
    import_plants(garden.database, sheet().encode(), garden.now, {}, mine, write=True)
    assert ("plant", "1") in garden.standing.things
    assert ("plant", "1") not in other.standing.things


def test_an_empty_database_is_told_of(file_database: Any) -> None:
    with pytest.raises(PlantsProblem) as problem:
        import_plants(file_database, sheet().encode(), datetime.fromisoformat("2026-04-15T10:00+00:00"), {})
    assert bulk.problem(problem.value.kind, problem.value.facts) == "There is no collection yet: send the bot a first note."


# --- rows that cannot be right ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("", "Rebutia", "", "", "", "", ""), "row 5: no label. Give it the number that stands on its pot."),
        (("2", "Rebutia", "", "", "", "", ""), "row 5: label 2 stands in row 3 already. Give one of them another."),
        (("-4", "Rebutia", "", "", "", "", ""), "row 5: “-4” is no label. Leave the minus out."),
        (("4", "Rebutia", "", "0", "", "", ""), "row 5: “0” is no pot size from 1 to 100 cm. Write 7cm or 3 in."),
        (("4", "Rebutia", "", "-7", "", "", ""), "row 5: “-7” is no pot size from 1 to 100 cm. Write 7cm or 3 in."),
        (
            ("4", "Rebutia", "", "", "31/02/2020", "", ""),
            "row 5: “31/02/2020” is no day that I can read. Write it as 2024-05-31.",
        ),
        (("4", "Rebutia", "", "", "16/04/2026", "", ""), "row 5: 16/04/2026 is yet to come. Look at the day it came."),
        (("4", "Rebutia", "", "", "", "", "-3"), "row 5: “-3” is no price. Write 4.50 or 4.50 EUR."),
        (("x" * 41, "Rebutia", "", "", "", "", ""), "row 5: a label of more than 40 characters. Is it in the right column?"),
    ],
)
def test_a_row_that_cannot_be_right_is_told_and_holds_all_back(garden: Bench, row: tuple[str, ...], said: str) -> None:
    before = garden.log
    made = take(garden, sheet((*ROWS, row)))
    assert faults(made) == [said]
    assert not made.written
    assert garden.log == before
    assert "--leave-bad" in bulk.next_step(made)
    assert take(garden, sheet((*ROWS, row)), leave_bad=True).written
    assert ("plant", "1") in garden.standing.things


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (("-2", "", ""), "row 2: “-2” is no number of plants. Write 1 or more."),
        (("two", "", ""), "row 2: “two” is no number of plants. Write 1 or more."),
        (("3", "", ""), "row 2: 3 plants under one label need the day they came."),
        (("1", "2022-01-01", "2021-05-01"), "row 2: repotted 2021-05-01, before it came (2022-01-01). Put one of them right."),
    ],
)
def test_counts_and_days_that_cannot_be(garden: Bench, cells: tuple[str, ...], said: str) -> None:
    made = take(garden, sheet((("7", *cells),), ("Label", "Qty", "Received", "Last repotted")))
    assert faults(made) == [said]


def test_a_row_put_right_is_all_that_is_new(garden: Bench) -> None:
    broken = ("4", "Rebutia", "", "no idea", "", "", "")
    take(garden, sheet((*ROWS, broken)), leave_bad=True)
    made = take(garden, sheet((*ROWS, ("4", "Rebutia", "", "6", "", "", ""))))
    assert ([one.label for one in made.new], made.same) == (["4"], 3)


def test_ten_thousand_rows_with_broken_ones(garden: Bench) -> None:
    rows = [(str(one), "Rebutia" if one % 2 else "Parodia", f"bench {one % 40}", "7", "", "", "") for one in range(1, 10_001)]
    for broken in range(0, 10_000, 100):
        rows[broken] = (*rows[broken][:3], "huge", "", "", "")
    made = take(garden, sheet(rows), write=False)
    assert (len(made.new), len(made.faults)) == (9_900, 100)
    report = bulk.report(made)
    assert report[0] == "row 2: “huge” is no pot size from 1 to 100 cm. Write 7cm or 3 in."
    assert report[-1] == "… and 80 more."
    written = import_plants(garden.database, sheet(rows).encode(), garden.now, {}, write=True, leave_bad=True)
    assert written.written
    assert sum(1 for kind, _ in garden.standing.things if kind == "plant") == 9_900  # 90 was there
    assert import_plants(garden.database, sheet(rows).encode(), garden.now, {}, write=True, leave_bad=True).same == 9_900


# --- columns ----------------------------------------------------------------------------------------------------------


def test_what_only_the_content_tells_is_asked_about(garden: Bench) -> None:
    head = ("Nr", "Was", "Grösse", "Stück")
    rows = (("1", "Rebutia", "7cm", "1"), ("2", "Lobivia", "9cm", "1"))
    table = read_table(sheet(rows, head).encode())
    asked = unsettled(guessed(table, {}, "dmy"))
    assert [bulk.question(table, one) for one in asked] == [
        "Column B “Was” looks like the name (“Rebutia”). Right?",
        "Column C “Grösse” looks like the pot size (“7cm”). Right?",
    ]
    unasked = session(garden.database, sheet(rows, head).encode(), garden.now, {}, write=True)
    assert "--columns pot=C, else --columns none=C" in unasked.unclear[1]
    assert ("plant", "1") not in garden.standing.things
    questions: list[str] = []

    def answers(question: str) -> bool:
        questions.append(question)
        return "pot size" not in question

    done = session(garden.database, sheet(rows, head).encode(), garden.now, {}, ask=answers)
    assert "Taken: 2 new." in done.said
    assert questions[-1].endswith("Would come: 2 new.\nWrite it?")
    assert (garden.thing("plant", "1").taxon, garden.thing("plant", "1").pot) == ("Rebutia", {})


def test_columns_are_told_by_head_or_letter() -> None:
    table = read_table(sheet((("a", "1", "Rebutia", "x"),), ("Foo", "Bar", "Baz", "Note")).encode())
    made = guessed(table, told_of("label=Bar, name=C, none=Note"), "dmy")
    assert [(one.role, one.column, one.how) for one in made] == [("label", 1, "told"), ("name", 2, "told")]
    assert IGNORED == "none"


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ("label=Zed", "There is no column “Zed”. There are A “Foo”, B “Bar”."),
        ("none=Zed,label=Foo", "There is no column “Zed”."),
        ("", "No column tells the label, the number on each pot. Name it: label=COLUMN. There are A “Foo”, B “Bar”."),
        ("colour=Foo", "“colour=Foo” names no column"),
        ("label", "“label” names no column"),
    ],
)
def test_columns_that_nobody_can_mean(told: str, said: str) -> None:
    table = read_table(b"Foo,Bar\n1,2\n")
    with pytest.raises(PlantsProblem) as problem:
        guessed(table, told_of(told), "dmy")
    assert said in bulk.problem(problem.value.kind, problem.value.facts)


# --- files ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_encodings_and_separators(encoding: str, separator: str) -> None:
    text = sheet((("1", 'Parodia "Grün", klein', "Südfenster"),), ("Nr", "Art", "Standort"), separator)
    table = read_table(text.encode(encoding))
    assert table.head == ("Nr", "Art", "Standort")
    assert table.rows == ((2, ("1", 'Parodia "Grün", klein', "Südfenster")),)


def test_titles_empty_rows_and_breaks_in_cells() -> None:
    table = read_table(b'My plants,,\n,,\nLabel,Name,Note\n1,"Aloe\nvera",x\n,,\n2,Rebutia\n')
    assert table.head == ("Label", "Name", "Note")
    assert table.rows == ((4, ("1", "Aloe vera", "x")), (6, ("2", "Rebutia")))


def test_formulas_are_text_in_csv_and_kept_verbatim(garden: Bench) -> None:
    take(garden, sheet((("1", "=HYPERLINK(0)", "", "", "", "", ""),)))
    assert garden.thing("plant", "1").taxon == "=HYPERLINK(0)"


def test_a_workbook_with_dates_numbers_and_merged_cells(garden: Bench) -> None:
    lines = (
        ("Label", "Name", "Place", "Acquired", "Pot"),
        (1, "Rebutia", "top shelf", date(2021, 5, 3), 7.5),
        (2.0, "Lobivia", None, date(2021, 6, 1), 8),
        (3, "Parodia", None, None, None),
    )
    made = take(garden, workbook(lines, merged="C2:C4"))
    assert faults(made) == []
    one, two = garden.thing("plant", "1"), garden.thing("plant", "2")
    assert (one.came_on, one.pot["cm"], one.place) == (date(2021, 5, 3), 7.5, "top shelf")
    assert (two.place, two.pot["cm"], garden.thing("plant", "3").place) == ("top shelf", 8.0, "top shelf")


def test_a_formula_that_was_never_computed_is_told() -> None:
    table = read_table(workbook((("Label", "Name"), ("=A1+1", "Rebutia"), (4, "Aloe"))))
    assert table.formulas == {2}


def test_a_formula_row_is_not_taken(garden: Bench) -> None:
    made = take(garden, workbook((("Label", "Name"), ("=ROW()", "Rebutia"), (4, "Aloe"))))
    assert faults(made) == [
        "row 2: a formula whose value the file does not hold. Save it once in the spreadsheet program, or as CSV."
    ]


def _bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 101_000_000)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "I find no table"),
        (b"one column\n1\n2\n", "I find no table"),
        (b"Label,Name\n", "There is a head and no row below it."),
        (b"\xd0\xcf\x11\xe0" + b"x" * 100, "old kind (.xls)"),
        (b"PK\x03\x04 no workbook", "The workbook cannot be read."),
        (b"\x00\x01\x02\xff" * 5, "I find no table"),
        (b"x" * (MOST_BYTES + 1), "too large: at most 5 MB"),
        (b"Label,Name\n" + b"1,a\n" * 20_001, "More than 20,000 rows."),
        (b"a,b\n" + b"1," * 150 + b"2\n", "Row 2 has more than 100 columns."),
    ],
)
def test_files_that_are_no_list_of_plants(content: bytes, said: str) -> None:
    with pytest.raises(PlantsProblem) as problem:
        read_table(content)
    assert said in bulk.problem(problem.value.kind, problem.value.facts)


def test_a_workbook_that_unpacks_to_too_much_is_refused() -> None:
    with pytest.raises(PlantsProblem) as problem:
        read_table(_bomb())
    assert problem.value.kind == "too_large"


# --- cells ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "order", "on", "approx"),
    [
        ("2019-03-12", "dmy", "2019-03-12", False),
        ("12.3.2019", "dmy", "2019-03-12", False),
        ("12/03/19", "dmy", "2019-03-12", False),
        ("3/12/2019", "mdy", "2019-03-12", False),
        ("12 March 2019", "dmy", "2019-03-12", False),
        ("March 12, 2019", "dmy", "2019-03-12", False),
        ("12. März 2019", "dmy", "2019-03-12", False),
        ("mai 2019", "dmy", "2019-05-15", True),
        ("05/2019", "dmy", "2019-05-15", True),
        ("2019", "dmy", "2019-07-01", True),
        ("ca. 2019", "dmy", "2019-07-01", True),
        ("1/1/99", "dmy", "1999-01-01", False),
    ],
)
def test_days_as_growers_write_them(cell: str, order: str, on: str, approx: bool) -> None:
    day = read_date(cell, order)
    assert day is not None
    assert (day.on.isoformat(), day.approx) == (on, approx)


@pytest.mark.parametrize("cell", ["", "soon", "30/02/2020", "13/13/2020", "1", "99999", "12/2019/03"])
def test_what_is_no_day(cell: str) -> None:
    assert read_date(cell, "dmy") is None


@pytest.mark.parametrize(
    ("cell", "units", "cm"),
    [("7cm", "metric", 7.0), ("7,5 cm", "metric", 7.5), ("3 in", "metric", 7.6), ('3"', "metric", 7.6), ("3", "us", 7.6),
     ("9", "metric", 9.0), ("P9", "metric", 9.0), ("9x9", "metric", 9.0), ("Ø 12", "metric", 12.0), ("70mm", "metric", 7.0),
     ("abc", "metric", None), ("0", "metric", None), ("-7", "metric", None), ("400", "metric", None)],
)  # fmt: skip
def test_pots_as_growers_write_them(cell: str, units: str, cm: float | None) -> None:
    """An inch is 2.54 cm exactly (international yard and pound agreement, 1959)."""
    assert read_pot_cm(cell, units) == cm


@pytest.mark.parametrize(
    ("cell", "value", "currency"),
    [("4.50", 4.5, ""), ("£4.50", 4.5, "GBP"), ("4,50 €", 4.5, "EUR"), ("12 EUR", 12.0, "EUR"), ("1.200,50 €", 1200.5, "EUR"),
     ("gift", 0.0, "")],
)  # fmt: skip
def test_prices_as_growers_write_them(cell: str, value: float, currency: str) -> None:
    price = read_price(cell)
    assert price is not None
    assert (price.value, price.currency) == (value, currency)


def test_on_the_command_line(tmp_path: Path) -> None:
    from tests.cli.process import run  # noqa: PLC0415

    file, database = tmp_path / "plants.csv", str(tmp_path / "plants.db")
    file.write_text(sheet(), encoding="utf-8")
    assert run("plants", "import", str(tmp_path / "none.csv"), "--db", database).code != 0
    run("chat", "--db", database, given="hello\n")
    looked = run("plants", "import", str(file), "--db", database)
    assert (looked.code, "Would come: 3 new." in looked.out) == (0, True)
    assert "Taken: 3 new." in run("plants", "import", str(file), "--db", database, "--write").out
    assert "3 there already" in run("plants", "import", str(file), "--db", database, "--write").out
    assert "The last import is taken back: 3 plants." in run("plants", "undo-import", "--db", database).out
    file.write_text(sheet((*ROWS, ("1", "x", "", "", "", "", ""))), encoding="utf-8")
    broken = run("plants", "import", str(file), "--db", database, "--write")
    assert broken.code == 1
    assert "row 5: label 1 stands in row 2 already" in broken.err
    assert run("plants", "import", str(file), "--db", database, "--columns", "label=Zed").code == 2
