"""Paper: documents of pages with the fonts that names of plants need (the cross of hybrids, accents, author names)."""

from __future__ import annotations

import logging
from datetime import UTC, datetime
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fpdf import FPDF

FONT = "DejaVu"
_FILES = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf", "I": "DejaVuSans-Oblique.ttf"}
_MADE = datetime(2000, 1, 1, tzinfo=UTC)  # the same list gives the same bytes, whenever it is printed


def document(width_mm: float = 210, height_mm: float = 297) -> FPDF:
    """Return an empty document of this page size (A4 where nothing is said), set in a font that holds the names of plants."""
    from fpdf import FPDF  # noqa: PLC0415  slow to load, and only paper needs it

    logging.getLogger("fontTools").setLevel(logging.ERROR)  # its remarks on subsets are nobody's business here
    made = FPDF(unit="mm", format=(width_mm, height_mm))
    made.set_creation_date(_MADE)
    for style, file in _FILES.items():
        made.add_font(FONT, style, fonts() / file)
    made.set_font(FONT)
    return made


@cache
def fonts() -> Path:
    """Return the folder of the fonts: those that come with the library of the pictures, so that none is looked for elsewhere."""
    found = find_spec("matplotlib")
    assert found is not None
    assert found.submodule_search_locations is not None
    return Path(found.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
