"""Words about the log itself: events by their number, notes as they were typed, and the card of a plant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from bot.app.english import lineage, lots, mixes, origin, phrases
from bot.app.english.told import TOLD, Telling
from bot.app.plan import Said, View
from bot.care.events import CareEvent
from bot.care.standing import Standing, Thing

MOST = 4
NOTES_ON_A_CARD, LONGEST_ON_A_CARD = 2, 90  # a card is one message on a phone; all of a note is shown with the notes
MORE, PHOTOS = "more", "photos"
NOT_THERE = "There is no event {number}; the newest is {newest}."
NO_EVENT_YET = "Nothing is written yet, so there is no event {number}."
TAKEN_BACK = "Event {number} was taken back already."
CANNOT = "Event {number} follows from others and is not changed by itself."
NOTHING_OF = "No entry of {what}{span}."
NO_NOTES = "No note about {what}{span}."
HOW = "Wrong? Such as: undo event {number}, event {number} was on 3 may"
NOT_SO = "I don't know what event {number} should be. Such as: event {number} was bench 1, event {number} was on 3 may"
WHICH_OF = "{n} on {day}. Which of them?"
_CHANGES = {"withdrawn": "Taken back", "amended": "Put right", "mistaken": "Taken back"}


def sentence(event: CareEvent, view: View, standing: Standing) -> str:
    """Return an event as it would be told, without its day."""
    if event.kind in TOLD:
        on = event.happened_on
        then = replace(view, now=view.now.replace(year=on.year, month=on.month, day=on.day))
        return TOLD[event.kind](Said(event.kind, event, {}), Telling(then, standing), ())
    return _CHANGES.get(event.kind, f"{phrases.cap(event.kind)} {event.what}".strip()) + "."


def numbered(event: CareEvent, view: View, standing: Standing) -> str:
    """Return an event with its number and its day."""
    return f"{event.sequence}, {phrases.short_day(event.happened_on, view.today)}: {sentence(event, view, standing)}"


def log(events: Sequence[CareEvent], more: int, words: str, view: View, standing: Standing) -> tuple[str, ...]:
    """Return the newest events with their numbers, how many there are before, and how to put one right."""
    lines = [numbered(one, view, standing) for one in events]
    hint = HOW.format(number=events[0].sequence)
    return (*lines, f"{more} more: {words} before {events[-1].sequence}" if more else hint)


def shown(event: CareEvent, typed: str, view: View, standing: Standing) -> tuple[str, ...]:
    """Return one event, and the note that wrote it."""
    return (f"Event {numbered(event, view, standing)}", *([f"Typed: “{typed}”"] if typed else []))


def notes(lines: Sequence[tuple[date, str]], more: int, words: str, today: date) -> tuple[str, ...]:
    """Return notes as typed, the newest first."""
    shown_ones = [f"{phrases.short_day(day, today)}: {text}" for day, text in lines]
    return (*shown_ones, *([f"{more} more. By time: {words} in 2025, {words} last week"] if more else []))


def span(first: date | None, last: date | None, today: date) -> str:
    """Return a range of days in words, empty where the whole record is meant."""
    if first is None or last is None:
        return ""
    if first == last:
        return f" on {phrases.short_day(first, today)}"
    return f" from {phrases.short_day(first, today)} to {phrases.short_day(last, today)}"


def which_of(events: Iterable[CareEvent], view: View, standing: Standing) -> tuple[str, ...]:
    """Return the question which of several entries of a day is meant."""
    found = list(events)
    day = phrases.day(found[0].happened_on, view.today)
    return (WHICH_OF.format(n=len(found), day=day), *(numbered(one, view, standing) for one in found))


_ACTS = (
    ("watered", "watered"),
    ("fed", "fed"),
    ("repotted", "repotted"),
    ("potted", "potted"),
    ("treated", "treated"),
    ("present:flowering", "flowered"),
)


def card(one: Thing, facts: Mapping[str, object], view: View, standing: Standing) -> tuple[str, ...]:
    """Return all that is known of a thing in one message: where, pot, last acts, what is open, where it came from, notes."""
    lines = [_where(one, standing), _done(one, view.today), _rest(one, view.today), *_open(facts, view.today)]
    lines += [_came(one, view.today), origin.card(one), _lineage(one, standing)]
    kept = facts.get("photos")
    lines.append(f"{phrases.count_of(int(str(kept)), 'photo')}: photos of {one.key}" if kept else "")
    typed = facts.get("notes") or ()
    lines += [f"{phrases.short_day(day, view.today)}: {_short(text)}" for day, text in typed]  # type: ignore[attr-defined]
    more = facts.get("more")
    lines.append(f"{phrases.count_of(int(str(more)), 'more note')}: notes of {one.key}" if more else "")
    return tuple(line for line in lines if line)


def _short(text: str) -> str:
    """Return a note as it stands on a card: one line, the rest of a long one is shown with the notes."""
    line = " ".join(text.split())
    return line if len(line) <= LONGEST_ON_A_CARD else f"{line[:LONGEST_ON_A_CARD].rsplit(' ', 1)[0]} …"


def namesakes(things: Sequence[Thing]) -> str:
    """Return which plants share a nickname."""
    said = [", ".join(part for part in (one.key, one.taxon, one.place) if part) for one in things]
    return f"{len(said)} plants are called {things[0].nickname}: {'; '.join(said)}."


def _where(one: Thing, standing: Standing) -> str:
    called = phrases.label(one, one.key) if one.kind == "plant" else phrases.cap(phrases.things((one.ref,), standing))
    if one.kind == "place":
        there = standing.within(one.key)
        pots = sum(each.count or 1 for each in there)
        inside = f", in {phrases.the(one.parent)}" if one.parent else ""
        return f"{phrases.cap(one.key)}{inside}: {phrases.count_of(pots, 'plant')}."
    pot = f", {one.pot['cm']:g} cm pot" if one.pot.get("cm") else ""
    mix = f", {mixes.in_mix(one.pot)}" if one.pot.get("mix") else ""
    gone = "" if one.alive else f", {one.status}"
    return f"{called}: {one.place or 'no place noted'}{pot}{mix}{gone}."


def _done(one: Thing, today: date) -> str:
    done = []
    for act, word in _ACTS:
        if act in one.last:
            on = date.fromisoformat(one.last[act])
            done.append(f"{word} {phrases.short_day(on, today)} ({phrases.ago(on, today)})")
    return f"{phrases.cap(', '.join(done))}." if done else "No care entry yet."


def _rest(one: Thing, today: date) -> str:
    hold = (
        f"no water until {phrases.day(date.fromisoformat(one.hold['until']), today)}"
        if one.hold.get("until")
        else "no water for now"
        if one.hold
        else ""
    )
    rest = f"in rest since {phrases.short_day(one.rest_on, today)}" if one.rest_on and not one.rest_ended_on else ""
    said = ", ".join(part for part in (rest, hold) if part)
    return f"{phrases.cap(said)}." if said else ""


def _open(facts: Mapping[str, object], today: date) -> list[str]:
    cases = facts.get("cases") or ()
    open_ones = [f"Open: {phrases.sign(case.sign)} since {phrases.short_day(case.opened_on, today)}." for case in cases]  # type: ignore[attr-defined]
    due = str(facts.get("next") or "")
    return [*open_ones[:2], *([f"Next: {due}."] if due else [])]


def _came(one: Thing, today: date) -> str:
    number = f"Accession {one.accession}." if one.accession else ""
    if not one.came_on:
        return " ".join(part for part in (f"From {phrases.cap(one.came_from)}." if one.came_from else "", number) if part)
    source = f" from {phrases.cap(one.came_from)}" if one.came_from else ""
    parts = (f"Came {phrases.short_day(one.came_on, today)}{source}{lots.origin(one)}.", number, lots.card(one))
    return " ".join(part for part in parts if part)


def _lineage(one: Thing, standing: Standing) -> str:
    if one.kind == "place":
        return ""
    parts = [said] if (said := lineage.parents(one, standing)) else []
    young = [each.ref for each in standing.things.values() if f"{one.kind}:{one.key}" in each.parents]
    if young:
        parts.append(f"parent of {phrases.things(young[:6], standing, with_place=False)}")
    return f"{phrases.cap('; '.join(parts))}." if parts else ""
