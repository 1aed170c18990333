"""What the entries of a whole note show to be misread: a place range cut in two, a number said of no plants, a dropped condition.

Runs after the clauses are read. What can be settled is settled; the rest asks and writes nothing.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

from bot.notes.lexicon import word_lists
from bot.notes.reading import Entry, Selection
from bot.notes.talk import Talk

HOUSE = frozenset(("vented", "heated", "damped_down"))  # acts on a house, never on so many plants
MOVING = frozenset(("moved", "given", "pricked_out", "potted", "repotted", "isolated", "released", "divided", "sown", "acquired"))
LABEL_OR_COUNT = frozenset(("washed", "potted", "rooted", "wetted"))
UNWRITTEN = frozenset(("remark", "question", "request", "fix"))
LONGEST_RANGE = 60  # places; the same bound as for "tray 1-4"
_RANGE = re.compile(r"\b([a-z]+) (\d{1,2}) (?:to|through|thru) \1 (\d{1,2})\b")


def settle(talk: Talk) -> None:
    """Settle a place range, and ask where a number, a condition or "everything" has been read as what it is not."""
    entries = talk.entries
    sets = [one.which for one in entries if one.which is not None]
    if 2 in [len(which.places) for which in sets]:
        entries[:] = [_whole_range(one, talk) for one in entries]
    if len(entries) > 1:
        _moved_into(talk)
    if [which for which in sets if which.count is not None]:
        entries[:] = [_one_plant(one, talk) for one in entries]
        _degrees_or_plants(talk)
        _label_or_count(talk)
    if not talk.asks:
        _everything_lost(talk)
        _somewhere_lost(talk)
        _condition_lost(talk)


def _whole_range(entry: Entry, talk: Talk) -> Entry:
    """Return the entry with the places between two: "tray 1 to tray 3" is three trays, unless something is moved."""
    which = entry.which
    if which is None or len(which.places) != 2 or entry.act in MOVING or entry.type == "fix":
        return entry
    found = _RANGE.search(talk.text[slice(*entry.span)].lower())
    if found is None:
        return entry
    noun, low, high = found[1], int(found[2]), int(found[3])
    if not low < high < low + LONGEST_RANGE:
        return entry
    places = tuple(talk.names.numbered(noun, str(number)) for number in range(low, high + 1))
    if (places[0], places[-1]) != which.places:
        return entry
    return replace(entry, which=replace(which, places=places))


def _moved_into(talk: Talk) -> None:
    """Make one act of a move to the shelf of the isolated: "moved duchess to q shelf" says where, and nothing happened twice."""
    for i in range(len(talk.entries) - 1):
        one, other = talk.entries[i], talk.entries[i + 1]
        if one.act == other.act == "isolated" and _only_the_shelf(other, talk):
            talk.entries[i : i + 2] = [replace(one, span=(one.span[0], other.span[1]))]
            return
        if one.act != "moved" or other.act != "isolated" or "to" in one.details or other.which is not None:
            continue
        said = talk.text[one.span[0] : other.span[1]].lower()
        place = next((name for key, name in talk.names.places.items() if said.endswith(f" {key}")), None)
        if place is not None and not set(said) & set(",.;\n"):
            span = (one.span[0], other.span[1])
            talk.entries[i : i + 2] = [replace(one, details={**one.details, "to": place}, span=span)]
            return


def _only_the_shelf(one: Entry, talk: Talk) -> bool:
    """Return whether an isolation only says where: "isolated 5 gymnos, on the q shelf now"."""
    said = one.which.to_json() if one.which is not None else {}
    return said.keys() == {"places"} and said["places"] == [talk.names.place("q shelf")]


def _one_plant(entry: Entry, talk: Talk) -> Entry:
    """Return a finding on a label where the verb is of one thing: "the 77 has mites" is no count of 77."""
    which = entry.which
    if entry.sign is None or which is None or which.count is None or which.to_json().keys() != {"count"}:
        return entry
    singular = word_lists(talk.settings.language, "overlooked")["singular"]
    spoken = [first for first, other in itertools.pairwise(talk.items) if other.low in singular]
    if (which.count or 0) > 1 and any(one.meaning == "digits" and one.value == which.count for one in spoken):
        return replace(entry, which=Selection(labels=(str(which.count),)))
    return entry


def _degrees_or_plants(talk: Talk) -> None:
    """Ask where an act on a house has a number: "29 in the greenhouse, opened the vents" gives degrees, not 29 plants."""
    for one in talk.entries:
        if one.act in HOUSE and one.which is not None and one.which.count is not None:
            talk.ask("act", _said(talk, "degrees"), hard=True)
            return


def _label_or_count(talk: Talk) -> None:
    """Ask where a number alone may be a plant or how many: "washed 3", "20 rooted", with such a label in use."""
    first = next((i for i, one in enumerate(talk.entries) if one.type != "remark"), None)
    labels = talk.names.names.labels
    if first is None or labels is None:
        return
    one = talk.entries[first]
    which = one.which
    if which is None or which.count is None:
        return
    alone = one.act in LABEL_OR_COUNT and _done(one) and which.count and which.to_json().keys() <= {"count", "approx"}
    if alone and labels[0] <= (which.count or 0) <= labels[1] and _typed(which.count or 0, one, talk):
        details = {key: value for key, value in one.details.items() if value is not True}
        talk.entries[first] = replace(one, which=Selection(words=str(which.count)), details=details)
        talk.ask("which", _said(talk, "label"), hard=True)


def _typed(number: int, one: Entry, talk: Talk) -> bool:
    """Return whether the number stands alone in its digits beside the act, with at most a word for where."""
    said = talk.text[slice(*one.span)].lower().split()
    return str(number) in said and len(said) <= 3


def _everything_lost(talk: Talk) -> None:
    """Ask where "everything" opens a note and only a part was read: "everything watered, frame B too"."""
    opening = talk.items[0] if talk.items else None
    if opening is None or opening.low not in word_lists(talk.settings.language, "overlooked")["every"] or talk.asks:
        return
    behind = talk.items[1] if len(talk.items) > 1 else None
    acts = behind is not None and behind.family == "act"
    written = [one for one in talk.entries if _done(one)]
    if acts and written and not any(one.which is None or one.which.refer == "all" for one in written):
        talk.ask("which", _said(talk, "all"), hard=True)


def _somewhere_lost(talk: Talk) -> None:
    """Ask where everything was read and the words say where: "watered everything in front", "all in the corner"."""
    if talk.asks or talk.lacks("prep"):
        return
    every = [one for one in talk.entries if one.which is not None and one.which.refer == "all"]
    if not any(_done(one) and one.which == _ALL for one in every):
        return
    for i, one in enumerate(talk.items[:-1]):
        if one.means("prep", "on") and i and talk.items[i - 1].family in ("refer", "plants"):
            k = i + 2 if talk.items[i + 1].family == "det" and i + 2 < len(talk.items) else i + 1
            if talk.items[k].family in ("adj", "plants"):
                talk.ask("which", _said(talk, "all"), hard=True)
                return


_ALL = Selection(refer="all")


def _condition_lost(talk: Talk) -> None:
    """Ask where a condition stands in a remark while what hangs on it was written: "if it stays dry i open the vents"."""
    if talk.lacks("cond"):
        return
    written = any(one.type not in UNWRITTEN and one.cond is None for one in talk.entries)
    spans = [one.span for one in talk.entries if one.type == "remark"]
    conditions = [one for one in talk.items if one.family == "cond"]
    lost = any(first <= one.start and one.end <= last for one in conditions for first, last in spans)
    if written and lost and not talk.asks:
        talk.ask("act", _said(talk, "condition"), hard=True)


def _done(one: Entry) -> bool:
    """Return whether an entry says of an act that it was done, or left."""
    return one.act is not None and one.due is None and one.type not in UNWRITTEN


def _said(talk: Talk, key: str) -> str:
    """Return the reason for a question, in the words of the person's language."""
    return next(iter(word_lists(talk.settings.language, "overlooked")[key]))
