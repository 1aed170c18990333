"""The way of one note: inbox row, view, reading, plan, events and answer, all committed together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from bot.app import desk, plants_upload, privacy, projecting, wording
from bot.app.advice import advise
from bot.app.cautioning import cautions_for
from bot.app.climates import latitude_for, setting_of
from bot.app.commands import command, in_words, of_the_one
from bot.app.directing import Heard, heard
from bot.app.groups import KEYS_JOINED_BY
from bot.app.journal import typed_between
from bot.app.language_words import language_of
from bot.app.law_words import country
from bot.app.log_talk import scanned
from bot.app.older import counting, within_reach
from bot.app.order_days import with_ended
from bot.app.permissions import permitted, permitted_reading
from bot.app.photo_filing import file_photos
from bot.app.plan import OpenNote, Plan, Said, View
from bot.app.planning import plan
from bot.app.projecting import Memory, Projection
from bot.app.revising import about_note, in_place_of, numbers_of_note
from bot.app.settling import settled
from bot.app.those import in_labels
from bot.app.which import Talk
from bot.care.due_values import Due
from bot.care.events import CORRECTIONS, CareEvent, refs_from_json, refs_to_json
from bot.messages import Incoming, Outgoing
from bot.notes.reader import read
from bot.notes.reading import Question, Reading
from bot.store import carelog, inbox, notes, outbox, people, photos
from bot.store.database import Connection, Database, DatabaseProblem
from bot.store.inbox import InboxRow
from bot.store.people import Chat, CollectionSettings

CASES_CLOSE_BY = "closed"
QUESTION_LASTS = timedelta(hours=48)
SHORT_ANSWER_WORDS = 3  # "watered", "in the wash" name an act and answer all the same


@dataclass(frozen=True, slots=True)
class Trace:
    """What one message did, as JSON values.

    `events` are what it wrote to the log as `{"kind", "what", "when", "refs", "facts"}`; `due` what became due, changed its
    day, or was listed: `{"number"?, "kind", "on", "until", "place", "text", "reason"}`, the number as listed.
    """

    events: tuple[Mapping[str, Any], ...] = ()
    due: tuple[Mapping[str, Any], ...] = ()


def _new_identity() -> str:
    return uuid4().hex[:16]


class Intake:
    """Takes messages in and handles them one by one, in order. One instance serves all chats of a process.

    `memory` is for the rounds of the same process: what a note has folded the morning need not fold again.
    """

    def __init__(self, database: Database, defaults: CollectionSettings, new_identity: Callable[[], str] = _new_identity) -> None:
        """`defaults` are the settings of a collection that begins with a first message."""
        self._database = database
        self._defaults = defaults
        self._new_identity = new_identity
        self.memory = Memory()
        self._traces: dict[int, Callable[[], Trace]] = {}

    def receive(self, incoming: Incoming, got_at: datetime) -> int | None:
        """Commit a message to the inbox and return its id; None where the same message came before."""
        with self._database.write() as conn:
            return inbox.take(conn, incoming, got_at)

    def work(self, now: datetime, most: int | None = None) -> int:
        """Handle the messages that wait, oldest first, at most so many; return how many. The answers wait in the outbox."""
        handled = 0
        while handled != most and self._any() and self._handle_or_set_aside(now):
            handled += 1
        return handled

    def trace_of(self, inbox_id: int) -> Trace:
        """Return what a message did, while this process remembers it."""
        return self._traces.get(inbox_id, Trace)()

    def _any(self) -> bool:
        with self._database.read() as conn:
            return inbox.next_open(conn) is not None

    def _handle_or_set_aside(self, now: datetime) -> bool:
        """Handle a message; False where there is none that no other worker holds.

        A note that breaks something must not stop those behind it: it is set aside, kept, and the grower is told.
        """
        taken: list[InboxRow] = []
        try:
            self._handle(taken, now)
        except Exception as error:
            if _is_of_the_database(error) or not taken:
                raise
            self._set_aside(taken[0], error, now)
        return bool(taken)

    def _set_aside(self, row: InboxRow, error: Exception, now: datetime) -> None:
        with self._database.write() as conn:
            if inbox.mark_poison(conn, row.id, f"{type(error).__name__}: {error}"[:500]):
                chat = people.chat_of(conn, row.incoming.transport, row.incoming.address, row.incoming.sender, self._defaults)
                outbox.put(conn, f"reply:{row.id}", chat.id, Outgoing(wording.SORRY), "reply", now)

    def _handle(self, taken: list[InboxRow], now: datetime) -> None:
        """Handle the next message in one transaction; `taken` gets it, so that whoever catches an error knows which it was."""
        try:
            with self._database.write() as conn:
                row = inbox.take_up(conn)
                if row is None:
                    return
                taken.append(row)
                chat = people.chat_of(conn, row.incoming.transport, row.incoming.address, row.incoming.sender, self._defaults)
                said = heard(conn, chat, row)
                carelog.lock(conn, said.chat.collection_id)  # another worker may write about the same plants in another chat
                private = privacy.answer(conn, said.chat, row.incoming, now)
                if private is not None:
                    outbox.put(conn, f"reply:{row.id}", said.chat.id, private, "reply", now)
                    inbox.mark_done(conn, row.id, now)
                    return
                trace, held = self._carry_out(conn, said, now)
                inbox.mark_done(conn, row.id, now)
        except BaseException:
            self.memory.forget()
            raise
        self.memory.keep(said.chat.collection_id, held)
        self._traces = {row.id: trace}

    def _carry_out(self, conn: Connection, said: Heard, now: datetime) -> tuple[Callable[[], Trace], Projection]:
        chat, row = said.chat, said.row
        settings = people.settings_of(conn, chat.collection_id)
        held = self._projection(conn, chat.collection_id, settings, local(now, settings).date())
        view = self._view(conn, chat, row, settings, held)
        words = of_the_one(row.incoming.text, view)
        if (pointed := in_labels(words, view)) != words:
            words, view = pointed, replace(view, text=pointed)  # an answer re-reads the note with the plants that were meant
        steered = said.plan or plants_upload.answered(conn, words, view, chat.collection_id, chat.id, said.role)
        steered = steered or scanned(conn, view, chat.collection_id, said.role)
        steered = steered or command(words, within_reach(conn, chat.collection_id, words, view))
        reading = Reading("do") if steered else settled(_read_message(in_words(words), row, conn, view), held.standing)
        reading, refused = permitted_reading(reading, said.role)
        view = self._with_journal(conn, chat.collection_id, reading, view)
        if any(one.type == "fix" for one in reading.entries):
            view = replace(view, recent=counting(_with_whole_notes(conn, held.window)))
        if row.incoming.reply_to and (answered := notes.note_by_message(conn, chat.id, row.incoming.reply_to)):
            view = about_note(reading, answered.id, view)
        shared = None if steered else desk.answered(conn, reading, view, chat.collection_id, said.role, row.id)
        if shared is not None and not shared.events:
            reading = Reading("do")  # a question to the desk is no note of the bench
        earlier = notes.note_by_message(conn, chat.id, row.incoming.message_key) if row.incoming.message_key else None
        view = replace(view, numbers=numbers_of_note(earlier.id, view)) if earlier else view
        made = steered or shared or plan(reading, view)
        made = in_place_of(earlier.id, made, view) if earlier else made
        made = with_ended(conn, made, view, chat.collection_id)
        made = permitted(made, said.role, refused=refused and not steered)
        advised = advise(made.events, view)  # looked up before the note changes how things stand
        note_id = self._keep(conn, chat, row, reading, made, view)
        events = carelog.append(conn, chat.collection_id, [replace(one, note=note_id) for one in made.events])
        after, written = self._project(conn, chat.collection_id, held, events, made.settings or settings, now)
        if made.settings is not None:
            people.save_settings(conn, chat.collection_id, made.settings)
        file_photos(conn, row, view, made, note_id, written)
        followed = _followed(projecting.changed(view.due, after.dues()), after.dues(), made)
        cautioned = cautions_for(made.events, after.standing, view, _dosed(reading), country(settings))
        made = replace(made, said=(*made.said, *_endings_told(written, after)))
        answer = replace(wording.reply(made, view, after.standing, followed, cautioned, advised), files=made.files)
        talk = _talk_after(view, made, note_id, cautioned)
        people.save_talk(conn, chat.id, talk.to_json(), chat.collection_id)
        listed = talk.listed if made.listed is not None else ()
        outbox.put(conn, f"reply:{row.id}", chat.id, answer, "reply", now, note_id=note_id, listed=listed)
        return partial(_trace, written, followed, made.listed or (), after, view), after  # worked out where it is asked for

    def _projection(self, conn: Connection, collection_id: int, settings: CollectionSettings, today: date) -> Projection:
        """Return the projections at the newest event and for today; what this process remembers is used where it is current."""
        held = self.memory.current(conn, collection_id, writing=True)
        if any(one.made_on != today for one in held.due.values()):
            held = projecting.save(
                conn, collection_id, held, held.standing, projecting.setting_for(held, held.standing, settings, today)
            )
        return held

    def _view(self, conn: Connection, chat: Chat, row: InboxRow, settings: CollectionSettings, held: Projection) -> View:
        moment = local(row.incoming.sent_at, settings)
        recent = counting(held.window)
        talk, reply_to = Talk.from_json(chat.talk), row.incoming.reply_to
        if reply_to and (listed := outbox.listed_in(conn, chat.id, reply_to)):
            talk = replace(talk, listed=listed)
        shown = photos.by_message(conn, chat.id, reply_to) if reply_to else []
        shown = shown or photos.newest(conn, chat.id, chat.collection_id, besides=row.id)
        return View(
            now=moment,
            standing=held.standing,
            setting=projecting.setting_for(held, held.standing, settings, moment.date()),
            settings=settings,
            talk=talk,
            due=held.dues(),
            recent=recent,
            open_note=_open_note(conn, chat, recent, settings, row.incoming.sent_at),
            person=chat.person_id,
            text=row.incoming.text,
            photos=tuple(shown),
            new_identity=self._new_identity,
        )

    def _with_journal(self, conn: Connection, collection_id: int, reading: Reading, view: View) -> View:
        asked = next((one for one in reading.entries if one.type == "question" and one.about == "journal"), None)
        if asked is None:
            return view
        first, last = asked.since or view.today, asked.until or asked.since or view.today
        zone = ZoneInfo(view.settings.zone)
        return replace(view, journal=typed_between(conn, collection_id, first, last, zone))

    def _keep(self, conn: Connection, chat: Chat, row: InboxRow, reading: Reading, made: Plan, view: View) -> int:
        if made.closes_question and view.open_note is not None:
            notes.set_question_state(conn, view.open_note.note, "answered")
        question = _asked_about(made, reading, view) if made.ask else {}
        return notes.keep_note(
            conn,
            row.id,
            chat.collection_id,
            chat.person_id,
            chat.id,
            row.incoming.text,
            row.incoming.sent_at,
            reading.to_json(),
            reading.decision,
            made.ask.about if made.ask else None,
            choices=question,
        )

    def _project(
        self,
        conn: Connection,
        collection_id: int,
        held: Projection,
        events: Sequence[CareEvent],
        settings: CollectionSettings,
        now: datetime,
    ) -> tuple[Projection, list[CareEvent]]:
        """Fold the new events, close the cases that they end, compute what is due, and write it all; nothing where all holds."""
        today = local(now, settings).date()
        if not events and held.holds_for(settings, today):
            return held, []
        carried = projecting.carry(conn, collection_id, held, events)
        standing = carried.standing
        setting = projecting.setting_for(held, standing, settings, today)
        ended = projecting.endings(standing, setting, events)
        closing = [
            replace(
                events[-1], identity=self._new_identity(), kind=CASES_CLOSE_BY, what="", facts={"case": key}, refs=(), sequence=0
            )
            for key in ended
        ]
        if closing:
            written = carelog.append(conn, collection_id, closing)
            standing = projecting.carry(conn, collection_id, replace_standing(held, standing), written).standing
            events = [*events, *written]
        after = projecting.save(conn, collection_id, held, standing, setting)
        projecting.remember(held, after, events)
        return after, list(events)


def _endings_told(written: Sequence[CareEvent], after: Projection) -> list[Said]:
    """Return that a case has come to its end: the grower must see it."""
    cases = (after.standing.cases.get(str(one.facts["case"])) for one in written if one.kind == CASES_CLOSE_BY)
    return [Said("closed", None, {"sign": one.sign, "refs": one.refs, "looks": len(one.clean_looks)}) for one in cases if one]


def _dosed(reading: Reading) -> str:
    """Return the product that a question about a dose names."""
    return next((str(one.details.get("product", "")) for one in reading.entries if one.about == "dose"), "")


def _trace(events: Sequence[CareEvent], followed: Sequence[Due], listed: Sequence[str], after: Projection, view: View) -> Trace:
    shown = [
        {
            "kind": one.kind,
            "what": one.what,
            "when": one.happened_on.isoformat(),
            "refs": refs_to_json(one.refs),
            "facts": dict(one.facts),
        }
        for one in events
    ]
    by_key = {one.key: one for one in after.dues()}
    numbered = [
        (number, by_key[key]) for number, line in enumerate(listed, 1) for key in line.split(KEYS_JOINED_BY) if key in by_key
    ]
    rows = [_due_json(one, after, view) | {"number": number} for number, one in numbered]
    return Trace(tuple(shown), tuple(rows or [_due_json(one, after, view) for one in followed]))


def _due_json(due: Due, after: Projection, view: View) -> dict[str, Any]:
    return {
        "kind": due.kind,
        "on": due.on.isoformat(),
        "until": due.until.isoformat() if due.until else None,
        "place": due.place,
        "text": wording.due_line(due, after.standing, view),
        "reason": dict(due.why),
    }


def _is_of_the_database(error: Exception) -> bool:
    """Whether the fault lies in the database, not in the note: then nothing is set aside, and the note waits."""
    return isinstance(error, DatabaseProblem)


def replace_standing(held: Projection, standing: Any) -> Projection:
    """Return the projections with another standing, the rows as the store still holds them."""
    return replace(held, standing=standing, written=False)


def local(moment: datetime, settings: CollectionSettings) -> datetime:
    """Return a moment in the zone of the collection."""
    return moment.astimezone(ZoneInfo(settings.zone))


def read_for(text: str, view: View) -> Reading:
    """Return the reading of a text in the light of the collection's names and the open question.

    What says something of its own is a note of its own, whatever was asked before: an answer is the gap and no more.
    """
    asked = view.open_note
    if asked is None:
        return _read(text, view, None)
    answered = _read(text, view, asked.question)
    if answered.answers and any(one.note > max((asked.note, *asked.notes)) for one in view.recent):
        since = _read(text, view, None)
        if since.decision == "fix":
            return since  # "no, 21" is about what was written last, not about a question from before it
    if not answered.answers or len(text.split()) <= SHORT_ANSWER_WORDS:
        return answered
    alone = _read(text, view, None)
    return alone if any(one.type != "remark" for one in alone.entries) else answered


def _read(text: str, view: View, asked: Question | None) -> Reading:
    return read(
        text,
        view.now.replace(tzinfo=None),
        view.standing.names(),
        date_order=view.settings.date_order,
        units=view.settings.units,
        hemisphere="S" if latitude_for(view.settings) < 0 else "N",
        language=language_of(view.settings, view.person),
        answer_to=asked,
    )


def _read_message(text: str, row: InboxRow, conn: Connection, view: View) -> Reading:
    """Return the reading of a message; a caption that only names plants says which plants the photo shows."""
    reading = read_for(text, view)
    nothing = all(one.type == "remark" for one in reading.entries) and view.open_note is None
    if not nothing or not photos.of_message(conn, row.id):
        return reading
    of_photo = read_for(f"photo of {text}", view)
    named = any(one.act == "photographed" and one.which is not None and not one.which.words for one in of_photo.entries)
    return of_photo if named and of_photo.decision == "log" else reading


def rebuild(database: Database, now: datetime) -> Mapping[int, int]:
    """Make all projections anew from the log; return how many rows each collection has now.

    What is due is computed for the day for which it was computed last, so that the rows come out as they were; for the day
    of `now` where nothing was due.
    """
    made: dict[int, int] = {}
    with database.read() as conn:
        collections = people.all_collections(conn)
    for one in collections:
        with database.write() as conn:
            days = [due.made_on for due in projecting.load(conn, one.id).due.values()]
            day = max(days, default=local(now, one.settings).date())
            projecting.wipe(conn, one.id)
            held = projecting.load(conn, one.id, writing=True)
            log = carelog.last_sequence(conn, one.id)
            setting = setting_of(held.standing, one.settings, day)
            made[one.id] = len(projecting.save(conn, one.id, held, held.standing, setting).rows) if log else 0
    return made


def _with_whole_notes(conn: Connection, window: Sequence[CareEvent]) -> Sequence[CareEvent]:
    """Return the newest events with all that the oldest note among them wrote: nothing is taken back by half."""
    if len(window) < projecting.RECENT_EVENTS or not window[0].note:
        return window
    return (*carelog.by_note(conn, window[0].note), *(one for one in window if one.note != window[0].note))


def _asked_about(made: Plan, reading: Reading, view: View) -> dict[str, Any]:
    """Return what a question must remember: the text it is about, the notes that led to it, the plants already settled."""
    assert made.ask is not None
    earlier = view.open_note if reading.answers else None
    return {
        "text": earlier.text if earlier else view.text,
        "on": earlier.on.isoformat() if earlier else view.today.isoformat(),
        "notes": list(earlier.notes) if earlier else [],
        "refs": refs_to_json(made.ask.facts.get("refs") or made.refs if made.ask.about == "act" else ()),
    }


def _open_note(
    conn: Connection, chat: Chat, recent: Sequence[CareEvent], settings: CollectionSettings, now: datetime
) -> OpenNote | None:
    found = notes.open_question(conn, chat.id, chat.collection_id)
    if found is None or now - found.sent_at > QUESTION_LASTS:
        return None  # nobody answers a question of last week: a new note is a note
    kept: Mapping[str, Any] = found.choices or {}
    ids = (*kept.get("notes", ()), found.note_id)
    mine = tuple(one for one in recent if one.note in ids and one.kind not in CORRECTIONS)
    on = date.fromisoformat(kept["on"]) if "on" in kept else local(found.sent_at, settings).date()
    return OpenNote(found.note_id, kept.get("text", found.text), found.ask, on, mine, ids, refs_from_json(kept.get("refs", ())))


# What follows from an act, told each time.
TOLD_AFTER = {
    "washed": "pot_up",
    "unpotted": "pot_up",
    "root_pruned": "pot_up",
    "set_to_dry": "pot_up",
    "potted": "first_water",
    "repotted": "first_water",
    "watered": "dry_look",
}


def _is_find(event: CareEvent) -> bool:
    return event.kind == "finding" and event.facts.get("status") == "present"


def _told_as(due: Due) -> str:
    return "look" if due.key.startswith("look|") else due.kind


def _followed(changed: Sequence[Due], dues: Sequence[Due], made: Plan) -> list[Due]:
    """Return the changed due things that the note itself brought about, not those that moved with a new day or reading.

    What an act is done for is told also where its day stays as it was: a find when to look again, a wash when to pot.
    """
    asked = {
        (kind, ref.kind, ref.key)
        for one in made.events
        for kind in (TOLD_AFTER.get(one.what, "") if one.kind == "event" else "look" if _is_find(one) else "",)
        for ref in one.refs
    }
    kinds = {kind for kind, _, _ in asked}
    told = [
        one for one in dues if _told_as(one) in kinds and any((_told_as(one), ref.kind, ref.key) in asked for ref in one.refs)
    ]
    changed = [*changed, *(one for one in told if one not in changed)]
    touched = {(ref.kind, ref.key) for one in made.events if one.what != "split" for ref in one.refs}
    if not touched:
        moved = made.settings is not None or any(one.kind in CORRECTIONS for one in made.events)
        return list(changed) if moved else []  # whatever a fix or a setting moved; a reading moves many things a little
    touched |= {("batch", one.identity) for one in made.events}
    died = any(one.what in ("died", "discarded") for one in made.events)
    return [
        one for one in changed if any((ref.kind, ref.key) in touched for ref in one.refs) or (died and one.about == "neighbours")
    ]


def _talk_after(view: View, made: Plan, note_id: int, cautioned: Sequence[str]) -> Talk:
    talk = view.talk
    spoken = bool(made.refs) and (
        made.opened or any(one.kind in ("event", "finding", "hold", "skip", "measure", "amended") for one in made.events)
    )
    kept = talk if talk.open_at(view.now) else replace(talk, refs=(), place="", spoken=(), before=())
    place = made.place or next((one.key for one in made.refs if one.kind == "place"), "") if spoken else ""
    kept = kept.spoke_of(made.refs, place, view.now) if spoken else kept
    return replace(
        kept,
        note=note_id if made.events else kept.note,
        listed=made.listed if made.listed is not None else kept.listed,
        shown=made.shown if made.shown is not None else kept.shown,
        cautioned=dict(kept.cautioned) | {one: view.today.isoformat() for one in cautioned},
    )


__all__ = ["Incoming", "Intake", "Trace", "local", "read_for", "rebuild"]
