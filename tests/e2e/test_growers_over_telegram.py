"""Two growers in one bot over Telegram: the second is let in by an invitation, has a collection apart, and hears of it alone.

The tale is played without a messenger too: what goes to each must be the same, and no word of one may reach the other.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.app.intake import Intake
from bot.app.rounds import next_wake, run_rounds
from bot.app.service import Service
from bot.chat.clock import Clock
from bot.chat.telegram_account import Tempo
from bot.store import marks, people
from bot.store.database import Database, open_database
from bot.store.people import CollectionSettings
from tests.stories.growers import BEGIN, Plain, Sent, moment_of, play, strays, tale

from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, OWNER, TOKEN, Running, running, unhindered
from .test_stories_over_telegram import Worker

pytestmark = pytest.mark.asyncio

TALES = {path.stem: path.read_text(encoding="utf-8") for path in (Path(__file__).parents[1] / "stories" / "two").glob("*.txt")}
NO_LINK = "\nNo code on them: the bot has no link of its own here."  # only a messenger gives it one
SECOND = 5_353


async def _claimed(run: Running, account: Account, api: BotApi, host: Person) -> None:
    await api.until(lambda: account.poll is not None)
    await host.says(run.said[-1].rpartition(" ")[2])
    await host.hears(1)


async def _invited(host: Person, other: Person, words: str = "invite a grower") -> tuple[str, str]:
    """Let the host invite another grower, and the other use the invitation; return what was sent, and the greeting."""
    before, heard = len(host.read()), len(other.read())
    await host.says(words)
    invitation = (await host.hears(before + 1))[-1]
    assert invitation.startswith("Pass this on to the other grower: a collection of their own, apart from yours.")
    used = f"/start {invitation.rpartition('=')[2]}"
    await other.says(used)
    return used, (await other.hears(heard + 1))[-1]


async def test_a_grower_is_invited_to_a_collection_of_their_own(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    jo = Person(api, account, SECOND, "Jo")
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claimed(run, account, api, ida)
        await ida.says("set latitude 59")
        await ida.hears(2)
        _, greeting = await _invited(ida, jo)
        assert greeting.startswith("You are in, with a collection of your own that nobody else sees.")
        assert "Share your location, or type a latitude" in greeting
        await jo.says("-43")
        assert (await jo.hears(2))[-1].startswith("Latitude 43° south.")
        await jo.says("invite a grower")
        assert (await jo.hears(3))[-1] == (
            "Only whoever set this bot up can invite another grower. You can invite a helper or a guest."
        )
        await jo.says("invite a helper")
        assert (await jo.hears(4))[-1].startswith("Pass this on to your helper.")
    with database.read() as connection:
        held = people.all_collections(connection)
    assert [one.settings.latitude for one in held] == [59.0, -43.0]


async def test_the_host_is_who_set_it_up_on_this_messenger_though_the_terminal_was_first(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    with database.write() as connection:
        people.chat_of(connection, "terminal", "here", "here", DEFAULTS)
    jo = Person(api, account, SECOND, "Jo")
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claimed(run, account, api, ida)
        _, greeting = await _invited(ida, jo)
        assert greeting.startswith("You are in, with a collection of your own")
        await jo.says("invite a grower")
        assert (await jo.hears(2))[-1].startswith("Only whoever set this bot up can invite another grower.")


async def test_a_helper_may_become_a_grower_and_stays_a_helper(
    server: LoopbackServer, database: Database, account: Account, api: BotApi, ida: Person
) -> None:
    jo = Person(api, account, SECOND, "Jo")
    async with running(server, database, Service(database, DEFAULTS)) as run:
        await _claimed(run, account, api, ida)
        await ida.says("invite a helper")
        await jo.says(f"/start {(await ida.hears(2))[-1].rpartition('=')[2]}")
        await jo.hears(1)
        await jo.says("12 is a rebutia")
        await jo.hears(2)
        used, greeting = await _invited(ida, jo, "invite a helper with their own collection")
        assert greeting.startswith("You are in, with a collection of your own")
        await jo.says("how many rebutias have i got")
        assert "1" not in (await jo.hears(4))[-1]
        await jo.says(used)  # it works once
        await jo.hears(5)
    with database.read() as connection:
        chat = people.find_chat(connection, "telegram", str(SECOND))
        assert chat is not None
        roles = [people.role_of(connection, one.id, chat.person_id) for one in people.all_collections(connection)]
    assert roles == ["helper", "owner"]


@pytest.mark.parametrize("name", list(TALES))
async def test_a_tale_is_the_same_over_telegram(name: str, tmp_path: Path) -> None:
    told = tale(TALES[name])
    names = list(told.alone)
    one, other = open_database(tmp_path / "plain.db"), open_database(tmp_path / "telegram.db")
    try:
        expected = play(told, Plain(one, names))
        clock = Clock(ZoneInfo("UTC"), BEGIN)
        api = BotApi(lambda: clock.now().timestamp())
        account = api.add_bot(TOKEN, "bench_bot")
        growers = {who: Person(api, account, OWNER + n, who) for n, who in enumerate(names)}
        numbers = itertools.count(1)
        core = Worker(Intake(other, CollectionSettings(), lambda: f"{next(numbers):016d}"))
        tempo = Tempo(now=clock.now, pacing=unhindered, poll_s=10)
        async with LoopbackServer(api) as server, running(server, other, core, tempo) as run:
            await _all_in(run, account, api, list(growers.values()))
            for move, wanted in zip(told.moves, expected, strict=True):
                before = {who: len(_texts(person)) for who, person in growers.items()}
                if move.who:
                    await growers[move.who].says(move.text)
                else:
                    _go_to(other, clock, moment_of(move.text))
                    run.edge.wake()
                counts = {who: before[who] + sum(sent.to == who for sent in wanted) for who in names}
                await api.until(_have_heard(growers, counts), within_s=10)
                heard = [Sent(who, text) for who, person in growers.items() for text in _texts(person)[before[who] :]]
                assert list(strays(told, heard)) == []
                for who in names:
                    mine = [sent.text for sent in heard if sent.to == who]
                    assert mine == [sent.text.replace(NO_LINK, "") for sent in wanted if sent.to == who], f"line {move.line}"
        assert api.faults == []
    finally:
        one.close()
        other.close()


async def _all_in(run: Running, account: Account, api: BotApi, growers: list[Person]) -> None:
    """The first claims the bot, the others are invited; nobody answers the questions of the first talk."""
    host, *others = growers
    await _claimed(run, account, api, host)
    for person in others:
        await _invited(host, person)
    for person in growers:
        before = len(person.read())
        await person.says("skip all")
        await person.hears(before + 1)


def _go_to(database: Database, clock: Clock, moment: datetime) -> None:
    """Let the rounds come at their moments, and the days that are passed over be days within reach."""
    while (wake := next_wake(database, clock.now())) is not None and wake <= moment:
        clock.put(wake)
        run_rounds(database, wake)
    clock.put(moment)
    with database.write() as connection:
        marks.mark(connection, "reached:telegram", moment)


def _texts(person: Person) -> list[str]:
    return [text for text in person.read() if text]


def _have_heard(growers: dict[str, Person], counts: dict[str, int]) -> Callable[[], bool]:
    return lambda: all(len(_texts(person)) >= counts[name] for name, person in growers.items())
