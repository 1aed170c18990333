"""Who may talk to the bot: its owner, claimed with a code; who was invited into a collection; and nobody else."""

from __future__ import annotations

import hmac
import re
from dataclasses import replace
from datetime import datetime, timedelta
from enum import Enum
from zoneinfo import ZoneInfo

from bot.app.english import notices, steered
from bot.app.first_talk import asked, begun
from bot.app.invitations import Invitation, invite, redeem
from bot.messages import Incoming, Outgoing
from bot.store import inbox, outbox, people
from bot.store.database import Connection
from bot.store.people import Chat, CollectionSettings

INVITATION_LASTS = timedelta(hours=48)
GROWER = "grower"  # an invitation to a collection of one's own; all other roles are parts in the host's
A_WHILE, MOST_IN_A_WHILE = timedelta(seconds=60), 40
MOST_STRANGERS_A_DAY = 100

_INVITE = re.compile(
    r"/?invite(?: (?:an?|my|new|another))*(?: [\w'-]+(?= as ))?(?: as(?: an?)?)?(?: (?P<role>helper|guest|grower))?"
    r"(?: with (?:an? |their |his |her )?(?:own )?collection(?: of (?:their|his|her) own)?)?\s*[.!]?",
    re.IGNORECASE,
)


class Verdict(Enum):
    """What becomes of a message: taken in; answered already, since it was a code; refused with or without a line."""

    ADMITTED = "admitted"
    ANSWERED = "answered"
    TOLD = "told"
    IGNORED = "ignored"


def claimed(conn: Connection, transport: str) -> bool:
    """Whether somebody owns a collection and talks over this transport."""
    found = (people.owner_chats(conn, one.id) for one in people.all_collections(conn))
    return any(chat.transport == transport for chats in found for chat in chats)


class Admission:
    """Lets in who belongs to a collection, on one transport.

    `code` makes the first who sends it the owner; `link` is what a code is appended to for an invitation.
    """

    def __init__(self, transport: str, defaults: CollectionSettings, code: str, link: str = "") -> None:
        """Keep the code, and how the owner's collection is to be set up."""
        self._transport, self._defaults, self._code, self._link = transport, defaults, code, link

    def judge(self, conn: Connection, incoming: Incoming, now: datetime, *, private: bool) -> Verdict:
        """Tell what becomes of a message, and where it is a code let its sender in, with a greeting to be sent.

        Needs a writing connection. A stranger is told a line at most once a day; what a stranger wrote is not kept.
        """
        if private and self._let_in(conn, incoming, now):
            return Verdict.ANSWERED
        if self._known(conn, incoming):
            return Verdict.ANSWERED if self._too_fast(conn, incoming, now) else Verdict.ADMITTED
        return Verdict.TOLD if private and self._first_today(conn, incoming, now) else Verdict.IGNORED

    def line_for_strangers(self, conn: Connection) -> str:
        """What a stranger is told."""
        return notices.PRIVATE if claimed(conn, self._transport) else notices.UNCLAIMED

    def decline(self, conn: Connection, incoming: Incoming, content: str, now: datetime) -> None:
        """Keep a message without words of somebody admitted, and say that only words are read."""
        self.answer(conn, incoming, notices.WORDLESS.format(content=content), now)

    def invites(self, conn: Connection, incoming: Incoming, now: datetime) -> bool:
        """Answer a message of somebody admitted that asks for an invitation; false where it is another message."""
        asks = _INVITE.fullmatch(incoming.text.strip())
        if asks is None:
            return False
        chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
        if people.role_of(conn, chat.collection_id, chat.person_id) == "owner":
            until = now + INVITATION_LASTS
            apart = "collection" in incoming.text.lower()  # whoever is to have one is a grower, whatever word was used
            role = GROWER if apart else (asks["role"] or "helper").lower()
            if role == GROWER and not people.is_host(conn, self._transport, chat.person_id):
                self.answer(conn, incoming, notices.HOST_ONLY, now)
                return True
            code = invite(conn, self._transport, Invitation(role, chat.collection_id), until)
            local = until.astimezone(ZoneInfo(people.settings_of(conn, chat.collection_id).zone))
            words = notices.INVITED_GROWER if role == GROWER else notices.INVITED
            text = words.format(role=role, until=f"{local:%a} {local.day} {local:%b %H:%M}", link=self._link + code)
        else:
            text = notices.OWNERS_ONLY
        self.answer(conn, incoming, text, now)
        return True

    def takes_pictures(self, conn: Connection, incoming: Incoming) -> Chat | None:
        """Return the chat of somebody admitted whose pictures are kept; None for a guest."""
        chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
        return chat if people.role_of(conn, chat.collection_id, chat.person_id) in ("owner", "helper") else None

    def takes_plants(self, conn: Connection, incoming: Incoming) -> Chat | None:
        """Return the chat of an owner, whose lists of plants are taken; None for everybody else."""
        chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
        return chat if people.role_of(conn, chat.collection_id, chat.person_id) == "owner" else None

    def answer(self, conn: Connection, incoming: Incoming, text: str, now: datetime) -> int | None:
        """Keep a message as handled, with an answer where there is one; return its inbox id, None where it came before."""
        inbox_id = inbox.take(conn, incoming, now)
        if inbox_id is not None:
            chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
            if text:
                outbox.put(conn, f"answer:{inbox_id}", chat.id, Outgoing(text), "reply", now)
            inbox.mark_done(conn, inbox_id, now)
        return inbox_id

    def _known(self, conn: Connection, incoming: Incoming) -> bool:
        """Whether the sender has a place in the collection of this chat, or, in a new chat, in any."""
        own = people.find_chat(conn, self._transport, incoming.sender)
        here = people.find_chat(conn, self._transport, incoming.address) or own
        return own is not None and here is not None and people.role_of(conn, here.collection_id, own.person_id) is not None

    def _too_fast(self, conn: Connection, incoming: Incoming, now: datetime) -> bool:
        """Whether somebody other than an owner writes faster than a person does; then the message is only kept, and told."""
        since = incoming.sent_at - A_WHILE
        if inbox.recent(conn, incoming.transport, incoming.sender, since) < MOST_IN_A_WHILE:
            return False
        chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
        if people.role_of(conn, chat.collection_id, chat.person_id) == "owner":
            return False  # a week of notes typed without a network arrives at once
        inbox_id = inbox.take(conn, incoming, now)
        if inbox_id is not None:
            inbox.mark_poison(conn, inbox_id, "too many messages at once")
            minute = f"{incoming.sent_at:%Y-%m-%dT%H:%M}"
            outbox.put(conn, f"too-fast:{chat.id}:{minute}", chat.id, Outgoing(notices.TOO_FAST), "reply", now)
        return True

    def _let_in(self, conn: Connection, incoming: Incoming, now: datetime) -> bool:
        """Whether the message is a code that is good; then its sender is in, and greeted."""
        code = incoming.text.removeprefix("/start").strip().upper()
        if not code or " " in code:
            return False
        if self._code and hmac.compare_digest(code.encode(), self._code.encode()) and not claimed(conn, self._transport):
            chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, self._defaults)
            self._greet(conn, chat, notices.CLAIMED, now)
            return True
        invitation = redeem(conn, self._transport, code, now)
        if invitation is None:
            return False
        for owner in people.owner_chats(conn, invitation.collection_id):
            self._tell(conn, "used", owner, notices.USED.format(role=invitation.role), now)
        place = (self._transport, incoming.address, incoming.sender)
        if invitation.role == GROWER:
            self._greet(conn, self._own_collection(conn, incoming), notices.GROWER, now)
            return True
        chat = people.join(conn, *place, invitation.collection_id, invitation.role)
        joined = notices.JOINED_AS_GUEST if invitation.role == "guest" else notices.JOINED.format(role=invitation.role)
        self._tell(conn, "joined", chat, joined, now)
        return True

    def _own_collection(self, conn: Connection, incoming: Incoming) -> Chat:
        """Return the chat of who has a collection of their own from now on; where the host grows says nothing of them."""
        defaults = replace(self._defaults, name="", latitude=None, longitude=None)
        chat = people.chat_of(conn, self._transport, incoming.address, incoming.sender, defaults)
        if people.role_of(conn, chat.collection_id, chat.person_id) != "owner":
            people.speak_of(conn, chat.id, people.add_collection(conn, chat.person_id, defaults))
            chat = people.chat_by_id(conn, chat.id)
        return chat

    def _greet(self, conn: Connection, chat: Chat, words: str, now: datetime) -> None:
        """Welcome the owner of a new collection with the first question of the first talk."""
        settings = begun(people.settings_of(conn, chat.collection_id))
        people.save_settings(conn, chat.collection_id, settings)
        question = asked(settings)
        greeting = f"{words}\n{steered.first_question(question, settings)}" if question else words
        message = Outgoing(greeting, tuple(steered.question_buttons(question, settings)))
        outbox.put(conn, f"claimed:{chat.id}:{now.isoformat()}", chat.id, message, "reply", now)

    def _tell(self, conn: Connection, what: str, chat: Chat, text: str, now: datetime) -> None:
        outbox.put(conn, f"{what}:{chat.id}:{now.isoformat()}", chat.id, Outgoing(text), "reply", now)

    def _first_today(self, conn: Connection, incoming: Incoming, now: datetime) -> bool:
        if inbox.recent_strangers(conn, now - timedelta(days=1)) >= MOST_STRANGERS_A_DAY:
            return False
        key = f"stranger:{incoming.sender}:{now.date()}"
        empty = Incoming(self._transport, incoming.address, incoming.source, key, "", now, incoming.sender)
        inbox_id = inbox.take(conn, empty, now)
        return inbox_id is not None and inbox.mark_done(conn, inbox_id, now)
