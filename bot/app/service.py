"""The use cases as an edge calls them that runs for years: work off what came in, put out what is due."""

from __future__ import annotations

from datetime import datetime

from bot.app.intake import Intake
from bot.app.rounds import next_wake, run_rounds
from bot.store.database import Database
from bot.store.people import CollectionSettings


class Service:
    """One database, and how a new collection in it is set up."""

    def __init__(self, database: Database, defaults: CollectionSettings) -> None:
        """Join the parts."""
        self._database, self._intake = database, Intake(database, defaults)

    def work(self, now: datetime) -> int:
        """Handle the oldest message that waits; return how many that were, 0 or 1."""
        return self._intake.work(now, most=1)

    def round(self, now: datetime) -> datetime | None:
        """Put what is due by now into the outbox; return the next moment at which something may be."""
        run_rounds(self._database, now, self._intake.memory)
        return next_wake(self._database, now)
