"""The day on which an order should come: "due 3 May", "the order from Anna is due next week", "when does it come".

On the day after it the order is late, and stands quietly among what is due until it has come or is dropped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from bot.app import transit_patterns as patterns
from bot.app.coming_days import coming_day
from bot.app.english import phrases
from bot.app.english import transit as words
from bot.app.plan import Draft, Plan, View
from bot.app.transit import COMPLETE, EXPECTED, Order, log_of, orders_of
from bot.care.events import CareEvent, effective
from bot.store.database import Connection

_OF_AN_ORDER = re.compile(r"\b(?:order|parcel|box|package|delivery|shipment)\b", re.IGNORECASE)


def day_to_come(said: str, view: View) -> date | None:
    """Return the day that words name; None where they name none, or one that is over."""
    when = re.sub(r"^(?:on|by|around|about) ", "", said.strip(), flags=re.IGNORECASE)
    day = coming_day(when if when.lower().startswith("in ") else f"on {when}", view)
    return day if day is not None and day >= view.today else None


def without_day(what: str, view: View) -> tuple[str, date | None]:
    """Return what was ordered without the day on which it should come, and that day."""
    found = patterns.DUE.search(what)
    day = day_to_come(found["day"], view) if found is not None else None
    return (what[: found.start()], day) if found is not None and day is not None else (what, None)


def facts_of(day: date, who: str, items: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return what an event keeps of the day: the day, and the words for when it is over."""
    return {"due": day.isoformat(), "late": words.late(who, items, day)}


def expected(match: re.Match[str], orders: Sequence[Order], every: Sequence[Order], draft: Draft) -> bool:
    """Note the day on which an open order should come."""
    day = day_to_come(match["day"], draft.view)
    if day is None or not orders:
        return False
    if len(orders) > 1:
        draft.tell(*words.which_order(every, orders, f"is due {match['day']}", draft.view.today))
        return True
    draft.say("order", draft.event("order", EXPECTED, (), draft.view.today, _facts(orders[0], day)))
    return True


def asked(match: re.Match[str], orders: Sequence[Order], who: str, every: Sequence[Order], draft: Draft) -> bool:
    """Answer when an order comes; False where the words may be about plants that are here."""
    late = not match["asked"].lower().startswith("when")
    if late and (match["how"] or "").strip().lower() != "late":
        return False
    if not (who or match["number"] or _OF_AN_ORDER.search(match[0])):
        return False
    if not orders:
        draft.tell(words.no_such_order(phrases.cap(who), len(every)) if who or every else words.NOTHING)
        return True
    lines = [words.comes(one, draft.view.today) for one in orders]
    draft.say("answer", about="on_the_way", lines=lines[: words.MOST])
    return True


def with_ended(conn: Connection, made: Plan, view: View, collection_id: int) -> Plan:
    """Return the plan with what its events change of the orders that have a day: one that is complete is late no more.

    However it was told that plants came in: they may be of an order.
    """
    awaited = {key for key, one in view.standing.reminders.items() if one.order}
    if not awaited or not any(one.kind == "event" and one.what == "acquired" for one in made.events):
        return made
    log = log_of(conn, collection_id, view.today)
    newest = max((one.sequence for one in log), default=0)
    new = [replace(one, sequence=newest + number) for number, one in enumerate(made.events, 1)]
    before = {one.identity: one for one in orders_of(effective(log))}
    after = {one.identity: one for one in orders_of(effective([*log, *new]))}
    ends = [_told_on(COMPLETE, {"order": key}, made.events[-1], view) for key in sorted(awaited - after.keys())]
    fewer = [one for key, one in sorted(after.items()) if key in awaited and one.due and before.get(key) != one]
    ends += [_told_on(EXPECTED, _facts(one, one.due), made.events[-1], view) for one in fewer if one.due]
    return replace(made, events=(*made.events, *ends)) if ends else made


def _facts(order: Order, day: date) -> dict[str, Any]:
    items = [{"name": one.name, "count": one.left} for one in order.items]
    return {"order": order.identity, "from": order.who, "items": items} | facts_of(day, order.who, items)


def _told_on(what: str, facts: dict[str, Any], last: CareEvent, view: View) -> CareEvent:
    on = view.today
    return replace(
        last, identity=view.new_identity(), kind="order", what=what, refs=(), facts=facts, happened_on=on, happened_at=None
    )


__all__ = ["asked", "day_to_come", "expected", "facts_of", "with_ended", "without_day"]
