"""What is said of wishes: kept, dropped, listed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from bot.app.english import phrases
from bot.app.plan import Said, View
from bot.care.events import CareEvent
from bot.care.standing import Standing

MOST = 8
NO_WISH = "There is no wish {number}. “my wish list” and “who wants what” show them with numbers."
NONE_OWN = "Nothing is on your wish list. Such as: i want a Copiapoa cinerea"
NONE = "Nobody has told a wish yet. Such as: Anna wants the rebutia"
SEEN = "Lists that you share show it."


def told(event: CareEvent) -> str:
    """Return a wish as it was said, or that it is dropped."""
    who, name = event.facts.get("who", ""), event.facts["name"]
    if event.what == "dropped":
        return f"Off {_whose(who)} wish list: {name}."
    return f"{who} wants {name}." if who else f"On your wish list: {name}."


def _whose(who: str) -> str:
    return f"{who}'s" if who else "your"


def _said(said: Said) -> str:
    assert said.event is not None
    mine = said.facts.get("mine", 0)
    if said.event.what == "wanted" and not said.event.facts.get("who"):
        return f"{told(said.event)} {SEEN}" if said.facts.get("first") else told(said.event)
    return f"{told(said.event)} You have {mine} that could go." if mine else told(said.event)


def _already(said: Said) -> str:
    return f"{said.facts['name']} is on {_whose(said.facts['who'])} wish list already."


def listed(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return the wishes asked for, numbered, each with its day."""
    numbered = facts["numbered"]
    if not numbered:
        return [_nothing(facts)]
    lines = [f"{number}. {_line(one, view.today)}" for number, one in numbered[:MOST]]
    return [*lines, *([f"… and {len(numbered) - MOST} more."] if len(numbered) > MOST else [])]


def _line(wish: Mapping[str, Any], today: date) -> str:
    return f"{wish['who'] or 'You'}: {wish['name']}, since {phrases.short_day(date.fromisoformat(wish['on']), today)}"


def _nothing(facts: Mapping[str, Any]) -> str:
    if facts["own"]:
        return NONE_OWN
    if facts["taxa"]:
        return f"Nobody has asked for {phrases.joined([phrases.cap(one) for one in facts['taxa']])}."
    return f"No wish of {phrases.cap(facts['who'])} is kept." if facts["who"] else NONE


SAID: dict[str, Callable[[Said, Any, Any], str]] = {
    "wished": lambda said, talk, last: _said(said),
    "wished_already": lambda said, talk, last: _already(said),
    "not_wished": lambda said, talk, last: f"{said.facts['name']} is not on {_whose(said.facts['who'])} wish list.",
    "no_such_wish": lambda said, talk, last: NO_WISH.format(number=said.facts["number"]),
}
