"""The talk about a spreadsheet of plants on the command line: what its columns are, what it would bring, then writing it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from bot.app import projecting
from bot.app.climates import setting_of
from bot.app.english import bulk
from bot.app.intake import local
from bot.app.plants_columns import IGNORED, unsettled
from bot.app.plants_import import Imported, looked_at, newest_run, run_of
from bot.app.plants_table import PlantsProblem, letters_of
from bot.app.readings_file import ReadingsProblem
from bot.app.readings_import import collection_meant
from bot.care.events import CareEvent
from bot.store import carelog, people
from bot.store.database import Database

Ask = Callable[[str], bool]


def import_plants(
    database: Database,
    content: bytes,
    now: datetime,
    told: Mapping[str, str],
    collection: str = "",
    *,
    write: bool = False,
    leave_bad: bool = False,
) -> Imported:
    """Look at a spreadsheet, and with `write` take it into the log: all of it, or nothing where a row is wrong.

    `leave_bad` takes the rows that are right all the same. A repeat makes nothing new; a row that has changed since brings
    the change. Raises PlantsProblem where the file cannot be used as a whole.
    """
    with database.write() if write else database.read() as conn:
        try:
            into = collection_meant(people.all_collections(conn), collection)
        except ReadingsProblem as problem:
            raise PlantsProblem("collection", said=str(problem)) from None
        made = looked_at(conn, into, content, now, told)
        if not write or not made.events or (made.faults and not leave_bad):
            return made
        held = projecting.load(conn, into.id)
        events = carelog.append(conn, into.id, made.events)
        standing = projecting.carry(conn, into.id, held, events).standing
        today = local(now, into.settings).date()
        projecting.save(conn, into.id, held, standing, setting_of(standing, into.settings, today))
    return replace(made, written=True)


def take_back(database: Database, now: datetime, collection: str = "") -> int:
    """Withdraw the newest import as one; return how many plants it had brought or changed, 0 where there is none."""
    with database.write() as conn:
        try:
            into = collection_meant(people.all_collections(conn), collection)
        except ReadingsProblem as problem:
            raise PlantsProblem("collection", said=str(problem)) from None
        log = carelog.load(conn, into.id)
        run = newest_run(log)
        if not run:
            return 0
        today = local(now, into.settings).date()
        targets = {"targets": [one.identity for one in run]}
        held = projecting.load(conn, into.id)
        undo = CareEvent(f"undo-{run_of(run[0])}-{len(log)}", 0, today, now, "withdrawn", facts=targets)
        standing = projecting.carry(conn, into.id, held, carelog.append(conn, into.id, [undo])).standing
        projecting.save(conn, into.id, held, standing, setting_of(standing, into.settings, today))
    return sum(1 for one in run if "row" in one.facts)


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
