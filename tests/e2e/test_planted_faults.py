"""Faults planted in requests are caught, each of them, and a good request is let through."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from .loopback.front import read_form
from .loopback.methods import METHODS, OBJECTS
from .loopback.validator import Upload, check

_GOOD: dict[str, dict[str, Any]] = {
    "sendMessage": {"chat_id": "4242", "text": "Watered 4."},
    "editMessageText": {"chat_id": "4242", "message_id": "7", "text": "Watered 5."},
    "answerCallbackQuery": {"callback_query_id": "1"},
    "setMyCommands": {"commands": json.dumps([{"command": "due", "description": "what is due"}])},
    "getUpdates": {"offset": "5", "timeout": "50", "allowed_updates": '["message","edited_message","callback_query"]'},
    "setWebhook": {"url": "https://bench.example/hook", "secret_token": "a-b_C9"},
    "sendChatAction": {"chat_id": "-1001234", "action": "typing"},
    "sendDocument": {"chat_id": "4242", "document": "file-1"},
}


def _keyboard(*rows: list[dict[str, Any]]) -> str:
    return json.dumps({"inline_keyboard": rows})


def _entity(kind: str, offset: int, length: int) -> dict[str, Any]:
    return {"type": kind, "offset": offset, "length": length}


_FAULTS = [
    ("sendMessage", {"chat_id": None}, "chat_id is missing"),
    ("sendMessage", {"text": None}, "text is missing"),
    ("sendMessage", {"text": " \n"}, "message text is empty"),
    ("sendMessage", {"text": "x" * 4097}, "message is too long"),
    ("sendMessage", {"text": "\U0001f335" * 2049}, "message is too long"),
    ("sendMessage", {"chat": "4242"}, "unknown parameter chat"),
    ("sendMessage", {"reply_to_message_id": "3"}, "unknown parameter reply_to_message_id"),
    ("sendMessage", {"disable_notification": "yes"}, "Boolean expected"),
    ("sendMessage", {"chat_id": str(1 << 60)}, "chat_id is out of range"),
    ("sendMessage", {"reply_parameters": "{}"}, "message_id is missing in ReplyParameters"),
    ("sendMessage", {"reply_parameters": "3"}, "ReplyParameters object expected"),
    ("sendMessage", {"reply_markup": _keyboard([{"text": "undo", "callback_data": "x" * 65}])}, "BUTTON_DATA_INVALID"),
    ("sendMessage", {"reply_markup": _keyboard([{"text": "undo", "callback_data": ""}])}, "BUTTON_DATA_INVALID"),
    ("sendMessage", {"reply_markup": _keyboard([{"text": "undo"}])}, "text buttons are unallowed"),
    ("sendMessage", {"reply_markup": _keyboard([{"callback_data": "1"}])}, "fits none of"),
    ("sendMessage", {"reply_markup": _keyboard([{"text": "a", "callback_data": "1"}] * 9)}, "REPLY_MARKUP_TOO_LONG"),
    ("sendMessage", {"reply_markup": _keyboard(*[[{"text": "a", "callback_data": "1"}]] * 101)}, "REPLY_MARKUP_TOO_LONG"),
    ("sendMessage", {"reply_markup": _keyboard([])}, "row of the keyboard is empty"),
    ("sendMessage", {"text": "<b>4", "parse_mode": "HTML"}, "can't parse entities: Can't find end tag"),
    ("sendMessage", {"text": "a < b", "parse_mode": "HTML"}, "can't parse entities: Unsupported start tag"),
    ("sendMessage", {"text": "<b><i>4</b></i>", "parse_mode": "HTML"}, "can't parse entities: Unmatched end tag"),
    ("sendMessage", {"text": "*4", "parse_mode": "MarkdownV2"}, "can't parse entities: Can't find end of Bold entity"),
    ("sendMessage", {"text": "4.", "parse_mode": "MarkdownV2"}, "Character '.' is reserved"),
    ("sendMessage", {"text": "tray_3", "parse_mode": "Markdown"}, "can't parse entities: Can't find end of the entity"),
    ("sendMessage", {"text": "4", "parse_mode": "BBCode"}, "unsupported parse_mode"),
    ("sendMessage", {"entities": json.dumps([_entity("bold", 5, 20)])}, "ends after the end of the text"),
    ("sendMessage", {"text": "\U0001f335\U0001f335", "entities": json.dumps([_entity("bold", 1, 2)])}, "cuts a surrogate pair"),
    ("sendMessage", {"entities": json.dumps([_entity("bold", 0, 4), _entity("code", 2, 5)])}, "crosses another"),
    ("sendDocument", {"caption": "x" * 1025}, "message caption is too long"),
    ("sendDocument", {"document": None}, "document is missing"),
    ("editMessageText", {"message_id": None}, "message identifier is not specified"),
    ("editMessageText", {"message_id": "seven"}, "Integer expected"),
    ("answerCallbackQuery", {"text": "x" * 201}, "MESSAGE_TOO_LONG"),
    ("setMyCommands", {"commands": '[{"command": "Due", "description": "x"}]'}, "BOT_COMMAND_INVALID"),
    ("setMyCommands", {"commands": '[{"command": "due", "description": ""}]'}, "BOT_COMMAND_DESCRIPTION_INVALID"),
    ("setMyCommands", {"commands": "[{]"}, "array expected"),
    ("setMyCommands", {"commands": '[{"command": "due"}]'}, "description is missing in BotCommand"),
    ("getUpdates", {"timeout": "51"}, "timeout must be 0 to 50 s"),
    ("getUpdates", {"limit": "101"}, "limit must be 1 to 100"),
    ("getUpdates", {"allowed_updates": '["messages"]'}, "unknown update type messages"),
    ("setWebhook", {"url": "http://bench.example"}, "An HTTPS URL must be provided for webhook"),
    ("setWebhook", {"secret_token": "with space"}, "secret token contains unallowed characters"),
    ("sendChatAction", {"action": "watering"}, "wrong parameter action in request"),
]


@pytest.mark.parametrize(("method", "change", "words"), _FAULTS)
def test_a_planted_fault_is_caught(method: str, change: dict[str, Any], words: str) -> None:
    given = {name: value for name, value in (_GOOD[method] | change).items() if value is not None}
    faults = check(method, given, {}).faults
    assert faults
    assert words in faults[0]


@pytest.mark.parametrize("method", _GOOD)
def test_a_good_request_passes(method: str) -> None:
    assert check(method, _GOOD[method], {}).faults == ()


@pytest.mark.parametrize(
    "change",
    [
        {"text": "x" * 4096},
        {"text": "\U0001f335" * 2048},
        {"text": "<b>" + "x" * 4096 + "</b>", "parse_mode": "HTML"},
        {"reply_markup": _keyboard(*[[{"text": "a", "callback_data": "x" * 64}] * 8] * 12)},
        {"entities": json.dumps([_entity("bold", 0, 7), _entity("code", 2, 3)])},
    ],
)
def test_the_limits_themselves_pass(change: dict[str, Any]) -> None:
    assert check("sendMessage", _GOOD["sendMessage"] | change, {}).faults == ()


def test_files_are_checked_for_size_and_place() -> None:
    good = {"chat_id": "4242"}
    assert check("sendPhoto", good, {"photo": Upload("a.jpg", b"x")}).faults == ()
    assert check("sendPhoto", good, {"photo": Upload("a.jpg", bytes(10 * 1024 * 1024 + 1))}).faults
    assert check("sendPhoto", good, {"photo": Upload("a.jpg", b"")}).faults
    assert "unknown file picture" in check("sendPhoto", good, {"picture": Upload("a.jpg", b"x")}).faults[0]


@pytest.mark.parametrize(
    ("content_type", "body"),
    [
        ("text/plain", b"chat_id=1"),
        ("application/json", b"{"),
        ("application/json", b"[]"),
        ("application/x-www-form-urlencoded", b"x"),
    ],
)
def test_a_body_that_is_no_form_is_refused(content_type: str, body: bytes) -> None:
    with pytest.raises(ValueError, match=r".+"):
        read_form(content_type, body)


@pytest.mark.skipif("BOT_API_SPECIFICATION" not in os.environ, reason="BOT_API_SPECIFICATION names no file")
def test_the_table_agrees_with_the_specification_where_one_is_at_hand() -> None:
    """Every method and object in the table has the fields, kinds and stars that the published specification gives."""
    specification = json.loads(Path(os.environ["BOT_API_SPECIFICATION"]).read_text("utf-8"))
    for section, table in (("methods", METHODS), ("types", OBJECTS)):
        for name, fields in table.items():
            if name == "BotCommandScope":  # a family of types there, one object here
                continue
            expected = {field["name"]: field for field in specification[section][name].get("fields", [])}
            assert fields.keys() == expected.keys(), name
            for field in fields.values():
                assert field.required == expected[field.name]["required"], (name, field.name)
                assert set(field.kinds) <= {*expected[field.name]["types"], "Object"}, (name, field.name)
