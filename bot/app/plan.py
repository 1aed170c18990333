"""What planning is given and what it gives: the view of the collection, and the plan of one note."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from bot.app.which import Resolved, Talk, names_something, resolve
from bot.care.due_values import Due, Setting
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing
from bot.messages import Attached, Button
from bot.notes.reading import Entry, Question, Selection
from bot.store.people import CollectionSettings
from bot.store.photos import Photo

MIN_C, MAX_C = -40.0, 60.0  # a thermometer outside of this is asked about


@dataclass(frozen=True, slots=True)
class OpenNote:
    """The note that the open question of this chat is about.

    `notes` are the note and the answers given so far, `events` what they wrote, `refs` the plants that an earlier answer has
    settled.
    """

    note: int
    text: str
    ask: str
    on: date
    events: tuple[CareEvent, ...] = ()
    notes: tuple[int, ...] = ()
    refs: tuple[Ref, ...] = ()

    @property
    def question(self) -> Question:
        """What the reader needs to see whether a text answers it."""
        return Question(self.text, self.ask)


@dataclass(frozen=True, slots=True)
class View:
    """Everything that planning may look at: one read of the store, and the moment.

    `now` is the chat's local time, `standing` the collection as it stands, `due` what is due at present, `recent` the events
    of the last notes as they count now (newest last) with the note that each belongs to.
    """

    now: datetime
    standing: Standing
    setting: Setting
    settings: CollectionSettings
    talk: Talk = field(default_factory=Talk)
    due: tuple[Due, ...] = ()
    recent: tuple[CareEvent, ...] = ()
    open_note: OpenNote | None = None
    person: int = 0
    text: str = ""
    journal: tuple[tuple[date, str], ...] = ()
    numbers: tuple[str, ...] = ()  # accession numbers of the wording that an edited message takes the place of: it keeps them
    photos: tuple[Photo, ...] = ()  # those that the message is about: of the one it answers, else those that came last
    new_identity: Callable[[], str] = str

    @property
    def today(self) -> date:
        """The local day."""
        return self.now.date()


@dataclass(frozen=True, slots=True)
class Said:
    """One thing to be said in the answer: its kind, the event where there is one, and facts for the wording."""

    kind: str
    event: CareEvent | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to answer the open question: what it means, as a key the wording can say ("genus:lobivia")."""

    key: str
    refs: tuple[Ref, ...] = ()


@dataclass(frozen=True, slots=True)
class Ask:
    """The one short question: what it is about, the choices, and what it needs to be put in words."""

    about: str
    choices: tuple[Choice, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Plan:
    """What one note comes to: events to append, things to say, one question, and what is spoken of from now on."""

    events: tuple[CareEvent, ...] = ()
    said: tuple[Said, ...] = ()
    ask: Ask | None = None
    settings: CollectionSettings | None = None
    refs: tuple[Ref, ...] = ()
    place: str = ""
    listed: tuple[str, ...] | None = None
    shown: int | None = None
    undone: bool = False
    closes_question: bool = False
    refiled: tuple[Ref, ...] = ()  # the plants that the photos spoken of show instead
    files: tuple[Attached, ...] = ()  # what goes with the answer
    opened: bool = False  # a plant's card was opened at the bench: what is written next is about it

    @property
    def writes(self) -> bool:
        """Whether it would change anything that is kept of the collection."""
        return bool(self.events) or self.settings is not None or bool(self.refiled)


class Draft:
    """The plan in the making, entry by entry: the only mutable thing in planning, and it never leaves it."""

    def __init__(self, view: View, decision: str, ask: str | None) -> None:
        """Begin with nothing said; `decision` and `ask` are the reading's."""
        self.view, self.decision = view, decision
        self.asked = ask
        self.events: list[CareEvent] = []
        self.said: list[Said] = []
        self.ask: Ask | None = None
        self.current: tuple[Ref, ...] = ()
        self.place = ""
        self.settings: CollectionSettings | None = None
        self.listed: tuple[str, ...] | None = None
        self.shown: int | None = None
        self.undone = self.closes_question = False
        self.seen = 0  # how many of the events a question has taken into account
        self.settled_act = False
        self.answering = ""  # what the open question asked that this note answers
        self.settled: tuple[Ref, ...] = ()
        self.refiled: tuple[Ref, ...] = ()
        self.files: list[Attached] = []
        self.opened = False
        self.default_on: date | None = None
        self.numbers: tuple[str, ...] = view.numbers  # accession numbers of the note that this one answers: it keeps them

    def event(self, kind: str, what: str, refs: Iterable[Ref], on: date, facts: Mapping[str, Any] | None = None) -> CareEvent:
        """Append an event to the plan and return it."""
        view = self.view
        new = CareEvent(
            identity=view.new_identity(),
            note=0,
            happened_on=on,
            recorded_at=view.now,
            kind=kind,
            what=what,
            refs=view.standing.meant(refs),
            facts=dict(facts or {}),
            person=view.person,
        )
        self.events.append(new)
        return new

    def say(self, kind: str, event: CareEvent | None = None, **facts: Any) -> None:
        """Add something to be said."""
        self.said.append(Said(kind, event, facts))

    def tell(self, *lines: str, buttons: tuple[tuple[Button, ...], ...] = ()) -> None:
        """Add lines that are in words already."""
        self.say("lines", lines=lines, buttons=buttons)

    def question(self, about: str, choices: Iterable[Choice] = (), **facts: Any) -> None:
        """Put the one question; the first one put stands."""
        if self.ask is None:
            self.ask = Ask(about, tuple(choices), facts)

    def day_of(self, entry: Entry) -> date:
        """Return the day an entry speaks of: as said, else the note's own."""
        return entry.when or self.default_on or self.view.today

    def which(self, selection: Selection | None) -> Resolved:
        """Return what a selection means, with what this note and the talk spoke of before."""
        if self.settled and not self.current and not (selection and names_something(selection)):
            return Resolved(self.settled)
        if selection is not None and selection.refer == "rest" and not names_something(selection) and (left := self._left_out()):
            return Resolved(left)
        return resolve(selection, self.view.standing, self.view.talk, self.view.now, self.current)

    def _left_out(self) -> tuple[Ref, ...]:
        """Return what the last entry left out: "the rest" after "watered bench 1 except 13 and 14"."""
        view = self.view
        last = (self.events or view.recent)[-1:]
        if not last or not (self.events or view.talk.open_at(view.now)):
            return ()
        parts = [Selection.from_json(one) for one in last[0].facts.get("except", ())]
        found = [resolve(one, view.standing, view.talk, view.now) for one in parts if names_something(one)]
        return tuple(dict.fromkeys(ref for one in found if not one.open for ref in one.refs))

    def speak_of(self, found: Resolved | tuple[Ref, ...]) -> None:
        """Remember the set that the note spoke of last."""
        if isinstance(found, Resolved):
            self.current, self.place = found.refs or self.current, found.place or self.place
        else:
            self.current = found

    def done(self) -> Plan:
        """Return the finished plan."""
        return Plan(
            events=tuple(self.events),
            said=tuple(self.said),
            ask=self.ask,
            settings=self.settings,
            refs=self.current,
            place=self.place,
            listed=self.listed,
            shown=self.shown,
            undone=self.undone,
            closes_question=self.closes_question,
            refiled=self.refiled,
            files=tuple(self.files),
            opened=self.opened,
        )


def unsure(entry: Entry) -> dict[str, Any]:
    """Return the marks of doubt of an entry as facts."""
    return ({"sure": False} if not entry.sure else {}) | ({"approx": True} if entry.approx else {})
