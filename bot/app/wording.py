"""From plans and lists to outgoing text, in the language of the collection."""

from __future__ import annotations

from collections.abc import Sequence
from types import ModuleType

from bot.app.advice import Advice
from bot.app.cold_nights import ColdNight
from bot.app.english import lists as english_lists
from bot.app.english import replies as english_replies
from bot.app.english import steered as english_steered
from bot.app.groups import Group
from bot.app.plan import Plan, View
from bot.care.due_values import Due
from bot.care.standing import Standing
from bot.messages import Button, Outgoing

_REPLIES: dict[str, ModuleType] = {"en": english_replies}
_LISTS: dict[str, ModuleType] = {"en": english_lists}
SORRY = "Something went wrong with that note. It is kept, and nothing of it is written."


def reply(
    plan: Plan,
    view: View,
    standing: Standing,
    followed: Sequence[Due],
    cautioned: Sequence[str] = (),
    advised: Sequence[Advice] = (),
) -> Outgoing:
    """Return the answer to a note; a language without sentences of its own is answered in English."""
    words = _REPLIES.get(view.settings.language, english_replies)
    made: Outgoing = words.reply(plan, view, standing, followed, cautioned, advised)
    return made


def morning(groups: Sequence[Group], open_notes: Sequence[str], view: View) -> Outgoing:
    """Return the morning message."""
    words = _LISTS.get(view.settings.language, english_lists)
    text: str = words.morning(groups, open_notes, view.standing, view.today)
    return Outgoing(text, ((Button("done 1", "done 1"), Button("why 1", "why 1")),) if groups else ())


def reminded(group: Group, view: View) -> Outgoing:
    """Return the message of a reminder that has its own minute."""
    words = _LISTS.get(view.settings.language, english_lists)
    text: str = words.reminder(group, view.standing)
    return Outgoing(text[:1].upper() + text[1:] + ".", ((Button("done", "done 1"),),))


def nothing_due() -> Outgoing:
    """Return the message of a morning on which nothing is due, for who wants one."""
    return Outgoing(english_steered.NOTHING_DUE)


def sign_of_life(view: View) -> Outgoing:
    """Return the weekly message that the bot is there."""
    return Outgoing(english_steered.sign_of_life(view))


def frost(night: ColdNight, view: View) -> Outgoing:
    """Return the warning of a cold night to come."""
    return Outgoing(english_steered.frost(night, view))


def headed(message: Outgoing, name: str) -> Outgoing:
    """Return a message for a chat that speaks of another collection: its own is named, in the text and by the buttons."""
    prefix = english_steered.in_collection(name)
    rows = tuple(tuple(Button(one.label, f"{prefix}: {one.words}") for one in row) for row in message.buttons)
    return Outgoing(f"{name[:1].upper()}{name[1:]}: {message.text}", rows)


def calendar_words(group: Group, view: View) -> tuple[str, str]:
    """Return what a calendar shows of a line of due things: the short words, and the reason behind them."""
    words = _LISTS.get(view.settings.language, english_lists)
    summary, reason = words.in_a_calendar(group, view.standing)
    return str(summary), str(reason)


def due_line(due: Due, standing: Standing, view: View) -> str:
    """Return one due thing as a line of a list, without its number."""
    words = _LISTS.get(view.settings.language, english_lists)
    made: str = words.line(Group((due,)), 0, standing, view.today)
    return made.removeprefix("0. ")
