"""Checks a request to the Bot API against the table of methods and the limits of the real server."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .entities import formatted, misplaced, utf16_length
from .methods import METHODS, OBJECTS, Parameter

TEXT_UNITS, CAPTION_UNITS, CALLBACK_BYTES, CALLBACK_ANSWER_LETTERS = 4096, 1024, 64, 200
KEYBOARD_BUTTONS, KEYBOARD_ROW, COMMANDS, COMMAND_DESCRIPTION = 100, 8, 100, 256
PHOTO_BYTES, UPLOAD_BYTES = 10 * 1024 * 1024, 50 * 1024 * 1024
ID_BITS = 52
UPDATE_KINDS = frozenset((
    "message", "edited_message", "channel_post", "edited_channel_post", "business_connection", "business_message",
    "edited_business_message", "deleted_business_messages", "message_reaction", "message_reaction_count",
    "inline_query", "chosen_inline_result", "callback_query", "shipping_query", "pre_checkout_query",
    "purchased_paid_media", "poll", "poll_answer", "my_chat_member", "chat_member", "chat_join_request", "chat_boost",
    "removed_chat_boost",
))  # fmt: skip
CHAT_ACTIONS = frozenset((
    "typing", "upload_photo", "record_video", "upload_video", "record_voice", "upload_voice", "upload_document",
    "choose_sticker", "find_location", "record_video_note", "upload_video_note",
))  # fmt: skip
_INTEGER = re.compile(r"-?\d{1,19}\Z")
_COMMAND = re.compile(r"[a-z0-9_]{1,32}\Z")
_SECRET = re.compile(r"[A-Za-z0-9_-]{1,256}\Z")


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that came with a request."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Checked:
    """A request as typed values, and all that is wrong with it, the first fault first."""

    values: dict[str, Any]
    faults: tuple[str, ...]


def check(method: str, given: Mapping[str, Any], uploads: Mapping[str, Upload]) -> Checked:
    """Read and check the parameters of a known `method`; form values are strings, JSON values are typed already."""
    table = METHODS[method]
    values: dict[str, Any] = {}
    faults: list[str] = []
    for name, value in given.items():
        if name not in table:
            faults.append(f"Bad Request: unknown parameter {name}")
            continue
        read, fault = _read(value, table[name])
        faults += [f"Bad Request: {name}: {fault}"] if fault else []
        values[name] = read
    attached = {str(value).removeprefix("attach://") for value in given.values() if str(value).startswith("attach://")}
    for name, upload in uploads.items():
        if name in table and "InputFile" in table[name].kinds:
            values[name] = upload
        elif name not in attached:
            faults.append(f"Bad Request: unknown file {name}")
    faults += [f"Bad Request: {need.name} is missing" for need in table.values() if need.required and need.name not in values]
    if not faults:
        faults += _LIMITS.get(method, _no_limits)(values)
    return Checked(values, tuple(faults))


def _read(value: Any, parameter: Parameter) -> tuple[Any, str]:
    """The value as one of the parameter's kinds, and what is wrong with it."""
    fault = ""
    for kind in parameter.kinds:
        read = _decoded(value, kind)
        fault = _mismatch(read, kind)
        if not fault:
            return read, ""
    if len(parameter.kinds) > 1:
        fault = f"fits none of {', '.join(parameter.kinds)} ({fault})"
    return value, fault


def _decoded(value: Any, kind: str) -> Any:
    """A form value, which is a string, as what `kind` says it holds."""
    if not isinstance(value, str) or kind in {"String", "InputFile"}:
        return value
    if kind == "Integer":
        return int(value) if _INTEGER.match(value) else value
    if kind == "Boolean":
        return {"true": True, "false": False}.get(value, value)
    try:
        return json.loads(value)
    except ValueError:
        return value


def _mismatch(value: Any, kind: str) -> str:
    """Why `value` is not a `kind`, "" where it is one."""
    if kind.startswith("Array of "):
        if not isinstance(value, list):
            return "array expected"
        return next((fault for item in value if (fault := _mismatch(item, kind.removeprefix("Array of ")))), "")
    if kind in OBJECTS:
        return _object_mismatch(value, kind)
    plain: dict[str, type] = {"Integer": int, "String": str, "InputFile": str, "Boolean": bool, "Object": dict}
    if not isinstance(value, plain[kind]) or (kind == "Integer" and isinstance(value, bool)):
        return f"{kind} expected"
    if isinstance(value, int) and abs(value) >= 1 << 63:
        return "number out of range"
    return ""


def _object_mismatch(value: Any, kind: str) -> str:
    if not isinstance(value, dict):
        return f"{kind} object expected"
    fields = OBJECTS[kind]
    for name, item in value.items():
        if name not in fields:
            return f"unknown field {name} in {kind}"
        if all(_mismatch(item, one) for one in fields[name].kinds):
            return f"{name} in {kind}: {_mismatch(item, fields[name].kinds[0])}"
    return next((f"{name} is missing in {kind}" for name, field in fields.items() if field.required and name not in value), "")


def _no_limits(_: Mapping[str, Any]) -> list[str]:
    return []


def _chat(values: Mapping[str, Any]) -> list[str]:
    chat_id = values.get("chat_id")
    if isinstance(chat_id, int) and not 0 < abs(chat_id) < 1 << ID_BITS:
        return ["Bad Request: chat_id is out of range"]
    return []


def _words(values: Mapping[str, Any], field: str, entities_field: str, units: int) -> list[str]:
    """What is wrong with a text or a caption."""
    text, parse_mode, entities = values.get(field, ""), values.get("parse_mode", ""), values.get(entities_field, [])
    plain, fault = formatted(text, parse_mode)
    if fault:
        return [fault]
    if parse_mode and entities:
        return [f"Bad Request: parse_mode and {entities_field} are both given"]
    if field == "text" and not plain.strip():
        return ["Bad Request: message text is empty"]
    if utf16_length(plain) > units:
        return ["Bad Request: message is too long" if field == "text" else "Bad Request: message caption is too long"]
    if any(0xD800 <= ord(letter) <= 0xDFFF for letter in plain):
        return ["Bad Request: text must be encoded in UTF-8"]
    fault = misplaced(plain, entities)
    return [fault] if fault else []


def _keyboard(values: Mapping[str, Any]) -> list[str]:
    rows: Sequence[Sequence[Mapping[str, Any]]] = (values.get("reply_markup") or {}).get("inline_keyboard", ())
    faults = []
    if sum(map(len, rows)) > KEYBOARD_BUTTONS or any(len(row) > KEYBOARD_ROW for row in rows):
        faults.append("Bad Request: REPLY_MARKUP_TOO_LONG")
    if any(not row for row in rows):
        faults.append("Bad Request: a row of the keyboard is empty")
    for button in (button for row in rows for button in row):
        if not button["text"].strip():
            faults.append("Bad Request: text buttons are unallowed in the inline keyboard: text is empty")
        if len(button.keys() - {"text", "style", "icon_custom_emoji_id"}) != 1:
            faults.append("Bad Request: can't parse inline keyboard button: text buttons are unallowed in the inline keyboard")
        if "callback_data" in button and not 0 < len(button["callback_data"].encode()) <= CALLBACK_BYTES:
            faults.append("Bad Request: BUTTON_DATA_INVALID")
    return faults


def _message(values: Mapping[str, Any]) -> list[str]:
    return _chat(values) + _words(values, "text", "entities", TEXT_UNITS) + _keyboard(values)


def _file_message(field: str, most_bytes: int) -> Callable[[Mapping[str, Any]], list[str]]:
    def limits(values: Mapping[str, Any]) -> list[str]:
        faults = _chat(values) + _words(values, "caption", "caption_entities", CAPTION_UNITS) + _keyboard(values)
        upload = values[field]
        if isinstance(upload, Upload) and not upload.content:
            faults.append("Bad Request: file must be non-empty")
        if isinstance(upload, Upload) and len(upload.content) > most_bytes:
            faults.append("Bad Request: file is too big")
        return faults

    return limits


def _edit(values: Mapping[str, Any]) -> list[str]:
    if "inline_message_id" not in values and not {"chat_id", "message_id"} <= values.keys():
        return ["Bad Request: message identifier is not specified"]
    return _chat(values) + _keyboard(values)


def _edit_text(values: Mapping[str, Any]) -> list[str]:
    return _edit(values) + _words(values, "text", "entities", TEXT_UNITS)


def _callback_answer(values: Mapping[str, Any]) -> list[str]:
    return ["Bad Request: MESSAGE_TOO_LONG"] if len(values.get("text", "")) > CALLBACK_ANSWER_LETTERS else []


def _commands(values: Mapping[str, Any]) -> list[str]:
    commands = values["commands"]
    faults = ["Bad Request: BOT_COMMANDS_TOO_MUCH"] if len(commands) > COMMANDS else []
    faults += ["Bad Request: BOT_COMMAND_INVALID" for one in commands if not _COMMAND.match(one["command"])]
    faults += [
        "Bad Request: BOT_COMMAND_DESCRIPTION_INVALID"
        for one in commands
        if not 0 < utf16_length(one["description"]) <= COMMAND_DESCRIPTION
    ]
    return faults


def _update_kinds(values: Mapping[str, Any]) -> list[str]:
    return [f"Bad Request: unknown update type {kind}" for kind in values.get("allowed_updates", ()) if kind not in UPDATE_KINDS]


def _polling(values: Mapping[str, Any]) -> list[str]:
    faults = _update_kinds(values)
    if not 1 <= values.get("limit", 100) <= 100:
        faults.append("Bad Request: limit must be 1 to 100")
    if not 0 <= values.get("timeout", 0) <= 50:
        faults.append("Bad Request: timeout must be 0 to 50 s")
    return faults


def _webhook(values: Mapping[str, Any]) -> list[str]:
    faults = _update_kinds(values)
    if values["url"] and not values["url"].startswith(("https://", "http://127.0.0.1:")):
        faults.append("Bad Request: bad webhook: An HTTPS URL must be provided for webhook")
    if not 1 <= values.get("max_connections", 40) <= 100:
        faults.append("Bad Request: max_connections must be 1 to 100")
    if "secret_token" in values and not _SECRET.match(values["secret_token"]):
        faults.append("Bad Request: secret token contains unallowed characters")
    return faults


def _action(values: Mapping[str, Any]) -> list[str]:
    known = values["action"] in CHAT_ACTIONS
    return _chat(values) + ([] if known else ["Bad Request: wrong parameter action in request"])


_LIMITS: dict[str, Callable[[Mapping[str, Any]], list[str]]] = {
    "getUpdates": _polling,
    "sendMessage": _message,
    "sendPhoto": _file_message("photo", PHOTO_BYTES),
    "sendDocument": _file_message("document", UPLOAD_BYTES),
    "editMessageText": _edit_text,
    "editMessageReplyMarkup": _edit,
    "deleteMessage": _chat,
    "answerCallbackQuery": _callback_answer,
    "setMyCommands": _commands,
    "sendChatAction": _action,
    "setWebhook": _webhook,
}
