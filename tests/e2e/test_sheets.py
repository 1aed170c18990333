"""A spreadsheet of plants sent over Telegram: fetched, its columns settled by buttons, taken as one note, taken back as one."""

from __future__ import annotations

from contextlib import suppress

import pytest

from bot.app import projecting
from bot.app.service import Service
from bot.care.standing import Standing
from bot.chat.telegram_account import Tempo
from bot.store import people
from bot.store.database import Database

from .loopback import failures
from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, OWNER, Clock, make_owner, running, unhindered

pytestmark = pytest.mark.asyncio

LIST = b"Nr;Was;Platz\n301;Rebutia heliosa;oak shelf\n302;Lobivia;oak shelf\n"
CLEAR = b"Label,Name,Place\n" + b"".join(f"{one},Rebutia,oak shelf\n".encode() for one in range(400, 620))


def sheet(api: BotApi, content: bytes, name: str = "list.csv", **more: object) -> dict[str, object]:
    file = api.add_file(name, content)
    document = {"file_id": file, "file_unique_id": f"u{file}", "file_name": name, "file_size": len(content)}
    return {"document": document} | more


def standing(database: Database) -> Standing:
    with database.read() as conn:
        (one,) = people.all_collections(conn)
        return projecting.load(conn, one.id).standing


def plants(database: Database) -> int:
    return sum(1 for one in standing(database).plants() if one.kind == "plant")


async def test_a_list_is_spoken_about_and_taken(server: LoopbackServer, database: Database, api: BotApi, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.sends(sheet(api, LIST))
        heard = await ida.hears(2)
        assert heard[0] == "Got list.csv. I look at it."
        assert heard[1].splitlines()[1] == "Column B “Was” looks like the name (“Rebutia heliosa”). Right?"
        await ida.presses(ida.last_answer()["message_id"], "yes")
        assert (await ida.hears(3))[2].splitlines()[1:] == ["Would come: 2 new. New places: oak shelf.", "Take it?"]
        assert plants(database) == 0
        await ida.presses(ida.last_answer()["message_id"], "take it")
        assert (await ida.hears(4))[3] == "Taken: 2 new. New places: oak shelf."
        assert standing(database).things[("plant", "301")].taxon == "Rebutia heliosa"
        await ida.says("where is 302")
        assert (await ida.hears(5))[4] == "302 (Lobivia): oak shelf."
        await ida.sends(sheet(api, LIST, caption="label=Nr, name=B"))
        assert (await ida.hears(7))[6].splitlines()[1:] == ["Would come: 0 new, 2 there already.", "Nothing to take."]


async def test_a_long_list_is_taken_back_whole(server: LoopbackServer, database: Database, api: BotApi, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.sends(sheet(api, CLEAR))
        await ida.hears(2)
        await ida.presses(ida.last_answer()["message_id"], "take it")
        await ida.hears(3)
        assert plants(database) == 220
        await ida.says("undo")
        assert (await ida.hears(4))[3] == "Taken back: the import of 220 plants."
        assert plants(database) == 0


async def test_rows_that_are_wrong_are_told_with_a_choice(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.sends(sheet(api, LIST + b"302;Aloe;\n", caption="name=Was"))
        told = (await ida.hears(2))[1].splitlines()
        assert told[1:] == [
            "Would come: 2 new, 1 not clear. New places: oak shelf.",
            "row 4: label 302 stands in row 3 already. Give one of them another.",
            "Nothing is written yet. Put these rows right and send it again, or take the rest?",
        ]
        await ida.says("import 1: take")  # without leave to drop the rows it is only asked again
        assert (await ida.hears(3))[2].splitlines() == told
        await ida.says("import 1: colour=B")
        assert "names no column" in (await ida.hears(4))[3]
        await ida.says("import 1: take the rest")
        assert (await ida.hears(5))[4].startswith("Taken: 2 new, 1 not clear.")
        await ida.says("import 1: take")
        assert (await ida.hears(6))[5] == "That list is taken, left or replaced by a newer one. Send the file again."


async def test_what_is_no_list_or_too_large_is_told(server: LoopbackServer, database: Database, api: BotApi, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.sends(sheet(api, b"PK\x03\x04 broken", "plants.xlsx"))
        assert (await ida.hears(2))[1] == "The workbook cannot be read. Save it anew as .xlsx or CSV."
        large = sheet(api, b"x", "huge.csv")
        document = large["document"]
        assert isinstance(document, dict)
        await ida.sends({"document": document | {"file_size": 6_000_000}})
        assert (await ida.hears(3))[2] == "huge.csv is too large: at most 5 MB. Send it in parts."
        await ida.sends(sheet(api, LIST, caption="name=Was"))
        await ida.hears(5)
        await ida.presses(ida.last_answer()["message_id"], "leave it")
        assert (await ida.hears(6))[5] == "Left. Nothing of it is written."
    assert plants(database) == 0


async def test_only_an_owner_brings_in_plants(
    server: LoopbackServer, database: Database, api: BotApi, account: Account, ida: Person
) -> None:
    make_owner(database)
    with database.write() as conn:
        chat = people.find_chat(conn, "telegram", str(OWNER))
        assert chat is not None
        people.join(conn, "telegram", "777", "777", chat.collection_id, "helper")
    helper = Person(api, account, 777, "Gus")
    async with running(server, database, Service(database, DEFAULTS)):
        await helper.sends(sheet(api, LIST))
        assert await helper.hears(1) == ["Only an owner of the collection can bring in a list of plants."]
        await ida.sends(sheet(api, LIST, caption="name=Was"))
        await ida.hears(2)
        await helper.says("import 1: take")
        await helper.hears(2)
    assert plants(database) == 0


async def test_a_file_that_is_not_to_be_had_is_tried_again(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    api.fail_next("getFile", failures.bad_gateway())
    tempo = Tempo(now=clock.now, pacing=unhindered, poll_s=10)
    async with running(server, database, Service(database, DEFAULTS), tempo) as run:
        await ida.sends(sheet(api, LIST, caption="name=Was"))
        await ida.hears(1)
        for _ in range(6):
            clock.advance(120)
            run.edge._sheets.wake()
            with suppress(TimeoutError):
                await api.until(lambda: len(ida.read()) > 1, 0.3)
        assert "Would come: 2 new." in (await ida.hears(2))[1]
    assert [call.status for call in api.calls if call.method == "getFile"] == [502, 200]
