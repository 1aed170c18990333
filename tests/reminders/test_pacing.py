"""The pace of sending: bursts in a chat are short, and no second holds more than thirty messages."""

from __future__ import annotations

from collections import defaultdict

from hypothesis import given
from hypothesis import strategies as st

from bot.reminders.pacing import UNHINDERED, Pacing


def _moments(wanted: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """When messages go that were wanted so many seconds apart: each asks for a place among all when its chat lets it go."""
    pacing, now_s, ready = Pacing(), 0.0, []
    for address, step_s in wanted:
        now_s += step_s
        ready.append((now_s + pacing.chat_wait_s(address, now_s), address))
    return [(address, at + pacing.overall_wait_s(at)) for at, address in sorted(ready)]


def test_three_at_once_then_one_a_second() -> None:
    waits = [round(at, 6) for _, at in _moments([("7", 0.0)] * 6)]
    assert waits[3:] == [1.0, 2.0, 3.0]
    assert waits[2] < 0.2


def test_a_group_gets_twenty_a_minute() -> None:
    moments = [at for _, at in _moments([("-100", 0.0)] * 43)]
    assert sum(at < 60 for at in moments) <= 23
    assert moments[42] >= 120


def test_a_quiet_chat_does_not_wait_for_a_busy_one() -> None:
    moments = _moments([("7", 0.0)] * 10 + [("8", 0.0)])
    assert next(at for address, at in moments if address == "8") < 0.2


def test_no_pacing_at_all() -> None:
    pacing = Pacing(UNHINDERED, UNHINDERED, UNHINDERED)
    assert {pacing.chat_wait_s("7", 1.0) + pacing.overall_wait_s(1.0) for _ in range(500)} == {0.0}


@given(
    st.lists(st.tuples(st.sampled_from([str(one) for one in range(40)]), st.sampled_from([0.0, 0.01, 0.3, 2.0])), max_size=300)
)
def test_no_second_holds_too_many(wanted: list[tuple[str, float]]) -> None:
    by_chat: defaultdict[str, list[float]] = defaultdict(list)
    moments = _moments(wanted)
    for address, at in moments:
        by_chat[address].append(at)
    overall = sorted(at for _, at in moments)
    assert all(later - earlier >= 1 - 1e-9 for earlier, later in zip(overall, overall[30:], strict=False))
    for mine in by_chat.values():
        assert all(later - earlier >= 0.7 for earlier, later in zip(mine, mine[3:], strict=False))


def test_waits_are_never_negative_and_old_chats_are_forgotten() -> None:
    pacing = Pacing()
    for number in range(3000):
        assert pacing.chat_wait_s(str(number), number * 10.0) == 0.0
    assert len(pacing._next_s) <= 1001
