"""Labels as PDF: sheets of labels on A4, and sticks for pots; name in type, number, field number, and a code to scan.

The code is a full QR code (ISO/IEC 18004:2015) of the highest correction level, H, which restores about 30 % of its words:
a label stands in the dirt.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from bot.care.names import parse
from bot.sharing.paper import FONT, document

if TYPE_CHECKING:
    from fpdf import FPDF

QUIET_MODULES = 4  # ISO/IEC 18004:2015, 9.1: the light border of a QR code
SMALLEST_MODULE_MM = 0.33  # about four dots of a printer of 300 to an inch (common practice): below it a phone may fail
MM_IN_A_POINT = 25.4 / 72


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says: the plant's number, its name, its field number, and what its code opens ("" for none)."""

    number: str
    name: str = ""
    field_number: str = ""
    link: str = ""
    accession: str = ""


@dataclass(frozen=True, slots=True)
class Format:
    """Labels of one size, in mm, side by side on a page of that size; `point_mm` is what of a stick goes into the pot."""

    width_mm: float
    height_mm: float
    gap_mm: float = 2
    margin_mm: float = 8
    page_mm: tuple[float, float] = (210, 297)
    point_mm: float = 0

    def places(self) -> list[tuple[float, float]]:
        """Return the upper left corners of the labels of one page. Raises ValueError where none fits."""
        across, down = (
            int((page - 2 * self.margin_mm + self.gap_mm) // (size + self.gap_mm))
            for page, size in zip(self.page_mm, (self.width_mm, self.height_mm), strict=True)
        )
        if across < 1 or down < 1:
            raise ValueError("such a label does not fit on the page")
        return [
            (self.margin_mm + column * (self.width_mm + self.gap_mm), self.margin_mm + row * (self.height_mm + self.gap_mm))
            for row in range(down)
            for column in range(across)
        ]


FORMATS: Mapping[str, Format] = {
    "sheet": Format(62, 22),  # three across, enough for a name of three words and a code that a phone reads
    "stick": Format(125, 20, gap_mm=1, point_mm=45),  # pot stick: 80 mm to read, 45 mm in the mix
    "small": Format(46, 18),
}


def format_of(words: str) -> Format:
    """Return a format by its name, or by its size in mm ("60x20"). Raises ValueError where neither is said."""
    if words in FORMATS:
        return FORMATS[words]
    across, x, down = words.lower().replace(" ", "").removesuffix("mm").partition("x")
    try:
        made = Format(float(across), float(down)) if x else None
    except ValueError:
        made = None
    if made is None or not (20 <= made.width_mm <= 200 and 8 <= made.height_mm <= 280):
        raise ValueError(f"a label is one of {', '.join(FORMATS)}, or a size in mm such as 60x20, from 20x8 to 200x280")
    return made


def sheet(labels: Sequence[Label], form: Format) -> bytes:
    """Return the labels as a PDF document, page after page in the order given."""
    made = document(*form.page_mm)
    made.set_title("Labels")
    made.set_auto_page_break(False)
    made.set_margin(0)
    places = form.places()
    for number, one in enumerate(labels):
        if number % len(places) == 0:
            made.add_page()
        _draw(made, one, form, *places[number % len(places)])
    return bytes(made.output())


def code_mm(form: Format) -> float:
    """Return how wide the code is on a label, its light border included."""
    return min(form.height_mm - 2, 24)


def module_mm(link: str, form: Format) -> float:
    """Return how wide one module of a label's code comes out."""
    return code_mm(form) / (len(_matrix(link, code_mm(form))) + 2 * QUIET_MODULES)


@lru_cache(maxsize=8)
def _matrix(link: str, side_mm: float) -> tuple[bytes, ...]:
    """Return the rows of a link's code, 1 for a dark module.

    Of the versions that are coarse enough for a phone the largest: a spot of dirt then spoils more modules and, its edge counting
    less, fewer words.
    """
    import segno  # noqa: PLC0415  only labels need it

    least = segno.make(link, error="h", micro=False, boost_error=False)
    coarse = int((side_mm / SMALLEST_MODULE_MM - 2 * QUIET_MODULES - 17) // 4)  # 17 + 4 v across (table 1)
    made = segno.make(link, error="h", version=coarse, boost_error=False) if coarse > int(least.version) else least
    return tuple(bytes(row) for row in made.matrix)


def _draw(made: FPDF, one: Label, form: Format, left: float, top: float) -> None:
    made.set_draw_color(170)
    made.set_line_width(0.1)
    if form.point_mm:
        _stick(made, form, left, top)
    else:
        made.rect(left, top, form.width_mm, form.height_mm)
    read_mm = form.width_mm - form.point_mm
    side = code_mm(form) if one.link else 0
    if one.link:
        _code(made, one.link, left + read_mm - side - 1, top + (form.height_mm - side) / 2, side)
    _words(made, one, left + 2, top + 1.5, read_mm - side - 4, form.height_mm - 3)


def _stick(made: FPDF, form: Format, left: float, top: float) -> None:
    """Draw the outline of a stick, its end cut to a point."""
    right, cut = left + form.width_mm, left + form.width_mm - form.height_mm
    bottom = top + form.height_mm
    made.polygon([(left, top), (cut, top), (right, top + form.height_mm / 2), (cut, bottom), (left, bottom)])


def _code(made: FPDF, link: str, left: float, top: float, side: float) -> None:
    matrix = _matrix(link, side)
    step = side / (len(matrix) + 2 * QUIET_MODULES)
    made.set_fill_color(0)
    for row, line in enumerate(matrix):
        for begin, end in _runs(line):
            made.rect(left + (begin + QUIET_MODULES) * step, top + (row + QUIET_MODULES) * step, (end - begin) * step, step, "F")


def _runs(line: bytes) -> Iterator[tuple[int, int]]:
    """Yield where dark modules begin and end in a row of a code."""
    begin = None
    for column, dark in enumerate((*line, 0)):
        if dark and begin is None:
            begin = column
        elif not dark and begin is not None:
            yield begin, column
            begin = None


def _words(made: FPDF, one: Label, left: float, top: float, width: float, height: float) -> None:
    """Set number, name and field number, as large as the label allows; a long name goes on below, and is never cut."""
    below = [one.field_number] if one.field_number else []
    below += [one.accession] if one.accession else []
    lines = 2 + len(below)
    for size in (13, 12, 11, 10, 9, 8, 7, 6, 5.5, 5, 4.5, 4):
        wrapped = _wrapped(made, one.name, width, size)
        step = size * MM_IN_A_POINT * 1.25
        if step * (lines - 1 + len(wrapped)) <= height:
            break
    made.set_text_color(0)
    at = top + step * 0.9
    for pieces in ([(one.number, "B")], *wrapped, *([(text, "")] for text in below)):
        x = left
        for text, style in pieces:
            made.set_font(FONT, style, size)
            made.text(x, at, text)
            x += made.get_string_width(text)
        at += step


def _wrapped(made: FPDF, name: str, width: float, size: float) -> list[list[tuple[str, str]]]:
    """Return the lines of a name, each as pieces with their style."""
    lines: list[list[tuple[str, str]]] = [[]]
    used = 0.0
    for text, italic in parse(name).pieces() if name else []:
        style = "I" if italic else ""
        made.set_font(FONT, style, size)
        for number, word in enumerate(text.split(" ")):
            said = word if not number or not lines[-1] else f" {word}"
            room = made.get_string_width(said)
            if used + room > width and lines[-1]:
                lines.append([])
                said, used = word, 0.0
                room = made.get_string_width(said)
            if said:
                lines[-1].append((said, style))
                used += room
    return lines


def recipe_of(labels: Sequence[Label], form: Format) -> dict[str, Any]:
    """Return what a file of labels is made from."""
    size = [form.width_mm, form.height_mm, form.gap_mm, form.margin_mm, list(form.page_mm), form.point_mm]
    return {"labels": [[one.number, one.name, one.field_number, one.link, one.accession] for one in labels], "format": size}


def from_recipe(recipe: Mapping[str, Any]) -> bytes:
    """Return the file that `recipe_of` describes."""
    width, height, gap, margin, page, point = recipe["format"]
    return sheet([Label(*one) for one in recipe["labels"]], Format(width, height, gap, margin, (page[0], page[1]), point))
