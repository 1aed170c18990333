"""Who may talk to the bot: its owner, claimed with a code; who belongs to a collection; and nobody else."""

from __future__ import annotations

import hmac
import secrets
from datetime import datetime
from enum import Enum

from bot.messages import Incoming, Outgoing
from bot.store import inbox, outbox, people
from bot.store.database import Connection
from bot.store.people import CollectionSettings

CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # without 0, O, 1 and I, which are mistaken for one another
CODE_LENGTH = 10
CLAIMED = "This bot is yours now. Write a note as you would at the bench: watered tray 3."
PRIVATE = "This bot is private."
UNCLAIMED = "This bot has no owner yet. If it is yours, send the code that it showed when it started."
WORDLESS = "I read words, not {content}. Write a caption or a note."


class Verdict(Enum):
    """What becomes of a message: taken in; answered already, since it was the code; refused with or without a line."""

    ADMITTED = "admitted"
    ANSWERED = "answered"
    TOLD = "told"
    IGNORED = "ignored"


def new_code() -> str:
    """A code that nobody guesses: ten letters and digits, fifty bits."""
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


def claimed(conn: Connection, transport: str) -> bool:
    """Whether somebody owns a collection and talks over this transport."""
    found = (people.owner_chats(conn, one.id) for one in people.all_collections(conn))
    return any(chat.transport == transport for chats in found for chat in chats)


class Admission:
    """Lets in who belongs to a collection, on one transport. `code` makes the first who sends it the owner."""

    def __init__(self, transport: str, defaults: CollectionSettings, code: str) -> None:
        """Keep the code, and how the owner's collection is to be set up."""
        self._transport, self._defaults, self._code = transport, defaults, code

    def judge(self, conn: Connection, incoming: Incoming, now: datetime, *, private: bool) -> Verdict:
        """Tell what becomes of a message, and where it is the code make its sender the owner, with a greeting to be sent.

        Needs a writing connection. A stranger is told a line at most once a day; what a stranger wrote is not kept.
        """
        if self._known(conn, incoming):
            return Verdict.ADMITTED
        is_claimed = claimed(conn, self._transport)
        if private and not is_claimed and self._is_code(incoming.text):
            chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
            outbox.put(conn, f"claimed:{chat.id}", chat.id, Outgoing(CLAIMED), "reply", now)
            return Verdict.ANSWERED
        return Verdict.TOLD if private and self._first_today(conn, incoming, now) else Verdict.IGNORED

    def line_for_strangers(self, conn: Connection) -> str:
        """What a stranger is told."""
        return PRIVATE if claimed(conn, self._transport) else UNCLAIMED

    def decline(self, conn: Connection, incoming: Incoming, content: str, now: datetime) -> None:
        """Keep a message without words of somebody admitted, and say that only words are read."""
        inbox_id = inbox.take(conn, incoming, now)
        if inbox_id is not None:
            chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
            outbox.put(conn, f"wordless:{inbox_id}", chat.id, Outgoing(WORDLESS.format(content=content)), "reply", now)
            inbox.mark_done(conn, inbox_id, now)

    def _known(self, conn: Connection, incoming: Incoming) -> bool:
        """Whether the sender has a place in the collection of this chat, or, in a new chat, in any."""
        own = people.find_chat(conn, self._transport, incoming.sender)
        here = people.find_chat(conn, self._transport, incoming.address) or own
        return own is not None and here is not None and people.role_of(conn, here.collection_id, own.person_id) is not None

    def _is_code(self, text: str) -> bool:
        typed = text.removeprefix("/start").strip().upper()
        return bool(self._code) and hmac.compare_digest(typed.encode(), self._code.encode())

    def _first_today(self, conn: Connection, incoming: Incoming, now: datetime) -> bool:
        key = f"stranger:{incoming.sender}:{now.date()}"
        empty = Incoming(self._transport, incoming.address, incoming.source, key, "", now, incoming.sender)
        inbox_id = inbox.take(conn, empty, now)
        return inbox_id is not None and inbox.mark_done(conn, inbox_id, now)
