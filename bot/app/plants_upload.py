"""A spreadsheet of plants sent to the bot: what its columns are is settled by buttons, then it is taken as one note."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime

from bot.app.english import bulk
from bot.app.plan import Draft, Plan, View
from bot.app.plants_columns import IGNORED, told_of, unsettled
from bot.app.plants_import import Imported, looked_at
from bot.app.plants_table import PlantsProblem
from bot.messages import Outgoing
from bot.store import people, sheets
from bot.store.database import Connection
from bot.store.people import Collection
from bot.store.sheets import Sheet

_WORDS = re.compile(r"import (?P<number>\d{1,12}): *(?P<what>.+)", re.IGNORECASE)
TAKE, TAKE_THE_REST, LEAVE = "take", "take the rest", "leave"


def fetched(conn: Connection, sheet: Sheet, content: bytes, now: datetime) -> Outgoing:
    """Keep what a file holds, and return what is said of it."""
    sheets.mark_fetched(conn, sheet.id, content)
    made = _look(conn, content, sheet.told, now, _collection(conn, sheet.collection_id))
    if isinstance(made, PlantsProblem):
        sheets.close(conn, sheet.id)
        return Outgoing(bulk.problem(made.kind, made.facts))
    return bulk.offer(made, sheet.id)


def answered(conn: Connection, words: str, view: View, collection_id: int, chat_id: int, role: str | None) -> Plan | None:
    """Return the plan of words about a file ("import 3: take", "import 3: pot=C"); None where they are none."""
    found = _WORDS.fullmatch(words.strip())
    if found is None:
        return None
    draft = Draft(view, "do", None)
    sheet = sheets.by_id(conn, int(found["number"]))
    if role != "owner":
        draft.say("owners_only")
    elif sheet is None or (sheet.chat_id, sheet.collection_id) != (chat_id, collection_id) or sheet.state != "open":
        draft.tell(bulk.NO_SHEET)
    else:
        _spoken_of(conn, sheet, found["what"].strip(), draft)
    return draft.done()


def _spoken_of(conn: Connection, sheet: Sheet, what: str, draft: Draft) -> None:
    if what.lower() == LEAVE:
        sheets.close(conn, sheet.id)
        draft.tell(bulk.LEFT)
        return
    take = what.lower() in (TAKE, TAKE_THE_REST)
    try:
        told = dict(sheet.told) if take else _merged(sheet.told, told_of(what))
    except PlantsProblem as problem:
        draft.tell(bulk.problem(problem.kind, problem.facts))
        return
    made = _look(conn, sheet.content, told, draft.view.now, _collection(conn, sheet.collection_id))
    if isinstance(made, PlantsProblem):
        draft.tell(bulk.problem(made.kind, made.facts))
        return
    sheets.tell(conn, sheet.id, told)
    may = take and not unsettled(made.guesses) and (not made.faults or what.lower() == TAKE_THE_REST)
    if not may or not made.events:
        offered = bulk.offer(made, sheet.id)
        draft.tell(*offered.text.splitlines(), buttons=offered.buttons)
        return
    sheets.close(conn, sheet.id)
    draft.events.extend(made.events)
    draft.tell(bulk.taken(made))


def _merged(before: Mapping[str, str], said: Mapping[str, str]) -> dict[str, str]:
    merged = {**before, **said}
    if IGNORED in before and IGNORED in said:
        merged[IGNORED] = f"{before[IGNORED]}\n{said[IGNORED]}"
    return merged


def _look(conn: Connection, content: bytes, told: Mapping[str, str], now: datetime, into: Collection) -> Imported | PlantsProblem:
    try:
        return looked_at(conn, into, content, now, told)
    except PlantsProblem as problem:
        return problem


def _collection(conn: Connection, collection_id: int) -> Collection:
    return next(one for one in people.all_collections(conn) if one.id == collection_id)
