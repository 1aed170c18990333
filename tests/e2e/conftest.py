"""The server that the tests of this folder share, and the people who write to the bot."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
import pytest_asyncio

from bot.store.database import Database, open_database

from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import OWNER, TOKEN, Clock


@pytest.fixture(autouse=True)
def _durations_as_timedelta(monkeypatch: pytest.MonkeyPatch) -> None:
    """The client library warns unless this is chosen; the bot chooses it too."""
    monkeypatch.setenv("PTB_TIMEDELTA", "1")


@pytest.fixture
def clock() -> Clock:
    """The server's clock."""
    return Clock()


@pytest.fixture
def api(clock: Clock) -> BotApi:
    """The server without sockets."""
    return BotApi(clock)


@pytest.fixture
def account(api: BotApi) -> Account:
    """The bot's account."""
    return api.add_bot(TOKEN, "bench_bot")


@pytest_asyncio.fixture
async def server(api: BotApi) -> AsyncIterator[LoopbackServer]:
    """The server, listening; afterwards no request may have been faulty."""
    async with LoopbackServer(api) as listening:
        yield listening
    assert api.faults == []


@pytest.fixture
def ida(api: BotApi, account: Account) -> Person:
    """A grower in her private chat with the bot."""
    return Person(api, account, OWNER)


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    """A new database in a file."""
    opened = open_database(tmp_path / "potside.db")
    yield opened
    opened.close()
