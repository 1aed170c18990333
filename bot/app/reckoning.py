"""`reckon NAME key=value …` as typed in a chat."""

from __future__ import annotations

import re

_KEY = re.compile(r"(?:^|\s)([A-Za-z][\w-]*)\s*=\s*")
_LINE = re.compile(r"/?reckon\b\s*(.*)", re.IGNORECASE | re.DOTALL)


def reckon_line(text: str) -> tuple[str, dict[str, str]] | None:
    """Return name and inputs of a chat line "reckon drying pot=9 …"; the name is empty where none is given, None for others."""
    match = _LINE.fullmatch(text.strip())
    if match is None:
        return None
    rest = match[1].strip()
    first = _KEY.search(rest)
    name = rest[: first.start()] if first else rest
    return name.strip(), _pairs(rest[first.start() :] if first else "")


def _pairs(text: str) -> dict[str, str]:
    found = list(_KEY.finditer(text))
    ends = [*(one.start() for one in found[1:]), len(text)][: len(found)]
    return {one[1]: text[one.end() : end].strip() for one, end in zip(found, ends, strict=True)}
