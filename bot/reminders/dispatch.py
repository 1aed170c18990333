"""From the outbox to an outlet: in order within each chat, under a lease, tried again, and given up in the end.

A message may go out twice after a crash between sending and marking, but none is lost; see `bot.store.outbox`.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Protocol

from bot.store import outbox
from bot.store.database import Database
from bot.store.outbox import OutboxRow

LEASE_S = 60.0
WAITS_S = (5.0, 30.0, 120.0, 600.0, 1800.0)  # after the first, second, … failure; the last one from then on
SHORTEST_WAIT_S = 1.0
GIVE_UP_AFTER = timedelta(hours=24)  # measured from when the message was made, and
TRIES = 5  # never before so many tries, so that a message that waited out a long stop is still sent


class OutletProblem(Exception):
    """A message did not go out, or nobody knows whether it did.

    `final`: it never will, do not try again. `retry_after_s`: how long the other side asks to wait, None where it says nothing.
    """

    def __init__(self, retry_after_s: float | None, *, final: bool, reason: str = "") -> None:
        """Keep what is known; `reason` is kept with the message and holds no secret."""
        super().__init__(reason)
        self.retry_after_s = retry_after_s
        self.final = final


class Outlet(Protocol):
    """Where messages go out: the narrow way to one transport."""

    def send(self, row: OutboxRow) -> str:
        """Send one message and return the chat's own key of it. Raises OutletProblem."""
        ...


def dispatch(database: Database, outlet: Outlet, now: datetime, *, transport: str | None = None) -> int:
    """Send what may be sent at `now`, of one transport or of all, until nothing is left; return how many went out."""
    sent = 0
    while True:
        with database.write(synced=False) as connection:
            rows = outbox.claim(connection, now, LEASE_S, transport=transport)
        if not rows:
            return sent
        sent += sum(_sent(database, outlet, row, now) for row in rows)


def retry_at(row: OutboxRow, now: datetime, asked_s: float | None = None) -> datetime | None:
    """Return when to try a message again that just failed, not before `asked_s` seconds; None to give it up."""
    if row.attempts >= TRIES and now - row.created_at > GIVE_UP_AFTER:
        return None
    usual_s = WAITS_S[min(row.attempts, len(WAITS_S)) - 1]
    return now + timedelta(seconds=max(usual_s if asked_s is None else asked_s, SHORTEST_WAIT_S))


def _sent(database: Database, outlet: Outlet, row: OutboxRow, now: datetime) -> bool:
    try:
        key = outlet.send(row)
    except OutletProblem as problem:
        again = None if problem.final else retry_at(row, now, problem.retry_after_s)
        reason = str(problem) or type(problem).__name__
    except Exception as error:  # noqa: BLE001  a door: one message that breaks its outlet must not stop the others
        again, reason = retry_at(row, now), f"{type(error).__name__}"
    else:
        with database.write(synced=False) as connection:  # at once, not for good: a power cut may bring it twice
            outbox.mark_sent(connection, row.id, key, now, row.outgoing.text)
        return True
    with database.write() as connection:
        outbox.mark_failed(connection, row.id, reason, again)
    return False
