"""Plants on the way: ordered and not here yet, posted and not there yet.

An order is an event `order`/`placed` with `from` and `items`; `sent`, `expected`, `dropped`, `complete` name it by `order`. What
comes in from that person afterwards is taken off it, however it was noted. What was posted (`given` with `posted`) is on the way
until a word, a receipt or a "done" says that it arrived or was lost: an event of the kind `slip`, as of a parcel between bots.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing
from bot.store import carelog
from bot.store.database import Connection

# What an event of the kind "order" says.
PLACED, SENT, EXPECTED, DROPPED, COMPLETE = "placed", "sent", "expected", "dropped", "complete"
ASKED = "follow|given|"  # how the key of the question begins whether something arrived
POSTED = "posted"  # marks what was given by post


@dataclass(frozen=True, slots=True)
class Item:
    """What was ordered of one name: how many are still to come (None: nobody said), and what was said of it (price, state)."""

    name: str
    left: int | None
    of: int | None
    said: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Order:
    """Plants ordered from somebody and not here yet. Without items nobody said what is in it."""

    identity: str
    who: str
    on: date
    items: tuple[Item, ...]
    sent_on: date | None = None
    due: date | None = None

    @property
    def left(self) -> int | None:
        """How many are still to come, None where nobody said."""
        counts = [one.left for one in self.items]
        return sum(one for one in counts if one is not None) if counts and None not in counts else None


@dataclass(frozen=True, slots=True)
class Posted:
    """Plants that went to somebody by one entry and are not known to have come there; `by_post` where that was said."""

    event: CareEvent
    who: str
    refs: tuple[Ref, ...]
    by_post: bool


def log_of(conn: Connection, collection_id: int, since: date) -> list[CareEvent]:
    """Return what orders, their arrivals and plants posted since a day are told by: "wonky has mites" may ask for it too."""
    orders = carelog.load_of(conn, collection_id, ("order",), (PLACED, SENT, DROPPED, EXPECTED, COMPLETE), date.min)
    first = min((one.happened_on for one in orders), default=None)
    came = carelog.load_of(conn, collection_id, ("event",), ("acquired",), first) if first is not None else []
    posted = carelog.load_of(conn, collection_id, ("event", "slip", "done"), ("given", "made", "came", "lost", ""), since)
    return carelog.in_order([*orders, *came, *posted])


def orders_of(log: Iterable[CareEvent]) -> list[Order]:
    """Return the orders that are open, the oldest first."""
    found: dict[str, Order] = {}
    for one in log:
        if one.kind == "order" and one.what == PLACED:
            items = tuple(_item(each) for each in one.facts["items"])
            found[one.identity] = Order(one.identity, str(one.facts.get("from", "")), one.happened_on, items, due=_due(one))
        elif one.kind == "order" and one.facts["order"] in found:
            key = str(one.facts["order"])
            if one.what == SENT:
                found[key] = replace(found[key], sent_on=one.happened_on)
            elif one.what == EXPECTED:
                found[key] = replace(found[key], due=_due(one))
            else:
                del found[key]
        elif one.kind == "event" and one.what == "acquired":
            _take_off(found, one)
    return list(found.values())


def _due(event: CareEvent) -> date | None:
    return date.fromisoformat(str(event.facts["due"])) if event.facts.get("due") else None


def _item(said: dict[str, Any]) -> Item:
    count = said.get("count")
    return Item(str(said.get("name", "")), count, count, {key: one for key, one in said.items() if key not in ("name", "count")})


def _take_off(found: dict[str, Order], came: CareEvent) -> None:
    """Take what came in off the orders that it may be of: the one that it names, else those of its sender, the oldest first."""
    count = sum(ref.count if ref.count is not None else 1 for ref in came.refs)
    who, name = str(came.facts.get("from", "")).lower(), str(came.facts.get("name", "")).lower()
    meant = str(came.facts.get("order", ""))
    for key, order in list(found.items()):
        if (key != meant) if meant else (not who or order.who.lower() != who):
            continue
        items = []
        for one in order.items:
            fits = not name or not one.name or alike(one.name, name)
            off = min(count, one.left if one.left is not None else count) if fits else 0
            count -= off
            left = None if one.left is None else one.left - off
            if not (fits and (left == 0 or (left is None and off))):
                items.append(replace(one, left=left))
        if items == list(order.items) and order.items:
            continue
        if items:
            found[key] = replace(order, items=tuple(items))
        else:
            del found[key]
        if count <= 0:
            return


def alike(one: str, other: str) -> bool:
    """Whether two names may be of one plant: the same, or a genus and a species of it."""
    low, wanted = one.lower(), other.lower()
    return low == wanted or low.startswith(f"{wanted} ") or wanted.startswith(f"{low} ")


def posted_of(log: Sequence[CareEvent], standing: Standing, since: date) -> list[Posted]:
    """Return what went to somebody since a day and is not known to have arrived or been lost, the oldest first."""
    there = set(_arrived(log))
    found = []
    for one in log:
        if one.kind != "event" or one.what != "given" or one.happened_on < since:
            continue
        refs = tuple(ref for ref in one.refs if (one.identity, ref.kind, ref.key) not in there and _gone(ref, standing))
        if refs:
            found.append(Posted(one, str(one.facts.get("to", "")), refs, bool(one.facts.get(POSTED))))
    return found


def _gone(ref: Ref, standing: Standing) -> bool:
    """Whether a thing is gone; of a lot a part may be."""
    thing = standing.things.get((ref.kind, ref.key))
    return thing is None or ref.kind != "plant" or not thing.alive


def _arrived(log: Sequence[CareEvent]) -> Iterator[tuple[str, str, str]]:
    """Yield what is known to have arrived or been lost, as the entry by which it went and its thing."""
    gone = [one for one in log if one.kind == "event" and one.what == "given"]
    made = {str(one.facts["slip"]): one for one in log if one.kind == "slip" and one.what == "made"}
    for one in log:
        if one.kind == "slip" and one.what in ("came", "lost"):
            yield from _by_word(one, gone, made.get(str(one.facts.get("slip", ""))))
        elif one.kind == "done" and str(one.facts.get("due", "")).startswith(ASKED):
            thing, on = str(one.facts["due"]).removeprefix(ASKED).split("|")[:2]
            for went in gone:
                if went.happened_on.isoformat() == on:
                    yield from ((went.identity, ref.kind, ref.key) for ref in went.refs if f"{ref.kind}:{ref.key}" == thing)


def _by_word(told: CareEvent, gone: Sequence[CareEvent], slip: CareEvent | None) -> Iterator[tuple[str, str, str]]:
    """Yield what a word or a receipt says: all of the entries that it names, or those plants of them; of a slip what is on it."""
    of = slip.facts["of"] if slip is not None else told.facts.get("of")
    named = None if of is None else {(kind, key) for kind, key, _ in of}
    for went in gone:
        meant = went.sequence < told.sequence if slip is not None else went.identity in told.facts.get("given", ())
        for ref in went.refs if meant else ():
            if named is None or (ref.kind, ref.key) in named:
                yield went.identity, ref.kind, ref.key
