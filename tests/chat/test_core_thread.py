"""The thread of the core: in order, urgent work first, errors to who asked."""

from __future__ import annotations

import asyncio
import threading

import pytest

from bot.chat.core_thread import URGENT, CoreThread

pytestmark = pytest.mark.asyncio


async def test_urgent_work_goes_first_and_the_rest_keeps_its_order() -> None:
    thread, gate, done = CoreThread(), threading.Event(), list[str]()
    thread.submit(gate.wait)
    last = [thread.submit(done.append, name) for name in ("one", "two")][-1]
    thread._submit(URGENT, done.append, "urgent")
    gate.set()
    last.result(5)
    thread.close(1)
    assert done == ["urgent", "one", "two"]


async def test_errors_reach_who_asked_and_the_thread_goes_on() -> None:
    thread = CoreThread()
    with pytest.raises(ZeroDivisionError):
        await thread(lambda: 1 // 0)
    assert await thread(lambda: 7) == 7
    thread.close(1)


async def test_what_is_running_when_its_asker_goes_away_runs_to_its_end() -> None:
    thread, begun, gate, done = CoreThread(), threading.Event(), threading.Event(), list[str]()

    def work() -> None:
        begun.set()
        gate.wait()
        done.append("done")

    asked = asyncio.create_task(thread(work))
    await asyncio.to_thread(begun.wait)
    asked.cancel()
    gate.set()
    await thread(lambda: None)
    thread.close(1)
    assert done == ["done"]
