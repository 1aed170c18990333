"""The updates that wait for one bot, by the real server's rules.

An update waits 24 h, a callback query 150 s. Asking with an offset confirms and forgets all below it; a negative offset
keeps only that many of the last.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

MESSAGE_AGE_SECONDS, CALLBACK_AGE_SECONDS = 24 * 3600.0, 150.0
NOT_BY_DEFAULT = frozenset({"chat_member", "message_reaction", "message_reaction_count"})


@dataclass(frozen=True, slots=True)
class Waiting:
    """One update, and the moment (Unix seconds) from which it is no longer kept."""

    update: dict[str, Any]
    until: float

    @property
    def update_id(self) -> int:
        """The number of the update."""
        number: int = self.update["update_id"]
        return number


class UpdateQueue:
    """The updates of one bot, oldest first; identifiers go up by one."""

    def __init__(self, first_id: int) -> None:
        self._waiting: list[Waiting] = []
        self._next_id = first_id
        self.allowed: frozenset[str] | None = None
        self.expired: list[int] = []

    def put(self, kind: str, content: dict[str, Any], now: float) -> int | None:
        """Queue an update of `kind` ("message", ...); None where the bot has not asked for such."""
        if kind in NOT_BY_DEFAULT if self.allowed is None else kind not in self.allowed:
            return None
        update_id = self._next_id
        self.put_raw({"update_id": update_id, kind: content}, now)
        return update_id

    def put_raw(self, update: dict[str, Any], now: float) -> None:
        """Queue an update as it is; one whose number was seen before is queued once more."""
        age = CALLBACK_AGE_SECONDS if "callback_query" in update else MESSAGE_AGE_SECONDS
        self._waiting.append(Waiting(update, now + age))
        self._waiting.sort(key=lambda waiting: waiting.update_id)
        self._next_id = max(self._next_id, update["update_id"] + 1)

    def restart_at(self, update_id: int) -> None:
        """Number the next updates from `update_id` on, as the server does after a quiet week."""
        self._next_id = update_id

    def take(self, offset: int, limit: int, now: float) -> list[dict[str, Any]]:
        """What getUpdates answers; all before `offset` is forgotten."""
        self.forget_old(now)
        if offset < 0:
            self._waiting = self._waiting[offset:]
        elif offset:
            self._waiting = [waiting for waiting in self._waiting if waiting.update_id >= offset]
        return [waiting.update for waiting in self._waiting[:limit]]

    def forget_old(self, now: float) -> None:
        """Drop what has waited too long, and note it in `expired`."""
        self.expired += [waiting.update_id for waiting in self._waiting if waiting.until <= now]
        self._waiting = [waiting for waiting in self._waiting if waiting.until > now]

    def confirm(self, update_id: int) -> None:
        """Forget one update, delivered by webhook."""
        self._waiting = [waiting for waiting in self._waiting if waiting.update_id != update_id]

    def clear(self) -> None:
        """Forget all, as `drop_pending_updates` asks."""
        self._waiting.clear()

    def __len__(self) -> int:
        return len(self._waiting)
