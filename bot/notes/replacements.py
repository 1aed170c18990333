"""The shortest corrections: "not 14, 15", "no sorry mites"."""

from __future__ import annotations

from bot.notes.reading import Entry, Selection
from bot.notes.talk import Talk


def other_number(_words: list[str], talk: Talk) -> bool:
    """Read "not 14, 15" as the plant that was meant."""
    families = [one.family for one in talk.items if one.family != "break"]
    if families != ["neg", "number", "comma", "number"] or talk.items[0].low != "not":
        return False
    said = next(one.value for one in reversed(talk.items) if one.family == "number")
    talk.add(Entry("fix", what="which", to=Selection(labels=(str(int(said)),))), (0, len(talk.text)))
    return True


def other_day(_words: list[str], talk: Talk) -> bool:
    """Read "not tuesday, wednesday" as the day that was meant."""
    items = [one for one in talk.items if one.family != "break"]
    if [one.family for one in items] != ["neg", "date", "comma", "date"] or items[0].low != "not":
        return False
    day = talk.day(items[-1].value, False)
    if day is None:
        return False
    talk.add(Entry("fix", what="when", to=day.on.isoformat()), (0, len(talk.text)))
    return True


def other_place(_words: list[str], talk: Talk) -> bool:
    """Read "not bench 1, bench 2" as the place that was meant."""
    items = [one for one in talk.items if one.family != "break"]
    if [one.family for one in items] != ["neg", "place", "comma", "place"] or items[0].low != "not":
        return False
    talk.add(Entry("fix", what="which", to=Selection(places=(items[-1].meaning,))), (0, len(talk.text)))
    return True


def other_sign(words: list[str], talk: Talk) -> bool:
    """Ask where a bare sign behind "no sorry" may correct the one before, or say that there is none."""
    signs = [one for one in talk.items if one.family == "sign"]
    if len(words) > 4 or words[0] != "no" or words[1:2] not in (["sorry"], ["wait"], ["oops"]) or len(signs) != 1:
        return False
    talk.remark(talk.text, (0, len(talk.text)))
    talk.ask("sign", "it may correct the sign before", hard=True)
    return True
