"""What is said of slips that go with a parcel, and of their receipts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.app.english import phrases
from bot.care.events import CareEvent
from bot.sharing.slip import Parcel

DAMAGED = "This slip is not whole: a part of its last line is missing or changed. Ask for it once more; nothing was written."
NEWER = "This slip was made by a newer version of the program. Bring this one up to date, then send it again."
OWN = "This is a slip of your own: send it on to {who}. Nothing was written."
TAKEN = "This slip was taken in {day} already. Nothing was written."
NOT_OURS = "This receipt belongs to no slip of yours. Nothing was written."
RECEIPT_KNOWN = "This receipt was noted {day} already."
NOTHING_SENT = "Nothing has gone to {who} that has no slip yet, and nothing is promised. Such as: gave 12 to {who}"
TOO_MANY = "That is more than one slip holds: {most} names. Make one after each parcel."
UNNAMED_ROW = "one without a name"
LEFT = "Left. Nothing was written."
SEND_ON = "Send this message on to {who}. A bot like this one takes it in by its last line."
TAKE_IN = "Take them in? yes, no, “from” and who sent it, or such as “2 of the lobivias came”."
SENT_BACK = "Send this on to {who}, so that both sides know:"
WHO = "whoever sent it"
NO_PARCEL = "No parcel to {who} is on its way."
LOST = "Noted: the parcel to {who} of {day} was lost ({n}). It counts as sent, not as got."
CAME = "Noted: what went to {who} {day} has come ({n})."


def rows(given: Sequence[Parcel]) -> list[str]:
    """Return the lines of a slip: how many, the name, the pot, rooted or not."""
    return [f"{one.count} \N{MULTIPLICATION SIGN} {', '.join(_words(one))}" for one in given]


def _words(one: Parcel) -> list[str]:
    pot = [f"{one.pot_cm:g} cm pot"] if one.pot_cm else []
    return [one.name or UNNAMED_ROW, *pot, *([one.rooted] if one.rooted else [])]


def slip(given: Sequence[Parcel], sender: str, who: str, sent_on: date, today: date, word: str) -> tuple[str, ...]:
    """Return the slip as it is sent on."""
    head = f"Parcel for {who}{f' from {sender}' if sender else ''}, {phrases.short_day(sent_on, today)}:"
    return (SEND_ON.format(who=who), head, *rows(given), word)


def offered(given: Sequence[Parcel], sender: str, sent_on: date, today: date) -> tuple[str, ...]:
    """Return what a slip would bring in."""
    return (f"A parcel from {sender or WHO}, sent {phrases.day(sent_on, today)}: {'; '.join(rows(given))}.",)


def receipt(sender: str, word: str) -> tuple[str, ...]:
    """Return the receipt to be sent back."""
    return (SENT_BACK.format(who=sender or WHO), word)


def arrived(who: str, got_on: date, sent: Sequence[Parcel], counts: Sequence[int], today: date) -> str:
    """Return what came of a parcel."""
    total, came = sum(one.count for one in sent), sum(counts)
    day = phrases.day(got_on, today)
    if came >= total:
        return f"{who} has all {total}, {day}." if total > 1 else f"{who} has it, {day}."
    short = [
        f"{one.count - got} \N{MULTIPLICATION SIGN} {one.name or UNNAMED_ROW}"
        for one, got in zip(sent, counts, strict=True)
        if got < one.count
    ]
    return f"{who} has {came} of {total}, {day}. Missing: {'; '.join(short)}."


def told(event: CareEvent) -> str:
    """Return an event about a slip in words, for what is taken back."""
    facts = event.facts
    if event.what == "made":
        return f"Slip for {facts['to']}."
    if event.what == "taken":
        return f"Slip from {facts.get('from') or WHO} taken in."
    return f"Parcel to {facts['to']}: {facts['came']} came."
