"""What turns round what a clause seems to say: denied twice, done by somebody else, meant for a day that nobody can name.

Each rule asks instead of writing; its words stand in the table `reversing.csv` of a language.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import cache

from bot.notes.clauses import Clause
from bot.notes.items import Item
from bot.notes.lexicon import word_lists
from bot.notes.reading import Entry
from bot.notes.talk import Talk

DENYING = frozenset(("not", "undone", "dont"))


def said(low: str, key: str, talk: Talk) -> bool:
    """Return whether a phrase of a key stands in a text, as whole words."""
    return any(f" {phrase} " in f" {low} " for phrase in word_lists(talk.settings.language, "reversing")[key])


@cache
def _first_words(language: str, key: str) -> frozenset[str]:
    """Return the words that the phrases of a key begin with: without one of them none of the phrases is there."""
    return frozenset(phrase.split()[0] for phrase in word_lists(language, "reversing")[key])


def _twice_denied(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt "didnt not water it": two denials side by side."""
    if clause.lacks("neg"):
        return False
    items = [one for one in clause.elements() if isinstance(one, Item)]
    twice = any(
        one.family == other.family == "neg" and {one.meaning, other.meaning} <= DENYING and one.end + 1 >= other.start
        for one, other in itertools.pairwise(items)
    )
    if twice:
        talk.ask("act", "denied twice", hard=True)
    return twice


def _somebody_else(_clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt "it wasnt me who watered bench 1": it was done, and not by the grower."""
    other = said(" ".join([one.low for one in talk.items]), "not_me", talk)
    if other:
        talk.ask("act", "somebody else may have done it", hard=True)
    return other


def _some_day(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt what is meant for a day nobody can name yet: "put the shading up on the first hot day"."""
    first, last = clause.span()
    ahead = said(talk.text[first:last].lower(), "some_day", talk)
    if ahead:
        talk.ask("when", "it may speak of a day to come", hard=True)
    return ahead


def _nothing_done(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt "i watered nothing today", "nothing done today": "nothing" says here what was done, and not what was seen."""
    head = clause.head
    if head is None or written[0].act == "inspected":
        return False
    nothing = word_lists(talk.settings.language, "reversing")["nothing"]
    i = next((n for n, one in enumerate(talk.items) if one.start == head.start), 0)
    after = talk.items[i + 1] if i + 1 < len(talk.items) else None
    done = head.family == "act" and head.form == "past" and after is not None and after.low in nothing
    was_done = after is not None and (after.family == "did" or (after.family == "act" and after.form == "past"))
    did_before = i > 0 and talk.items[i - 1].family == "did"
    undone = head.low in nothing and (was_done or did_before)
    if done or undone:
        talk.ask("act", "nothing may have been done", hard=True)
    return done or undone


def _in_days(_clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt a plan whose "in 14" may be days and not a plant: "again in 7 days and again in 14"."""
    if written[0].which is None:
        return False
    labels = written[0].which.labels
    days = any(
        one.low == "in" and other.family == "number" and other.low in labels for one, other in itertools.pairwise(talk.items)
    )
    if days:
        talk.ask("when", "a number may be days", hard=True)
    return days


def _still_not(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt "mites arent back on tray 3": a denial right behind what is said to be there."""
    head = clause.head
    if head is None or written[0].status != "present" or clause.has("gone") is not None:
        return False
    i = next((n for n, one in enumerate(talk.items) if one is head), -2)
    behind = talk.items[i + 1 : i + 3] if i >= 0 else []
    denied = bool(behind) and behind[0].means("neg", "not") and (len(behind) < 2 or behind[1].family == "prep")
    if denied:
        talk.ask("sign", "it may not be there", hard=True)
    return denied


def _hold_from(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt a hold whose day is when it begins: "from october on no water for the mamms"."""
    if clause.has("till") is not None:
        return False
    pairs = itertools.pairwise(talk.items)
    begins = any(one.means("prep", "from") and other.family == "date" for one, other in pairs)
    if begins:
        talk.ask("when", "from then, and until when?", hard=True)
    return begins


def _sorry(_clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt "it was the aloes i fed sorry": what was put right, and not another event."""
    sorry_words = word_lists(talk.settings.language, "reversing")["sorry"]
    words = [word for one in talk.items for word in one.low.split()]
    sorry = words[-1] in sorry_words
    if sorry:
        talk.ask("act", "it may put right what was written before", hard=True)
    return sorry


Rule = Callable[[Clause, Talk, list[Entry]], bool]
RULES: tuple[Rule, ...] = (
    _twice_denied,
    _somebody_else,
    _some_day,
    _nothing_done,
    _in_days,
    _still_not,
    _hold_from,
    _sorry,
)
WORDED: dict[Rule, str] = {_somebody_else: "not_me", _some_day: "some_day", _nothing_done: "nothing", _sorry: "sorry"}
ENTRY: dict[Rule, tuple[str, ...]] = {  # what the first entry has to be
    **dict.fromkeys((_somebody_else, _some_day), ("event", "skip")),
    _nothing_done: ("event", "finding"),
    _in_days: ("reminder",),
    _hold_from: ("hold",),
    _sorry: ("event",),
}
HEAD: dict[Rule, str] = {_still_not: "sign"}


@cache
def _calls(language: str) -> frozenset[str]:
    """Return the words without one of which no rule with words of its own has anything to say."""
    return frozenset().union(*(_first_words(language, key) for key in WORDED.values()))


def worded(talk: Talk) -> bool:
    """Return whether the note holds a word that one of the rules with words of their own goes by."""
    return not talk.silent(_calls(talk.settings.language))
