"""What one note has said so far: its entries, its date, what is open, and what was not read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any

from bot.notes import dates
from bot.notes.calendar import DatePhrase, Day
from bot.notes.items import Item
from bot.notes.naming import Index
from bot.notes.reading import Entry, Selection

FARTHEST = 3700  # days ahead, ten years; nobody plans beyond
RANK = {"ask": 3, "log_ask": 2, "log": 1}


@dataclass(slots=True)
class Settings:
    """What a person has set that changes how a note is read."""

    date_order: str = "dmy"
    units: str = "metric"
    hemisphere: str = "N"
    language: str = "en"


@dataclass(slots=True)
class Talk:
    """The state of one reading while its clauses are read in order."""

    text: str
    now: datetime
    names: Index
    settings: Settings
    items: list[Item]
    entries: list[Entry] = field(default_factory=list)
    asks: list[tuple[str, str, str]] = field(default_factory=list)  # (decision, topic, why)
    rules: list[str] = field(default_factory=list)
    when: date | None = None
    approx: bool = False
    plan: date | None = None  # a day ahead that opens the note
    settled: bool = False  # a set has been named in this note
    labelled: bool = False  # a plant has been named by its number
    counted: bool = False  # a counted set came in or came off; parts of it need no question
    last: Entry | None = None
    low: str = field(init=False)  # the text in lower case
    said: list[str] = field(init=False)  # the words of all items, those of a phrase one by one; for reading only
    vocabulary: frozenset[str] = field(init=False)  # these, and the words as typed
    families: frozenset[str] = field(init=False)  # of the items as they were when their first clause was read

    def __post_init__(self) -> None:
        """Put the words together once: most rules have nothing to say of a note that holds none of theirs."""
        self.low = self.text.lower()
        self.said = " ".join([one.low for one in self.items]).split()
        self.vocabulary = frozenset(self.said).union(self.low.split())
        self.families = frozenset([one.family for one in self.items])

    def silent(self, words: frozenset[str]) -> bool:
        """Return whether none of these words stands in the note; a rule that they call need not look then."""
        return words.isdisjoint(self.vocabulary)

    def lacks(self, *families: str) -> bool:
        """Return whether no item is of any of these families; once clauses are read an item may only turn into a mere word."""
        return self.families.isdisjoint(families)

    @property
    def today(self) -> date:
        """Return the grower's day."""
        return self.now.date()

    def ask(self, topic: str, why: str, hard: bool = False) -> None:
        """Leave a question open: `hard` where nothing may be written before it is answered."""
        self.asks.append(("ask" if hard else "log_ask", topic, why))

    def add(self, entry: Entry, span: tuple[int, int]) -> Entry:
        """Write an entry, with the note's date where it happened on one."""
        if (
            entry.type in ("event", "finding", "measure", "climate", "skip")
            and entry.when is None
            and self.when is not None
            and not entry.forecast
        ):
            day = None if self.when == self.today else self.when
            entry = entry.changed(when=day, approx=entry.approx or self.approx, span=span)
        else:
            entry = entry.changed(span=span)
        self.entries.append(entry)
        self.last = entry
        if entry.which is not None and entry.type != "remark":
            self.settled = True
            self.labelled = self.labelled or bool(entry.which.labels)
        return entry

    def remark(self, text: str, span: tuple[int, int], which: Selection | None = None) -> None:
        """Keep words that change nothing."""
        kept = text.strip().strip(",;:.-\u2013()").strip()
        self.entries.append(Entry("remark", text=kept or text.strip(), which=which, span=span))

    def words(self, items: Iterable[Item]) -> str:
        """Return the text that items cover."""
        every = list(items)
        return self.text[every[0].start : every[-1].end] if every else ""

    def day(self, phrase: DatePhrase, ahead: bool) -> Day | None:
        """Return the day a date phrase means here; a phrase our calendar does not know goes to dateparser."""
        if phrase.kind == "eve":
            if ahead or phrase.name in ("tonight", "tonite", "this") or self.now.hour >= 12:
                return Day(self.today if ahead or self.now.hour >= 12 else self.today - timedelta(days=1))
            return Day(self.today - timedelta(days=1))
        if phrase.kind == "day" and phrase.part == "order" and self.settings.date_order == "mdy":
            phrase = replace(phrase, day=phrase.month, month=phrase.day)
        if phrase.kind == "other":
            read = dates.understand(phrase.name, self.now, ahead, self.settings.date_order, self.settings.language)
            return Day(read) if read is not None else None
        return dates.look_up(phrase, self.today, ahead, self.settings.hemisphere)

    def ahead(self, days: float) -> date | None:
        """Return the day so many days from today; asks, and returns None, where that is too far for any plan."""
        if not 0 <= days <= FARTHEST:
            self.ask("when", "there is no such day", hard=True)
            return None
        return self.today + timedelta(days=round(days))

    def celsius(self, value: float, unit: str) -> float:
        """Return a temperature in °C; without a unit it is in the grower's own."""
        if unit == "f" or (unit in ("", "degree") and self.settings.units != "metric"):
            return round((value - 32) * 5 / 9, 1)
        return value


def chosen(details: dict[str, Any]) -> dict[str, Any]:
    """Return details without what was not said."""
    return {key: value for key, value in details.items() if value is not None and value != ""}


LONG_AGO = 240  # days, project default: a day without its year that lies longer back may be a slip or the one to come


def set_day(day: Item, talk: Talk) -> None:
    """Let a date phrase that looks back hold for this and the following facts of the note."""
    found = talk.day(day.value, False)
    day.used = True
    if found is None:
        talk.ask("when", "there is no such day", hard=True)
        talk.remark(day.low, (day.start, day.end))
        return
    if found.on > talk.today:  # "this year" of something seen: no day of its own
        if day.value.kind == "day" and day.value.year:
            talk.ask("when", "that day is still to come", hard=True)
        return
    if day.value.kind == "day" and day.value.month and not day.value.year and (talk.today - found.on).days > LONG_AGO:
        talk.ask("when", "that day may be the one to come", hard=True)
    talk.when, talk.approx = found.on, found.approx
    if (day.value.kind in ("week", "vague") or "sometime" in day.low) and found.approx:
        talk.ask("when", "the day is only known about")
