"""A photo sent over Telegram on a list that shows photos: small, without its place, and gone with the list or its plant."""

from __future__ import annotations

import base64
import re
from pathlib import Path

import pytest

from bot.app.service import Service
from bot.app.sharing_talk import PREFIX
from bot.chat.list_page import ListPage
from bot.store.database import Database
from tests.sharing.test_photos import SECRETS, photo

from .loopback.core import BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, Clock, make_owner, running
from .test_pictures import _fetched, _photo
from .test_shared_list import payload

IMAGE = re.compile(rb"data:image/jpeg;base64,([A-Za-z0-9+/=]+)")


@pytest.mark.asyncio
async def test_a_photo_on_the_page_and_in_the_file(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, clock: Clock, tmp_path: Path
) -> None:
    make_owner(database)
    folder = tmp_path / "photos"
    pages = ListPage(database, clock.now, folder)
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.says("12 is a rebutia")
        await ida.says("13 is a lobivia")
        await ida.hears(2)
        for number, label in ((1, "12"), (2, "13")):
            await ida.sends(_photo(api, photo(tmp_path, "phone.jpg"), caption=f"photo of {label}"))
            await ida.hears(2 + number)
            await _fetched(api, database, number)
        await ida.says("share my list with photos till sunday")
        said = (await ida.hears(5))[4]
        assert "2 photos, the newest of each name" in said
        target = f"/list/{payload(said).removeprefix(PREFIX)}".encode()
        assert len(IMAGE.findall(pages.shown(target).body)) == 2
        await ida.says("mites on 13")
        await ida.hears(6)
        (left,) = IMAGE.findall(pages.shown(target).body)
        assert not [one for one in SECRETS if one in base64.b64decode(left)]
        assert dict(pages.shown(target).headers)["Content-Security-Policy"].count("img-src data:;") == 1
        await ida.says("send my list as html")
        await ida.hears(8)
        (sent,) = [one for one in api.files.values() if one.name.endswith(".html")]
        assert IMAGE.findall(sent.content) == [left]
        await ida.says("no photos on my list")
        assert (await ida.hears(9))[8].startswith("List 1, till")
        assert b"<img" not in pages.shown(target).body
        await ida.says("stop sharing")
        await ida.hears(10)
        assert b"<img" not in pages.shown(target).body
        assert b"no longer shared" in pages.shown(target).body
