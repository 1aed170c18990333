"""The Telegram edge on bad days: refusals, outages, floods, a full disk, a second instance, a clock that jumps."""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa
from sqlalchemy import Connection

from bot.app.service import Service
from bot.chat.telegram_account import Account as BotAccount
from bot.chat.telegram_account import Tempo
from bot.messages import Outgoing
from bot.reminders.pacing import Pacing
from bot.store import inbox, outbox, people
from bot.store.database import Database

from .loopback import failures
from .loopback.core import Account, BotApi
from .loopback.failures import Failure
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, OWNER, TOKEN, Clock, Echo, make_owner, running, unhindered

pytestmark = pytest.mark.asyncio


def _tempo(clock: Clock) -> Tempo:
    return Tempo(now=clock.now, pacing=unhindered)


def _outbox(database: Database) -> dict[str, int]:
    with database.read() as connection:
        return outbox.counts(connection)


def _put(database: Database, key: str, text: str, now: datetime, address: str = str(OWNER)) -> None:
    with database.write() as connection:
        chat = people.find_chat(connection, "telegram", address)
        assert chat
        outbox.put(connection, key, chat.id, Outgoing(text), "reminder", now)


@pytest.mark.parametrize(
    ("failure", "wait_s"),
    [
        (failures.too_many_requests(40), 40),
        (failures.internal_error(), 30),
        (failures.bad_gateway(), 30),
        (failures.cut_connection(handled=False), 30),
    ],
    ids=["429", "500", "502 with HTML", "cut"],
)
async def test_a_message_refused_for_now_is_sent_later(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person, failure: Failure, wait_s: float
) -> None:
    make_owner(database)
    api.fail_next("sendMessage", failure)
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        await ida.says("watered tray 3")
        await ida.says("watered tray 4")
        await run.as_time_passes(clock, api, lambda: len(ida.read()) == 2)
    assert ida.read() == ["heard: watered tray 3", "heard: watered tray 4"]
    first, again = [call.at for call in api.calls if call.method == "sendMessage"][:2]
    assert again - first >= wait_s


@pytest.mark.parametrize(
    "failure", [failures.cut_connection(handled=True), failures.internal_error(handled=True)], ids=["cut", "500"]
)
async def test_a_message_that_went_out_unnoticed_comes_twice_rather_than_never(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person, failure: Failure
) -> None:
    make_owner(database)
    api.fail_next("sendMessage", failure)
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        await ida.says("watered tray 3")
        await run.as_time_passes(clock, api, lambda: len(ida.read()) == 2)
    assert ida.read() == ["heard: watered tray 3"] * 2
    assert _outbox(database) == {"waiting": 0, "sent": 1, "failed": 0}


async def test_a_message_that_is_refused_for_good_lets_the_next_ones_go(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    api.fail_next("sendMessage", failures.bad_request("message is too strange"))
    async with running(server, database, Echo(database), _tempo(clock)):
        await ida.says("one")
        await ida.says("two")
        await ida.hears(1)
    assert ida.read() == ["heard: two"]
    assert _outbox(database) == {"waiting": 0, "sent": 1, "failed": 1}


async def test_who_blocked_the_bot_is_left_alone_until_let_in_again(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    make_owner(database, 777)
    other = Person(api, account, 777, "Otto")
    ida.chat.blocked = True
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        for number in range(3):
            _put(database, f"ida {number}", f"look {number}", clock.now())
        _put(database, "otto", "look", clock.now(), "777")
        await run.as_time_passes(clock, api, lambda: other.read() == ["look"] and _outbox(database)["failed"] == 3)
        tries = sum(call.method == "sendMessage" and call.values["chat_id"] == OWNER for call in api.calls)
        assert tries == 1
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        _put(database, "ida 3", "look 3", clock.now())
        await run.as_time_passes(clock, api, lambda: _outbox(database)["failed"] == 4)
        assert sum(call.method == "sendMessage" and call.values["chat_id"] == OWNER for call in api.calls) == tries
        ida.chat.blocked = False
        await ida.says("back again")
        assert await ida.hears(1) == ["heard: back again"]


async def test_no_network_at_boot(database: Database, api: BotApi, account: Account, ida: Person) -> None:
    make_owner(database)
    async with LoopbackServer(api) as first:
        port = first.port
    async with running(f"http://127.0.0.1:{port}", database, Echo(database)) as run:
        await ida.says("watered tray 3")
        async with LoopbackServer(api, port):
            assert await ida.hears(1) == ["heard: watered tray 3"]
            await run.end()
    assert api.faults == []


async def test_no_network_at_boot_can_be_stopped(database: Database, api: BotApi) -> None:
    async with LoopbackServer(api) as first:
        port = first.port
    async with running(f"http://127.0.0.1:{port}", database, Echo(database)) as run:
        await run.end(within_s=2)


async def test_the_network_is_gone_for_an_hour(
    database: Database, api: BotApi, account: Account, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    async with LoopbackServer(api) as first:
        port = first.port
        run_context = running(first, database, Echo(database), _tempo(clock))
        run = await run_context.__aenter__()
        await ida.says("before")
        await run.as_time_passes(clock, api, lambda: _outbox(database)["sent"] == 1)
    _put(database, "planned", "take them out", clock.now())
    await ida.says("during")
    for _ in range(60):
        clock.advance(60)
        run.edge.wake()
        with suppress(TimeoutError):
            await api.until(lambda: False, 0.001)
    async with LoopbackServer(api, port):
        await run.as_time_passes(clock, api, lambda: len(ida.read()) == 3)
        await run_context.__aexit__(None, None, None)
    assert Counter(ida.read()) == Counter(["heard: before", "take them out", "heard: during"])


async def test_telegram_answers_500_for_ten_minutes(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        end = clock() + 600
        for number in range(5):
            await ida.says(f"note {number}")
        while clock() < end:
            api.fail_next("sendMessage", failures.internal_error())
            tries = len(api.calls)
            await run.as_time_passes(clock, api, lambda tries=tries: len(api.calls) > tries)  # type: ignore[misc]
        await run.as_time_passes(clock, api, lambda: len(ida.read()) == 5)
    assert ida.read() == [f"heard: note {number}" for number in range(5)]


async def test_a_request_for_updates_that_fails_loses_none(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person
) -> None:
    """Telegram has sent the updates and the answer is lost on the way; a page of HTML comes in place of the next one."""
    make_owner(database)
    await ida.says("one")
    api.fail_next("getUpdates", failures.cut_connection(handled=True), failures.bad_gateway())
    async with running(server, database, Echo(database)):
        await ida.says("two")
        assert await ida.hears(2) == ["heard: one", "heard: two"]


async def test_a_second_instance_makes_neither_lose_anything(
    server: LoopbackServer, database: Database, api: BotApi, account: Account, ida: Person
) -> None:
    make_owner(database)
    async with running(server, database, Echo(database)) as run:
        await ida.says("one")
        await ida.hears(1)
        answer = await api.call(TOKEN, "getUpdates", {"timeout": 0}, {})
        assert answer.status == 200
        await api.until(lambda: any(call.status == 409 for call in api.calls))
        await ida.says("two")
        assert await ida.hears(2) == ["heard: one", "heard: two"]
        assert not run.task.done()


async def test_twenty_hours_of_notes_come_in_at_once(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    began = clock()
    clock.advance(20 * 3600)
    for number in range(500):
        await ida.says(f"note {number}", sent_at=began + 144 * number)
    async with running(server, database, Echo(database), _tempo(clock)):
        await ida.hears(500, within_s=120)
    assert ida.read() == [f"heard: note {number}" for number in range(500)]
    with database.read() as connection:
        dates = [inbox.by_id(connection, number).incoming.sent_at for number in range(1, 501)]
    assert dates == [datetime.fromtimestamp(int(began + 144 * number), UTC) for number in range(500)]


async def test_after_more_than_a_day_each_chat_is_told_once_what_may_be_lost(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    make_owner(database, 777)
    other = Person(api, account, 777, "Otto")
    for number in range(2):
        async with running(server, database, Echo(database), _tempo(clock)):
            await ida.says(f"day {number}")
            await ida.hears(number + 1)
        clock.advance(20 * 3600)
    stopped = clock.now()
    await ida.says("lost")
    clock.advance(30 * 3600)
    await ida.says("kept")
    async with running(server, database, Echo(database), _tempo(clock)):
        await ida.hears(4)
        await other.hears(1)
    async with running(server, database, Echo(database), _tempo(clock)):
        await ida.says("later")
        await ida.hears(5)
    (line,) = other.read()
    assert line.startswith("I was out of reach. What you wrote between ")
    assert (stopped - timedelta(hours=20)).astimezone(ZoneInfo("Europe/Berlin")).strftime("%H:%M") in line
    assert sorted(ida.read()) == sorted(["heard: day 0", "heard: day 1", line, "heard: kept", "heard: later"])


async def test_each_chat_is_written_to_at_its_pace(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    make_owner(database)
    make_owner(database, 777)
    other = Person(api, account, 777, "Otto")
    async with running(server, database, Echo(database), Tempo(pacing=Pacing)):
        for number in range(5):
            await ida.says(f"note {number}")
        await other.says("hello")
        await ida.hears(5)
    sent = [(call.values["chat_id"], call.at) for call in api.calls if call.method == "sendMessage"]
    mine = [at for chat, at in sent if chat == OWNER]
    assert mine[2] - mine[0] < 0.9  # a burst of three
    assert mine[3] - mine[0] >= 0.9
    assert mine[4] - mine[1] >= 1.9
    assert next(at for chat, at in sent if chat == 777) < mine[3]


async def test_a_clock_that_jumps_ahead_sends_nothing_twice(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    slow = failures.slow_answer()
    api.fail_next("sendMessage", slow)
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        await ida.says("before")
        await ida.hears(1)
        clock.advance(3600)  # the lease is over while the answer to the first request is still on its way
        run.edge.wake()
        await ida.says("after")
        with suppress(TimeoutError):
            await api.until(lambda: len(ida.read()) > 1, 0.2)
        slow.release.set()
        assert await ida.hears(2) == ["heard: before", "heard: after"]


async def test_a_full_disk_delays_and_loses_nothing(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    full = False

    def limit(connection: Connection) -> None:
        """SQLite's own limit of the file stands for the end of the disk; it fails a commit in the same way."""
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one() if full else 1_073_741_823
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")

    sa.event.listen(database._engine, "begin", limit)
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        await ida.says("before")
        await ida.hears(1)
        full = True
        polls = sum(call.method == "getUpdates" for call in api.calls)
        long_notes = [f"{number} " + "words " * 600 for number in range(3)]
        for text in long_notes:
            await ida.says(text)
        await api.until(lambda: sum(call.method == "getUpdates" for call in api.calls) >= polls + 2)
        assert len(ida.read()) == 1
        full = False
        await run.as_time_passes(clock, api, lambda: len(ida.read()) == 4)
    assert ida.read() == ["heard: before", *(f"heard: {text.strip()}" for text in long_notes)]


async def test_a_message_longer_than_telegram_takes_goes_out_in_parts(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    lines = "\n".join(f"{number}. look whether the mites are back \U0001f335" for number in range(300))
    api.fail_next("sendMessage", failures.internal_error(), failures.internal_error())
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        _put(database, "long", lines, clock.now())
        await run.as_time_passes(clock, api, lambda: len(ida.read()) >= 3 and _outbox(database)["sent"] == 1)
    assert "\n".join(ida.read()) == lines


async def test_updates_come_by_webhook(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person, unused_tcp_port: int
) -> None:
    make_owner(database)
    url = f"http://127.0.0.1:{unused_tcp_port}/hook"
    mine = BotAccount(TOKEN, f"http://127.0.0.1:{server.port}", url, "127.0.0.1", unused_tcp_port)
    await ida.says("before")
    async with running(server, database, Echo(database), account=mine):
        await ida.says("watered tray 3")
        assert await ida.hears(2) == ["heard: before", "heard: watered tray 3"]
        await api.until(lambda: len(account.queue) == 0)
    assert api.calls[0].method == "getMe"
    assert all(call.method != "getUpdates" for call in api.calls)


async def test_a_clock_set_back_while_the_bot_was_down_holds_nothing(
    server: LoopbackServer, database: Database, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    clock.advance(7_200)
    _put(database, "planned", "take them out", clock.now())
    clock.advance(-7_200)
    async with running(server, database, Echo(database), _tempo(clock)):
        assert await ida.hears(1, within_s=5) == ["take them out"]


async def test_a_clock_set_back_delays_no_message_that_waits_and_doubles_none(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    api.fail_next("sendMessage", failures.too_many_requests(40))
    async with running(server, database, Echo(database), _tempo(clock)) as run:
        await ida.says("watered tray 3")
        await api.until(lambda: any(call.status == 429 for call in api.calls))
        clock.advance(-86_400)
        await ida.says("watered tray 4")
        await run.as_time_passes(clock, api, lambda: len(ida.read()) == 2, step_s=1.0)
    assert sorted(ida.read()) == ["heard: watered tray 3", "heard: watered tray 4"]
    assert _outbox(database) == {"waiting": 0, "sent": 2, "failed": 0}


async def test_a_clock_set_back_a_day_brings_no_morning_twice(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person
) -> None:
    make_owner(database)
    service = Service(database, DEFAULTS)
    clock.advance((12 * 3600 - clock()) % 86_400)  # noon UTC: the morning of each day lies behind
    async with running(server, database, service, _tempo(clock)):
        await ida.says("tell me when nothing is due")
        await ida.hears(1)
        await _half_days(api, clock, ida, 2, 43_200)
        await api.until(lambda: ida.read().count("Nothing is due today.") == 1)
        await _half_days(api, clock, ida, 2, 43_200)
        await api.until(lambda: ida.read().count("Nothing is due today.") == 2)
        await _half_days(api, clock, ida, 2, -43_200)
        await _half_days(api, clock, ida, 2, 43_200)
        await _half_days(api, clock, ida, 2, 0)  # by now the rounds after the jumps have run
    with database.read() as connection:
        told = connection.execute(sa.text("SELECT count(*) FROM outbox WHERE kind = 'digest'")).scalar_one()
    assert told == 2


async def _half_days(api: BotApi, clock: Clock, person: Person, count: int, seconds: float) -> None:
    """Let the clock jump `count` times, each time with a note, after which the rounds are looked at."""
    for _ in range(count):
        clock.advance(seconds)
        answers = sum(text.startswith("Write what you did") for text in person.read())
        await person.says("help")
        await api.until(lambda n=answers: sum(text.startswith("Write what you did") for text in person.read()) > n)  # type: ignore[misc]
