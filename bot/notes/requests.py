"""What a note asks the bot to do other than log: done 3, later 3 by a week, call 203 teacup, set latitude 51, share."""

from __future__ import annotations

from datetime import date
from functools import cache

from bot.notes.amounts import Amount
from bot.notes.clauses import flow
from bot.notes.heads import LEAST_LABEL, Phrase
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.lexicon import word_lists
from bot.notes.reading import Entry, Selection
from bot.notes.subjects import Subjects
from bot.notes.talk import Talk

LISTED = {
    "done": "done", "later": "later", "postpone": "later", "snooze": "later", "drop": "drop", "why": "why",
    "skip": "drop", "dismiss": "drop",
    "tick": "done", "finished": "done", "delay": "later", "defer": "later", "ditch": "drop", "explain": "why",
}  # fmt: skip
SETTINGS = frozenset(
    """
        fahrenheit celsius units inches metric imperial latitude zone timezone tz morning time normals units
        date order language hemisphere coldest floor name dates temperature temperatures evening longitude
        location lat quarantine
    """.split()
)


POLITE = frozenset(listed("spoken")["polite"]) | {","}
_POLITE_FIRST = frozenset(word for one in POLITE for word in one.split())
VERBS = frozenset(listed("spoken")["asking"])
OF_THE_LIST = frozenset(listed("spoken")["of_the_list"])  # words beside the numbers of a due list


def read(words: list[str], talk: Talk) -> bool:
    """Write the requests a note makes; False where it makes none.

    Two requests may be joined by "and"; what is not one then stands as a remark.
    """
    opens = words[0] in _POLITE_FIRST or words[0] in _openers(talk.settings.language)
    if not opens and talk.silent(ASKING):
        return False
    listed = _listed(talk)
    if listed:
        for one in listed:
            talk.add(one, (0, len(talk.text)))
        talk.rules.append("request: numbers of the due list")
        return True
    if "?" in words and words[0] in ("what", "when", "who", "how", "where", "which", "whats", "did"):
        return False
    parts = _parts(talk)
    first = _one(parts[0], talk)
    if first is None:
        return False
    talk.add(first, (0, len(talk.text)))
    talk.rules.append(f"request: {first.do}")
    for part in parts[1:]:
        entry = _one(part, talk)
        if entry is not None:
            talk.add(entry, (0, len(talk.text)))
        else:
            talk.remark(talk.text[part[0].start : part[-1].end], (part[0].start, part[-1].end))
    return True


NO_NAME = frozenset(listed("spoken")["no name"])  # "call 12 for help"
SETTING = frozenset("set change use switch my latitude zone timezone units language speak sprache".split())
CALLING = frozenset(("call", "name", "nickname"))
ASKING = frozenset(("is", *LISTED))  # wherever they stand; without one of them a request begins with one of `_openers`


@cache
def _openers(language: str) -> frozenset[str]:
    """Return the words that a request begins with, in a language."""
    table = word_lists(language, "requesting")
    share = (one.split()[0] for one in table["share_text"])
    return SETTING | CALLING | _opening_words(language) | table["away_open"] | frozenset(("share", *share))


def _parts(talk: Talk) -> list[list[Item]]:
    """Cut at "and", "n", "," before a verb of asking."""
    parts: list[list[Item]] = [[]]
    for i, one in enumerate(talk.items):
        if one.family in ("sep", "comma") and parts[-1]:
            following = talk.items[i + 1 : i + 3]
            if any(other.low.split()[0] in VERBS for other in following):
                parts.append([])
                continue
        parts[-1].append(one)
    return [part for part in parts if part]


def _one(items: list[Item], talk: Talk) -> Entry | None:
    while items and (items[0].low in POLITE or all(word in POLITE for word in items[0].low.split())) and len(items) > 1:
        items = items[1:]
    words = [word for one in items for word in one.low.split()]
    if not words or (words[0] not in _openers(talk.settings.language) and ASKING.isdisjoint(words)):
        return None
    text = talk.text[items[0].start : items[-1].end].strip(" .!,;\n")
    for rule in (_teach, _set, _whole_list, _away, _share, _plain):
        entry = rule(words, items, text, talk)
        if entry is not None:
            return entry
    return None


def _listed(talk: Talk) -> list[Entry]:
    """Read "done 1 2 and 4", "later 3 by a week", "2 later till sat why 3": numbers of a due list, and what to do with them."""
    if not any(one.low in LISTED for one in talk.items):
        return []
    found: list[tuple[str, list[int], date | None]] = []
    waiting: list[int] = []
    items = [
        one
        for one in talk.items
        if one.family not in ("sep", "comma", "break", "query", "stop", "det", "pron", "colon") and one.low not in OF_THE_LIST
    ]
    headed = any(one.family == "colon" for one in talk.items)
    if headed and any(one.family == "number" and (one.value or 0) >= LEAST_LABEL for one in items):
        return []  # "done: 41, 77" may be plants
    for one in items:
        word = one.low.split()[0]
        if word in LISTED and len(one.low.split()) == 1:
            found.append((LISTED[word], waiting, None))
            waiting = []
        elif (
            one.family == "number"
            and one.meaning in ("digits", "label", "sum")
            and float(one.value).is_integer()
            and one.value < 100
        ):
            (found[-1][1] if found and not (found[-1][1] and _verb_follows(items, one)) else waiting).append(int(one.value))
        elif one.family == "range" and one.value[1] < 100:
            (found[-1][1] if found else waiting).extend(range(one.value[0], one.value[1] + 1))
        elif one.family == "date" and found and found[-1][0] == "later":
            day = talk.day(one.value, True)
            found[-1] = (found[-1][0], found[-1][1], day.on if day else None)
        elif (
            one.family == "amount"
            and found
            and isinstance(one.value, Amount)
            and one.value.unit == "days"
            and found[-1][0] == "later"
        ):
            found[-1] = (found[-1][0], found[-1][1], talk.ahead(one.value.value))
        else:
            return []
    if waiting or not found or any(not numbers for _, numbers, _ in found):
        return []
    return [Entry("request", do=do, numbers=tuple(numbers), until=until) for do, numbers, until in found]


def _verb_follows(items: list[Item], one: Item) -> bool:
    """Return whether a verb of the list comes right after a number, which then begins a new request."""
    i = items.index(one)
    return i + 1 < len(items) and items[i + 1].low in LISTED and not any(other.low in LISTED for other in items[:i])


_TEACHING = listed("requesting")
IS, CALLED_SO = _TEACHING["_is"][0], frozenset(_TEACHING["called_so"])


def _teach(words: list[str], items: list[Item], text: str, talk: Talk) -> Entry | None:
    """Read "call 203 teacup", "the sick bay is the porch shelf"."""
    if words[0] in CALLING and sum(one.family == "mix" for one in items) > 1:
        return Entry("request", do="teach", text=text)  # a mix by its parts: "call 1 loam 2 pumice gritty mix" names no plant
    if words[0] in CALLING and len(words) >= 3:
        elements = flow(items[1:], Subjects(items[1:], talk.names, talk.text))
        first = elements[0] if elements else None
        if first is not None and isinstance(first, Phrase):
            rest = talk.text[first.end : items[-1].end].strip(" .!,:;\"'")
            rest = _without_tail(rest.removeprefix("as ").removeprefix("the name "), talk)
            fields = dict(first.fields)
            if rest and rest.split()[0].lower() not in NO_NAME:
                return Entry("request", do="teach", which=Selection(**fields) if fields else None, to=rest, text=text)
    if words[1:2] == [IS] and words[2:3] and words[2] in CALLED_SO and len(words) == 4:
        phrase = next(
            (one for one in flow(items[:1], Subjects(items[:1], talk.names, talk.text)) if isinstance(one, Phrase)), None
        )
        if phrase is not None and not any(one.family == "taxon" for one in items):
            return Entry("request", do="teach", which=Selection(**phrase.fields), to=words[3], text=text)  # "12 is called spike"
    if "is" in words and 1 <= words.index("is") <= 5 and len(words) - words.index("is") <= 6 and "?" not in words:
        i = words.index("is")
        left, right = " ".join(words[:i]), " ".join(words[i + 1 :])
        place = _place(right, talk)
        known = talk.names.place(left)
        fresh = known.lower() not in talk.names.places or left.removeprefix("the ") == "sick bay"
        plants = any(one.family in ("taxon", "nickname", "number", "kind", "lot", "sowing") for one in items[:3]) or any(
            word in ("one", "ones", "plant", "plants", "pot", "pots") for word in words[:i]
        )
        if place is not None and left.startswith(("the ", "my ", "our ")) and fresh and not plants:
            taught = left.removeprefix("the ").removeprefix("my ")
            return Entry("request", do="teach", which=Selection(places=(place,)), to=taught, text=text)
    return None


def _without_tail(name: str, talk: Talk) -> str:
    """Return a taught name without what only says that it holds: "fuzzy from now on"."""
    tails = (one for one in word_lists(talk.settings.language, "requesting")["teach_tail"] if name.lower().endswith(f" {one}"))
    tail = next(tails, None)
    return name[: -len(tail)].strip(" ,") if tail else name


def _place(said: str, talk: Talk) -> str | None:
    low = said.removeprefix("the ").removeprefix("my ").strip(" .")
    if low in talk.names.places:
        return talk.names.places[low]
    nouns = (
        "shelf",
        "bench",
        "sill",
        "frame",
        "tray",
        "greenhouse",
        "porch",
        "room",
        "cupboard",
        "windowsill",
        "house",
        "staging",
        "table",
        "rack",
        "conservatory",
        "tunnel",
        "shed",
    )
    return low if low.split() and (low.split()[-1] in nouns or (len(low.split()) > 1 and low.split()[-2] in nouns)) else None


def _set(words: list[str], items: list[Item], text: str, _: Talk) -> Entry | None:
    if (
        words[0] in ("set", "change", "use", "switch")
        and len(words) > 1
        and any(word in SETTINGS for word in words[1:5])
        and not any(one.family in ("act", "sign", "date") for one in items)
    ):
        return Entry("request", do="set", text=text)
    if (
        words[0] == "my"
        and len(words) > 3
        and any(w in ("is", "=", "are") for w in words)
        and any(word in SETTINGS | {"coldest", "night", "latitude", "zone"} for word in words[1:4])
    ):
        return Entry("request", do="set", text=text)
    if words[0] in ("latitude", "zone", "timezone", "units", "language") and len(words) >= 2 and "?" not in words:
        return Entry("request", do="set", text=text)
    if words == ["language"]:
        return Entry("request", do="set", text=text)
    if words[0] in ("speak", "sprache") and len(words) == 2:
        return Entry("request", do="set", text=text)
    return None


def _whole_list(words: list[str], _items: list[Item], text: str, _: Talk) -> Entry | None:
    """Read "done all", "all done", "drop all" as said of every line of the list."""
    said = [word for word in words if word not in ("of", "them", ".", "the", "lot")]
    verb = next((word for word in said if word in LISTED), None)
    if verb is None or len(said) != 2 or not {"all", "everything"} & set(said):
        return None
    return Entry("request", do=LISTED[verb], text=text)


def _away(words: list[str], items: list[Item], text: str, talk: Talk) -> Entry | None:
    said = word_lists(talk.settings.language, "requesting")
    told = words[0] in said["away_open"] and bool(said["away"] & set(words[:6])) and bool(said["away_span"] & set(words))
    if not told or any(one.family in ("act", "sign") for one in items):
        return None
    return Entry("request", do="away", until=_back_on(items, talk), text=text)


def _back_on(items: list[Item], talk: Talk) -> date | None:
    """Return the last day of an absence, or of what is shared: the day that is named, or so many days from today."""
    days = [one for one in items if one.family == "date"]
    if days:
        found = talk.day(days[-1].value, True)
        if found is None:
            return None
        return found.last if days[-1].value.kind == "week" and found.last else found.on
    spans = (one.value for one in items if one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "days")
    span = next(spans, None)
    return talk.ahead(span.value) if span is not None else None


def _share(words: list[str], items: list[Item], text: str, talk: Talk) -> Entry | None:
    if words[0] != "share" and not (_starts(words, "share_text", talk) and "see" in words):
        return None
    until = _back_on(items, talk)
    return Entry("request", do="share", to=_person(items), which=_set_of(items, talk), until=until, text=text)


def _plain(words: list[str], items: list[Item], text: str, talk: Talk) -> Entry | None:
    first, second = words[0], words[1] if len(words) > 1 else ""
    if first not in _opening_words(talk.settings.language) or items[0].family == "place":  # "plot 3 watered"
        return None
    said = word_lists(talk.settings.language, "requesting")
    if first in said["revoke"] or _starts(words, "revoke_text", talk):
        return Entry("request", do="revoke", to=_person(items), text=text)
    if first == "export" or _starts(words, "export_text", talk):
        return Entry("request", do="export", text=text)
    wanted = (first in said["print"] and said["sheet"] & set(words)) or _starts(words, "labels_text", talk)
    if wanted and not said["written"] & set(words):  # "labels for 41-45 written" is no wish
        return Entry("request", do="labels", which=_set_of(items, talk), text=text)
    drawn = first in said["draw"] or (first == "show" and second in said["drawing"])
    if drawn or _starts(words, "picture_text", talk):
        return Entry("request", do="picture", which=_set_of(items, talk), text=text)
    return None


def _starts(words: list[str], key: str, talk: Talk) -> bool:
    """Return whether a text starts with a phrase of the language's table `requesting.csv`."""
    openings = _openings(talk.settings.language, key)
    return words[0] in openings and " ".join(words).startswith(openings[words[0]])


@cache
def _openings(language: str, key: str) -> dict[str, tuple[str, ...]]:
    """Return the phrases of a key of the table `requesting.csv` by their first word."""
    found: dict[str, tuple[str, ...]] = {}
    for one in word_lists(language, "requesting")[key]:
        first = one.split()[0]
        found[first] = (*found.get(first, ()), one)
    return found


def _person(items: list[Item]) -> str | None:
    return next((one.meaning for one in items if one.family == "person"), None)


def _set_of(items: list[Item], talk: Talk) -> Selection | None:
    kept = [one for one in items if one.family not in ("act", "sign")]
    phrases = [
        one
        for one in flow(kept, Subjects(kept, talk.names, talk.text))
        if isinstance(one, Phrase) and one.fields.keys() - {"words", "refer"}
    ]
    for one in phrases:
        if one.fields.keys() <= {"count", "approx"} and "count" in one.fields:  # "a pic of 41"
            one.fields = {"labels": (str(one.fields["count"]),)}
    return phrases[0].selection() if phrases else None


@cache
def _opening_words(language: str) -> frozenset[str]:
    """Return the first words of what `_plain` reads."""
    table = word_lists(language, "requesting")
    texts = [one for key, forms in table.items() if key.endswith("_text") for one in forms]
    return frozenset((*(one.split()[0] for one in texts), "export", "show", *table["revoke"], *table["print"], *table["draw"]))
