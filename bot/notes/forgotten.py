"""Plants and places that a note names and that stand in nothing that was read: asked about, never dropped in silence.

Every word of a note lies within an entry; that an entry covers a name does not yet mean that it holds it.
"""

from __future__ import annotations

from collections.abc import Iterator

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import Entry, Selection
from bot.notes.retakes import self_corrected
from bot.notes.talk import Talk

NAMED = frozenset(("taxon", "place", "nickname", "sowing", "lot"))
UNTOLD = frozenset(listed("spoken")["untold"])
_UNTOLD_WORDS = frozenset(one.split()[0] for one in UNTOLD)
WHOLE = frozenset(("question", "fix", "request"))  # read as a whole; they change nothing, or say what they take


def doubt(talk: Talk) -> None:
    """Ask where a named plant or place is in no entry, unless something is asked anyway."""
    if talk.asks or not WHOLE.isdisjoint([one.type for one in talk.entries]):
        return
    untold = None if talk.silent(_UNTOLD_WORDS) else next((one for one in talk.items if one.low in UNTOLD), None)
    if untold is not None and any(one.type == "event" for one in talk.entries):
        talk.ask("which", f"{untold.low!r}: what was done to which is not known", hard=True)
        return
    held = {name for one in talk.entries if one.which is not None for name in _names(one.which)}
    named = [one for one in talk.items if one.family in NAMED and one.meaning not in held]
    if not named:
        return
    said = " | ".join(_words(talk.entries)).lower()
    lost = [one for one in named if one.meaning.lower() not in said and not _typed(one, talk, said)]
    if lost and (kept := [one for one in self_corrected(talk.items) if one in lost]):
        talk.ask("act", f"{kept[0].low!r} has no place in what was read", hard=True)


def _typed(one: Item, talk: Talk, said: str) -> bool:
    return one.low in said or talk.text[one.start : one.end].lower() in said


def _words(entries: list[Entry]) -> Iterator[str]:
    """Yield what the entries hold of names and words."""
    for one in entries:
        if one.which is not None:
            yield from _of_selection(one.which)
        yield from (value for value in (one.text, one.cond, one.place, one.why) if value is not None)
        yield from (str(value) for value in one.details.values())


def _names(which: Selection) -> tuple[str, ...]:
    return (*which.labels, *which.nicknames, *which.taxa, *which.places, *which.lots, *which.sowings)


def _of_selection(which: Selection) -> Iterator[str]:
    yield from (*_names(which), which.words or "")
    for one in which.excluded:
        yield from _of_selection(one)
