"""What one update of the Bot API says, apart from who may say it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from telegram import CallbackQuery, ChatMemberUpdated, Document, Message, MessageEntity, Update
from telegram.constants import ChatType

from bot.messages import Incoming

TRANSPORT = "telegram"
KINDS = (Update.MESSAGE, Update.EDITED_MESSAGE, Update.CALLBACK_QUERY, Update.MY_CHAT_MEMBER)

# What the menu offers, and the words that each command stands for.
COMMANDS = {"due": "whats due", "undo": "undo", "help": "help"}
_GROUPS = (ChatType.GROUP, ChatType.SUPERGROUP)
_SHEETS = (".csv", ".tsv", ".xlsx", ".xls")
_SHEET_TYPES = ("text/csv", "text/tab-separated-values", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
_GONE = ("left", "kicked")
_CONTENTS = {
    "photo": "pictures", "voice": "voice notes", "audio": "sound", "video": "films", "video_note": "films",
    "animation": "moving pictures", "sticker": "stickers", "document": "files", "venue": "places on a map",
    "location": "locations", "contact": "contacts", "poll": "polls", "dice": "dice",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture that came with a message: the messenger's name of the file, and of the album that it belongs to, if any."""

    file_key: str
    album: str = ""


@dataclass(frozen=True, slots=True)
class Typed:
    """A text, an edited text or a caption, addressed to the bot; `private` says whether the chat is with one person."""

    incoming: Incoming
    private: bool = True
    picture: Picture | None = None


@dataclass(frozen=True, slots=True)
class Pictured:
    """A picture without a caption, addressed to the bot."""

    incoming: Incoming
    picture: Picture


@dataclass(frozen=True, slots=True)
class Sheeted:
    """A spreadsheet, addressed to the bot, with a caption or without: the messenger's name of the file, its own, its size."""

    incoming: Incoming
    file_key: str
    name: str
    size: int


@dataclass(frozen=True, slots=True)
class Wordless:
    """Something else than words, addressed to the bot: `content` names the kind, in the plural."""

    incoming: Incoming
    content: str


@dataclass(frozen=True, slots=True)
class Press:
    """A button pressed: the query to be answered, the button's data, and what came in but for its words."""

    query_id: str
    data: str
    incoming: Incoming


@dataclass(frozen=True, slots=True)
class Moved:
    """A group that is a supergroup from now on, with another address."""

    old_address: str
    new_address: str


@dataclass(frozen=True, slots=True)
class Reachable:
    """Whether the bot can write to a chat from now on: it was blocked or removed, or let in again."""

    address: str
    reachable: bool


Said = Typed | Pictured | Sheeted | Wordless | Press | Moved | Reachable


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads the updates of one bot, known by its number and its name (without the @).

    What came in is keyed by the number of its update and its date: after a quiet week the numbers begin anew anywhere, and
    may meet old ones.
    """

    bot_id: int
    username: str

    def read(self, update: Update, raw: dict[str, Any], got_at: datetime) -> Said | None:
        """What the update says to the bot, None where nothing.

        `raw` is kept with it; `got_at` (aware UTC) dates what has no time of its own. In a group only what mentions the
        bot, answers it or is a command for it is read.
        """
        message = update.message or update.edited_message
        if message:
            return self._message(message, update.update_id, raw)
        if update.callback_query:
            return self._press(update.callback_query, raw, got_at)
        return _membership(update.my_chat_member) if update.my_chat_member else None

    def _message(self, message: Message, update_id: int, raw: dict[str, Any]) -> Said | None:
        if message.migrate_to_chat_id:
            return Moved(str(message.chat_id), str(message.migrate_to_chat_id))
        if message.from_user is None or message.from_user.is_bot or not self._addressed(message):
            return None
        replied = message.reply_to_message
        incoming = Incoming(
            transport=TRANSPORT,
            address=str(message.chat_id),
            source=str(self.bot_id),
            update_key=f"{update_id}:{int((message.edit_date or message.date).timestamp())}",
            text=self._words(message),
            sent_at=message.date,
            sender=str(message.from_user.id),
            message_key=str(message.message_id),
            reply_to=str(replied.message_id) if replied else "",
            raw=json.dumps(raw, ensure_ascii=False),
        )
        picture, file = _picture(message), message.document
        if file is not None and _is_sheet(file):
            return Sheeted(incoming, file.file_id, file.file_name or "The file", file.file_size or 0)
        if incoming.text:
            return Typed(incoming, message.chat.type == ChatType.PRIVATE, picture)
        if message.location and message.edit_date:
            return None  # a shared location that moves on
        if picture:
            return Pictured(incoming, picture)
        content = next((name for field, name in _CONTENTS.items() if getattr(message, field)), None)
        return Wordless(incoming, content) if content else None

    def _press(self, query: CallbackQuery, raw: dict[str, Any], got_at: datetime) -> Press:
        """A button's update is keyed by the button, so that pressing it twice says its words once."""
        message = query.message
        incoming = Incoming(
            transport=TRANSPORT,
            address=str(message.chat.id) if message else "",
            source=str(self.bot_id),
            update_key=f"button:{query.data}",
            text="",
            sent_at=got_at,
            sender=str(query.from_user.id),
            reply_to=str(message.message_id) if message else "",
            raw=json.dumps(raw, ensure_ascii=False),
        )
        return Press(query.id, query.data or "", incoming)

    def _addressed(self, message: Message) -> bool:
        if message.chat.type not in _GROUPS:
            return message.chat.type == ChatType.PRIVATE
        replied = message.reply_to_message
        if replied and replied.from_user and replied.from_user.id == self.bot_id:
            return True
        marked = message.parse_entities() | message.parse_caption_entities()
        return any(self._calls(entity, text) for entity, text in marked.items())

    def _calls(self, entity: MessageEntity, text: str) -> bool:
        """Whether a marked part of a text is the bot's name, or a command that is not for another bot."""
        if entity.type == MessageEntity.MENTION:
            return text.lower() == f"@{self.username.lower()}"
        if entity.type == MessageEntity.TEXT_MENTION:
            return entity.user is not None and entity.user.id == self.bot_id
        return entity.type == MessageEntity.BOT_COMMAND and text.lower().partition("@")[2] in {"", self.username.lower()}

    def _words(self, message: Message) -> str:
        """The text or caption without the bot's name, a command of the menu as the words it stands for."""
        text = message.text or message.caption or _location(message)
        marked = message.parse_entities() if message.text else message.parse_caption_entities()
        for entity, part in marked.items():
            if entity.type == MessageEntity.MENTION and self._calls(entity, part):
                text = text.replace(part, " ", 1)
        command, at, rest = text.strip().partition(" ")
        if not command.startswith("/"):
            return text.strip()
        name = command[1:].lower().removesuffix(f"@{self.username.lower()}")
        return f"{COMMANDS.get(name, '/' + name)}{at}{rest}".strip()


def _location(message: Message) -> str:
    """What a shared location says: the same as its words, to a hundredth of a degree (about 1 km)."""
    where = message.location
    if where is None or message.venue or message.edit_date:
        return ""
    return f"my location is {where.latitude:.2f} {where.longitude:.2f}"


def _picture(message: Message) -> Picture | None:
    """The picture of a message in its largest size, sent as a photo or as a file; None where there is none."""
    album = message.media_group_id or ""
    if message.photo:
        return Picture(message.photo[-1].file_id, album)
    file = message.document
    is_picture = file is not None and (file.mime_type or "").startswith("image/")
    return Picture(file.file_id, album) if file and is_picture else None


def _is_sheet(file: Document) -> bool:
    """Whether a file says of itself that it is a spreadsheet; its content is looked at later."""
    return (file.file_name or "").lower().endswith(_SHEETS) or (file.mime_type or "").lower() in _SHEET_TYPES


def _membership(change: ChatMemberUpdated) -> Reachable | None:
    return Reachable(str(change.chat.id), change.new_chat_member.status not in _GONE)
