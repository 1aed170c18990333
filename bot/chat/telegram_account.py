"""Which bot it is, which server it talks to, and how fast."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from bot.app.invitations import CODE_LENGTH, CODE_LETTERS
from bot.reminders.alarm import HEARTBEAT_S
from bot.reminders.pacing import Pacing

POLL_S = 30
LEASE_S = 30.0


@dataclass(frozen=True, slots=True)
class Account:
    """The bot's account: its token, and the server where it is not the public one.

    With `webhook_url` (the public address, https) updates are taken on `webhook_host` and `webhook_port`, else by polling.
    With `page_url` the pages of shared lists are served on `page_host` and `page_port`; under a webhook they are anyway.
    """

    token: str = field(repr=False)
    server: str = ""
    webhook_url: str = ""
    webhook_host: str = "127.0.0.1"
    webhook_port: int = 8443
    page_url: str = ""
    page_host: str = "127.0.0.1"
    page_port: int = 8444

    @property
    def bot_id(self) -> int:
        """The number that the token begins with."""
        return int(self.token.partition(":")[0])

    @property
    def webhook_secret(self) -> str:
        """What Telegram must send along with each update: from the token, so that it needs no setting of its own."""
        return hmac.new(self.token.encode(), b"webhook", hashlib.sha256).hexdigest()

    @property
    def claim_code(self) -> str:
        """What makes its first sender the owner: ten letters and digits from the token, so that it is kept nowhere."""
        drawn = hmac.new(self.token.encode(), b"claim", hashlib.sha256).digest()
        return "".join(CODE_LETTERS[byte % len(CODE_LETTERS)] for byte in drawn[:CODE_LENGTH])


@dataclass(frozen=True, slots=True)
class Tempo:
    """How fast things go: the clock, the pace of sending, leases and waits in seconds."""

    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    pacing: Callable[[], Pacing] = Pacing
    lease_s: float = LEASE_S
    poll_s: int = POLL_S
    heartbeat_s: float = HEARTBEAT_S
