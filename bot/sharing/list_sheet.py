"""A shared list on A4, to print or to send on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.sharing.listing import Row
from bot.sharing.page import TITLE
from bot.sharing.paper import document

MARGIN_MM = 15
_HEAD = ("Name", "How many", "Pot, cm", "State", "Offered")
_WIDTHS = (44, 16, 12, 14, 14)  # shares of the line
_BORDERS = "Read only. Crossing a border, plants and seed usually need papers: ask the authorities of both countries first."


def sheet(rows: Sequence[Row], until: date | None, wishes: Sequence[str] = ()) -> bytes:
    """Return the list as a PDF document, the head of the table on each page."""
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
    return bytes(made.output())


def _cells(row: Row) -> tuple[str, ...]:
    pot = f"{row.pot_cm:g}" if row.pot_cm else ""
    return (row.name, str(row.count), pot, row.rooted, str(row.offered or ""))
