"""The webhook's listener refuses everything but Telegram's own updates, and says 200 only after the commit."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from typing import Any

import httpx
import pytest

from bot.chat.telegram_intake import RawUpdate
from bot.chat.telegram_webhook import MOST_BYTES, Webhook
from bot.store.problems import problem

pytestmark = pytest.mark.asyncio

SECRET = "a" * 64
HEADERS = {"X-Telegram-Bot-Api-Secret-Token": SECRET}
UPDATE = {"update_id": 7}


async def _post(
    given: Any, *, path: str = "/hook", headers: Mapping[str, str] = HEADERS, method: str = "POST", full: bool = False
) -> tuple[int, list[RawUpdate]]:
    kept: list[RawUpdate] = []

    async def keep(raws: Sequence[RawUpdate]) -> Sequence[RawUpdate]:
        if full:
            raise problem("full", "potside.db")
        kept.extend(raws)
        return raws

    async with Webhook("/hook", SECRET, keep).listening("127.0.0.1", 0) as port, httpx.AsyncClient(trust_env=False) as client:
        content = {"content": given} if isinstance(given, bytes) else {"json": given}
        answer = await client.request(method, f"http://127.0.0.1:{port}{path}", headers=dict(headers), **content)
    return answer.status_code, kept


async def test_an_update_is_kept() -> None:
    assert await _post(UPDATE) == (200, [UPDATE])
    assert await _post(UPDATE, path="/hook?from=proxy") == (200, [UPDATE])


@pytest.mark.parametrize("headers", [{}, {"X-Telegram-Bot-Api-Secret-Token": "a" * 63}])
async def test_without_the_secret_nothing_is_taken(headers: dict[str, str]) -> None:
    assert await _post(UPDATE, headers=headers) == (403, [])


async def test_other_requests_are_refused() -> None:
    assert await _post(UPDATE, path="/") == (404, [])
    assert await _post(UPDATE, method="GET") == (405, [])
    for broken in (b"{", b"[]", b'{"update_id": "7"}', b"\xff"):
        assert await _post(broken) == (400, [])
    assert await _post(b" " * (MOST_BYTES + 1)) == (413, [])


async def test_what_cannot_be_committed_is_to_be_sent_again() -> None:
    assert await _post(UPDATE, full=True) == (503, [])


async def test_what_is_no_http_ends_the_connection() -> None:
    async def keep(raws: Sequence[RawUpdate]) -> Sequence[RawUpdate]:
        return raws

    async with Webhook("/hook", SECRET, keep).listening("127.0.0.1", 0) as port:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(b"\x16\x03\x01 hello\r\n\r\n")
        assert await asyncio.wait_for(reader.read(), 5) == b""
        writer.close()
        await writer.wait_closed()
