"""When Telegram was last in touch, so that a stop longer than it keeps messages is noticed and told."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from bot.app.absence import in_touch
from bot.chat.core_thread import CoreThread
from bot.chat.telegram_updates import TRANSPORT
from bot.store.database import Database, DatabaseProblem

KEEPS = timedelta(hours=24)
NOTED_EVERY = timedelta(minutes=10)
_LOG = logging.getLogger(__name__)


class Contact:
    """Notes in the database, every few minutes, that Telegram was reached."""

    def __init__(self, database: Database, core: CoreThread, now: Callable[[], datetime]) -> None:
        """Begin without knowing when that was."""
        self._database, self._core, self._now = database, core, now
        self._noted: datetime | None = None

    async def made(self) -> None:
        """Telegram has just answered. What it did not keep since it answered last is told to every chat."""
        now = self._now()
        if self._noted is not None and timedelta(0) <= now - self._noted < NOTED_EVERY:
            return
        try:
            await self._core.urgently(self._note, now)
        except DatabaseProblem as problem:
            _LOG.error("That Telegram was reached cannot be noted: %s", problem)
        else:
            self._noted = now

    def _note(self, now: datetime) -> None:
        with self._database.write() as connection:
            if in_touch(connection, TRANSPORT, now, KEEPS):
                _LOG.warning("Telegram was out of reach for more than a day; every chat is told.")
