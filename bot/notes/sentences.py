"""A note of several sentences of different kinds: what was done, a question, a request, an errand, each read by itself.

"watered bench 1. when did i last feed tray 3?" is a watering and a question. Sentences that say what was done stay together,
since one goes on about the plants of the one before. A note in which only one part says anything is left to be read as a whole.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bot.notes.asking import ANY_OPENERS, DUE_OPENERS, asks_after_a_fact
from bot.notes.items import Item
from bot.notes.reading import Entry
from bot.notes.requests import LISTED
from bot.notes.talk import Talk

Whole = Callable[[Talk], bool]


def read(talk: Talk, whole: Whole, plain: Callable[[Talk], None]) -> bool:
    """Read each part of a note by itself into `talk`; False, and nothing written, where the note is of one kind.

    `whole` reads a part that is a request, correction, question or errand, False where it is none; `plain` reads the others.
    """
    if talk.lacks("break", "query", "q") and talk.silent(_CUTTING):
        return False
    runs = cut(talk.items)
    if len(runs) < 2:
        return False
    groups: list[tuple[list[Item], Talk | None]] = []
    for run in runs:
        alone = _part(run, talk)
        if whole(alone) or _doubted(alone, plain):
            groups.append((run, alone))
        elif groups and groups[-1][1] is None:
            groups[-1][0].extend(run)
        else:
            groups.append((run, None))
    if all(alone is None for _, alone in groups):
        return False
    read_parts = [alone if alone is not None else _plainly(run, talk, plain) for run, alone in groups]
    if sum(_says(one) for one in read_parts) < 2:
        return False
    for (run, whole_part), one in zip(groups, read_parts, strict=True):
        if whole_part is None:
            _same_as_before(one, talk)
        _take(one, run[0].start, talk)
    return True


def _doubted(part: Talk, plain: Callable[[Talk], None]) -> bool:
    """Read "14 died?" behind another sentence as the question that it is alone; False where it says something."""
    families = {one.family for one in part.items}
    if part.items[-1].family != "query" or "act" not in families or "sign" in families:
        return False
    trial = _copy(part)
    plain(trial)
    if not trial.entries or any(one.type != "question" for one in trial.entries):
        return False
    part.entries, part.asks, part.rules = trial.entries, trial.asks, trial.rules
    return True


def _copy(part: Talk) -> Talk:
    return Talk(part.text, part.now, part.names, part.settings, [one.copied() for one in part.items])


def cut(items: Sequence[Item]) -> list[list[Item]]:
    """Return the sentences: cut behind a full stop, a line's end or a question mark, and before a question without either.

    A mark that the next word follows without a blank ends nothing: "a?b" is one word of somebody's.
    """
    runs: list[list[Item]] = [[]]
    said = asks = False  # the sentence has said what was done or seen; it is a question
    for i, one in enumerate(items):
        asks = asks or (one.family == "q" and all(before.family in LEADS for before in runs[-1]))
        asked = said and (one.family == "q" or one.low in ANY_OPENERS) and asks_after_a_fact(items, i)
        if asked or (i and items[i - 1].family in ("sep", "comma") and _fact(one) and _closed(runs[-1])):
            runs.append([])
            said = asks = False
        runs[-1].append(one)
        said = said or (not asks and one.family in ("act", "sign", "climate"))
        if one.family in ("break", "query") and not (i + 1 < len(items) and items[i + 1].start == one.end):
            runs.append([])
            said = asks = False
    return [run for run in runs if any(one.family not in MARKS for one in run)] if len(runs) > 1 else runs


MARKS = frozenset(("break", "query", "comma", "sep", "dash", "mark", "quote", "open", "close", "colon", "slash"))


LEADS = MARKS | {"stop", "word", "light"}  # "hi, so when did i ..."
LONG = 12  # items; no list of numbers and no day is as long
ENDED = frozenset(("number", "range", "date", "amount", "prep", "till", "sep", "comma", "stop", "plan"))


_CUTTING = ANY_OPENERS | LISTED.keys() | {"due"}  # one of these or a mark stands where a note is cut


def _fact(one: Item) -> bool:
    return one.family == "sign" or (one.family == "act" and one.form == "past")


def _closed(run: Sequence[Item]) -> bool:
    """Return whether a part is whole as it stands: "whats due this week", "done 1 and 2", "later 3 by a week"."""
    if not 2 <= len(run) <= LONG:
        return False
    said = [one for one in run if one.family not in MARKS]
    if not said:
        return False
    due = [one for one in said if "due" in one.low.split()]
    opens = said[0].low in LISTED or (bool(due) and said[0].low.split()[0] in DUE_OPENERS)
    return opens and len(said) > 1 and all(one.family in ENDED or one in due for one in said[1:])


def _part(run: Sequence[Item], talk: Talk) -> Talk:
    """Return a part of the note as a note of its own."""
    start = run[0].start
    items = [one.copied(start) for one in run]
    return Talk(talk.text[start : run[-1].end], talk.now, talk.names, talk.settings, items)


def _plainly(run: Sequence[Item], talk: Talk, plain: Callable[[Talk], None]) -> Talk:
    part = _part(run, talk)
    plain(part)
    return part


def _says(part: Talk) -> bool:
    return bool(part.asks) or any(one.type != "remark" for one in part.entries)


def _same_as_before(part: Talk, talk: Talk) -> None:
    """Let "it" mean the plants that the request or question before was about: "call 13 teacup. watered it"."""
    before = talk.entries[-1] if talk.entries else None
    first = part.entries[0] if part.entries else None
    if before is None or before.which is None or before.type not in ("request", "question") or first is None:
        return
    if first.which is None and first.type in ("event", "finding", "skip") and any(one.family == "pron" for one in part.items):
        part.entries[0] = first.changed(which=before.which)
        part.asks[:] = [ask for ask in part.asks if ask[1] != "which"]


def _take(part: Talk, start: int, talk: Talk) -> None:
    """Take what a part says into the note; a correction of what the same note said before is asked about."""
    said_before = any(one.type not in ("remark", "question", "fix") for one in talk.entries)
    if said_before and any(one.type == "fix" for one in part.entries):
        talk.ask("act", "it may correct what this very note says", hard=True)
        talk.remark(part.text, (start, start + len(part.text)))
        return
    if part.entries and all(one.type == "fix" and _said(one, talk) for one in part.entries):
        return  # "undo! undo!"
    talk.entries += [one.changed(span=(one.span[0] + start, one.span[1] + start)) for one in part.entries]
    talk.asks += part.asks
    talk.rules += [f"read by itself: {part.text.strip()!r}", *part.rules]


def _said(entry: Entry, talk: Talk) -> bool:
    return any(entry.to_json() == one.to_json() for one in talk.entries)
