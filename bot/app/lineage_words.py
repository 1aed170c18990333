"""Where plants come from, in words: "14 is an offset of 9", "S7 is 77 x 78", "pollen parent of 14 is 12", "children of 9".

A cross is written seed parent first, pollen parent second (common practice).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from bot.app import acts
from bot.app.english import lineage as words
from bot.app.english import record
from bot.app.enquiries import enquire
from bot.app.nearest import near
from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.events import Ref
from bot.care.standing import Standing, Thing
from bot.messages import Button
from bot.notes.reading import Entry, Selection

_LABEL = r"(?:(?:plant |no\.? ?|#|number )?(?:[A-Za-z]{1,4}[-./]?)?\d[\w.-]*)"
_BEFORE = r"(?:the |my |no\.? ?|#|plant |number )*"
_CHILD = rf"{_BEFORE}(?P<child>{_LABEL})"
_TIMES = r"(?: ?(?:x|\u00d7|\*) ?| crossed (?:with|by) )"
_PAIR = rf"(?P<mother>[\w.' -]+?)(?:{_TIMES}| and | & | with )(?P<father>[\w.' -]+?)"
_HOW = r"(?P<how>offset|pup|cutting|leaf|seedling|seed|division|graft|cross|hybrid|child|baby)"
_IS = r" (?:is|are|was|were|came|comes|=)"
_ANYWAY = r"(?P<anyway>,? anyway)?[.! ]*"
_VEGETATIVE = frozenset(("offset", "cutting", "leaf", "division", "graft"))
_HOW_SAID = {"pup": "offset", "off": "offset", "from": "", "seed": "seedling", "cross": "seedling", "hybrid": "seedling",
             "child": "", "baby": ""}  # fmt: skip

_OF_ONE = re.compile(
    rf"{_CHILD}{_IS}(?: an?| one)? ?(?P<how>offset|pup|cutting|leaf|seedling|seed|division|graft|child|baby|off|from)s?"
    rf"(?: (?:of|off|from|on))*(?: {_BEFORE}| )(?P<parent>[\w.' -]+?){_ANYWAY}",
    re.IGNORECASE,
)
_OF_TWO = (
    re.compile(rf"{_CHILD}{_IS}(?: an?| one)? ?(?:{_HOW}s? (?:of|from|between) )?{_BEFORE}{_PAIR}{_ANYWAY}", re.IGNORECASE),
    re.compile(rf"(?:the )?(?:both )?parents of {_CHILD}(?: are| were|:| =)? {_BEFORE}{_PAIR}{_ANYWAY}", re.IGNORECASE),
    re.compile(rf"{_CHILD} (?:has|had)(?: both)?(?: the)? parents {_BEFORE}{_PAIR}{_ANYWAY}", re.IGNORECASE),
    re.compile(
        rf"(?:the )?(?:mother|seed parent) of {_CHILD} (?:is|was) {_BEFORE}(?P<mother>[\w.' -]+?)(?:,|,? and) "
        rf"(?:the |its )?(?:father|pollen parent)(?: is| was)? {_BEFORE}(?P<father>[\w.' -]+?){_ANYWAY}",
        re.IGNORECASE,
    ),
)
_ROLE = re.compile(
    rf"(?:the )?(?P<role>mother|father|seed parent|pollen parent|pollen) of {_CHILD} (?:is|was|came from) {_BEFORE}"
    rf"(?P<parent>[\w.' -]+?){_ANYWAY}",
    re.IGNORECASE,
)
_CODE = r"s ?-?\d+"
_OF_PLANT = r"[\w.' -]+?"
_SEEDS = r"(?P<{}>\d+) seeds?"
_SOWN = re.compile(
    rf"sow(?:ed|n) (?:{_SEEDS.format('first')} (?:of|from) )?"
    rf"(?:(?P<code>{_CODE}),? ?(?:{_SEEDS.format('count')},? )?"
    rf"(?:of|from|=|:) ?(?P<of>{_OF_PLANT})(?:,? {_SEEDS.format('last')})?"
    rf"|(?P<of2>{_OF_PLANT}) as (?P<code2>{_CODE})){_ANYWAY}",
    re.IGNORECASE,
)
_FROM = re.compile(rf"{_CHILD} (?:is|was|came|comes)(?: bought)? from (?P<who>[^\W\d][\w.' -]{{1,40}}?)[.! ]*", re.IGNORECASE)
_FAMILY = re.compile(
    r"(?:what (?:are|were)|who (?:are|were)|show(?: me)?|list|which are)? ?"
    r"(?:the )?(?:children|offspring|descendants|pups|parents?|lineage|family) of (?P<what>.+?)[?.! ]*"
    r"|what (?:came|has come|became) (?:of|from) (?P<plant>\d[\w.-]*)[?.! ]*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class _Said:
    """What a text says of a child: its parents (seed, pollen; empty where not said), how it was raised, meant although odd."""

    child: Ref
    parent: Ref | None
    pollen: Ref | None
    how: str
    anyway: bool


def lineage_command(text: str, draft: Draft) -> bool:
    """Carry out words about where a plant comes from; False where the text is a note for the reader."""
    said = " ".join(text.split())
    return any(rule(said, draft) for rule in (_family, _sown, _of_two, _role, _of_one, _source))


def _family(text: str, draft: Draft) -> bool:
    match = _FAMILY.fullmatch(text)
    what = (match["what"] or match["plant"]) if match is not None else ""
    ref = _thing(what, draft) if what else None
    if ref is None or ref.kind not in ("plant", "sowing"):
        if ref is None and what and re.fullmatch(_LABEL, what, re.IGNORECASE):
            draft.tell(record.no_parent(what, near(what, draft.view.standing)))
            return True
        return False
    which = Selection(labels=(ref.key,)) if ref.kind == "plant" else Selection(sowings=(ref.key,))
    found = enquire(Entry("question", about="lineage", which=which), draft)
    asked = "children" if re.search(r"children|offspring|descendants|pups|what (?:came|has|became)", text, re.IGNORECASE) else ""
    draft.say("answer", about=found.about, **found.facts, asked=asked)
    draft.current = (ref,)
    return True


def _source(text: str, draft: Draft) -> bool:
    """Take "12 came from Hofer" as where a plant that is here came from, and not as twelve new ones."""
    match = _FROM.fullmatch(text)
    plant = draft.view.standing.plant(re.sub(rf"^{_BEFORE}", "", match["child"], flags=re.IGNORECASE)) if match else None
    if match is None or (plant is None and not match["child"].strip().isdigit()):
        return False
    who = match["who"]
    known = who.lower() in draft.view.standing.people
    if not known and (not who[:1].isupper() or named(who.lower(), draft)):
        return False  # a place, a lot, a genus
    if plant is None:
        number = match["child"].strip()
        one = Button(words.ONE_PLANT.format(number=number), f"bought no {number} from {who}")
        many = Button(words.MANY_PLANTS.format(number=number), f"bought {number} plants from {who}")
        draft.tell(words.one_or_many(number, who), buttons=((one, many),))
        return True
    facts = {"came_from": draft.view.standing.people.get(who.lower(), who)}
    draft.say("known", draft.event("known", "source", (plant.ref,), draft.view.today, facts))
    draft.current = (plant.ref,)
    return True


def _of_one(text: str, draft: Draft) -> bool:
    """Take "14 is an offset of 12" as where the plant came from; a seedling has the pollen that its parent was given."""
    match = _OF_ONE.fullmatch(text)
    if match is None or (match["how"].lower() in ("off", "from") and not match["parent"].strip().isdigit()):
        return False
    how = match["how"].lower()
    how = _HOW_SAID.get(how, how)
    parents = match["child"] if match["parent"].strip().lower() == "itself" else match["parent"]
    found = _known(draft, match["child"], (parents,))
    if found is None:
        return False
    if found:
        child, parent = found
        said = _Said(child, parent, None, how, bool(match["anyway"]))
        _write(_pollinated(said, draft) if how == "seedling" else said, draft)
    return True


def _of_two(text: str, draft: Draft) -> bool:
    match = next((matched for one in _OF_TWO if (matched := one.fullmatch(text)) is not None), None)
    if match is None:
        return False
    how = str(match.groupdict().get("how") or "").lower()
    if _HOW_SAID.get(how, how) in _VEGETATIVE:
        draft.tell(words.one_parent(how))
        return True
    if re.search(rf"{_TIMES}| and | & ", match["father"]):
        if not all(_thing(one, draft) for one in re.split(rf"{_TIMES}| and | & ", match["father"])):
            return False
        draft.tell(words.TWO_AT_MOST)
        return True
    if not _speaks_of_parents(match, draft):
        return False
    found = _known(draft, match["child"], (match["mother"], match["father"]))
    if found is None:
        return False
    if found:
        child, mother, father = found
        _write(_Said(child, mother, father, "seedling", bool(match["anyway"])), draft)
    return True


def _speaks_of_parents(match: re.Match[str], draft: Draft) -> bool:
    """Whether a pair can be parents: a cross in so many words, or two plants or numbers with a cross between them."""
    said = match.groupdict()
    if "how" not in said or said["how"]:
        return True
    between = match.string[match.end("mother") : match.start("father")]
    if re.fullmatch(_TIMES, between, re.IGNORECASE) is None:
        return False  # "12 is dry and 13 is wet"
    labels = (re.fullmatch(_LABEL, one.strip(), re.IGNORECASE) for one in (match["mother"], match["father"]))
    return all(labels) or bool(_thing(match["mother"], draft) and _thing(match["father"], draft))


def _role(text: str, draft: Draft) -> bool:
    """Take "the pollen parent of 14 is 12": the other parent stays as it was."""
    match = _ROLE.fullmatch(text)
    found = _known(draft, match["child"], (match["parent"],)) if match is not None else None
    if match is None or found is None:
        return False
    if found:
        child, parent = found
        pollen = match["role"].lower() in ("father", "pollen parent", "pollen")
        anyway = bool(match["anyway"])
        _write(_Said(child, None if pollen else parent, parent if pollen else None, "seedling", anyway), draft)
    return True


def _sown(text: str, draft: Draft) -> bool:
    """Take "sowed S20 from 77 x 78, 30 seeds" as a sowing with its parents."""
    match = _SOWN.fullmatch(text)
    if match is None:
        return False
    code = re.sub(r"[ -]", "", match["code"] or match["code2"]).upper()
    pair = re.split(_TIMES, (match["of"] or match["of2"]).strip())
    parents = [ref for one in pair if (ref := _thing(one, draft)) is not None and ref.kind == "plant"]
    if len(pair) > 2 or len(parents) != len(pair):
        return False
    count = int(match["first"] or match["count"] or match["last"] or 0)
    details: dict[str, Any] = {"sown": count} if count else {}
    acts.act(draft, Entry("event", act="sown", which=Selection(sowings=(code,)), details=details))
    said = _Said(Ref("sowing", code), parents[0], parents[1] if len(parents) > 1 else None, "seedling", anyway=True)
    _write(_pollinated(said, draft), draft)
    return True


# --- what is meant, and what speaks against it ---------------------------------------------------------------------------


def _thing(said: str, draft: Draft) -> Ref | None:
    """Return the plant, sowing, batch or lot that words name, where there is one."""
    words_ = re.sub(rf"^{_BEFORE}", "", said.strip(), flags=re.IGNORECASE)
    standing = draft.view.standing
    plant = standing.plant(words_)
    if plant is not None:
        return plant.ref
    sowing = re.sub(r"[ -]", "", words_).upper()
    if ("sowing", sowing) in standing.things:
        return Ref("sowing", sowing)
    if words_.isdigit():
        return None  # a number that nobody has
    refs = named(words_, draft)
    return refs[0] if len(refs) == 1 and (refs[0].kind, refs[0].key) in standing.things else None


def _known(draft: Draft, child: str, parents: Sequence[str]) -> list[Ref] | None:
    """Return the child and its parents as refs; an empty list where one is not there, which is said; None if not about plants."""
    found = [_thing(one, draft) for one in parents]
    unknown = [one for one, ref in zip(parents, found, strict=True) if ref is None]
    mine = _thing(child, draft)
    if unknown and (len(unknown) == len(parents) > 1 or not any(one.isdigit() for one in unknown[0])) and mine is None:
        return None
    if unknown:
        draft.tell(record.no_parent(unknown[0], near(unknown[0], draft.view.standing)))
        return []
    label = re.sub(rf"^{_BEFORE}", "", child.strip(), flags=re.IGNORECASE)
    fresh = Ref("sowing", label.upper()) if re.fullmatch(r"s\d+", label, re.IGNORECASE) else Ref("plant", label)
    return [mine or fresh, *(one for one in found if one is not None)]


def _pollinated(said: _Said, draft: Draft) -> _Said:
    """Return what is said with the pollen parent by the record, where the seed parent was crossed with one plant alone."""
    mother = draft.view.standing.things.get((said.parent.kind, said.parent.key)) if said.parent is not None else None
    if mother is None or said.pollen is not None:
        return said
    given = {str(by) for _, by in mother.tally.get("pollen", ())}
    if len(given) != 1:
        return said
    by = given.pop()
    father = mother.ref if by == "self" else _thing(by, draft)
    return replace(said, pollen=father) if father is not None else said


def _write(said: _Said, draft: Draft) -> None:
    """Write where a thing comes from, or say what speaks against it."""
    standing = draft.view.standing
    parents = [one for one in (said.parent, said.pollen) if one is not None]
    own = next((one for one in parents if descends(standing, one, said.child)), None)
    if own is not None:
        draft.tell(record.OWN_PARENT.format(child=said.child.key, parent=own.key))
        return
    kin = [standing.things.get((one.kind, one.key)) for one in (said.child, *parents)]
    genera = {one.genus: one for one in kin if one is not None and one.genus}
    if len(genera) > 1 and not said.anyway:
        again = f"{draft.view.text.strip().rstrip('.!')} anyway"
        draft.tell(words.genera_differ(tuple(genera.values())), buttons=((Button(words.YES, again),),))
        return
    facts = {"parent": said.parent, "pollen": said.pollen}
    known: dict[str, Any] = {key: f"{one.kind}:{one.key}" for key, one in facts.items() if one is not None} | {"how": said.how}
    new = () if (said.child.kind, said.child.key) in standing.things or said.child.kind != "plant" else (said.child.key,)
    draft.say("known", draft.event("known", "parent", (said.child,), draft.view.today, known), new_labels=new)
    draft.current = (said.child,)


def descends(standing: Standing, one: Ref, other: Ref) -> bool:
    """Whether a thing is another, or comes from it by way of its parents."""
    seen: set[str] = set()
    open_ones = [f"{one.kind}:{one.key}"]
    while open_ones:
        here = open_ones.pop()
        if here == f"{other.kind}:{other.key}":
            return True
        if here in seen:
            continue
        seen.add(here)
        kind, _, key = here.partition(":")
        thing = standing.things.get((kind, key))
        open_ones += thing.parents if thing is not None else ()
    return False


def children(standing: Standing, of: Thing) -> list[Thing]:
    """Return what comes from a thing, by either parent."""
    mine = f"{of.kind}:{of.key}"
    return [one for one in standing.things.values() if mine in one.parents and one.kind != "place"]


__all__ = ["children", "descends", "lineage_command"]
