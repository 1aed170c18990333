"""Sends what the outbox holds for Telegram: paced, in order within each chat, several chats at once."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from telegram import Bot, LinkPreviewOptions, Message
from telegram.error import TelegramError

from bot.chat.core_thread import CoreThread
from bot.chat.telegram_failures import Failure, judge
from bot.chat.telegram_text import keyboard, parts
from bot.chat.telegram_updates import TRANSPORT
from bot.messages import Attached
from bot.reminders.dispatch import retry_at
from bot.reminders.pacing import Pacing
from bot.sharing.files import content
from bot.store import marks, outbox, people
from bot.store.database import Database, DatabaseProblem
from bot.store.outbox import OutboxRow

AT_ONCE = 20
LONGEST_WAIT_S = 60.0
SENT_AS_PHOTO = ("image/jpeg", "image/png", "image/webp")  # what Telegram shows in the chat; any other image is a document
FILE_S = 60.0  # how long a file may take on its way
_QUIET = f"quiet:{TRANSPORT}:"
_LOG = logging.getLogger(__name__)


class Sender:
    """Claims messages under a lease of `lease_s` seconds, sends them and marks what became of them.

    A message of which nobody knows whether it arrived is tried again once its lease is over: rather twice than never. A
    chat that has blocked the bot is quiet: its messages are given up without a try until `reachable` lets it in again.
    """

    def __init__(
        self,
        bot: Bot,
        database: Database,
        core: CoreThread,
        now: Callable[[], datetime],
        pacing: Pacing,
        lease_s: float,
        photos: Path | None = None,
    ) -> None:
        """Join the parts; nothing is sent before `run`. `photos` is the folder of the photos that some files show."""
        self._photos = photos
        self._bot, self._database, self._core, self._now = bot, database, core, now
        self._pacing, self._lease_s = pacing, lease_s
        self._awake = asyncio.Event()
        self._in_flight: dict[int, asyncio.Task[None]] = {}
        self._requested: set[int] = set()
        self._sent_parts: dict[int, list[str]] = {}
        self._quiet: set[str] = set()

    def wake(self) -> None:
        """Look into the outbox now."""
        self._awake.set()

    async def reachable(self, address: str, *, reachable: bool) -> None:
        """Let a chat in again, or hold it quiet; kept in the database, so that it holds after a restart."""
        if reachable != (address in self._quiet):
            return
        if reachable:
            self._quiet.discard(address)
        else:
            self._quiet.add(address)
        await self._core.urgently(self._mark_quiet, address, quiet=not reachable)

    async def run(self) -> None:
        """Send until cancelled."""
        await self._core(self._begin)
        while True:
            self._awake.clear()
            try:
                for row in await self._core.urgently(self._claim, AT_ONCE - len(self._in_flight)):
                    self._start(row)
                until_next_s = 0.0 if self._awake.is_set() else await self._core.urgently(self._until_next_s)
            except DatabaseProblem as problem:
                _LOG.error("The outbox cannot be read: %s", problem)
                until_next_s = 1.0
            await self._rest(until_next_s)

    async def settle(self, within_s: float) -> None:
        """Wait for what has been handed to Telegram, at most `within_s` seconds; what still waits its turn stays unsent."""
        for outbox_id, task in self._in_flight.items():
            if outbox_id not in self._requested:
                task.cancel()
        tasks = list(self._in_flight.values())
        if tasks:
            await asyncio.wait(tasks, timeout=within_s)
        for task in tasks:
            task.cancel()

    async def _rest(self, seconds: float) -> None:
        if self._awake.is_set():
            return
        try:
            async with asyncio.timeout(seconds):
                await self._awake.wait()
        except TimeoutError:
            pass

    def _start(self, row: OutboxRow) -> None:
        """Send a message beside the others, unless it is being sent still: a clock that jumps ends a lease early."""
        if row.id not in self._in_flight:
            task = self._in_flight[row.id] = asyncio.create_task(self._deliver(row))
            task.add_done_callback(lambda _: self._landed(row.id))

    def _landed(self, outbox_id: int) -> None:
        del self._in_flight[outbox_id]
        self._requested.discard(outbox_id)
        self.wake()

    async def _deliver(self, row: OutboxRow) -> None:
        """Send one message and mark it. Where it cannot be marked now, it is marked, not sent, when it is claimed again."""
        try:
            try:
                key = await self._send(row)
            except TelegramError as error:
                await self._failed(row, judge(error))
            else:
                await self._core.urgently(self._mark_sent, row, key)
                self._sent_parts.pop(row.id, None)
        except DatabaseProblem as problem:
            _LOG.error("What became of message %d cannot be written: %s", row.id, problem)
        except Exception:  # noqa: BLE001  a door: one message must not stop the others
            _LOG.exception("Message %d broke its way out", row.id)
            await self._core.urgently(self._mark_failed, row, "broke its way out", retry_at(row, self._now()))

    async def _send(self, row: OutboxRow) -> str:
        """Send the parts of a message that have not gone yet; the chat's own number of the last one."""
        texts = parts(row.outgoing.text)
        sent = self._sent_parts.setdefault(row.id, [])
        for number in range(len(sent), len(texts)):
            if row.address in self._quiet:
                break
            await self._paced(row.address)
            buttons = keyboard(row.id, row.outgoing) if number == len(texts) - 1 else None
            self._requested.add(row.id)
            message: Message = await self._bot.send_message(
                int(row.address), texts[number], reply_markup=buttons, link_preview_options=LinkPreviewOptions(is_disabled=True)
            )
            sent.append(str(message.message_id))
        for file in row.outgoing.files[len(sent) - len(texts) :] if len(sent) >= len(texts) else ():
            if row.address in self._quiet:
                break
            await self._paced(row.address)
            sent.append(await self._send_file(row, file))
        return sent[len(texts) - 1] if len(sent) >= len(texts) else ""

    async def _send_file(self, row: OutboxRow, file: Attached) -> str:
        """Make a file beside the loop and send it, a picture as such; the chat's own number of it."""
        made = file.recipe["file_key"] if file.recipe["kind"] == "photo" else await asyncio.to_thread(content, file, self._photos)
        self._requested.add(row.id)
        send = self._bot.send_photo if file.media_type in SENT_AS_PHOTO else self._bot.send_document
        sent: Message = await send(int(row.address), made, filename=file.name, read_timeout=FILE_S, write_timeout=FILE_S)
        return str(sent.message_id)

    async def _paced(self, address: str) -> None:
        clock = asyncio.get_running_loop().time
        await asyncio.sleep(self._pacing.chat_wait_s(address, clock()))
        await asyncio.sleep(self._pacing.overall_wait_s(clock()))

    async def _failed(self, row: OutboxRow, failure: Failure) -> None:
        _LOG.warning("Message %d did not go out (%s): %s", row.id, failure.fate, failure.reason)
        again: datetime | None = None
        if failure.fate == "quiet":
            await self.reachable(row.address, reachable=False)
        elif failure.fate == "moved":
            await self._core.urgently(self._move, row.address, failure.new_address)
            again = self._now()
        elif failure.fate != "final":
            again = retry_at(row, self._now(), self._wait_s(row, failure))
        if again is None:
            self._sent_parts.pop(row.id, None)
        await self._core.urgently(self._mark_failed, row, failure.reason, again)

    def _wait_s(self, row: OutboxRow, failure: Failure) -> float:
        if failure.fate == "wait":
            return failure.wait_s
        backoff_s = min(2.0**row.attempts, LONGEST_WAIT_S)
        return max(backoff_s, self._lease_s) if failure.fate == "unknown" else backoff_s

    def _begin(self) -> None:
        with self._database.write() as connection:
            outbox.release(connection, TRANSPORT)
            self._quiet.update(name.removeprefix(_QUIET) for name in marks.names_marked(connection, _QUIET))

    def _mark_quiet(self, address: str, *, quiet: bool) -> None:
        with self._database.write() as connection:
            if quiet:
                marks.mark(connection, _QUIET + address, self._now())
            else:
                marks.unmark(connection, _QUIET + address)

    def _claim(self, most: int) -> list[OutboxRow]:
        if most <= 0:
            return []
        now = self._now()
        with self._database.write(synced=False) as connection:
            outbox.bring_back(connection, TRANSPORT, now)
            return outbox.claim(connection, now, self._lease_s, most, transport=TRANSPORT)

    def _until_next_s(self) -> float:
        with self._database.read() as connection:
            moment = outbox.next_send_at(connection, transport=TRANSPORT)
        wait_s = LONGEST_WAIT_S if moment is None else (moment - self._now()).total_seconds()
        return min(max(wait_s, 0.05), LONGEST_WAIT_S)

    def _mark_sent(self, row: OutboxRow, key: str) -> None:
        with self._database.write(synced=False) as connection:  # at once, not for good: a power cut may bring it twice
            if key:
                outbox.mark_sent(connection, row.id, key, self._now(), row.outgoing.text)
            else:
                outbox.mark_failed(connection, row.id, "nothing to send, or the chat is quiet", None)

    def _mark_failed(self, row: OutboxRow, reason: str, again: datetime | None) -> None:
        with self._database.write() as connection:
            outbox.mark_failed(connection, row.id, reason, again)

    def _move(self, old_address: str, new_address: str) -> None:
        with self._database.write() as connection:
            people.move_chat(connection, TRANSPORT, old_address, new_address)
