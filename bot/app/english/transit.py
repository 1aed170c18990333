"""What is said of plants on the way: ordered and not here, posted and not there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from bot.app.english import phrases
from bot.app.english.phrases import cap
from bot.app.plan import Said
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing

if TYPE_CHECKING:
    from bot.app.transit import Order, Posted

MOST = 5
NONE_ORDERED = "None ordered, so nothing is written. Such as: ordered 6 lobivias from Anna"


def items(said: Sequence[Mapping[str, Any]]) -> str:
    """Return what an order holds: "6 lobivias and 3 aloes"; "a parcel" where nobody said."""
    return phrases.joined([_item(str(one.get("name") or ""), one.get("count")) for one in said]) or "a parcel"


def _item(name: str, count: int | None) -> str:
    if not name:
        return phrases.count_of(count, "plant") if count is not None else "plants"
    if count == 1:
        return f"1 {name.lower() if name.isalpha() else name}"
    return f"{count if count is not None else 'some'} {phrases.plural(name)}"


def _of(order: Order) -> str:
    """Return an order in words: "6 lobivias from Anna"."""
    what = items([{"name": one.name, "count": one.left} for one in order.items])
    return f"{what} from {order.who}" if order.who else what


def told(event: CareEvent) -> str:
    """Return in a line what was kept of an order."""
    facts = event.facts
    whole = items(facts["items"]) + (f" from {facts['from']}" if facts.get("from") else "")
    due = f", due {phrases.short_day(date.fromisoformat(facts['due']), event.happened_on)}" if facts.get("due") else ""
    said = {"placed": "On order", "sent": "On the way", "dropped": "Off the list", "expected": "On order", "complete": "All here"}
    return f"{said[event.what]}: {whole}{due}"


def _said(said: Said) -> str:
    assert said.event is not None
    line = f"{told(said.event)}."
    who = said.event.facts.get("from")
    if said.event.what == "placed":
        return f"{line} Once here, say: the order{f' from {who}' if who else ''} came."
    return line


NOTHING = "Nothing is on order."


def late(who: str, said: Sequence[Mapping[str, Any]], due: date) -> str:
    """Return what is due on the day after an order should have come."""
    return f"has the order{f' from {who}' if who else ''} come? {items(said)}, due {due.day} {due:%B}"


def comes(order: Order, today: date) -> str:
    """Return when an order comes, as far as it was said."""
    what = cap(_of(order))
    ordered = f"ordered {phrases.short_day(order.on, today)}"
    sent = f"on the way since {phrases.short_day(order.sent_on, today)}" if order.sent_on is not None else ordered
    if order.due is None:
        return f"{what}: no day noted, {sent}."
    days = (today - order.due).days
    span = phrases.count_of(abs(days), "day")
    when = f", {span} late" if days > 0 else f", in {span}" if days < -1 else ""
    return f"{what}: due {phrases.day(order.due, today)}{when}; {sent}."


def which_order(every: Sequence[Order], meant: Sequence[Order], ending: str, today: date) -> list[str]:
    """Return the orders that may be meant, with their numbers, and how to say which."""
    lines = [_line(every.index(one) + 1, one, today) for one in meant[: MOST - 1]]
    first = every.index(meant[0]) + 1
    return [*lines, f"Which one? Such as: {f'order {first} {ending}' if ending else f'drop order {first}'}"]


def _line(number: int, order: Order, today: date) -> str:
    since = f"ordered {phrases.short_day(order.on, today)}" if order.sent_on is None else ""
    sent = f"on the way since {phrases.short_day(order.sent_on, today)}" if order.sent_on is not None else ""
    late = " and late" if order.due is not None and order.due < today else ""
    due = f", due {phrases.short_day(order.due, today)}{late}" if order.due is not None else ""
    return f"{number}. {cap(_of(order))}, {since or sent}{due}."


def listed(orders: Sequence[tuple[int, Order]], sent: Sequence[Posted], who: str, standing: Standing, today: date) -> list[str]:
    """Return all that is on the way, in and out, five lines at most."""
    lines = [_line(number, one, today) for number, one in orders]
    lines += [f"{cap(_posted(one, standing, today))}." for one in sent]
    if not lines:
        return [f"Nothing is on the way{f' from or to {who}' if who else ', in or out'}."]
    return lines if len(lines) <= MOST else [*lines[: MOST - 1], f"{len(lines) - MOST + 1} more."]


def _posted(one: Posted, standing: Standing, today: date) -> str:
    to = f" to {cap(one.who)}" if one.who else ""
    return f"{_things(one.refs, standing)}{to}, {'posted' if one.by_post else 'went'} {phrases.day(one.event.happened_on, today)}"


def _things(refs: Sequence[Ref], standing: Standing) -> str:
    if len(refs) == 1 and refs[0].kind == "lot" and refs[0].count is not None:
        return f"{refs[0].count} of {phrases.lot(refs[0].key)}"
    return phrases.things(refs, standing, with_place=False)


def gone_already(one: Posted, standing: Standing, today: date) -> str:
    """Return that plants have left already."""
    return f"{cap(_posted(one, standing, today))} by your notes. Nothing new written."


def to_whom(what: str) -> str:
    """Return that it wants a name."""
    return f"To whom? Such as: {what} is in the post to Anna. Nothing written yet."


def ended(what: str, refs: Sequence[Ref], one: Posted, standing: Standing, today: date) -> str:
    """Return what became of what was sent."""
    who = cap(one.who)
    there = f"Arrived{f' at {who}' if who else ''}" if what == "came" else f"Lost on the way{f' to {who}' if who else ''}"
    return f"{there}: {_things(refs, standing)}, gone {phrases.day(one.event.happened_on, today)}."


def no_order(who: str) -> str:
    """Return that nothing is on order from somebody, and how what came is told."""
    return f"Nothing is on order{f' from {who}' if who else ''}. What came? Such as: got 6 lobivias from {who or 'Anna'}"


def no_such_order(who: str, orders: int) -> str:
    """Return that there is no such order."""
    known = f"there {'is' if orders == 1 else 'are'} {orders} on the list: what is on order" if orders else "no order is open"
    return f"Nothing is on order from {who}." if who else f"That one I do not know; {known}."


def what_was_in_it(who: str) -> str:
    """Return that nobody said what a parcel holds."""
    return f"What was in it? Such as: got 6 lobivias from {who}. Nothing written yet."


def how_many(order: Order) -> str:
    """Return that nobody said how many were ordered."""
    return f"How many came of {_of(order)}? Such as: the order from {order.who or 'Anna'} came, 5. Nothing written yet."


def holds(order: Order, of: int) -> str:
    """Return that an order holds another number."""
    return f"The order holds {_of(order)}, not {of}. Nothing written."


def which_came(order: Order) -> str:
    """Return that it cannot be told which of several came."""
    first = order.items[0]
    one = _item(first.name, max(1, (first.left or 2) - 1))
    return f"Which came of {_of(order)}? Such as: {one} came. Nothing written yet."


def still_to_come(order: Order) -> str:
    """Return what an order still lacks."""
    return f"Still to come: {_of(order)}. If not: drop the rest of the order{f' from {order.who}' if order.who else ''}"


def from_or_to(sender: str, receiver: str) -> str:
    """Return that a parcel may be one that came or one that went."""
    return f"Which one? Say: the parcel from {sender} came, or: the parcel to {receiver} arrived. Nothing written yet."


def to_which(names: Sequence[str]) -> str:
    """Return that things went to several people."""
    return f"Whose? Things went to {phrases.joined(names)}. Such as: the parcel to {names[0]} arrived. Nothing written yet."


def still_here(refs: Sequence[Ref], what: str, standing: Standing) -> str:
    """Return that plants never left by the notes, and how new ones are told."""
    many = f" New ones came? Say: got {what} plants" if what.isdigit() else ""
    return f"{cap(_things(refs, standing))} never left by your notes. Nothing written.{many}"


SAID: dict[str, Callable[[Said, Any, Any], str]] = {"order": lambda said, talk, last: _said(said)}
