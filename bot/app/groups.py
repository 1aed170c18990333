"""Due things as lines of a list: like things merged by place, overdue first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from bot.care.due_values import Due
from bot.care.events import Ref

ANY_GENUS = frozenset({"rest_end", "rest_start"})  # these are about a genus each, and one walk along the bench for all
_BY_ID = frozenset({"some", "batch"})  # their keys are random
CAN_WAIT = frozenset({"dry_look", "sowing_look", "follow_up", "rest_end", "rest_start"})
MOST_OVERDUE = 3
MORNING_LINES = 8
KEYS_JOINED_BY = "\n"


@dataclass(frozen=True, slots=True)
class Group:
    """Due things of one kind in one place: one line of a list."""

    dues: tuple[Due, ...]

    @property
    def kind(self) -> str:
        """What is asked."""
        return self.dues[0].kind

    @property
    def place(self) -> str:
        """Where."""
        return self.dues[0].place

    @property
    def on(self) -> date:
        """The earliest first day."""
        return min(one.on for one in self.dues)

    @property
    def refs(self) -> tuple[Ref, ...]:
        """What it is about."""
        return tuple(dict.fromkeys(ref for one in self.dues for ref in one.refs))

    @property
    def listed(self) -> str:
        """The keys behind the line's number, as the talk remembers them."""
        return KEYS_JOINED_BY.join(one.key for one in self.dues)


def _order(due: Due) -> tuple[object, ...]:
    """An order that holds whatever random ids the events have."""
    refs = tuple((one.kind, "" if one.kind in _BY_ID else one.key) for one in due.refs)
    return (due.on, due.place, due.kind, due.about, refs)


def _without_place(due: Due) -> str:
    """Return what keeps things without a place apart: numbered plants of one day are one line, as of a lot just numbered."""
    return due.on.isoformat() if all(one.kind == "plant" for one in due.refs) else due.key


def grouped(dues: Iterable[Due], today: date) -> list[Group]:
    """Return due things as lines: overdue first, then by place in the order of its first date."""
    merged: dict[tuple[object, ...], list[Due]] = {}
    for one in sorted(dues, key=_order):
        alone = one.key if one.kind == "reminder" else "" if one.place else _without_place(one)
        about = "" if one.kind in ANY_GENUS else one.about
        merged.setdefault((one.kind, about, one.place, one.on < today, alone), []).append(one)
    lines = [Group(tuple(held)) for held in merged.values()]
    first: dict[str, date] = {}
    for line in lines:
        first[line.place] = min(first.get(line.place, line.on), line.on)
    return sorted(lines, key=lambda line: (line.on >= today, first[line.place], line.place, line.on, line.kind))


def shown_in_the_morning(lines: Sequence[Group], today: date) -> int:
    """Return how many lines a morning message shows: on Mondays all there is room for, else a few overdue ones and today's."""
    overdue = sum(1 for one in lines if one.on < today)
    wanted = len(lines) if today.weekday() == 0 else min(overdue, MOST_OVERDUE) + len(lines) - overdue
    return min(MORNING_LINES, wanted)


def for_the_morning(lines: Sequence[Group], today: date) -> list[Group]:
    """Return lines with what is new today among the first: some overdue ones, then today's, then the rest."""
    overdue = sorted((one for one in lines if one.on < today), key=lambda one: one.kind in CAN_WAIT)
    fresh = [one for one in lines if one.on >= today]
    return [*overdue[:MOST_OVERDUE], *fresh, *overdue[MOST_OVERDUE:]]
