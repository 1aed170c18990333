"""How fast messages may go out: about one a second in each chat, with short bursts, and thirty a second in all.

Each limit is the generic cell rate algorithm (ITU-T Recommendation I.371, 1996, "virtual scheduling algorithm"): a limit
keeps one moment, that at which its next message would be due if they came evenly, and lets a message go early by a burst.
"""

from __future__ import annotations

from dataclasses import dataclass

_KEPT_CHATS = 1000


@dataclass(frozen=True, slots=True)
class Rate:
    """At most `burst` messages at once, and one each `interval_s` seconds in the long run."""

    interval_s: float
    burst: int


PRIVATE_CHAT = Rate(1.0, 3)
GROUP = Rate(3.0, 3)  # 20 a minute
OVERALL = Rate(1 / 25, 5)  # no second with more than 30
UNHINDERED = Rate(0.0, 1)


class Pacing:
    """Gives each message its moment. Moments are seconds of any clock that only goes forward."""

    def __init__(self, private_chat: Rate = PRIVATE_CHAT, group: Rate = GROUP, overall: Rate = OVERALL) -> None:
        """Begin with every limit unused."""
        self._private_chat, self._group, self._overall = private_chat, group, overall
        self._next_overall_s = float("-inf")
        self._next_s: dict[str, float] = {}

    def chat_wait_s(self, address: str, now_s: float) -> float:
        """Reserve the place of a message in its chat and return how many seconds to wait with it, 0 where none.

        An address that begins with a minus is a group.
        """
        rate = self._group if address.startswith("-") else self._private_chat
        next_s = self._next_s.get(address, now_s)
        go_s = max(now_s, _earliest_s(next_s, rate))
        self._next_s[address] = max(next_s, go_s) + rate.interval_s
        if len(self._next_s) > _KEPT_CHATS:
            self._next_s = {chat: until_s for chat, until_s in self._next_s.items() if until_s > now_s}
        return go_s - now_s

    def overall_wait_s(self, now_s: float) -> float:
        """Reserve the place of a message among all and return how many seconds to wait with it.

        To be asked when the chat's own wait is over, so that no message holds a place while it waits for its chat.
        """
        go_s = max(now_s, _earliest_s(self._next_overall_s, self._overall))
        self._next_overall_s = max(self._next_overall_s, go_s) + self._overall.interval_s
        return go_s - now_s


def _earliest_s(next_s: float, rate: Rate) -> float:
    return next_s - (rate.burst - 1) * rate.interval_s
