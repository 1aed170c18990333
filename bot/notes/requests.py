"""What a note asks the bot to do other than log: done 3, later 3 by a week, call 203 teacup, set latitude 51, share."""

from __future__ import annotations

from datetime import date, timedelta

from bot.notes.amounts import Amount
from bot.notes.clauses import flow, is_phrase
from bot.notes.items import Item
from bot.notes.reading import Entry, Selection
from bot.notes.subjects import Subjects
from bot.notes.talk import Talk

LISTED = {
    "done": "done", "did": "done", "later": "later", "postpone": "later", "snooze": "later", "drop": "drop", "why": "why", "skip": "drop", "dismiss": "drop",
    "tick": "done", "finished": "done", "delay": "later", "defer": "later", "ditch": "drop", "explain": "why",
}  # fmt: skip
SETTINGS = frozenset("latitude zone timezone tz morning time normals units date order language hemisphere coldest floor name dates temperature temperatures evening longitude location lat quarantine".split())


def read(words: list[str], talk: Talk) -> bool:
    """Write the request a note makes; False where it makes none."""
    for rule in (_listed, _teach, _set, _plain):
        entry = rule(words, talk)
        if entry is not None:
            talk.add(entry, (0, len(talk.text)))
            talk.rules.append(f"request: {entry.do}")
            return True
    return False


def _numbers(items: list[Item]) -> tuple[int, ...] | None:
    """Return the numbers of a due list where nothing else is said; None where other words stand among them."""
    out: list[int] = []
    for one in items:
        if one.family == "number" and float(one.value).is_integer() and one.meaning != "signed":
            out.append(int(one.value))
        elif one.family == "range":
            out += range(one.value[0], min(one.value[1], one.value[0] + 60) + 1)
        elif one.family == "ratio":
            out += [int(one.value[0]), int(one.value[1])]
        elif one.family in ("sep", "comma", "break", "query", "stop") or one.low in ("number", "no", "#", "is", "the", "both", "?"):
            continue
        else:
            return None
    return tuple(out)


def _listed(words: list[str], talk: Talk) -> Entry | None:
    do = LISTED.get(words[0])
    if do is None or len(words) < 2:
        return None
    items = talk.items[1:]
    if talk.items[0].low != words[0]:
        head_items = [one for one in talk.items if one.low.startswith(words[0] + " ")]
        if not head_items:
            return None
    if do == "later":
        return _later(items, talk)
    numbers = _numbers(items)
    if numbers and words[0] != "did" and max(numbers) < 100:
        return Entry("request", do=do, numbers=numbers)
    return None


def _later(items: list[Item], talk: Talk) -> Entry | None:
    numbers: list[int] = []
    until: date | None = None
    for i, one in enumerate(items):
        if one.family == "date":
            found = talk.day(one.value, True)
            until = found.on if found else None
        elif one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "days":
            until = talk.today + timedelta(days=round(one.value.value))
        elif one.family == "number" and until is None and not (i and items[i - 1].low in ("by", "till", "until")):
            numbers.append(int(one.value))
        elif one.family == "range":
            numbers += range(one.value[0], one.value[1] + 1)
        elif one.family not in ("sep", "comma", "till", "prep", "stop", "break", "pron", "det", "word"):
            return None
    if not numbers or max(numbers) > 99:
        return None
    return Entry("request", do="later", numbers=tuple(numbers), until=until)


def _teach(words: list[str], talk: Talk) -> Entry | None:
    """Read "call 203 teacup", "the sick bay is the porch shelf"."""
    if words[0] in ("call", "name", "nickname") and len(words) >= 3:
        elements = flow(talk.items[1:], Subjects(talk.items[1:], talk.names, talk.text))
        first = elements[0] if elements else None
        if first is not None and is_phrase(first):
            rest = talk.text[first.end :].strip(" .,:\"'")
            rest = rest.removeprefix("as ").removeprefix("the name ")
            fields = dict(first.fields)
            if rest:
                return Entry("request", do="teach", which=Selection(**fields) if fields else None, to=rest, text=talk.text.strip())
    if "is" in words and 1 <= words.index("is") <= 5 and len(words) - words.index("is") <= 6 and "?" not in words:
        i = words.index("is")
        left, right = " ".join(words[:i]), " ".join(words[i + 1 :])
        place = _place(right, talk)
        known = talk.names.place(left)
        if place is not None and left.startswith(("the ", "my ", "our ")) and (known.lower() not in talk.names.places or left.removeprefix("the ") in ("sick bay",)) and not any(one.family in ("taxon", "nickname", "number", "kind", "lot", "sowing") for one in talk.items[:3]):
            if not any(word in ("one", "ones", "plant", "plants", "pot", "pots") for word in words[:i]):
                return Entry("request", do="teach", which=Selection(places=(place,)), to=left.removeprefix("the ").removeprefix("my "), text=talk.text.strip())
    return None


def _place(said: str, talk: Talk) -> str | None:
    low = said.removeprefix("the ").removeprefix("my ").strip(" .")
    if low in talk.names.places:
        return talk.names.places[low]
    nouns = ("shelf", "bench", "sill", "frame", "tray", "greenhouse", "porch", "room", "cupboard", "windowsill", "house", "staging", "table", "rack", "conservatory", "tunnel", "shed")
    return low if low.split() and (low.split()[-1] in nouns or (len(low.split()) > 1 and low.split()[-2] in nouns)) else None


def _set(words: list[str], talk: Talk) -> Entry | None:
    if words[0] in ("set", "change") and len(words) > 2 and any(word in SETTINGS for word in words[1:4]):
        return Entry("request", do="set", text=talk.text.strip())
    if words[0] == "my" and len(words) > 3 and any(w in ("is", "=", "are") for w in words) and any(word in SETTINGS | {"coldest", "night", "latitude", "zone"} for word in words[1:4]):
        return Entry("request", do="set", text=talk.text.strip())
    if words[0] in ("latitude", "zone", "timezone") and len(words) >= 2:
        return Entry("request", do="set", text=talk.text.strip())
    return None


def _plain(words: list[str], talk: Talk) -> Entry | None:
    first, second = words[0], words[1] if len(words) > 1 else ""
    text = talk.text.strip()
    low = " ".join(words)
    if first in ("away", "im", "i'm", "on", "off", "going", "gone", "holiday", "back") and ("away" in words[:4] or "holiday" in words[:4] or "holidays" in words[:4]):
        day = [one for one in talk.items if one.family == "date"]
        until = None
        if day:
            found = talk.day(day[-1].value, True)
            until = (found.last if day[-1].value.kind in ("week",) and found and found.last else found.on) if found else None
        else:
            amount = next((one for one in talk.items if one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "days"), None)
            until = talk.today + timedelta(days=round(amount.value.value)) if amount else None
        return Entry("request", do="away", until=until, text=text)
    if first == "share" or low.startswith(("send my list", "share my", "share the", "send the swap list", "publish my", "let ")) and "see" in words or first == "share":
        person = next((one.meaning for one in talk.items if one.family == "person"), None)
        return Entry("request", do="share", to=person, text=text)
    if first in ("revoke", "unshare") or low.startswith(("stop sharing", "take down the list", "stop the share", "close the share")):
        return Entry("request", do="revoke", text=text)
    if first == "export" or low.startswith(("send me my data", "download my", "dump my", "back up my", "send me the data", "give me a csv", "send me a csv")):
        return Entry("request", do="export", text=text)
    if (first in ("print", "make") and "labels" in words) or low.startswith(("labels for", "label sheet")):
        return Entry("request", do="labels", which=_set_of(talk), text=text)
    if first in ("plot", "draw", "chart", "graph") or (first == "show" and second in ("picture", "graph", "plot", "chart")) or low.startswith(("picture of the", "show me a graph", "show me a plot", "show me the graph", "show me a picture", "show a picture")):
        return Entry("request", do="picture", which=_set_of(talk), text=text)
    return None


def _set_of(talk: Talk) -> Selection | None:
    phrase = next((one for one in flow(talk.items, Subjects(talk.items, talk.names, talk.text)) if is_phrase(one)), None)
    return phrase.selection() if phrase else None
