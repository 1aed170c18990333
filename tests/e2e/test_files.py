"""Files in the chat: made when they are sent, sent once, in their order, and not kept."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from bot.app.service import Service
from bot.chat.telegram_account import Tempo
from bot.store.database import Database

from .loopback.core import BotApi
from .loopback.failures import internal_error
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, Clock, make_owner, running, unhindered

pytestmark = pytest.mark.asyncio


async def test_the_list_as_files(server: LoopbackServer, database: Database, api: BotApi, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("send me my list as pdf")
        await ida.says("send the list as csv")
        await ida.hears(5)
        sent = [one for one in api.files.values() if one.name]
    assert [one.name for one in sent] == ["plants-to-swap.pdf", "plants-to-swap.csv"]
    (page,) = PdfReader(io.BytesIO(sent[0].content)).pages
    assert "Rebutia" in page.extract_text()
    assert "bench 2" not in page.extract_text()
    assert sent[1].content.decode().splitlines()[1].startswith("Rebutia,3,")
    with database.read() as conn:
        assert conn.exec_driver_sql("SELECT count(*) FROM outbox WHERE files IS NOT NULL AND files != 'null'").scalar() == 0


async def test_a_file_is_sent_again_where_telegram_faltered_and_the_words_are_not(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    api.fail_next("sendDocument", internal_error())
    async with running(server, database, Service(database, DEFAULTS), Tempo(clock.now, unhindered, poll_s=10)) as run:
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("send me my list as pdf")
        await run.as_time_passes(clock, api, lambda: any(one.name for one in api.files.values()))
        heard = ida.read()
    assert len([one for one in heard if "may be shown" in one]) == 1
    assert [one.name for one in api.files.values() if one.name] == ["plants-to-swap.pdf"]
