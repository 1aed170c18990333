"""The languages that notes are read in: each a folder of tables over the same meanings.

The rules of the grammar know their function words, numbers and calendar words by the English ones. Another language says in
its table `grammar.csv` which of its words are meant by each of those ("gestern" is yesterday, "keine" is no), and has tables of
its own for what is special to it: acts, signs, kinds, plain words. A table that it does not have is the English one.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

ENGLISH = "en"
OWN_ONLY = frozenset(("acts", "signs", "kinds"))  # tables that another language never shares with English
_HERE = Path(__file__).parent  # `importlib.resources` brings in a dozen modules, a seventh of the time to import the reader
_ADDED: dict[str, Traversable] = {}


def add(language: str, place: Traversable) -> None:
    """Let notes be read in a language whose tables lie in a folder; `language` is its two-letter code."""
    _ADDED[language] = place


def known() -> tuple[str, ...]:
    """Return the codes of the languages that notes can be read in, English first."""
    return (ENGLISH, *sorted(_ADDED))


def folder(language: str) -> Traversable:
    """Return where the tables of a language lie; of English for one that is not known."""
    return _ADDED.get(language) or _HERE / "english"


def files(language: str, name: str) -> list[Traversable]:
    """Return the files of a table ("acts.csv", and "acts_care.csv" that continues it), English ones where words are shared."""
    found = _parts(folder(language), name)
    shared = name.partition(".")[0] not in OWN_ONLY
    return (
        found
        if language not in _ADDED or (found and not shared)
        else [*found, *_parts(folder(ENGLISH), name)]
        if shared
        else found
    )


def _parts(place: Traversable, name: str) -> list[Traversable]:
    """Return the files of a folder that make up one table, the table itself first."""
    stem, _, kind = name.partition(".")
    more = (one for one in place.iterdir() if one.name.startswith(f"{stem}_") and one.name.endswith(f".{kind}"))
    return [one for one in (place / name, *sorted(more, key=lambda one: one.name)) if one.is_file()]


@cache
def listed(name: str) -> dict[str, tuple[str, ...]]:
    """Return the rows of an English table of words that the rules know, in its order: name to forms."""
    with (folder(ENGLISH) / f"{name}.csv").open("r", encoding="utf-8") as lines:
        return {row["name"]: tuple(row["forms"].split("|")) for row in csv.DictReader(lines)}


def numbered(name: str, key: str) -> dict[str, int]:
    """Return what the rows "key number" of a table say: form to number."""
    rows = listed(name).items()
    return {form: int(row.split()[1]) for row, forms in rows if row.startswith(f"{key} ") for form in forms}


def phrases(name: str, key: str) -> tuple[tuple[str, ...], ...]:
    """Return the phrases of a row of a table, each as its words, in its order."""
    return tuple(tuple(one.split()) for one in listed(name)[key])


@cache
def canonical(language: str) -> dict[str, str]:
    """Return for each function word of a language the English one that the rules know; nothing for English."""
    table = folder(language) / "grammar.csv"
    if language not in _ADDED or not table.is_file():
        return {}
    with table.open("r", encoding="utf-8") as lines:
        return {form: row["word"] for row in csv.DictReader(lines) for form in row["forms"].split("|")}


def remove(language: str) -> None:
    """Take back what `add` let be read."""
    _ADDED.pop(language, None)
    canonical.cache_clear()
