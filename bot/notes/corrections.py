"""Corrections: undo, "no that was 5 not 4", "i meant 215", "put that on sunday"."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

from bot.notes.amounts import Amount
from bot.notes.asking import by_first_word, opening
from bot.notes.clauses import Clause, flow
from bot.notes.items import Item
from bot.notes.languages import listed, phrases
from bot.notes.reading import PESTS, Entry, Selection
from bot.notes.reconsidered import act_was_then, it_was_there, other_act, other_pot, other_product, the_date_was
from bot.notes.replacements import SLIPS, mistyped, other_day, other_number, other_one, other_place, other_sign
from bot.notes.selections import gather
from bot.notes.subjects import Phrase, Subjects
from bot.notes.talk import Talk

UNDO, LEADS = phrases("correcting", "undo"), phrases("correcting", "lead")
SURE_LEADS = frozenset(LEADS) - frozenset(phrases("correcting", "weak_lead"))


VALUE_LEADS = frozenset(phrases("correcting", "value_lead"))  # nothing but a value may follow them


_LEADS, _UNDO = by_first_word(LEADS), by_first_word(UNDO)


def read(words: list[str], talk: Talk) -> bool:
    """Write the correction a note makes; False where it makes none."""
    if act_was_then(words, talk) or other_pot(words, talk) or it_was_there(words, talk) or the_date_was(words, talk):
        return True
    if words[0] not in OPENS:
        cues = CUES.intersection(words)
        if not cues and SLIPS.isdisjoint(words[:3]):
            return False
        called = ANYWHERE.union(*(_CUED[cue] for cue in cues))
        return any(rule(words, talk) for rule in RULES if rule in called)
    while words and words[0] in BEFORE_UNDO and UNDO_VERBS & set(words[1:6]):
        words = words[1:]
    return any(rule(words, talk) for rule in RULES)


UNDO_VERBS = frozenset(listed("correcting")["undo_verb"])
CORRECTIVE = frozenset(listed("correcting")["corrective"])
TURNED = frozenset(listed("correcting")["turned"])  # "make that 12 instead of 10"
BEFORE_UNDO, FILLERS = frozenset(listed("correcting")["before_undo"]), frozenset(listed("correcting")["filler"])
OPENS = BEFORE_UNDO | FILLERS | _LEADS.keys() | _UNDO.keys() | frozenset("add also and corr correction no not plus sorry".split())


def _after_fillers(words: list[str], talk: Talk) -> bool:
    """Read "oh no sorry, that was 5": what follows the fillers is the correction."""
    fillers = next((n for n, word in enumerate(words[:-1]) if word not in FILLERS), len(words) - 1)
    if fillers < 1 or (fillers == 1 and words[0] == "no"):
        return False
    inner = opening(words[fillers:], _LEADS)
    if inner is None or inner in {("not",), ("no",)} or any(one.family in ("act", "sign") for one in talk.items):
        return False
    return _fix(words, (*words[:fillers], *inner), talk)


def _added(words: list[str], talk: Talk) -> bool:
    also = [one for one in talk.items if one.family not in ("stop", "break", "colon", "comma", "word", "sep", "product")]
    if words[0] == "add" and {"also", "too"} & set(words) and [one.family for one in also] == ["act"]:
        talk.add(Entry("fix", what="add", to=also[0].meaning), (0, len(talk.text)))
        return True  # "add: also fed"
    if words[0] != "add" or len(words) > 8 or any(one.family in ("act", "sign", "mix") for one in talk.items):
        return False
    selection = _kept_selection([one for one in talk.items[1:] if one.family not in ("pron", "stop")], talk)
    if selection:
        talk.add(Entry("fix", what="add", to=Selection(**selection)), (0, len(talk.text)))
    return bool(selection)


def _degrees(words: list[str], talk: Talk) -> bool:
    """Read "no, min was 3" as a correction of the thermometer."""
    corrects = words[0] in ("no", "sorry", "corr", "correction") and any(word in words for word in ("was", "should"))
    return corrects and any(one.family == "climate" for one in talk.items) and _fix(words, (), talk)


def _led(words: list[str], talk: Talk) -> bool:
    """Read a correction by the words it begins with ("that was", "i meant") or by its contrast ("5 not 4")."""
    lead = opening(words, _LEADS)
    contrast = "not" in words and words[0] not in ("not", "no", "its", "isnt")
    if lead == ("meant",) and words[1:2] == ["to"]:
        return False
    if lead == ("i", "meant") and words[2:3] == ["to"] and not any(one.family == "number" for one in talk.items[2:4]):
        return False
    if lead is None and not (contrast and _was_contrast(words)):
        return False
    if lead is not None and lead not in SURE_LEADS and not contrast:
        return _weak(lead, words, talk)
    return _fix(words, lead or (), talk)


def _was_contrast(words: list[str]) -> bool:
    """Return whether a note contrasts two values: "yesterdays min was 2 not 12", "min was 2 not 12"."""
    if "not" not in words:
        return False
    i = words.index("not")
    if "was" in words[:i] or "were" in words[:i]:
        after = words[i + 1 : i + 3]
        return bool(after) and (after[0][:1].isdecimal() or after[0] in ("yesterday", "today", "sunday", "monday"))
    return i >= 1 and i + 1 < len(words) and words[i - 1].isdecimal() and words[i + 1].isdecimal() and len(words) <= 5


def _weak(lead: tuple[str, ...], words: list[str], talk: Talk) -> bool:
    """Take a weak opening ("that was …", "make it …") only where a value is all that follows."""
    if any(one.family in ("act", "sign", "clear", "nowater") for one in talk.items):
        return False
    if any(one.meaning == "signed" or one.means("amount", "c", "f", "degree") for one in talk.items):
        return False
    rest = talk.items[len(lead) :]
    if lead == ("it", "was") and {"number", "place"} <= {one.family for one in rest}:
        return False  # "it was 41 in the greenhouse" may be degrees
    families = {
        one.family for one in rest if one.family not in ("stop", "det", "prep", "query", "break", "comma", "pron", "light", "sep")
    }
    if (
        lead in VALUE_LEADS
        and families
        and families
        <= {
            "number",
            "date",
            "taxon",
            "place",
            "numbered",
            "somewhere",
            "nickname",
            "lot",
            "sowing",
            "range",
            "product",
            "amount",
            "potsize",
        }
    ):
        return _fix(words, lead, talk)
    return False


def _undo(words: list[str], talk: Talk) -> bool:
    lead = opening(words, _UNDO)
    if lead is None or (lead == ("delete",) and len(words) > 4):
        return False
    behind = len(lead) + (words[len(lead) : len(lead) + 1] == [","])
    inner = opening(words[behind:], _LEADS)
    if inner is not None and len(words) > behind + len(inner) and _fix(words, (*words[:behind], *inner), talk):
        return True  # "scrap that, it was bench 2": what it was is said
    if words[:2] == ["cancel", "that"] and "reminder" in words:
        return False
    signs = [one for one in talk.items if one.family == "sign"]
    acts = [one for one in talk.items if one.family == "act"]
    acts = acts[1:] if len(acts) > 1 and acts[0] is talk.items[0] else acts  # "remove the repot of 41"
    which = _selection(talk, skip=len(lead))
    if which is not None and which.refer is not None:
        which = None
    sign = signs[0].meaning if signs else None
    act = acts[0].meaning if acts and not signs else None
    if sign is None and act is None and any(one.family == "nowater" for one in talk.items):
        act = None
    talk.add(Entry("fix", what="undo", sign=sign, act=act, which=which), (0, len(talk.text)))
    talk.rules.append("correction: undo")
    return True


_LIKE = (
    "number",
    "product",
    "act",
    "place",
    "date",
    "taxon",
    "potsize",
    "amount",
    "nickname",
    "lot",
    "sowing",
    "range",
    "sign",
    "person",
    "label",
    "somewhere",
    "numbered",
    "mix",
    "pot",
)
_ALLOWED = frozenset(
    (
        *_LIKE,
        "colon",
        "except",
        "stop",
        "det",
        "prep",
        "comma",
        "break",
        "neg",
        "pron",
        "light",
        "sep",
        "did",
        "plants",
        "climate",
        "kind",
        "dash",
        "word",
        "measure",
        "strength",
        "times",
        "hedge",
        "query",
        "adj",
        "q",
        "doit",
    )
)


NOTS = ("not", "and not", "isnt", "wasnt", "not the")


def _contrast(words: list[str], talk: Talk) -> bool:
    """Read "soap not oil", "pot was 11 not 9", "they went into frame A, not frame B": the first is right."""
    nots = [i for i, one in enumerate(talk.items) if i and one.low in NOTS]
    if not nots or len(talk.items) > 16 or words[0] in ("not", "its", "it's"):
        return False
    i = nots[-1]
    before = [one for one in talk.items[:i] if one.family in _LIKE]
    after = [one for one in talk.items[i + 1 :] if one.family in _LIKE]
    if not before or not after or any(one.family not in _ALLOWED for one in talk.items):
        return False
    wanted = after[0].family
    like = [one for one in before if one.family == wanted or {one.family, wanted} <= {"numbered", "place", "somewhere"}]
    corrective = any(word in CORRECTIVE for word in words[:6])
    if not like or (wanted == "sign") or (not corrective and len(talk.items) > 4) or (len(after) > 1 and not corrective):
        return False
    if wanted in ("taxon", "place", "numbered", "somewhere") and not corrective and any(one.family == "act" for one in before):
        return False
    if wanted == "act" and (len(before) > 1 and not corrective):
        return False
    kept = talk.items[:i]
    moved = any(word in ("went", "moved", "put", "moving", "go") for word in words)
    if wanted in ("numbered", "place", "somewhere") and moved:
        selection = _kept_selection(kept, talk) or {}
        talk.add(Entry("fix", what="place", to=selection.get("places", (like[0].meaning,))[0]), (0, len(talk.text)))
        return True
    entry = _entry([one for one in kept if not (one.family == "act" and wanted != "act")], talk, words)
    if entry is None:
        return False
    talk.add(entry, (0, len(talk.text)))
    talk.rules.append(f"correction: {entry.what}, by contrast")
    return True


def _also(words: list[str], talk: Talk) -> bool:
    """Read "i did number 41 as well", "and 41 too", "41 as well" as plants to add to the last entry."""
    low = " ".join(words).strip(" .!")
    if not low.endswith((" as well", " too", " also")) and not (words[0] in ("also", "plus", "and") and len(talk.items) <= 5):
        return False
    if any(one.family in ("sign", "climate", "date", "amount", "person", "clear") for one in talk.items) or any(
        one.family == "act" for one in talk.items
    ):
        return False
    selection = _kept_selection([one for one in talk.items if one.family not in ("stop", "did", "comma")], talk)
    if not selection:
        return False
    talk.add(Entry("fix", what="add", to=Selection(**selection)), (0, len(talk.text)))
    talk.rules.append("correction: add")
    return True


def _ran_out(words: list[str], talk: Talk) -> bool:
    if "used" not in words:
        return False
    i = words.index("used")
    used = next((one for one in talk.items if one.family == "potsize" and one.start > 0 and _word_index(talk, one) > i), None)
    if used is None:
        return False
    elements = flow(talk.items, Subjects(talk.items, talk.names, talk.text))
    last = next((one for one in elements if isinstance(one, Phrase) and one.fields.get("refer") in ("last", "rest")), None)
    talk.add(
        Entry("fix", what="value", to=used.value, field="pot_cm", which=last.selection() if last else None), (0, len(talk.text))
    )
    talk.rules.append("correction: another pot size")
    return True


def _word_index(talk: Talk, one: Item) -> int:
    return sum(len(other.low.split()) for other in talk.items if other.start < one.start)


def _by_mistake(words: list[str], talk: Talk) -> bool:
    """Read "… so they all got fed too": something to add to the last entry."""
    low = " ".join(words)
    if not ("too" in words or "as well" in low or "by mistake" in low) or not (
        "they" in words or "those" in words or "it" in words
    ):
        return False
    if not any(cue in low for cue in ("they all got", "they got", "got fed too", "so they", "it got", "those got")):
        return False
    act = [one for one in talk.items if one.family == "act"]
    if not act:
        return False
    talk.add(Entry("fix", what="add", to=act[-1].meaning), (0, len(talk.text)))
    talk.rules.append("correction: add")
    return True


def _fix(words: list[str], lead: tuple[str, ...], talk: Talk) -> bool:
    turned = next((i for i, word in enumerate(words) if i and word in TURNED), len(words))
    cut = words.index("not") if "not" in words and words[0] != "not" else turned
    if words[0] == "not" and "but" in words:
        start = words.index("but") + 1
        kept = _after_words(talk, start, len(words))
    else:
        kept = _after_words(talk, len(lead), cut)
    entry = _entry(kept, talk, words)
    if entry is None:
        return False
    talk.add(entry, (0, len(talk.text)))
    talk.rules.append(f"correction: {entry.what}")
    return True


def _after_words(talk: Talk, first: int, last: int) -> list[Item]:
    out, seen = [], 0
    for one in talk.items:
        n = len(one.low.split())
        if seen + n > first and seen < last:
            out.append(one)
        seen += n
    return out


def _entry(kept: list[Item], talk: Talk, words: list[str]) -> Entry | None:
    climate = next(
        (one for one in talk.items if one.family == "climate" and one.meaning in ("min", "max", "at", "set", "rh")), None
    )
    dates = [one for one in kept if one.family == "date"]
    numbers = [one for one in kept if one.family == "number" and one.value is not None]
    amounts = [one for one in kept if one.family == "amount" and isinstance(one.value, Amount)]
    if climate is not None and (numbers or amounts):
        value = float(numbers[0].value) if numbers else amounts[0].value.value
        day = (
            talk.day(next(one for one in talk.items if one.family == "date").value, False)
            if any(one.family == "date" for one in talk.items)
            else None
        )
        field = climate.meaning if climate.meaning == "rh" else f"{climate.meaning}_c"
        return Entry("fix", what="value", to=_number(talk.celsius(value, "")), field=field, when=day.on if day else None)
    if dates and not numbers:
        day = talk.day(dates[0].value, False)
        if day is None:
            talk.ask("when", "there is no such day", hard=True)
            return Entry("remark", text=talk.text)
        return Entry("fix", what="when", to=day.on.isoformat())
    doses = [one for one in kept if one.family == "dose"]
    if doses:
        return Entry("fix", what="value", to=doses[0].value, field="dose")
    acts = [one for one in kept if one.family == "act"]
    product = [one for one in kept if one.family == "product"]
    if product and not acts:
        return Entry("fix", what="product", to=product[0].low)
    if numbers and ("pot" in words or "pots" in words) and not acts_of(kept) - {"potted"}:
        return Entry("fix", what="value", to=_number(float(numbers[0].value)), field="pot_cm")
    pots = [one for one in kept if one.family == "potsize"]
    if pots:
        return Entry("fix", what="value", to=_number(pots[0].value), field="pot_cm")
    if amounts and not acts:
        unit = amounts[0].value.unit
        return Entry(
            "fix",
            what="value",
            to=_number(amounts[0].value.value),
            field={"cm": "pot_cm", "ml": "ml", "l": "litres", "minutes": "minutes"}.get(unit),
        )
    if acts:
        return Entry("fix", what="act", to=acts[0].meaning)
    signs = [one for one in kept if one.family == "sign"]
    selection = _kept_selection(kept, talk)
    if numbers and (selection is None or set(selection) <= {"labels", "count", "kind"}):
        return _numeric(numbers, words)
    if selection:
        return Entry("fix", what="which", to=Selection(**selection))
    if signs:
        return Entry("fix", what="value", to=signs[0].meaning, field="sign")
    return None


def acts_of(items: list[Item]) -> set[str]:
    """Return the acts among items."""
    return {one.meaning for one in items if one.family == "act"}


def _numeric(numbers: list[Item], words: list[str]) -> Entry:
    value = numbers[0].value
    if not float(value).is_integer():
        return Entry("fix", what="value", to=value)
    several = len(numbers) > 1
    meant = (
        ("the", "one") in itertools.pairwise(words)
        or "meant" in words
        or "number" in words
        or "label" in words
        or numbers[0].meaning == "label"
    )
    if several or value >= 100 or (meant and "not" not in words and value > 12) or (meant and value > 20):
        return Entry("fix", what="which", to=Selection(labels=tuple(str(int(one.value)) for one in numbers)))
    return Entry("fix", what="count", to=_number(value))


def _kept_selection(kept: list[Item], talk: Talk) -> dict[str, Any] | None:
    elements = flow(kept, Subjects(kept, talk.names, talk.text))
    phrases: list[Phrase] = [one for one in elements if isinstance(one, Phrase)]
    if not phrases:
        return None
    for one in phrases:
        one.bare = False
    said = gather(Clause(before=list(phrases)), talk, None)
    return said.sets[0] if said.sets else None


def _selection(talk: Talk, skip: int) -> Selection | None:
    fields = _kept_selection(_after_words(talk, skip, 10_000), talk)
    return Selection(**fields) if fields else None


def _number(value: float) -> float | int:
    return int(value) if float(value).is_integer() else value


RULES = (
    _undo, _ran_out, _by_mistake, _also, _contrast, other_number, other_day, other_place, other_sign, other_one, mistyped,
    other_act, other_product, _after_fillers, _added, _degrees, _led,
)  # fmt: skip
# Where none of `OPENS` opens a note, no rule can hold but these and those that a word calls wherever it stands.
ANYWHERE = frozenset((_by_mistake, other_one, mistyped, other_act, other_product))
_CUED: dict[str, tuple[Callable[[list[str], Talk], bool], ...]] = {
    "used": (_ran_out,), "mistake": (), "also": (_also,), "too": (_also,), "well": (_also,), "not": (_contrast, _led),
    "isnt": (_contrast,), "wasnt": (_contrast,),
}  # fmt: skip
CUES = frozenset(_CUED)

__all__ = ["PESTS", "read"]
