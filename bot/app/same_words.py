"""The same once more for others, and which of the plants spoken of were not meant.

"same again for 123", "same for 14 and 15", "none of those", "not those, the other ones", "all but the last one".
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from bot.app import acts, corrections
from bot.app.english import record
from bot.app.nearest import near
from bot.app.plan import Draft
from bot.app.which import left_of, names_something, others
from bot.care.events import CareEvent, Ref
from bot.notes.reader import read
from bot.notes.reading import Entry, Selection

_AGAIN = re.compile(r"(?:the )?same(?: thing)?(?: again| as before| once more)(?: please)?[.! ]*|ditto[.! ]*", re.IGNORECASE)
_SAME = r"(?:the )?same(?: thing| again| treatment| dose| once more| goes| as before)*"
_FOR = r"(?:for|to|on|with|in)(?: the)?"
_SAME_FOR = re.compile(
    rf"(?:(?:and |then |now |did |do |gave )*{_SAME} {_FOR} (?P<what>.+?)"
    rf"|(?:and )?(?:ditto|likewise)(?: {_FOR})? (?P<ditto>.+?)"
    r"|(?P<first>#?\d+(?:(?:,| and| &| \+)* #?\d+)*)(?: got| had)? (?:the same|same|likewise|ditto))"
    r"(?: too| as well| please)?[.! ]*",
    re.IGNORECASE,
)
_NONE = re.compile(r"(?:no,? )?(?:none|not any|neither)(?: of (?:those|these|them|the above))?[.! ]*", re.IGNORECASE)
_OTHER = re.compile(
    r"(?:no,? |sorry,? )*(?:not (?:those|these|them|that one|this one|it|that)[,;.]? *(?:but |it was |i meant |was )*"
    r"|(?:i meant |it was |no,? )+)the (?P<one>others?(?: ones?)?)[.! ]*",
    re.IGNORECASE,
)
_BUT_LAST = re.compile(
    r"(?:no,? )?(?:it was )?(?:all|every ?one|them all)(?: of (?:them|those))?,? (?:but|except|bar|apart from|not) (?:for )?"
    r"the last(?: (?P<n>one|two|three|2|3))?[.! ]*",
    re.IGNORECASE,
)
_COUNTS = {"two": 2, "2": 2, "three": 3, "3": 3}
REPEATED = frozenset("watered fed misted treated inspected turned vented damped_down".split())
# What plants bring forth, come in or leave by is said of each in words: a repeated death or purchase is never a guess.
FOR_OTHERS = REPEATED | frozenset(
    """wetted repotted potted top_dressed unpotted washed root_pruned set_to_dry moved isolated released shaded unshaded covered
    uncovered rest_started rest_ended labelled label_lost photographed""".split()
)
_NO_DETAILS = frozenset(("sure", "approx", "except", "of", "status"))


def same_command(text: str, draft: Draft) -> bool:
    """Carry out words that point at what was just said; False where the text is a note for the reader."""
    said = " ".join(text.split())
    return any(rule(said, draft) for rule in (_again, _same_for, _none_of_those, _the_other_ones, _all_but_the_last))


# --- the same once more ------------------------------------------------------------------------------------------------


def _again(text: str, draft: Draft) -> bool:
    """Write what the last note wrote of care once more, today."""
    if _AGAIN.fullmatch(text) is None:
        return False
    last = [one for one in _last_note(draft, "event") if one.what in REPEATED]
    if not last:
        draft.tell(record.NOTHING_AGAIN)
        return True
    for one in last:
        draft.say("event", draft.event("event", one.what, one.refs, draft.view.today, one.facts))
    draft.current = last[-1].refs
    return True


def _last_note(draft: Draft, *kinds: str) -> list[CareEvent]:
    """Return what the newest note with events of these kinds wrote of them."""
    recent = [one for one in draft.view.recent if one.kind in kinds]
    return [one for one in recent if one.note == recent[-1].note]


def _same_for(text: str, draft: Draft) -> bool:
    """Write what the last note did, with all its details, for the plants that are named."""
    match = _SAME_FOR.fullmatch(text)
    if match is None:
        return False
    which = plants_in(match["what"] or match["ditto"] or match["first"], draft)
    if which is None:
        return False
    done = _last_note(draft, "event", "finding", "hold", "skip")
    if not done:
        draft.tell(record.NOTHING_AGAIN)
        return True
    if any(one.kind == "event" and one.what not in FOR_OTHERS for one in done):
        draft.tell(record.NOT_FOR_OTHERS)
        return True
    unknown = [one for one in which.labels if draft.view.standing.plant(one) is None]
    if unknown:
        draft.tell(record.no_parent(" and ".join(unknown), near(unknown[0], draft.view.standing)))
        return True
    for one in done:
        _ENTRIES[one.kind](draft, replace(_entry(one, draft), which=which))
    return True


def plants_in(words: str, draft: Draft) -> Selection | None:
    """Return the plants that words name, where they name some and say nothing else."""
    labels = re.sub(r"(?<![\w.-])#?(\d+)\b", r"#\1", words) if re.fullmatch(r"(?:[\d #,&+]|\band\b)+", words) else words
    asked = read(f"watered {labels}", draft.view.now.replace(tzinfo=None), draft.view.standing.names())
    which = asked.entries[0].which if len(asked.entries) == 1 and asked.entries[0].act == "watered" else None
    if re.fullmatch(r"#?\d+", words):
        which = Selection(labels=(words.lstrip("#"),))
    return which if which is not None and names_something(which) and not which.words else None


def _entry(event: CareEvent, draft: Draft) -> Entry:
    """Return an event as the entry of a note: what was done yesterday is yesterday's for the others too."""
    facts, view = event.facts, draft.view
    day = event.happened_on if view.talk.open_at(view.now) and event.happened_on != view.today else None
    details = {name: value for name, value in facts.items() if name not in _NO_DETAILS}
    sure = bool(facts.get("sure", True))
    if event.kind == "event":
        return Entry("event", act=event.what, details=details, when=day, sure=sure)
    if event.kind == "finding":
        details.pop("count", None)
        return Entry("finding", sign=event.what, status=str(facts.get("status")), details=details, when=day, sure=sure)
    if event.kind == "skip":
        return Entry("skip", act=event.what, why=facts.get("why"), when=day)
    until = facts.get("until")
    return Entry("hold", until=date.fromisoformat(str(until)) if until else None, cond=facts.get("cond"), when=day)


_ENTRIES: dict[str, Callable[[Draft, Entry], None]] = {
    "event": acts.act,
    "finding": acts.finding,
    "skip": acts.skip,
    "hold": acts.hold,
}


# --- which were not meant ----------------------------------------------------------------------------------------------


def _none_of_those(text: str, draft: Draft) -> bool:
    """Take "none of those" as no answer: nothing is written, the note stays as it is, and its question may still be answered."""
    asked = draft.view.open_note
    if _NONE.fullmatch(text) is None or asked is None or asked.ask != "which":
        return False
    draft.tell(record.none_of_those(bool(asked.events)))
    return True


def _the_other_ones(text: str, draft: Draft) -> bool:
    """Give the last note the plants beside those it named: of the set spoken of before, else of those that stand there."""
    match = _OTHER.fullmatch(text)
    if match is None:
        return False
    written = _corrected(draft)
    if not written:
        draft.say("nothing_to_fix")
        return True
    old = written[-1].refs
    meant = left_of(draft.view.talk.before, old) or others(old, draft.view.standing)
    if not meant or (match["one"].lower() in ("other", "other one") and len(meant) != 1):
        draft.tell(record.which_others(len(meant)))
        return True
    corrections.set_refs(draft, meant, written)
    return True


def _all_but_the_last(text: str, draft: Draft) -> bool:
    """Take the plant named last out of the last note: said alone it puts that note right."""
    match = _BUT_LAST.fullmatch(text)
    if match is None:
        return False
    written = _corrected(draft)
    count = _COUNTS.get((match["n"] or "").lower(), 1)
    refs = written[-1].refs if written else ()
    if len(refs) <= count or any(one.kind != "plant" or one.count is not None for one in refs):
        draft.tell(record.NO_LAST)
        return True
    corrections.set_refs(draft, refs[:-count], written)
    return True


def _corrected(draft: Draft) -> list[CareEvent]:
    """Return what the last note wrote about plants, where it is what the talk is still about."""
    view = draft.view
    written = _last_note(draft, "event", "finding", "hold", "skip", "measure")
    return written if view.talk.open_at(view.now) and all(_about_plants(one.refs) for one in written) else []


def _about_plants(refs: tuple[Ref, ...]) -> bool:
    return bool(refs) and all(one.kind != "some" for one in refs)
