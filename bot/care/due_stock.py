"""What follows from everything else that was noted: reminders, holds, sowings, batches, and the second looks of the trade."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from bot.care.due_values import Due, Setting, place_of_refs, practice
from bot.care.followups import FOLLOW_UP_DAYS, follow_up_looks
from bot.care.frost import looks_after_cold
from bot.care.propagation import graft_looks, next_offset_look, root_checks, sowing_looks
from bot.care.sources import COMMON_PRACTICE, PROJECT_DEFAULT
from bot.care.standing import Standing, Thing

# What was noted, and the rule of the trade for its second looks.
FOLLOW_UP_OF = {
    "rot": "rot cut",
    "soft": "rot cut",
    "bronzing": "bronzing",
    "scarring": "scarring",
    "cold_mark": "frost",
    "frost": "frost",
    "chilled": "frost",
    "neighbours": "death by pest",
    "beside": "beside a find",
    "scorch": "sun change",
    "damping_off": "rot cut",
    "grey_mould": "halted rot",
    "wetted": "leak",
    "first_water": "first water of the year",
    "moved_out": "sun change",
    "brought_in": "brought indoors",
    "uncovered": "bag off",
    "unshaded": "sun change",
    "pricked_out": "pricked out",
    "given": "posted",
}
PENDING_LOOK_DAYS = FOLLOW_UP_DAYS["unrooted"][0]
OPEN_HOLD_DAYS = FOLLOW_UP_DAYS["hold without end"][0]
REPOTTING_MONTH = 3  # common practice: repotting begins in March, September in the south
OFFSET_LOOK_DAYS = 30  # project default: the repotting month
LET_GO_AFTER_DAYS = 14  # project default: a second look this long past is answered by the next one

TRUST = {
    "PENDING_LOOK_DAYS": COMMON_PRACTICE,
    "OPEN_HOLD_DAYS": COMMON_PRACTICE,
    "REPOTTING_MONTH": COMMON_PRACTICE,
    "OFFSET_LOOK_DAYS": PROJECT_DEFAULT,
    "LET_GO_AFTER_DAYS": PROJECT_DEFAULT,
}


def stock_of(thing: Thing, setting: Setting) -> Iterator[Due]:
    """Yield what the hold and second looks of a thing ask for, and what a sowing or batch does."""
    if not thing.alive and thing.kind not in ("place", "house", "some") and thing.status != "given":
        return
    if thing.hold:
        yield from _hold(thing)
    if thing.follow:
        yield from _follow_ups(thing, setting.today)
    if "present:pupping" in thing.last and thing.kind in ("plant", "lot"):
        yield from _offsets_left_on(thing, setting)
    if thing.kind == "sowing":
        yield from _sowing(thing)
    elif thing.kind == "batch":
        yield from _batch(thing)


def reminders_due(standing: Standing) -> Iterator[Due]:
    """Yield what the grower asked to be told of."""
    for one in standing.reminders.values():
        if one.due is None:
            continue
        why: dict[str, Any] = {"quantity": "asked", "since": one.on.isoformat(), "reminder": one.key}
        why |= {
            key: value
            for key, value in (
                ("cond", one.cond),
                ("text", one.text),
                ("words", one.words),
                ("at", one.at),
                ("every_days", one.every_days),
                ("awaited", bool(one.awaits)),
            )
            if value
        }
        refs = standing.still_asked(one) or one.refs
        place = place_of_refs(refs, standing.things)
        yield Due(f"reminder|{one.key}|{one.due}", "reminder", one.due, refs, None, place, one.act, why)


def _hold(thing: Thing) -> Iterator[Due]:
    hold = thing.hold
    on = date.fromisoformat(hold["on"])
    why = {"quantity": "asked", "since": hold["on"]} | ({"cond": hold["cond"]} if hold.get("cond") else {})
    key = f"hold|{thing.kind}:{thing.key}|{hold['on']}"
    if hold.get("until"):
        if thing.bare_on is None:
            yield Due(key, "hold_ends", date.fromisoformat(hold["until"]), (thing.ref,), None, thing.place, "", why)
    else:
        yield Due(
            key, "hold_open", on + timedelta(days=OPEN_HOLD_DAYS), (thing.ref,), None, thing.place, "", why | practice("30 days")
        )


def _follow_ups(thing: Thing, today: date) -> Iterator[Due]:
    """Yield the next look of each second look that is still open."""
    for one in thing.follow:
        start = date.fromisoformat(one["on"])
        for on in _looks(one["what"], start):
            if on < today - timedelta(days=LET_GO_AFTER_DAYS) or _looked_since(thing, on):
                continue
            days = (on - start).days
            until = looks_after_cold(start)[1] if one["what"] in COLD and days > 7 else None
            key = f"follow|{one['what']}|{thing.kind}:{thing.key}|{start}|{days}"
            why = practice(f"{days} days", since=one["on"])
            place = thing.key if thing.kind == "place" else thing.place
            yield Due(key, "follow_up", on, (thing.ref,), until, place, one["what"], why)
            break


def looks_to_come(thing: Thing, today: date) -> Iterator[date]:
    """Yield the second looks at a thing that today or a later day may ask for; what lies further back never will again."""
    for one in thing.follow:
        yield from (
            on for on in _looks(one["what"], date.fromisoformat(one["on"])) if on >= today - timedelta(days=LET_GO_AFTER_DAYS)
        )


COLD = frozenset({"frost", "chilled", "cold_mark"})


def _looks(what: str, start: date) -> tuple[date, ...]:
    """The days of the looks that follow; cold damage hides, so its second look opens after ten days and not at the end."""
    if what not in FOLLOW_UP_OF:
        return ()
    first, *_ = looks = follow_up_looks(FOLLOW_UP_OF[what], start)
    return (first, looks_after_cold(start)[0]) if what in COLD else looks


def _looked_since(thing: Thing, on: date) -> bool:
    looks = (day for key, day in thing.last.items() if key == "inspected" or (":" in key and not key.startswith("skipped")))
    return any(date.fromisoformat(day) >= on for day in looks)


def _offsets_left_on(thing: Thing, setting: Setting) -> Iterator[Due]:
    """Offsets stay on until they can go on alone; a yearly look at repotting time brings them back."""
    seen = max(thing.last[one] for one in ("present:pupping", "inspected") if one in thing.last)
    if thing.last.get("offsets_taken", "") >= thing.last["present:pupping"]:
        return
    usual = REPOTTING_MONTH if setting.latitude >= 0 else (REPOTTING_MONTH + 5) % 12 + 1
    on = next_offset_look(date.fromisoformat(seen), thing.potted_on.month if thing.potted_on else usual)
    why = practice("a third of the parent, or own roots", since=thing.last["present:pupping"])
    until = on + timedelta(days=OFFSET_LOOK_DAYS)
    yield Due(f"offsets|{thing.kind}:{thing.key}|{on}", "offset_look", on, (thing.ref,), until, thing.place, "", why)


def _sowing(thing: Thing) -> Iterator[Due]:
    if thing.came_on is None or "pricked_out" in thing.last:
        return
    counts = [date.fromisoformat(day) for day, _ in thing.tally.get("counts", ())]
    sown, up = thing.tally.get("sown"), thing.tally.get("up", 0)
    plan = sowing_looks(thing.came_on, thing.genus.capitalize())
    if up:
        first, last_day = plan.prick_out
        why = practice("6 to 12 months, slow kinds 12 to 15", since=thing.came_on.isoformat(), up=up)
        yield Due(f"sowing|{thing.key}|prick", "prick_out", first, (thing.ref,), last_day, thing.place, "", why)
    if sown and up >= sown:
        return
    last = max(counts, default=thing.came_on)
    on = next((one for one in plan.looks if one > last), None)
    why = practice("7, 14 and 21 days, then weekly", since=thing.came_on.isoformat(), sown=sown, up=up)
    if on is not None and on < plan.give_up_review:
        yield Due(f"sowing|{thing.key}|{on}", "sowing_look", on, (thing.ref,), None, thing.place, "", why)
    elif last < plan.give_up_review:
        yield Due(f"sowing|{thing.key}|review", "sowing_review", plan.give_up_review, (thing.ref,), None, thing.place, "", why)


def _batch(thing: Thing) -> Iterator[Due]:
    if thing.came_on is None or thing.bare_on is not None:
        return
    taken, rooted, failed = thing.tally.get("taken", 0), thing.tally.get("rooted", 0), thing.tally.get("failed", 0)
    pending = taken - rooted - failed
    if pending <= 0:
        return
    what = thing.tally.get("kind", "offsets")
    why = practice("3 weeks a tug, then weekly", since=thing.came_on.isoformat(), taken=taken, pending=pending)
    if what == "grafts":
        on, until, united_on = graft_looks(thing.came_on)
        ties = why | practice("7 to 14 days")
        yield Due(f"batch|{thing.key}|ties", "ties_off", on, (thing.ref,), until, thing.place, what, ties)
        union = why | practice("2 to 4 weeks")
        yield Due(f"batch|{thing.key}|union", "union_look", united_on, (thing.ref,), None, thing.place, what, union)
        return
    counted = max((thing.last[act] for act in ("rooted", "failed", "inspected") if act in thing.last), default="")
    start = thing.potted_on or thing.came_on
    first = root_checks(start)[0]
    on = max(first, date.fromisoformat(counted) + timedelta(days=PENDING_LOOK_DAYS)) if counted else first
    yield Due(f"batch|{thing.key}|{counted or start}", "rooted_look", on, (thing.ref,), None, thing.place, what, why)
