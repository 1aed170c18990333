"""What a question is asked of, and the facts that answer it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from bot.app.plan import Draft
from bot.care.events import Ref
from bot.care.standing import Thing
from bot.notes.reading import Entry


@dataclass(frozen=True, slots=True)
class Found:
    """The facts that answer a question; `listed` are the keys behind the numbers of a list of due things."""

    about: str
    facts: dict[str, Any] = field(default_factory=dict)
    listed: tuple[str, ...] | None = None
    refs: tuple[Ref, ...] = ()


def everything(draft: Draft) -> tuple[Ref, ...]:
    """Return all that is on record, the house first."""
    return (Ref("house", ""), *(one.ref for one in draft.view.standing.things.values()))


def refs_asked(entry: Entry, draft: Draft) -> tuple[Ref, ...]:
    """Return what is asked about: the words' plants, else what is being talked of, else everything."""
    return draft.which(entry.which).refs or everything(draft)


def held_of(refs: Iterable[Ref], draft: Draft) -> list[Thing]:
    """Return the things that refs name, as far as they are on record."""
    held = (draft.view.standing.things.get((ref.kind, ref.key)) for ref in refs)
    return [one for one in held if one is not None]


def things_asked(entry: Entry, draft: Draft) -> list[Thing]:
    """Return the things that are asked about (see `refs_asked`)."""
    return held_of(refs_asked(entry, draft), draft)


def stock_asked(entry: Entry, draft: Draft) -> list[Thing]:
    """Return the plants and lots that a list is asked of; without words, all of them."""
    if entry.which is None:
        return list(draft.view.standing.plants())
    return [one for one in things_asked(entry, draft) if one.kind not in ("place", "house")]
