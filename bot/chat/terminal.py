"""The chat in a terminal: a line is a message, a line that starts with `@` moves a pretended clock.

Three ways in: typed by a person (prompt, real clock, messages that come by themselves), read from a pipe, and read from a
pipe with one JSON line out for each line in.
"""

from __future__ import annotations

import json
import re
import signal
import threading
import uuid
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, TextIO
from zoneinfo import ZoneInfo

from bot.app.intake import Intake, Trace
from bot.app.rounds import next_wake, run_rounds
from bot.chat.clock import LONGEST_STEP, Clock, ClockProblem, moment_of
from bot.messages import Attached, Incoming, Outgoing
from bot.reminders.alarm import Alarm
from bot.reminders.dispatch import Outlet, OutletProblem, dispatch
from bot.sharing.files import content
from bot.store import inbox, outbox, people
from bot.store.database import Database, DatabaseProblem
from bot.store.outbox import OutboxRow

TRANSPORT, ADDRESS = "terminal", "local"
PROMPT = "> "
NOW, LAST_NOTE = "now", "last"  # what may stand for a moment where the clock starts
HINT = "A line is a note. @ +1 goes on to tomorrow, Ctrl-D ends."

_UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")  # control and direction characters


class Gathered:
    """An outlet that keeps the messages until they are taken."""

    def __init__(self) -> None:
        """Begin with none."""
        self._messages: list[Outgoing] = []

    def send(self, row: OutboxRow) -> str:
        """Keep the message; return its key."""
        self._messages.append(row.outgoing)
        return f"{TRANSPORT}:{row.id}"

    def take(self) -> list[Outgoing]:
        """Return the messages kept since the last time, in order."""
        taken, self._messages = self._messages, []
        return taken


class Page:
    """An outlet that writes each message as text, with its buttons in brackets on a line of their own.

    While the clock is pretended, a line with the moment stands above the messages of that moment. `closed` becomes true
    when nobody reads any more.
    """

    def __init__(self, out: TextIO, clock: Clock, folder: Path = Path("files")) -> None:
        """Write to `out`, and the files that go with messages into `folder`."""
        self.closed = False
        self._folder = folder
        self._out = out
        self._clock = clock
        self._moment = ""
        self.prompting = False  # whether a prompt stands at the start of the line, to be written anew below a message

    def send(self, row: OutboxRow) -> str:
        """Write the message; return its key. Raises OutletProblem when nobody reads any more."""
        self.head()
        self.put(
            f"\r{shown(row.outgoing)}\n{PROMPT}" if self.prompting else shown(row.outgoing), end="" if self.prompting else "\n"
        )
        if self.closed:
            raise OutletProblem(None, final=False, reason="nobody reads any more")
        for file in row.outgoing.files:
            if file.recipe["kind"] == "photo":
                continue  # it is kept in the folder of photos, and a terminal shows none
            self.put(f"file: {self._saved(file)}")
        return f"{TRANSPORT}:{row.id}"

    def _saved(self, file: Attached) -> Path:
        """Make a file and write it; one of the same name is replaced."""
        path = self._folder / Path(file.name).name
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content(file))
        except OSError as error:
            raise OutletProblem(None, final=True, reason=f"{path} cannot be written: {error.strerror}") from None
        return path

    def head(self) -> None:
        """Write the moment when it is pretended and not the one that was written last."""
        moment = self._clock.local().strftime("%a %d %b %Y %H:%M")
        if self._clock.pretended and moment != self._moment:
            self.put(f"\n{moment}" if self._moment else moment)
            self._moment = moment

    def put(self, text: str, end: str = "\n") -> None:
        """Write text as it stands."""
        try:
            self._out.write(text + end)
            self._out.flush()
        except BrokenPipeError:
            self.closed = True


class Conversation:
    """One person's local chat with the bot: notes go in, messages go to the outlet, on the given clock."""

    def __init__(self, database: Database, intake: Intake, clock: Clock, outlet: Outlet) -> None:
        """Join the parts; nothing is read or written yet."""
        self.clock = clock
        self._database = database
        self._intake = intake
        self._outlet = outlet
        self._noted = False
        self.writing = False  # whether something is being written just now, so that an interrupt breaks it off

    def resume(self, at: str | None = None) -> None:
        """Start the clock `at` a moment, or where the newest note is with "last"; None and "now" leave it as it is.

        Then answer what an earlier run left unanswered, and send what it left unsent. Raises ClockProblem.
        """
        self._keep_zone()
        if at == LAST_NOTE:
            with self._database.read() as connection:
                self.clock.pretended = inbox.last_sent_at(connection, TRANSPORT, ADDRESS)
        elif at not in (None, NOW):
            self.clock.put(moment_of(at, self.clock.local()))
        with self._busy():
            with self._database.write() as connection:
                outbox.release(connection, TRANSPORT)
            self._intake.work(self.clock.now())
            self._send()

    def say(self, text: str) -> int | None:
        """Put one note in, committed before it is read, and send the answer; return the note's inbox key."""
        now, key = self.clock.now(), uuid.uuid4().hex
        self._noted = True
        incoming = Incoming(TRANSPORT, ADDRESS, TRANSPORT, key, text, now, sender=ADDRESS, message_key=key)
        with self._busy():
            inbox_id = self._intake.receive(incoming, now)
            self._intake.work(now)
            self._send()
        self._keep_zone()
        return inbox_id

    def go_to(self, words: str) -> None:
        """Put the clock where `words` say, sending on the way what falls due, each message at its moment.

        Before the first note of the conversation the clock may go anywhere; after it, only on. Raises ClockProblem.
        """
        target = moment_of(words, self.clock.local())
        step = target - self.clock.now()
        if self._noted and step < timedelta(0):
            raise ClockProblem(f"The clock cannot go back; it is {self.clock.local():%Y-%m-%dT%H:%M}.")
        if self._noted and step > LONGEST_STEP:
            raise ClockProblem(f"The clock goes on by at most {LONGEST_STEP.days} days at once.")
        if step > LONGEST_STEP:
            self.clock.put(target)
            return
        for wake in self._wakes(target):
            self.clock.put(wake)
            self.round()
        self.clock.put(target)

    def round(self) -> datetime | None:
        """Send what is due by now; return the next moment at which something may be."""
        with self._busy():
            run_rounds(self._database, self.clock.now(), self._intake.memory)
            self._send()
        return self.next_wake()

    def next_wake(self) -> datetime | None:
        """Return the next moment at which something may fall due."""
        return next_wake(self._database, self.clock.now())

    def trace(self, inbox_id: int | None) -> Trace | None:
        """Return what the note wrote, None where it was not taken in."""
        return None if inbox_id is None else self._intake.trace_of(inbox_id)

    def _keep_zone(self) -> None:
        """Let the clock show the time of the collection spoken of, once there is one."""
        with self._database.read() as connection:
            chat = people.find_chat(connection, TRANSPORT, ADDRESS)
            if chat is not None:
                self.clock.zone = ZoneInfo(people.settings_of(connection, chat.collection_id).zone)

    @contextmanager
    def _busy(self) -> Iterator[None]:
        self.writing = True
        yield
        self.writing = False  # not after an exception: whoever catches it wants to know

    def _wakes(self, target: datetime) -> Iterator[datetime]:
        wake = next_wake(self._database, self.clock.now())
        while wake is not None and wake <= target:
            yield wake
            wake = next_wake(self._database, wake)

    def _send(self) -> None:
        dispatch(self._database, self._outlet, self.clock.now(), transport=TRANSPORT)


def converse(conversation: Conversation, lines: Iterable[str], page: Page, *, echo: bool) -> None:
    """Take each line as a note or a move of the clock and write what comes back; with `echo` the notes are written too."""
    for line in lines:
        if line.startswith("@"):
            _moved(conversation, line, page.put)
            page.head()
        else:
            if echo:
                page.head()
                page.put(PROMPT + printable(line))
            conversation.say(line)
        if page.closed:
            return


def converse_json(conversation: Conversation, lines: Iterable[str], gathered: Gathered, put: Callable[[str], None]) -> None:
    """Take each line as a note or a move of the clock and put one JSON line for it.

    Its keys: `in` (the line), `at` (the local moment after it), `out` (texts), `buttons` (labels), `events` and `due` (what
    the line wrote, see `Trace`). What an earlier run left unsent comes out with the first line.
    """
    for line in lines:
        said: list[str] = []
        inbox_id = None
        if line.startswith("@"):
            _moved(conversation, line, said.append)
        else:
            inbox_id = conversation.say(line)
        put(json.dumps(_as_json(conversation, line, said, gathered.take(), inbox_id), ensure_ascii=False))


def converse_live(conversation: Conversation, page: Page) -> None:
    """Talk with a person at a terminal until the end of input or an interrupt; what falls due meanwhile comes by itself."""
    lock = threading.Lock()

    def ring() -> datetime | None:
        with lock, suppress(DatabaseProblem):  # the next heartbeat tries again; a note typed meanwhile tells the problem
            if not conversation.clock.pretended:
                return conversation.round()
        return None

    page.head()
    page.put(HINT)
    with Alarm(ring) as alarm:
        for line in _typed(page):
            with lock:
                if line.startswith("@"):
                    _moved(conversation, line, page.put)
                    page.head()
                elif line.strip():
                    conversation.say(line)
                following = None if conversation.clock.pretended else conversation.next_wake()
            alarm.expect(following)
            if page.closed:
                return


def _typed(page: Page) -> Iterator[str]:
    """Yield what is typed, line by line, until the end of input or an interrupt at the prompt."""
    with suppress(ImportError):
        import readline  # noqa: F401, PLC0415  gives the prompt its arrow keys and long lines, where there is one
    while True:
        page.prompting = True
        try:
            line = input(PROMPT)
        except (EOFError, KeyboardInterrupt):
            signal.signal(signal.SIGINT, signal.SIG_IGN)  # pressed twice it must not break the ending
            page.put("")
            return
        finally:
            page.prompting = False
        yield line


def lines_of(raw: Iterable[bytes]) -> Iterator[str]:
    """Yield each line without its end, with U+FFFD for bytes that are not UTF-8."""
    for line in raw:
        yield line.decode("utf-8", errors="replace").rstrip("\r\n")


def shown(message: Outgoing) -> str:
    """Return a message as text: its words, and its buttons in brackets."""
    rows = [" ".join(f"[{button.label}]" for button in row) for row in message.buttons]
    return printable("\n".join([message.text, *rows]))


def printable(text: str) -> str:
    """Return text that cannot steer a terminal: control and direction characters become U+FFFD."""
    return _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", text)


def _moved(conversation: Conversation, line: str, tell: Callable[[str], None]) -> None:
    try:
        conversation.go_to(line.removeprefix("@"))
    except ClockProblem as problem:
        tell(printable(str(problem)))


def _as_json(
    conversation: Conversation, line: str, said: list[str], messages: list[Outgoing], inbox_id: int | None
) -> dict[str, Any]:
    traced = conversation.trace(inbox_id)
    return {
        "in": line,
        "at": conversation.clock.local().strftime("%Y-%m-%dT%H:%M"),
        "out": [*said, *(one.text for one in messages)],
        "buttons": [button.label for one in messages for row in one.buttons for button in row],
        "events": list(traced.events) if traced else [],
        "due": list(traced.due) if traced else [],
    } | ({"files": names} if (names := [file.name for one in messages for file in one.files]) else {})
