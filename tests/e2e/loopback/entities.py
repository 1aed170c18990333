"""The text that stays after the marks of formatting are read, and what is wrong with them.

Lengths count as the Bot API counts them: UTF-16 units.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping, Sequence
from typing import Any

_HTML_TAGS = frozenset(
    (
        "b",
        "strong",
        "i",
        "em",
        "u",
        "ins",
        "s",
        "strike",
        "del",
        "code",
        "pre",
        "a",
        "span",
        "tg-spoiler",
        "blockquote",
        "tg-emoji",
    )
)
_TAG = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9-]*)([^<>]*)>")
_MARKDOWN_MARKS = ("```", "||", "__", "*", "_", "~", "`")
_MARKDOWN_NAMES = dict(
    zip(_MARKDOWN_MARKS, ("Pre", "Spoiler", "Underline", "Bold", "Italic", "Strikethrough", "Code"), strict=True)
)
_MARKDOWN_RESERVED = frozenset("#+-={}.!()>[]|")


def utf16_length(text: str) -> int:
    """How many UTF-16 units `text` takes."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def formatted(text: str, parse_mode: str) -> tuple[str, str]:
    """The text without its marks, and the server's complaint ("" where they balance)."""
    if not parse_mode:
        return text, ""
    mode = parse_mode.lower()
    if mode == "html":
        return _read_html(text)
    if mode in {"markdownv2", "markdown"}:
        return _read_markdown(text, strict=mode == "markdownv2")
    return text, "Bad Request: unsupported parse_mode"


def _offset(text: str, index: int) -> int:
    return len(text[:index].encode("utf-8"))


def _read_html(text: str) -> tuple[str, str]:
    plain, open_tags, at = [], list[str](), 0
    while at < len(text):
        if text[at] != "<":
            end = text.find("<", at)
            end = len(text) if end < 0 else end
            plain.append(html.unescape(text[at:end]))
            at = end
            continue
        tag = _TAG.match(text, at)
        if tag is None or tag[2].lower() not in _HTML_TAGS:
            name = tag[2] if tag else ""
            return "", f'Bad Request: can\'t parse entities: Unsupported start tag "{name}" at byte offset {_offset(text, at)}'
        if tag[1] and (not open_tags or open_tags.pop() != tag[2].lower()):
            return "", f"Bad Request: can't parse entities: Unmatched end tag at byte offset {_offset(text, at)}"
        if not tag[1]:
            open_tags.append(tag[2].lower())
        at = tag.end()
    if open_tags:
        return "", f"Bad Request: can't parse entities: Can't find end tag corresponding to start tag \"{open_tags[-1]}\""
    return "".join(plain), ""


def _read_markdown(text: str, *, strict: bool) -> tuple[str, str]:
    plain, open_marks, at = [], list[tuple[str, int]](), 0
    while at < len(text):
        if text[at] == "\\" and at + 1 < len(text):
            plain.append(text[at + 1])
            at += 2
            continue
        mark = next((mark for mark in _MARKDOWN_MARKS if text.startswith(mark, at)), "")
        if mark:
            if open_marks and open_marks[-1][0] == mark:
                open_marks.pop()
            else:
                open_marks.append((mark, at))
            at += len(mark)
            continue
        if strict and text[at] in _MARKDOWN_RESERVED:
            return "", (
                f"Bad Request: can't parse entities: Character '{text[at]}' is reserved and must be escaped "
                "with the preceding '\\'"
            )
        plain.append(text[at])
        at += 1
    if open_marks:
        mark, start = open_marks[0]
        found = f"{_MARKDOWN_NAMES[mark]} entity" if strict else "the entity starting"
        return "", f"Bad Request: can't parse entities: Can't find end of {found} at byte offset {_offset(text, start)}"
    return "".join(plain), ""


def misplaced(text: str, entities: Sequence[Mapping[str, Any]]) -> str:
    """What is wrong with entities given by offset and length, "" where nothing is."""
    length = utf16_length(text)
    inside_pair = _low_surrogates(text)
    spans = []
    for entity in entities:
        start, end = entity["offset"], entity["offset"] + entity["length"]
        if start < 0 or end <= start or end > length:
            return f"Bad Request: entity beginning at UTF-16 offset {start} ends after the end of the text"
        if start in inside_pair or end in inside_pair:
            return f"Bad Request: entity at UTF-16 offset {start} cuts a surrogate pair"
        spans.append((start, end))
    for start, end in spans:
        if any(start < other < end < other_end for other, other_end in spans):
            return f"Bad Request: entity at UTF-16 offset {start} crosses another"
    return ""


def _low_surrogates(text: str) -> frozenset[int]:
    """The UTF-16 offsets that lie inside a surrogate pair."""
    found, at = set[int](), 0
    for letter in text:
        if ord(letter) > 0xFFFF:
            found.add(at + 1)
            at += 1
        at += 1
    return frozenset(found)
