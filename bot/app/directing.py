"""Which collection a message is about: the one spoken of, one named in its words, or that of the message it answers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.app.plan import Plan, Said
from bot.store import notes, people
from bot.store.database import Connection
from bot.store.inbox import InboxRow
from bot.store.people import Chat, Membership

_IN = re.compile(
    r"(?:in|on|at|for)\s+(?P<name>(?:the\s+)?[^:\n]{1,60}?\s+collection|collection\s+\d+)\s*[:,]\s*(?P<rest>.+)",
    re.IGNORECASE | re.DOTALL,
)
_SWITCH = re.compile(
    r"(?:please\s+)?(?:switch|change|go|move)\s+(?:over\s+|back\s+)?to\s+(?P<name>.{0,60}?\bcollection(?:\s+\d+)?)\s*[.!]?",
    re.IGNORECASE,
)
_WHICH = re.compile(
    r"(?:which|what|list|show)?\s*(?:of\s+)?(?:(?:are\s+)?(?:the|my)\s+)?collections(?:\s+(?:are there|do i have|have i))?\W*",
    re.IGNORECASE,
)
OWN = "my own"


@dataclass(frozen=True, slots=True)
class Heard:
    """A message with the chat as it speaks of the collection meant, and what its sender is to that collection.

    `plan` is set where the message was about collections alone and is answered with that.
    """

    chat: Chat
    row: InboxRow
    role: str | None
    plan: Plan | None = None


def heard(conn: Connection, chat: Chat, row: InboxRow) -> Heard:
    """Return what a message is about; needs a writing connection, since its words may turn the talk to another collection.

    Only in a private chat can words name another collection: what is said of it there is read by nobody else.
    """
    text = row.incoming.text.strip()
    if people.is_private(conn, chat):
        found = _in_words(conn, chat, row, text)
        if found is not None:
            return found
    answered = notes.note_by_message(conn, chat.id, row.incoming.reply_to) if row.incoming.reply_to else None
    about = chat.about(answered.collection_id) if answered else chat
    return _heard(conn, about, row)


def _in_words(conn: Connection, chat: Chat, row: InboxRow, text: str) -> Heard | None:
    mine = people.memberships(conn, chat.person_id)
    if _WHICH.fullmatch(text):
        said = Said("collections", None, {"names": names_of(mine), "here": _name_here(mine, chat)})
        return _heard(conn, chat, row, Plan(said=(said,)))
    named, switched = _IN.fullmatch(text), _SWITCH.fullmatch(text)
    match = named or switched
    if match is None:
        return None
    there = named_so(match["name"], mine)
    if there is None and named is not None and len(mine) < 2:
        return None  # who has one collection speaks of plants: "in the echeveria collection: mites"
    if there is None:
        said = Said("no_such_collection", None, {"names": names_of(mine)})
        return _heard(conn, chat, row, Plan(said=(said,)))
    if named is not None:
        shorter = replace(row, incoming=replace(row.incoming, text=named["rest"].strip()))
        return _heard(conn, chat.about(there.collection.id), shorter)
    people.speak_of(conn, chat.id, there.collection.id)
    turned = replace(people.chat_by_id(conn, chat.id), person_id=chat.person_id)
    said = Said("switched", None, {"name": _name(there, mine), "role": there.role})
    return _heard(conn, turned, row, Plan(said=(said,)))


def _heard(conn: Connection, chat: Chat, row: InboxRow, plan: Plan | None = None) -> Heard:
    return Heard(chat, row, people.role_of(conn, chat.collection_id, chat.person_id), plan)


def named_so(words: str, mine: Sequence[Membership]) -> Membership | None:
    """Return the collection that words name among those of a person, or None."""
    wanted = _bare(words)
    if wanted in ("my", "mine", "own", "my own"):
        owned = [one for one in mine if one.role == "owner"]
        return owned[0] if owned else None
    return next((one for one in mine if wanted in (_bare(_name(one, mine)), _bare(one.collection.settings.name))), None)


def names_of(mine: Sequence[Membership]) -> tuple[str, ...]:
    """Return what the collections of a person are called."""
    return tuple(_name(one, mine) for one in mine)


def heading(conn: Connection, chat: Chat) -> str:
    """Return what the collection of a chat is called for the person who opened it."""
    mine = people.memberships(conn, chat.person_id)
    return _name_here(mine, chat)


def _name_here(mine: Sequence[Membership], chat: Chat) -> str:
    return next((_name(one, mine) for one in mine if one.collection.id == chat.collection_id), "")


def _name(one: Membership, mine: Sequence[Membership]) -> str:
    """Its name, else "my own" where only one is, else its number among the person's collections."""
    if one.collection.settings.name:
        return one.collection.settings.name
    unnamed = [other for other in mine if other.role == "owner" and not other.collection.settings.name]
    return OWN if unnamed == [one] else f"collection {mine.index(one) + 1}"


def _bare(words: str) -> str:
    """Words without what a collection may be called besides its name: "Ana's collection" is "ana"."""
    low = " ".join(words.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    if re.fullmatch(r"(?:the )?collection \d+", low):
        return low.removeprefix("the ")
    return low.removeprefix("the ").removesuffix(" collection").removesuffix("'s").removesuffix("'").strip()
