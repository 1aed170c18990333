"""What follows from everything else that was noted: reminders, holds, sowings, batches, and the second looks of the trade."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from bot.care.due_values import Due, Setting, place_of_refs, practice
from bot.care.standing import Standing, Thing

# Days after which the trade looks again (all common practice). The two numbers are the window of the look.
FOLLOW_UPS: dict[str, tuple[tuple[int, int], ...]] = {
    "rot": ((2, 3), (7, 8)),
    "soft": ((2, 3), (7, 8)),
    "bronzing": ((7, 7),),
    "scarring": ((7, 7),),
    "cold_mark": ((10, 14),),
    "frost": ((3, 4), (10, 14)),
    "scorch": ((3, 4),),
    "damping_off": ((2, 3), (7, 8)),
    "grey_mould": ((7, 7),),
    "wetted": ((2, 3), (10, 10)),
    "first_water": ((5, 7),),
    "moved": ((3, 4),),
    "uncovered": ((1, 2), (14, 14)),
    "unshaded": ((3, 4),),
    "pricked_out": ((14, 14),),
    "given": ((14, 21),),
}
FIRST_SOWING_LOOK_DAYS, SOWING_LOOK_EVERY_DAYS, GIVE_UP_REVIEW_DAYS = 5, 7, 49  # common practice: day 5-7, weekly, 6-8 weeks
TUG_TEST_DAYS, ROOTED_COUNT_DAYS, PENDING_DAYS = 21, 35, 14  # common practice: 3 weeks, 4-6 weeks, the remainder after 14 days
TIES_OFF_DAYS = (7, 14)  # common practice
OPEN_HOLD_DAYS = 30  # common practice: an open-ended hold is asked about after 30 days


def stock_due(standing: Standing, setting: Setting) -> Iterator[Due]:
    """Yield what reminders, holds, sowings, batches and second looks ask for."""
    yield from _reminders(standing)
    for thing in standing.things.values():
        if not thing.alive and thing.kind not in ("place", "house", "some") and thing.status != "given":
            continue
        yield from _hold(thing)
        yield from _follow_ups(thing, setting.today)
        if thing.kind == "sowing":
            yield from _sowing(thing)
        elif thing.kind == "batch":
            yield from _batch(thing)


def _reminders(standing: Standing) -> Iterator[Due]:
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
            )
            if value
        }
        place = place_of_refs(one.refs, standing.things)
        yield Due(f"reminder|{one.key}|{one.due}", "reminder", one.due, one.refs, None, place, one.act, why)


def _hold(thing: Thing) -> Iterator[Due]:
    hold = thing.hold
    if not hold:
        return
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
    """Yield the next look of each second look that is still open; a look already a fortnight past is let go."""
    for one in thing.follow:
        start = date.fromisoformat(one["on"])
        for first, last in FOLLOW_UPS[one["what"]] if one["what"] in FOLLOW_UPS else ():
            on, until = start + timedelta(days=first), start + timedelta(days=last)
            if _looked_since(thing, on) or until < today - timedelta(days=14):
                continue  # answered, or so long past that the next of the two looks counts
            rule = f"{first} to {last} days" if first != last else f"{first} days"
            yield Due(
                f"follow|{one['what']}|{thing.kind}:{thing.key}|{start}|{first}",
                "follow_up",
                on,
                (thing.ref,),
                until,
                thing.place,
                one["what"],
                practice(rule, since=one["on"]),
            )
            break


def _looked_since(thing: Thing, on: date) -> bool:
    looks = (day for key, day in thing.last.items() if key == "inspected" or ":" in key and not key.startswith("skipped"))
    return any(date.fromisoformat(day) >= on for day in looks)


def _sowing(thing: Thing) -> Iterator[Due]:
    if thing.came_on is None or thing.tally.get("pricked_out"):
        return
    counts = [date.fromisoformat(day) for day, _ in thing.tally.get("counts", ())]
    last = max(counts, default=None)
    sown, up = thing.tally.get("sown"), thing.tally.get("up", 0)
    if sown and up >= sown:
        return
    review = thing.came_on + timedelta(days=GIVE_UP_REVIEW_DAYS)
    on = last + timedelta(days=SOWING_LOOK_EVERY_DAYS) if last else thing.came_on + timedelta(days=FIRST_SOWING_LOOK_DAYS)
    why = practice("day 5 to 7, then weekly; review at 6 to 8 weeks", since=thing.came_on.isoformat(), sown=sown, up=up)
    if on >= review:
        if last is None or last < review:
            yield Due(f"sowing|{thing.key}|review", "sowing_review", review, (thing.ref,), None, thing.place, "", why)
    else:
        yield Due(f"sowing|{thing.key}|{last or thing.came_on}", "sowing_look", on, (thing.ref,), None, thing.place, "", why)


def _batch(thing: Thing) -> Iterator[Due]:
    if thing.came_on is None or thing.bare_on is not None:
        return
    taken, rooted, failed = thing.tally.get("taken", 0), thing.tally.get("rooted", 0), thing.tally.get("failed", 0)
    pending = taken - rooted - failed
    if pending <= 0:
        return
    what = thing.tally.get("kind", "offsets")
    why = practice(
        "3 weeks a tug, 4 to 6 weeks a count",
        since=thing.came_on.isoformat(),
        taken=taken,
        rooted=rooted,
        failed=failed,
        pending=pending,
    )
    if what == "grafts":
        on, until = (thing.came_on + timedelta(days=one) for one in TIES_OFF_DAYS)
        yield Due(
            f"batch|{thing.key}|ties", "ties_off", on, (thing.ref,), until, thing.place, what, why | practice("7 to 14 days")
        )
        return
    counted = thing.last.get("rooted") or thing.last.get("failed")
    start = thing.potted_on or thing.came_on
    on = date.fromisoformat(counted) + timedelta(days=PENDING_DAYS) if counted else start + timedelta(days=TUG_TEST_DAYS)
    yield Due(f"batch|{thing.key}|{counted or start}", "rooted_look", on, (thing.ref,), None, thing.place, what, why)
