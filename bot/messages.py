"""What passes between a chat and the bot, whatever the transport."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class Button:
    """One choice below an answer. Pressing it does the same as typing `words`."""

    label: str
    words: str


@dataclass(frozen=True, slots=True)
class Incoming:
    """One message as it came in.

    `transport` and `address` name the chat ("terminal", "local"), `source` and `update_key` make the message unique for
    good (a repeated pair is the same message again), `sent_at` is the sender's moment as an aware UTC time, `message_key`
    is the chat's own number of the message and `reply_to` that of the message it answers.
    """

    transport: str
    address: str
    source: str
    update_key: str
    text: str
    sent_at: datetime
    sender: str = ""
    message_key: str = ""
    reply_to: str = ""
    raw: str = ""


@dataclass(frozen=True, slots=True)
class Attached:
    """A file that goes with a message: its name, its media type, and the recipe by which it is made when it is sent.

    The recipe holds JSON values; its `kind` names the maker (see `bot.sharing.files`).
    """

    name: str
    media_type: str
    recipe: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Outgoing:
    """One message to be sent: plain text, buttons in rows, and the files that follow it."""

    text: str
    buttons: tuple[tuple[Button, ...], ...] = ()
    files: tuple[Attached, ...] = ()
