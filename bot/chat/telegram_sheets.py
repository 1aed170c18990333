"""Fetches the spreadsheets of plants that messages brought, and says what is in them."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta

from telegram import Bot
from telegram.error import BadRequest, TelegramError

from bot.app.english.notices import SHEET_LOST
from bot.app.plants_table import MOST_BYTES
from bot.app.plants_upload import fetched
from bot.chat.core_thread import CoreThread
from bot.messages import Outgoing
from bot.store import outbox, sheets
from bot.store.database import Database, DatabaseProblem
from bot.store.sheets import Sheet

LOOKS_EVERY_S = 60.0
MOST_TRIES = 10  # some hours
_LOG = logging.getLogger(__name__)


class Sheets:
    """Fetches one file after the other; what cannot be had now is tried again, a minute later and longer."""

    def __init__(
        self, bot: Bot, database: Database, core: CoreThread, now: Callable[[], datetime], told: Callable[[], None]
    ) -> None:
        """Join the parts; nothing is fetched before `run`. `told` is called when a message about a file waits to go out."""
        self._bot, self._database, self._core, self._now, self._told = bot, database, core, now, told
        self._awake = asyncio.Event()

    def wake(self) -> None:
        """Look for files now."""
        self._awake.set()

    async def run(self) -> None:
        """Fetch until cancelled."""
        while True:
            self._awake.clear()
            try:
                for sheet in await self._core(self._waiting):
                    await self._fetch(sheet)
                    self._told()
            except DatabaseProblem as problem:
                _LOG.error("Files of plants cannot be looked up: %s", problem)
            with suppress(TimeoutError):
                async with asyncio.timeout(LOOKS_EVERY_S):
                    await self._awake.wait()

    async def _fetch(self, sheet: Sheet) -> None:
        try:
            file = await self._bot.get_file(sheet.file_key)
            if (file.file_size or 0) > MOST_BYTES:
                await self._core(self._give_up, sheet)
                return
            content = bytes(await file.download_as_bytearray())
        except BadRequest:
            await self._core(self._give_up, sheet)
        except (TelegramError, OSError) as error:
            _LOG.warning("File %d is tried again later: %s", sheet.id, type(error).__name__)
            await self._core(self._try_again, sheet)
        else:
            await self._core(self._keep, sheet, content)

    def _waiting(self) -> list[Sheet]:
        with self._database.read() as connection:
            return sheets.waiting(connection, self._now())

    def _keep(self, sheet: Sheet, content: bytes) -> None:
        with self._database.write() as connection:
            message = fetched(connection, sheet, content, self._now())
            outbox.put(connection, f"sheet:{sheet.id}", sheet.chat_id, message, "notice", self._now())

    def _try_again(self, sheet: Sheet) -> None:
        if sheet.attempts >= MOST_TRIES:
            self._give_up(sheet)
            return
        with self._database.write() as connection:
            sheets.put_off(connection, sheet.id, self._now() + timedelta(minutes=2.0**sheet.attempts))

    def _give_up(self, sheet: Sheet) -> None:
        with self._database.write() as connection:
            sheets.close(connection, sheet.id)
            text = SHEET_LOST.format(name=sheet.name)
            outbox.put(connection, f"sheet:{sheet.id}", sheet.chat_id, Outgoing(text), "notice", self._now())
