"""The files that go with messages: made from their recipe at the moment they are sent, so that none lies about.

A recipe holds JSON values and names its maker by `kind`; the same recipe gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from bot.messages import Attached
from bot.sharing.listing import Row
from bot.sharing.page import as_csv, page
from bot.sharing.picture_parts import KIND as PICTURE
from bot.sharing.thumbnails import thumbnail

MEDIA_TYPES = {
    "csv": "text/csv",
    "html": "text/html",
    "ics": "text/calendar",
    "jpg": "image/jpeg",
    "pdf": "application/pdf",
    "png": "image/png",
    "svg": "image/svg+xml",
    "zip": "application/zip",
}


def attached(name: str, kind: str, /, **recipe: Any) -> Attached:
    """Return a file to go with a message; its media type follows from the end of its name."""
    return Attached(name, MEDIA_TYPES[name.rpartition(".")[2]], {"kind": kind, **recipe})


def content(file: Attached, photos: Path | None = None) -> bytes:
    """Return what a file holds; `photos` is the folder of the photos that some show.

    Raises KeyError for a recipe of a kind that this version does not know.
    """
    kind = str(file.recipe["kind"])
    return _ILLUSTRATED[kind](file.recipe, photos) if kind in _ILLUSTRATED else _MAKERS[kind](file.recipe)


def illustrations(photos: Sequence[Sequence[str]], folder: Path | None) -> list[tuple[str, bytes]]:
    """Return the name and the small picture of each photo that is there, given as name and file."""
    drawn = ((name, thumbnail(folder, file)) for name, file in photos) if folder else ()
    return [(name, jpeg) for name, jpeg in drawn if jpeg]


def list_recipe(
    rows: tuple[Row, ...], until: date | None, wishes: tuple[str, ...] = (), photos: tuple[tuple[str, str], ...] = ()
) -> dict[str, Any]:
    """Return what the files of a shared list are made from."""
    lines = [[one.name, one.count, one.pot_cm, one.rooted, one.offered] for one in rows]
    shown = {"wishes": list(wishes), "photos": [list(one) for one in photos]}
    return {"rows": lines, "until": until.isoformat() if until else None, **shown}


def _rows(recipe: Mapping[str, Any]) -> tuple[tuple[Row, ...], date | None]:
    until = date.fromisoformat(recipe["until"]) if recipe["until"] else None
    return tuple(Row(*one) for one in recipe["rows"]), until


def _wishes(recipe: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(recipe.get("wishes", ()))  # not in a recipe of an earlier version


def _list_page(recipe: Mapping[str, Any], folder: Path | None) -> bytes:
    drawn = illustrations(recipe.get("photos", ()), folder)
    return page(*_rows(recipe), form=False, wishes=_wishes(recipe), photos=drawn).encode()


def _list_table(recipe: Mapping[str, Any]) -> bytes:
    return as_csv(_rows(recipe)[0], _wishes(recipe)).encode()


def _list_sheet(recipe: Mapping[str, Any], folder: Path | None) -> bytes:
    from bot.sharing.list_sheet import sheet  # noqa: PLC0415  slow to load, and only a file needs it

    return sheet(*_rows(recipe), _wishes(recipe), illustrations(recipe.get("photos", ()), folder))


def _labels(recipe: Mapping[str, Any]) -> bytes:
    from bot.sharing.labels import from_recipe  # noqa: PLC0415  as above

    return from_recipe(recipe)


def _calendar(recipe: Mapping[str, Any]) -> bytes:
    from bot.sharing.calendar import from_recipe  # noqa: PLC0415  as above

    return from_recipe(recipe)


def _picture(recipe: Mapping[str, Any]) -> bytes:
    from bot.sharing.pictures import drawn  # noqa: PLC0415  as above

    return drawn(recipe)


_ILLUSTRATED: dict[str, Callable[[Mapping[str, Any], Path | None], bytes]] = {
    "list_page": _list_page,
    "list_sheet": _list_sheet,
}
_MAKERS: dict[str, Callable[[Mapping[str, Any]], bytes]] = {
    "list_table": _list_table,
    "labels": _labels,
    "calendar": _calendar,
    PICTURE: _picture,
}
