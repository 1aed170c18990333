"""The log asked about and put right by the numbers of its events; notes about a plant as they were typed; a plant's card.

The number of an event is its place in the log of the collection: it never changes and is never given twice.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from bot.app import corrections
from bot.app.accessioning import number_meant
from bot.app.english import logged, phrases, record
from bot.app.groups import grouped
from bot.app.journal import typed_between
from bot.app.labels_talk import plant_opened
from bot.app.merging_words import all_of
from bot.app.nearest import near
from bot.app.older import BEGINNING, events_of
from bot.app.plan import Draft, Plan, View
from bot.app.ruling import named
from bot.app.which import Resolved, resolve
from bot.care.events import CORRECTIONS, CareEvent, Ref, effective
from bot.care.merging import MERGED
from bot.care.reach import open_cases
from bot.care.standing import Thing
from bot.messages import Button
from bot.notes.reader import read
from bot.notes.reading import Reading, Selection
from bot.store import carelog, notes, photos
from bot.store.database import Connection

MOST = logged.MOST
_NUMBER = r"(?:event|entry)s? ?(?:no\.? ?|number |#)?(?P<number>\d{1,30})"
_UNDO = re.compile(
    rf"(?:undo|take back|delete|remove|withdraw|cancel) {_NUMBER}[.! ]*"
    r"|(?:event|entry) ?(?:no\.? ?|#)?(?P<wrong>\d{1,30})"
    r" (?:never happened|did ?n[o']?t happen|was wrong|is wrong|was a mistake)[.! ]*",
    re.IGNORECASE,
)
_CHANGE = re.compile(rf"{_NUMBER} (?:was|is|should be|should have been)(?: really| actually)? (?P<to>.+?)[.! ]*", re.IGNORECASE)
_SHOW = re.compile(rf"(?:show(?: me)? |what (?:is|was) )?{_NUMBER}[?.! ]*", re.IGNORECASE)
_OF = r"(?: (?!before )(?:(?:of|for|from|on|about) )?(?:the )?(?P<what>.+?))?"
_LOG = re.compile(
    rf"(?:show(?: me)? |give me )?(?:the |my )?(?P<words>(?:log|events|entries|event numbers){_OF})"
    r"(?: before (?P<before>\d{1,9}))?[?.! ]*",
    re.IGNORECASE,
)
_JOURNAL = re.compile(
    rf"(?:show(?: me)? |give me )?(?:the |my )?(?P<words>(?:journal|history|diary|notes){_OF})[?.! ]*",
    re.IGNORECASE,
)
_WHEN = re.compile(
    r"(?P<what>.*?)\s*(?P<when>(?:\b(?:in|on|since|from) .+|yesterday|today"
    r"|(?:last|this) (?:week|month|year|spring|summer|autumn|winter)))",
    re.IGNORECASE,
)
_DAYS = re.compile(
    r"(?:show|give)(?: me)? (?:the )?(?P<when>.+?)[?.! ]*"
    r"|(?:show(?: me)? )?(?P<whose>(?:last|this) (?:week|month|year)|yesterday|today)'?s? (?:notes|journal|diary)[?.! ]*",
    re.IGNORECASE,
)
_CARD = re.compile(
    r"(?:show(?: me)? )?(?:the |a )?card (?:of |for )?(?:the )?(?P<what>.+?)[?.! ]*|(?P<alone>#?\d{1,6})\?", re.IGNORECASE
)


def log_asked(conn: Connection, reading: Reading, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words about the log; None where the words are about something else."""
    if role not in ("owner", "helper"):
        return None
    text = " ".join(view.text.split())
    desk = _Desk(conn, collection_id, Draft(view, "do", None))
    if (numbered := number_meant(text, view.standing)) is not None:
        desk.card_of((numbered.ref,))
        desk.draft.opened = True
        return desk.draft.done()
    for pattern, rule in _RULES:
        found = pattern.fullmatch(text)
        if found is not None and rule(desk, found):
            return desk.draft.done()
    card = [one for one in reading.entries if one.type == "question"]
    if len(reading.entries) == 1 and card and card[0].about == "card" and card[0].which is not None:
        meant = desk.draft.which(card[0].which)
        return desk.draft.done() if desk.namesakes(meant) or desk.card_of(meant.refs) else None
    return None


def scanned(conn: Connection, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the card of the plant whose label was scanned, as "card 12" shows it; what is written next is about that plant."""
    key = plant_opened(view.text)
    if key is None or role not in ("owner", "helper"):
        return None
    desk = _Desk(conn, collection_id, Draft(view, "do", None))
    if not desk.card_of((Ref("plant", key),)):
        desk.draft.tell(record.no_parent(key, near(key, view.standing)))
    desk.draft.opened = bool(desk.draft.current)
    return desk.draft.done()


class _Desk:
    """One message about the log: the way to it, and the plan in the making."""

    def __init__(self, conn: Connection, collection_id: int, draft: Draft) -> None:
        self.conn, self.collection, self.draft, self.view = conn, collection_id, draft, draft.view

    def undo(self, match: re.Match[str]) -> bool:
        """Take one event back."""
        event = self._event(int(match["number"] or match["wrong"]))
        if event is not None:
            targets = all_of(self.conn, event) if event.what == MERGED else [event.identity]
            self.draft.event("withdrawn", "", (), self.view.today, {"targets": targets})
            self.draft.undone = True
            self.draft.say("undone", events=(event,))
        return True

    def change(self, match: re.Match[str]) -> bool:
        """Put one event right, as the words would the last note."""
        event = self._event(int(match["number"]))
        if event is None:
            return True
        if event.what == MERGED:
            self.draft.tell(logged.CANNOT.format(number=event.sequence))
            return True
        words = f"no that was {match['to']}"
        if match["to"].isdigit() and not any(one.count for one in event.refs) and not event.facts.get("count"):
            self._plant(event, match["to"])
            return True
        reading = read(words, self.view.now.replace(tzinfo=None), self.view.standing.names())
        fix = next((one for one in reading.entries if one.type == "fix"), None)
        if fix is None or len(reading.entries) != 1 or fix.what in ("undo", "add"):
            self.draft.tell(logged.NOT_SO.format(number=event.sequence))
            return True
        # alone in view, so that nothing else can be meant
        self.draft.view = replace(self.view, recent=(replace(event, note=event.note or -1),), text=words)
        corrections.fix(self.draft, fix)
        unknown = self._unknown_plant()
        if unknown:
            self.draft.events.clear()
            self.draft.said.clear()
            self.draft.tell(record.no_parent(unknown, near(unknown, self.view.standing)))
        return True

    def _plant(self, event: CareEvent, label: str) -> None:
        """Let an event that holds no number be about one plant."""
        if self.view.standing.plant(label) is None:
            self.draft.tell(record.no_parent(label, near(label, self.view.standing)))
            return
        corrections.set_which(self.draft, Selection(labels=(label,)), [event])

    def show(self, match: re.Match[str]) -> bool:
        """Show one event and the note that wrote it."""
        event = self._event(int(match["number"]))
        if event is not None:
            typed = notes.note_by_id(self.conn, event.note) if event.note else None
            self.draft.tell(*logged.shown(event, typed.text if typed else "", self.view, self.view.standing))
        return True

    def log(self, match: re.Match[str]) -> bool:
        """List the newest events of a thing with their numbers."""
        scope = self._scope(match["what"] or "")
        if scope is None:
            return self._unknown(match)
        what, refs, first, last = scope
        before = int(match["before"] or 0)
        found = events_of(self.conn, self.collection, refs, first or BEGINNING, last or self.view.today)
        found = [one for one in found if one.kind not in CORRECTIONS and (not before or one.sequence < before)]
        newest = sorted(found, key=lambda one: one.sequence, reverse=True)[:MOST]
        if not newest:
            self.draft.tell(logged.NOTHING_OF.format(what=what, span=logged.span(first, last, self.view.today)))
            return True
        more, words = len(found) - len(newest), match["words"]
        button = ((Button("more", f"{words} before {newest[-1].sequence}"),),) if more else ()
        self.draft.tell(*logged.log(newest, more, words, self.view, self.view.standing), buttons=button)
        self.draft.current = tuple(refs)
        return True

    def journal(self, match: re.Match[str]) -> bool:
        """Show the notes about a thing as they were typed."""
        scope = self._scope(match["what"] or "")
        if scope is None:
            return self._unknown(match)
        if not scope[1]:
            return self._days(scope[2], scope[3])
        what, refs, first, last = scope
        found = events_of(self.conn, self.collection, refs, first or BEGINNING, last or self.view.today, alone=True)
        lines = self._typed(found)
        if not lines:
            self.draft.tell(logged.NO_NOTES.format(what=what, span=logged.span(first, last, self.view.today)))
            return True
        self.draft.tell(*logged.notes(lines[:MOST], max(0, len(lines) - MOST), match["words"], self.view.today))
        self.draft.current = tuple(refs)
        return True

    def days(self, match: re.Match[str]) -> bool:
        """Show the notes of some days: "show me last week", "last month's notes"."""
        scope = self._scope(match["when"] or match["whose"])
        return scope is not None and not scope[1] and scope[2] is not None and self._days(scope[2], scope[3])

    def _days(self, first: date | None, last: date | None) -> bool:
        """Show the notes of some days as they were typed; of the last seven where none are named."""
        today = self.view.today
        first, last = first or today - timedelta(days=6), min(last or today, today)
        lines = typed_between(self.conn, self.collection, first, last, ZoneInfo(self.view.settings.zone))
        self.draft.say("answer", about="journal", lines=lines, on=first, until=last)
        return True

    def card(self, match: re.Match[str]) -> bool:
        """Show the card of what is named."""
        what = (match["what"] or match["alone"]).lstrip("#")
        number = bool(re.fullmatch(r"[\w.-]*\d[\w.-]*", what)) and self.view.standing.plant(what) is not None
        if self.namesakes(resolve(Selection(nicknames=(what,)), self.view.standing, self.view.talk, self.view.now)):
            return True
        refs = (Ref("plant", what),) if number else () if what.isdigit() else named(what, self.draft)
        if not refs and match["alone"] is None:
            self.draft.tell(record.no_parent(what, near(what, self.view.standing)))
            return True
        return self.card_of(refs)

    def namesakes(self, found: Resolved) -> bool:
        """Say which plants share a nickname, each with a button that opens its card; False where one alone has it."""
        if not found.namesakes:
            return False
        buttons = tuple((Button(f"card {one.key}", f"card {one.key}"),) for one in found.refs[:MOST])
        things = [self.view.standing.things[one.kind, one.key] for one in found.refs[:MOST]]
        self.draft.tell(logged.namesakes(things), buttons=buttons)
        return True

    def card_of(self, refs: Iterable[Ref]) -> bool:
        """Show the card of the first thing that is there; whether there is one."""
        meant = (self.view.standing.same(one) for one in refs)
        things = (self.view.standing.things.get((one.kind, one.key)) for one in meant)
        thing = next((one for one in things if one is not None and one.kind != "house"), None)
        if thing is None:
            return False
        facts = self._facts(thing)
        more = [Button(logged.MORE, f"notes of {thing.key}")] if facts["more"] else []
        more += [Button(logged.PHOTOS, f"photos of {thing.key}")] if facts["photos"] else []
        self.draft.tell(*logged.card(thing, facts, self.view, self.view.standing), buttons=(tuple(more),) if more else ())
        self.draft.current, self.draft.opened = (thing.ref,), False
        return True

    def _unknown(self, match: re.Match[str]) -> bool:
        """Say that a thing is not known, where the words surely ask for one."""
        what = re.search(r"\b(?:of|for|about) (?:the )?(.+)", match["words"], re.IGNORECASE)
        if what is None:
            return False
        self.draft.tell(record.no_parent(what[1], near(what[1], self.view.standing)))
        return True

    def _unknown_plant(self) -> str:
        """Return the first plant that a correction names and that is not there: an old entry brings no new plant."""
        named = (Ref(*one) for event in self.draft.events for one in event.facts.get("patch", {}).get("refs", ()))
        return next((one.key for one in named if one.kind == "plant" and self.view.standing.plant(one.key) is None), "")

    def _facts(self, thing: Thing) -> dict[str, object]:
        standing = self.view.standing
        cases = open_cases(standing, (thing.ref,))
        kept = [one for one in photos.of_collection(self.conn, self.collection) if one.state == "kept"]
        kept = [one for one in kept if any(standing.same(ref) == thing.ref for ref in one.refs)]
        due = next(iter(grouped([one for one in self.view.due if thing.ref in one.refs], self.view.today)), None)
        coming = f"{phrases.due(due.kind, due.dues[0].about)} {phrases.day(due.on, self.view.today)}" if due else ""
        found = events_of(self.conn, self.collection, (thing.ref,), BEGINNING, self.view.today, alone=True)
        typed = self._typed(found)
        more = max(0, len(typed) - logged.NOTES_ON_A_CARD)
        return {
            "cases": cases,
            "photos": len(kept),
            "next": coming,
            "notes": typed[: logged.NOTES_ON_A_CARD],
            "more": more,
        }

    def _typed(self, events: Iterable[CareEvent]) -> list[tuple[date, str]]:
        """Return the notes that wrote some events, the newest first, each once."""
        zone = ZoneInfo(self.view.settings.zone)
        ids = sorted({one.note for one in events if one.note}, reverse=True)
        return [(sent_at.astimezone(zone).date(), text) for sent_at, text in reversed(notes.typed(self.conn, ids))]

    def _scope(self, words: str) -> tuple[str, tuple[Ref, ...], date | None, date | None] | None:
        """Return what a log is asked of: in words, the things, the days; None where nobody can tell."""
        first = last = None
        found = _WHEN.fullmatch(words)
        if found is not None and (days := self._span(found["when"])) is not None:
            words, (first, last) = found["what"], days
        elif words and (days := self._span(words) or self._span(f"in {words}")) is not None:
            return "the collection", (), *days
        words = words.strip()
        if not words:
            return "the collection", (), first, last
        refs = named(words, self.draft)
        return (phrases.things(refs, self.view.standing), refs, first, last) if refs else None

    def _span(self, words: str) -> tuple[date, date] | None:
        """Return the days that words name, both ends in; None where they name none, or more than days."""
        asked = read(f"what did i do {words}", self.view.now.replace(tzinfo=None)).entries
        if len(asked) != 1 or asked[0].about != "journal" or asked[0].since is None or asked[0].which is not None:
            return None
        return asked[0].since, asked[0].until or asked[0].since

    def _event(self, number: int) -> CareEvent | None:
        """Return an event by its number as it counts today; what cannot be had or changed is said."""
        newest = carelog.last_sequence(self.conn, self.collection)
        event = carelog.by_sequence(self.conn, self.collection, number) if number <= newest else None
        if event is None:
            self.draft.tell((logged.NOT_THERE if newest else logged.NO_EVENT_YET).format(number=number, newest=newest))
            return None
        since = min(event.happened_on, event.recorded_at.date())
        log = carelog.in_order([event, *carelog.corrections(self.conn, self.collection, since)])
        counts = {one.identity: one for one in effective(log)}
        if event.identity not in counts:
            self.draft.tell((logged.CANNOT if event.kind in CORRECTIONS else logged.TAKEN_BACK).format(number=number))
            return None
        if event.kind not in corrections.WRITES | {"wished", "ruled", "slip"} or event.kind == "closed":
            self.draft.tell(logged.CANNOT.format(number=number))
            return None
        return counts[event.identity]


_RULES: tuple[tuple[re.Pattern[str], Callable[[_Desk, re.Match[str]], bool]], ...] = (
    (_UNDO, _Desk.undo),
    (_SHOW, _Desk.show),
    (_CHANGE, _Desk.change),
    (_LOG, _Desk.log),
    (_JOURNAL, _Desk.journal),
    (_DAYS, _Desk.days),
    (_CARD, _Desk.card),
)
