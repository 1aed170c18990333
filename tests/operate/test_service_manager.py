"""What the service manager hears, over a real socket; and log lines that hold no words of a note."""

from __future__ import annotations

import asyncio
import io
import json
import logging
import os
import signal
import socket
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.chat.log_lines import Lines
from bot.chat.service_manager import Watched, notify
from tests.cli.process import ROOT, environment

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
NOTE = "soaked the secret four"


@pytest.mark.parametrize("abstract", [False, True])
def test_a_state_arrives_as_a_datagram(tmp_path: Path, abstract: bool) -> None:
    name = f"@potside-test-{os.getpid()}" if abstract else str(tmp_path / "notify")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as heard:
        heard.bind(f"\0{name[1:]}" if abstract else name)
        assert notify("READY=1", {"NOTIFY_SOCKET": name})
        assert heard.recv(100) == b"READY=1"


@pytest.mark.parametrize("place", ["", "relative", "/nowhere/at/all"])
def test_without_a_manager_nothing_is_sent(place: str) -> None:
    assert not notify("READY=1", {"NOTIFY_SOCKET": place})


class Asked:
    """A core that counts."""

    def __init__(self) -> None:
        self.times = 0

    def work(self, now: datetime) -> int:
        """Count."""
        self.times += now == NOW
        return 0

    def round(self, now: datetime) -> datetime | None:
        """Nothing is due."""
        return now if self.times < 0 else None


def test_the_manager_hears_of_work_and_of_waiting_until_then() -> None:
    heard: list[str] = []
    seconds = iter([0.0, 0.0, 4.0, 6.0, 6.0, 12.0, 12.0, 20.0])
    core = Asked()
    watched = Watched(core, heard.append, lambda: next(seconds))
    watched.waiting()  # no network yet
    watched.waiting()  # too soon to say it again
    watched.work(NOW)
    watched.work(NOW)
    assert core.times == 2
    assert heard == ["WATCHDOG=1"] * 3
    watched.waiting()  # from the first work on only work counts: a loop that hangs must fall silent
    assert len(heard) == 3


def test_run_says_that_it_is_ready_alive_and_ending(tmp_path: Path) -> None:
    async def play() -> list[bytes]:
        loop = asyncio.get_running_loop()
        heard: list[bytes] = []
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
            manager.bind(str(tmp_path / "notify"))
            manager.setblocking(False)
            env = environment(
                NOTIFY_SOCKET=str(tmp_path / "notify"),
                POTSIDE_TOKEN="110201543:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw",
                POTSIDE_BASE_URL="http://127.0.0.1:9",  # the discard port: nobody answers
                POTSIDE_DATABASE=str(tmp_path / "potside.db"),
            )
            process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "bot", "run", cwd=ROOT, env=env, stderr=asyncio.subprocess.PIPE
            )
            async with asyncio.timeout(30):
                heard += [await loop.sock_recv(manager, 100), await loop.sock_recv(manager, 100)]
                assert process.stderr
                await process.stderr.readline()  # the loop runs: it says that nobody answers
                process.send_signal(signal.SIGTERM)
                heard.append(await loop.sock_recv(manager, 100))
                await process.communicate()
            assert process.returncode == 0
        return heard

    assert asyncio.run(play()) == [b"READY=1", b"WATCHDOG=1", b"STOPPING=1"]


@pytest.mark.parametrize("as_json", [False, True])
def test_an_error_is_logged_by_its_place_without_what_was_written(as_json: bool) -> None:
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(Lines(as_json=as_json))
    logger = logging.Logger("bot.test")
    logger.addHandler(handler)
    try:
        int(NOTE)
    except ValueError:
        logger.exception("Message %d broke its way out", 7)
    line = written.getvalue()
    assert line.count("\n") == 1
    assert "secret" not in line
    assert "ValueError < test_service_manager.py:" in line
    if as_json:
        assert json.loads(line).keys() == {"time", "level", "logger", "message", "at"}
        assert json.loads(line)["message"] == "Message 7 broke its way out"
    else:
        assert line.startswith("ERROR bot.test: Message 7 broke its way out [")


def test_a_line_stays_one_line() -> None:
    record = logging.makeLogRecord({"msg": "one\ntwo", "levelname": "INFO", "name": "bot"})
    assert Lines(as_json=False).format(record) == "INFO bot: one two"
    assert json.loads(Lines(as_json=True).format(record))["message"] == "one\ntwo"
