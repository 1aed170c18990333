"""How a note was read, for a person: its words as the reader takes them, the rules that fired, what came of it, why it asks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from bot.notes.items import Item
from bot.notes.reading import Reading
from bot.notes.render import entry_line
from bot.notes.talk import Talk

Unsettled = Mapping[
    tuple[int, int], tuple[str, str]
]  # class and meaning of each word before its neighbours were looked at, by where


def explanation(talk: Talk, reading: Reading, unsettled: Unsettled) -> str:
    """Return the lines that explain a reading; `unsettled` is what its words meant by themselves."""
    lines = [
        "words:",
        *(f"  {_word(one, unsettled[where], talk.text)}" for one in talk.items if (where := (one.start, one.end)) in unsettled),
    ]
    patterns = [f"pattern of the clause: {one.type} {one.act or one.sign or one.what or ''}".strip() for one in reading.entries]
    lines += ["rules:", *(f"  {rule}" for rule in talk.rules or patterns)]
    lines += ["entries:"]
    for one in reading.entries:
        lines.append(f"  {talk.text[slice(*one.span)].strip()!r} -> {entry_line(one)}")
    lines.append(f"decision: {reading.decision}" + (f", asks {reading.ask}" if reading.ask else ""))
    lines += [f"  because: {one}" for one in _reasons(talk)]
    return "\n".join(lines)


def _word(one: Item, before: tuple[str, str], text: str) -> str:
    typed = text[one.start : one.end].lower()
    put_right = typed.replace(" ", "") != one.low.replace(" ", "")
    said = f"{typed!r} read as {one.low!r}" if put_right else f"{one.low!r}"
    settled = before != (one.family, one.meaning)
    return f"{said}: {before[0]} {before[1]}" + (f", by its neighbours {one.family} {one.meaning}" if settled else "")


def _reasons(talk: Talk) -> Iterable[str]:
    """Return why it asks, each reason once."""
    return dict.fromkeys(
        f"{why} ({topic})" + (", nothing is written before" if kind == "ask" else "") for kind, topic, why in talk.asks
    )
