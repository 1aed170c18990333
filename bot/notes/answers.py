"""An answer to an open question: the earlier note read again with the gap filled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

from bot.notes.clauses import Clause, flow
from bot.notes.items import Item
from bot.notes.reading import Entry, Question, Reading, Selection
from bot.notes.selections import gather
from bot.notes.subjects import Phrase, Subjects
from bot.notes.talk import RANK, Talk

YES = frozenset("yes yep yeah y yup ok okay right correct aye sure true".split())
NO = frozenset("no nope n nah wrong neither".split())
MOVABLE = ("event", "finding", "skip", "measure", "hold")
GRAVE = frozenset(("died", "missing", "given", "discarded", "released"))

# An answer is nothing but the asked kind of value: any other content word makes the text a note of its own.
_PLAIN = frozenset(("det", "comma", "break", "hedge", "sure", "approx"))
_SET = _PLAIN | frozenset(
    """number range taxon ambiguous place somewhere numbered nickname lot sowing kind state rootkind plants part potsize prep sep
    refer both fraction adj except only times ordinal person dash slash some""".split()
)
_ALLOWED = {
    "which": _SET,
    "act": _PLAIN | {"act", "prep"},
    "sign": _PLAIN | {"sign", "sep", "light"},
    "cause": _PLAIN | {"sign", "sep", "light", "word"},
    "when": _PLAIN | {"date", "prep"},
    "count": _PLAIN | {"number", "plants", "kind", "times"},
    "product": _PLAIN | {"product", "word", "dose", "strength", "prep", "adj", "amount"},
    "who": _PLAIN | {"person", "word", "prep"},
    "where": _PLAIN | {"place", "somewhere", "numbered", "number", "prep", "adj"},
}
_SMALL_TALK = frozenset("yes yep yeah no just sorry only please thanks it they them was were is are of them label labels".split())
_SMALL_TALK |= {"of them", "it was", "i mean", "that was", "those", "these", "the ones"}
COPULAS = frozenset(("is", "are", "was", "were"))  # "tray 9 is seedlings" tells something, "it was 41" answers
LONGEST_NAME = 2  # words that the reader does not know, in a product or a person's name


def fill(text: str, question: Question, interpret: Callable[[str], Talk]) -> Reading | None:
    """Return the earlier note's reading with the answer in it, or None where `text` is a note of its own."""
    answer = interpret(text)
    words = [word for one in answer.items for word in one.low.split()]
    bare = [word for word in words if word not in (".", ",", "!", "please", "thanks")]
    agreed = bare[0] in YES if len(bare) == 1 and bare[0] in YES | NO else None
    if agreed is None and (_is_note(answer, question.ask) or not answer.items):
        return None
    note = interpret(question.text)
    if agreed and _open_loss(note):
        which = question.ask == "act" and any(one[1] == "which" for one in note.asks)
        return Reading("ask", "which", tuple(note.entries), answers=True) if which else None  # it left; which did?
    if agreed is not None:
        return _plain(note, agreed)
    filled = _FILL[question.ask](note, answer) if question.ask in _FILL else None
    if filled is None:
        return None
    left = [one for one in note.asks if one[1] != question.ask]
    decision, topic, _ = max(left, key=lambda one: RANK[one[0]]) if left else ("log", None, "")
    return Reading(decision, topic, tuple(filled), answers=True)


def _open_loss(note: Talk) -> bool:
    """Return whether the note says that plants died or left, but not which: no "yes" settles that."""
    return any(
        one.type == "event" and one.act in GRAVE and (one.which is None or one.which.words is not None) for one in note.entries
    )


def _plain(note: Talk, agreed: bool) -> Reading:
    """Return the note as first read where the grower says yes; as a mere remark where the grower says no."""
    if agreed:
        return Reading("log", None, tuple(note.entries), answers=True)
    return Reading("log", None, (Entry("remark", text=note.text.strip(), span=(0, len(note.text))),), answers=True)


def _is_note(answer: Talk, ask: str) -> bool:
    """Return whether a text says more than what was asked for."""
    if any(
        one.type in ("question", "request") or (one.type == "fix" and ask not in ("count", "which")) for one in answer.entries
    ):
        return True
    allowed = _ALLOWED.get(ask, _PLAIN)
    items = [one for one in answer.items if one.low not in _SMALL_TALK]
    if any(one.family not in allowed and not _names_a_lot(answer.items, one) for one in items):
        return True
    if ask == "act":
        return sum(one.family == "act" for one in items) != 1
    if ask == "which":
        if any(one.low in COPULAS and i > 0 and answer.items[i - 1].family != "pron" for i, one in enumerate(answer.items)):
            return True
        goes = any(one.means("prep", "to") for one in items)
        again = any(one.means("refer", "same", "last") for one in items)
        return goes or (again and any(one.family in ("number", "range", "taxon") for one in items))
    return sum(one.family == "word" for one in items) > LONGEST_NAME


def _names_a_lot(items: list[Item], one: Item) -> bool:
    """Return whether an unknown word stands in "the … lot", a name the reader has not been told."""
    i = items.index(one)
    return one.family == "word" and 0 < i < len(items) - 1 and items[i - 1].family == "det" and items[i + 1].family == "plants"


def _fits(entry: Entry, said: Selection) -> bool:
    """Return whether an answer may settle who died or left: named plants, and as many as were said."""
    if entry.type != "event" or entry.act not in GRAVE:
        return True
    which = entry.which or Selection()
    wanted = which.count if which.words is None else int(which.words) if which.words.isdecimal() else None
    named = len(said.labels) + len(said.nicknames)
    if said.words is not None or said.refer is not None:
        return False
    if named:
        return wanted is None or named == wanted or said.labels == (which.words,)
    return said.count is None or wanted is None or said.count == wanted


def _selection(answer: Talk) -> Selection | None:
    items = [
        one for one in answer.items if one.low not in ("yes", "no", "it", "was", "were", "is", "just", "only", "label", "labels")
    ]
    phrases: list[Phrase] = [one for one in flow(items, Subjects(items, answer.names, answer.text)) if isinstance(one, Phrase)]
    for one in phrases:
        one.bare = False
        one.prep = None
        if one.spelled and "labels" in one.fields:
            one.fields["count"] = int(one.fields.pop("labels")[0])
    said = gather(Clause(before=list(phrases)), answer, None)
    return Selection(**said.sets[0]) if said.sets else None


def _which(note: Talk, answer: Talk) -> list[Entry] | None:
    said = _selection(answer)
    if said is None:
        return None
    entries = list(note.entries)
    i = _open(entries)
    if i is None or not _fits(entries[i], said):
        return None
    entries[i] = replace(entries[i], which=_merged(entries[i].which, said))
    return entries


def _open(entries: list[Entry]) -> int | None:
    """Return which entry the question was about: one without plants, one in words, a part without a set, a part of a set."""
    able = [n for n, one in enumerate(entries) if one.type in MOVABLE]
    settled = False
    parts: list[int] = []
    for n in able:
        which = entries[n].which
        if which is None:
            if not settled:
                return n
            continue
        settled = True
        if which.words is not None:
            return n
        if which.count is not None or which.fraction is not None or which.state is not None or which.refer is not None:
            parts.append(n)
    unnamed = [n for n in parts if not _named(entries[n].which)]
    return next(iter((*unnamed, *parts, *able)), None)


def _named(which: Selection | None) -> bool:
    return which is not None and bool(which.taxa or which.places or which.lots or which.sowings or which.labels)


def _merged(which: Selection | None, said: Selection) -> Selection:
    """Return the set as first said, narrowed by the answer: labels settle it, a genus or place keeps the count."""
    if which is None:
        return said
    if said.labels or said.nicknames:
        return said
    if said.refer == "all" and len(said.to_json()) == 1:
        return replace(which, refer="all", words=None)
    kept = {name: getattr(which, name) for name in Selection.__dataclass_fields__}
    kept["words"] = None
    for name in Selection.__dataclass_fields__:
        value = getattr(said, name)
        if value not in (None, (), False):
            kept[name] = value
    return Selection(**kept)


def _act(note: Talk, answer: Talk) -> list[Entry] | None:
    act = next((one for one in answer.items if one.family == "act"), None)
    if act is None:
        return None
    meaning = "washed" if act.meaning == "washed" else act.meaning
    entries = list(note.entries)
    i = next(
        (
            n
            for n, one in enumerate(entries)
            if one.type == "event" and one.act in ("watered", "treated", "given", "acquired", "covered")
        ),
        None,
    )
    if i is not None:
        old = entries[i]
        details = {key: value for key, value in old.details.items() if meaning == old.act or key not in ("how", "ml", "strength")}
        entries[i] = replace(old, act=meaning, details={**details, **act.more} if meaning != old.act else details)
        return entries
    kept = [one for one in note.items if one.family not in ("did", "q")]
    phrases = [one for one in flow(kept, Subjects(kept, note.names, note.text)) if isinstance(one, Phrase)]
    for one in phrases:
        one.bare = False
    said = gather(Clause(before=list(phrases)), note, None)
    which = Selection(**said.sets[0]) if said.sets else None
    return [Entry("event", act=meaning, which=which, details=dict(act.more), span=(0, len(note.text)))]


def _day(answer: Talk) -> date | None:
    one = next((one for one in answer.items if one.family == "date"), None)
    found = answer.day(one.value, False) if one is not None else None
    return found.on if found is not None else None


def _when(note: Talk, answer: Talk) -> list[Entry] | None:
    day = _day(answer)
    if day is None:
        return None
    shown = None if day == note.today else day
    return [
        replace(one, when=shown, approx=False) if one.type in ("event", "finding", "skip", "measure", "climate") else one
        for one in note.entries
    ]


def _count(note: Talk, answer: Talk) -> list[Entry] | None:
    number = next((one.value for one in answer.items if one.family == "number"), None)
    if number is None:
        return None
    entries = list(note.entries)
    i = next((n for n, one in enumerate(entries) if one.type in MOVABLE), None)
    if i is None:
        return None
    which = entries[i].which or Selection()
    entries[i] = replace(entries[i], which=replace(which, count=int(number), approx=False))
    return entries


def _detail(key: str, families: tuple[str, ...], acts: tuple[str, ...]) -> Callable[[Talk, Talk], list[Entry] | None]:
    def put(note: Talk, answer: Talk) -> list[Entry] | None:
        one = next((one for one in answer.items if one.family in families), None)
        if one is None:
            return None
        value: Any = one.low if one.family in ("product", "word", "mix") else one.meaning
        if one.family in ("somewhere", "numbered"):
            said = _selection(answer)
            value = said.places[0] if said is not None and said.places else one.low
        return [replace(e, details={**e.details, key: value}) if e.act in acts else e for e in note.entries]

    return put


def _sign(note: Talk, answer: Talk) -> list[Entry] | None:
    sign = next((one for one in answer.items if one.family == "sign"), None)
    if sign is None:
        return None
    entries = list(note.entries)
    i = next((n for n, one in enumerate(entries) if one.type == "finding"), None)
    if i is not None:
        entries[i] = replace(entries[i], sign=sign.meaning)
        return entries
    labels = tuple(str(int(one.value)) for one in note.items if one.family == "number")
    return [
        Entry(
            "finding",
            sign=sign.meaning,
            status="present",
            which=Selection(labels=labels) if labels else None,
            span=(0, len(note.text)),
        )
    ]


_FILL: dict[str, Callable[[Talk, Talk], list[Entry] | None]] = {
    "which": _which,
    "act": _act,
    "when": _when,
    "count": _count,
    "sign": _sign,
    "product": _detail("product", ("product", "word"), ("treated",)),
    "who": _detail("to", ("person", "word"), ("given", "offered")),
    "cause": _detail("cause", ("sign", "word"), ("died", "discarded")),
    "where": _detail("to", ("place", "somewhere", "numbered"), ("moved",)),
}
