"""Pictures as drawn: what stands on the figure, its letters and colours, and that no name breaks it or is taken for more."""

from __future__ import annotations

import io
import math
import subprocess
import sys
from datetime import date
from itertools import combinations

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from PIL import Image

from bot.sharing import picture_parts as parts
from bot.sharing.picture_letters import DOTS_AN_INCH, HEIGHT_PX, WIDTH_PX
from bot.sharing.pictures import SMALL_PX, STYLES, drawn, figure_of

HOSTILE = [
    "cost $x_1$ and $\\frac{1}{0}$",
    "$",
    "\\alpha^{2}_{3} %d {x} \\n",
    "two\nlines\r\nand\ttab",
    "very long " * 60,
    "x" * 500,
    "\u05d0\u05d1\u05d2 \u0627\u0644\u0635\u0628\u0627\u0631 \u202edesrever\u202c",
    "nul\x00 bell\x07 escape\x1b[31m \x9b31m",
    "\ud800 half",
    "\u4ed9\u4eba\u638c \U0001f335",
    "<b>&amp;</b> =1+1",
    "",
]


def some(title: str = "A title", row: str = "bench 2", form: str = "png") -> parts.Recipe:
    """A picture with each kind of mark."""
    days = ["2026-05-04", "2026-05-08", "2026-05-20"]
    line = parts.line([(days[0], 1.0), (days[1], None), (days[2], 3.0)], row, at_end=True)
    marks = [line, parts.band([(days[0], 1, 2), (days[2], 2, 4)], row), parts.level(2, row), parts.moment(days[1], row)]
    counts = parts.panel([parts.cells([[0, 3], [12, 1]])], "n", x="number", rows=[row, "b"], columns=["Jan", "Feb"])
    bars = parts.panel(
        [parts.bars([(0, 3, 0), (1, 2, 0)], row), parts.written([(0, 3)], [row]), parts.steps([(0, 1), (1, 2)], row, style=2)],
        row,
        x="number",
        x_label=row,
    )
    return parts.recipe("test", title, row, [parts.panel(marks, "degrees, °C"), counts, bars], row, form)


def texts(recipe: parts.Recipe) -> list[Text]:
    return [one for one in figure_of(recipe).findobj(Text) if isinstance(one, Text) and one.get_text() and one.get_visible()]


def test_a_png_of_the_size_of_a_phone() -> None:
    made = Image.open(io.BytesIO(drawn(some())))
    assert (made.format, made.size) == ("PNG", (1080, 1350))
    assert len(made.convert("L").getcolors(256) or ()) > 10  # something is drawn


@pytest.mark.parametrize(("form", "begins"), [("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<?xml")])
def test_the_same_recipe_gives_the_same_bytes(form: str, begins: bytes) -> None:
    first = drawn(some(form=form))
    assert first.startswith(begins)
    assert first == drawn(some(form=form))


@pytest.mark.parametrize("hostile", HOSTILE)
@pytest.mark.parametrize("form", ["png", "pdf", "svg"])
def test_no_name_breaks_a_picture_or_is_read_as_mathematics(hostile: str, form: str) -> None:
    made = some(hostile, hostile, form)
    assert drawn(made)
    for one in figure_of(made).findobj(Text):
        assert isinstance(one, Text)
        assert not one.get_parse_math() or "$" not in one.get_text()
        assert not any(letter in one.get_text() for letter in "\r\t\x00\x1b\u202e")


def test_a_name_in_dollars_stands_as_it_is() -> None:
    assert any(one.get_text() == "cost $x_1$" for one in texts(some("cost $x_1$")))


def test_letters_are_large_enough_for_a_phone() -> None:
    """28 px of 1080: on a screen 70 mm wide a letter 1.8 mm high; common practice."""
    sizes = [float(one.get_fontsize()) * DOTS_AN_INCH / 72 for one in texts(some())]
    assert min(sizes) >= SMALL_PX - 0.01
    assert max(sizes) >= 40


def test_all_words_stand_within_the_picture() -> None:
    all_within(some("A title that is long enough to be broken over two lines of it", "bench 2 in the cool house"))


@pytest.mark.parametrize("hostile", HOSTILE)
def test_no_name_is_longer_than_the_picture(hostile: str) -> None:
    all_within(some(hostile, hostile))


def all_within(recipe: parts.Recipe) -> None:
    """Check that no word of a picture is cut off at its edges, and that no two lines of its head cover each other."""
    figure = figure_of(recipe)
    for one in figure.findobj(Text):
        assert isinstance(one, Text)
        if one.get_text().strip() and one.get_visible():
            box = one.get_window_extent()
            assert box.x0 >= 0, one.get_text()
            assert box.x1 <= WIDTH_PX, one.get_text()
            assert box.y0 >= 0, one.get_text()
            assert box.y1 <= HEIGHT_PX, one.get_text()
    lines = [one.get_window_extent() for one in figure.texts if one.get_text().strip()]
    for left, right in combinations(lines, 2):
        apart = left.x1 <= right.x0 + 1 or right.x1 <= left.x0 + 1 or left.y1 <= right.y0 + 6 or right.y1 <= left.y0 + 6
        assert apart, (left, right)


def test_counts_above_999_are_told_in_thousands() -> None:
    recipe = parts.recipe("a", "b", "c", [parts.panel([parts.cells([[999, 1499, 0]])], "d", columns=list("abc"), rows=["e"])])
    assert {"999", "1k"} <= {one.get_text() for one in texts(recipe)}


# Machado, G. M., Oliveira, M. M. & Fernandes, L. A. F. 2009, A physiologically-based model for simulation of color vision
# deficiency, IEEE Trans. Vis. Comput. Graph. 15(6):1291-1298, matrices of severity 1.0, for linear RGB.
MACHADO_2009 = {
    "full": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritan": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}


def linear(value: float) -> float:
    """IEC 61966-2-1 (sRGB): the light behind a stored value."""
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def seen(colour: str, sight: str) -> tuple[float, float, float]:
    """A colour in CIELAB (CIE 15, white point D65) as an eye sees it."""
    rgb = [linear(one) for one in to_rgb(colour)]
    light = [min(1.0, max(0.0, sum(a * b for a, b in zip(row, rgb, strict=True)))) for row in MACHADO_2009[sight]]
    rows = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    white = (0.9505, 1.0, 1.089)
    xyz = [sum(a * b for a, b in zip(row, light, strict=True)) / one for row, one in zip(rows, white, strict=True)]
    x, y, z = (one ** (1 / 3) if one > (6 / 29) ** 3 else one / (3 * (6 / 29) ** 2) + 4 / 29 for one in xyz)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


@pytest.mark.published
@pytest.mark.parametrize("sight", MACHADO_2009)
def test_colours_are_told_apart_by_every_eye(sight: str) -> None:
    """CIE 1976 distance above 15 between any two as seen (2.3 is just noticeable, Mahy et al. 1994), 20 among the first five."""
    lab = [seen(one.colour, sight) for one in STYLES]
    for left, right in combinations(range(len(STYLES)), 2):
        least = 20 if right < 5 else 15
        assert math.dist(lab[left], lab[right]) > least, (STYLES[left].colour, STYLES[right].colour)


def test_no_two_series_differ_by_colour_alone() -> None:
    for field in ("marker", "hatch"):
        assert len({getattr(one, field) for one in STYLES}) == len(STYLES)
    assert len({str(one.dashes) for one in STYLES}) == len(STYLES)


def test_nothing_that_draws_is_loaded_before_a_picture_is_drawn() -> None:
    code = (
        "import sys, bot.app.intake, bot.chat.telegram, bot.chat.terminal, bot.sharing.files, bot.sharing.pictures;"
        "print('matplotlib' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert said.stdout.strip() == "False"


def test_the_global_state_of_matplotlib_is_left_alone() -> None:
    before = repr(mpl.rcParams)
    drawn(some())
    assert repr(mpl.rcParams) == before
    code = (
        "import sys; from bot.sharing import picture_parts as parts; from bot.sharing.pictures import drawn;"
        "drawn(parts.recipe('a', 'b', 'c', [parts.panel([parts.cells([[1]])], 'd')])); print('matplotlib.pyplot' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert said.stdout.strip() == "False"


def test_points_are_thinned_and_the_ends_are_kept() -> None:
    assert parts.thinned(list(range(4000)))[0] == 0
    assert parts.thinned(list(range(4000)))[-1] == 3999
    assert len(parts.thinned(list(range(4000)))) == parts.MOST_POINTS
    assert parts.thinned([1, 2]) == [1, 2]


def test_what_is_drawn_is_what_the_recipe_says() -> None:
    days = ["2026-05-04", "2026-05-08", "2026-05-20"]
    marks = [
        parts.line([(days[0], 1.5), (days[1], None), (days[2], 3.25)], "a"),
        parts.dots([(days[1], 2.5)], "b", style=1),
        parts.band([(days[0], 1, 2), (days[2], 2, 4)], "c"),
        parts.level(2.75, "d"),
        parts.moment(days[1], "e"),
    ]
    bars = [parts.bars([(0, 3, 0), (1, 2, 4)], "f")]
    figure = figure_of(
        parts.recipe("g", "h", "i", [parts.panel(marks, "°C"), parts.panel(bars, "n", x="number", columns=["j", "k"])])
    )
    upper, lower = figure.axes
    begin = (date(2026, 5, 4) - date(1970, 1, 1)).days
    line, dot, level, moment = upper.lines
    assert np.allclose(line.get_xydata(), [[begin, 1.5], [begin + 4, math.nan], [begin + 16, 3.25]], equal_nan=True)
    assert (line.get_color(), line.get_linestyle()) == (STYLES[0].colour, "-")
    assert np.asarray(dot.get_xydata()).tolist() == [[begin + 4, 2.5]]
    assert (dot.get_color(), dot.get_marker()) == (STYLES[1].colour, STYLES[1].marker)
    assert np.asarray(level.get_ydata()).tolist() == [2.75, 2.75]
    assert np.asarray(moment.get_xdata()).tolist() == [begin + 4, begin + 4]
    corners = {tuple(one) for one in np.asarray(upper.collections[0].get_paths()[0].vertices).tolist()}
    assert {(begin, 1), (begin, 2), (begin + 16, 2), (begin + 16, 4)} <= corners
    drawn_bars = [one for one in lower.patches if isinstance(one, Rectangle)]
    assert [(one.get_x() + 0.4, one.get_y(), one.get_height()) for one in drawn_bars] == [(0, 0, 3), (1, 4, 2)]
    shown = {one.get_text() for one in figure.findobj(Text) if isinstance(one, Text)}
    assert {"h", "i", "°C", "n", "a", "b", "c", "d", "e", "f", "j", "k", "4 May", "18 May"} <= shown


def test_names_at_the_ends_of_lines_do_not_cover_each_other() -> None:
    marks = [parts.steps([(0, 0), (7, 50 + one / 10)], f"S{one} 20/40", style=one, at_end=True) for one in range(5)]
    figure = figure_of(parts.recipe("a", "b", "c", [parts.panel(marks, "%", x="number", y_range=(0, 105))]))
    figure.canvas.draw()
    names = [Text.get_window_extent(one) for one in figure.axes[0].texts]  # without the line that leads to them
    assert len(names) == 5
    assert all(one.x1 <= WIDTH_PX for one in names)
    for left, right in combinations(names, 2):
        assert left.y1 <= right.y0 or right.y1 <= left.y0


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("2026-12-29", "2027-01-03", ["29 Dec", "30 Dec", "31 Dec", "1 Jan", "2 Jan", "3 Jan"]),
        ("2026-12-01", "2027-01-05", ["1 Dec", "8 Dec", "15 Dec", "22 Dec", "29 Dec", "5 Jan"]),
        ("2026-10-15", "2027-09-20", ["Nov 26", "Jan 27", "Mar", "May", "Jul", "Sep"]),
        ("2024-02-29", "2024-02-29", ["29 Feb", "1 Mar"]),
        ("2017-01-01", "2027-01-01", ["Jan 18", "Jan 20", "Jan 22", "Jan 24", "Jan 26"]),
    ],
)
def test_days_along_an_axis(first: str, last: str, words: list[str]) -> None:
    marks = [parts.dots([(first, 1), (last, 1)], "")]
    axes = figure_of(parts.recipe("a", "b", "c", [parts.panel(marks, "d", x_range=(first, last))])).axes[0]
    assert [one.get_text() for one in axes.get_xticklabels()] == words
