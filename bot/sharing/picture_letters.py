"""The letters of pictures: the font that comes with matplotlib, by its file, and how wide words become.

A font by its file needs no search for fonts, and no setting of the machine changes it.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.font_manager import FontProperties

WIDTH_PX, HEIGHT_PX, DOTS_AN_INCH = 1080, 1350, 216
MARGIN_PX = 40
_MEASURED_AT = 100
_N_IS = "n\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}"
_MORE = "\N{HORIZONTAL ELLIPSIS}"


@cache
def font(px: int, *, bold: bool = False) -> FontProperties:
    """Return the font at a height of type in px."""
    from matplotlib.font_manager import FontProperties  # noqa: PLC0415  slow to load

    return FontProperties(fname=str(font_file(bold=bold)), size=px * 72 / DOTS_AN_INCH)


def font_file(*, bold: bool) -> Any:
    """Return the path of the font."""
    from pathlib import Path  # noqa: PLC0415  slow to load

    import matplotlib as mpl  # noqa: PLC0415  slow to load

    return Path(mpl.get_data_path()) / "fonts" / "ttf" / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")


@cache
def _letters() -> frozenset[int]:
    from matplotlib.ft2font import FT2Font  # noqa: PLC0415  slow to load

    return frozenset(FT2Font(str(font_file(bold=False))).get_charmap()) & frozenset(
        FT2Font(str(font_file(bold=True))).get_charmap()
    )


def shown(text: str) -> str:
    """Return text with a box for each letter that the font does not have."""
    return "".join(one if ord(one) in _letters() else "\N{WHITE SQUARE}" for one in text)


@cache
def _advance(letter: str, *, bold: bool) -> float:
    """Return how far a letter reaches, in shares of the height of the type."""
    face = _face(bold=bold)
    return float(face.load_char(ord(letter)).linearHoriAdvance) / 65536 / _MEASURED_AT


@cache
def _face(*, bold: bool) -> Any:
    from matplotlib.ft2font import FT2Font  # noqa: PLC0415  slow to load

    face = FT2Font(str(font_file(bold=bold)))
    face.set_size(_MEASURED_AT, 72)
    return face


def wide_px(text: str, px: int, *, bold: bool = False) -> float:
    """Return how wide a line becomes."""
    return sum(_advance(one, bold=bold) for one in text) * px


def cut(text: str, px: int, most_px: float, *, bold: bool = False) -> str:
    """Return text as it is shown, shortened with an ellipsis to a width."""
    text = shown(text)
    if wide_px(text, px, bold=bold) <= most_px:
        return text
    while text and wide_px(f"{text}{_MORE}", px, bold=bold) > most_px:
        text = text[:-1]
    return f"{text.rstrip()}{_MORE}"


def wrapped(text: str, px: int, lines: int, *, bold: bool = False) -> list[str]:
    """Return text in at most so many lines of the picture's width; what is left over is cut off with an ellipsis."""
    most_px = WIDTH_PX - 2 * MARGIN_PX
    found = [""]
    for word in shown(text).replace("n = ", _N_IS).split(" "):
        longer = f"{found[-1]} {word}".strip()
        if found[-1] and len(found) < lines and wide_px(longer, px, bold=bold) > most_px:
            found.append(word)
        else:
            found[-1] = longer
    return [cut(one, px, most_px, bold=bold) for one in found if one]
