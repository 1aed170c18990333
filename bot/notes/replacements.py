"""The shortest corrections: "not 14, 15", "no sorry mites"."""

from __future__ import annotations

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import Entry, Selection
from bot.notes.talk import Talk

ROWS = {name: frozenset(listed("terse")[name]) for name in ("mistyped", "put_right", "it_was")}
BREAK, NAMED = "break", "label"
SLIPS = ROWS["mistyped"] | ROWS["it_was"]
FILLING = frozenset(("stop", "pron", "light", "q", "det", BREAK, "comma", "sep", "plan", "counter", "word", "act", "idiom"))


def mistyped(words: list[str], talk: Talk) -> bool:
    """Read "i put 6 but there were 8", "wrote bench 1, should be bench 2" as the value that was meant."""
    verb = next((n for n in range(min(3, len(words))) if words[n] in ROWS["mistyped"]), None)
    low = f" {' '.join(words)} "
    if verb is None or any(word not in LEADING for word in words[:verb]) or len(words) > LONGEST_SLIP:
        return False
    values = [one for one in talk.items if one.family not in FILLING]
    if len(values) != 2 or values[0].family != values[1].family:
        return False
    between = talk.text[values[0].end : values[1].start].lower()
    last = values[1].end >= len(talk.text.rstrip(" .!"))
    turned = any(f" {turn} " in f" {between.replace(',', ' ')} " for turn in ROWS["put_right"])
    fix = _meant(values[1]) if last and turned and " not " not in low else None
    if fix is not None:
        talk.add(fix, (0, len(talk.text)))
    return fix is not None


LEADING = frozenset(listed("correcting")["filler"]) | frozenset(listed("terse")["_mine"])
LONGEST_SLIP = 12  # words; whoever says more tells a story


def _meant(one: Item) -> Entry | None:
    """Return the fix that puts a number or a name in the place of another."""
    if one.family == "number" and one.meaning in ("digits", "word"):
        return Entry("fix", what="count", to=int(one.value)) if float(one.value).is_integer() else None
    if one.family == "number" and one.meaning == NAMED:
        return Entry("fix", what="which", to=Selection(labels=(str(int(one.value)),)))
    if one.family == "place":
        return Entry("fix", what="which", to=Selection(places=(one.meaning,)))
    return Entry("fix", what="which", to=Selection(nicknames=(one.meaning,))) if one.family == "nickname" else None


def other_one(words: list[str], talk: Talk) -> bool:
    """Read "it was not no. 88, it was no. 98", "that wasnt bench 1, it was bench 2" as the one that was meant."""
    items = [one for one in talk.items if one.family not in ("stop", "pron", "light", "q", BREAK)]
    like = [one.family for one in items]
    led = words[0] in ROWS["it_was"] and any(word in words[2:] for word in ROWS["it_was"])
    if not led or len(like) != 4 or like[0] != "neg" or like[2] not in ("comma", "sep") or like[1] != like[3]:
        return False
    day = talk.day(items[3].value, False) if like[3] == "date" else None
    fix = Entry("fix", what="when", to=day.on.isoformat()) if day is not None else _meant(items[3])
    if fix is not None:
        talk.add(fix, (0, len(talk.text)))
    return fix is not None


def other_number(_words: list[str], talk: Talk) -> bool:
    """Read "not 14, 15" as the plant that was meant."""
    families = [one.family for one in talk.items if one.family != BREAK]
    if families != ["neg", "number", "comma", "number"] or talk.items[0].low != "not":
        return False
    said = next(one.value for one in reversed(talk.items) if one.family == "number")
    talk.add(Entry("fix", what="which", to=Selection(labels=(str(int(said)),))), (0, len(talk.text)))
    return True


def other_day(_words: list[str], talk: Talk) -> bool:
    """Read "not tuesday, wednesday" as the day that was meant."""
    items = [one for one in talk.items if one.family != BREAK]
    if [one.family for one in items] != ["neg", "date", "comma", "date"] or items[0].low != "not":
        return False
    day = talk.day(items[-1].value, False)
    if day is None:
        return False
    talk.add(Entry("fix", what="when", to=day.on.isoformat()), (0, len(talk.text)))
    return True


def other_place(_words: list[str], talk: Talk) -> bool:
    """Read "not bench 1, bench 2" as the place that was meant."""
    items = [one for one in talk.items if one.family != BREAK]
    if len(items) > 4 and items[0].means("neg", "no"):
        items = items[1:]  # "no not tray 2, tray 3"
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
