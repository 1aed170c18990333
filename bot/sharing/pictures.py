"""Draws a picture from its recipe (see `picture_parts`): for a phone held upright, without the network and without a screen.

Matplotlib is loaded when the first picture is drawn, and only here and in `picture_letters`. Its global state is left alone: a
figure and a canvas of its own, fonts by their file, no setting that stays. Names are shown as they are: nothing in them is read
as mathematics.

Colours: the eight of Okabe, M. & Ito, K. 2008, Color Universal Design (jfly.uni-koeln.de/color), given again in Wong, B. 2011,
Points of view: Color blindness, Nature Methods 8:441; without the yellow, which is too faint on white. Shades of counts: cividis,
Nunez, J. R., Anderton, C. R. & Renslow, R. S. 2018, PLoS ONE 13(7):e0199239. Each colour comes with a mark and a kind of line of
its own, so that nothing is told by colour alone.
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from threading import Lock
from typing import TYPE_CHECKING, Any, NamedTuple

from bot.sharing.picture_letters import DOTS_AN_INCH, HEIGHT_PX, MARGIN_PX, WIDTH_PX, cut, font, wide_px, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

TITLE_PX, TEXT_PX, SMALL_PX = 45, 31, 28  # height of the type (em); on a phone a third of that
_LEFT, _RIGHT, _END_LABELS, _MOST_ROW_NAME, _MOST_WRITTEN = 130, 64, 280, 380, 110
_FEWEST_ROWS = 5
_EPOCH = date(1970, 1, 1)
_INK, _GREY, _GRID = "#000000", "#555555", "#dddddd"


class Style(NamedTuple):
    """How one series is told from the others: colour, mark, kind of line, and filling of an area."""

    colour: str
    marker: str
    dashes: Any
    hatch: str


STYLES = (  # those first that are told apart best by every eye
    Style("#0072B2", "o", "-", ""),
    Style("#D55E00", "s", (0, (6, 2)), "////"),
    Style("#000000", "^", (0, (4, 1, 1, 1)), "...."),
    Style("#56B4E9", "D", (0, (2, 1)), "xxxx"),
    Style("#CC79A7", "v", (0, (8, 2, 2, 2)), "----"),
    Style("#E69F00", "P", (0, (3, 3)), "++++"),
    Style("#009E73", "X", (0, (10, 2)), "oooo"),
)
_ONE_AT_A_TIME = Lock()  # matplotlib promises nothing to threads


def drawn(recipe: Mapping[str, Any]) -> bytes:
    """Return the picture of a recipe as PNG, PDF or SVG; the same recipe gives the same bytes."""
    import matplotlib as mpl  # noqa: PLC0415  slow to load, and only a picture needs it

    form = recipe["form"]
    said = {"pdf": {"CreationDate": None}, "svg": {"Date": None}}.get(form, {})
    with _ONE_AT_A_TIME, mpl.rc_context({"svg.hashsalt": "picture"}):  # else its parts have random names
        made = io.BytesIO()
        figure_of(recipe).savefig(made, format=form, metadata={"Title": recipe["title"], **said})
        return made.getvalue()


def figure_of(recipe: Mapping[str, Any]) -> Figure:
    """Return the figure of a recipe, drawn on a canvas of its own."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  slow to load, and only a picture needs it
    from matplotlib.figure import Figure  # noqa: PLC0415  as above

    figure = Figure(figsize=(WIDTH_PX / DOTS_AN_INCH, HEIGHT_PX / DOTS_AN_INCH), dpi=DOTS_AN_INCH, facecolor="white")
    FigureCanvasAgg(figure)
    top = _head(figure, recipe)
    bottom = _foot(figure, recipe["foot"])
    weights = [one["weight"] for one in recipe["panels"]]
    room = HEIGHT_PX - top - bottom
    for one, weight in zip(recipe["panels"], weights, strict=True):
        height = room * weight / sum(weights)
        _panel(figure, one, top, height)
        top += height
    return figure


# --- words --------------------------------------------------------------------------------------------------------------


def _put(figure: Figure, x_px: float, y_px: float, text: str, px: int, *, bold: bool = False, colour: str = _INK) -> None:
    """Write a line with its top at `y_px` from the top of the picture."""
    figure.text(
        x_px / WIDTH_PX, 1 - y_px / HEIGHT_PX, text, va="top", ha="left", color=colour, parse_math=False,
        fontproperties=font(px, bold=bold),
    )  # fmt: skip


def _head(figure: Figure, recipe: Mapping[str, Any]) -> float:
    y = 34.0
    for text, px, bold in ((recipe["title"], TITLE_PX, True), (recipe["subtitle"], TEXT_PX, False)):
        for one in wrapped(text, px, 2, bold=bold):
            _put(figure, 40, y, one, px, bold=bold)
            y += px * 1.3
        y += 6
    return y


def _foot(figure: Figure, text: str) -> float:
    lines = wrapped(text, SMALL_PX, 3)
    height = len(lines) * SMALL_PX * 1.3 + 26
    for number, one in enumerate(lines):
        _put(figure, 40, HEIGHT_PX - height + 8 + number * SMALL_PX * 1.3, one, SMALL_PX, colour=_GREY)
    return height


# --- panels -------------------------------------------------------------------------------------------------------------


def _panel(figure: Figure, given: Mapping[str, Any], top: float, height: float) -> None:
    rows = [cut(one, SMALL_PX, _MOST_ROW_NAME) for one in given["rows"]]
    left = max([_LEFT, *(70 + wide_px(one, SMALL_PX) for one in rows)])
    right = _END_LABELS if any(mark.get("at_end") for mark in given["marks"]) else _RIGHT
    named = [
        mark for mark in given["marks"] if mark["label"] and mark["as"] not in ("level", "moment") and not mark.get("at_end")
    ]
    key_rows = _key_rows(named)
    above = 18 + (TEXT_PX * 1.4 if given["y_label"] else 0) + len(key_rows) * TEXT_PX * 1.4
    ticks = 20 + SMALL_PX * 1.25 * max([1, *(one.count("\n") + 1 for one in given["columns"])])
    below = 8 + ticks + (TEXT_PX * 1.35 if given["x_label"] else 0)
    box = (left / WIDTH_PX, 1 - (top + height - below) / HEIGHT_PX, (WIDTH_PX - left - right) / WIDTH_PX)
    axes = figure.add_axes((*box, (height - above - below) / HEIGHT_PX))
    y = top + 14
    if given["y_label"]:
        _put(figure, MARGIN_PX, y, cut(given["y_label"], TEXT_PX, WIDTH_PX - 2 * MARGIN_PX), TEXT_PX)
        y += TEXT_PX * 1.4
    for row in key_rows:
        _key(figure, row, y)
        y += TEXT_PX * 1.4
    if given["x_label"]:
        _put(figure, left, top + height - below + ticks, cut(given["x_label"], TEXT_PX, WIDTH_PX - left - MARGIN_PX), TEXT_PX)
    _plain(axes)
    if given["x_range"]:
        low, high = _numbers(given["x_range"], given["x"])
        axes.set_xlim(low, max(high, low + 1))
    for mark in given["marks"]:
        _DRAW[mark["as"]](axes, mark, _numbers(mark["x"], given["x"]))
    _axes(axes, given)
    _named_places(axes, given)
    _end_labels(axes, [mark for mark in given["marks"] if mark.get("at_end")], given)


def _key_rows(named: Sequence[Mapping[str, Any]]) -> list[list[Mapping[str, Any]]]:
    """Return the series of a key in rows that fit the width."""
    rows: list[list[Mapping[str, Any]]] = []
    used = math.inf
    for one in named:
        wide = _key_width(one)
        if used + wide > WIDTH_PX - 60:
            rows.append([])
            used = 40
        rows[-1].append(one)
        used += wide
    return rows


def _key_width(mark: Mapping[str, Any]) -> float:
    return 84 + wide_px(_key_words(mark), TEXT_PX) + 36


def _key_words(mark: Mapping[str, Any]) -> str:
    return cut(mark["label"], TEXT_PX, WIDTH_PX - 2 * MARGIN_PX - 84)


def _key(figure: Figure, row: Sequence[Mapping[str, Any]], y_px: float) -> None:
    """Draw samples of the series with their names, one beside the other."""
    from matplotlib.lines import Line2D  # noqa: PLC0415  as above
    from matplotlib.patches import Rectangle  # noqa: PLC0415  as above

    x, middle = 40.0, 1 - (y_px + 0.58 * TEXT_PX) / HEIGHT_PX
    for mark in row:
        style = STYLES[mark["style"] % len(STYLES)]
        ends = (x / WIDTH_PX, (x + 70) / WIDTH_PX)
        if mark["as"] in ("band", "bars"):
            corner, size = (ends[0], middle - 11 / HEIGHT_PX), (70 / WIDTH_PX, 22 / HEIGHT_PX)
            figure.add_artist(Rectangle(corner, *size, transform=figure.transFigure, **_filled(mark["as"], style)))
        else:
            how: dict[str, Any] = {"linestyle": "", "marker": style.marker, "markersize": 9}
            if mark["as"] != "dots":
                how = {"linestyle": ":" if mark.get("dashed") else style.dashes, "linewidth": 2.2, "marker": ""}
            place = ([sum(ends) / 2], [middle]) if mark["as"] == "dots" else (list(ends), [middle, middle])
            figure.add_artist(Line2D(*place, transform=figure.transFigure, color=style.colour, **how))
        _put(figure, x + 84, y_px, _key_words(mark), TEXT_PX)
        x += _key_width(mark)


def _filled(kind: str, style: Style) -> dict[str, Any]:
    if kind == "band":
        return {"facecolor": style.colour, "alpha": 0.25, "linewidth": 0}
    return {"facecolor": style.colour, "edgecolor": "white", "hatch": style.hatch, "linewidth": 0}


def _plain(axes: Axes) -> None:
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.grid(visible=True, color=_GRID, linewidth=0.8)
    axes.set_axisbelow(True)


def _numbers(values: Sequence[Any], kind: str) -> list[float]:
    return [_number(one, kind) for one in values]


def _number(value: Any, kind: str) -> float:
    if value is None:
        return math.nan
    return float((date.fromisoformat(value) - _EPOCH).days) if kind == "day" else float(value)


def _axes(axes: Axes, given: Mapping[str, Any]) -> None:
    if given["x_range"]:
        low, high = _numbers(given["x_range"], given["x"])
        axes.set_xlim(low, max(high, low + 1))  # again, since marks may have widened it
    if given["y_range"]:
        axes.set_ylim(*given["y_range"])
    letters: dict[str, Any] = {"fontproperties": font(SMALL_PX), "parse_math": False}
    if given["columns"]:
        axes.set_xticks(range(len(given["columns"])), given["columns"], **letters)
    elif given["x"] == "day":
        ticks, words = _days_ticked(*axes.get_xlim())
        axes.set_xticks(ticks, words, **letters)
    else:
        axes.locator_params(axis="x", nbins=6, integer=axes.get_xlim()[1] > 4)
        axes.set_xticks(_within(list(axes.get_xticks()), axes.get_xlim()))
    if given["rows"]:
        axes.set_yticks(range(len(given["rows"])), [cut(one, SMALL_PX, _MOST_ROW_NAME) for one in given["rows"]], **letters)
        axes.set_ylim(max(len(given["rows"]), _FEWEST_ROWS) - 0.5, -0.5)
    else:
        axes.locator_params(axis="y", nbins=6)
        axes.ticklabel_format(axis="y", useOffset=False, style="plain")
        axes.set_yticks(_within(list(axes.get_yticks()), axes.get_ylim()))
    for one in (*axes.get_xticklabels(), *axes.get_yticklabels()):
        one.set(**letters)


def _within(ticks: Sequence[float], limits: tuple[float, float]) -> list[float]:
    low, high = limits
    return [one for one in ticks if low - 1e-9 <= one <= high + 1e-9]


def _days_ticked(low: float, high: float) -> tuple[list[float], list[str]]:
    """Return where an axis of days is marked, at most six times, and with what words."""
    span = high - low
    first = _EPOCH + timedelta(days=math.ceil(low))
    if span <= 6 * 28:
        step = next(days for days in (1, 2, 7, 14, 28) if span / days <= 6)
        days = [first + timedelta(days=step * number) for number in range(int(span // step) + 1)]
        words = [f"{one.day} {one:%b}" for one in days]
    else:
        months = next((one for one in (1, 2, 3, 6, 12) if span / (30.4 * one) <= 6), 12 * math.ceil(span / (365 * 6)))
        begin = first.year * 12 + first.month - 1 + (first.day > 1)
        count = range(-(-begin // months) * months, begin + int(span / 28) + 1, months)
        days = [one for number in count if (one := date(number // 12, number % 12 + 1, 1)) <= _EPOCH + timedelta(days=high)]
        words = [f"{one:%b}" + (f" {one:%y}" if one.month == 1 or not number else "") for number, one in enumerate(days)]
    return [float((one - _EPOCH).days) for one in days], words


def _named_places(axes: Axes, given: Mapping[str, Any]) -> None:
    """Write the names of levels above their line, those of moments at the top, each below the one before."""
    low, high = axes.get_xlim()
    width_px = axes.get_position().width * WIDTH_PX
    frame = {"facecolor": "white", "edgecolor": "none", "pad": 1.5, "alpha": 0.85}
    for mark in given["marks"]:
        if mark["as"] == "level":
            axes.annotate(
                cut(mark["label"], SMALL_PX, width_px - 20), (0.99, mark["y"][0]), (0, 3), xycoords=("axes fraction", "data"),
                textcoords="offset points",
                ha="right", va="bottom", fontproperties=font(SMALL_PX), parse_math=False, bbox=frame,
            )  # fmt: skip
    for number, mark in enumerate(one for one in given["marks"] if one["as"] == "moment" and one["label"]):
        x = _number(mark["x"][0], given["x"])
        late = x > (low + high) / 2
        room_px = width_px * max(x - low, high - x) / (high - low) - 15
        axes.annotate(
            cut(mark["label"], SMALL_PX, room_px), (x, 1), (-5 if late else 5, -4 - 13 * number),
            xycoords=("data", "axes fraction"),
            textcoords="offset points", ha="right" if late else "left", va="top", fontproperties=font(SMALL_PX),
            parse_math=False, bbox=frame,
        )  # fmt: skip


def _end_labels(axes: Axes, marks: Sequence[Mapping[str, Any]], given: Mapping[str, Any]) -> None:
    """Write the name of each line where it ends, pushed apart where two would cover each other."""
    if not marks:
        return
    low, high = axes.get_ylim()
    gap = (high - low) * TEXT_PX * 1.25 / (axes.get_position().height * HEIGHT_PX)
    ends = sorted(((mark["y"][-1], number) for number, mark in enumerate(marks)))
    heights: list[float] = []
    for y, _ in ends:
        heights.append(max(y, heights[-1] + gap) if heights else y)
    over = max(0.0, heights[-1] - high)
    for (y, number), height in zip(ends, heights, strict=True):
        mark, style = marks[number], STYLES[marks[number]["style"] % len(STYLES)]
        x = _number(mark["x"][-1], given["x"])
        axes.annotate(
            cut(mark["label"], SMALL_PX, _END_LABELS - 40), (x, y), (1.03, height - over), xycoords="data",
            textcoords=axes.get_yaxis_transform(),
            ha="left", va="center", color=_INK, fontproperties=font(SMALL_PX), parse_math=False, annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": style.colour, "linewidth": 1.2},
        )  # fmt: skip


# --- marks --------------------------------------------------------------------------------------------------------------


def _style(mark: Mapping[str, Any]) -> Style:
    return STYLES[mark["style"] % len(STYLES)]


def _heights(mark: Mapping[str, Any]) -> list[float]:
    return [math.nan if one is None else float(one) for one in mark["y"]]


def _line(axes: Axes, mark: Mapping[str, Any], x: list[float]) -> None:
    style = _style(mark)
    axes.plot(x, _heights(mark), color=style.colour, linestyle=":" if mark["dashed"] else style.dashes, linewidth=2.2)
    if mark["at_end"]:
        axes.plot(x[-1:], _heights(mark)[-1:], color=style.colour, marker=style.marker, markersize=7, clip_on=False)


def _steps(axes: Axes, mark: Mapping[str, Any], x: list[float]) -> None:
    style = _style(mark)
    axes.step(x, _heights(mark), where="post", color=style.colour, linestyle=style.dashes, linewidth=2.2)
    if mark["marked"]:
        axes.plot(x, _heights(mark), color=style.colour, marker=style.marker, markersize=6, linestyle="", clip_on=False)


def _band(axes: Axes, mark: Mapping[str, Any], x: list[float]) -> None:
    how: dict[str, Any] = {**_filled("band", _style(mark)), "step": "post" if mark["stepped"] else None}
    axes.fill_between(x, _heights(mark), [float(one) for one in mark["y2"]], **how)


def _dots(axes: Axes, mark: Mapping[str, Any], x: list[float]) -> None:
    style = _style(mark)
    axes.plot(
        x, _heights(mark), color=style.colour, marker=style.marker, markersize=8, linestyle="", markeredgecolor="white",
        markeredgewidth=0.6, clip_on=False, zorder=3,
    )  # fmt: skip


def _bars(axes: Axes, mark: Mapping[str, Any], x: list[float]) -> None:
    axes.bar(x, _heights(mark), 0.8, bottom=mark["y2"], **_filled("bars", _style(mark)))


def _cells(axes: Axes, mark: Mapping[str, Any], _: list[float]) -> None:
    import matplotlib as mpl  # noqa: PLC0415  as above

    counts = mark["counts"]
    most = max([1, *(one for row in counts for one in row)])
    shade = mpl.colormaps["cividis"]
    axes.grid(visible=False)
    for down, row in enumerate(counts):
        for across, one in enumerate(row):
            share = one / most
            colour = shade(1 - 0.9 * share) if one else (1.0, 1.0, 1.0, 1.0)
            axes.fill_between([across - 0.48, across + 0.48], down - 0.46, down + 0.46, facecolor=colour, edgecolor=_GRID)
            if one:
                axes.text(
                    across, down, str(one) if one < 1000 else f"{one / 1000:.0f}k", ha="center", va="center",
                    color="white" if share > 0.45 else "black",
                    fontproperties=font(SMALL_PX), parse_math=False,
                )  # fmt: skip
    axes.set_xlim(-0.5, max(map(len, counts), default=1) - 0.5)


def _written(axes: Axes, mark: Mapping[str, Any], x: list[float]) -> None:
    low, high = axes.get_xlim()
    for across, up, text in zip(x, mark["y"], mark["texts"], strict=True):
        side = "left" if across <= low and mark["inside"] else "right" if across >= high and mark["inside"] else "center"
        axes.annotate(
            cut(text, SMALL_PX, _MOST_WRITTEN), (across, up), (0, 4), textcoords="offset points", ha=side, va="bottom",
            parse_math=False, fontproperties=font(SMALL_PX), annotation_clip=False,
        )  # fmt: skip


def _level(axes: Axes, mark: Mapping[str, Any], _: list[float]) -> None:
    axes.axhline(mark["y"][0], color=_INK, linewidth=1.6, linestyle=(0, (5, 3)))


def _moment(axes: Axes, _: Mapping[str, Any], x: list[float]) -> None:
    axes.axvline(x[0], color=_GREY, linewidth=1.6, linestyle="-")


_DRAW = {
    "line": _line,
    "steps": _steps,
    "band": _band,
    "dots": _dots,
    "bars": _bars,
    "cells": _cells,
    "written": _written,
    "level": _level,
    "moment": _moment,
}
