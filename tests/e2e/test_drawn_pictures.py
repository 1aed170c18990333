"""Pictures that are drawn: Telegram gets a photo shown in the chat, and a document where another kind of file is asked for."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from bot.app.service import Service
from bot.store.database import Database

from .loopback.core import BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, make_owner, running

pytestmark = pytest.mark.asyncio


async def test_a_picture_is_sent_as_a_photo(server: LoopbackServer, database: Database, api: BotApi, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("mites on 12")
        await ida.says("picture of the degree-days for 12")
        await ida.says("picture of the degree-days for 12 as pdf")
        await ida.says("plot the mites on 12 as svg")
        heard = await ida.hears(8)
    assert "12 (Rebutia): 0 of 52 degree-days" in "\n".join(heard)
    sent = [one for one in api.calls if one.method in ("sendPhoto", "sendDocument")]
    assert [one.method for one in sent] == ["sendPhoto", "sendDocument", "sendDocument"]
    photo, pdf, svg = [one for one in api.files.values() if one.content]
    shown = Image.open(io.BytesIO(photo.content))
    assert (shown.format, shown.size) == ("PNG", (1080, 1350))
    assert pdf.content.startswith(b"%PDF-")
    assert svg.content.startswith(b"<?xml")
