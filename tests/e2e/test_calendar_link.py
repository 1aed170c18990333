"""The calendar link, under polling with a listener of its own: told once, fetched, and gone the moment it is taken back."""

from __future__ import annotations

import re
import socket

import httpx
import pytest
import vobject

from bot.app.calendar_talk import MOST_IN_A_WHILE
from bot.app.service import Service
from bot.chat.telegram import TelegramProblem
from bot.chat.telegram_account import Account
from bot.store.database import Database

from .loopback.core import BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, TOKEN, make_owner, running

pytestmark = pytest.mark.asyncio


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


async def test_a_calendar_follows_and_ends(server: LoopbackServer, database: Database, ida: Person) -> None:
    make_owner(database)
    port = free_port()
    base = f"http://127.0.0.1:{port}/"
    account = Account(TOKEN, f"http://127.0.0.1:{server.port}", page_url=base, page_port=port)
    async with (
        running(server, database, Service(database, DEFAULTS), account=account),
        httpx.AsyncClient(trust_env=False) as reader,
    ):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("calendar link")
        link = re.search(r"http://\S+\.ics", (await ida.hears(2))[1])
        assert link
        assert (await reader.get(link[0])).headers["content-type"].startswith("text/calendar")
        tag = (await reader.get(link[0])).headers["etag"]
        for known in (tag, f'"other", {tag}', tag.removeprefix("W/"), "*"):  # RFC 9110 (2022), 13.1.2: the weak comparison
            same = await reader.get(link[0], headers={"If-None-Match": known})
            assert (same.status_code, same.content, same.headers["etag"]) == (304, b"", tag)
        await ida.says("soaked 12-14")
        await ida.hears(3)
        assert (await reader.get(link[0], headers={"If-None-Match": tag})).status_code == 200
        seen = vobject.readOne((await reader.get(link[0])).text)
        assert any("Drying-off" in one.summary.value for one in seen.vevent_list)
        secret = link[0].rpartition("/")[2].removesuffix(".ics")
        assert (await reader.get(f"{base}list/{secret}")).status_code == 404  # a calendar's secret opens no list
        codes = [(await reader.get(link[0])).status_code for _ in range(MOST_IN_A_WHILE)]
        assert codes[0] == 200
        assert codes[-1] == 429  # RFC 6585 (2012), 4: too many requests
        await ida.says("stop the calendar link")
        await ida.hears(4)
        gone = await reader.get(link[0], headers={"If-None-Match": "*"})
        assert (gone.status_code, "VEVENT" in gone.text) == (410, False)
        assert (await reader.get(f"{base}calendar/{'A' * 32}.ics")).status_code == 404
        assert (await reader.post(base, content=b"{}")).status_code >= 400  # no update is taken here
    with database.read() as conn:
        rows = conn.exec_driver_sql("SELECT text FROM outbox").all()
        assert not [row for row in rows if secret in row[0]]


async def test_the_calendar_as_a_file(server: LoopbackServer, database: Database, api: BotApi, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("12-14 are rebutias on bench 2. soaked them")
        await ida.says("send me a calendar")
        await ida.says("calendar link")
        heard = await ida.hears(4)
        (file,) = [one for one in api.files.values() if one.name]
    assert file.name == "potside.ics"
    assert vobject.readOne(file.content.decode()).vevent_list
    assert any("no public address" in one for one in heard)


@pytest.mark.parametrize("host", ["127.0.0.1", "203.0.113.7"])
async def test_a_port_that_is_not_to_be_had_is_told_in_words(
    server: LoopbackServer, database: Database, ida: Person, host: str
) -> None:
    """203.0.113.0/24 is for documentation (RFC 5737, 2010): no machine has it."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = int(taken.getsockname()[1])
        account = Account(
            TOKEN, f"http://127.0.0.1:{server.port}", page_url="https://plants.example/", page_host=host, page_port=port
        )
        with pytest.raises(TelegramProblem, match=f"Nothing can listen on {host}, port {port}: .*Set another address or port"):
            async with running(server, database, Service(database, DEFAULTS), account=account) as run:
                await run.task
