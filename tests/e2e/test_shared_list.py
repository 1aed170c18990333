"""A shared list over Telegram and as a page: opened by a stranger, seen by its owner, and gone the moment it is taken back."""

from __future__ import annotations

import re
from collections.abc import Sequence

import httpx
import pytest

from bot.app.opened_lists import MOST_IN_A_WHILE
from bot.app.service import Service
from bot.app.sharing_talk import PREFIX
from bot.chat.list_page import ListPage
from bot.chat.telegram_account import Tempo
from bot.chat.telegram_intake import RawUpdate
from bot.chat.telegram_webhook import Shown, Webhook
from bot.store.database import Database

from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, OWNER, Clock, make_owner, running, unhindered

pytestmark = pytest.mark.asyncio

LINK = re.compile(r"https://t\.me/\w+\?start=(list_[\w-]{32})")


def payload(text: str) -> str:
    found = LINK.search(text)
    assert found, text
    return found[1]


async def test_a_stranger_opens_the_list_and_the_owner_sees_it(
    server: LoopbackServer, database: Database, api: BotApi, account: Account, ida: Person
) -> None:
    make_owner(database)
    stranger = Person(api, account, OWNER + 1, "Bo")
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("mites on 14")
        await ida.says("share my list with Bo till 1 june 2030")
        secret = payload((await ida.hears(3))[2])
        await stranger.says(f"/start {secret}")
        (seen,) = await stranger.hears(1)
        assert seen.splitlines()[1:] == ["Rebutia: 2"]
        assert "bench 2" not in seen
        await ida.says("who opened my list")
        assert "opened once" in (await ida.hears(4))[3]
        await ida.says("stop sharing with Bo")
        await ida.hears(5)
        await stranger.says(f"/start {secret}")
        assert (await stranger.hears(2))[1] == "This list is no longer shared."
        await stranger.says("whats on bench 2")
        await stranger.says(f"/start {PREFIX}{'A' * 32}")
        assert (await stranger.hears(3))[2].startswith("This bot is private")


async def test_the_secret_is_kept_nowhere_once_it_was_told(server: LoopbackServer, database: Database, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("share my list")
        secret = payload((await ida.hears(2))[1]).removeprefix(PREFIX)
        await ida.says("whats due")
        await ida.hears(3)
    with database.read() as conn:
        for table in ("shares", "notes", "inbox", "care_log", "marks", "outbox"):
            rows = conn.exec_driver_sql(f"SELECT * FROM {table}").all()
            assert not [row for row in rows if secret in repr(tuple(row))], table
        assert conn.exec_driver_sql("SELECT text FROM outbox WHERE text LIKE '%start=list_...%'").all()


async def test_a_helper_makes_no_list(
    server: LoopbackServer, database: Database, api: BotApi, account: Account, ida: Person
) -> None:
    make_owner(database)
    helper = Person(api, account, OWNER + 2, "Kit")
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.hears(1)
        await ida.says("/invite helper")
        code = (await ida.hears(2))[1].rpartition("=")[2].split()[0]
        await helper.says(f"/start {code}")
        await helper.hears(1)
        for number, words in enumerate(("share my list", "stop sharing", "who opened my list", "extend list 1 till june"), 2):
            await helper.says(words)
            assert "t.me" not in (await helper.hears(number))[number - 1]
            assert "owner" in (await helper.hears(number))[number - 1].lower()


async def keep(raws: Sequence[RawUpdate]) -> Sequence[RawUpdate]:
    return raws


async def test_the_page_of_a_list(server: LoopbackServer, database: Database, ida: Person, clock: Clock) -> None:
    make_owner(database)
    tempo = Tempo(clock.now, unhindered, poll_s=10)
    async with running(server, database, Service(database, DEFAULTS), tempo):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("20 is a lobivia")
        await ida.says("share my list till sunday")
        secret = payload((await ida.hears(3))[2]).removeprefix(PREFIX)
        site = ListPage(database, clock.now)

        async def pages(target: bytes) -> Shown:
            return site.shown(target)

        async with (
            Webhook("/hook", "s" * 64, keep, pages).listening("127.0.0.1", 0) as port,
            httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}", trust_env=False) as browser,
        ):
            answer = await browser.get(f"/list/{secret}")
            assert answer.status_code == 200
            assert "Rebutia" in answer.text
            assert "bench 2" not in answer.text
            assert answer.headers["cache-control"] == "no-store"
            assert answer.headers["content-security-policy"].startswith("default-src 'none'")
            found = await browser.get(f"/list/{secret}", params={"q": "lob", "sort": "count"})
            assert "Lobivia" in found.text
            assert "Rebutia" not in found.text
            for path in (
                "/list/",
                f"/list/{'A' * 32}",
                f"/list/{secret}/..",
                "/list/" + "A" * 400,
                "/",
                f"/list/{secret}%00",
            ):
                other = await browser.get(path)
                assert other.status_code == 404
                assert "Rebutia" not in other.text
            assert (await browser.get("/hook")).status_code == 404
            assert (await browser.get(f"/list/{secret}?" + "&".join(["q=a"] * 50))).status_code == 200
            for _ in range(MOST_IN_A_WHILE):
                answer = await browser.get(f"/list/{secret}")
            assert answer.status_code == 429
            clock.advance(8 * 86_400)
            gone = await browser.get(f"/list/{secret}")
            assert gone.status_code == 410
            assert "no longer shared" in gone.text
            assert "<table" not in gone.text
