"""Answers from the record of plants: what was found last, what was done since, what waits, what sulks, what has no name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from bot.app.english import lists, phrases
from bot.app.plan import View
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.care.standing import Reminder, Standing, Thing

MOST = 4
_NOUNS = {
    "fed": "feed",
    "watered": "watering",
    "treated": "treatment",
    "repotted": "repotting",
    "moved": "move",
    "misted": "misting",
}


def dated(day: date, today: date) -> str:
    """Return a day with how long ago it was."""
    said = phrases.day(day, today)
    return said if said in ("today", "yesterday") else f"{said} ({phrases.ago(day, today)})"


def found_last(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return the finding with its certainty, what was done about it, and the next look."""
    day = phrases.cap(dated(date.fromisoformat(facts["on"]), view.today))
    seen = phrases.joined([_seen(status, sign) for status, sign in facts["signs"]])
    lines = [f"{day}: {seen}, on {phrases.things(facts['refs'], standing)}."]
    coming: Due | None = facts["next"]
    treated = f"Treated {dated(date.fromisoformat(facts['treated']), view.today)}." if facts["treated"] else ""
    follows = f"Next: {phrases.due(coming.kind, coming.about)}, {phrases.day(coming.on, view.today)}." if coming else ""
    return [*lines, *([f"{treated} {follows}".strip()] if treated or follows else [])]


def _seen(status: str, sign: str) -> str:
    said = phrases.sign(sign)
    return {"absent": f"no {said}", "cleared": f"{said} gone", "suspected": f"{said}, not sure"}.get(status, said)


def with_sign(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return on what a sign that is no pest was seen and not seen to end."""
    found: Sequence[tuple[Thing, date]] = facts["dated"]
    said = phrases.sign(facts["sign"])
    if not found:
        return [f"Nothing noted with {said}." if not said.startswith(("no ", "not ")) else "None noted."]
    shown = [f"{phrases.things((one.ref,), standing)}, since {dated(day, view.today)}" for one, day in found[:MOST]]
    more = f" and {len(found) - MOST} more" if len(found) > MOST else ""
    root = ["Roots tell: knock one out and look."] if facts["sign"] == "stalled" else []
    return [f"{len(found)}: {'; '.join(shown)}{more}.", *root]


def done_in_span(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return the days on which an act was done, newest first; "no entry" where none was."""
    noun, days = _NOUNS.get(facts["act"], facts["act"].replace("_", " ")), facts["days"]
    if not days:
        return [f"No {noun} entry since {phrases.day(facts['since'], view.today)}."]
    lines = []
    for day, refs in days[:MOST]:
        strength = facts["strengths"].get(day)
        how = f", {strength:g} strength" if strength is not None else ""
        lines.append(f"{phrases.cap(dated(day, view.today))}: {_places_first(refs, standing)}{how}.")
    return [*lines, *([f"{len(days) - MOST} more days."] if len(days) > MOST else [])]


def _places_first(refs: Sequence[Ref], standing: Standing) -> str:
    """Return what was meant: a bench stands for what is on it."""
    places = [one for one in refs if one.kind in ("place", "house")]
    inside = {one.key for one in places}
    rest = [one for one in refs if one not in places and _place_of(one, standing) not in inside]
    return phrases.joined([phrases.things([*part], standing) for part in (places, rest) if part])


def _place_of(ref: Ref, standing: Standing) -> str:
    thing = standing.things.get((ref.kind, ref.key))
    return thing.place if thing is not None else ""


def started(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return when watering began after the rest, and how warm it was then."""
    if not facts["days"]:
        span = f" in {facts['since'].year}" if facts["since"] else ""
        return [f"No entry of a rest that ended{span}."]
    lines = []
    for day, refs, reading in facts["days"][:MOST]:
        warm = f"; min {reading['min_c']:g} °C" if reading else "; no thermometer entry then"
        warm += f", max {reading['max_c']:g} °C" if reading and "max_c" in reading else ""
        lines.append(f"{phrases.cap(dated(day, view.today))}: {phrases.things(refs, standing)}{warm}.")
    return lines


def first_waters(things: Sequence[Thing], view: View, standing: Standing) -> list[str]:
    """Return what was potted and waits for its first water, with the day."""
    lines = []
    for one in things[:MOST]:
        due = next((due for due in view.due if due.kind == "first_water" and _about(due, one)), None)
        when = f"first water {phrases.day(due.on, view.today)} or after" if due else "no day yet"
        potted = date.fromisoformat(one.settling[-1]["on"])
        lines.append(f"{phrases.cap(phrases.things((one.ref,), standing))}: potted {dated(potted, view.today)}, {when}.")
    return [*lines, *([f"{len(things) - MOST} more"] if len(things) > MOST else [])]


def _about(due: Due, thing: Thing) -> bool:
    return (thing.kind, thing.key) in {(ref.kind, ref.key) for ref in due.refs}


def unnamed(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return what nobody named yet."""
    things: Sequence[Thing] = facts["things"]
    if not things:
        return ["All have a name."]
    shown = phrases.joined([phrases.things((one.ref,), standing) for one in things[:8]])
    more = f" and {len(things) - 8} more" if len(things) > 8 else ""
    return [f"{len(things)} without a name: {shown}{more}."]


def meant_to(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return what the grower asked to be reminded of, with its day or its condition."""
    held: Sequence[Reminder] = facts["reminders"]
    lines = []
    for one in held[:MOST]:
        what = (
            one.text
            or f"{lists.VERBS.get(one.act, one.act)} {phrases.things(one.refs, standing) if one.refs else one.words}".strip()
        )
        when = phrases.day(one.due, view.today) if one.due else one.cond or "no day"
        lines.append(f"{phrases.cap(what)}: {when}.")
    return [*lines, *([f"{len(held) - MOST} more"] if len(held) > MOST else [])]


RECORD_ANSWERS = {
    "meant_to": meant_to,
    "found_last": found_last,
    "with_sign": with_sign,
    "done_in_span": done_in_span,
    "started": started,
    "unnamed": unnamed,
    "first_waters": lambda facts, view, standing: first_waters(facts["things"], view, standing),
}
