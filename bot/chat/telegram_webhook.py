"""The other way in: Telegram posts each update here, and is told 200 only after the update is committed.

Meant to stand behind a proxy that speaks TLS. Every request but a POST of an update to the one path with the right secret
is refused.
"""

from __future__ import annotations

import asyncio
import hmac
import json
import logging
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

import h11

from bot.chat.telegram_intake import Keep
from bot.store.database import DatabaseProblem

MOST_BYTES = 1024 * 1024
SLOWEST_S = 30.0
_READ_BYTES = 65_536
_SECRET_HEADER = b"x-telegram-bot-api-secret-token"
_LOG = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Shown:
    """What a GET is answered with."""

    status: HTTPStatus
    headers: Sequence[tuple[str, str]]
    body: bytes


Pages = Callable[[bytes], Awaitable[Shown]]


def unless_known(shown: Shown, known: str) -> Shown:
    """Return 304 without content where If-None-Match names the tag of what would be shown (RFC 9110, 13.1.2: weak comparison)."""
    tag = next((value for name, value in shown.headers if name == "ETag"), "")
    names = {one.strip().removeprefix("W/") for one in known.split(",")}
    if shown.status is not HTTPStatus.OK or not tag or not names & {tag.removeprefix("W/"), "*"}:
        return shown
    kept = [(name, value) for name, value in shown.headers if name != "Content-Type"]
    return Shown(HTTPStatus.NOT_MODIFIED, kept, b"")


class Webhook:
    """Answers one HTTP connection after the other; `path` begins with a slash, `secret` is what Telegram must send along."""

    def __init__(self, path: str, secret: str, keep: Keep, pages: Pages | None = None) -> None:
        """Join the parts; `pages` answers a GET, by the target asked for."""
        self._path, self._secret, self._keep, self._pages = path.encode(), secret.encode(), keep, pages

    @asynccontextmanager
    async def listening(self, host: str, port: int) -> AsyncIterator[int]:
        """Listen while the block lasts; yields the port, which the system chooses where `port` is 0."""
        server = await asyncio.start_server(self._connected, host, port)
        try:
            yield server.sockets[0].getsockname()[1]
        finally:
            server.close()

    async def _connected(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            async with asyncio.timeout(SLOWEST_S):
                await self._serve(reader, writer)
        except (h11.ProtocolError, ConnectionError, TimeoutError) as error:
            _LOG.info("A connection to the webhook ended early: %s", type(error).__name__)
        finally:
            writer.close()

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """One request and its answer; the connection is not kept."""
        http = h11.Connection(h11.SERVER)
        request = await _event(http, reader)
        if not isinstance(request, h11.Request):
            return
        if request.method == b"GET" and self._pages is not None:
            known = next((value for name, value in request.headers if name == b"if-none-match"), b"")
            await self._show(http, writer, request.target, known.decode("ascii", "replace"))
            return
        status = self._refusal(request)
        if status is HTTPStatus.OK:
            status = await self._update(http, reader)
        headers = [("Content-Length", "0"), ("Connection", "close")]
        writer.write(http.send(h11.Response(status_code=status, headers=headers, reason=status.phrase.encode())) or b"")
        writer.write(http.send(h11.EndOfMessage()) or b"")
        await writer.drain()

    async def _show(self, http: h11.Connection, writer: asyncio.StreamWriter, target: bytes, known: str) -> None:
        assert self._pages is not None
        shown = unless_known(await self._pages(target), known)
        length = [] if shown.status is HTTPStatus.NOT_MODIFIED else [("Content-Length", str(len(shown.body)))]
        headers = [*shown.headers, *length, ("Connection", "close")]
        answer = h11.Response(status_code=shown.status, headers=headers, reason=shown.status.phrase.encode())
        for event in (answer, h11.Data(data=shown.body), h11.EndOfMessage()):
            writer.write(http.send(event) or b"")
        await writer.drain()

    def _refusal(self, request: h11.Request) -> HTTPStatus:
        if request.target.partition(b"?")[0] != self._path:
            return HTTPStatus.NOT_FOUND
        if request.method != b"POST":
            return HTTPStatus.METHOD_NOT_ALLOWED
        given = next((value for name, value in request.headers if name == _SECRET_HEADER), b"")
        return HTTPStatus.OK if hmac.compare_digest(given, self._secret) else HTTPStatus.FORBIDDEN

    async def _update(self, http: h11.Connection, reader: asyncio.StreamReader) -> HTTPStatus:
        body = bytearray()
        while isinstance(event := await _event(http, reader), h11.Data):
            body += event.data
            if len(body) > MOST_BYTES:
                return HTTPStatus.REQUEST_ENTITY_TOO_LARGE
        try:
            raw = json.loads(body)
        except ValueError:
            return HTTPStatus.BAD_REQUEST
        if not isinstance(raw, dict) or not isinstance(raw.get("update_id"), int):
            return HTTPStatus.BAD_REQUEST
        try:
            await self._keep([raw])
        except DatabaseProblem as problem:
            _LOG.error("The inbox cannot be written: %s", problem)
            return HTTPStatus.SERVICE_UNAVAILABLE
        return HTTPStatus.OK


async def _event(http: h11.Connection, reader: asyncio.StreamReader) -> Any:
    while (event := http.next_event()) is h11.NEED_DATA:
        http.receive_data(await reader.read(_READ_BYTES))
    return event
