"""Words about places: which stands in which, what is usual on a bench, and a new name for one.

"tray 3 is on bench 2", "bench 2 is 7s, plastic, half mineral, full sun". What is usual on a bench holds for all that stands
there and has no pot of its own in the notes.
"""

from __future__ import annotations

import re
from typing import Any

from bot.app.english import places as said
from bot.app.lot_labels import LABELS, labels_of
from bot.app.plan import Draft
from bot.app.ruling import LIGHT_WORDS, named
from bot.app.which import circles, place_of
from bot.care.due_water import MATERIAL_WORDS, MIX_WORDS
from bot.care.events import Ref
from bot.care.standing import Standing

INCH_CM = 2.54
SMALLEST_CM, LARGEST_CM = 2.0, 100.0
_NOUN = (
    r"(?:bench|tray|shelf|frame|greenhouse|house|box|table|sill|rack|bay|staging|bed|room|propagator|tunnel|porch"
    r"|conservatory|tent|polytunnel|lean-to|cellar|loft|garage|shed|summerhouse|glasshouse)"
)
_STANDS = re.compile(
    r"(?:the |my )?(?P<inner>[\w' -]{1,40}?) (?:now )?(?:is|are|stands?|sits?) (?:now )?(?:on|in|at)"
    r" (?:the |my )?(?P<outer>[\w' -]{1,40})"
)
_USUAL = re.compile(
    r"(?:everything (?:on|in) |all (?:on|in) |the pots (?:on|in) )?(?:the |my )?(?P<place>[\w' -]{1,40}?)"
    r" (?:is|are|has|holds|have)(?: all| mostly| usually)?:? (?P<list>.+)"
)
_LISTS = re.compile(
    rf"(?:on |in )?(?:the |my )?(?P<place>[\w' -]{{1,40}}?)(?: has| holds|:| =|: has) (?P<labels>{LABELS})", re.IGNORECASE
)
_SIZE = re.compile(
    r"(?:in )?(?P<size>\d{1,3}(?:[.,]\d)?) ?(?P<unit>cm|s|in|inch|inches|\"|mm)?(?: (?P<shape>square|round))?(?: pots?)?"
)
_SIZED = re.compile(r"(\d{1,3}(?:[.,]\d)?(?: ?(?:cm|inch(?:es)?|in|mm|s))?) (\D.*)")
_PARTS = re.compile(r"\s*(?:(?<!\d),|,(?!\d)|;|\band\b|\bin\b|\bwith\b|&|\+)\s*")
_APART = re.compile(r"\b(?:sick|quarantine|isolat\w+|hospital|q)\b", re.IGNORECASE)
_ASKING = frozenset("one ones some any what whats which who where is are if".split())
_FILLER = re.compile(r"^(?:all|in|mostly|the|a|an) | (?:pots?|mix|compost|light)$")


def place_command(text: str, draft: Draft) -> bool:
    """Carry out words about a place; False where the text is none."""
    low = " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").rstrip(".! ").split())
    return _stands(low, draft) or _listed(low, draft) or _usual(low, draft)


def is_place(words: str, standing: Standing) -> bool:
    """Whether words name a place: one that is known, or one with the noun of a place and its number."""
    return ("place", place_of(words, standing)) in standing.things or bool(
        re.fullmatch(rf"(?:[\w']+ )*{_NOUN}(?: \w{{1,3}})?", words)
    )


def _stands(low: str, draft: Draft) -> bool:
    match = _STANDS.fullmatch(low)
    standing = draft.view.standing
    if match is None or not is_place(match["outer"], standing) or match["outer"] in LIGHT_WORDS:
        return False
    if not is_place(match["inner"], standing):
        return _plants_stand(match["inner"], place_of(match["outer"], standing), draft)
    inner, outer = (place_of(match[name], standing) for name in ("inner", "outer"))
    if circles(standing, inner, outer):
        draft.say("impossible", what="circle", inner=inner, outer=outer)
        return True
    draft.say("event", draft.event("event", "moved", (Ref("place", inner),), draft.view.today, {"to": outer}))
    return True


def _listed(low: str, draft: Draft) -> bool:
    """Take "bench 1 has 12 13 and 15" as where these stand, new numbers too: a bench is told once, not pot by pot."""
    match = _LISTS.fullmatch(low)
    if match is None or not is_place(match["place"], draft.view.standing) or _APART.search(match["place"]):
        return False
    labels = labels_of(match["labels"])
    if len(labels) < 2:
        return False
    standing, place = draft.view.standing, place_of(match["place"], draft.view.standing)
    fresh = tuple(one for one in labels if standing.plant(one) is None)
    refs = tuple(standing.same(Ref("plant", one)) for one in labels)
    draft.say("event", draft.event("event", "moved", refs, draft.view.today, {"to": place}), new_labels=fresh)
    draft.current = refs
    return True


def _plants_stand(words: str, place: str, draft: Draft) -> bool:
    """Take "12 is on bench 2" as the move that put it there."""
    if _APART.search(place) or any(word in _ASKING for word in words.split()):
        return False  # the reader knows what standing apart means
    known = draft.view.standing.things
    refs = tuple(one for one in named(words, draft) if one.kind in ("plant", "lot", "batch"))
    if not refs or any((one.kind, one.key) not in known for one in refs):
        return False
    draft.say("event", draft.event("event", "moved", refs, draft.view.today, {"to": place}))
    return True


def _usual(low: str, draft: Draft) -> bool:
    match = _USUAL.fullmatch(low)
    standing = draft.view.standing
    if match is None or not is_place(match["place"], standing) or standing.plant(match["list"]) is not None:
        return False
    found: dict[str, Any] = {}
    pot: dict[str, Any] = {}
    odd = _take_all(match["list"], pot, found)
    if not pot and not found:
        return False
    if odd:
        draft.tell(said.not_usual(odd))
        return True
    if pot and not SMALLEST_CM <= pot.get("cm", SMALLEST_CM) <= LARGEST_CM:
        draft.tell(said.no_pot(pot["cm"]))
        return True
    place = place_of(match["place"], standing)
    facts = found | ({"pot": pot} if pot else {})
    draft.say("usual", draft.event("ruled", "usual", (Ref("place", place),), draft.view.today, facts))
    return True


def _take_all(words: str, pot: dict[str, Any], found: dict[str, Any]) -> str:
    """Take size, material, mix and light out of a list; return the first part that is none of these."""
    for part in _PARTS.split(words):
        word = _FILLER.sub("", _FILLER.sub("", part)).strip()
        if word and not _take(word, part.strip(), pot, found):
            return part.strip()
    return ""


def pot_of_words(words: str) -> dict[str, Any] | None:
    """Return the pot that words such as "9 cm clay" mean; None where they say anything else."""
    pot: dict[str, Any] = {}
    found: dict[str, Any] = {}
    return pot if not _take_all(words, pot, found) and not found else None


def _take(word: str, whole: str, pot: dict[str, Any], found: dict[str, Any]) -> bool:
    size = _SIZE.fullmatch(whole) or _SIZE.fullmatch(word)
    behind = None if size else _SIZED.fullmatch(word)
    if behind:  # "3 inch clay"
        return _take(behind[1], behind[1], pot, found) and _take(behind[2], behind[2], pot, found)
    if size:
        value = float(size["size"].replace(",", "."))
        unit = size["unit"] or ""
        if size["shape"] == "square":
            pot["material"] = "square"
        pot["cm"] = round(value * INCH_CM, 1) if unit.startswith(("in", '"')) else value / 10 if unit == "mm" else value
        return True
    if word in MATERIAL_WORDS or word in ("plastic", "square", "square plastic"):
        pot["material"] = "square" if word.startswith("square") else word
    elif word in MIX_WORDS:
        pot["mix"] = word
    elif whole in LIGHT_WORDS or word in LIGHT_WORDS:
        found["light"] = LIGHT_WORDS.get(whole) or LIGHT_WORDS[word]
    else:
        return False
    return True
