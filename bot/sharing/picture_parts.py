"""What a picture is made of, as JSON values: marks on panels, panels below each other, words above and below.

A recipe holds every word and every figure that is drawn, so that the same recipe gives the same picture. Days are ISO dates.
Nothing here draws: see `pictures`.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any, Literal, TypeVar

KIND = "picture"  # of a recipe, as the makers know it
FORMS = ("png", "pdf", "svg")
MOST_POINTS = 400  # of one line: more than a phone has columns for
LONGEST_WORDS = 160
Recipe = dict[str, Any]
Mark = dict[str, Any]
Panel = dict[str, Any]
Point = TypeVar("Point")


def clean(text: str, most: int = LONGEST_WORDS) -> str:
    """Return text on one line without control and direction characters, shortened with an ellipsis."""
    spaced = (" " if unicodedata.category(one) in ("Zl", "Zp", "Zs") or one.isspace() else one for one in text)
    kept = "".join(one for one in spaced if unicodedata.category(one) not in ("Cc", "Cf", "Cs", "Co", "Cn"))
    line = " ".join(kept.split())
    return line if len(line) <= most else f"{line[: most - 1].rstrip()}\N{HORIZONTAL ELLIPSIS}"


def recipe(of: str, title: str, subtitle: str, panels: Sequence[Panel], foot: str = "", form: str = "png") -> Recipe:
    """Return the recipe of a picture: what it is of, its title, a line with units and n, its panels from top to bottom."""
    words = {"title": clean(title), "subtitle": clean(subtitle), "foot": clean(foot, 2 * LONGEST_WORDS)}
    return {"kind": KIND, "of": of, "form": form, **words, "panels": list(panels)}


def panel(
    marks: Sequence[Mark],
    y_label: str,
    *,
    x: Literal["day", "number"] = "day",
    x_label: str = "",
    x_range: Sequence[Any] | None = None,
    y_range: Sequence[float] | None = None,
    rows: Sequence[str] = (),
    columns: Sequence[str] = (),
    weight: float = 1.0,
) -> Panel:
    """Return one panel: its marks and its axes with their units; `rows` names the heights 0, 1, 2 ... from the top."""
    axes = {"x": x, "x_label": clean(x_label), "x_range": list(x_range) if x_range else None}
    axes |= {"y_label": clean(y_label), "y_range": list(y_range) if y_range else None}
    return axes | {
        "rows": [clean(one, 40) for one in rows],
        "columns": ["\n".join(clean(line, 12) for line in one.split("\n")) for one in columns],
        "weight": weight,
        "marks": list(marks),
    }


def line(
    points: Sequence[tuple[Any, float | None]], label: str = "", *, style: int = 0, dashed: bool = False, at_end: bool = False
) -> Mark:
    """Return a line through points; None for y leaves a gap. `at_end` writes the label where the line ends."""
    return _mark("line", points, label, style) | {"dashed": dashed, "at_end": at_end}


def steps(
    points: Sequence[tuple[Any, float]], label: str = "", *, style: int = 0, at_end: bool = False, marked: bool = True
) -> Mark:
    """Return a line that holds each height until the next point; `marked` puts a mark on each."""
    return _mark("steps", points, label, style) | {"at_end": at_end, "marked": marked}


def band(points: Sequence[tuple[Any, float, float]], label: str = "", *, style: int = 0, stepped: bool = False) -> Mark:
    """Return the area between a lower and an upper line."""
    low = [(x, y) for x, y, _ in points]
    return _mark("band", low, label, style) | {"y2": [one for *_, one in points], "stepped": stepped}


def dots(points: Sequence[tuple[Any, float]], label: str = "", *, style: int = 0) -> Mark:
    """Return single marks."""
    return _mark("dots", points, label, style)


def bars(points: Sequence[tuple[float, float, float]], label: str = "", *, style: int = 0) -> Mark:
    """Return bars given as (where, how high, from what height on)."""
    return _mark("bars", [(x, y) for x, y, _ in points], label, style) | {"y2": [one for *_, one in points]}


def cells(counts: Sequence[Sequence[int]]) -> Mark:
    """Return a table of counts, a row of the panel each, shaded by height and with the number in each cell that has one."""
    return {"as": "cells", "counts": [list(one) for one in counts], "label": "", "style": 0, "x": [], "y": []}


def written(points: Sequence[tuple[Any, float]], texts: Sequence[str], *, inside: bool = False) -> Mark:
    """Return words above points; `inside` keeps those at the edges of the panel within it."""
    return _mark("written", points, "", 0) | {"texts": [clean(one, 40) for one in texts], "inside": inside}


def level(y: float, label: str) -> Mark:
    """Return a height that is named."""
    return _mark("level", [(None, y)], label, 0)


def moment(x: Any, label: str) -> Mark:
    """Return a place along the time that is named."""
    return _mark("moment", [(x, 0.0)], label, 0)


def thinned(points: Sequence[Point], most: int = MOST_POINTS) -> list[Point]:
    """Return at most so many points, evenly, the first and the last among them."""
    if len(points) <= most:
        return list(points)
    step = (len(points) - 1) / (most - 1)
    return [points[round(number * step)] for number in range(most)]


def _mark(kind: str, points: Sequence[tuple[Any, float | None]], label: str, style: int) -> Mark:
    return {"as": kind, "x": [x for x, _ in points], "y": [y for _, y in points], "label": clean(label, 60), "style": style}


def words_of(made: Mapping[str, Any]) -> list[str]:
    """Return all words that a picture shows."""
    found = [made["title"], made["subtitle"], made["foot"]]
    for one in made["panels"]:
        found += [one["y_label"], one["x_label"], *one["rows"], *one["columns"]]
        found += [text for mark in one["marks"] for text in (mark["label"], *mark.get("texts", ()))]
    return [one for one in found if one]
