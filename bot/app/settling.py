"""What the collection settles that words alone leave open: a bare number that is the label of a plant."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.care.standing import Standing
from bot.notes.reading import Entry, Reading, Selection

_LOT = re.compile(r"(?:the\s+)?([a-z]+)(?:'s|s')?\s+(?:lot|box|parcel)")  # "the irma lot" is a lot, known before or not
NO_COUNT_FROM = 60  # project default: nobody counts so many pots of a collection that has fewer


def settled(reading: Reading, standing: Standing) -> Reading:
    """Return a reading in which bare numbers are labels where the collection has such a plant.

    "watered 16" could be a count or a label: where a plant carries the label 16 it is meant, and the answer names it. A count
    that is larger than the whole collection is a label too.
    """
    entries = tuple(_settled(one, standing) for one in reading.entries)
    parts = any(_part_of_a_lot(one.which, standing) for one in entries)
    if entries == reading.entries and not parts:
        return reading
    if reading.ask != "which" or any(_open(one.which) for one in entries):
        return replace(reading, entries=entries)
    return replace(reading, entries=entries, decision="log", ask=None)


def _part_of_a_lot(which: Selection | None, standing: Standing) -> bool:
    """Whether a counted part of a known lot is meant: its plants have no names, so there is nothing to ask."""
    return which is not None and which.count is not None and any(standing.lot_of(one) is not None for one in which.lots)


def _settled(entry: Entry, standing: Standing) -> Entry:
    which = entry.which
    if which is None:
        return entry
    words = (which.words or "").strip().lstrip("#")
    lot = _LOT.fullmatch(words.lower())
    if lot is not None and not which.lots:
        return replace(entry, which=replace(which, words=None, lots=(lot[1],)))
    if words.isdigit() and standing.plant(words) is not None:
        return replace(entry, which=replace(which, words=None, labels=(words,)))
    if which == Selection(count=which.count) and which.count is not None and which.count >= NO_COUNT_FROM:
        plants = sum(one.count or 1 for one in standing.plants())
        if which.count > plants:
            return replace(entry, which=Selection(labels=(str(which.count),)))
    return entry


def _open(which: Selection | None) -> bool:
    return which is not None and (which.words is not None or which == Selection(count=which.count))
