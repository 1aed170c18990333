"""The first talk over Telegram: at most four questions, each skippable, each answered by a button or in words."""

from __future__ import annotations

from datetime import time

import pytest

from bot.app.service import Service
from bot.chat.telegram_account import Tempo
from bot.store import people
from bot.store.database import Database
from bot.store.people import CollectionSettings

from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, Clock, Running, make_owner, running, unhindered

pytestmark = pytest.mark.asyncio

PRAGUE = {"location": {"latitude": 50.0755, "longitude": 14.4378}}


def _settings(database: Database) -> CollectionSettings:
    with database.read() as connection:
        (one,) = people.all_collections(connection)
    return one.settings


async def _claim(run: Running, account: Account, api: BotApi, ida: Person) -> str:
    await api.until(lambda: account.poll is not None)
    await ida.says(run.said[-1].rpartition(" ")[2])
    return (await ida.hears(1))[0]


async def test_a_shared_location_and_three_answers_set_everything(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    async with running(server, database, Service(database, DEFAULTS)) as run:
        first = await _claim(run, account, api, ida)
        assert first.startswith("This bot is yours now.")
        assert "Share your location, or type a latitude" in first
        await ida.sends(PRAGUE)
        assert (await ida.hears(2))[1].splitlines() == [
            "Latitude 50.08° north. Longitude: 14.44.",
            "Is your time zone Europe/Prague? Say yes, or name it.",
        ]
        await ida.presses(ida.last_answer()["message_id"], "yes")
        assert (await ida.hears(3))[2].splitlines()[1].startswith("How cold does the house get")
        await ida.says("5")
        assert (await ida.hears(4))[3].splitlines()[1].startswith("The morning message comes at 07:30.")
        await ida.says("6:45")
        assert "That is all I need." in (await ida.hears(5))[4]
        await ida.says("5")
        assert "Coldest" not in (await ida.hears(6))[5]
    made = _settings(database)
    assert (made.latitude, made.longitude, made.zone) == (50.08, 14.44, "Europe/Prague")
    assert (made.floor_c, made.morning_time, made.extra) == (5.0, time(6, 45), {})


async def test_a_note_is_taken_while_a_question_is_open_and_the_question_stays(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claim(run, account, api, ida)
        await ida.says("watered tray 3")
        assert "tray 3" in (await ida.hears(2))[1]
        await ida.says("-33.9")
        assert (await ida.hears(3))[2].startswith("Latitude 33.9° south.")
        await ida.says("Sydney")
        await ida.hears(4)
        await ida.says("undo")
        assert "Taken back: Watered tray 3" in (await ida.hears(5))[4]
    made = _settings(database)
    assert (made.latitude, made.zone, made.extra) == (-33.9, "Australia/Sydney", {"first_talk": "coldest"})


async def test_every_question_can_be_skipped_by_button_and_in_words(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claim(run, account, api, ida)
        await ida.presses(ida.last_answer()["message_id"], "skip")
        assert "Is your time zone Europe/Berlin?" in (await ida.hears(2))[1]
        await ida.says("skip")
        assert "How cold" in (await ida.hears(3))[2]
        await ida.presses(ida.last_answer()["message_id"], "skip")
        await ida.hears(4)
        await ida.says("skip this question")
        assert "That is all I need." in (await ida.hears(5))[4]
    assert _settings(database) == DEFAULTS


async def test_an_old_button_of_the_first_talk_skips_no_other_question(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claim(run, account, api, ida)
        old = ida.last_answer()["message_id"]
        await ida.says("48.2 N")
        await ida.hears(2)
        await ida.presses(old, "skip")
        assert (await ida.hears(3))[2] == "Is your time zone Europe/Berlin? Say yes, or name it."
        await ida.says("skip all")
        await ida.hears(4)
        await ida.says("skip the morning question")
        assert (await ida.hears(5))[4].startswith("That is all I need.")


async def test_all_questions_can_be_left_at_once_and_begun_anew(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claim(run, account, api, ida)
        await ida.says("skip all")
        assert "That is all I need." in (await ida.hears(2))[1]
        await ida.says("set up")
        assert "Where do the plants stand?" in (await ida.hears(3))[2]
        await ida.says("set latitude 51")
        assert "Is your time zone" in (await ida.hears(4))[3]
        await ida.says("Berlin")
        await ida.hears(5)
        await ida.says("41 F")
        await ida.hears(6)
    assert _settings(database).floor_c == 5.0


async def test_a_location_later_on_sets_the_place_and_asks_nothing(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claim(run, account, api, ida)
        await ida.says("skip all")
        await ida.hears(2)
        await ida.sends(PRAGUE)
        assert (await ida.hears(3))[2] == "Latitude 50.08° north. Longitude: 14.44."
        await ida.says("my location is 95 14")
        assert "a latitude and a longitude" in (await ida.hears(4))[3]
    assert _settings(database).latitude == 50.08


async def test_a_guest_is_invited_and_can_ask(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    guest = Person(api, account, 777, "Gus")
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claim(run, account, api, ida)
        await ida.says("watered tray 3")
        await ida.says("invite jo as a guest")
        invitation = next(one for one in await ida.hears(3) if one.startswith("Pass this on to your guest."))
        await guest.says(f"/start {invitation.rpartition('=')[2]}")
        assert await guest.hears(1) == ["You are in, as guest: you can ask, not write. Try: whats due"]
        await guest.says("watered tray 4")
        await guest.says("invite a guest")
        await guest.says("when did i last water tray 3")
        heard = await guest.hears(4)
    assert "You can ask here, not write: you are a guest." in heard
    assert "Only an owner of the collection can invite." in heard
    assert heard[-1].startswith("Today")


async def test_the_timer_of_a_wash_rings_on_its_minute(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person, clock: Clock
) -> None:
    make_owner(database)
    tempo = Tempo(now=clock.now, pacing=unhindered, poll_s=10)
    async with running(server, database, Service(database, DEFAULTS), tempo):
        await ida.says("12 is a lobivia")
        await ida.hears(1)
        await ida.says("washed the roots of 12")
        await ida.hears(2)
        await ida.presses(ida.last_answer()["message_id"], "timer 15 min")
        await ida.hears(3)
        clock.advance(13 * 60)
        await ida.says("whats due")
        assert not any(text.lower().startswith("take them out") for text in await ida.hears(4))
        clock.advance(2 * 60)
        await ida.says("whats due")  # a note wakes the rounds, as the alarm does on its minute
        heard = await ida.hears(6)
    assert [text.lower().startswith("take them out") for text in heard[4:]].count(True) == 1
