"""What is said of two records that are one plant."""

from __future__ import annotations

from collections.abc import Sequence

from bot.app.english import phrases
from bot.care.events import CareEvent
from bot.care.merging import SAME
from bot.care.standing import Thing

YES = "yes, one plant"


def told(event: CareEvent) -> str:
    """Return that a label leads to a plant from now on."""
    return f"{phrases.joined(list(event.facts[SAME]))} and {event.refs[0].key} are one plant: {event.refs[0].key}."


def brought(old: Thing, new: Thing, entries: int) -> str:
    """Return what the plant has from its other record."""
    of_lot = f" {phrases.cap(phrases.lot(old.lot))} has one plant fewer with a number." if old.lot and old.lot == new.lot else ""
    what = phrases.count_of(entries, "entry", "entries") if entries else "nothing"
    return f"It has {what} of {old.key}, and {old.key} still finds it.{of_lot}"


def anyway(old: Thing, new: Thing) -> str:
    """Return the words that make one plant of two records that differ."""
    return f"merge {old.key} into {new.key} anyway"


def asked(old: Thing, new: Thing, differing: Sequence[tuple[str, str, str]]) -> tuple[str, ...]:
    """Return how two records differ, and the question whether they are one plant."""
    said = {"genus": "{key} is {name}", "lot": "{key} is from {name}"}
    parts = [
        f"{said[what].format(key=old.key, name=_as(what, one))}, {said[what].format(key=new.key, name=_as(what, other))}"
        for what, one, other in differing
    ]
    return (f"{'; '.join(parts)}. Still one plant? Nothing written yet: {anyway(old, new)}",)


def _as(what: str, name: str) -> str:
    return phrases.lot(name) if what == "lot" else name


def itself(one: Thing) -> str:
    """Return that both words mean one plant already."""
    return f"That is one plant already: {one.key}."


def kin(old: Thing, new: Thing) -> str:
    """Return that one comes from the other."""
    return f"{old.key} and {new.key} are parent and child by the record, so they are two plants: nothing written."


def gone(dead: Thing, other: Thing) -> str:
    """Return that one record says that the plant is gone and the other does not, and what to do first."""
    said = "did not die" if dead.status in ("dead", "discarded") else "is still here"
    held = f"{other.key} is not" if other.alive else f"{other.key} is {other.status}"
    return f"{dead.key} is {dead.status} by the record and {held}. Put that right first: {dead.key} {said}"


def two_already(old: Thing, new: Thing) -> str:
    """Return that they are two plants."""
    return f"{old.key} and {new.key} are two plants here." if old is not new else itself(old)


def two_again(label: str, other: str) -> str:
    """Return that two records are two again."""
    return f"{label} and {other} are two plants again, each with its own entries."


def later_first(event: CareEvent) -> str:
    """Return that a later merge has to be taken back first."""
    label = str(event.facts[SAME][0])
    return f"{label} was made one with {event.refs[0].key} later. First: {label} and {event.refs[0].key} are not the same"
