"""What a failed request to the Bot API means for the message that it carried."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import httpx
from telegram.error import (
    BadRequest,
    ChatMigrated,
    Conflict,
    EndPointNotFound,
    Forbidden,
    InvalidToken,
    RetryAfter,
    TelegramError,
)

Fate = Literal["not_sent", "unknown", "wait", "quiet", "moved", "final"]

# Errors of the connection that come before any byte of the request has left.
_BEFORE_SENDING = (
    httpx.ConnectError,
    httpx.ConnectTimeout,
    httpx.PoolTimeout,
    httpx.ProxyError,
    httpx.UnsupportedProtocol,
    httpx.LocalProtocolError,
)


@dataclass(frozen=True, slots=True)
class Failure:
    """What became of a message: `fate`, a reason without secrets, and what the fate needs.

    not_sent: it has not left; unknown: it may have arrived; wait: refused for `wait_s` seconds; quiet: this chat can not be
    written to until it lets the bot in again; moved: the chat is at `new_address` now; final: it will never be taken.
    """

    fate: Fate
    reason: str
    wait_s: float = 0.0
    new_address: str = ""


def judge(error: TelegramError) -> Failure:
    """Tell what a failed request means for its message."""
    reason = f"{type(error).__name__}: {error.message}"[:200]
    match error:
        case RetryAfter():
            failure = Failure("wait", reason, wait_s=_seconds(error))
        case ChatMigrated():
            failure = Failure("moved", reason, new_address=str(error.new_chat_id))
        case Forbidden():
            failure = Failure("quiet", reason)
        case InvalidToken() | EndPointNotFound() | Conflict():
            failure = Failure("wait", type(error).__name__, wait_s=60.0)  # its words hold the token
        case BadRequest():
            failure = Failure("final", reason)
        case _ if isinstance(error.__cause__, _BEFORE_SENDING):
            failure = Failure("not_sent", f"{type(error).__name__}: {type(error.__cause__).__name__}")
        case _:
            failure = Failure("unknown", reason)
    return failure


def _seconds(error: RetryAfter) -> float:
    asked = error.retry_after
    return float(asked) if isinstance(asked, int) else asked.total_seconds()
