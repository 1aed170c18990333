"""The talk about a spreadsheet of plants on the command line: what its columns are, what it would bring, then writing it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from bot.app.english import bulk
from bot.app.plants_columns import IGNORED, unsettled
from bot.app.plants_import import Imported, import_plants
from bot.app.plants_table import letters_of
from bot.store.database import Database

Ask = Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class Session:
    """What is to be shown, and whether something in the file is left to be put right."""

    said: tuple[str, ...]
    unclear: tuple[str, ...] = ()


def session(
    database: Database,
    content: bytes,
    now: datetime,
    told: Mapping[str, str],
    collection: str = "",
    *,
    write: bool = False,
    leave_bad: bool = False,
    ask: Ask | None = None,
) -> Session:
    """Look at a file, settle its columns, and write it where that is wanted: with `ask` by questions, else by what is told.

    Raises PlantsProblem where the file cannot be used as a whole.
    """
    made = import_plants(database, content, now, told, collection)
    if unsettled(made.guesses):
        if ask is None:
            open_columns = tuple(bulk.settle(made.table, one) for one in unsettled(made.guesses))
            return Session((bulk.columns(made.table, made.guesses), bulk.summary(made)), open_columns)
        told = _settled(made, told, ask)
        made = import_plants(database, content, now, told, collection)
    unclear = tuple(bulk.report(made))
    can_be_written = bool(made.events) and (leave_bad or not made.faults)
    if can_be_written and not write and ask is not None:
        seen = (bulk.columns(made.table, made.guesses), *unclear, bulk.summary(made), bulk.WRITE)
        write = ask("\n".join(seen))
    if write and can_be_written:
        made = import_plants(database, content, now, told, collection, write=True, leave_bad=leave_bad)
    said = (bulk.columns(made.table, made.guesses), bulk.summary(made), bulk.next_step(made))
    return Session(tuple(one for one in said if one), unclear)


def _settled(made: Imported, told: Mapping[str, str], ask: Ask) -> dict[str, str]:
    """Return what the columns are, with each guess confirmed or left out."""
    settled = dict(told)
    for one in unsettled(made.guesses):
        letters = letters_of(one.column)
        if ask(bulk.question(made.table, one)):
            settled[one.role] = letters
        else:
            settled[IGNORED] = f"{settled[IGNORED]}\n{letters}" if IGNORED in settled else letters
    return settled
