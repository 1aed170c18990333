"""A clause of a note: one head (an act, a sign, a thermometer …) and what was said before and after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from bot.notes.heads import Phrase
from bot.notes.items import Item

Element = Item | Phrase


@dataclass(slots=True)
class Clause:
    """One head and the elements before and after it."""

    before: list[Element] = field(default_factory=list)
    head: Item | None = None
    after: list[Element] = field(default_factory=list)
    hard: bool = False  # a full stop or line break ended it
    link: str = ""  # the separator that led to it
    topic: bool = False  # a colon followed its words
    tally: Sequence[Element] = ()  # what a rule that counts pair by pair reads
    # What is asked of a clause again and again, put together once where it is cut for good (`close`).
    _closed: bool = False
    _elements: list[Element] = field(init=False)
    _phrases: list[Phrase] = field(init=False)
    _families: frozenset[str] = field(init=False)
    _lows: frozenset[str] = field(init=False)

    def close(self) -> Clause:
        """Return the clause, cut for good: from here on it is changed by `made` alone."""
        self._closed = False
        self._elements, self._lows, self._phrases = self.elements(), self.lows(), self.phrases()
        self._families = frozenset([one.family for one in self._elements])
        self._closed = True
        return self

    def made(self, head: Item, before: list[Element] | None = None, after: list[Element] | None = None) -> None:
        """Give a clause without a head one, and put other elements before and after it where they are given."""
        self.head = head
        self.before = self.before if before is None else before
        self.after = self.after if after is None else after
        self.close()

    def elements(self) -> list[Element]:
        """Return all elements in the order of the text; the list is for reading only."""
        if self._closed:
            return self._elements
        return [*self.before, self.head, *self.after] if self.head is not None else [*self.before, *self.after]

    def lows(self) -> frozenset[str]:
        """Return the words of all items, each item's as one."""
        if self._closed:
            return self._lows
        return frozenset([one.low for one in self.elements() if one.family])  # a phrase is of no family

    def silent(self, lows: frozenset[str]) -> bool:
        """Return whether none of the items is one of these words or phrases."""
        return lows.isdisjoint(self._lows if self._closed else self.lows())

    def opening(self) -> Element | None:
        """Return the first element of the clause."""
        if self.before:
            return self.before[0]
        return self.head or (self.after[0] if self.after else None)

    def span(self) -> tuple[int, int]:
        """Return where the clause stands in the text."""
        every = self.elements()
        return (every[0].start, max([one.end for one in every])) if every else (0, 0)

    def lacks(self, family: str) -> bool:
        """Return whether no item of a family stands beside the head; False also where that is not known."""
        return self._closed and family not in self._families

    def has(self, family: str, *meanings: str) -> Item | None:
        """Return the first item of a family (and meaning) in the clause."""
        if self._closed and family not in self._families:
            return None
        for one in (*self.before, *self.after):
            if one.family == family and isinstance(one, Item) and (not meanings or one.meaning in meanings):
                return one
        return None

    def every(self, family: str) -> list[Item]:
        """Return all items of a family in the clause, the head left out."""
        if self._closed and family not in self._families:
            return []
        return [one for one in (*self.before, *self.after) if one.family == family and isinstance(one, Item)]

    def phrases(self) -> list[Phrase]:
        """Return the noun phrases of the clause that are not exceptions; the list is for reading only."""
        if self._closed:
            return self._phrases
        return [one for one in (*self.before, *self.after) if isinstance(one, Phrase) and not one.out]
