"""The reader's doubt about which plants an entry is about: a label beside another set, a finding behind an exception."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace

from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.reading import Entry, Selection
from bot.notes.talk import Talk

WHY_LEFT = frozenset(("mix_damp", "resting"))  # why plants are left out of a watering


def of_members(talk: Talk) -> None:
    """Ask whose a finding is that follows an exception: "bench 1 fine apart from 12, soft at the base"."""
    if len(talk.entries) < 2:
        return
    for i, (one, other) in enumerate(itertools.pairwise(talk.entries)):
        done = one.type == "event" and one.which is not None and len(one.which.excluded) == 1
        if done and other.type == "finding" and other.which is None and one.which is not None:
            if other.sign not in WHY_LEFT:
                talk.ask("which", "is it said of what was left out?")
            else:
                talk.entries[i + 1] = replace(other, which=one.which.excluded[0])
        excepted = one.type == "finding" and one.which is not None and bool(one.which.excluded)
        if excepted and other.type == "finding" and other.which is None and other.sign != one.sign:
            talk.ask("which", "is it said of what was left out?", hard=True)


OF_PLANTS = frozenset(("event", "finding", "measure", "hold", "skip"))


def of_entries(entries: Iterable[Entry], talk: Talk) -> None:
    """Ask where a selection mixes what cannot go together: a label is one plant and needs no other set."""
    for one in entries:
        which = one.which
        if which is None or one.type not in OF_PLANTS or which.plain():
            continue
        single = bool(which.labels) + bool(which.nicknames)
        others = bool(which.taxa) + bool(which.places) + bool(which.lots) + bool(which.sowings) + (which.pot_cm is not None)
        if one.act in ("acquired", "named", "sown"):
            continue
        if one.type == "finding" and len(which.labels) > 1 and which.taxa and others == 1:
            continue  # "conos flowering, 33 34 and 36": which of them
        if which.labels and others == 1 and which.taxa and _side_by_side(which, talk):
            continue  # "parodia 88": a plant by its genus and its label
        if which.refer == "rest" and which.taxa and which.places and one.type != "event":
            talk.ask("which", "the rest may be what was done otherwise", hard=True)
        if single and (others or (single > 1 and not _listed(one, talk))):
            talk.ask("which", "a numbered plant beside another set", hard=True)
        elif which.sowings and (which.taxa or which.places):
            talk.ask("which", "a sowing beside another set", hard=True)


def _side_by_side(which: Selection, talk: Talk) -> bool:
    """Return whether labels stand right behind their genus in the singular: "parodia 88", "Copiapoa 301, 302"."""
    if any(not one.isdecimal() or int(one) < LEAST_LABEL for one in which.labels):
        return False
    return any(
        one.family == "taxon"
        and one.low == one.meaning
        and other.family in ("number", "range")
        and _first(other) == which.labels[0]
        for one, other in itertools.pairwise(talk.items)
    )


def _first(one: Item) -> str:
    """Return the first number of a number or a range."""
    return str(one.value[0]) if one.family == "range" else one.low


def _listed(entry: Entry, talk: Talk) -> bool:
    """Return whether a number and a name stand in one list: "41 and the colonel"."""
    said = talk.text[slice(*entry.span)].lower().replace(",", " , ").replace("&", " & ").replace("+", " + ").split()
    return bool(LINKS & set(said))


LINKS = frozenset(("and", "&", "+", ",", "n", "plus"))
