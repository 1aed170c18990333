"""Old notes read with today's reader: what would be read differently, and one of them written anew where the grower accepts it.

Nothing changes by itself. Left alone are notes that answered a question or corrected something, and notes whose entries the
grower has put right since: what was put right by hand stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import uuid4

from bot.app import intake, projecting
from bot.app.corrections import WRITES
from bot.app.plan import OpenNote, Plan, View
from bot.app.planning import plan
from bot.app.projecting import Projection
from bot.app.revising import in_place_of
from bot.app.settling import settled
from bot.care.events import CareEvent, effective
from bot.notes.reading import Reading
from bot.store import carelog, notes, people
from bot.store.database import Connection, Database
from bot.store.notes import Note
from bot.store.people import CollectionSettings

WRITING = frozenset(("log", "log_ask", "ask", "remind"))  # decisions of notes that may write to the log


@dataclass(frozen=True, slots=True)
class Reread:
    """A note that is read differently today: what was read then, and what is read now."""

    note: int
    collection: int
    text: str
    sent_at: datetime
    then: Reading
    now: Reading


def reread(database: Database, since: datetime) -> list[Reread]:
    """Return the notes sent since an aware moment that today's reader reads differently, by collection, oldest first."""
    with database.read() as conn:
        collections = people.all_collections(conn)
        return [one for each in collections for one in _of_collection(conn, each.id, each.settings, since)]


def _of_collection(conn: Connection, collection_id: int, settings: CollectionSettings, since: datetime) -> list[Reread]:
    held = projecting.load(conn, collection_id)
    log = carelog.load(conn, collection_id)
    counted = {one.identity: one for one in effective(log)}
    found: list[Reread] = []
    asked: dict[int, Note] = {}  # by chat, the note that asked last
    for note in notes.notes_between(conn, collection_id, since, datetime.max.replace(tzinfo=since.tzinfo)):
        before = asked.pop(note.chat_id, None)
        if note.ask is not None:
            asked[note.chat_id] = note
        written = [one for one in log if one.note == note.id]
        if note.decision not in (*WRITING, "answer") or note.question_state == "answered" or _put_right(written, counted):
            continue
        view = _view(note, settings, held)
        if before is not None and _answers(note, before, view):
            continue
        then, now = Reading.from_json(note.reading), settled(intake.read_for(note.text, view), held.standing)
        if _facts(then) != _facts(now) and (note.decision in WRITING or _writes(now)):
            found.append(Reread(note.id, collection_id, note.text, note.sent_at, then, now))
    return found


def accept(database: Database, one: Reread, now: datetime) -> bool:
    """Withdraw what a note wrote and write what is read now; False, and nothing written, where that would ask a question.

    The events get the days that the note speaks of; `now` is the aware moment at which they are recorded.
    """
    with database.write() as conn:
        carelog.lock(conn, one.collection)
        settings = people.settings_of(conn, one.collection)
        held = projecting.load(conn, one.collection)
        note = notes.note_by_id(conn, one.note)
        assert note is not None
        written = carelog.by_note(conn, one.note)
        view = replace(_view(note, settings, held), recent=tuple(each for each in written if each.kind in WRITES))
        made = in_place_of(one.note, plan(one.now, view), view)
        if made.ask is not None or one.now.decision in ("ask", "log_ask"):
            return False
        _write(conn, one, made, held, settings, now)
        notes.set_reading(conn, one.note, one.now.to_json(), one.now.decision)
    return True


def _write(conn: Connection, one: Reread, made: Plan, held: Projection, settings: CollectionSettings, now: datetime) -> None:
    recorded = [replace(event, note=one.note, recorded_at=now) for event in made.events]
    events = carelog.append(conn, one.collection, recorded)
    today = intake.local(now, settings).date()
    carried = projecting.carry(conn, one.collection, held, events)
    setting = projecting.setting_for(held, carried.standing, settings, today)
    projecting.save(conn, one.collection, intake.replace_standing(held, carried.standing), carried.standing, setting)


def _view(note: Note, settings: CollectionSettings, held: Projection) -> View:
    """Return the collection as it stands, at the moment of the note: its days count from there."""
    moment = intake.local(note.sent_at, settings)
    return View(
        now=moment,
        standing=held.standing,
        setting=projecting.setting_for(held, held.standing, settings, moment.date()),
        settings=settings,
        due=held.dues(),
        person=note.person_id,
        text=note.text,
        new_identity=lambda: uuid4().hex[:16],
    )


def _answers(note: Note, before: Note, view: View) -> bool:
    """Return whether a note answered the question of the one before it in its chat."""
    asked = OpenNote(before.id, before.text, str(before.ask), intake.local(before.sent_at, view.settings).date())
    return intake.read_for(note.text, replace(view, open_note=asked)).answers


def _put_right(written: Sequence[CareEvent], counted: dict[str, CareEvent]) -> bool:
    """Return whether an event of a note was taken back or amended since."""
    return any(one.kind in WRITES and counted.get(one.identity) != one for one in written)


def _writes(reading: Reading) -> bool:
    """Return whether a note that was taken for a question alone says now that something was done, and asks for nothing else."""
    types = {one.type for one in reading.entries}
    return bool(types & {"event", "finding", "skip", "measure", "climate", "hold"}) and not types & {"request", "fix"}


def _facts(reading: Reading) -> tuple[bool, list[object]]:
    """Return whether a reading writes, and its entries as JSON values; words kept beside them change nothing."""
    kept: Iterable[dict[str, object]] = (one.to_json() for one in reading.entries if one.type != "remark")
    return reading.decision == "ask", list(kept)
