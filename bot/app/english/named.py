"""What is said of names: opinions and who had them, what has none, who stands under another genus."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from bot.app.english import phrases, record
from bot.care.standing import Reminder, Standing, Thing

ITSELF = "That is the same plant."
NAMELESS = "{key} has no name itself, so nothing is written."
NO_NAME = "{what} was never given a name."
ALL_NAMED = "Every plant has a name, and none is in doubt."
MOST = 12


def unknown(label: str, nearest: tuple[str, ...]) -> str:
    """Return that a plant is not there, with the nearest that are."""
    return record.no_parent(label, nearest)


def opinions(thing: Thing, today: date) -> tuple[str, ...]:
    """Return the names of a thing, the newest first, each with who said so and since when."""
    if not thing.names:
        return (NO_NAME.format(what=phrases.label(thing, thing.key)),)
    lines = [_opinion(one, today) for one in reversed(thing.names)]
    return (f"{thing.key} is {lines[0]}.", *(f"Before: {one}." for one in lines[1:4]))


def _opinion(one: Mapping[str, object], today: date) -> str:
    name = str(one.get("name", ""))
    name = f"{name[:1].upper()}{name[1:]}{'' if one.get('sure', True) else '?'}"
    by = f", says {phrases.cap(str(one['by']))}" if one.get("by") else ""
    on = f", {phrases.short_day(date.fromisoformat(str(one['on'])), today)}" if one.get("on") else ""
    return f"{name}{by}{on}"


def open_names(
    nameless: Sequence[Thing], unsure: Sequence[Thing], waiting: Iterable[Reminder], standing: Standing
) -> tuple[str, ...]:
    """Return what has no name, what has one in doubt, and what waits to be looked at again."""
    lines = []
    if nameless:
        lines.append(f"No name: {_some(nameless, standing)}.")
    if unsure:
        lines.append(f"In doubt: {', '.join(phrases.label(one, one.key) for one in unsure[:MOST])}{_more(unsure)}.")
    lines += [f"To look at again {one.cond}: {phrases.things(one.refs, standing)}." for one in list(waiting)[:2] if one.refs]
    return tuple(lines) or (ALL_NAMED,)


def of_genus(genus: str, mine: Sequence[Thing], others: Mapping[str, Sequence[Thing]], standing: Standing) -> tuple[str, ...]:
    """Return the plants of a genus, and those under names that are also given to it; a label is never changed by that."""
    many = phrases.plural(genus)
    count = sum(one.count or 1 for one in mine)
    lines = [f"{phrases.count_of(count, genus, many)}: {_some(mine, standing)}." if mine else f"No {many} under that name."]
    lines += [f"Also under {other}, as some name them: {_some(found, standing)}." for other, found in list(others.items())[:3]]
    return tuple(lines)


def _some(things: Sequence[Thing], standing: Standing) -> str:
    named = [phrases.label(one, one.key) if one.kind == "plant" else phrases.things((one.ref,), standing) for one in things]
    return phrases.joined(named[:MOST]) + _more(things)


def _more(things: Sequence[Thing]) -> str:
    return f" and {len(things) - MOST} more" if len(things) > MOST else ""
