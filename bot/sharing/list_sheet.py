"""A shared list on A4, to print or to send on."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import date
from typing import Any

from bot.sharing.listing import Row
from bot.sharing.page import TITLE
from bot.sharing.paper import document

MARGIN_MM = 15
_HEAD = ("Name", "How many", "Pot, cm", "State", "Offered")
_BESIDE, _PHOTO_MM, _LONGEST_CAPTION = 3, 56, 34
_WIDTHS = (44, 16, 12, 14, 14)  # shares of the line
_BORDERS = "Read only. Crossing a border, plants and seed usually need papers: ask the authorities of both countries first."


def sheet(rows: Sequence[Row], until: date | None, wishes: Sequence[str] = (), photos: Sequence[tuple[str, bytes]] = ()) -> bytes:
    """Return the list as a PDF document, the head of the table on each page; `photos` are a name and a JPEG each."""
    made = document()
    made.set_title(TITLE)
    made.set_margin(MARGIN_MM)
    made.add_page()
    made.set_font_size(16)
    made.cell(text=TITLE, new_x="LMARGIN", new_y="NEXT")
    made.set_font_size(10)
    till = f", open till {until.day} {until:%B %Y}" if until else ""
    made.cell(
        text=f"{sum(one.count for one in rows)} plants in {len(rows)} {'line' if len(rows) == 1 else 'lines'}{till}.",
        h=8,
        new_x="LMARGIN",
        new_y="NEXT",
    )
    with made.table(col_widths=_WIDTHS, text_align="LEFT", borders_layout="HORIZONTAL_LINES", line_height=6) as table:
        for line in (_HEAD, *(_cells(one) for one in rows)):
            table.row(line)
    if wishes:
        made.multi_cell(0, 5, f"\nWished for: {', '.join(wishes)}.", align="LEFT", new_x="LMARGIN", new_y="NEXT")
    made.multi_cell(0, 5, f"\n{_BORDERS}", align="LEFT")
    _set_photos(made, photos)
    return bytes(made.output())


def _set_photos(made: Any, photos: Sequence[tuple[str, bytes]]) -> None:
    """Set the photos below the list, three beside each other."""
    for number, (name, jpeg) in enumerate(photos):
        column = number % _BESIDE
        if column == 0:
            made.ln(8 if number == 0 else _PHOTO_MM + 10)
            if made.get_y() + _PHOTO_MM + 8 > made.page_break_trigger:
                made.add_page()
        left, top = MARGIN_MM + column * (_PHOTO_MM + 5), made.get_y()
        made.image(io.BytesIO(jpeg), left, top, _PHOTO_MM, _PHOTO_MM, keep_aspect_ratio=True, alt_text=f"Photo of {name}")
        made.set_xy(left, top + _PHOTO_MM + 1)
        made.cell(w=_PHOTO_MM, h=5, text=name[:_LONGEST_CAPTION])
        made.set_xy(MARGIN_MM, top)


def _cells(row: Row) -> tuple[str, ...]:
    pot = f"{row.pot_cm:g}" if row.pot_cm else ""
    return (row.name, str(row.count), pot, row.rooted, str(row.offered or ""))
