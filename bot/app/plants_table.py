"""A spreadsheet of plants (CSV, or XLSX) as rows of text, whatever its encoding and separator."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

MOST_BYTES = 5_000_000
MOST_UNPACKED_BYTES = 100_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 100
LONGEST_CELL = 500
_DELIMITERS = ",;\t|"
_OLD_WORKBOOK, _ZIP = b"\xd0\xcf\x11\xe0", b"PK\x03\x04"
_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_MERGED = re.compile(rb'<mergeCell [^>]*ref="([A-Z]{1,3})(\d+):([A-Z]{1,3})(\d+)"')


class PlantsProblem(ValueError):
    """A file of plants that cannot be used as a whole: `kind` and `facts` are put in words by the wording."""

    def __init__(self, kind: str, **facts: Any) -> None:
        """Keep what is wrong and its facts."""
        super().__init__(kind)
        self.kind, self.facts = kind, facts


@dataclass(frozen=True, slots=True)
class Table:
    """A sheet: its head, and its rows as (row number as a spreadsheet shows it, cells); rows without anything are left out.

    `formulas` are the numbers of rows with a formula whose value the file does not hold: its text stands in the cell.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    formulas: frozenset[int] = frozenset()

    def column(self, number: int) -> list[str]:
        """Return what stands in a column, cells without anything left out."""
        return [cells[number] for _, cells in self.rows if number < len(cells) and cells[number]]


def read_table(content: bytes) -> Table:
    """Return the sheet that a file holds. Raises PlantsProblem where it is too large, of another kind, or empty."""
    if len(content) > MOST_BYTES:
        raise PlantsProblem("too_large", most=MOST_BYTES)
    if content.startswith(_OLD_WORKBOOK):
        raise PlantsProblem("old_workbook")
    if content.startswith(_ZIP):
        return _headed(*_workbook(content))
    return _headed(_separated(_decoded(content)), frozenset())


def _headed(lines: Iterable[Sequence[str]], formulas: frozenset[int]) -> Table:
    """Take the first row with at least two cells as the head: what stands above it is a title."""
    filled: list[tuple[int, tuple[str, ...]]] = []
    for number, cells in enumerate(lines, 1):
        if len(cells) > MOST_COLUMNS and any(cells[MOST_COLUMNS:]):
            raise PlantsProblem("too_wide", row=number, most=MOST_COLUMNS)
        if any(cells):
            filled.append((number, tuple(one[:LONGEST_CELL] for one in cells[:MOST_COLUMNS])))
        if len(filled) > MOST_ROWS + 1:
            raise PlantsProblem("too_long", most=MOST_ROWS)
    heads = [place for place, (_, cells) in enumerate(filled) if sum(map(bool, cells)) > 1]
    if not heads:
        raise PlantsProblem("no_table")
    head = tuple(filled[heads[0]][1])
    rows = tuple(filled[heads[0] + 1 :])
    if not rows:
        raise PlantsProblem("only_head")
    return Table(head, rows, formulas)


# --- text -------------------------------------------------------------------------------------------------------------


def _decoded(content: bytes) -> str:
    """Return the text of a file: by its mark, else UTF-16 where every other byte is nothing, else UTF-8, else Western."""
    for mark, encoding in _BOMS:
        if content.startswith(mark):
            return content.decode(encoding, "replace")
    sample = content[:2000]
    if sample[1::2].count(0) > len(sample) // 4:
        return content.decode("utf-16-le", "replace")
    if sample[::2].count(0) > len(sample) // 4:
        return content.decode("utf-16-be", "replace")
    if b"\0" in sample:
        raise PlantsProblem("no_table")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def _separated(text: str) -> list[list[str]]:
    lines = _lines_of(text, _separator(text))
    return [[_plain(cell) for cell in one] for one in lines]


def _separator(text: str) -> str:
    """Return the separator by which most of the first lines have the same number of cells, above one."""
    first = "\n".join(text.splitlines()[:30])

    def agreement(separator: str) -> tuple[int, int]:
        widths = [len(one) for one in _lines_of(first, separator) if any(one)]
        many = [one for one in widths if one > 1]
        common = max(set(many), key=many.count) if many else 0
        return many.count(common), common

    return max(_DELIMITERS, key=agreement)


def _lines_of(text: str, separator: str) -> list[list[str]]:
    reader = csv.reader(io.StringIO(text.replace("\0", "")), delimiter=separator)
    try:
        return list(reader)
    except csv.Error as error:
        raise PlantsProblem("broken", row=reader.line_num) from error


def _plain(cell: str) -> str:
    return " ".join(cell.replace("\ufeff", "").split())


# --- workbooks --------------------------------------------------------------------------------------------------------


def _workbook(content: bytes) -> tuple[list[list[str]], frozenset[int]]:
    """Return the rows of a workbook's first sheet, cells merged downwards filled, and the rows with formulas without value."""
    from openpyxl import load_workbook  # noqa: PLC0415  takes 0.3 s, for one command

    try:
        merged = _merged(content)
        typed = load_workbook(io.BytesIO(content), read_only=True, data_only=False)
        lines = [list(row) for row in typed.worksheets[0].iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)]
        if any(_is_formula(cell) for row in lines for cell in row):
            known = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            values = [list(row) for row in known.worksheets[0].iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)]
        else:
            values = lines
    except PlantsProblem:
        raise
    except Exception as error:
        raise PlantsProblem("broken_workbook") from error
    unknown = frozenset(
        number
        for number, (row, held) in enumerate(zip(lines, values, strict=True), 1)
        if any(_is_formula(cell) and value is None for cell, value in zip(row, held, strict=True))
    )
    for row, held in zip(lines, values, strict=True):
        row[:] = [cell if value is None else value for cell, value in zip(row, held, strict=True)]
    _fill(lines, merged)
    return [[_cell(one) for one in row] for row in lines], unknown


def _merged(content: bytes) -> list[tuple[int, int, int]]:
    """Return cells merged downwards in the first sheet as (column, first row, last row), all counted from 0."""
    import zipfile  # noqa: PLC0415  nothing at the start needs it

    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        if sum(one.file_size for one in archive.infolist()) > MOST_UNPACKED_BYTES:
            raise PlantsProblem("too_large", most=MOST_BYTES)
        sheets = sorted(one for one in archive.namelist() if one.startswith("xl/worksheets/sheet"))
        found = _MERGED.findall(archive.read(sheets[0])) if len(sheets) == 1 else []
    return [(_column(left), int(top) - 1, int(bottom) - 1) for left, top, right, bottom in found if left == right]


def _column(letters: bytes) -> int:
    number = 0
    for one in letters:
        number = number * 26 + one - ord("A") + 1
    return number - 1


def _fill(lines: list[list[Any]], merged: Iterable[tuple[int, int, int]]) -> None:
    for column, top, bottom in merged:
        for row in lines[top + 1 : min(bottom + 1, MOST_ROWS)]:
            if column < len(row) and lines[top][column] is not None:
                row[column] = lines[top][column]


def _is_formula(cell: Any) -> bool:
    return isinstance(cell, str) and cell.startswith("=")


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return _plain(str(value))


def letters_of(number: int) -> str:
    """Return the letters that a spreadsheet gives a column, counted from 0: A, B … Z, AA."""
    made = ""
    number += 1
    while number:
        number, left = divmod(number - 1, 26)
        made = chr(ord("A") + left) + made
    return made


def column_named(head: Sequence[str], wanted: str) -> Iterator[int]:
    """Yield the columns that a person may mean by a head or by letters, those by their head first."""
    said = wanted.strip().casefold()
    by_head = [number for number, one in enumerate(head) if one.casefold() == said]
    yield from by_head
    yield from (number for number in range(len(head)) if letters_of(number).casefold() == said and number not in by_head)
