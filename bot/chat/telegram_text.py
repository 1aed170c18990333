"""Answers as Telegram takes them: texts in parts that are short enough, buttons with data that outlives a restart."""

from __future__ import annotations

import re

from telegram import InlineKeyboardButton, InlineKeyboardMarkup

from bot.messages import Outgoing

TEXT_UNITS = 4096  # of UTF-16, in one message
_DATA = re.compile(r"v1:(\d{1,19}):(\d{1,3})\Z")
_LONE_SURROGATE = re.compile("[\ud800-\udfff]")


def units(text: str) -> int:
    """How many UTF-16 units a text takes."""
    return len(text) + sum(letter > "\uffff" for letter in text)


def parts(text: str, most_units: int = TEXT_UNITS) -> list[str]:
    """The text in parts of at most `most_units` UTF-16 units, cut between lines, else between words, else between letters.

    A part is never blank; a text without a visible letter has no parts. What cannot be encoded becomes U+FFFD.
    """
    rest = _LONE_SURROGATE.sub("\N{REPLACEMENT CHARACTER}", text).strip()
    found = []
    while rest:
        cut = _cut(rest, most_units)
        found.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip("\n") if rest[cut : cut + 1] == "\n" else rest[cut:].lstrip()
    return found


def _cut(text: str, most_units: int) -> int:
    """Where to cut: the whole text where it fits."""
    if units(text) <= most_units:
        return len(text)
    fits, used = 0, 0
    while used + units(text[fits]) <= most_units:
        used += units(text[fits])
        fits += 1
    for seam in ("\n", " "):
        cut = text.rfind(seam, 1, fits + 1)
        if cut > 0:
            return cut
    return fits


def keyboard(outbox_id: int, message: Outgoing) -> InlineKeyboardMarkup | None:
    """The buttons of a message, each with data that names the message's row and the button's number in it."""
    number = 0
    rows = []
    for line in message.buttons:
        row = []
        for button in line:
            row.append(InlineKeyboardButton(button.label, callback_data=f"v1:{outbox_id}:{number}"))
            number += 1
        if row:
            rows.append(row)
    return InlineKeyboardMarkup(rows) if rows else None


def pressed(data: str) -> tuple[int, int] | None:
    """The row and the number that the data of a button name, or None for data that is not ours."""
    match = _DATA.match(data)
    return (int(match[1]), int(match[2])) if match else None


def words_of(message: Outgoing, number: int) -> str | None:
    """What pressing the button of this number says, or None where the message has no such button."""
    buttons = [button for line in message.buttons for button in line]
    return buttons[number].words if number < len(buttons) else None
