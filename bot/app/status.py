"""How a bot that runs unseen is doing: what waits, what came last, when it was backed up, what comes next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from bot.app.rounds import next_wake
from bot.app.upkeep import FAILED, MADE, REACHED
from bot.store import inbox, marks, outbox
from bot.store.database import Database
from bot.store.migrations import stored_revision
from bot.store.sizes import size_bytes

BACKUP_WITHIN = timedelta(hours=26)
REACHED_WITHIN = timedelta(minutes=30)
NOT_RUNNING, NOT_REACHED = "the bot does not run", "Telegram was not reached for half an hour"


@dataclass(frozen=True, slots=True)
class Status:
    """What `potside status` shows; moments are UTC, None where there was none.

    `troubles` are sentences about what a person should look at; `running` is None where it cannot be told.
    """

    version: str
    revision: str
    database: str
    size_bytes: int
    running: bool | None
    inbox: Mapping[str, int]
    outbox: Mapping[str, int]
    last_update: datetime | None
    telegram_reached: datetime | None
    last_backup: datetime | None
    backup_failed: datetime | None
    next_wake: datetime | None
    troubles: tuple[str, ...] = ()

    @property
    def well(self) -> bool:
        """Whether the bot runs and reaches Telegram, which is what a restart may mend."""
        return NOT_RUNNING not in self.troubles and NOT_REACHED not in self.troubles

    def to_json(self) -> dict[str, Any]:
        """Return it as JSON values."""
        return {name: value.isoformat() if isinstance(value, datetime) else value for name, value in asdict(self).items()}

    def lines(self) -> list[str]:
        """Return it for a person."""
        running = {True: "running", False: "not running", None: "on a server"}[self.running]
        return [
            f"Potside {self.version}, {running}",
            f"database: {self.database}, {self.size_bytes / 1024**2:.1f} MB, schema {self.revision}",
            f"in: {self.inbox['open']} waiting, {self.inbox['done']} handled, {self.inbox['poison']} set aside",
            f"out: {self.outbox['waiting']} waiting, {self.outbox['sent']} sent, {self.outbox['failed']} given up",
            f"last message in: {_shown(self.last_update)}",
            f"Telegram reached: {_shown(self.telegram_reached)}",
            f"last backup: {_shown(self.last_backup)}",
            f"next wake: {_shown(self.next_wake)}",
            *(f"LOOK: {one}" for one in self.troubles),
        ]


def status_of(database: Database, version: str, now: datetime, *, running: bool | None) -> Status:
    """Return how a database's bot is doing at `now`; `running` whether a program holds the file."""
    with database.read() as conn:
        found = Status(
            version=version,
            revision=stored_revision(conn) or "",
            database=database.name,
            size_bytes=size_bytes(conn),
            running=running,
            inbox=inbox.counts(conn),
            outbox=outbox.counts(conn),
            last_update=inbox.latest_got_at(conn),
            telegram_reached=marks.marked(conn, REACHED),
            last_backup=marks.marked(conn, MADE),
            backup_failed=marks.marked(conn, FAILED),
            next_wake=None,
        )
    return replace(found, next_wake=next_wake(database, now), troubles=tuple(_troubles(found, now)))


def _troubles(status: Status, now: datetime) -> list[str]:
    found = []
    if status.running is False:
        found.append(NOT_RUNNING)
    reached = status.telegram_reached
    if reached is not None and status.running is not False and now - reached > REACHED_WITHIN:
        found.append(NOT_REACHED)
    if status.backup_failed is not None:
        found.append("the last backup failed")
    elif status.last_update is not None and (status.last_backup is None or now - status.last_backup > BACKUP_WITHIN):
        found.append("there is no backup of the last day")
    if status.inbox["poison"]:
        found.append("messages are set aside: potside inbox")
    if status.last_update is not None and status.last_update > now + timedelta(minutes=1):
        found.append("the clock stands before the last message; is it right?")
    return found


def _shown(moment: datetime | None) -> str:
    return "never" if moment is None else f"{moment:%Y-%m-%d %H:%M} UTC"
