"""The terminal chat as a process of its own, on a real database: every way in, every way to end."""

from __future__ import annotations

import json
import os
import pty
import select
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from bot.messages import Incoming
from bot.store import inbox
from bot.store.database import open_database
from bot.store.problems import CODES
from tests.cli.process import PATIENCE_S, ROOT, Result, environment, run

AT = "2026-04-15T10:40"
COMMAND = [sys.executable, "-m", "bot", "chat", "--zone", "Europe/London", "--latitude", "51"]
KEYS = {"in", "at", "out", "buttons", "events", "due"}


@pytest.fixture
def db(tmp_path: Path) -> Path:
    return tmp_path / "chat.db"


def chat(db: Path, given: bytes | str, *more: str) -> Result:
    return run(*COMMAND[3:], "--db", str(db), *more, given=given)


def chat_json(db: Path, *lines: str, at: str = AT) -> list[dict[str, Any]]:
    done = chat(db, "".join(f"{line}\n" for line in lines), "--json", "--at", at)
    assert (done.code, done.err) == (0, ""), done
    return [json.loads(line) for line in done.out.splitlines()]


def test_one_json_line_for_each_line_in(db: Path) -> None:
    first, moved, last = chat_json(db, "watered tray 3", "@ 2026-04-16T08:00", "whats due")
    assert set(first) == set(moved) == set(last) == KEYS
    assert [one["in"] for one in (first, moved, last)] == ["watered tray 3", "@ 2026-04-16T08:00", "whats due"]
    assert [one["at"] for one in (first, moved, last)] == [AT, "2026-04-16T08:00", "2026-04-16T08:00"]
    assert len(first["out"]) == len(last["out"]) == 1
    [event] = first["events"]
    assert set(event) == {"kind", "what", "when", "refs", "facts"}
    assert (event["kind"], event["what"], event["when"]) == ("event", "watered", "2026-04-15")
    assert moved["events"] == last["events"] == []
    assert all(isinstance(label, str) for one in (first, moved, last) for label in one["buttons"])


def test_what_was_noted_is_there_in_the_next_process(db: Path) -> None:
    chat_json(db, "watered tray 3")
    [answer] = chat_json(db, "when did i last water tray 3", at="2026-04-18T10:00")
    assert "15 apr" in answer["out"][0].lower()


def test_text_from_a_pipe(db: Path) -> None:
    done = chat(db, "watered tray 3\nwhats due\n", "--at", AT)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("Wed 15 Apr 2026 10:40\n")
    assert len(done.out.splitlines()) >= 3


def test_echo_shows_notes_above_answers(db: Path) -> None:
    done = chat(db, "@ 2026-04-15T10:40\nwatered tray 3\n@ 2026-04-15T11:00\nwhats due", "--echo", "--at", "2026-04-15")
    lines = done.out.splitlines()
    notes = [lines.index(f"> {note}") for note in ("watered tray 3", "whats due")]
    moments = [lines.index(f"Wed 15 Apr 2026 {moment}") for moment in ("10:40", "11:00")]
    assert moments[0] < notes[0] < moments[1] < notes[1] < len(lines) - 1


def test_an_open_end_of_line_and_windows_line_ends(db: Path) -> None:
    done = chat(db, "watered tray 3\r\nwatered tray 4", "--json", "--at", AT)
    assert [json.loads(line)["in"] for line in done.out.splitlines()] == ["watered tray 3", "watered tray 4"]


def test_nothing_given(db: Path) -> None:
    done = chat(db, "")
    assert (done.code, done.out, done.err) == (0, "", "")


@pytest.mark.parametrize("words", ["soon", "2026-02-31", "", "2026-04-15T10:39", "2199-01-01", "-1"])
def test_a_clock_that_cannot_move_says_why_and_stays(words: str, db: Path) -> None:
    _, moved, after = chat_json(db, "watered tray 3", f"@ {words}", "watered tray 4")
    assert len(moved["out"]) == 1
    assert len(moved["out"][0]) < 150
    assert (moved["at"], after["at"], moved["events"], moved["due"]) == (AT, AT, [], [])
    assert len(after["out"]) == 1


def test_before_the_first_note_the_clock_may_go_back(db: Path) -> None:
    moved, noted = chat_json(db, "@ 2026-03-01T09:00", "watered tray 3")
    assert moved["out"] == []
    assert noted["events"][0]["when"] == "2026-03-01"


def test_the_collection_keeps_its_zone(db: Path) -> None:
    done = run("chat", "--db", str(db), "--zone", "Asia/Tokyo", "--at", AT, "--json", given="watered tray 3\n")
    assert done.code == 0
    again = run("chat", "--db", str(db), "--at", "2026-04-15T10:45", given="@ 2026-04-16T00:30\nwhats due\n")
    assert "Thu 16 Apr 2026 00:30" in again.out
    with closing(sqlite3.connect(db)) as connection:
        [(sent_at,)] = connection.execute("SELECT sent_at FROM inbox ORDER BY id DESC LIMIT 1").fetchall()
    assert datetime.fromtimestamp(sent_at / 1_000_000, UTC) == datetime(2026, 4, 15, 15, 30, tzinfo=UTC)


def test_a_talk_can_go_on_where_it_was_left(db: Path) -> None:
    chat_json(db, "watered tray 3", "@ 2026-04-18T19:05", "watered tray 4")
    [answer] = chat_json(db, "watered tray 5", at="last")
    assert answer["at"] == "2026-04-18T19:05"


def test_the_morning_message_comes_once_and_at_its_time(db: Path) -> None:
    chat_json(db, "watered tray 3")
    [moved] = chat_json(db, "@ 2026-06-15T12:00")
    texts = moved["out"]
    assert texts
    assert len(set(texts)) == len(texts)
    [again] = chat_json(db, "@ 2026-06-15T12:00", at="2026-06-15T08:00")
    assert again["out"] == []
    done = chat(db, "@ +30\n", "--at", "2026-06-15T12:00")
    heads = [line for line in done.out.splitlines() if line.endswith(" 2026 07:30")]
    assert len(heads) == len(set(heads))


AWKWARD = [
    "",
    "   ",
    "x" * 5000,
    "watered " + "tray 3 " * 700,
    "\U0001f335\U0001f335",
    "полил кактусы",
    "今天浇水了",
    "watered\x00 tray\x1b[2J 3\x07",
    "'; DROP TABLE notes; --",
    "<script>alert(1)</script>",
    "/nosuchcommand",
    "potted 12 on 31 feb",
    "potted 12 into 0 cm",
    "min 9 max 4",
    "-3 last night",
    "\\",
    "{}",
]


def test_awkward_notes_get_one_short_answer_each(db: Path) -> None:
    answers = chat_json(db, *AWKWARD)
    assert [one["in"] for one in answers] == AWKWARD
    for one in answers:
        assert len(one["out"]) == 1, one
        assert 0 < len(one["out"][0]) <= 600, one


def test_bytes_that_are_no_text(db: Path) -> None:
    done = chat(db, b"watered \xff\xfe tray\n\xc3\n", "--json", "--at", AT)
    assert (done.code, done.err) == (0, "")
    assert [json.loads(line)["in"] for line in done.out.splitlines()] == ["watered \ufffd\ufffd tray", "\ufffd"]


def test_no_answer_steers_the_terminal(db: Path) -> None:
    done = chat(db, "".join(f"{one}\n" for one in AWKWARD), "--echo", "--at", AT)
    assert done.code == 0
    assert not {char for char in done.out if ord(char) < 32 or 127 <= ord(char) < 160} - {"\n"}


def test_a_note_left_unanswered_by_a_crash_is_answered_at_the_next_start(db: Path) -> None:
    sent_at = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
    database = open_database(db)
    with database.write() as connection:
        left = Incoming("terminal", "local", "terminal", "k1", "watered tray 3", sent_at, sender="local", message_key="k1")
        assert inbox.take(connection, left, sent_at) is not None
    database.close()
    done = chat(db, "", "--at", "2026-04-15T11:00")
    assert done.code == 0
    assert "tray 3" in done.out.lower()


def test_rebuild(db: Path) -> None:
    chat_json(db, "watered tray 3")
    done = run("rebuild", "--db", str(db))
    assert (done.code, done.err) == (0, "")
    assert done.out.strip()
    assert run("rebuild", "--db", str(db.with_name("none.db"))).code == CODES["missing"]
    assert not db.with_name("none.db").exists()


def broken_newer(db: Path) -> None:
    chat(db, "")
    with closing(sqlite3.connect(db)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")


def broken_foreign(db: Path) -> None:
    with closing(sqlite3.connect(db)) as connection, connection:
        connection.execute("CREATE TABLE recipes (id INTEGER)")


def broken_text(db: Path) -> None:
    db.write_text("this is a letter, not a database\n" * 100, encoding="utf-8")


def broken_torn(db: Path) -> None:
    chat(db, "watered tray 3\n")
    content = db.read_bytes()
    db.write_bytes(content[:100] + bytes(4096 - 100) + content[4096:])


@pytest.mark.parametrize("breaks", [broken_newer, broken_foreign, broken_text, broken_torn], ids=lambda one: one.__name__[7:])
@pytest.mark.parametrize("command", ["chat", "rebuild"])
def test_a_database_that_cannot_be_used_stays_as_it_is(breaks: Callable[[Path], None], command: str, db: Path) -> None:
    breaks(db)
    before = db.read_bytes()
    done = run(command, "--db", str(db), given="watered tray 3\n")
    kinds = {"broken_newer": "newer", "broken_foreign": "foreign"}
    assert done.code == CODES[kinds.get(breaks.__name__, "damaged")], done
    assert done.out == ""
    [line] = done.err.splitlines()
    assert str(db) in line
    assert db.read_bytes() == before


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    done = chat(tmp_path / "none" / "x.db", "watered tray 3\n")
    assert done.code == CODES["no_folder"]
    assert len(done.err.splitlines()) == 1


AS_ANYBODY = """
import ctypes, os, sys
if os.getuid() == 0:  # root may write anything; without CAP_DAC_OVERRIDE (1) it heeds the permissions, from the next program on
    assert ctypes.CDLL(None).prctl(24, 1, 0, 0, 0) == 0  # PR_CAPBSET_DROP
os.execv(sys.executable, [sys.executable, "-m", "bot", *sys.argv[1:]])
"""


@pytest.mark.skipif(sys.platform != "linux" and os.getuid() == 0, reason="root may write everywhere here")
def test_a_database_that_can_only_be_read(db: Path) -> None:
    chat(db, "watered tray 3\n")
    before = db.read_bytes()
    db.chmod(0o444)
    db.parent.chmod(0o555)
    command = [sys.executable, "-c", AS_ANYBODY, "chat", "--db", str(db)]
    try:
        done = subprocess.run(
            command, input=b"watered tray 4\n", capture_output=True, env=environment(), cwd=ROOT, timeout=PATIENCE_S, check=False
        )
    finally:
        db.parent.chmod(0o755)
    assert done.returncode == CODES["read_only"], done
    assert str(db) in done.stderr.decode()
    assert db.read_bytes() == before


WITH_LITTLE_ROOM = """
import os, resource, sys
room = int(sys.argv.pop(1))
resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))  # no file may grow beyond it, as on a disk that is full
os.execv(sys.executable, [sys.executable, "-m", "bot", *sys.argv[1:]])
"""


def test_a_disk_that_fills_up_loses_no_note_that_was_answered(db: Path) -> None:
    chat_json(db, "watered tray 3")
    notes = "".join(f"{number}: something to remember, written out at some length\n" for number in range(400))
    room = str(db.stat().st_size + 16_384)
    command = [sys.executable, "-c", WITH_LITTLE_ROOM, room, "chat", "--db", str(db), "--json"]
    done = subprocess.run(
        command, input=notes.encode(), capture_output=True, env=environment(), cwd=ROOT, timeout=PATIENCE_S, check=False
    )
    assert done.returncode == CODES["full"], done
    assert len(done.stderr.splitlines()) == 1
    assert str(db) in done.stderr.decode()
    answered = [json.loads(line)["in"] for line in done.stdout.decode().splitlines()]
    assert 0 < len(answered) < 400
    with closing(sqlite3.connect(db)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        kept = [text for (text,) in connection.execute("SELECT text FROM inbox ORDER BY id")]
    assert kept[: len(answered) + 1] == ["watered tray 3", *answered]
    assert len(chat_json(db, "watered tray 4", at="last")) == 1


def test_a_reader_that_goes_away_ends_it_cleanly(db: Path, tmp_path: Path) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("watered tray 3\n" * 50, encoding="utf-8")
    for more in (["--json"], []):
        with (
            notes.open("rb") as given,
            subprocess.Popen(
                [*COMMAND, "--db", str(db), *more],
                stdin=given,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                env=environment(),
                cwd=ROOT,
            ) as process,
        ):
            assert process.stdout is not None
            assert process.stderr is not None
            process.stdout.close()
            assert process.stderr.read() == b""
            assert process.wait(PATIENCE_S) == 0


def test_an_interrupt_while_waiting_ends_it_cleanly(db: Path) -> None:
    with subprocess.Popen(
        [*COMMAND, "--db", str(db), "--json"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
        cwd=ROOT,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdin.write(b"watered tray 3\n")
        process.stdin.flush()
        assert json.loads(process.stdout.readline())["in"] == "watered tray 3"
        process.send_signal(signal.SIGINT)
        assert process.wait(PATIENCE_S) == 0
        assert process.stderr.read() == b""


class Typist:
    """Somebody at a real terminal: types keys, and reads what the screen shows."""

    def __init__(self, db: Path, *more: str) -> None:
        """Open the chat."""
        self._master, slave = pty.openpty()
        command = [*COMMAND, "--db", str(db), *more]
        self._process = subprocess.Popen(
            command, stdin=slave, stdout=slave, stderr=slave, env=environment(TERM="dumb"), cwd=ROOT, start_new_session=True
        )
        os.close(slave)
        self.screen = ""

    def sees(self, words: str) -> bool:
        """Read until the screen shows the words, or the chat has ended or says nothing; what was read is taken off the screen."""
        while words not in self.screen:
            if not select.select([self._master], [], [], PATIENCE_S)[0]:
                return False
            try:
                read = os.read(self._master, 4096)
            except OSError:
                return False
            self.screen += read.decode("utf-8", errors="replace")
        self.screen = self.screen.split(words, 1)[1]
        return True

    def types(self, keys: str) -> None:
        """Press keys."""
        os.write(self._master, keys.encode())

    def interrupts(self) -> None:
        """Send what Ctrl-C sends, again if it came in the instant before the prompt began to listen."""
        for _ in range(30):
            self._process.send_signal(signal.SIGINT)
            with suppress(subprocess.TimeoutExpired):
                self._process.wait(2)
                return

    def ended(self) -> int:
        """Wait for the end; return the exit code."""
        while self.sees("\n"):
            pass
        code = self._process.wait(PATIENCE_S)
        os.close(self._master)
        return code

    def stop(self) -> None:
        """End the process if it still runs."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()
            os.close(self._master)


@pytest.fixture
def typist(db: Path) -> Iterator[Typist]:
    one = Typist(db)
    yield one
    one.stop()


@pytest.mark.parametrize("end", ["\x04", "interrupt"])
def test_a_person_types(typist: Typist, end: str) -> None:
    assert typist.sees("> ")
    typist.types("watered tray 3\n")
    assert typist.sees("ray 3")  # the line as it was typed
    assert typist.sees("ray 3")  # the answer
    assert typist.sees("> ")
    typist.types("@ never\n")
    assert typist.sees("is not a moment")
    assert typist.sees("> ")
    if end == "interrupt":
        typist.interrupts()
    else:
        typist.types(end)
    assert typist.ended() == 0
    assert "Traceback" not in typist.screen
