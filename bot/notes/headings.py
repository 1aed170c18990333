"""A heading with a list below it: "moved: tray 1 -> frame A, tray 2 -> frame B", "watered:" and a place a line.

Where each part of the list has something of its own (a place, a person, a size, a day), the heading is said again before each,
so that every part is a clause; where the parts are nothing but plants, the lines become one list. A list in which only some
have their own is left as it stands, and asks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import replace

from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SET_STARTS

BREAK, OPEN, CLOSE, SLASH = "break", "open", "close", "slash"  # families
_ROWS = listed("terse")
HEADINGS = {form: row.split()[1:] for row, forms in _ROWS.items() if row.startswith("headed ") for form in forms}
SEEDS = frozenset(_ROWS["_seeded"])
BEFORE = frozenset(("stop", "date", "det", "prep", "pron", SLASH))  # beside the head of a heading
ENDS = frozenset(("comma", BREAK, "sep"))
STATED = frozenset(("act", "climate", "measure", "nowater", "did"))
OF_A_LIST = SET_STARTS | {
    "prep", "person", "sizes", "potsize", "amount", "date", OPEN, CLOSE, "pot", "ratio", SLASH, "equals", "till", "dash",
    "comma", BREAK, "sep", "stop", "mix", "product", "dose", "strength",
}  # fmt: skip
PLANTS_ALONE = SET_STARTS - {"pron"}
OWN = frozenset(("sizes", "potsize", "person", "date", "ratio", "product", "dose", "strength"))


def spread(items: list[Item], people: Set[str]) -> list[Item]:
    """Return the items with each heading said before every part of its list that has something of its own."""
    if len(items) > 2 and items[0].family == "plan" and items[1].family == "colon":
        return _all_planned(items)
    pairs = _pairs(items)
    if pairs is not None:
        return pairs
    families = [one.family for one in items]
    if "colon" not in families and (BREAK not in families or not any(one.family == BREAK and one.low != "." for one in items)):
        return items
    out: list[Item] = []
    i = 0
    while i < len(items):
        head = _heading(items, i)
        if head is None:
            out.append(items[i])
            i += 1
            continue
        body = list(_body(items, head))
        made = _told_each(items[i:head], body, people) or _one_list(items[i:head], body)
        out += made or [*items[i:head], *body]
        i = head + len(body)
    return out


def _all_planned(items: Sequence[Item]) -> list[Item]:
    """Return "to do: repot 12 sat, water bench 1" with the plan said before each act of the list."""
    out: list[Item] = []
    for i, one in enumerate(items):
        if i > 2 and one.means("act") and one.form == "base" and items[i - 1].family in (*ENDS, "dash"):
            out.append(replace(items[0], start=one.start, end=one.start))
        out.append(one)
    return out


def _pairs(items: Sequence[Item]) -> list[Item] | None:
    """Return "tray 2 -> frame B, tray 5 -> frame A" with each part a clause; None where a part is no move of its own."""
    if not MOVED.issuperset([one.family for one in items]):
        return None
    parts = _parts(items)
    if len(parts) < 2:
        return None
    for part in parts:
        said = [one for one in part if one.family not in (*ENDS, "det")]
        to = [k for k, one in enumerate(said) if one.means("prep", "to")]
        if len(to) != 1 or not 0 < to[0] == len(said) - 2 or said[-1].family != "place":
            return None
    return [replace(one, family=BREAK, low=";") if one.family in ENDS else one for one in items]


MOVED = SET_STARTS - {"pron"} | {"prep", "comma", "sep", "break"}


def _heading(items: Sequence[Item], i: int) -> int | None:
    """Return where the list behind a heading begins: behind its colon, or behind a line that is nothing but an act."""
    if i and items[i - 1].family != BREAK:
        return None
    heads = 0
    for k in range(i, min(i + 6, len(items))):
        one = items[k]
        if one.family == "colon" or (one.family == BREAK and one.low not in (".", "!")):
            return k + 1 if heads and (one.family == "colon" or items[i].means("act")) else None
        if (one.low in HEADINGS and one.family == "word" and k == i) or one.family in STATED:
            heads += 1
        elif one.family not in BEFORE:
            return None
    return None


def _body(items: Sequence[Item], i: int) -> Iterator[Item]:
    """Yield the items of the list, up to the part that says something else."""
    last = next((k for k in range(i, len(items)) if items[k].family not in OF_A_LIST and not _told(items, k)), len(items))
    while i < last < len(items) and items[last - 1].family not in ENDS:
        last -= 1
    yield from items[i:last]


def _told(items: Sequence[Item], k: int) -> bool:
    """Return whether a word may stand in a list: a person in brackets, the word for seeds, a signed number."""
    bracketed = items[k - 1].family == OPEN and k + 1 < len(items) and items[k + 1].family == CLOSE
    return bracketed or items[k].low in SEEDS


def _parts(body: Sequence[Item]) -> list[list[Item]]:
    """Return the list's parts, each with the separators that stand before it."""
    parts: list[list[Item]] = [[]]
    said = False
    for one in body:
        if one.family in ENDS and said:
            parts.append([])
            said = False
        said = said or one.family not in (*ENDS, "dash")
        parts[-1].append(one)
    return [one for one in parts if one]


def _own(part: Sequence[Item], head: Item, people: Set[str]) -> bool:
    """Return whether a part has something of its own beside its plants."""
    placed = any(one.means("prep", "to", "from") and k + 1 < len(part) for k, one in enumerate(part))
    sized = any(one.means("amount", "cm", "ml", "money", "g") for one in part)
    bracketed = any(one.family == OPEN for one in part) and any(one.low in people for one in part)
    seeds = head.means("act", "sown") and any(one.low in SEEDS for one in part)
    read_off = head.family == "climate" and any(one.family == "number" for one in part)
    return placed or sized or bracketed or seeds or read_off or any(one.family in OWN for one in part)


def _told_each(heading: list[Item], body: list[Item], people: Set[str]) -> list[Item]:
    """Return the heading said before each part, where each has something of its own; nothing where not."""
    head = _stated(heading)
    parts = _parts(body)
    groups: list[list[list[Item]]] = [[]]
    for part in parts:
        groups[-1].append(part)
        if _own(part, head, people):
            groups.append([])
    if groups[-1] and any(one.family not in (*ENDS, "dash") for part in groups[-1] for one in part):
        return []  # the last of the list has nothing of its own
    tail = [one for part in groups.pop() for one in part]
    if len(groups) < 2:
        return []
    kept = [one for one in heading if one.family not in ("colon", BREAK)]
    out: list[Item] = []
    for n, group in enumerate(groups):
        items = [one for part in group for one in part]
        _labels(items)
        again = [replace(one, start=_start(items), end=_start(items)) for one in kept if one is head or head.family != "climate"]
        out += _again(again if n else kept, head, items, n)
        _brackets(items, head, people)
    return [*out, *tail]


def _stated(heading: Sequence[Item]) -> Item:
    """Return what a heading says; a word that heads lists only ("hold:", "heights:") becomes what it stands for."""
    for one in heading:
        if one.family == "word" and one.low in HEADINGS:
            one.family, one.meaning = HEADINGS[one.low]
    return next(one for one in reversed(heading) if one.family in STATED)


def _labels(items: Sequence[Item]) -> None:
    """Take the numbers of a list under a heading as labels, where no plants are counted by them."""
    for i, one in enumerate(items):
        if one.family not in (*ENDS, "number", "dash"):
            return
        counts = i + 1 < len(items) and items[i + 1].family in ("taxon", "kind", "plants", "adj", "ambiguous")
        if one.means("number", "digits") and not counts and (one.value or 0) >= LEAST_LABEL:
            one.meaning = NUMBERED


NUMBERED = "label"


def _start(items: Sequence[Item]) -> int:
    return next((one.start for one in items if one.family not in (*ENDS, "dash")), items[0].start)


def _again(kept: Sequence[Item], head: Item, items: list[Item], n: int) -> list[Item]:
    """Return one part with its heading: before it, a measure behind its figure."""
    led = 0
    while led < len(items) and items[led].family in (*ENDS, "dash"):
        led += 1
    between = [replace(one, family=BREAK, low=";") for one in items[:led] if one.family in ENDS][:1] if n else []
    if head.family == "measure":
        said = items[led:]
        for one in said:
            if one.family == "equals":
                one.family, one.used = "stop", True
        end = said[-1].end
        return [*between, *said, *(replace(one, start=end, end=end) for one in kept)]
    return [*between, *kept, *items[led:]]


def _brackets(items: Sequence[Item], head: Item, people: Set[str]) -> None:
    """Take the person in "3 aloe (Jan)" as the one they came from or went to."""
    for before, one, after in zip(items, items[1:], items[2:], strict=False):
        if before.family == OPEN and after.family == CLOSE and one.low in people:
            gone = head.means("act", "given")
            before.family, before.meaning, before.low = ("prep", *WORDS_TO_FROM[gone])
            one.family, one.meaning, one.value = "person", one.low, None
            after.family, after.used = "stop", True


WORDS_TO_FROM = {True: ("to", "to"), False: ("from", "from")}


def _one_list(heading: list[Item], body: list[Item]) -> list[Item]:
    """Return the lines below a heading as one list, where they are nothing but plants; nothing where not."""
    said = [one for one in body if one.family not in (*ENDS, "dash")]
    lines = [one for one in body[:-1] if one.family == BREAK]
    plants = bool(said) and all(one.family in PLANTS_ALONE for one in said)
    if not plants or not lines or not _stated(heading).means("act"):
        return []
    out = [one for one in heading if one.family not in ("colon", BREAK)]
    for k, one in enumerate(body):
        if one.family == "dash" or (one.family == BREAK and one.start < said[0].start):
            continue
        out.append(replace(one, family="comma") if one.family == BREAK and k + 1 < len(body) else one)
    return out
