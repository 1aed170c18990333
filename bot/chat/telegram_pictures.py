"""Fetches the pictures that messages brought, and keeps them beside the database."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from telegram import Bot
from telegram.error import BadRequest, TelegramError

from bot.app.english.notices import PHOTO_LOST
from bot.chat.core_thread import CoreThread
from bot.messages import Outgoing
from bot.store import outbox, photo_files, photos
from bot.store.database import Database, DatabaseProblem
from bot.store.photos import Photo

LOOKS_EVERY_S = 60.0
LONGEST_WAIT = timedelta(hours=1)
MOST_TRIES = 30  # more than a day
_LOG = logging.getLogger(__name__)


class Pictures:
    """Fetches one picture after the other into `folder`; what cannot be had now is tried again, a minute later and longer."""

    def __init__(
        self,
        bot: Bot,
        database: Database,
        core: CoreThread,
        now: Callable[[], datetime],
        folder: Path,
        told: Callable[[], None],
    ) -> None:
        """Join the parts; nothing is fetched before `run`. `told` is called when a message about a picture waits to go out."""
        self._bot, self._database, self._core, self._now, self._folder = bot, database, core, now, folder
        self._told = told
        self._awake = asyncio.Event()

    def wake(self) -> None:
        """Look for pictures now."""
        self._awake.set()

    async def run(self) -> None:
        """Fetch until cancelled."""
        while True:
            self._awake.clear()
            try:
                for photo in await self._core(self._waiting):
                    await self._fetch(photo)
                    self._told()
            except DatabaseProblem as problem:
                _LOG.error("Pictures cannot be looked up: %s", problem)
            with suppress(TimeoutError):
                async with asyncio.timeout(LOOKS_EVERY_S):
                    await self._awake.wait()

    async def _fetch(self, photo: Photo) -> None:
        try:
            content = await self._content(photo)
            kind = photo_files.kind_of(content)
            if kind is None:
                await self._core(self._give_up, photo, "it is no picture that I know")
            else:
                await self._core(self._keep, photo, content, kind)
        except (BadRequest, _TooLargeError) as error:
            _LOG.warning("Picture %d is not to be had: %s", photo.id, type(error).__name__)
            await self._core(self._give_up, photo, "Telegram does not hand it out")
        except (TelegramError, OSError) as error:
            _LOG.warning("Picture %d is tried again later: %s", photo.id, type(error).__name__)
            await self._core(self._try_again, photo, type(error).__name__)

    async def _content(self, photo: Photo) -> bytes:
        """The bytes of the file. Raises TelegramError, _TooLargeError."""
        file = await self._bot.get_file(photo.file_key)
        if (file.file_size or 0) > photo_files.MOST_BYTES:
            raise _TooLargeError
        content = bytes(await file.download_as_bytearray())
        if file.file_size is not None and len(content) != file.file_size:
            raise TelegramError("the file came in part")
        return content

    def _waiting(self) -> list[Photo]:
        with self._database.read() as connection:
            return photos.waiting(connection, self._now())

    def _keep(self, photo: Photo, content: bytes, kind: str) -> None:
        """Write the file under a name that nobody but the bot chooses, then say so."""
        name = f"{photo.taken_on:%Y}/{photo.public_id}.{kind}"
        photo_files.write(self._folder, name, content)
        with self._database.write() as connection:
            photos.mark_kept(connection, photo.id, name)

    def _try_again(self, photo: Photo, error: str) -> None:
        if photo.attempts >= MOST_TRIES:
            self._give_up(photo, "Telegram did not hand it out for a day")
            return
        wait = min(timedelta(minutes=2.0**photo.attempts), LONGEST_WAIT)
        with self._database.write() as connection:
            photos.mark_failed(connection, photo.id, error, self._now() + wait)

    def _give_up(self, photo: Photo, reason: str) -> None:
        text = PHOTO_LOST.format(day=f"{photo.taken_on.day} {photo.taken_on:%b}", reason=reason)
        with self._database.write() as connection:
            photos.mark_failed(connection, photo.id, reason, None)
            outbox.put(connection, f"photo:{photo.id}", photo.chat_id, Outgoing(text), "notice", self._now())


class _TooLargeError(Exception):
    """A file that the Bot API does not hand out."""
