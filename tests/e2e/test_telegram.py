"""The Telegram edge against the loopback server: what is said, heard, pressed and refused."""

from __future__ import annotations

import asyncio
import logging
from datetime import UTC, datetime, timedelta

import pytest

from bot.app.invitations import Invitation, invite
from bot.chat.telegram import TelegramProblem
from bot.chat.telegram_account import Account as BotAccount
from bot.chat.telegram_account import Tempo
from bot.messages import Outgoing
from bot.store import inbox, outbox, people
from bot.store.database import Database

from .loopback import failures
from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import BUTTONS, OWNER, TOKEN, Clock, Echo, make_owner, running, unhindered

pytestmark = pytest.mark.asyncio


def _counts(database: Database) -> tuple[dict[str, int], dict[str, int]]:
    with database.read() as connection:
        return inbox.counts(connection), outbox.counts(connection)


def _put(database: Database, text: str, key: str = "planned") -> None:
    with database.write() as connection:
        chat = people.find_chat(connection, "telegram", str(OWNER))
        assert chat
        outbox.put(connection, key, chat.id, Outgoing(text, BUTTONS), "reminder", datetime.now(UTC))


async def test_a_note_is_answered(server: LoopbackServer, database: Database, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Echo(database)):
        await ida.says("watered tray 3")
        assert await ida.hears(1) == ["heard: watered tray 3"]
    assert _counts(database) == ({"open": 0, "done": 1, "poison": 0}, {"waiting": 0, "sent": 1, "failed": 0})


async def test_what_was_typed_while_the_bot_was_down_is_answered_in_order(
    server: LoopbackServer, database: Database, ida: Person
) -> None:
    make_owner(database)
    for number in range(30):
        await ida.says(f"note {number}")
    async with running(server, database, Echo(database)):
        assert await ida.hears(30) == [f"heard: note {number}" for number in range(30)]


async def test_a_message_keeps_its_own_date_and_numbers(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    sent_at = api.clock() - 20 * 3600
    first = await ida.says("first", sent_at=sent_at)
    await ida.says("second", reply_to=first["message_id"])
    async with running(server, database, Echo(database)):
        await ida.hears(2)
    with database.read() as connection:
        one, two = (inbox.by_id(connection, number).incoming for number in (1, 2))
    assert one.sent_at == datetime.fromtimestamp(int(sent_at), UTC)
    assert (one.transport, one.address, one.source, one.sender) == ("telegram", str(OWNER), "110201543", str(OWNER))
    assert two.reply_to == one.message_key == str(first["message_id"])


async def test_an_edited_message_comes_as_the_same_message_again(server: LoopbackServer, database: Database, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Echo(database)):
        typed = await ida.says("watered tray 3")
        await ida.hears(1)
        await ida.edits(typed["message_id"], "watered tray 4")
        assert await ida.hears(2) == ["heard: watered tray 3", "heard: watered tray 4"]
    with database.read() as connection:
        one, two = (inbox.by_id(connection, number).incoming for number in (1, 2))
    assert one.message_key == two.message_key
    assert one.update_key != two.update_key


async def test_an_update_that_comes_twice_is_taken_once(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    await ida.says("once")
    again = account.queue.take(0, 1, api.clock())[0]
    async with running(server, database, Echo(database)):
        await ida.hears(1)
        account.queue.put_raw(again, api.clock())
        await ida.says("then")
        assert await ida.hears(2) == ["heard: once", "heard: then"]


async def test_numbers_that_begin_anew_after_a_quiet_week_lose_nothing(
    server: LoopbackServer, database: Database, account: Account, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    await ida.says("before")
    async with running(server, database, Echo(database)):
        await ida.hears(1)
    clock.advance(8 * 86_400)
    account.queue.restart_at(100_000_001)
    await ida.says("after")
    async with running(server, database, Echo(database)):
        assert await ida.hears(2) == ["heard: before", "heard: after"]


async def test_an_update_that_cannot_be_read_is_set_aside_and_stops_nothing(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    await ida.says("before")
    poison = {"update_id": 100_000_002, "message": {"message_id": 5, "date": "not a date", "chat": 7}}
    account.queue.put_raw(poison, api.clock())
    await ida.says("behind")
    async with running(server, database, Echo(database)):
        assert await ida.hears(2) == ["heard: before", "heard: behind"]
    with database.read() as connection:
        ((row, reason),) = inbox.poison_rows(connection)
    assert '"not a date"' in row.incoming.raw
    assert reason


async def test_a_button_says_its_words_once_and_every_press_is_answered(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    async with running(server, database, Echo(database)):
        await ida.says("watered tray 3")
        await ida.hears(1)
        message_id = ida.last_answer()["message_id"]
        first = await ida.presses(message_id, "undo")
        assert await ida.hears(2) == ["heard: watered tray 3", "heard: undo"]
        second = await ida.presses(message_id, "undo")
        other = await ida.presses(message_id, "why")
        await ida.hears(3)
        await api.until(lambda: len(account.answered) == 3)
    assert account.answered == {first: "", second: "Already done.", other: ""}
    with database.read() as connection:
        assert inbox.by_id(connection, 2).incoming.reply_to == str(message_id)


async def test_a_button_works_after_a_restart(server: LoopbackServer, database: Database, ida: Person) -> None:
    make_owner(database)
    async with running(server, database, Echo(database)):
        await ida.says("watered tray 3")
        await ida.hears(1)
    await ida.presses(ida.last_answer()["message_id"], "why")
    async with running(server, database, Echo(database)):
        assert (await ida.hears(2))[1] == "heard: why that"


@pytest.mark.parametrize("data", ["v1:999:0", "v1:1:7", "v0:1:0", "undo", "v1:1:0 "])
async def test_a_button_that_is_no_more_is_answered(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person, data: str
) -> None:
    make_owner(database)
    async with running(server, database, Echo(database)):
        await ida.says("watered tray 3")
        await ida.hears(1)
        query = await ida.sends_query(ida.last_answer()["message_id"], data)
        await api.until(lambda: query in account.answered)
    assert account.answered == {query: "This button is too old. Write it instead."}


async def test_a_button_of_another_chat_is_no_button(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    make_owner(database, 777)
    other = Person(api, account, 777, "Otto")
    async with running(server, database, Echo(database)):
        await ida.says("watered tray 3")
        await ida.hears(1)
        query = await other.sends_query(1, "v1:1:0")
        await api.until(lambda: query in account.answered)
    assert account.answered[query] == "This button is too old. Write it instead."
    assert other.read() == []


async def test_a_query_too_old_to_be_answered_is_let_go(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    async with running(server, database, Echo(database)):
        await ida.says("watered tray 3")
        await ida.hears(1)
        api.fail_next("answerCallbackQuery", failures.bad_request("query is too old and response timeout expired"))
        await ida.presses(ida.last_answer()["message_id"], "why")
        assert (await ida.hears(2))[1] == "heard: why that"


async def test_the_first_who_sends_the_code_owns_the_bot(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    stranger = Person(api, account, 666, "Sly")
    async with running(server, database, Echo(database)) as run:
        await api.until(lambda: account.poll is not None)
        code = run.said[-1].rpartition(" ")[2]
        await ida.says("hello")
        await ida.says("hello?")
        assert (await ida.hears(1))[0].startswith("This bot has no owner yet.")
        await ida.says(f"/start {code}")
        assert (await ida.hears(2))[1].startswith("This bot is yours now.")
        await ida.says("watered tray 3")
        assert (await ida.hears(3))[2] == "heard: watered tray 3"
        await stranger.says(code)
        assert await stranger.hears(1) == ["This bot is private."]
    async with running(server, database, Echo(database)) as run:
        await ida.says("again")
        await ida.hears(4)
        assert run.said == ["@bench_bot is listening."]


async def test_a_helper_joins_by_an_invitation_that_works_once(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    helper, late = Person(api, account, 777, "Otto"), Person(api, account, 888, "Lena")
    async with running(server, database, Echo(database)):
        await ida.says("invite a helper")
        link = (await ida.hears(1))[0].splitlines()[-1]
        assert link.startswith("https://t.me/bench_bot?start=")
        code = link.rpartition("=")[2]
        await helper.says(f"/start {code}")
        await helper.hears(1)
        await ida.hears(2)
        await late.says(f"/start {code}")
        await late.hears(1)
        await helper.says("watered tray 3")
        await helper.hears(2)
        await helper.says("/invite")
        await helper.hears(3)
    assert helper.read()[0].startswith("You are in, as helper.")
    assert helper.read()[1:] == ["heard: watered tray 3", "Only an owner of the collection can invite."]
    assert ida.read()[1] == "Your invitation was used: somebody joined as helper."
    assert late.read() == ["This bot is private."]
    with database.read() as connection:
        mine, other = (people.find_chat(connection, "telegram", str(one)) for one in (OWNER, 777))
        assert mine
        assert other
        assert other.collection_id == mine.collection_id
        assert people.role_of(connection, mine.collection_id, other.person_id) == "helper"
        assert len(people.all_collections(connection)) == 1


async def test_an_invitation_expires(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    helper = Person(api, account, 777, "Otto")
    async with running(server, database, Echo(database), Tempo(now=clock.now, pacing=unhindered)):
        await ida.says("/invite")
        code = (await ida.hears(1))[0].rpartition("=")[2]
        clock.advance(49 * 3600)
        await helper.says(code)
        assert await helper.hears(1) == ["This bot is private."]


async def test_an_owner_who_lost_the_account_comes_back_with_a_code_from_the_machine(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    back = Person(api, account, 4_343, "Ida")
    with database.write() as connection:
        (collection,) = people.all_collections(connection)
        code = invite(connection, "telegram", Invitation("owner", collection.id), datetime.now(UTC) + timedelta(hours=1))
    async with running(server, database, Echo(database)):
        await back.says(code.lower())
        assert (await back.hears(1))[0].startswith("You are in, as owner.")
        await back.says("/invite")
        assert "t.me/bench_bot" in (await back.hears(2))[1]


async def test_a_stranger_gets_one_line_a_day_and_nothing_is_kept(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    stranger = Person(api, account, 666, "Sly")
    tempo = Tempo(now=clock.now, pacing=unhindered)
    async with running(server, database, Echo(database), tempo):
        for text in ("hi", "/start", "let me in"):
            await stranger.says(text)
        await ida.says("first day")
        await ida.hears(1)
        clock.advance(86_400)
        await stranger.says("hi again")
        await stranger.sends({"photo": [{"file_id": "x", "file_unique_id": "x", "width": 1, "height": 1}]})
        await ida.says("second day")
        await ida.hears(2)
        await stranger.hears(2)
    assert stranger.read() == ["This bot is private."] * 2
    with database.read() as connection:
        assert people.find_chat(connection, "telegram", "666") is None
        rows = [inbox.by_id(connection, number).incoming for number in range(1, 5)]
    assert [(row.text, row.raw) for row in rows if row.sender == "666"] == [("", "")] * 2


async def test_in_a_group_only_what_is_addressed_is_read(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    here = Person(api, account, OWNER, group=-1_001_234)
    stranger = Person(api, account, 666, "Sly", group=-1_001_234)
    async with running(server, database, Echo(database)):
        await here.says("nice weather")
        mention = {"entities": [{"type": "mention", "offset": 0, "length": 10}]}
        await here.sends({"text": "@bench_bot watered tray 3"} | mention)
        await here.hears(1)
        answer = here.last_answer()["message_id"]
        await stranger.sends({"text": "@bench_bot whats due"} | mention)
        await here.says("/due@other_bot")
        await here.says("/due@bench_bot")
        await here.says("and tray 4", reply_to=answer)
        await here.hears(3)
    assert here.read() == ["heard: watered tray 3", "heard: whats due", "heard: and tray 4"]


async def test_who_belongs_to_another_collection_is_a_stranger_in_this_group(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    make_owner(database, 777)
    here = Person(api, account, OWNER, group=-1_001_234)
    other = Person(api, account, 777, "Otto", group=-1_001_234)
    async with running(server, database, Echo(database)):
        await here.says("/due")
        await here.hears(1)
        await other.says("/due")
        await other.sends(
            {"voice": {"file_id": "x", "file_unique_id": "x", "duration": 3}}, reply_to=here.last_answer()["message_id"]
        )
        await here.says("/undo")
        await here.hears(2)
    assert here.read() == ["heard: whats due", "heard: undo"]


async def test_a_group_that_becomes_a_supergroup_is_followed(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    old = Person(api, account, OWNER, group=-77)
    async with running(server, database, Echo(database)):
        await old.says("/due")
        await old.hears(1)
        new = Person(api, account, OWNER, group=-1_001_234)
        old.chat.migrated_to = new.chat_id
        with database.write() as connection:
            chat = people.find_chat(connection, "telegram", "-77")
            assert chat
            outbox.put(connection, "planned", chat.id, Outgoing("3 looks due"), "reminder", datetime.now(UTC))
        await ida.says("wake up")
        assert await new.hears(1) == ["3 looks due"]
        await new.says("/due")
        assert await new.hears(2) == ["3 looks due", "heard: whats due"]


async def test_something_without_words_gets_a_short_answer_and_is_kept(
    server: LoopbackServer, database: Database, ida: Person
) -> None:
    make_owner(database)
    voice = {"voice": {"file_id": "x", "file_unique_id": "x", "duration": 3}}
    photo = {"photo": [{"file_id": "x", "file_unique_id": "x", "width": 1, "height": 1}]}
    async with running(server, database, Echo(database)):
        await ida.sends(voice)
        await ida.sends(photo | {"caption": "mites on 12"})
        await ida.hears(2)
    assert set(ida.read()) == {"I read words, not voice notes. Write a caption or a note.", "heard: mites on 12"}
    with database.read() as connection:
        assert '"voice"' in inbox.by_id(connection, 1).incoming.raw


async def test_a_reminder_goes_out_at_its_moment(server: LoopbackServer, database: Database, ida: Person) -> None:
    make_owner(database)
    moment = datetime.now(UTC) + timedelta(seconds=0.2)
    async with running(server, database, Echo(database, [(moment, "take them out")])):
        assert await ida.hears(1) == ["take them out"]
    assert datetime.now(UTC) >= moment


async def test_what_a_note_makes_due_comes_on_its_moment_not_with_the_next_heartbeat(
    server: LoopbackServer, database: Database, ida: Person
) -> None:
    make_owner(database)
    core = Echo(database)
    async with running(server, database, core):
        await ida.says("hello")
        await ida.hears(1)
        moment = datetime.now(UTC) + timedelta(seconds=1)
        core.later.append((moment, "take them out"))
        await ida.says("take them out in a second")
        assert (await ida.hears(3, within_s=5))[2] == "take them out"
    assert datetime.now(UTC) >= moment


async def test_the_menu_is_set_once(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    for number in (1, 2):
        async with running(server, database, Echo(database)):
            await ida.says("hello")
            await ida.hears(number)
    assert [call.method for call in api.calls].count("setMyCommands") == 1
    assert [one["command"] for one in account.commands["default", ""]] == ["due", "undo", "help"]


async def test_a_refused_token_ends_it_without_showing_the_token(
    server: LoopbackServer, database: Database, caplog: pytest.LogCaptureFixture
) -> None:
    wrong = BotAccount("110201543:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", f"http://127.0.0.1:{server.port}")
    with caplog.at_level(logging.DEBUG, "bot"):
        async with running(server, database, Echo(database), account=wrong) as run:
            with pytest.raises(TelegramProblem) as problem:
                await asyncio.wait_for(run.task, 5)
    assert "AAAAAAA" not in str(problem.value) + caplog.text + repr(wrong)
    assert TOKEN not in repr(BotAccount(TOKEN))
