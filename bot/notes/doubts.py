"""The reader's doubt about its own reading: where what was said does not add up, it asks instead of writing.

A label beside another set, a day or a set that no rule used, an act or a sign left over: each is a hint that the note was cut
in the wrong place.
"""

from __future__ import annotations

from collections.abc import Iterable

from bot.notes.clauses import Clause
from bot.notes.heads import Phrase
from bot.notes.items import Item
from bot.notes.reading import Entry
from bot.notes.talk import Talk

STRAY = frozenset(("act", "sign", "ratio", "sizes", "dose", "clear", "gone", "measure"))
BY_DESIGN = frozenset(("other", "natural", "left", "unclear", "skipped", "doit"))
SETS = frozenset(("labels", "nicknames", "taxa", "places", "lots", "sowings"))


def of_clause(clause: Clause, talk: Talk, before: int) -> None:
    """Ask where a clause that wrote something leaves over what ought to have meant something."""
    written = [one for one in talk.entries[before:] if one.type not in ("remark", "question", "request", "fix")]
    if not written or (clause.head is not None and clause.head.family in BY_DESIGN):
        return
    sizes = [one for one in clause.every("amount") if one.meaning == "cm"]
    if len(sizes) > 1 and any(one.act in ("potted", "repotted") for one in written):
        talk.ask("act", "several pot sizes in one clause", hard=True)
        return
    for one in clause.elements():
        if one is clause.head or one.used or (isinstance(one, Item) and one.kept):
            continue
        if isinstance(one, Phrase):
            if one.fields.keys() & SETS and not one.bare:
                talk.ask("act", f"{one.low!r} has no place in what was read", hard=True)
                return
        elif isinstance(one, Item) and _stray(one, clause):
            talk.ask("act", f"{one.low!r} has no place in what was read", hard=True)
            return


def _stray(one: Item, clause: Clause) -> bool:
    if one.family == "date":
        if clause.head is not None and clause.head.family == "sign" and one.value.part == "ahead":
            return False
        return bool(one.value.kind != "offset" or one.value.days != 0)
    return one.family in STRAY


def of_entries(entries: Iterable[Entry], talk: Talk) -> None:
    """Ask where a selection mixes what cannot go together: a label is one plant and needs no other set."""
    for one in entries:
        which = one.which
        if which is None or one.type not in ("event", "finding", "measure", "hold", "skip"):
            continue
        single = bool(which.labels) + bool(which.nicknames)
        others = bool(which.taxa) + bool(which.places) + bool(which.lots) + bool(which.sowings) + (which.pot_cm is not None)
        if one.act in ("acquired", "named", "sown"):
            continue
        if single and (others or (single > 1 and not _same_act_listed(which.labels, which.nicknames))):
            talk.ask("which", "a numbered plant beside another set", hard=True)
        elif which.sowings and (which.taxa or which.places):
            talk.ask("which", "a sowing beside another set", hard=True)


def _same_act_listed(labels: tuple[str, ...], nicknames: tuple[str, ...]) -> bool:
    return len(labels) + len(nicknames) <= 2


def of_silence(talk: Talk) -> None:
    """Ask where a note that names plants or gives numbers was not read at all; a mere remark stays one."""
    if talk.asks or any(one.type != "remark" for one in talk.entries):
        return
    families = {one.family for one in talk.items if not one.means("neg", "not")}
    if families & PLANTS and not families & REMARKED and len(talk.items) <= 12:
        talk.ask("act", "plants are named, but what happened was not understood", hard=True)


PLANTS = frozenset(("taxon", "place", "lot", "sowing", "nickname", "number", "range", "sizes", "ratio"))
REMARKED = frozenset(("other", "natural", "neg", "idiom", "word_only"))
__all__ = ["of_clause", "of_entries", "of_silence"]
