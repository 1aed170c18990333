"""A reading in words of the bench that read back to it: the ways to say each entry are tried, and the first that does is taken.

What `told` returns has been read, so that nothing has to say which words go together. The ways stand in `ways`, in order of
plainness; only English has them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from itertools import islice
from typing import Any

from bot.notes import ways
from bot.notes.reading import Reading

TRIES = 4000  # ways to say one entry that are tried; project default, no reading of the corpora needed half of it
Read = Callable[[str], Reading]
LINKS = (". ", ", ", "\n", " and ")


def told(reading: Reading, back: Read, today: date) -> str | None:
    """Return a note that `back` reads to the entries of `reading`, remarks left out; None where no way to say it does.

    `back` reads with the moment, names and settings that the reading was made with; `today` is the day of that moment.
    """
    entries = [one for one in reading.entries if one.type != "remark"]
    text = ""
    for n, entry in enumerate(entries):
        wanted = [one.to_json() for one in entries[: n + 1]]
        dated = any(one.when is not None for one in entries[:n])
        said = _said(text, ways.of(entry, dated, today), wanted, back)
        if said is None:
            return None
        text = said
    return text or None


def _said(text: str, possible: Iterator[str], wanted: list[dict[str, Any]], back: Read) -> str | None:
    """Return the text with the first way to say an entry behind it with which all reads back."""
    for way in islice(possible, TRIES):
        for link in LINKS if text else ("",):
            if facts(back(text + link + way)) == wanted:
                return text + link + way
    return None


def facts(reading: Reading) -> list[dict[str, Any]]:
    """Return what a reading says, the words it keeps left out."""
    return [one.to_json() for one in reading.entries if one.type != "remark"]


__all__ = ["facts", "told"]
