"""The HTTP face of the server: real connections on the loopback interface, on a port of the system's choosing."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from contextlib import suppress
from email.message import Message
from types import TracebackType
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

import h11
import httpx

from .core import Account, BotApi
from .failures import Answer, ConnectionCutError, refusal
from .validator import Upload

_READ_BYTES = 65_536
_WEBHOOK_RETRY_SECONDS = 0.05


class LoopbackServer:
    """Serves a `BotApi` while the `async with` block lasts; `base_url` and `base_file_url` are what a client needs."""

    def __init__(self, api: BotApi, port: int = 0) -> None:
        """`port` 0 lets the system choose; another port is for a server that comes back where it was."""
        self._api, self.port = api, port
        self._server: asyncio.Server | None = None
        self._tasks: set[asyncio.Task[None]] = set()

    @property
    def base_url(self) -> str:
        """To which a client appends the token and the method."""
        return f"http://127.0.0.1:{self.port}/bot"

    @property
    def base_file_url(self) -> str:
        """To which a client appends the token and the path of a file."""
        return f"http://127.0.0.1:{self.port}/file/bot"

    async def __aenter__(self) -> LoopbackServer:
        """Listen."""
        self._server = await asyncio.start_server(self._connected, "127.0.0.1", self.port)
        self.port = self._server.sockets[0].getsockname()[1]
        self._keep(asyncio.create_task(self._deliver_webhooks()))
        return self

    async def __aexit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        """Close all connections and stop listening."""
        assert self._server
        self._server.close()
        for task in tuple(self._tasks):
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        await self._server.wait_closed()

    def _keep(self, task: asyncio.Task[None]) -> None:
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _connected(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task
        self._keep(task)
        try:
            await _Connection(self._api, reader, writer).serve()
        except (ConnectionCutError, ConnectionError, h11.ProtocolError, asyncio.CancelledError):
            writer.transport.abort()
        finally:
            writer.close()

    async def _deliver_webhooks(self) -> None:
        """Post waiting updates to each bot's webhook, one at a time, until each is answered with 200."""
        async with httpx.AsyncClient(trust_env=False) as client:
            while True:
                await self._api.until(lambda: bool(self._due()), within_s=86_400)
                for account, update in self._due():
                    await self._post(client, account, update)

    def _due(self) -> list[tuple[Account, dict[str, Any]]]:
        hooked = [account for account in self._api.accounts.values() if account.webhook.get("url")]
        return [(one, updates[0]) for one in hooked if (updates := one.queue.take(0, 1, self._api.clock()))]

    async def _post(self, client: httpx.AsyncClient, account: Account, update: dict[str, Any]) -> None:
        secret = account.webhook.get("secret_token")
        headers = {"X-Telegram-Bot-Api-Secret-Token": secret} if secret else {}
        try:
            answer = await client.post(account.webhook["url"], json=update, headers=headers)
            error = "" if answer.is_success else f"Wrong response from the webhook: {answer.status_code} {answer.reason_phrase}"
        except httpx.HTTPError as failed:
            error = f"{type(failed).__name__}"
        account.webhook_error = error
        if error:
            with suppress(TimeoutError):
                await self._api.until(lambda: False, _WEBHOOK_RETRY_SECONDS)
        else:
            account.queue.confirm(update["update_id"])
        await self._api.notify()


class _Connection:
    """One client's connection: requests one after the other, each answered before the next is read."""

    def __init__(self, api: BotApi, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._api, self._reader, self._writer = api, reader, writer
        self._http = h11.Connection(h11.SERVER)

    async def serve(self) -> None:
        while True:
            request = await self._event()
            if not isinstance(request, h11.Request):
                return
            body = b""
            while isinstance(event := await self._event(), h11.Data):
                body += event.data
            answer = await self._unless_gone(self._answer(request, body))
            await self._send(answer)
            if self._http.our_state is h11.MUST_CLOSE:
                return
            self._http.start_next_cycle()

    async def _event(self) -> Any:
        while (event := self._http.next_event()) is h11.NEED_DATA:
            self._http.receive_data(await self._reader.read(_READ_BYTES))
        return event

    async def _unless_gone(self, answering: Any) -> Answer:
        """The answer; a client that hangs up meanwhile (a long poll of a killed bot) ends the request."""
        answer = asyncio.ensure_future(answering)
        more = asyncio.ensure_future(self._reader.read(_READ_BYTES))
        try:
            await asyncio.wait((answer, more), return_when=asyncio.FIRST_COMPLETED)
            if not answer.done() and not more.result():
                raise ConnectionCutError
            result: Answer = await answer
            if more.done():
                self._http.receive_data(more.result())
            return result
        finally:
            for task in (answer, more):
                task.cancel()
            await asyncio.gather(answer, more, return_exceptions=True)

    async def _answer(self, request: h11.Request, body: bytes) -> Answer:
        url = urlsplit(request.target.decode())
        if url.path.startswith("/file/bot"):
            return self._download(unquote(url.path.removeprefix("/file/bot")))
        token, _, method = unquote(url.path.removeprefix("/bot")).partition("/")
        headers = {name.decode().lower(): value.decode() for name, value in request.headers}
        try:
            values, uploads = read_form(headers.get("content-type", ""), body)
        except ValueError:
            self._api.faults.append(f"{method}: body cannot be read")
            return refusal(400, "Bad Request: can't parse the request body")
        return await self._api.call(token, method, dict(parse_qsl(url.query)) | values, uploads)

    def _download(self, path: str) -> Answer:
        token, _, file_path = path.partition("/")
        kept = self._api.files.get(file_path.removeprefix("documents/"))
        if token not in self._api.accounts or kept is None:
            return refusal(404, "Not Found")
        return Answer(200, kept.content, "application/octet-stream")

    async def _send(self, answer: Answer) -> None:
        headers = [("Content-Type", answer.content_type), ("Content-Length", str(len(answer.body))), ("Server", "loopback")]
        self._writer.write(self._http.send(h11.Response(status_code=answer.status, headers=headers)) or b"")
        self._writer.write((self._http.send(h11.Data(data=answer.body)) or b"") + (self._http.send(h11.EndOfMessage()) or b""))
        await self._writer.drain()


def read_form(content_type: str, body: bytes) -> tuple[dict[str, Any], Mapping[str, Upload]]:
    """The values and files of a request body: form, multipart or JSON. Raises ValueError where it is none of these."""
    header = Message()
    header["Content-Type"] = content_type
    kind = header.get_content_type()
    if not body:
        return {}, {}
    if kind == "application/json":
        values = json.loads(body)
        if not isinstance(values, dict):
            raise ValueError("object expected")
        return values, {}
    if kind == "multipart/form-data":
        return _read_multipart(str(header.get_param("boundary")).encode(), body)
    if kind == "application/x-www-form-urlencoded":
        return dict(parse_qsl(body.decode(), keep_blank_values=True, strict_parsing=True, errors="strict")), {}
    raise ValueError(f"unknown content type {kind}")


def _read_multipart(boundary: bytes, body: bytes) -> tuple[dict[str, Any], dict[str, Upload]]:
    values: dict[str, Any] = {}
    uploads: dict[str, Upload] = {}
    for part in (b"\r\n" + body).split(b"\r\n--" + boundary)[1:-1]:
        head, found, content = part.removeprefix(b"\r\n").partition(b"\r\n\r\n")
        if not found:
            raise ValueError("part without a head")
        header = Message()
        for line in head.decode().splitlines():
            name, _, value = line.partition(":")
            header[name] = value.strip()
        field = str(header.get_param("name", header="Content-Disposition"))
        filename = header.get_filename()
        if filename is None:
            values[field] = content.decode()
        else:
            uploads[field] = Upload(filename, content)
    return values, uploads
