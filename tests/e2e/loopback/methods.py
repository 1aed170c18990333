"""The Bot API methods that the tests' server answers, and the parameters each may carry.

Written by hand from the public documentation of the Bot API (version 10.1). A star marks what must be there. The kinds
are `Integer`, `String`, `Boolean`, `InputFile`, the names in `OBJECTS`, `Array of ...`, and alternatives with `or`.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter of a method, or one field of an object."""

    name: str
    kinds: tuple[str, ...]
    required: bool


def _parameters(text: str) -> dict[str, Parameter]:
    """The parameters named in `name*: Kind or Kind, name: Kind`."""
    table = {}
    for part in text.replace("\n", " ").split(","):
        name, _, kinds = part.strip().partition(":")
        if name:
            bare = name.rstrip("*")
            table[bare] = Parameter(bare, tuple(kind.strip() for kind in kinds.split(" or ")), name.endswith("*"))
    return table


_ADDRESSED = """business_connection_id: String, chat_id*: Integer or String, message_thread_id: Integer,
    direct_messages_topic_id: Integer, disable_notification: Boolean, protect_content: Boolean,
    allow_paid_broadcast: Boolean, message_effect_id: String, suggested_post_parameters: Object,
    reply_parameters: ReplyParameters, parse_mode: String,
    reply_markup: InlineKeyboardMarkup or ReplyKeyboardMarkup or ReplyKeyboardRemove or ForceReply,"""
_EDITED = """business_connection_id: String, chat_id: Integer or String, message_id: Integer, inline_message_id: String,
    reply_markup: InlineKeyboardMarkup,"""

METHODS: dict[str, dict[str, Parameter]] = {
    "getMe": {},
    "getUpdates": _parameters("offset: Integer, limit: Integer, timeout: Integer, allowed_updates: Array of String"),
    "sendMessage": _parameters(
        _ADDRESSED + "text*: String, entities: Array of MessageEntity, link_preview_options: LinkPreviewOptions"
    ),
    "sendPhoto": _parameters(
        _ADDRESSED + "photo*: InputFile or String, caption: String, caption_entities: Array of MessageEntity,"
        "show_caption_above_media: Boolean, has_spoiler: Boolean"
    ),
    "sendDocument": _parameters(
        _ADDRESSED + "document*: InputFile or String, thumbnail: InputFile or String, caption: String,"
        "caption_entities: Array of MessageEntity, disable_content_type_detection: Boolean"
    ),
    "editMessageText": _parameters(
        _EDITED + "text: String, parse_mode: String, entities: Array of MessageEntity,"
        "link_preview_options: LinkPreviewOptions, rich_message: Object"
    ),
    "editMessageReplyMarkup": _parameters(_EDITED),
    "deleteMessage": _parameters("chat_id*: Integer or String, message_id*: Integer"),
    "answerCallbackQuery": _parameters(
        "callback_query_id*: String, text: String, show_alert: Boolean, url: String, cache_time: Integer"
    ),
    "setMyCommands": _parameters("commands*: Array of BotCommand, scope: BotCommandScope, language_code: String"),
    "getMyCommands": _parameters("scope: BotCommandScope, language_code: String"),
    "deleteMyCommands": _parameters("scope: BotCommandScope, language_code: String"),
    "sendChatAction": _parameters(
        "business_connection_id: String, chat_id*: Integer or String, message_thread_id: Integer, action*: String"
    ),
    "getFile": _parameters("file_id*: String"),
    "setWebhook": _parameters(
        "url*: String, certificate: InputFile, ip_address: String, max_connections: Integer,"
        "allowed_updates: Array of String, drop_pending_updates: Boolean, secret_token: String"
    ),
    "deleteWebhook": _parameters("drop_pending_updates: Boolean"),
    "getWebhookInfo": {},
}

OBJECTS: dict[str, dict[str, Parameter]] = {
    "InlineKeyboardMarkup": _parameters("inline_keyboard*: Array of Array of InlineKeyboardButton"),
    "InlineKeyboardButton": _parameters(
        "text*: String, icon_custom_emoji_id: String, style: String, url: String, callback_data: String, web_app: Object,"
        "login_url: Object, switch_inline_query: String, switch_inline_query_current_chat: String,"
        "switch_inline_query_chosen_chat: Object, copy_text: Object, callback_game: Object, pay: Boolean"
    ),
    "ReplyKeyboardMarkup": _parameters(
        "keyboard*: Array of Array of KeyboardButton, is_persistent: Boolean, resize_keyboard: Boolean,"
        "one_time_keyboard: Boolean, input_field_placeholder: String, selective: Boolean"
    ),
    "KeyboardButton": _parameters(
        "text*: String, icon_custom_emoji_id: String, style: String, request_users: Object, request_chat: Object,"
        "request_managed_bot: Object, request_contact: Boolean, request_location: Boolean, request_poll: Object,"
        "web_app: Object"
    ),
    "ReplyKeyboardRemove": _parameters("remove_keyboard*: Boolean, selective: Boolean"),
    "ForceReply": _parameters("force_reply*: Boolean, input_field_placeholder: String, selective: Boolean"),
    "ReplyParameters": _parameters(
        "message_id*: Integer, chat_id: Integer or String, allow_sending_without_reply: Boolean, quote: String,"
        "quote_parse_mode: String, quote_entities: Array of MessageEntity, quote_position: Integer,"
        "checklist_task_id: Integer, poll_option_id: String"
    ),
    "LinkPreviewOptions": _parameters(
        "is_disabled: Boolean, url: String, prefer_small_media: Boolean, prefer_large_media: Boolean,show_above_text: Boolean"
    ),
    "MessageEntity": _parameters(
        "type*: String, offset*: Integer, length*: Integer, url: String, user: Object, language: String,"
        "custom_emoji_id: String, unix_time: Integer, date_time_format: String"
    ),
    "BotCommand": _parameters("command*: String, description*: String"),
    "BotCommandScope": _parameters("type*: String, chat_id: Integer or String, user_id: Integer"),
}
