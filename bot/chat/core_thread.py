"""The one thread in which the synchronous core runs while an edge waits on the network."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Result = TypeVar("Result")


class CoreThread:
    """Runs functions one after the other, in the order in which they were given."""

    def __init__(self) -> None:
        """Begin with nothing to do."""
        self._executor = ThreadPoolExecutor(1, thread_name_prefix="core")

    async def __call__(self, function: Callable[Given, Result], *given: Given.args, **named: Given.kwargs) -> Result:
        """Run `function` and return its result; it runs to its end even where the waiting is cancelled."""
        return await asyncio.wrap_future(self.submit(function, *given, **named))

    def submit(self, function: Callable[Given, Result], *given: Given.args, **named: Given.kwargs) -> Future[Result]:
        """Run `function` from another thread than the edge's."""
        return self._executor.submit(function, *given, **named)

    def close(self) -> None:
        """Finish what is running and drop what is still waiting to run."""
        self._executor.shutdown(wait=True, cancel_futures=True)
