"""The whole core over Telegram: edits, answers to earlier messages and buttons are about the note that they belong to."""

from __future__ import annotations

import pytest

from bot.app.service import Service
from bot.store.database import Database

from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, make_owner, running

pytestmark = pytest.mark.asyncio


async def test_an_edited_note_takes_the_place_of_what_it_said_before(
    server: LoopbackServer, database: Database, ida: Person
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        typed = await ida.says("watered tray 3")
        await ida.hears(1)
        await ida.says("mites on 12")
        await ida.hears(2)
        await ida.edits(typed["message_id"], "watered tray 4")
        answer = (await ida.hears(3))[2]
        assert "Taken back: Watered tray 3" in answer
        assert "Watered tray 4." in answer
        await ida.says("when did i last water tray 3")
        assert "no watering" in (await ida.hears(4))[3].lower()


@pytest.mark.parametrize("reply_to_own", [True, False], ids=["to the note", "to its answer"])
async def test_an_undo_in_answer_to_a_note_takes_that_one_back(
    server: LoopbackServer, database: Database, ida: Person, reply_to_own: bool
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        typed = await ida.says("watered tray 3")
        await ida.hears(1)
        answered = ida.last_answer()["message_id"]
        await ida.says("watered tray 4")
        await ida.hears(2)
        await ida.says("undo", reply_to=typed["message_id"] if reply_to_own else answered)
        assert "Taken back: Watered tray 3" in (await ida.hears(3))[2]


async def test_an_old_undo_button_takes_back_its_own_note(server: LoopbackServer, database: Database, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.says("watered tray 3")
        await ida.hears(1)
        old = ida.last_answer()["message_id"]
        await ida.says("watered tray 4")
        await ida.hears(2)
        await ida.presses(old, "undo")
        assert "Taken back: Watered tray 3" in (await ida.hears(3))[2]
        await ida.says("undo", reply_to=old)
        assert "nothing to take back" in (await ida.hears(4))[3]
        await ida.says("undo")
        assert "Taken back: Watered tray 4" in (await ida.hears(5))[4]
