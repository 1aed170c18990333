"""The reader's doubt about its own reading: where what was said does not add up, it asks instead of writing.

A label beside another set, a day or a set that no rule used, an act or a sign left over: each is a hint that the note was cut
in the wrong place.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import cache

from bot.notes import afterthoughts, plans, reversals
from bot.notes.clauses import Clause
from bot.notes.heads import LEAST_LABEL, Phrase
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import Entry, Selection
from bot.notes.talk import Talk

STRAY = frozenset(("act", "sign", "ratio", "sizes", "dose", "clear", "gone", "measure"))
UNWRITTEN = frozenset(("remark", "question", "request", "fix"))
BY_DESIGN = frozenset(("other", "natural", "left", "unclear", "skipped", "doit"))
MAY_STRAY = STRAY | {"date"}
SETS = frozenset(("labels", "nicknames", "taxa", "places", "lots", "sowings"))


def of_clause(clause: Clause, talk: Talk, before: int) -> None:
    """Ask where a clause that wrote something leaves over what ought to have meant something."""
    written = [one for one in talk.entries[before:] if one.type not in UNWRITTEN]
    if not written or (clause.head is not None and clause.head.family in BY_DESIGN):
        return
    if len(clause.every("amount")) > 1:
        sizes = [one for one in clause.every("amount") if one.meaning == "cm"]
        if len(sizes) > 1 and any(one.act in ("potted", "repotted") for one in written):
            talk.ask("act", "several pot sizes in one clause", hard=True)
            return
    for rule in _called(written[0].type, clause.head.family if clause.head is not None else "", reversals.worded(talk)):
        if rule(clause, talk, written):
            return
    for one in clause.elements():
        if one.used or one is clause.head:
            continue
        if isinstance(one, Phrase):
            stray = not one.bare and not SETS.isdisjoint(one.fields)
        else:
            stray = one.family in MAY_STRAY and not one.kept and _stray(one, clause)
        if stray:
            talk.ask("act", f"{one.low!r} has no place in what was read", hard=True)
            return


def _stray(one: Item, clause: Clause) -> bool:
    if one.family == "date":
        if clause.head is not None and clause.head.family == "sign" and one.value.part == "ahead":
            return False
        return bool(one.value.kind != "offset" or one.value.days != 0)
    return one.family in STRAY


def _turned(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt what "instead", "rather than" may have turned round."""
    turns = TURNS_OR_OVER if written[0].type == "finding" else TURNS
    if clause.silent(turns) and clause.lacks("except"):
        return False
    elements = clause.elements()
    turning = [one for one in elements if isinstance(one, Item) and (one.low in turns or one.family == "except")]
    if not turning:
        return False
    taken_away = any(isinstance(one, Phrase) and one.out for one in elements)
    turn = next((one for one in turning if one.low in turns or not taken_away), None)
    if turn is not None:
        talk.ask("act", f"{turn.low!r} may turn it round", hard=True)
    return turn is not None


def _nearby(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt a plant that is only named to say where another stands: "moved the colonel next to 118"."""
    for one in clause.phrases():
        if one.low.startswith(BESIDE) and one.fields.keys() & {"labels", "nicknames"}:
            talk.ask("which", f"{one.low!r} may only say where", hard=True)
            return True
    return False


def _uncounted(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt a number that no rule used beside what was written; a number of insects is by design a remark."""
    if clause.head is not None and clause.head.family == "sign":
        return False
    left = [one for one in clause.elements() if not one.used and one.family in NUMBERS and _left_number(one)]
    if not left or any(one.act in ("top_dressed", "divided") for one in written):
        return False
    read_off = any(one.type in ("climate", "measure") for one in written)
    number = next((one for one in left if not (read_off and isinstance(one, Phrase))), None)
    if number is None:
        return False
    talk.ask("act", f"the number {number.low!r} has no place in what was read", hard=True)
    return True


NUMBERS = frozenset(("number", "range", "amount", Phrase.family))


def _left_number(one: Item | Phrase) -> bool:
    if isinstance(one, Phrase):
        return one.bare and not one.used
    if one.used or one.kept:
        return False
    clock = len(one.low) in (4, 5) and one.low[-3:-2] in (".", ":")  # "wtd 08.30"
    if one.family == "number" and one.meaning == "word":
        return one.low not in ("one", "a")
    return (
        one.family == "range"
        or (not clock and one.family == "number" and one.meaning == "digits")
        or one.means("amount", "cm", "c", "ml")
    )


def _strange_subject(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt a sign said of a thing that the reader does not know: "scion dried up"."""
    head = clause.head
    if head is None or clause.phrases() or not clause.before:
        return False
    subject = clause.before[-1]
    strange = isinstance(subject, Item) and subject.family == "word" and subject.form == "new" and not subject.used
    if strange:
        talk.ask("sign", f"{subject.low!r} is not known", hard=True)
    return strange


def _half_act(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt acts whose usual object is missing: plants that came in but are not named, a gift to nobody, a sowing unpotted."""
    for one in written:
        for topic, why, doubtful in (*OBJECTS.get(one.act or "", ()), *OBJECTS.get(one.type, ())):
            if doubtful(clause, one, one.which or NOTHING):
                talk.ask(topic, why, hard=True)
                return True
    return False


def _unread(clause: Clause) -> list[str]:
    return [one.low for one in clause.every("word") if not one.used]


def _came_unnamed(clause: Clause, one: Entry, which: Selection) -> bool:
    said, words = which.to_json(), _unread(clause)
    placed = bool(said) and said.keys() <= {"places", "nicknames"} and not one.details.get("from")
    many = said.keys() == {"count"} and said["count"] > MANY
    unread = not said and (bool(words) or clause.has("product") is not None)
    return placed or many or unread or one.type == "reminder" or bool({"took", "taken", "takes"} & set(words))


def _left_unnamed(clause: Clause, one: Entry, _which: Selection) -> bool:
    if one.details.get("to"):
        return False
    return bool(_unread(clause)) or clause.has("particle") is not None or _of_things(clause)


def _still_to_do(clause: Clause) -> bool:
    """Return whether what leaves may still be here: "give 41 to wilma", "giving 41 to wilma on friday"."""
    form = clause.head.form if clause.head is not None else ""
    return form == "base" or (form == "ing" and clause.has("date") is not None)


def _undone(clause: Clause, one: Entry, _which: Selection) -> bool:
    return one.act in NATURAL or clause.has("till") is not None


def _seeds_or_plants(clause: Clause, one: Entry, which: Selection) -> bool:
    return one.which is not None and (len(which.labels) > 1 or _seed_of(clause))


def _two_parents(_clause: Clause, one: Entry, which: Selection) -> bool:
    return "by" not in one.details and len(which.labels) > 1


MANY = 40  # project default: nobody writes of more plants that came in at once without saying what they are


def _not_yet(clause: Clause) -> bool:
    """Return whether a death is only feared: "41 is dying", "14 is next"."""
    dying = clause.head is not None and "dying" in clause.head.low
    return dying or not {"next", "dying"}.isdisjoint(clause.lows())


def _seed_of(clause: Clause) -> bool:
    """Return whether the plant may stand before the verb: "seed of 41 harvested, 120"."""
    return any(isinstance(one, Item) and one.means("prep", "of") for one in clause.before)


DOZEN = 12  # project default: more than a dozen at once are not said to have died without saying what they were


def _only_many(which: Selection) -> bool:
    """Return whether nothing but a number is said, and a great one: "the 88 died" names a plant."""
    return which.to_json().keys() == {"count"} and (which.count or 0) > DOZEN


def _of_things(clause: Clause) -> bool:
    """Return whether pots or labels were swapped and not plants."""
    return not {"pots", "pot", "labels", "label", "places"}.isdisjoint(clause.lows())


def _sized(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt numbers behind "into" or beside "sizes", which are pots and not plants: "rootbound, into a 14"."""
    if written[0].type == "finding":
        doubtful = any(one.prep == "to" and "labels" in one.fields for one in clause.phrases())
    elif written[0].act in ("moved", "potted", "repotted"):
        doubtful = any(one.low in ("size", "sizes") for one in clause.every("word"))
    else:
        return False
    if not doubtful:
        return False
    talk.ask("act", "a number may be a pot and not a plant", hard=True)
    return True


def _odd_finding(which: Selection, sign: str | None) -> bool:
    """Return whether a finding has a set that is none: a count beside one label, dry leaves taken off."""
    counted = which.count is not None and which.count > 1 and len(which.labels) == 1
    return counted or (which.kind == "leaves" and sign in ("mix_dry", "mix_damp"))


def _two_counts(one: Entry, which: Selection) -> bool:
    return bool(which.count) and one.details.get("sown") not in (None, which.count)


def _small_and_great(which: Selection) -> bool:
    """Return whether a number below ten stands in a list with greater ones: "3 cuttings from 118, 2 from 77"."""
    numbers = [int(one) for one in which.labels if one.isdecimal()]
    return bool(numbers) and min(numbers) < LEAST_LABEL < max(numbers)


Rule = reversals.Rule
NOTHING = Selection()
Doubtful = tuple[str, str, Callable[[Clause, Entry, Selection], bool]]
_LOST = ("which", "the number may be a plant", lambda _clause, _one, which: _only_many(which))
_SMALL = ("count", "a small number may be how many", lambda _clause, _one, which: _small_and_great(which))
_SEVERAL = ("which", "one of the numbers may be how many", lambda _c, _o, which: bool(which.lots and which.labels[1:]))
NATURAL = frozenset(("wetted", "died", "missing"))
OBJECTS: dict[str, tuple[Doubtful, ...]] = {  # by the act of an entry, and by its type
    "acquired": (("act", "what came in is not understood", _came_unnamed),),
    "given": (
        ("act", "what left is not understood", _left_unnamed),
        ("act", "it may be still to do", lambda clause, _one, _which: _still_to_do(clause)),
        _LOST,
        ("act", "a place", lambda _c, _o, which: which == Selection(places=which.places)),
    ),
    "died": (_LOST, ("act", "it may not be dead yet", lambda clause, one, _which: not one.sure or _not_yet(clause))),
    **dict.fromkeys(("discarded", "missing", "released"), (_LOST,)),
    "reminder": (("act", "nobody plans that", lambda _clause, one, _which: one.act in NATURAL and one.due is None),),
    "skip": (("act", "nobody leaves that undone", _undone),),
    "seed_harvested": (("which", "one of the numbers may be how many", _seeds_or_plants),),
    "pollinated": (("which", "which gave the pollen?", _two_parents),),
    "finding": (("which", "a finding on what only seems a set", lambda _clause, one, which: _odd_finding(which, one.sign)),),
    "sown": (("count", "a count beside the seeds of another sowing", lambda _clause, one, which: _two_counts(one, which)),),
    **dict.fromkeys(("offsets_taken", "cutting_taken"), (_SMALL,)),
    "named": (("act", "what it is not is named too", lambda _clause, _one, which: bool(which.excluded)), _SEVERAL),
    "measure": (("count", "a count and no plant", lambda _clause, one, which: one.of == "trap_count" and bool(which.labels)),),
    "unpotted": (("act", "a sowing tipped out may be lost or pricked out", lambda _clause, _one, which: bool(which.sowings)),),
}


def _next_time(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt an act named by its noun where the words may speak of the next time: "bench 2 next for a drink"."""
    head = clause.head
    if head is None or head.form == "past" or clause.silent(AHEAD):
        return False
    ahead = any(isinstance(one, Item) and one.low in AHEAD and not one.used for one in clause.elements())
    if ahead:
        talk.ask("when", "it may speak of the next time", hard=True)
    return ahead


def _compound(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt an act that may be half of a thing's name: "water butt empty"."""
    head = clause.head
    if head is None or head.meaning not in ("watered", "fed", "misted") or head.form == "past":
        return False
    if not clause.after or " " in head.low:
        return False
    behind = clause.after[0]
    thing = isinstance(behind, Item) and behind.family in ("word", "source") and not behind.used and behind.start - head.end == 1
    if thing:
        talk.ask("act", f"{head.low!r} and {behind.low!r} may be one thing", hard=True)
        return True
    return False


def _of_how_many(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt a number behind the set it is a part of: "of the seven cuttings five have roots"."""
    opening = clause.opening()
    if opening is None or not opening.low.startswith("of") or not f"{opening.low} ".startswith("of "):
        return False
    first, last = clause.span()
    numbers = [one for one in talk.items if one.family == "number" and first <= one.start and one.end <= last]
    if len(numbers) > 1 and not any(one.which is not None and one.which.of is not None for one in written):
        talk.ask("count", "how many of how many?", hard=True)
        return True
    return False


def _it_was(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt a number behind "it was", which may put the one before right: "relabelled 55, it was 56"."""
    if written[0].which is None or len(written[0].which.labels) < 2 or clause.silent(WAS):
        return False
    elements = clause.elements()
    put_right = any(
        isinstance(one, Phrase) and one.bare and isinstance(before, Item) and before.low in WAS
        for before, one in itertools.pairwise(elements)
    )
    if put_right:
        talk.ask("which", "the number may put the one before right", hard=True)
        return True
    return False


WAS = frozenset(listed("spoken")["was"])


def _sizes_or_plants(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt a range of small numbers behind labels that were repotted: "repotted 33, 8 to 10" may be pots."""
    if written[0].act not in ("potted", "repotted") or "pot_cm" in written[0].details:
        return False
    first, last = clause.span()
    said = [one for one in talk.items if first <= one.start and one.end <= last and one.family in ("number", "range")]
    if len(said) > 1 and said[-1].family == "range" and said[-1].value[1] <= LARGEST_USUAL_POT_CM:
        talk.ask("act", "the numbers may be pots and not plants", hard=True)
        return True
    return False


LARGEST_USUAL_POT_CM = 20  # project default: numbers beyond are plants


def _did_some(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt a plan of which some is done: "all four want potting on, did two today"."""
    if "did" not in clause.lows():
        return False
    talk.ask("act", "some of it may be done", hard=True)
    return True


def _from_when(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt a time that may only say which plants: "my graft from feb took", "the cuttings from last week failed"."""
    if clause.lacks("date") or clause.head is None or clause.head.form not in ("past", "noun") or clause.has("date") is None:
        return False
    items = [one for one in clause.elements() if isinstance(one, Item)]
    led = next((items[i - 1] for i, one in enumerate(items) if one.family == "date" and i and items[i - 1].low == "from"), None)
    told = led is not None and any(one.end + 1 == led.start and one.fields.keys() & KINDS for one in clause.phrases())
    days = {one.start for one in items if one.family == "date"}
    told = told or any(one.low.endswith(" from") and one.end + 1 in days for one in clause.phrases())
    if told:
        talk.ask("which", "the time may say which plants", hard=True)
        return True
    return False


KINDS = frozenset(("kind", "words", "state"))


def _of_their_own(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt plants that have days, people or sizes of their own: "watered 12 on fri and 88 today", "91 to pia, 104 to hollis"."""
    if clause.lacks("date") and clause.lacks("person") and clause.lacks("sizes"):
        return False
    if len(written) > 1 and len({(one.act, one.which) for one in written}) > 1:
        return False
    days = [one for one in clause.every("date") if not plans.is_ahead(one.value)]
    to = [e for one, e in itertools.pairwise(clause.elements()) if isinstance(one, Item) and one.means("prep", "to")]
    for topic, said in (
        ("when", days),
        ("who", [one for one in to if isinstance(one, Item) and one.family == "person"]),
        ("act", clause.every("sizes")),
    ):
        if len(said) > 1 and any(said[0].end <= one.start and one.end <= said[-1].start for one in clause.phrases()):
            talk.ask(topic, "plants with something of their own", hard=True)
            return True
    return False


def _to_come(clause: Clause, talk: Talk, written: list[Entry]) -> bool:
    """Doubt what is only on its way: "wilma is bringing 3 gymnos on sunday"."""
    head = clause.head
    if head is None or head.form != "ing" or written[0].act not in COMING:
        return False
    if not any(one.family == "q" and one.start < head.start for one in clause.elements()):
        return False
    talk.ask("act", "it may be still to come", hard=True)
    return True


COMING = frozenset(("moved", "acquired", "given", "offered"))  # what "bringing", "sending" may say of a day to come


def _strange_verb(clause: Clause, talk: Talk, _written: list[Entry]) -> bool:
    """Doubt a clause that opens with a verb the reader does not know: "fanned the greenhouse, 36 max"."""
    if clause.head is None or clause.head.family == "act":
        return False
    opening = clause.opening()
    if not isinstance(opening, Item) or opening is clause.head:
        return False
    strange = opening.family == "word" and not opening.used and opening.low.endswith("ed") and len(opening.low) > 4
    if strange:
        talk.ask("act", f"{opening.low!r} is not known", hard=True)
    return strange


def of_pairs(clauses: list[Clause], talk: Talk) -> None:
    """Ask where two acts stand side by side and the first has no plants: "took the lid off s15" is one act, not two."""
    for one, other in itertools.pairwise(clauses):
        first, second = one.head, other.head
        if first is None or second is None or one.hard or other.link:
            continue
        if one.phrases() and not first.means("act", "acquired"):
            continue
        machine = first.family == "act" and first.form != "past" and first.meaning in HOUSE and second.family == "sign"
        if machine and not other.phrases() and len(talk.entries) > 1:
            talk.ask("act", f"{second.low!r} may be said of {first.low!r}", hard=True)
            continue
        if first.means("act", "acquired") and second.means("act", "covered"):
            talk.ask("act", f"{second.low!r} may be what came in", hard=True)
            continue
        acts = first.family == second.family == "act" and first.meaning != second.meaning
        if acts and first.form == "past" and second.form in ("noun", "base") and len(talk.entries) > 1:
            talk.ask("act", f"{first.low!r} and {second.low!r} may be one act", hard=True)


HOUSE = frozenset(("vented", "heated", "shaded", "covered", "uncovered"))
TURNS = frozenset(listed("spoken")["turns"])
TURNS_OR_OVER = TURNS | frozenset(("finished", "stopped"))
BESIDE = tuple(f"{one} " for one in listed("spoken")["next to"])
AHEAD = frozenset(listed("spoken")["ahead"])
HESITATIONS = (
    _turned,
    _nearby,
    _uncounted,
    _strange_subject,
    _half_act,
    _next_time,
    _compound,
    _of_how_many,
    _did_some,
    _it_was,
    _sizes_or_plants,
    _from_when,
    _strange_verb,
    _to_come,
    _of_their_own,
    _sized,
)
# What the first entry has to be, and the head, for a rule to be asked at all; others are asked of every clause.
ENTRY: dict[Rule, tuple[str, ...]] = {
    **dict.fromkeys((_next_time, _compound, _to_come, _of_their_own), ("event",)),
    _did_some: ("reminder",),
    **reversals.ENTRY,
}
HEAD: dict[Rule, str] = {_strange_subject: "sign", _next_time: "act", _compound: "act", **reversals.HEAD}


@cache
def _called(entry: str, head: str, worded: bool) -> tuple[Rule, ...]:
    """Return the rules that a clause calls, by what its first entry is, the family of its head, and the words of the note."""
    every = (*HESITATIONS, *reversals.RULES, afterthoughts.of_its_own)
    meant = [rule for rule in every if entry in ENTRY.get(rule, (entry,)) and HEAD.get(rule, head) == head]
    return tuple(rule for rule in meant if worded or rule not in reversals.WORDED)


__all__ = ["of_clause", "of_pairs"]
