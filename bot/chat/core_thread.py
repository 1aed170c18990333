"""The one thread in which the synchronous core runs while an edge waits on the network."""

from __future__ import annotations

import asyncio
import itertools
import queue
import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, ParamSpec, TypeVar

Given = ParamSpec("Given")
Result = TypeVar("Result")

URGENT, USUAL = 0, 1


class CoreThread:
    """Runs functions one after the other: urgent ones first, else in the order in which they were given."""

    def __init__(self) -> None:
        """Begin with nothing to do."""
        self._waiting: queue.PriorityQueue[tuple[int, int, Callable[[], None] | None]] = queue.PriorityQueue()
        self._numbers = itertools.count()
        self._thread = threading.Thread(target=self._run, name="core", daemon=True)
        self._thread.start()

    async def __call__(self, function: Callable[Given, Result], *given: Given.args, **named: Given.kwargs) -> Result:
        """Run `function` and return its result; once begun it runs to its end even where the waiting is cancelled."""
        return await asyncio.wrap_future(self.submit(function, *given, **named))

    async def urgently(self, function: Callable[Given, Result], *given: Given.args, **named: Given.kwargs) -> Result:
        """Run `function` before all that waits and is not urgent itself."""
        return await asyncio.wrap_future(self._submit(URGENT, function, *given, **named))

    def submit(self, function: Callable[Given, Result], *given: Given.args, **named: Given.kwargs) -> Future[Result]:
        """Run `function` from another thread than the edge's."""
        return self._submit(USUAL, function, *given, **named)

    def close(self, within_s: float) -> None:
        """End after what is running and what is urgent; wait for it at most `within_s` seconds."""
        self._waiting.put((URGENT, next(self._numbers), None))
        self._thread.join(within_s)

    def _submit(self, rank: int, function: Callable[..., Result], *given: Any, **named: Any) -> Future[Result]:
        future: Future[Result] = Future()

        def run() -> None:
            if not future.set_running_or_notify_cancel():
                return
            try:
                future.set_result(function(*given, **named))
            except BaseException as error:  # noqa: BLE001  whoever waits for it is to see it
                future.set_exception(error)

        self._waiting.put((rank, next(self._numbers), run))
        return future

    def _run(self) -> None:
        while (task := self._waiting.get()[2]) is not None:
            task()
