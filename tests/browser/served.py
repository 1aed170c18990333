"""The pages of the bot on a loopback port, and the system's Chromium."""

from __future__ import annotations

import asyncio
import shutil
import threading
from collections.abc import Sequence

from bot.chat.telegram_intake import RawUpdate
from bot.chat.telegram_webhook import Pages, Webhook

# no sandbox: the suite may run as root; the rest keeps the browser itself from asking the network for anything
SWITCHES = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
            "--disable-component-update", "--disable-sync")  # fmt: skip


def find_chromium() -> str | None:
    """Return the browser of the system, None where there is none."""
    return next((found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None)


async def _keep(raws: Sequence[RawUpdate]) -> Sequence[RawUpdate]:
    return raws


class Served:
    """The listener of the pages, on a thread with a loop of its own; entering it gives the port."""

    def __init__(self, pages: Pages) -> None:
        """Join the parts."""
        self._pages, self._ready, self.port = pages, threading.Event(), 0
        self._thread = threading.Thread(target=lambda: asyncio.run(self._serve()))  # run ends what a browser left open

    async def _serve(self) -> None:
        self._loop, self._stop = asyncio.get_running_loop(), asyncio.Event()
        async with Webhook("/hook", "s" * 64, _keep, self._pages).listening("127.0.0.1", 0) as self.port:
            self._ready.set()
            await self._stop.wait()

    def __enter__(self) -> int:
        self._thread.start()
        assert self._ready.wait(10)
        return self.port

    def __exit__(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._stop.set)
        self._thread.join(10)
