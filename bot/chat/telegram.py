"""The chat over Telegram: what comes in is committed first, the core works it off, the sender empties the outbox."""

from __future__ import annotations

import asyncio
import logging
import os
import secrets
import signal
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import urlsplit

from telegram import Bot, BotCommand, LinkPreviewOptions
from telegram.error import Conflict, InvalidToken, TelegramError
from telegram.ext import Application, ApplicationBuilder

from bot.app.admission import Admission, claimed
from bot.app.sharing_talk import Links, reachable
from bot.chat.core_thread import CoreThread
from bot.chat.list_page import BEGINNING, ListPage
from bot.chat.telegram_account import Account, Tempo
from bot.chat.telegram_contact import Contact
from bot.chat.telegram_intake import Batch, DurableRequest, RawUpdate, Receiver
from bot.chat.telegram_outlet import Sender
from bot.chat.telegram_pictures import Pictures
from bot.chat.telegram_sheets import Sheets
from bot.chat.telegram_text import parts
from bot.chat.telegram_updates import KINDS, TRANSPORT, Reader
from bot.chat.telegram_webhook import Shown, Webhook
from bot.reminders.alarm import Alarm
from bot.store.database import Database, DatabaseProblem
from bot.store.people import CollectionSettings

ANSWER_WITHIN_S = 1.0
LONGEST_WAIT_S = 30.0
STOP_WITHIN_S = 1.5  # for each of three steps
MENU = (("due", "what is due"), ("undo", "take back the last note"), ("help", "what can be said"))
_LOG = logging.getLogger(__name__)

App = Application[Any, Any, Any, Any, Any, Any]


class Core(Protocol):
    """What works off the inbox and makes what falls due: the use cases, without any network."""

    def work(self, now: datetime) -> int:
        """Handle some of what came in, so little that it takes no time; return how many messages, 0 where none waits."""
        ...

    def round(self, now: datetime) -> datetime | None:
        """Put what is due by now into the outbox; return the next moment at which something may be."""
        ...


class TelegramProblem(Exception):
    """Telegram cannot be used as it is set up; `str()` is a sentence for a person, without the token."""


def run_telegram(
    account: Account, database: Database, core: Core, defaults: CollectionSettings, photos: Path | None = None
) -> None:
    """Run until SIGTERM or SIGINT, keeping pictures in the folder `photos`.

    Raises TelegramProblem where the token is refused, or a port is not to be had.
    """
    asyncio.run(_until_signalled(account, database, core, defaults, photos))


async def _until_signalled(
    account: Account, database: Database, core: Core, defaults: CollectionSettings, photos: Path | None
) -> None:
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for one in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(one, stop.set)
    await Edge(account, database, core, defaults, Tempo(), partial(print, flush=True), photos).run(stop)


@asynccontextmanager
async def _listening(site: Webhook, host: str, port: int) -> AsyncIterator[None]:
    """Listen while the block lasts. Raises TelegramProblem, in words, where that address or port is not to be had."""
    async with AsyncExitStack() as stack:
        try:
            await stack.enter_async_context(site.listening(host, port))
        except OSError as error:
            reason = error.strerror or type(error).__name__
            raise TelegramProblem(f"Nothing can listen on {host}, port {port}: {reason}. Set another address or port.") from None
        yield


class Edge:
    """Everything between the Bot API and the core, for one bot."""

    def __init__(
        self,
        account: Account,
        database: Database,
        core: Core,
        defaults: CollectionSettings,
        tempo: Tempo,
        say: Callable[[str], None],
        photos: Path | None = None,
    ) -> None:
        """Join the parts; `say` shows a line to who started the bot, `photos` is the folder that pictures are kept in."""
        self._account, self._database, self._core = account, database, core
        self._defaults, self._tempo, self._say, self._photos = defaults, tempo, say, photos
        self._thread = CoreThread()
        self._woken = asyncio.Event()
        self._refused = asyncio.Event()
        self._contact = Contact(database, self._thread, tempo.now)
        self._app = self._application()
        self._sender = Sender(self._app.bot, database, self._thread, tempo.now, tempo.pacing(), tempo.lease_s, photos)
        self._pictures = Pictures(self._app.bot, database, self._thread, tempo.now, photos, self._sender.wake) if photos else None
        self._sheets = Sheets(self._app.bot, database, self._thread, tempo.now, self._sender.wake)
        self._receiver: Receiver | None = None

    async def run(self, stop: asyncio.Event) -> None:
        """Receive, work and send until `stop` is set. Raises TelegramProblem where the token is refused."""
        try:
            if await self._persist(stop, self._app.initialize):
                await self._serve(stop)
        except InvalidToken:
            self._refused.set()
        finally:
            self._thread.close(STOP_WITHIN_S)
            with suppress(TelegramError):
                await self._app.shutdown()
                await self._app.bot.shutdown()  # closes the connections of an application that never got ready
        if self._refused.is_set():
            raise TelegramProblem("Telegram does not know this token. Ask @BotFather for the right one.")

    def wake(self) -> None:
        """Work off the inbox and look into the outbox now."""
        self._woken.set()
        self._sender.wake()

    async def keep(self, raws: Sequence[RawUpdate]) -> list[RawUpdate]:
        """Commit updates; return them as the chat library may see them. Raises DatabaseProblem; then none is committed."""
        assert self._receiver
        if self._account.webhook_url:
            await self._contact.made()
        batch = await self._thread.urgently(self._receiver.receive, raws, self._tempo.now())
        for change in batch.reachable:
            await self._sender.reachable(change.address, reachable=change.reachable)
        self._woken.set()
        self._sheets.wake()
        if self._pictures:
            self._pictures.wake()
        await self._answer(batch)
        return batch.passed

    def _application(self) -> App:
        os.environ.setdefault("PTB_TIMEDELTA", "1")  # the library's own switch to its coming type of durations
        builder = ApplicationBuilder().token(self._account.token).job_queue(None).concurrent_updates(False)
        if self._account.server:
            server = self._account.server.rstrip("/")
            builder = builder.base_url(f"{server}/bot").base_file_url(f"{server}/file/bot")
        if self._account.webhook_url:
            return builder.updater(None).build()
        return builder.get_updates_request(DurableRequest(self.keep, self._contact.made, self._refused)).build()

    async def _serve(self, stop: asyncio.Event) -> None:
        code = await self._thread(self._claim_code)
        name = self._app.bot.username
        await self._thread(self._keep_links, name)
        admission = Admission(TRANSPORT, self._defaults, code, f"https://t.me/{name}?start=")
        self._receiver = Receiver(self._database, Reader(self._account.bot_id, name), admission)
        alarm = Alarm(self._ring(), self._tempo.heartbeat_s)
        tasks = [asyncio.create_task(self._sender.run()), asyncio.create_task(self._work(alarm))]
        tasks.append(asyncio.create_task(self._sheets.run()))
        tasks += [asyncio.create_task(self._pictures.run())] if self._pictures else []
        try:
            with alarm:
                self._greet(code)
                async with self._updates(stop):
                    self.wake()
                    await _first_of(tasks, stop, self._refused)
                await self._sender.settle(STOP_WITHIN_S)
        finally:
            await _cancelled(tasks)

    def _claim_code(self) -> str:
        """The code that makes its sender the owner, "" where there is an owner."""
        with self._database.read() as connection:
            return "" if claimed(connection, TRANSPORT) else self._account.claim_code

    def _greet(self, code: str) -> None:
        self._say(f"@{self._app.bot.username} is listening.")
        if code:
            self._say(f"It has no owner yet. Send it this code from your own account: {code}")

    @asynccontextmanager
    async def _updates(self, stop: asyncio.Event) -> AsyncIterator[None]:
        """Take updates while the block lasts, by webhook where the account has one, else by polling."""
        await self._offer_menu()
        ways = self._by_webhook(stop) if self._account.webhook_url else self._by_polling(stop)
        async with ways, self._own_pages():
            yield

    @asynccontextmanager
    async def _own_pages(self) -> AsyncIterator[None]:
        """Serve the pages on a listener of their own, where the account names an address for them; no update is taken there."""
        account = self._account
        if not account.page_url:
            yield
            return
        site = Webhook("/", secrets.token_hex(32), self.keep, self._page_of)
        async with _listening(site, account.page_host, account.page_port):
            yield

    @asynccontextmanager
    async def _by_polling(self, stop: asyncio.Event) -> AsyncIterator[None]:
        assert self._app.updater
        await self._app.start()
        starting = asyncio.create_task(self._start_polling())  # ends only once there is a network
        try:
            await _first_of([starting], stop)
            yield
        finally:
            await _cancelled([starting])
            with suppress(TimeoutError):  # the last, confirming request needs the network
                async with asyncio.timeout(STOP_WITHIN_S):
                    await self._app.updater.stop()
            await self._app.stop()

    async def _start_polling(self) -> None:
        assert self._app.updater
        await self._app.updater.start_polling(
            timeout=timedelta(seconds=self._tempo.poll_s),
            bootstrap_retries=-1,
            allowed_updates=KINDS,
            drop_pending_updates=False,
            error_callback=_polling_failed,
        )

    @asynccontextmanager
    async def _by_webhook(self, stop: asyncio.Event) -> AsyncIterator[None]:
        account = self._account
        webhook = Webhook(urlsplit(account.webhook_url).path or "/", account.webhook_secret, self.keep, self._page_of)
        async with _listening(webhook, account.webhook_host, account.webhook_port):
            await self._persist(
                stop,
                lambda: self._app.bot.set_webhook(
                    account.webhook_url,
                    allowed_updates=KINDS,
                    secret_token=account.webhook_secret,
                    drop_pending_updates=False,
                ),
            )
            yield

    async def _page_of(self, target: bytes) -> Shown:
        pages = ListPage(self._database, self._tempo.now, self._photos)
        return await asyncio.to_thread(pages.drawn, await self._thread(pages.found, target))

    async def _persist(self, stop: asyncio.Event, action: Callable[[], Awaitable[object]]) -> bool:
        """Do `action` until Telegram has answered it; false where `stop` comes first or the token is refused."""
        wait_s = 1.0
        while not stop.is_set():
            try:
                await action()
            except InvalidToken:
                self._refused.set()
                return False
            except TelegramError as error:
                _LOG.warning("Telegram does not answer (%s); trying again in %.0f s.", type(error).__name__, wait_s)
            else:
                return True
            with suppress(TimeoutError):
                async with asyncio.timeout(wait_s):
                    await stop.wait()
            wait_s = min(2 * wait_s, LONGEST_WAIT_S)
        return False

    async def _offer_menu(self) -> None:
        """Set the commands of the menu where they are not the ones that Telegram has."""
        wanted = [BotCommand(name, description) for name, description in MENU]
        try:
            if list(await self._app.bot.get_my_commands()) != wanted:
                await self._app.bot.set_my_commands(wanted)
        except TelegramError as error:
            _LOG.warning("The menu could not be set: %s", type(error).__name__)

    async def _work(self, alarm: Alarm) -> None:
        """Work off the inbox whenever woken, until cancelled; what a note has made due soon is expected at its moment."""
        while True:
            await self._woken.wait()
            self._woken.clear()
            handled = 0
            try:
                while await self._thread(self._core.work, self._tempo.now()):
                    self._sender.wake()
                    handled += 1
                self._sender.wake()  # what was taken in may have been answered without the core
                if handled:
                    alarm.expect(await self._thread(self._core.round, self._tempo.now()))
                    self._sender.wake()
            except DatabaseProblem as problem:
                _LOG.error("The inbox cannot be worked off: %s", problem)
                await asyncio.sleep(1.0)
                self._woken.set()

    def _ring(self) -> Callable[[], datetime | None]:
        """What the alarm calls, in its own thread."""
        loop = asyncio.get_running_loop()

        def ring() -> datetime | None:
            try:
                return self._thread.submit(self._core.round, self._tempo.now()).result()
            except DatabaseProblem as problem:
                _LOG.error("What is due cannot be looked up: %s", problem)
                return None
            finally:
                loop.call_soon_threadsafe(self.wake)

        return ring

    def _keep_links(self, name: str) -> None:
        public = urlsplit(self._account.page_url or self._account.webhook_url)
        page = f"{public.scheme}://{public.netloc}{BEGINNING}" if public.netloc else ""
        with self._database.write() as conn:
            reachable(conn, Links(f"https://t.me/{name}?start=", page), self._tempo.now())

    async def _answer(self, batch: Batch) -> None:
        """Answer pressed buttons and strangers; what Telegram refuses (an old query) or does not take in time is let go."""
        bot = self._app.bot
        answers = [bot.answer_callback_query(query, text or None) for query, text in batch.answers]
        lines = [bot.send_message(int(address), batch.stranger_line) for address in batch.strangers]
        lines += [_in_parts(bot, int(address), text) for address, text in batch.lists]
        tasks = [asyncio.create_task(_tolerated(one)) for one in (*answers, *lines)]
        if tasks:
            _, late = await asyncio.wait(tasks, timeout=ANSWER_WITHIN_S)
            for task in late:
                task.cancel()


async def _in_parts(bot: Bot, address: int, text: str) -> None:
    for part in parts(text):
        await bot.send_message(address, part, link_preview_options=LinkPreviewOptions(is_disabled=True))


async def _tolerated(request: Awaitable[object]) -> None:
    try:
        await request
    except TelegramError as error:
        _LOG.info("An answer was not taken: %s", type(error).__name__)


def _polling_failed(error: TelegramError) -> None:
    if isinstance(error, Conflict):
        _LOG.error("Another program asks for this bot's messages at the same time. Stop one of the two.")
    else:
        _LOG.warning("Telegram does not answer: %s", type(error).__name__)


async def _first_of(tasks: Sequence[asyncio.Task[None]], *events: asyncio.Event) -> None:
    """Wait until one of the events is set. Raises what a task raised that ended before."""
    waits = [asyncio.create_task(event.wait()) for event in events]
    try:
        await asyncio.wait([*tasks, *waits], return_when=asyncio.FIRST_COMPLETED)
        for task in tasks:
            if task.done():
                task.result()
    finally:
        await _cancelled(waits)


async def _cancelled(tasks: Sequence[asyncio.Task[Any]]) -> None:
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)
