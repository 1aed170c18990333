"""What is said of accession numbers."""

from __future__ import annotations

from collections.abc import Sequence

from bot.app.english import phrases
from bot.care.accessions import number_of
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing, Thing

MOST = 4


def nothing_has(number: str) -> str:
    """Return that no plant has a number."""
    return f"Nothing here has the accession number {number}."


def several(number: str, refs: Sequence[Ref], standing: Standing) -> str:
    """Return what belongs to an accession whose plants have numbers of their own."""
    return f"{number}: {phrases.things(refs, standing)}."


def numbers(things: Sequence[Thing], standing: Standing) -> list[str]:
    """Return the numbers of things, a line each."""
    lines = [f"{phrases.cap(phrases.things((one.ref,), standing))}: {one.accession or _none(one)}." for one in things[:MOST]]
    return lines + ([f"{len(things) - MOST} more"] if len(things) > MOST else [])


def _none(thing: Thing) -> str:
    called = thing.key if thing.kind == "plant" else phrases.lot(thing.key)
    return f"no accession number yet, “give {called} an accession number”"


def given(event: CareEvent, standing: Standing) -> str:
    """Return that things have got a number."""
    first, last = number_of(event, 0), number_of(event, len(event.refs) - 1)
    span = first if first == last else f"{first} to {last.rpartition('*')[2]}"
    return f"{phrases.cap(phrases.things(event.refs, standing))}: accession {span}."


def brought(event: CareEvent) -> str:
    """Return the number of what came in, as it stands behind it."""
    return str(event.facts.get("accession", ""))
