"""A bench for the tests of the use cases: a real database, the intake, and notes given as readings or as typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import sqlalchemy as sa

from bot.app import intake as intake_module
from bot.app import projecting
from bot.app.intake import Intake
from bot.app.plan import View
from bot.app.rounds import run_rounds
from bot.care.due_values import Due
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing, Thing
from bot.messages import Button, Incoming
from bot.notes.reading import Reading
from bot.store import carelog, people
from bot.store.database import Database
from bot.store.people import CollectionSettings
from bot.store.tables import inbox, outbox

WARM = ((15.0, 25.0),) * 12  # a house at a mean of 20 °C all year, so that the days of the trade's rules come out by hand
COOL = ((4.0, 12.0),) * 12  # at a mean of 8 °C, below the 15 °C from which growth counts as warm


@dataclass(frozen=True)
class Answer:
    """What one note brought: the answer as it went out, and what was written to the log."""

    inbox_id: int
    text: str
    buttons: tuple[Button, ...]
    events: tuple[CareEvent, ...]

    @property
    def written(self) -> list[str]:
        """The act or sign of each event, else its kind."""
        return [one.what or one.kind for one in self.events]


@dataclass
class Bench:
    """One chat about one collection. The clock stands still until `at` moves it; `note` takes readings, `type` words."""

    database: Database
    settings: CollectionSettings = field(default_factory=lambda: CollectionSettings(zone="Europe/London", latitude=51.5))
    address: str = "local"
    now: datetime = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
    planted: dict[str, Reading] = field(default_factory=dict)
    notes: int = 0

    def __post_init__(self) -> None:
        self.intake = Intake(self.database, self.settings)

    def at(self, moment: str) -> Bench:
        """Move the clock to a local time."""
        zone = ZoneInfo(self.settings.zone)
        self.now = datetime.fromisoformat(moment).replace(tzinfo=zone).astimezone(UTC)
        return self

    def later(self, **span: float) -> Bench:
        """Move the clock on."""
        self.now += timedelta(**span)
        return self

    def note(
        self, *entries: Mapping[str, Any], decision: str = "log", ask: str | None = None, answers: bool = False, text: str = ""
    ) -> Answer:
        """Hand in a note that reads as these entries, and return what came of it."""
        reading = Reading.from_json({"decision": decision, "ask": ask, "entries": list(entries)})
        words = text or f"note {self.notes} of {self.address}"
        self.planted[words] = replace(reading, answers=answers)
        return self.type(words)

    def reads(self, text: str, *entries: Mapping[str, Any], decision: str = "log") -> str:
        """Let a text read as these entries, and return it."""
        self.planted[text] = Reading.from_json({"decision": decision, "ask": None, "entries": list(entries)})
        return text

    def type(self, text: str) -> Answer:
        """Hand in a note as typed."""
        inbox_id = self.receive(text)
        before = self.last_sequence()
        self.intake.work(self.now)
        return self._answer(inbox_id, before)

    def receive(self, text: str) -> int:
        """Commit a message to the inbox and return its id."""
        self.notes += 1
        key = f"{self.address}:{self.notes}"
        incoming = Incoming("terminal", self.address, "terminal", key, text, self.now, sender=self.address, message_key=key)
        inbox_id = self.intake.receive(incoming, self.now)
        assert inbox_id is not None
        return inbox_id

    def rounds(self) -> list[str]:
        """Run the rounds and return the texts of what they put out to this chat."""
        before = self._last_message()
        run_rounds(self.database, self.now, self.intake.memory)
        return [row.text for row in self._messages(before)]

    def messages(self, kind: str) -> list[str]:
        """Return the texts of all that was ever put out to this chat of a kind: reply, digest, reminder."""
        return [row.text for row in self._messages(0) if row.kind == kind]

    def view_settings(self) -> CollectionSettings:
        """Return the settings as the database holds them."""
        with self.database.read() as conn:
            return people.settings_of(conn, self.collection_id)

    @property
    def collection_id(self) -> int:
        """The collection that the chat is about."""
        with self.database.read() as conn:
            chat = people.find_chat(conn, "terminal", self.address)
        assert chat is not None
        return chat.collection_id

    @property
    def log(self) -> list[CareEvent]:
        """The whole care log."""
        with self.database.read() as conn:
            return carelog.load(conn, self.collection_id)

    @property
    def standing(self) -> Standing:
        """How everything stands, as the store holds it."""
        with self.database.read() as conn:
            return projecting.load(conn, self.collection_id).standing

    @property
    def dues(self) -> tuple[Due, ...]:
        """What is due, as the store holds it."""
        with self.database.read() as conn:
            return projecting.load(conn, self.collection_id).dues()

    def thing(self, kind: str, key: str) -> Thing:
        """Return one thing as it stands."""
        return self.standing.things[(kind, key)]

    def due(self, kind: str) -> Due:
        """Return the one due thing of a kind."""
        (found,) = [one for one in self.dues if one.kind == kind]
        return found

    def kinds(self) -> set[str]:
        """Return the kinds of what is due."""
        return {one.kind for one in self.dues}

    def inbox_states(self) -> list[str]:
        """Return what became of each message, in order of arrival."""
        with self.database.read() as conn:
            return list(
                conn.execute(sa.select(inbox.c.state).where(inbox.c.address == self.address).order_by(inbox.c.id)).scalars()
            )

    def replies(self) -> dict[str, str]:
        """Return all messages ever put out to any chat, by their key."""
        with self.database.read() as conn:
            rows = conn.execute(sa.select(outbox.c.dedup_key, outbox.c.text).order_by(outbox.c.id))
            return {row.dedup_key: row.text for row in rows}

    def last_sequence(self) -> int:
        """Return the number of the newest event, 0 where nobody has spoken yet."""
        with self.database.read() as conn:
            chat = people.find_chat(conn, "terminal", self.address)
            return carelog.last_sequence(conn, chat.collection_id) if chat else 0

    def _answer(self, inbox_id: int, before: int) -> Answer:
        with self.database.read() as conn:
            chat = people.find_chat(conn, "terminal", self.address)
            row = conn.execute(sa.select(outbox).where(outbox.c.dedup_key == f"reply:{inbox_id}")).one()
            events = carelog.load(conn, chat.collection_id, after=before) if chat else []
        buttons = tuple(Button(label, words) for line in row.buttons for label, words in line)
        return Answer(inbox_id, row.text, buttons, tuple(events))

    def _last_message(self) -> int:
        with self.database.read() as conn:
            return int(conn.execute(sa.select(sa.func.coalesce(sa.func.max(outbox.c.id), 0))).scalar_one())

    def _messages(self, after: int) -> Iterator[sa.Row[Any]]:
        with self.database.read() as conn:
            chat = people.find_chat(conn, "terminal", self.address)
            if chat is not None:
                yield from conn.execute(
                    sa.select(outbox).where(outbox.c.id > after, outbox.c.chat_id == chat.id).order_by(outbox.c.id)
                ).all()


_REAL = intake_module.read_for


def planted_reader(bench: Bench) -> Any:
    """Return a reader that gives the planted readings, and reads everything else for itself."""

    def read(text: str, view: View) -> Reading:
        return bench.planted[text] if text in bench.planted else _REAL(text, view)

    return read


# --- entries, as the reading contract writes them ---------------------------------------------------------------------


def act(what: str, which: Mapping[str, Any] | None = None, when: str | None = None, **details: Any) -> dict[str, Any]:
    """Return an event entry."""
    entry: dict[str, Any] = {"type": "event", "act": what}
    return entry | _said(which=which, when=when, details=details)


def acquired(which: Mapping[str, Any], source: str = "", when: str | None = None, **details: Any) -> dict[str, Any]:
    """Return the entry of new stock."""
    entry = act("acquired", which, when)
    return entry | {"details": details | _said(**{"from": source})}


def seen(sign: str, which: Mapping[str, Any] | None = None, status: str = "present", when: str | None = None) -> dict[str, Any]:
    """Return a finding entry."""
    return {"type": "finding", "sign": sign, "status": status} | _said(which=which, when=when)


def question(about: str, **said: Any) -> dict[str, Any]:
    """Return a question entry."""
    return {"type": "question", "about": about} | said


def fixed(what: str, to: Any = None, **said: Any) -> dict[str, Any]:
    """Return a fix entry."""
    return {"type": "fix", "what": what} | ({} if to is None else {"to": to}) | said


def asked(do: str, *numbers: int, **said: Any) -> dict[str, Any]:
    """Return a request entry."""
    return {"type": "request", "do": do, "numbers": list(numbers)} | said


def labels(*given: str) -> dict[str, Any]:
    """Return a selection of plants by number."""
    return {"labels": list(given)}


def plant(label: str) -> Ref:
    """Return the plant of that number."""
    return Ref("plant", label)


def day(text: str) -> date:
    """Return a date."""
    return date.fromisoformat(text)


def _said(**parts: Any) -> dict[str, Any]:
    return {key: value for key, value in parts.items() if value}
