"""What people do in their chats with a bot: they write, edit, press buttons, send pictures, block it."""

from __future__ import annotations

import itertools
from typing import Any

from .core import Account, BotApi, Chat

_QUERY_IDS = itertools.count(7_000_001)


class Person:
    """One person in one chat with one bot: a private chat unless `group` says otherwise."""

    def __init__(self, api: BotApi, account: Account, user_id: int, name: str = "Ida", *, group: int = 0) -> None:
        """Open the chat; persons of the same `group` (a negative number) share it."""
        self._api, self._account = api, account
        self.user = {"id": user_id, "is_bot": False, "first_name": name, "language_code": "en"}
        info: dict[str, Any] = {"id": user_id, "type": "private", "first_name": name}
        if group:
            info = {"id": group, "type": "supergroup", "title": "Bench keepers"}
        self.chat_id: int = info["id"]
        self.chat: Chat = account.chats.setdefault(self.chat_id, Chat(info))

    async def says(self, text: str, *, sent_at: float | None = None, reply_to: int = 0) -> dict[str, Any]:
        """Type a message; `sent_at` (Unix seconds) dates one that has waited."""
        return await self.sends({"text": text} | _command_entity(text), sent_at=sent_at, reply_to=reply_to)

    async def sends(self, content: dict[str, Any], *, sent_at: float | None = None, reply_to: int = 0) -> dict[str, Any]:
        """Send any content, for instance a photo with its caption; the message as the server keeps it."""
        moment = self._api.clock() if sent_at is None else sent_at
        message_id = next(self._account.message_ids)
        message = {"message_id": message_id, "from": self.user, "chat": self.chat.info, "date": int(moment)} | content
        if reply_to:
            message["reply_to_message"] = self.chat.messages[reply_to]
        self.chat.messages[message_id] = message
        self._account.queue.put("message", message, moment)
        await self._api.notify()
        return message

    async def edits(self, message_id: int, text: str) -> None:
        """Change an earlier message."""
        message = self.chat.messages[message_id] | {"text": text, "edit_date": int(self._api.clock())}
        self.chat.messages[message_id] = message
        self._account.queue.put("edited_message", message, self._api.clock())
        await self._api.notify()

    async def presses(self, message_id: int, label: str) -> str:
        """Press the button with this label; the identifier of the query."""
        rows = self.chat.messages[message_id]["reply_markup"]["inline_keyboard"]
        data = next(button["callback_data"] for row in rows for button in row if button["text"] == label)
        return await self.sends_query(message_id, data)

    async def sends_query(self, message_id: int, data: str) -> str:
        """A callback query with any data, as an old or forged button sends it."""
        query_id = str(next(_QUERY_IDS))
        now = self._api.clock()
        message = self.chat.messages.get(message_id) or {"message_id": message_id, "chat": self.chat.info, "date": 0}
        query = {"id": query_id, "from": self.user, "chat_instance": "1", "message": message, "data": data}
        self._account.queries[query_id] = now
        self._account.queue.put("callback_query", query, now)
        await self._api.notify()
        return query_id

    def read(self) -> list[str]:
        """The texts of the bot in this chat, oldest first."""
        bot = self._account.user["id"]
        return [message.get("text", "") for message in self.chat.messages.values() if message["from"]["id"] == bot]

    def last_answer(self) -> dict[str, Any]:
        """The bot's newest message in this chat."""
        bot = self._account.user["id"]
        return next(one for one in reversed(self.chat.messages.values()) if one["from"]["id"] == bot)

    async def hears(self, count: int, within_s: float = 10.0) -> list[str]:
        """Wait until the bot has written at least `count` messages here; their texts."""
        await self._api.until(lambda: len(self.read()) >= count, within_s)
        return self.read()


def _command_entity(text: str) -> dict[str, Any]:
    if not text.startswith("/"):
        return {}
    return {"entities": [{"type": "bot_command", "offset": 0, "length": len(text.split(maxsplit=1)[0])}]}
