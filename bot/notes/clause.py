"""A clause of a note: one head (an act, a sign, a thermometer …) and what was said before and after it."""

from __future__ import annotations

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
    tally: list[Element] = field(default_factory=list)  # what a rule that counts pair by pair reads
    # What is asked of a clause again and again, put together once by `close`; it holds as long as these three are the same.
    _head: Item | None = None
    _before: list[Element] | None = None
    _after: list[Element] | None = None
    _elements: list[Element] = field(default_factory=list)
    _families: frozenset[str] = frozenset()
    _lows: frozenset[str] = frozenset()

    def close(self) -> Clause:
        """Return the clause, cut for good: its lists are changed no more, only others put in their place."""
        self._elements, self._lows = self.elements(), self.lows()
        self._families = frozenset([one.family for one in (*self.before, *self.after)])
        self._head, self._before, self._after = self.head, self.before, self.after
        return self

    def elements(self) -> list[Element]:
        """Return all elements in the order of the text; the list is for reading only."""
        if self._before is self.before and self._head is self.head and self._after is self.after:
            return self._elements
        return [*self.before, self.head, *self.after] if self.head is not None else [*self.before, *self.after]

    def lows(self) -> frozenset[str]:
        """Return the words of all items, each item's as one."""
        if self._before is self.before and self._head is self.head and self._after is self.after:
            return self._lows
        return frozenset([one.low for one in self.elements() if one.family])  # a phrase is of no family

    def silent(self, lows: frozenset[str]) -> bool:
        """Return whether none of the items is one of these words or phrases."""
        return lows.isdisjoint(self.lows())

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
        return self._before is self.before and self._after is self.after and family not in self._families

    def has(self, family: str, *meanings: str) -> Item | None:
        """Return the first item of a family (and meaning) in the clause."""
        if self._before is self.before and self._after is self.after and family not in self._families:
            return None
        for one in (*self.before, *self.after):
            if one.family == family and isinstance(one, Item) and (not meanings or one.meaning in meanings):
                return one
        return None

    def every(self, family: str) -> list[Item]:
        """Return all items of a family in the clause, the head left out."""
        if self._before is self.before and self._after is self.after and family not in self._families:
            return []
        return [one for one in (*self.before, *self.after) if one.family == family and isinstance(one, Item)]

    def phrases(self) -> list[Phrase]:
        """Return the noun phrases of the clause that are not exceptions."""
        return [one for one in (*self.before, *self.after) if isinstance(one, Phrase) and not one.out]
