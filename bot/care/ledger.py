"""What became of a lot: how many came, and where each of them is now. The sums close, whatever was noted or taken back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bot.care.fold_lots import BEYOND, SPLIT_FROM, SPLIT_OFF
from bot.care.standing import ALIVE, Standing, Thing

OUT, DEAD, MISSING = ("given",), ("died", "discarded", "dead"), ("missing",)


@dataclass(frozen=True, slots=True)
class Ledger:
    """A lot's sums: `unnumbered` are alive in the lot itself (None: nobody said how many), `numbered` alive with a number."""

    ordered: int | None
    come: int
    beyond: int
    unnumbered: int | None
    numbered: tuple[Thing, ...]
    out: int
    dead: int
    missing: int

    @property
    def alive(self) -> int:
        """How many are alive as far as known."""
        return (self.unnumbered or 0) + len(self.numbered)

    @property
    def closes(self) -> bool:
        """Whether what came in is what is there and what left."""
        return self.come + self.beyond == self.alive + self.out + self.dead + self.missing


def ledger_of(standing: Standing, lot: Thing) -> Ledger:
    """Return the sums of a lot, the plants split off it counted by how they stand now."""
    members = [one for one in standing.things.values() if one.tally.get(SPLIT_FROM) == f"{lot.kind}:{lot.key}"]
    return Ledger(
        lot.tally.get("ordered"),
        int(lot.tally.get("come", 0)),
        int(lot.tally.get(BEYOND, 0)),
        lot.count,
        tuple(one for one in members if one.status == ALIVE),
        _left(lot, members, OUT),
        _left(lot, members, DEAD),
        _left(lot, members, MISSING),
    )


def _left(lot: Thing, members: Iterable[Thing], ways: tuple[str, ...]) -> int:
    return sum(int(lot.tally.get(one, 0)) for one in ways) + sum(1 for one in members if one.status in ways)


__all__ = ["SPLIT_OFF", "Ledger", "ledger_of"]
