"""Wakes the rounds while a chat is open. It keeps no jobs: what is due stands in the database."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import UTC, datetime
from types import TracebackType
from typing import Any

HEARTBEAT_S = 30


class Alarm:
    """Calls `ring` every `heartbeat_s` seconds, and at the moment that the latest ring returned.

    `ring` runs in a thread of the alarm, never twice at once, and returns the next moment (aware UTC) at which something
    falls due, or None. Used as a context: entering starts it, leaving waits for a ring that is under way.
    """

    def __init__(self, ring: Callable[[], datetime | None], heartbeat_s: float = HEARTBEAT_S) -> None:
        """Set the alarm without starting it."""
        from apscheduler.executors.pool import ThreadPoolExecutor  # noqa: PLC0415  slow to load; a chat without an alarm needs none
        from apscheduler.schedulers.background import BackgroundScheduler  # noqa: PLC0415

        self._ring = ring
        self._lock = threading.Lock()
        self._ending = False
        self._scheduler: Any = BackgroundScheduler(
            timezone=UTC,
            executors={"default": ThreadPoolExecutor(1)},
            job_defaults={"misfire_grace_time": None, "coalesce": True, "max_instances": 1},
        )
        self._scheduler.add_job(self._wake, "interval", seconds=heartbeat_s, id="heartbeat")

    def expect(self, moment: datetime | None) -> None:
        """Ring at `moment` (aware UTC) too, in place of the moment expected before; None leaves only the heartbeat."""
        with self._lock:
            if moment is not None and not self._ending:
                self._scheduler.add_job(self._wake, "date", run_date=moment, id="next", replace_existing=True)

    def _wake(self) -> None:
        self.expect(self._ring())

    def __enter__(self) -> Alarm:
        """Start, and ring at once."""
        self.expect(datetime.now(UTC))
        self._scheduler.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        """Stop, waiting for a ring that is under way.

        The scheduler waits with its lock held, so that ring must not set another job by then; and it stumbles over a job that
        falls due while it stops, so it is given none.
        """
        with self._lock:
            self._ending = True
        self._scheduler.remove_all_jobs()
        self._scheduler.shutdown(wait=True)
