"""Tells a service manager (systemd) that the bot is ready and alive, over the socket that NOTIFY_SOCKET names.

The protocol is that of sd_notify(3): lines of KEY=value in a datagram. Without that variable nothing is sent.
"""

from __future__ import annotations

import os
import socket
import time
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Protocol

TOLD_EVERY_S = 5.0


class Core(Protocol):
    """What a chat calls to have its messages worked off."""

    def work(self, now: datetime) -> int:
        """Handle some; return how many."""
        ...

    def round(self, now: datetime) -> datetime | None:
        """Do what is due; return the next moment."""
        ...


def notify(state: str, environment: Mapping[str, str] = os.environ) -> bool:
    """Send a state such as READY=1; whether there was anybody to send it to."""
    address = environment.get("NOTIFY_SOCKET", "")
    if not address or address[0] not in "/@":
        return False
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as sending:
            sending.sendto(state.encode(), "\0" + address[1:] if address[0] == "@" else address)
    except OSError:
        return False
    return True


class Watched:
    """A core that is watched: each time it is asked for work the manager hears that the bot is alive.

    The edge asks at each heartbeat, through its event loop and the core's thread: where one of them hangs nothing is heard,
    and the manager starts the bot anew. Until the edge first asks (no network yet) `waiting` speaks in its place.
    """

    def __init__(self, core: Core, tell: Callable[[str], object] = notify, seconds: Callable[[], float] = time.monotonic) -> None:
        """Wrap a core."""
        self._core, self._tell, self._seconds = core, tell, seconds
        self._begun, self._told_at = False, -TOLD_EVERY_S

    def work(self, now: datetime) -> int:
        """Handle some messages; return how many."""
        self._begun = True
        self._alive()
        return self._core.work(now)

    def round(self, now: datetime) -> datetime | None:
        """Do what is due; return the next moment."""
        return self._core.round(now)

    def waiting(self) -> None:
        """Say that the bot is alive while it has not begun."""
        if not self._begun:
            self._alive()

    def _alive(self) -> None:
        if self._seconds() - self._told_at >= TOLD_EVERY_S:
            self._told_at = self._seconds()
            self._tell("WATCHDOG=1")
