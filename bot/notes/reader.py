"""The reader: one note's text to what it says, and whether it can be written as it stands.

text -> tokens -> items (dates, amounts, names, words) -> colliding words settled -> request? correction? question?
-> clauses -> entries -> decision. Nothing is dropped: what no rule reads is kept as a remark.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime

from bot.care.known_names import Names
from bot.notes import (
    answers,
    asking,
    colliders,
    corrections,
    descriptions,
    forgotten,
    headings,
    mixtures,
    naming,
    notes,
    overlooked,
    questions,
    remainder,
    requests,
    sentences,
    shares,
    sought,
)
from bot.notes.explaining import explanation
from bot.notes.items import Item, Itemizer
from bot.notes.lexicon import load
from bot.notes.pieces import pieces
from bot.notes.reading import Entry, Question, Reading
from bot.notes.slips import slips
from bot.notes.talk import RANK, Settings, Talk

NO_NAMES = Names()
LONGEST = 2000  # characters; a note is a line or a few, more is kept unread


def read(
    text: str,
    now: datetime,
    names: Names = NO_NAMES,
    *,
    date_order: str = "dmy",
    units: str = "metric",
    hemisphere: str = "N",
    language: str = "en",
    answer_to: Question | None = None,
) -> Reading:
    """Return what `text`, written at the local moment `now`, says; never raises for any text.

    `date_order` is "dmy" or "mdy", `units` "metric" or "imperial", `hemisphere` "N" or "S". Where `answer_to` is the question
    left open by an earlier note and `text` answers it, the earlier note's entries come back, the gap filled, `answers` set.
    """
    settings = Settings(date_order, units, hemisphere, language)
    if answer_to is not None:
        answered = answers.fill(text, answer_to, lambda note: interpret(note, now, names, settings))
        if answered is not None:
            return answered
    return finish(interpret(text, now, names, settings))


def explain(
    text: str,
    now: datetime,
    names: Names = NO_NAMES,
    *,
    date_order: str = "dmy",
    units: str = "metric",
    hemisphere: str = "N",
    language: str = "en",
) -> str:
    """Return for a person how `text` is read: its words as the reader takes them, the rules that fired, why it asks."""
    settings = Settings(date_order, units, hemisphere, language)
    text = tidied(unnumbered(tidied(text)))  # a number taken out leaves blanks
    unsettled = {(one.start, one.end): (one.family, one.meaning) for one in _words(text, naming.index(names), settings)}
    talk = interpret(text, now, names, settings)
    return explanation(talk, finish(talk), unsettled)


def interpret(text: str, now: datetime, names: Names, settings: Settings) -> Talk:
    """Return the state of the reading of `text` after all its clauses."""
    typed, text = text, unnumbered(tidied(text))
    index = naming.index(names)
    items = _words(text, index, settings)
    lexicon = load(settings.language)
    for piece in pieces(items):
        colliders.resolve(piece, lexicon)
        sought.settle(piece, index)
    items = descriptions.settle(items, text)
    items = headings.spread(items, index.people)
    items = shares.settle(items)
    talk = Talk(text, now, index, settings, items)
    if not talk.said:
        talk.remark(text, (0, len(text)))
        return _as_typed(talk, typed)
    if not sentences.read(talk, _whole_note, notes.read) and not _whole_note(talk):
        notes.read(talk)
    _cover(talk)
    overlooked.settle(talk)
    remainder.doubt(talk)
    forgotten.doubt(talk)
    if len(text) > LONGEST:
        talk.remark(text[LONGEST:], (LONGEST, len(text)))
    return _as_typed(talk, typed)


def _words(text: str, index: naming.Index, settings: Settings) -> list[Item]:
    """Return the words of a text by themselves, before their neighbours are looked at."""
    finder = index.finders.get(settings.language)
    if finder is None:
        finder = index.finders[settings.language] = slips(settings.language, index.words)
    items = Itemizer(text[:LONGEST], load(settings.language), index, finder, settings.date_order).read()
    while len(items) > 1 and items[-1].family == "break":
        items.pop()  # a full stop at the end says nothing
    return mixtures.join(items)


def tidied(text: str) -> str:
    """Return the text with one blank where several stand, and none before the first word."""
    if " ".join(text.split()) == text:
        return text
    return _BLANKS.sub(" ", text).removeprefix(" ") if _UNTIDY.search(text) and not text.isspace() else text


def unnumbered(text: str) -> str:
    """Return a list "1) ... 2) ..." with line breaks in place of its numbers, every other character where it stood."""
    if not text[:1].isdecimal():
        return text
    found = list(_NUMBERED.finditer(text))
    counted = len(found) > 1 and found[0].start() == 0 and [int(one[1]) for one in found] == list(range(1, len(found) + 1))
    return _NUMBERED.sub(lambda one: "\n " if one.start() else "  ", text) if counted else text


_NUMBERED = re.compile(r"(?:\A|(?<=\s))(\d)[).](?=\s)")
_BLANKS = re.compile(r"[^\S\n]+")
_UNTIDY = re.compile(r"\A[^\S\n]|[^\S\n]{2}|[^\S\n ]")


def _as_typed(talk: Talk, typed: str) -> Talk:
    """Let the entries say where they stand in the text as it was typed."""
    if typed == talk.text:
        return talk
    blank = [one != "\n" and one.isspace() for one in typed]
    first = blank.index(False)
    places = [i for i, one in enumerate(blank) if i >= first and not (one and blank[i - 1])]
    places.append(len(typed))
    talk.entries[:] = [one.changed(span=(places[one.span[0]], places[one.span[1]])) for one in talk.entries]
    return talk


def _cover(talk: Talk) -> None:
    """Keep as a remark every word that no entry stands for, so that none is dropped."""
    spans = sorted([one.span for one in talk.entries])
    first, last = talk.items[0].start, talk.items[-1].end
    if [span for span in spans if span[0] <= first and span[1] >= last]:
        return
    gap: list[Item] = []
    begun = reach = 0  # spans that begin at or before the item, and how far the furthest of them goes
    for one in talk.items:
        if one.family in SILENT:
            continue
        while begun < len(spans) and spans[begun][0] <= one.start:
            reach = max(reach, spans[begun][1])
            begun += 1
        if one.end > reach:
            gap.append(one)
        elif gap:
            _keep(gap, talk)
            gap = []
    if gap:
        _keep(gap, talk)


def _keep(gap: list[Item], talk: Talk) -> None:
    span = (gap[0].start, gap[-1].end)
    talk.remark(talk.text[slice(*span)], span)


SILENT = frozenset(("comma", "break", "dash", "colon", "open", "close", "quote", "slash", "query", "arrow"))


def _whole_note(talk: Talk) -> bool:
    words = talk.said
    if requests.read(words, talk) or corrections.read(words, talk):
        return True
    if asking.is_question(words, talk):
        questions.read(words, talk)
        return True
    return notes.whole(talk)


def finish(talk: Talk) -> Reading:
    """Return the reading of a note whose clauses are all read: its decision and the one question."""
    entries = tuple(talk.entries)
    if talk.asks:
        decision, topic, _ = max(talk.asks, key=lambda one: (RANK[one[0]], one[1] == ACT))  # what happened, else the first
        return Reading(decision, topic, entries)
    return Reading(_decision(entries), None, entries)


ACT = "act"  # where it is open what happened, which plants were meant comes after
_BY_TYPE = {"fix": "fix", "request": "do", "reminder": "remind"}


def _decision(entries: tuple[Entry, ...]) -> str:
    """Return the decision of the first entry that writes something; a question writes nothing."""
    writes = next((one.type for one in entries if one.type not in ("remark", "question")), None)
    if writes is None:
        return "answer" if any(one.type == "question" for one in entries) else "log"
    return _BY_TYPE.get(writes, "log")


__all__ = ["Item", "explain", "interpret", "read", "replace"]
