"""What the server may be told to do wrong with the next request."""

from __future__ import annotations

import asyncio
import json
from dataclasses import dataclass, field
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Answer:
    """What goes back over HTTP."""

    status: int
    body: bytes
    content_type: str = "application/json"


def success(result: Any) -> Answer:
    """The envelope of a result."""
    return Answer(200, json.dumps({"ok": True, "result": result}).encode())


def refusal(status: int, description: str, **parameters: int) -> Answer:
    """The envelope of an error; `parameters` are `retry_after` or `migrate_to_chat_id`."""
    body = {"ok": False, "error_code": status, "description": description} | ({"parameters": parameters} if parameters else {})
    return Answer(status, json.dumps(body).encode())


class ConnectionCutError(Exception):
    """The connection is to be closed without an answer."""


@dataclass(frozen=True, slots=True)
class Failure:
    """One planned failure: an answer in place of the real one, a cut connection, or an answer held back.

    `handled` says whether the request still does its work: a message may be sent although no answer comes. A slow answer
    waits for `release`.
    """

    kind: Literal["answer", "cut", "slow"]
    handled: bool
    answer: Answer | None = None
    release: asyncio.Event = field(default_factory=asyncio.Event)


def too_many_requests(retry_after_s: int) -> Failure:
    """429 with the seconds to wait."""
    words = f"Too Many Requests: retry after {retry_after_s}"
    return Failure("answer", handled=False, answer=refusal(429, words, retry_after=retry_after_s))


def blocked() -> Failure:
    """403 of a person who has blocked the bot."""
    return Failure("answer", handled=False, answer=refusal(403, "Forbidden: bot was blocked by the user"))


def bad_request(words: str = "chat not found") -> Failure:
    """400 with the server's words."""
    return Failure("answer", handled=False, answer=refusal(400, f"Bad Request: {words}"))


def internal_error(*, handled: bool = False) -> Failure:
    """500."""
    return Failure("answer", handled=handled, answer=refusal(500, "Internal Server Error"))


def bad_gateway(*, handled: bool = False) -> Failure:
    """502 with a page of HTML, as the proxy before the real server gives it."""
    page = (
        b"<html>\r\n<head><title>502 Bad Gateway</title></head>\r\n<body>\r\n<h1>502 Bad Gateway</h1>\r\n</body>\r\n</html>\r\n"
    )
    return Failure("answer", handled=handled, answer=Answer(502, page, "text/html"))


def cut_connection(*, handled: bool) -> Failure:
    """No answer at all; `handled` says whether the request did its work before."""
    return Failure("cut", handled=handled)


def slow_answer() -> Failure:
    """The request does its work, the answer waits for `release`."""
    return Failure("slow", handled=True)
