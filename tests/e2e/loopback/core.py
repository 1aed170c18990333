"""The server without its sockets: bots, chats, messages, and what each method does to them."""

from __future__ import annotations

import asyncio
import itertools
from collections import defaultdict, deque
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from .failures import Answer, ConnectionCutError, Failure, refusal, success
from .methods import METHODS
from .queue import UpdateQueue
from .validator import Upload, check

DELETE_AGE_SECONDS, CALLBACK_ANSWER_SECONDS = 48 * 3600.0, 150.0
DOWNLOAD_BYTES = 20 * 1024 * 1024
POLLED_TWICE = "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"
WEBHOOK_ACTIVE = "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first"
NOT_MODIFIED = (
    "Bad Request: message is not modified: specified new message content and reply markup are exactly the same as a "
    "current content and reply markup of the message"
)
QUERY_TOO_OLD = "Bad Request: query is too old and response timeout expired or query ID is invalid"


@dataclass(slots=True)
class Chat:
    """One chat as the server knows it."""

    info: dict[str, Any]
    blocked: bool = False
    migrated_to: int | None = None
    messages: dict[int, dict[str, Any]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Call:
    """One request that came in: what, with which values, when (Unix seconds), and how it was answered."""

    method: str
    values: Mapping[str, Any]
    at: float
    status: int


@dataclass(slots=True)
class Account:
    """One bot."""

    token: str
    user: dict[str, Any]
    queue: UpdateQueue
    message_ids: Iterator[int] = field(default_factory=lambda: itertools.count(1))
    chats: dict[int, Chat] = field(default_factory=dict)
    queries: dict[str, float] = field(default_factory=dict)
    answered: dict[str, str] = field(default_factory=dict)
    commands: dict[tuple[str, str], list[dict[str, str]]] = field(default_factory=dict)
    webhook: dict[str, Any] = field(default_factory=dict)
    webhook_error: str = ""
    poll: asyncio.Event | None = None


class Refusal(Exception):
    """The request is well formed and cannot be done; carries the answer."""

    def __init__(self, status: int, description: str, **parameters: int) -> None:
        """Keep the answer."""
        super().__init__(description)
        self.answer = refusal(status, description, **parameters)


class BotApi:
    """All bots of the server. Not for use from several threads; `clock` gives Unix seconds."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self.clock = clock
        self.accounts: dict[str, Account] = {}
        self.files: dict[str, Upload] = {}
        self.calls: list[Call] = []
        self.faults: list[str] = []
        self.changed = asyncio.Condition()
        self._failures: defaultdict[str, deque[Failure]] = defaultdict(deque)
        self._file_ids = itertools.count(1)

    def add_bot(self, token: str, username: str, first_update_id: int = 100_000_001) -> Account:
        """Register a bot; the number before the colon of `token` is its identifier."""
        user = {
            "id": int(token.partition(":")[0]), "is_bot": True, "first_name": username, "username": username,
            "can_join_groups": True, "can_read_all_group_messages": False, "supports_inline_queries": False,
        }  # fmt: skip
        self.accounts[token] = Account(token, user, UpdateQueue(first_update_id))
        return self.accounts[token]

    def fail_next(self, method: str, *failures: Failure) -> None:
        """Let the next calls of `method` fail so, one each, in this order."""
        self._failures[method].extend(failures)

    def add_file(self, name: str, content: bytes) -> str:
        """Keep a file and give its `file_id`."""
        file_id = f"file-{next(self._file_ids)}"
        self.files[file_id] = Upload(name, content)
        return file_id

    async def notify(self) -> None:
        """Wake everyone who waits for a change."""
        async with self.changed:
            self.changed.notify_all()

    async def until(self, holds: Callable[[], bool], within_s: float = 10.0) -> None:
        """Return as soon as `holds()`; raises TimeoutError where that takes longer than `within_s`."""
        async with asyncio.timeout(within_s), self.changed:
            await self.changed.wait_for(holds)

    async def call(self, token: str, method: str, given: Mapping[str, Any], uploads: Mapping[str, Upload]) -> Answer:
        """Do one request. Raises ConnectionCutError where no answer is to go back."""
        name = next((known for known in METHODS if known.lower() == method.lower()), "")
        account = self.accounts.get(token)
        if account is None:
            return refusal(401, "Unauthorized")
        if not name:
            self.faults.append(f"{method}: unknown method")
            return refusal(404, "Not Found: method not found")
        checked = check(name, given, uploads)
        failure = self._failures[name].popleft() if self._failures[name] else None
        answer = await self._answer(account, name, checked.values, checked.faults, failure)
        self.calls.append(Call(name, checked.values, self.clock(), answer.status))
        await self.notify()
        if failure and failure.kind == "cut":
            raise ConnectionCutError
        if failure and failure.kind == "slow":
            await failure.release.wait()
        return answer

    async def _answer(
        self, account: Account, method: str, values: dict[str, Any], faults: tuple[str, ...], failure: Failure | None
    ) -> Answer:
        if faults:
            self.faults += [f"{method}: {fault}" for fault in faults]
            return refusal(400, faults[0])
        instead = failure.answer if failure else None
        if failure and not failure.handled:
            return instead or Answer(0, b"")
        try:
            done = await self._do(account, method, values)
        except Refusal as refused:
            done = refused.answer
        return instead or done

    async def _do(self, account: Account, method: str, values: dict[str, Any]) -> Answer:
        if method == "getUpdates":
            return await self._poll(account, values)
        return success(_HANDLERS[method](self, account, values))

    async def _poll(self, account: Account, values: Mapping[str, Any]) -> Answer:
        """getUpdates: a second poller ends the first; waits for an update at most `timeout` seconds."""
        if account.webhook.get("url"):
            return refusal(409, WEBHOOK_ACTIVE)
        older, mine = account.poll, asyncio.Event()
        account.poll = mine
        if older:
            older.set()
        await self.notify()
        if "allowed_updates" in values:
            account.queue.allowed = frozenset(values["allowed_updates"]) or None
        try:
            updates = account.queue.take(values.get("offset", 0), values.get("limit", 100), self.clock())
            if not updates and values.get("timeout", 0):
                updates = await self._wait_for_updates(account, mine, values)
            return refusal(409, POLLED_TWICE) if mine.is_set() else success(updates)
        finally:
            if account.poll is mine:
                account.poll = None
                await self.notify()

    async def _wait_for_updates(self, account: Account, mine: asyncio.Event, values: Mapping[str, Any]) -> list[dict[str, Any]]:
        try:
            await self.until(lambda: mine.is_set() or len(account.queue) > 0, values["timeout"])
        except TimeoutError:
            return []
        return account.queue.take(values.get("offset", 0), values.get("limit", 100), self.clock())

    def chat(self, account: Account, chat_id: int) -> Chat:
        """The chat that a bot writes to. Refused where there is none, it has blocked the bot or has moved."""
        chat = account.chats.get(chat_id)
        if chat is None:
            raise Refusal(400, "Bad Request: chat not found")
        if chat.blocked:
            raise Refusal(403, "Forbidden: bot was blocked by the user")
        if chat.migrated_to:
            words = "Bad Request: group chat was upgraded to a supergroup chat"
            raise Refusal(400, words, migrate_to_chat_id=chat.migrated_to)
        return chat

    def post(self, account: Account, values: Mapping[str, Any], content: Mapping[str, Any]) -> dict[str, Any]:
        """Put a message of the bot into its chat."""
        chat = self.chat(account, values["chat_id"])
        message_id, date = next(account.message_ids), int(self.clock())
        message: dict[str, Any] = {"message_id": message_id, "from": account.user, "chat": chat.info, "date": date}
        message |= content
        reply = values.get("reply_parameters")
        if reply and reply["message_id"] in chat.messages:
            replied = chat.messages[reply["message_id"]]
            message["reply_to_message"] = {key: value for key, value in replied.items() if key != "reply_to_message"}
        elif reply and not reply.get("allow_sending_without_reply"):
            raise Refusal(400, "Bad Request: message to be replied not found")
        if "inline_keyboard" in (values.get("reply_markup") or {}):
            message["reply_markup"] = values["reply_markup"]
        chat.messages[message_id] = message
        return message

    def keep_upload(self, given: Upload | str) -> dict[str, Any]:
        """A file that was sent along, or one that is known already."""
        file_id = self.add_file(given.name, given.content) if isinstance(given, Upload) else given
        if file_id not in self.files:
            raise Refusal(400, "Bad Request: wrong file identifier/HTTP URL specified")
        size = len(self.files[file_id].content)
        return {"file_id": file_id, "file_unique_id": f"unique-{file_id}", "file_size": size}


def _send_message(api: BotApi, account: Account, values: Mapping[str, Any]) -> dict[str, Any]:
    return api.post(account, values, {"text": values["text"]})


def _caption(values: Mapping[str, Any]) -> dict[str, str]:
    return {"caption": values["caption"]} if values.get("caption") else {}


def _send_photo(api: BotApi, account: Account, values: Mapping[str, Any]) -> dict[str, Any]:
    size = api.keep_upload(values["photo"]) | {"width": 800, "height": 600}
    return api.post(account, values, {"photo": [size]} | _caption(values))


def _send_document(api: BotApi, account: Account, values: Mapping[str, Any]) -> dict[str, Any]:
    kept = api.keep_upload(values["document"])
    return api.post(account, values, {"document": kept | {"file_name": api.files[kept["file_id"]].name}} | _caption(values))


def _own_message(api: BotApi, account: Account, values: Mapping[str, Any]) -> dict[str, Any]:
    message = api.chat(account, values["chat_id"]).messages.get(values["message_id"])
    if message is None:
        raise Refusal(400, "Bad Request: message to edit not found")
    if message["from"]["id"] != account.user["id"]:
        raise Refusal(400, "Bad Request: message can't be edited")
    return message


def _edit(api: BotApi, account: Account, values: Mapping[str, Any]) -> dict[str, Any]:
    message = _own_message(api, account, values)
    text, markup = values.get("text", message.get("text")), values.get("reply_markup")
    if text == message.get("text") and markup == message.get("reply_markup"):
        raise Refusal(400, NOT_MODIFIED)
    message |= {"edit_date": int(api.clock())} | ({"text": text} if text else {})
    message.pop("reply_markup", None)
    if markup:
        message["reply_markup"] = markup
    return message


def _delete(api: BotApi, account: Account, values: Mapping[str, Any]) -> bool:
    messages = api.chat(account, values["chat_id"]).messages
    message = messages.get(values["message_id"])
    if message is None:
        raise Refusal(400, "Bad Request: message to delete not found")
    if api.clock() - message["date"] >= DELETE_AGE_SECONDS:
        raise Refusal(400, "Bad Request: message can't be deleted for everyone")
    del messages[values["message_id"]]
    return True


def _answer_query(api: BotApi, account: Account, values: Mapping[str, Any]) -> bool:
    query = values["callback_query_id"]
    if api.clock() - account.queries.pop(query, float("-inf")) > CALLBACK_ANSWER_SECONDS:
        raise Refusal(400, QUERY_TOO_OLD)
    account.answered[query] = values.get("text", "")
    return True


def _command_key(values: Mapping[str, Any]) -> tuple[str, str]:
    scope = values.get("scope") or {"type": "default"}
    return ":".join(str(part) for part in scope.values()), values.get("language_code", "")


def _set_commands(_: BotApi, account: Account, values: Mapping[str, Any]) -> bool:
    account.commands[_command_key(values)] = values["commands"]
    return True


def _get_commands(_: BotApi, account: Account, values: Mapping[str, Any]) -> list[dict[str, str]]:
    return account.commands.get(_command_key(values), [])


def _delete_commands(_: BotApi, account: Account, values: Mapping[str, Any]) -> bool:
    account.commands.pop(_command_key(values), None)
    return True


def _get_file(api: BotApi, _: Account, values: Mapping[str, Any]) -> dict[str, Any]:
    kept = api.files.get(values["file_id"])
    if kept is None:
        raise Refusal(400, "Bad Request: wrong file_id or the file is temporarily unavailable")
    if len(kept.content) > DOWNLOAD_BYTES:
        raise Refusal(400, "Bad Request: file is too big")
    return api.keep_upload(values["file_id"]) | {"file_path": f"documents/{values['file_id']}"}


def _set_webhook(api: BotApi, account: Account, values: Mapping[str, Any]) -> bool:
    account.webhook = dict(values)
    account.queue.allowed = frozenset(values["allowed_updates"]) if values.get("allowed_updates") else None
    if values.get("drop_pending_updates"):
        account.queue.clear()
    return True


def _delete_webhook(_: BotApi, account: Account, values: Mapping[str, Any]) -> bool:
    account.webhook = {}
    if values.get("drop_pending_updates"):
        account.queue.clear()
    return True


def _webhook_info(api: BotApi, account: Account, _: Mapping[str, Any]) -> dict[str, Any]:
    account.queue.forget_old(api.clock())
    info = {
        "url": account.webhook.get("url", ""), "has_custom_certificate": False, "pending_update_count": len(account.queue),
    }  # fmt: skip
    return info | ({"last_error_message": account.webhook_error} if account.webhook_error else {})


def _get_me(_: BotApi, account: Account, __: Mapping[str, Any]) -> dict[str, Any]:
    return account.user


def _chat_action(api: BotApi, account: Account, values: Mapping[str, Any]) -> bool:
    api.chat(account, values["chat_id"])
    return True


_HANDLERS: dict[str, Callable[[BotApi, Account, Mapping[str, Any]], Any]] = {
    "getMe": _get_me,
    "sendMessage": _send_message,
    "sendPhoto": _send_photo,
    "sendDocument": _send_document,
    "editMessageText": _edit,
    "editMessageReplyMarkup": _edit,
    "deleteMessage": _delete,
    "answerCallbackQuery": _answer_query,
    "setMyCommands": _set_commands,
    "getMyCommands": _get_commands,
    "deleteMyCommands": _delete_commands,
    "getFile": _get_file,
    "setWebhook": _set_webhook,
    "deleteWebhook": _delete_webhook,
    "getWebhookInfo": _webhook_info,
    "sendChatAction": _chat_action,
}
