"""A parcel between two growers, each with a bot of their own on a server of its own; the messages are sent on by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.app.service import Service
from bot.store.database import Database, open_database

from .loopback.core import BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, OWNER, TOKEN, Clock, make_owner, running

pytestmark = pytest.mark.asyncio


async def test_a_slip_goes_over_and_its_receipt_comes_back(
    server: LoopbackServer, database: Database, ida: Person, clock: Clock, tmp_path: Path
) -> None:
    make_owner(database)
    elsewhere, other = BotApi(clock), open_database(tmp_path / "other.db")
    make_owner(other)
    bo = Person(elsewhere, elsewhere.add_bot(TOKEN, "other_bot"), OWNER, "Bo")
    async with (
        LoopbackServer(elsewhere) as second,
        running(server, database, Service(database, DEFAULTS)),
        running(second, other, Service(other, DEFAULTS)),
    ):
        await ida.says("12-14 are rebutias on bench 2")
        await ida.says("gave 12 and 13 to Bo")
        await ida.says("slip for Bo from Ida")
        await bo.says((await ida.hears(3))[2])  # a message sent on is its text
        offered = (await bo.hears(1))[0]
        assert "A parcel from Ida" in offered
        await bo.presses(bo.last_answer()["message_id"], "yes")
        taken = (await bo.hears(2))[1]
        assert taken.startswith("In: 2 rebutias from Ida")
        await ida.says(taken)  # the whole answer, with the receipt in it
        assert (await ida.hears(4))[3].startswith("Bo has all 2")
        await bo.says("whats in quarantine")
        assert "ida lot" in (await bo.hears(3))[2]
    assert elsewhere.faults == []
    other.close()
