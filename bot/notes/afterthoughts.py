"""Doubts about what stands behind a comma and has no verb of its own: "7 pups pulled off 15, no roots on 3".

Such a part is read with the verb before it. That is right for a list ("watered bench 1, tray 2 and the haws"), and wrong where
the part says something of its own in words that no rule has read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.notes.clauses import Clause, Element
from bot.notes.items import Item
from bot.notes.reading import Entry
from bot.notes.talk import Talk

OWN_MATTER = frozenset(("word", "part", "sign", "adj", "mix", "light", "only"))
SETS = frozenset(("labels", "nicknames", "taxa", "places", "lots", "sowings", "kind"))


def of_its_own(clause: Clause, talk: Talk, _written: Sequence[Entry]) -> bool:
    """Ask where a part behind a comma names plants and holds words that were not read."""
    named = [one for one in clause.phrases() if one.used and not one.out and one.fields.keys() & SETS]
    if len(named) < 2:
        return False
    for part in _parts(clause):
        second = [one for one in part if one in named[1:] and (one.prep == "on" or (one.prep is None and not one.bare))]
        if not second or (clause.head is not None and second[0].start < clause.head.start):
            continue
        left = next((one for one in part if isinstance(one, Item) and _unread(one)), None)
        if left is not None:
            talk.ask("act", f"{left.low!r} may be said of something else", hard=True)
            return True
    return False


def _parts(clause: Clause) -> Iterator[Sequence[Element]]:
    """Yield the parts of a clause between commas, that of its head left out."""
    part: list[Element] = []
    for one in (*clause.elements(), None):
        if one is None or (isinstance(one, Item) and one.family == "comma"):
            if part and clause.head not in part:
                yield part
            part = []
        else:
            part.append(one)


def _unread(one: Item) -> bool:
    return one.family in OWN_MATTER and not one.used
