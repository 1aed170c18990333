"""From a reading and the view to a plan: events, what to say, one question. Pure: the same view gives the same plan."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from bot.app import acts, corrections, requests
from bot.app.accessioning import numbers_of
from bot.app.climates import going_on
from bot.app.cold_nights import cold_night
from bot.app.commands import SHOWN_AT_ONCE
from bot.app.conditions import fulfilled_by
from bot.app.enquiries import enquire
from bot.app.plan import MAX_C, MIN_C, Choice, Draft, OpenNote, Plan, View
from bot.app.which import genus_alone, names_something, place_of
from bot.care.due import all_due
from bot.care.events import CORRECTIONS, Ref
from bot.care.fold import fold
from bot.care.standing import Standing
from bot.notes.reading import Entry, Reading, Selection
from bot.notes.remainder import WRITING
from bot.notes.render import words


def plan(reading: Reading, view: View) -> Plan:
    """Return what one note comes to."""
    draft = Draft(view, reading.decision, reading.ask)
    if reading.answers and view.open_note is not None:
        _begin_again(draft, view.open_note, reading)
    if draft.decision == "ask":
        _only_ask(draft, reading)
        return draft.done()
    for entry in _written_first(reading):
        _ENTRIES[entry.type](draft, entry)
    _ask_what_the_reader_asks(draft, reading)
    return draft.done()


_FEWER_THAN_NONE = re.compile(r"(?:^|[a-z]+ )(?:-|minus )(\d+)\b(?! ?(?:°|c\b|degrees?))", re.IGNORECASE)


def _only_ask(draft: Draft, reading: Reading) -> None:
    """Where a guess would cost too much nothing is written: the note is kept, and one question is put."""
    for entry in reading.entries:
        if entry.type == "climate" and _beyond(entry):
            _climate(draft, entry)  # says what cannot be, and writes nothing
            return
    fewer = _FEWER_THAN_NONE.search(draft.view.text)
    if fewer is not None and any(one.type in ("event", "finding", "skip") for one in reading.entries):
        draft.say("impossible", what="fewer_than_none", number=fewer[1])
        return
    first = next((one for one in reading.entries if one.type != "remark"), None)
    if draft.asked == "which" and first is not None:
        acts.ask_which(draft, first, draft.which(first.which))
    elif draft.asked == "which":
        draft.question("which", words=_text_of(reading))
    _at_another_place(draft, _text_of(reading))
    _ask_what_the_reader_asks(draft, reading)


_NOW_AT = re.compile(
    r"(?:(?:now|next|then|on|over|at|in|to|the|and)[ ,]+)*(?P<place>[^,;.!?]{2,40}?)(?:[ ,]+(?:now|next))?[ .:!]*"
)


def _at_another_place(draft: Draft, text: str) -> None:
    """Where nothing but a place was said the bench in hand is that one: what was spoken of elsewhere is over."""
    match = _NOW_AT.fullmatch(text.lower())
    standing = draft.view.standing
    if match is None or ("place", place_of(match["place"], standing)) not in standing.things:
        return
    draft.speak_of(draft.which(Selection(places=(place_of(match["place"], standing),))))
    draft.opened = True


def _begin_again(draft: Draft, old: OpenNote, reading: Reading) -> None:
    """An answered note is planned from scratch: what it wrote is withdrawn, and written anew with the gap filled."""
    if old.events:
        draft.event("withdrawn", "", (), draft.view.today, {"targets": [one.identity for one in old.events]})
        draft.numbers = numbers_of(old.events)
    draft.default_on, draft.closes_question, draft.answering = old.on, True, old.ask
    draft.settled_act, draft.settled = old.ask == "act", old.refs or _said_in_answer(draft, old, reading)
    draft.decision, draft.asked = (
        ("log", None) if reading.decision == "log_ask" and reading.ask == old.ask else (reading.decision, reading.ask)
    )


def _said_in_answer(draft: Draft, old: OpenNote, reading: Reading) -> tuple[Ref, ...]:
    """Return the plants that the answer to "which?" names: they are meant wherever the note left its plants unsaid."""
    if old.ask != "which":
        return ()
    named = (one.which for one in reading.entries if one.which is not None and names_something(one.which))
    return next((found.refs for one in named if (found := draft.which(one)).refs), ())


def _written_first(reading: Reading) -> list[Entry]:
    """Keep the order of the text; questions are answered last, so that they see what the note wrote."""
    return [one for one in reading.entries if one.type != "question"] + [one for one in reading.entries if one.type == "question"]


def _ask_what_the_reader_asks(draft: Draft, reading: Reading) -> None:
    """Put the reader's own question, unless the collection and the talk have settled it."""
    if draft.ask is not None or draft.asked in (None, "which"):
        return
    count = next((ref.count for one in draft.events for ref in one.refs if ref.count is not None), None)
    choices, read = _CHOICES.get(str(draft.asked), ()), _as_read(draft, reading)
    if read:
        choices = (Choice("say:yes"), Choice("say:no"))
    said = next((one.when for one in reading.entries if one.when is not None), None) if draft.asked == "when" else None
    long_ago = said if said is not None and (draft.view.today - said).days > LONG_AGO_DAYS else None
    draft.question(str(draft.asked), choices, text=_text_of(reading), count=count, read=read, said=long_ago)


LONG_AGO_DAYS = 180  # project default: a day without its year that is further back was rather meant to come


def _as_read(draft: Draft, reading: Reading) -> tuple[str, ...]:
    """Return what would be written, in words, where only a part of a note was not understood: a yes is then enough."""
    if draft.decision != "ask" or draft.asked not in ("act", "sign"):
        return ()
    return tuple(words(one) for one in reading.entries if one.type in WRITING)


_CHOICES = {
    "when": (Choice("when:today"), Choice("when:yesterday")),
    "rule": (Choice("rule:for good"), Choice("rule:just this once")),
    "act": (),
}


def _text_of(reading: Reading) -> str:
    return next((one.text for one in reading.entries if one.type == "remark" and one.text), "")


def _beyond(entry: Entry) -> list[float]:
    """Return the numbers of a thermometer note that cannot be."""
    degrees = [one for one in (entry.min_c, entry.max_c, entry.at_c, entry.set_c) if one is not None]
    wrong = [one for one in degrees if not MIN_C <= one <= MAX_C]
    return wrong + ([entry.rh] if entry.rh is not None and not 0 <= entry.rh <= 100 else [])


def _climate(draft: Draft, entry: Entry) -> None:
    low, high = entry.min_c, entry.max_c
    numbers = {"min_c": low, "max_c": high, "at_c": entry.at_c, "set_c": entry.set_c, "rh": entry.rh}
    facts = {key: value for key, value in numbers.items() if value is not None}
    if low is not None and high is not None and low > high:
        draft.say("impossible", what="min_above_max", low=low, high=high)
        return
    wrong = _beyond(entry)
    if wrong:
        draft.say("impossible", what="temperature", value=wrong[0])
        return
    extra = {
        "place": place_of(entry.place, draft.view.standing) if entry.place else None,
        "forecast": entry.forecast or None,
        "since": entry.since.isoformat() if entry.since else None,
    }
    on = draft.day_of(entry)
    if entry.act is None and on > draft.view.today and not entry.forecast:
        draft.say("impossible", what="future", on=on.isoformat(), act="climate")
        return
    event = draft.event("climate", "", (), on, facts | {key: value for key, value in extra.items() if value is not None})
    draft.say("climate", event)
    night = cold_night(event, draft.view)
    if night is not None:
        draft.say("answer", about="cold_night", night=night)


NEVER_PLANNED = frozenset({"died", "missing", "found_alive", "failed", "label_lost"})  # nobody asks to be told of these to come


def _reminder(draft: Draft, entry: Entry) -> None:
    due = (
        entry.due.isoformat(timespec="minutes")
        if isinstance(entry.due, datetime)
        else entry.due.isoformat()
        if entry.due
        else None
    )
    day = entry.due.date() if isinstance(entry.due, datetime) else entry.due
    if day is not None and entry.act in NEVER_PLANNED:
        draft.say("impossible", what="future", on=day.isoformat())
        return
    if day is not None and day < draft.view.today:
        draft.say("impossible", what="past", on=day.isoformat())
        return
    found = draft.which(entry.which) if entry.which or entry.act else draft.which(None)
    refs = found.refs if entry.which or entry.act else ()
    facts = {
        "due": due,
        "act": entry.act,
        "text": entry.text,
        "cond": entry.cond,
        "awaits": (fulfilled_by(entry.cond, draft.view.now) or None) if entry.cond and not due and refs else None,
        "every_days": entry.every_days,
        "cancel": entry.cancel or None,
        "snooze": entry.snooze or None,
        "approx": entry.approx or None,
        "sign": entry.sign,
        "words": entry.which.words if entry.which else None,
        "genus": genus_alone(entry.which),
    }
    event = draft.event(
        "reminder", entry.act or "", refs, draft.view.today, {key: value for key, value in facts.items() if value is not None}
    )
    draft.say("reminder", event, new_labels=found.new_labels if entry.which else ())
    if entry.which:
        draft.speak_of(found)


def _question(draft: Draft, entry: Entry) -> None:
    _see_what_was_written(draft)
    answer = enquire(entry, draft)
    draft.say("answer", about=answer.about, **answer.facts)
    if answer.listed is not None:
        draft.listed, draft.shown = answer.listed, min(SHOWN_AT_ONCE, len(answer.listed))
    if answer.refs:
        draft.current = answer.refs


def _see_what_was_written(draft: Draft) -> None:
    """Let a question see what its own note wrote before it; corrections and days gone by wait for the fold of the log."""
    fresh = draft.events[draft.seen :]
    draft.seen = len(draft.events)
    view = draft.view
    if not fresh or any(one.kind in CORRECTIONS or one.happened_on < view.standing.last_on for one in fresh):
        return
    standing = Standing.from_rows(view.standing.rows())
    for one in fresh:
        fold(standing, one)
    setting = going_on(view.setting, standing, view.settings, view.today).apart()
    due = all_due(standing, setting, standing.rows(setting.kept.rows))
    draft.view = replace(view, standing=standing, setting=setting, due=tuple(due))


def _remark(draft: Draft, entry: Entry) -> None:
    draft.say("remark", text=entry.text or "")


_ENTRIES: dict[str, Callable[[Draft, Entry], None]] = {
    "event": acts.act,
    "skip": acts.skip,
    "finding": acts.finding,
    "measure": acts.measure,
    "hold": acts.hold,
    "climate": _climate,
    "reminder": _reminder,
    "question": _question,
    "fix": corrections.fix,
    "request": requests.request,
    "remark": _remark,
}
