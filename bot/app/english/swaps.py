"""What is said of swaps: promises, the balance with a partner, and the question before plants in quarantine leave."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from bot.app.english import phrases
from bot.care.standing import Standing, Thing

if TYPE_CHECKING:
    from bot.app.swaps import Balance, Promise

TOO_FEW = "There are only {have} left to promise; {promised} are promised already."


def balance(made: Balance, today: date) -> tuple[str, ...]:
    """Return how things stand with a partner, in words."""
    if not made.sent and not made.got and not made.promised:
        return (f"Nothing went to or came from {made.who} yet.",)
    lost = f", {made.lost} lost on the way" if made.lost else ""
    sent = f"{made.sent} sent" + (f" (last {phrases.day(made.last_sent, today)}{lost})" if made.last_sent else "")
    got = f"{made.got} got" + (f" (last {phrases.day(made.last_got, today)})" if made.last_got else "")
    over = made.sent - made.lost - made.got
    stand = "even" if not over else f"{phrases.cap(made.who)} is {over} ahead" if over > 0 else f"you are {-over} ahead"
    who = phrases.cap(made.who)
    return (f"{who}: {sent}, {got}: {stand}." + (f" Still promised: {made.promised}." if made.promised else ""),)


def promised(found: Sequence[Promise], standing: Standing, today: date) -> tuple[str, ...]:
    """Return what is promised and not sent, a line a promise."""
    if not found:
        return ("Nothing is promised that has not gone.",)
    lines = [
        f"{one.who}: {one.count} of {phrases.things(one.refs, standing)}, since {phrases.short_day(one.on, today)}."
        for one in found
    ]
    return tuple(lines[:5]) + ((f"{len(lines) - 5} more",) if len(lines) > 5 else ())


def why_apart(apart: Iterable[Thing], standing: Standing) -> str:
    """Return the question before plants leave that stand apart."""
    return f"{_apart(apart, standing)}: offer all the same?"


def not_promised(apart: Iterable[Thing], standing: Standing) -> str:
    """Return why plants are not promised now."""
    return f"{_apart(apart, standing)}: not promised while that lasts."


def _apart(apart: Iterable[Thing], standing: Standing) -> str:
    things = tuple(apart)
    quarantine = [one.ref for one in things if one.isolated_on is not None]
    settling = [one.ref for one in things if one.isolated_on is None and one.settling]
    followed = [one.ref for one in things if one.isolated_on is None and not one.settling]
    sets = ((quarantine, "in quarantine"), (settling, "settling in"), (followed, "with a find that is still followed"))
    return phrases.cap(phrases.joined([f"{phrases.things(refs, standing)} {words}" for refs, words in sets if refs]))
