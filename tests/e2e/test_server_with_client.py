"""The tests' server as python-telegram-bot itself sees it, over real HTTP."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

import httpx
import pytest
import pytest_asyncio
import telegram
from telegram import BotCommand, InlineKeyboardButton, InlineKeyboardMarkup, MessageEntity, ReplyParameters
from telegram.error import BadRequest, ChatMigrated, Conflict, Forbidden, InvalidToken, NetworkError, RetryAfter, TimedOut

from .loopback import failures
from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import TOKEN, Clock

pytestmark = pytest.mark.asyncio


@pytest_asyncio.fixture
async def bot(server: LoopbackServer, account: Account) -> AsyncIterator[telegram.Bot]:
    """The real client, pointed at the tests' server."""
    async with telegram.Bot(TOKEN, base_url=server.base_url, base_file_url=server.base_file_url) as client:
        yield client


async def test_every_method_in_use_is_answered_as_the_client_expects(bot: telegram.Bot, api: BotApi, ida: Person) -> None:
    keyboard = InlineKeyboardMarkup([[InlineKeyboardButton("undo", callback_data="v1:1:0")]])
    assert (await bot.get_me()).username == "bench_bot"
    sent = await bot.send_message(ida.chat_id, "Watered 4.", reply_markup=keyboard)
    assert ida.read() == ["Watered 4."]
    edited = await bot.edit_message_text("Watered 5.", ida.chat_id, sent.message_id, reply_markup=keyboard)
    assert isinstance(edited, telegram.Message)
    assert edited.text == "Watered 5."
    bare = await bot.edit_message_reply_markup(ida.chat_id, sent.message_id)
    assert isinstance(bare, telegram.Message)
    assert bare.reply_markup is None
    assert await bot.set_my_commands([BotCommand("due", "what is due")])
    assert [one.command for one in await bot.get_my_commands()] == ["due"]
    assert await bot.send_chat_action(ida.chat_id, "typing")
    assert (await bot.get_webhook_info()).url == ""
    assert await bot.delete_message(ida.chat_id, sent.message_id)
    assert ida.read() == []
    assert {call.method for call in api.calls} >= {"getMe", "sendMessage", "editMessageText", "deleteMessage"}


async def test_files_arrive_byte_for_byte(bot: telegram.Bot, ida: Person) -> None:
    content = bytes(range(256)) * 40 + b"\r\n--boundary\r\n\r\n"
    document = (await bot.send_document(ida.chat_id, content, filename="labels.pdf", caption="12 labels")).document
    assert document is not None
    assert document.file_name == "labels.pdf"
    photo = (await bot.send_photo(ida.chat_id, content)).photo[-1]
    for file_id in (document.file_id, photo.file_id):
        downloaded = await (await bot.get_file(file_id)).download_as_bytearray()
        assert bytes(downloaded) == content


async def test_a_reply_carries_the_message_it_answers(bot: telegram.Bot, ida: Person) -> None:
    typed = await ida.says("watered tray 3")
    answer = await bot.send_message(ida.chat_id, "ok", reply_parameters=ReplyParameters(typed["message_id"]))
    assert answer.reply_to_message is not None
    assert answer.reply_to_message.text == "watered tray 3"
    with pytest.raises(BadRequest, match="Message to be replied not found"):
        await bot.send_message(ida.chat_id, "ok", reply_parameters=ReplyParameters(99_999))


async def test_updates_wait_until_an_offset_confirms_them(bot: telegram.Bot, ida: Person) -> None:
    for text in ("one", "two", "three"):
        await ida.says(text)
    first = await bot.get_updates()
    assert [update.message and update.message.text for update in first] == ["one", "two", "three"]
    assert len(await bot.get_updates(limit=2)) == 2
    later = await bot.get_updates(offset=first[1].update_id)
    assert [update.update_id for update in later] == [first[1].update_id, first[2].update_id]
    assert [update.update_id for update in await bot.get_updates()] == [one.update_id for one in later]
    assert [update.update_id for update in await bot.get_updates(offset=-1)] == [first[2].update_id]
    assert await bot.get_updates(offset=first[2].update_id + 1) == ()


async def test_a_long_poll_is_woken_by_a_message(bot: telegram.Bot, api: BotApi, account: Account, ida: Person) -> None:
    polling = asyncio.create_task(bot.get_updates(timeout=30))
    await api.until(lambda: account.poll is not None, within_s=5)
    await ida.says("hello")
    updates = await asyncio.wait_for(polling, 5)
    assert updates[0].message is not None
    assert updates[0].message.text == "hello"


async def test_a_second_poller_ends_the_first(
    bot: telegram.Bot, server: LoopbackServer, api: BotApi, account: Account, ida: Person
) -> None:
    first = asyncio.create_task(bot.get_updates(timeout=30))
    await api.until(lambda: account.poll is not None, within_s=5)
    async with telegram.Bot(TOKEN, base_url=server.base_url) as other:
        second = asyncio.create_task(other.get_updates(timeout=30))
        with pytest.raises(Conflict, match="terminated by other getUpdates request"):
            await asyncio.wait_for(first, 5)
        await ida.says("hello")
        assert len(await asyncio.wait_for(second, 5)) == 1


async def test_a_client_that_hangs_up_ends_its_poll(server: LoopbackServer, api: BotApi, account: Account) -> None:
    async with httpx.AsyncClient(trust_env=False) as client:
        polling = asyncio.create_task(client.post(f"{server.base_url}{TOKEN}/getUpdates", json={"timeout": 30}))
        await api.until(lambda: account.poll is not None, within_s=5)
        polling.cancel()
    await api.until(lambda: account.poll is None, within_s=5)


async def test_messages_wait_24_hours_and_buttons_150_seconds(
    bot: telegram.Bot, clock: Clock, account: Account, ida: Person
) -> None:
    await ida.says("watered")
    await ida.sends_query(1, "v1:1:0")
    clock.advance(149)
    assert len(await bot.get_updates()) == 2
    clock.advance(2)
    assert [update.callback_query for update in await bot.get_updates()] == [None]
    clock.advance(24 * 3600 - 152)
    assert len(await bot.get_updates()) == 1
    clock.advance(2)
    assert await bot.get_updates() == ()
    assert len(account.queue.expired) == 2


async def test_a_query_is_answered_once_and_not_late(bot: telegram.Bot, clock: Clock, account: Account, ida: Person) -> None:
    query = await ida.sends_query(1, "v1:1:0")
    assert await bot.answer_callback_query(query, "undone")
    assert account.answered == {query: "undone"}
    late = await ida.sends_query(1, "v1:1:0")
    clock.advance(151)
    for identifier in (query, late, "1"):
        with pytest.raises(BadRequest, match="Query is too old and response timeout expired or query id is invalid"):
            await bot.answer_callback_query(identifier)


async def test_refusals_use_the_real_words(bot: telegram.Bot, clock: Clock, account: Account, ida: Person) -> None:
    sent = await bot.send_message(ida.chat_id, "Watered 4.")
    with pytest.raises(BadRequest, match="Message is not modified"):
        await bot.edit_message_text("Watered 4.", ida.chat_id, sent.message_id)
    typed = await ida.says("mine")
    with pytest.raises(BadRequest, match="Message can't be edited"):
        await bot.edit_message_text("yours", ida.chat_id, typed["message_id"])
    with pytest.raises(BadRequest, match="Chat not found"):
        await bot.send_message(31_337, "hello")
    clock.advance(48 * 3600)
    with pytest.raises(BadRequest, match="can't be deleted"):
        await bot.delete_message(ida.chat_id, sent.message_id)
    ida.chat.blocked = True
    with pytest.raises(Forbidden, match="bot was blocked by the user"):
        await bot.send_message(ida.chat_id, "hello")


async def test_a_group_that_became_a_supergroup_says_where_it_is(bot: telegram.Bot, api: BotApi, account: Account) -> None:
    member = Person(api, account, 5_151, group=-77)
    member.chat.migrated_to = -1_001_234
    with pytest.raises(ChatMigrated) as moved:
        await bot.send_message(-77, "hello")
    assert moved.value.new_chat_id == -1_001_234


async def test_planned_failures_reach_the_client_as_its_own_errors(bot: telegram.Bot, api: BotApi, ida: Person) -> None:
    api.fail_next(
        "sendMessage",
        failures.too_many_requests(7), failures.blocked(), failures.bad_request(), failures.internal_error(),
        failures.bad_gateway(), failures.cut_connection(handled=False), failures.cut_connection(handled=True),
    )  # fmt: skip
    for expected, words in (
        (RetryAfter, "Retry in 0:00:07"),
        (Forbidden, "bot was blocked by the user"),
        (BadRequest, "Chat not found"),
        (NetworkError, "Internal Server Error"),
        (NetworkError, "Bad Gateway"),
        (NetworkError, "RemoteProtocolError|ReadError"),
    ):
        with pytest.raises(expected, match=words):
            await bot.send_message(ida.chat_id, "lost")
        assert ida.read() == []
    with pytest.raises(NetworkError):
        await bot.send_message(ida.chat_id, "sent, yet unanswered")
    assert ida.read() == ["sent, yet unanswered"]


async def test_a_slow_answer_times_out_although_the_message_is_sent(bot: telegram.Bot, api: BotApi, ida: Person) -> None:
    slow = failures.slow_answer()
    api.fail_next("sendMessage", slow)
    with pytest.raises(TimedOut):
        await bot.send_message(ida.chat_id, "slowly", read_timeout=0.05)
    slow.release.set()
    assert ida.read() == ["slowly"]


async def test_an_unknown_token_is_refused(server: LoopbackServer) -> None:
    stranger = telegram.Bot("110201543:wrong", base_url=server.base_url)
    with pytest.raises(InvalidToken):
        await stranger.initialize()
    await stranger.shutdown()


async def test_polling_is_refused_while_a_webhook_is_set(bot: telegram.Bot) -> None:
    await bot.set_webhook("https://bench.example/hook")
    with pytest.raises(Conflict, match="can't use getUpdates method while webhook is active"):
        await bot.get_updates()
    await bot.delete_webhook()
    assert await bot.get_updates() == ()


async def test_entities_that_the_client_sends_pass(bot: telegram.Bot, ida: Person) -> None:
    text = "\U0001f335 tray 3"
    await bot.send_message(ida.chat_id, text, entities=[MessageEntity("bold", 3, 4)])
    await bot.send_message(ida.chat_id, "<b>tray</b> 3 &amp; 4", parse_mode="HTML")
    await bot.send_message(ida.chat_id, "*tray* 3\\.", parse_mode="MarkdownV2")
    assert len(ida.read()) == 3
