"""A long note cut into pieces, so that the work of reading grows with its length and not with the square of it.

Rules look at the words around a word, some as far as the note goes. A note of the bench is one piece; one that goes on for
long is cut where a line or a sentence ends, else at a comma, and only where neither comes in the middle of the words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.notes.items import Item

ENOUGH = 48  # items after which the end of a line or a sentence ends the piece; project default, twice an ordinary note
PLENTY = 72  # after which a comma does
MOST = 96  # after which the piece ends anywhere


def pieces(items: Sequence[Item]) -> Iterator[list[Item]]:
    """Yield the items in order, in runs that no rule needs to look beyond; at least one run, an empty one for no items."""
    if len(items) <= ENOUGH:
        yield list(items)
        return
    piece: list[Item] = []
    for one in items:
        piece.append(one)
        if len(piece) >= ENOUGH and _ends(piece):
            yield piece
            piece = []
    if piece:
        yield piece


def _ends(piece: list[Item]) -> bool:
    last = piece[-1].family
    return last == "break" or (last == "comma" and len(piece) >= PLENTY) or len(piece) >= MOST
