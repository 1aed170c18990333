"""What was worked out of what is due, piece by piece, so that a note works out anew only what it touched.

A piece (the looks of one thing, of one group of pots, of one case) is kept with the rows that it rests on. `Standing.rows`
gives the very same row while nothing in it has changed, and a new one when anything has: a piece holds while each of its rows
is the one it was. What a piece needs beside rows (day, temperatures, usual pots) belongs to the `Setting` that holds it, and
ends with it; the grower's standing words are compared whole.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace
from operator import is_
from typing import Any, TypeVar

from bot.care.standing import Rows, Standing, Thing

Made = TypeVar("Made")


@dataclass(slots=True)
class Kept:
    """The pieces of what is due under one setting. `worked` counts, by the first word of their keys, those ever worked out."""

    rows: Rows = field(default_factory=dict)  # by which the pieces are tried: those of the standing as it is now
    worked: dict[str, int] = field(default_factory=dict)
    _rules: Mapping[str, Any] = field(default_factory=dict)
    _pieces: dict[Any, tuple[Sequence[object], Any]] = field(default_factory=dict)
    _used: dict[Any, tuple[Sequence[object], Any]] = field(default_factory=dict)
    _things: dict[tuple[str, str], tuple[object, Any]] = field(default_factory=dict)

    def copy(self) -> Kept:
        """Return the same pieces, to be gone on with apart."""
        return replace(self, worked=dict(self.worked), _pieces=dict(self._pieces), _things=dict(self._things))

    def of_those(self, lasts: Callable[[Any], bool]) -> Kept:
        """Return what was worked out of single things, as far as it lasts, and nothing of groups and cases."""
        things = {key: held for key, held in self._things.items() if lasts(held[1])}
        return Kept(worked=dict(self.worked), _rules=self._rules, _things=things)

    def begin(self, rows: Rows, rules: Mapping[str, Any]) -> None:
        """Try the pieces by these rows from here on; other standing words than before let all of them go."""
        if rules != self._rules:
            self._pieces, self._things, self._rules = {}, {}, deepcopy(dict(rules))
        self.rows, self._used = rows, {}

    def end(self) -> None:
        """Let go what was not asked for since the beginning: the case or group is no more."""
        self._pieces, self._used = self._used, {}

    def piece(self, key: tuple[Any, ...], rests_on: Sequence[object], work: Callable[[], Made]) -> Made:
        """Return what `work` comes to, worked out only where one of the objects that it rests on is another than before.

        What comes to the same is the very same object, so that what rests on it in turn holds.
        """
        held = self._pieces.get(key)
        if held is None or len(held[0]) != len(rests_on) or not all(map(is_, held[0], rests_on)):
            self._count(key[0])
            new = work()
            held = (rests_on, held[1] if held is not None and held[1] == new else new)
        self._used[key] = held
        made: Made = held[1]
        return made

    def of_things(self, standing: Standing, work: Callable[[Thing], Made]) -> list[tuple[Thing, object, Made]]:
        """Return each thing with its row and what `work` comes to for it alone, worked out where its row is another."""
        before, self._things = self._things, {}
        for key, thing in standing.things.items():
            row, held = self.rows.get(key), before.get(key)
            if held is None or held[0] is not row:
                self._count("thing")
                held = (row, work(thing))
            self._things[key] = held
        return [(thing, *held) for thing, held in zip(standing.things.values(), self._things.values(), strict=True)]

    def _count(self, what: str) -> None:
        self.worked[what] = self.worked.get(what, 0) + 1


__all__ = ["Kept"]
