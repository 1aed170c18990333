"""From the noun phrases of a clause to one selection: what narrows, what is a destination, what is a part of a set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from bot.notes.clauses import Clause, Element
from bot.notes.heads import LEAST_LABEL
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import Selection
from bot.notes.subjects import Phrase
from bot.notes.talk import Talk

LISTS = ("labels", "nicknames", "taxa", "places", "lots", "sowings")
COUNTED_ACTS = frozenset(
    """
        acquired given offered offsets_taken cutting_taken divided sown germinated pricked_out rooted failed
        united potted set_to_dry seed_harvested seed_soaked isolated grafted washed discarded
    """.split()
)
ALWAYS_COUNTED = frozenset("acquired germinated rooted pricked_out sown failed united seed_harvested seed_soaked".split())
NAMED_ACTS = frozenset(
    """
        repotted unpotted photographed labelled label_lost named died inspected moved found_alive pollinated
        root_pruned turned missing released treated grafted top_dressed
    """.split()
)


PLACED = ("put", "pop", "set", "stood", "stuck")


@dataclass(slots=True)
class Said:
    """What the phrases of a clause add up to."""

    sets: list[dict[str, Any]] = field(default_factory=list)  # several where a union crosses fields
    to: list[Phrase] = field(default_factory=list)
    source: list[Phrase] = field(default_factory=list)
    whole: bool = False
    unsure: bool = False
    part: bool = False
    pieces: int | None = None

    def selections(self) -> list[Selection]:
        """Return the selections, one for each member of a union over fields."""
        return [Selection(**one) for one in self.sets if one]


def gather(clause: Clause, talk: Talk, act: str | None) -> Said:
    """Return what the clause's phrases select, for an act (or None for a finding)."""
    said = Said()
    elements = clause.elements()
    phrases = [one for one in elements if isinstance(one, Phrase) and not one.used]
    taken: list[Selection] = []
    previous: Phrase | None = None
    left_out: Phrase | None = None
    for phrase in phrases:
        phrase.used = True
        if phrase.bare and phrase.low.startswith("at ") and act is not None and _hour(phrase):
            continue  # "opened the vents at 9": a time of day; "look again at 216" is a plant
        if phrase.out:
            unnamed = phrase.bare and any("kind" in one for one in said.sets)  # offsets and cuttings have no labels
            taken += _exceptions(phrase, unnamed)
            if phrase.bare and not unnamed and not phrase.spelled and int(phrase.fields.get("labels", ("0",))[0]) < LEAST_LABEL:
                talk.ask("which", "what is left out may be a label or a count")
            left_out = phrase
            continue
        if left_out is not None and taken and _of_the_left_out(phrase, left_out, elements):
            taken[-1] = replace(taken[-1], **phrase.fields)
            continue
        if (
            act is None
            and talk.settled
            and (
                phrase.low in ("both", "all", "all of them", "both of them", "it all", "they all")
                or (set(phrase.fields) == {"refer"} and phrase.fields["refer"] == "all")
            )
        ):
            continue
        role = _role(phrase, act, said, clause)
        if role == "to":
            said.to.append(phrase)
        elif role == "from":
            said.source.append(phrase)
        elif role == "set":
            settle(phrase, clause, talk, act, phrases)
            _join(said, phrase, previous, [] if act == "sown" else _between(elements, previous, phrase), act)
            previous = phrase
    taken = _united(taken)
    if taken and not said.sets and _later_exception(talk, taken):
        taken = []
    if taken:
        if not said.sets:
            said.sets.append({})
        said.sets[-1]["excluded"] = tuple(taken)
    for one in said.sets:
        _tidy(one)
    said.sets = [one for one in said.sets if one]
    return said


def _hour(phrase: Phrase) -> bool:
    label = phrase.fields.get("labels", ("0",))[0]
    return not label.isdecimal() or int(label) <= 24


def _of_the_left_out(phrase: Phrase, left_out: Phrase, elements: Sequence[Element]) -> bool:
    """Return whether words say where the plants stand that were left out: "except the two at the end"."""
    follows = elements.index(phrase) == elements.index(left_out) + 1
    return follows and phrase.prep == "on" and phrase.fields.keys() <= {"words", "places"} and "places" not in left_out.fields


def _later_exception(talk: Talk, taken: list[Selection]) -> bool:
    """Take "… and fed, except the lithops" away from the set that was named before."""
    i = next(
        (
            n
            for n in range(len(talk.entries) - 1, -1, -1)
            if talk.entries[n].which is not None and talk.entries[n].type != "remark"
        ),
        None,
    )
    if i is None:
        return False
    old = talk.entries[i]
    assert old.which is not None
    talk.entries[i] = replace(old, which=replace(old.which, excluded=(*old.which.excluded, *taken)))
    return True


def _united(taken: list[Selection]) -> list[Selection]:
    """Return exceptions of one and the same kind as a single one: tray 2 and tray 4."""
    out: list[Selection] = []
    for one in taken:
        said = one.to_json()
        last = out[-1].to_json() if out else {}
        key = next(iter(said), "")
        if len(said) == 1 and len(last) == 1 and key in last and key in LISTS:
            both: dict[str, Any] = {key: (*getattr(out[-1], key), *getattr(one, key))}
            out[-1] = Selection(**both)
        else:
            out.append(one)
    return out


def _exceptions(phrase: Phrase, unnamed: bool = False) -> list[Selection]:
    fields = dict(phrase.fields)
    if (phrase.spelled or unnamed) and "labels" in fields:
        fields["count"] = int(fields.pop("labels")[0])
    return [Selection(**fields)] if fields else []


TARGETS = frozenset("moved given pricked_out potted repotted isolated released divided set_to_dry sown".split())
SOURCES = frozenset(
    "acquired moved offsets_taken cutting_taken released seed_harvested sown isolated germinated".split()
)  # acts that come "from" somewhere
PARENTS = frozenset(("offsets_taken", "cutting_taken", "seed_harvested"))


def _role(phrase: Phrase, act: str | None, said: Said, clause: Clause) -> str:
    """Return what a phrase is to an act: "set" for the plants, "to" where it goes, "from" where it came from."""
    if act == "grafted" and phrase.prep in ("on", "to") and said.sets and phrase.fields.keys() & {"taxa", "labels"}:
        return "to"
    if phrase.prep == "to" and phrase.bare and said.to and "places" in said.to[-1].fields:
        phrase.prep = None  # "moved 12 to bench 2, 15 as well"
    if phrase.prep == "to":
        return _target_role(phrase, act)
    if phrase.prep == "from" and act in ("moved", "isolated") and "places" in phrase.fields and _narrows_move(said):
        return "set"
    if phrase.prep == "from" and act in SOURCES:
        return "set" if act in PARENTS else "from"
    if act == "acquired" and "lots" in phrase.fields and said.sets and not clause.topic:
        return "from"
    behind = clause.head is not None and phrase.start > clause.head.start
    if act == "named" and behind and (said.sets or "taxa" in phrase.fields):
        return "set" if set(phrase.fields) == {"places"} and phrase.prep in ("on", "in", "at") else "to"
    place = "places" in phrase.fields or ("words" in phrase.fields and len(phrase.fields) == 1)
    return "to" if place and _goes_there(phrase, act, said, clause, behind) else "set"


def _narrows_move(said: Said) -> bool:
    """Return whether the place a move comes from says which plants: "moved 3 rebutias from tray 3"; a label needs none."""
    told = bool(said.sets) and said.sets[0].keys() - {"refer", "fraction"}
    return bool(told) and not any(one.keys() & {"labels", "nicknames", "places", "lots", "sowings"} for one in said.sets)


def _target_role(phrase: Phrase, act: str | None) -> str:
    if act not in TARGETS:
        return "set"
    if act == "divided" and phrase.bare:
        phrase.fields["count"] = int(phrase.fields.pop("labels")[0])
        phrase.bare = False
    return "set" if act == "divided" and "count" in phrase.fields else "to"


def _goes_there(phrase: Phrase, act: str | None, said: Said, clause: Clause, behind: bool) -> bool:
    """Return whether a place without "to" is where something goes: "put them on the q shelf", "pricked out s12 in tray 6"."""
    if act == "set_to_dry" and phrase.prep == "on" and said.sets:
        return True
    if not behind or clause.head is None:
        return False
    if act == "moved" and (said.sets or clause.has("pron") is not None):
        placed = phrase.prep is None or (phrase.prep == "on" and clause.head.low.startswith(PLACED))
        if placed and phrase.fields.get("places", ("",))[0]:
            return True
    stands = phrase.prep == "on" and act in ("pricked_out", "potted", "set_to_dry", "sown")
    if act == "potted" and said.sets and said.sets[-1] == {"refer": "all"}:
        return False  # "potted everything on the drying rack": which ones
    return stands and bool(said.sets or act in ("set_to_dry", "sown"))


def _between(elements: Sequence[Element], one: Phrase | None, other: Phrase) -> list[str]:
    if one is None:
        return []
    first, last = elements.index(one), elements.index(other)
    return [e.low for e in elements[first + 1 : last] if isinstance(e, Item)]


def _join(said: Said, phrase: Phrase, previous: Phrase | None, between: list[str], act: str | None) -> None:
    """Add a phrase: narrow the set, lengthen a list, or begin another member of a union."""
    fields = dict(phrase.fields)
    said.whole = said.whole or phrase.whole
    if not said.sets:
        said.sets.append(fields)
        return
    now = said.sets[-1]
    spread = any(low in ("and", "&", "+", "n", "plus", "also", "as well as") for low in between)
    if (
        not spread
        and ("places" in fields) != ("places" in now)
        and (fields.keys() | now.keys()) & {"taxa", "pot_cm", "kind", "count"}
        and not fields.keys() & now.keys()
    ):
        between = []
    listed = any(low in (",", "and", "&", "+", "n", "plus", "/", "also", "as well as") for low in between)
    shared = [key for key in LISTS if key in now and key in fields]
    alike = all(now.get(key) == value for key, value in fields.items() if key not in LISTS)
    if shared and (len(fields) == 1 or (set(fields) == set(now) and alike)) and not ("count" in now or "count" in fields):
        for key in shared:
            now[key] = tuple(dict.fromkeys((*now[key], *fields[key])))
        for key, value in fields.items():
            now.setdefault(key, value)
        return
    if act is None and not spread and set(fields) == {"labels"} and set(now) == {"taxa"}:
        listed = False  # "conos flowering, 33 34 and 36": which of them
    more_came = act == "acquired" and spread and "count" in fields and "taxa" in now and fields.keys() <= {"count", "words"}
    if shared or more_came or (listed and phrase.prep is None and previous is not None and not _narrows(fields, now)):
        said.sets.append(fields)
        return
    for key, value in fields.items():
        if key == "words" and "words" in now:
            now[key] = f"{now[key]} {value}"
        elif key == "count" and "count" in now:
            if fields.get("refer") == "all" or "so" in between:
                now["count"] = value
            elif value != now["count"] and act in ALWAYS_COUNTED:
                said.unsure = True
        else:
            now.setdefault(key, value)


def _narrows(fields: dict[str, Any], now: dict[str, Any]) -> bool:
    """Return whether a listed phrase still narrows the set before it ("tray 3, the rebutias"): a count or "all" alone does."""
    return set(fields) <= {"count", "refer", "approx", "fraction", "state", "of"} or set(now) <= {
        "count",
        "refer",
        "approx",
        "of",
    }


def _tidy(one: dict[str, Any]) -> None:
    if one.get("refer") == "all" and one.keys() & {*LISTS, "pot_cm", "kind", "roots", "state", "words"}:
        one.pop("refer")
        if one.get("count") is not None and one["count"] != one.get("of"):
            pass
    labels = one.get("labels")
    if labels:
        one["labels"] = tuple(dict.fromkeys(labels))


def settle(phrase: Phrase, clause: Clause, talk: Talk, act: str | None, phrases: Sequence[Phrase]) -> None:
    """Decide whether a bare number is a label or a count; where both fit and nothing tells, it becomes words to ask about."""
    if not phrase.bare or "labels" not in phrase.fields:
        return
    number = phrase.fields["labels"][0]
    verdict = _verdict(phrase, int(number), clause, talk, act, phrases)
    if verdict == "count":
        phrase.fields.pop("labels")
        phrase.fields["count"] = int(number)
    elif verdict == "unsure":
        phrase.fields.pop("labels")
        phrase.fields["words"] = number


@dataclass(slots=True)
class Bare:
    """A bare number and what the note says around it."""

    number: int
    phrase: Phrase
    clause: Clause
    talk: Talk
    act: str | None
    phrases: Sequence[Phrase]

    @property
    def after_head(self) -> bool:
        """Return whether the number stands behind the clause's head."""
        return self.clause.head is not None and self.clause.head.start < self.phrase.start

    @property
    def following(self) -> Element | None:
        """Return what stands right behind the number."""
        return next(iter(elements_after(self.clause, self.phrase)), None)


def _verdict(phrase: Phrase, number: int, clause: Clause, talk: Talk, act: str | None, phrases: Sequence[Phrase]) -> str:
    """Return label, count or unsure, by the first rule that knows."""
    bare = Bare(number, phrase, clause, talk, act, phrases)
    for rule in (_by_form, _by_preposition, _by_parents, _by_others, _by_act, _by_grammar, _by_size):
        said = rule(bare)
        if said is not None:
            return said
    return "unsure"


def _by_form(bare: Bare) -> str | None:
    known = bare.talk.names.names.labels
    fits = known is None or known[0] <= bare.number <= known[1]
    following = bare.following
    topic = isinstance(following, Item) and following.family == "colon" and bare.clause.has("person") is None
    if bare.act == "named" or (topic and bare.act not in ALWAYS_COUNTED):
        return "label"
    if bare.phrase.spelled or (not fits and bare.phrase.prep != "on"):
        return "count"
    return None


def _by_preposition(bare: Bare) -> str | None:
    prep, act, clause = bare.phrase.prep, bare.act, bare.clause
    if act == "isolated" and prep == "on" and "restart" in (clause.head.low if clause.head else ""):
        return "count"
    if prep == "on" and bare.number < 10 and act is None and bare.talk.settled and not bare.talk.labelled:
        return "count"
    if prep in ("on", "to", "for", "from", "with"):
        return "label"
    if bare.number >= 100 or bare.number == 0:
        return "label" if bare.number else "count"
    return "label" if clause.head is not None and clause.head.family == "measure" else None


def _by_parents(bare: Bare) -> str | None:
    """Tell the parent of offsets, cuttings and seeds from their number."""
    head = bare.clause.head
    if bare.act not in ("grafted", "offsets_taken", "cutting_taken", "seed_harvested"):
        return None
    counted = any(one is not bare.phrase and one.fields.get("count") is not None for one in bare.phrases)
    if bare.act == "grafted" and counted:
        return "label"
    if bare.act == "grafted" or head is None:
        return None
    if counted:
        return "label"
    following = bare.following
    seeds = isinstance(following, Item) and following.low.startswith("seed")
    before = any("count" in one.fields or (one.bare and one.start < head.start) for one in bare.phrases)
    return "label" if bare.after_head and not seeds and (bare.number > 12 or before) else "count"


def _by_others(bare: Bare) -> str | None:
    following = bare.following
    if (
        following is not None
        and isinstance(following, Phrase)
        and following.prep in ("on", "from")
        and "places" in following.fields
    ):
        return "count"
    if bare.act is None and isinstance(following, Item) and following.means("prep", "with"):
        return "count"
    if any("labels" in one.fields and not one.bare for one in bare.phrases) or (
        bare.talk.labelled and not (bare.talk.counted and bare.act in COUNTED_ACTS)
    ):
        if bare.number < 20 and bare.act is None:
            bare.talk.ask("which", "the number may be a label or a count")
        return "label"
    return None


def _by_act(bare: Bare) -> str | None:
    if bare.act == "acquired" and bare.number > 30 and not bare.after_head and bare.clause.has("person") is None:
        return "unsure"
    if bare.act in ALWAYS_COUNTED or (bare.talk.counted and bare.act != "photographed" and bare.number <= 40):
        return "count"
    if bare.act in COUNTED_ACTS:
        return "count" if bare.number <= 10 else "label" if bare.number > 30 else "unsure"
    if any(one is not bare.phrase and one.fields.keys() & {"lots", "sowings"} for one in bare.phrases):
        return "count"
    return None


SINGULAR, PLURAL = frozenset(listed("spoken")["singular"]), frozenset(listed("spoken")["plural"])


OWN = frozenset(("its", "it's", "itself", "his", "her"))


def _by_grammar(bare: Bare) -> str | None:
    following = bare.following
    own = bare.act is None and not OWN.isdisjoint(bare.clause.lows())
    if isinstance(following, Item) and following.low in SINGULAR and following.family in ("light", "stop", "hedge", "sure", "q"):
        return "label"
    if own:
        return "label"
    return "count" if isinstance(following, Item) and following.low in PLURAL else None


def _by_size(bare: Bare) -> str | None:
    grave = bare.act in ("died", "missing", "released", "found_alive")
    if bare.act in NAMED_ACTS and bare.number > (9 if bare.after_head and not grave else 30):
        return "label"
    if bare.after_head and bare.number > (12 if bare.act is None else 9):
        return "label"
    return "label" if bare.act is None and not bare.after_head and bare.number > 60 else None


def elements_after(clause: Clause, phrase: Phrase) -> list[Element]:
    """Return what stands after a phrase in its clause."""
    every = clause.elements()
    return every[every.index(phrase) + 1 :]


__all__ = ["Said", "gather", "settle"]
