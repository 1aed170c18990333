"""Labels as growers write them in a row: "214 215 216", "214 to 219", "K-17 to K-20", "12a and 12b"; kept as they are written."""

from __future__ import annotations

import re

from bot.care.standing import Standing

MOST = 300  # a slip of the finger must not make a thousand plants
_ONE = r"(?:[A-Za-z]{1,4}[-./ ]?)?\d{1,6}(?:[-./]\d{1,4})?[A-Za-z]?"
LABELS = rf"{_ONE}(?:(?:,? and |, ?| to | - | till | through | & | |-){_ONE})*"
_END = r"[A-Za-z]{0,4}[-./]?\d+"
_RANGE = re.compile(rf"(?P<first>{_END}) ?(?:-| to | till | through ) ?(?P<last>{_END})", re.IGNORECASE)
_PARTED = re.compile(r"(?P<stem>.*?)(?P<number>\d+)(?P<tail>[A-Za-z]?)")


def labels_of(text: str) -> tuple[str, ...]:
    """Return the labels that a row of them names, each once; empty where a range cannot be."""
    found: list[str] = []
    for part in re.split(r",? and |, ?| & ", text.strip()):
        words = [part] if re.search(r" (?:to|till|through|-) ", part, re.IGNORECASE) else part.split(" ")
        for word in words:
            span = _RANGE.fullmatch(word)
            some = _span(span["first"], span["last"]) if span else (word,)
            if not some:
                return ()
            found += some
    return tuple(dict.fromkeys(found)) if len(found) <= MOST else ()


def _span(first: str, last: str) -> tuple[str, ...]:
    """Return the labels from one to another; "K-17" is one label and no range from K to 17."""
    begin, end = _PARTED.fullmatch(first), _PARTED.fullmatch(last)
    if begin is None or end is None:
        return (f"{first}-{last}",)
    stem = begin["stem"]
    if end["stem"] not in ("", stem) or int(end["number"]) < int(begin["number"]) or begin["tail"]:
        return ()
    many = int(end["number"]) - int(begin["number"]) + 1
    return tuple(run_from(first, many)) if many <= MOST else ()


def run_from(first: str, count: int) -> list[str]:
    """Return so many labels from one on: 214, 215, or K-17, K-18; "017" keeps its noughts."""
    parted = _PARTED.fullmatch(first)
    if parted is None:
        return [first]
    start, width = int(parted["number"]), len(parted["number"])
    return [f"{parted['stem']}{start + step:0{width}d}{parted['tail']}" for step in range(count)]


def clear_run(standing: Standing, count: int, like: str = "") -> list[str]:
    """Return so many labels that no plant has: after the highest number in use of that stem."""
    stem = (_PARTED.fullmatch(like) or {"stem": ""})["stem"] if like else ""
    used = [
        int(parted["number"])
        for key in (*(key for kind, key in standing.things if kind == "plant"), *standing.merged)
        if (parted := _PARTED.fullmatch(key)) is not None and parted["stem"].casefold() == stem.casefold()
    ]
    return run_from(f"{stem}{max(used, default=0) + 1}", count)
