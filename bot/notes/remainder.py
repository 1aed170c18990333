"""What is left of a note beside what was written: where it may turn the meaning round, the reader asks instead of writing.

Every word of a note is read by a rule, or joins two that are, or is one of the words that may stand beside a note without
changing it (`harmless.txt`). Any other word left over means that something was said that nobody understood.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from bot.notes.items import Item
from bot.notes.languages import files, listed
from bot.notes.neighbours import SEPARATORS
from bot.notes.talk import Talk

WRITING = frozenset(("event", "skip", "finding", "measure", "climate", "hold", "reminder"))
# Families that join, soften or belong to rules of their own, and those that a rule leaves as a remark by design.
JOINING = frozenset(
    """det stop light prep sep comma break colon dash query open close quote slash pron hedge neg plan sure approx did undone
    particle till only some remind since times equals at any q plants arrow idiom natural other left why counter accto part
    condition packets source refer adj cond once state doit skipped kind unclear ordinal sought gone""".split()
)
PLAIN = frozenset(("word", "mix", "climate", "clear", "measure"))  # families that hold ordinary words too
LEADING = frozenset(listed("care")["leading"])


def doubt(talk: Talk) -> None:
    """Ask about the first word that no rule has read, where the note has written something and is not asked about yet."""
    types = [one.type for one in talk.entries]
    if "remark" not in types or WRITING.isdisjoint(types) or "ask" in [decision for decision, _, _ in talk.asks]:
        return
    if any(one.act == "named" for one in talk.entries):
        return  # a name as typed may hold any word
    strange = next(_strange(talk), None)
    if strange is not None:
        talk.ask("act", f"{strange.low!r} was not understood", hard=True)


def _strange(talk: Talk) -> Iterator[Item]:
    """Yield the items of remarks that may change what was written."""
    harmless, told = _harmless(talk.settings.language), None
    for i, one in _left(talk):
        if one.family in JOINING or one.used or one.kept or one.means("clock", "am", "pm", "o'clock"):
            continue
        if one.family in PLAIN and (one.low in harmless or one.low.isdigit() or one.low.endswith("ly")):  # adverbs, mostly
            continue
        told = _told(talk) if told is None else told
        if one.meaning in told or one.more.get("status") or _of_its_time(i, talk) or _by_design(i, told, talk):
            continue
        if _aside(i, talk):
            continue
        yield one


def _left(talk: Talk) -> Iterator[tuple[int, Item]]:
    """Yield the items that stand in remarks, with where they stand in the note."""
    spans = sorted(one.span for one in talk.entries if one.type == "remark")
    begun = reach = 0
    for i, one in enumerate(talk.items):
        while begun < len(spans) and spans[begun][0] <= one.start:
            reach = max(reach, spans[begun][1])
            begun += 1
        if one.start < reach:
            yield i, one


def _aside(i: int, talk: Talk) -> bool:
    """Return whether a word stands in a part of its own that only comments: "..., the cheek", "..., spotless".

    A part that speaks of plants, of a day, of people who may have done it or of anything that may turn the meaning round is
    none, nor is one with a verb that nobody knows: it may say that something else was done.
    """
    part = _part(i, talk)
    if len(part) > MOST_OF_ASIDE or any(one.family not in COMMENTING for one in part):
        return False
    if any(one.family == "word" and (one.form == "new" or one.low.endswith(VERBAL)) for one in part):
        return False  # a genus that nobody knows, a verb that says something was done
    return not any(TURNING & set(one.low.split()) for one in part)


def _part(i: int, talk: Talk) -> list[Item]:
    """Return the items between the commas or ends of lines around item `i`, of a long part more than an aside may have."""
    least, most = max(-1, i - MOST_OF_ASIDE - 1), min(len(talk.items), i + MOST_OF_ASIDE + 2)
    first = next((k + 1 for k in range(i, least, -1) if talk.items[k].family in PARTING), max(0, least))
    last = next((k for k in range(i, most) if talk.items[k].family in PARTING), most)
    return talk.items[first:last]


MOST_OF_ASIDE = 6  # words; project default
PARTING = SEPARATORS - {"sep", "colon", "close"}
COMMENTING = frozenset(("word", "stop", "det", "adj", "pron", "light", "q", "prep", "mark", "quote"))
TURNING = frozenset(listed("terse")["_no_aside"])
VERBAL = tuple(listed("terse")["_verbal"])


def _told(talk: Talk) -> frozenset[str]:
    """Return the acts, signs, causes and genera that were written: said twice they change nothing."""
    found: set[str] = set()
    for one in talk.entries:
        found |= {str(value) for value in (one.sign, one.act, *one.details.values()) if value is not None}
        found |= set(one.which.taxa) if one.which is not None else set()
    return frozenset(found)


def _of_its_time(i: int, talk: Talk) -> bool:
    """Return whether words only say when: "after 2 weeks", "since potting", "at 7 am"."""
    one, before = talk.items[i], talk.items[i - 1] if i else None
    behind = talk.items[i + 1].low if i + 1 < len(talk.items) else ""
    led = before is not None and (before.low in LEADING or before.family == "since" or behind in LEADING)
    return led and (one.means("amount", "days", "span") or one.form == "ing" or one.family == "clock")


def _by_design(i: int, told: frozenset[str], talk: Talk) -> bool:
    """Return whether a rule leaves these words as a remark on purpose."""
    one, before, behind = talk.items[i], talk.items[max(0, i - 3) : i], talk.items[i + 1 : i + 3]
    if one.family == "sign":
        merely = bool(before) and before[-1].low in ("just", "only", "merely")
        unmeant = any(x.family == "counter" for x in before)
        return merely or unmeant or (one.meaning == "mix_dry" and bool({"set_to_dry", "watered"} & told))
    if told == {"found_alive"}:
        return True  # "found 219 behind tray 2": where it was is kept in words
    if one.family == "act":  # the soil is binned, not the plant; a swap is how they came
        return any(x.family == "mix" for x in behind) or (one.meaning in ("given", "offered") and "acquired" in told)
    if one.family == "number":
        return bool(behind) and behind[0].family == "sign" and behind[0].meaning in told
    if one.means("amount", "cm") and any(entry.type == "finding" for entry in talk.entries):
        return True  # "soft spot on 41, about 2 cm": how large is kept in words
    if one.family in ("amount", "date") and "growing" in told:
        return True  # "shot up 2cm in a fortnight": how fast is kept in words
    if any(x.low == "can wait" for x in behind):
        return True  # "the 9s need water, 11s can wait"
    giver = one.family == "word" and bool(behind) and behind[0].means("act", "acquired")
    return giver or (one.family == "mix" and "set_to_dry" in told) or one.low in talk.names.people


@cache
def _harmless(language: str) -> frozenset[str]:
    return frozenset(word for place in files(language, "harmless.txt") for word in place.read_text(encoding="utf-8").split())


def of_silence(talk: Talk) -> None:
    """Ask where a note that names plants or gives numbers was not read at all; a mere remark stays one."""
    if talk.asks or {one.type for one in talk.entries} - {"remark"}:
        return
    families = {one.family for one in talk.items if not one.means("neg", "not")}
    verb = next((one for one in talk.items if one.family not in ("stop", "pron")), None)
    if verb is not None and verb.family == "word" and verb.low.endswith("ed") and verb.form == "new":
        families = families | (families & {"kind"} and PLANTS)  # "soked all seedlings"
    ended = bool(talk.items) and talk.items[-1].family == "break"
    if families & PLANTS and not families & REMARKED and len(talk.items) - ended <= 20:
        talk.ask("act", "plants are named, but what happened was not understood", hard=True)


PLANTS = frozenset(("taxon", "place", "lot", "sowing", "nickname", "number", "range", "sizes", "ratio"))
REMARKED = frozenset(("other", "natural", "neg", "idiom", "word_only"))
