"""An answer to an open question: the earlier note read again with the gap filled."""

from __future__ import annotations

from collections.abc import Callable

from bot.notes.reading import Question, Reading
from bot.notes.talk import Talk


def fill(text: str, question: Question, interpret: Callable[[str], Talk]) -> Reading | None:
    """Return the earlier note's reading with the answer in it, or None where `text` is a note of its own."""
    return None
