"""The alarm rings at its start, with its heartbeat and at the moment it was told, in one thread, and stops cleanly."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

from bot.reminders.alarm import Alarm

PATIENCE_S = 20


class Bell:
    """Counts its rings; `rung` is set when there were `wanted`."""

    def __init__(self, wanted: int, following: timedelta | None = None) -> None:
        self.rings = 0
        self.threads: set[str] = set()
        self.rung = threading.Event()
        self._wanted = wanted
        self._following = following

    def __call__(self) -> datetime | None:
        self.rings += 1
        self.threads.add(threading.current_thread().name)
        if self.rings >= self._wanted:
            self.rung.set()
            return None
        return datetime.now(UTC) + self._following if self._following else None


def test_rings_at_the_start() -> None:
    bell = Bell(1)
    with Alarm(bell, heartbeat_s=3600):
        assert bell.rung.wait(PATIENCE_S)
    assert bell.rings == 1


def test_rings_at_the_moment_that_the_last_ring_returned() -> None:
    bell = Bell(4, following=timedelta(milliseconds=20))
    with Alarm(bell, heartbeat_s=3600):
        assert bell.rung.wait(PATIENCE_S)
    assert bell.rings == 4


def test_rings_with_the_heartbeat_in_one_thread() -> None:
    bell = Bell(4)
    with Alarm(bell, heartbeat_s=0.02):
        assert bell.rung.wait(PATIENCE_S)
    assert len(bell.threads) == 1
    assert threading.current_thread().name not in bell.threads


def test_rings_when_told_even_for_a_moment_that_is_past() -> None:
    bell = Bell(2)
    with Alarm(bell, heartbeat_s=3600) as alarm:
        alarm.expect(datetime.now(UTC) - timedelta(hours=2))
        alarm.expect(None)
        deadline = datetime.now(UTC) + timedelta(seconds=PATIENCE_S)
        while not bell.rung.wait(0.05) and datetime.now(UTC) < deadline:
            alarm.expect(datetime.now(UTC) - timedelta(hours=2))
    assert bell.rung.is_set()


def test_stops_at_any_moment_and_leaves_no_thread() -> None:
    before = set(threading.enumerate())
    for number in range(60):
        bell = Bell(1 + number % 3, following=timedelta(0))
        with Alarm(bell, heartbeat_s=0.001):
            if number % 2:
                assert bell.rung.wait(PATIENCE_S)
    assert set(threading.enumerate()) == before


def test_stops_while_a_ring_is_under_way() -> None:
    order: list[str] = []
    started = threading.Event()

    def ring() -> datetime | None:
        started.set()
        while not alarm._ending:  # the stop has begun, and waits for this ring
            threading.Event().wait(0.001)
        order.append("ring")
        return datetime.now(UTC)

    alarm = Alarm(ring, heartbeat_s=3600)

    def live() -> None:
        with alarm:
            assert started.wait(PATIENCE_S)
        order.append("stopped")

    thread = threading.Thread(target=live, daemon=True)
    thread.start()
    thread.join(PATIENCE_S)
    assert order == ["ring", "stopped"]
