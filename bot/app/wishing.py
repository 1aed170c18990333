"""What is wished for: by the grower ("i want a copiapoa cinerea"), and by others ("pavel wants the thelo").

A wish is an event of kind `wished`: `wanted` with `name` and `who` (empty for the grower), `dropped` with the key of the wish.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from bot.app.plan import Draft, View
from bot.care.standing import Standing, wish_key
from bot.notes.lexicon import rows as lexicon_rows
from bot.notes.reader import read
from bot.notes.reading import Entry, Selection
from bot.sharing.listing import UNNAMED, Shown, public_name, rows

MOST_AT_ONCE = 20
LONGEST_NAME = 80
_MINE = (
    r"i(?: (?:really|still|also))? (?:want|wish for)(?: to (?:have|get|find|own))?"
    r"|i(?: would|'?d) (?:like|love)(?: to (?:have|get|find|own))?"
    r"|(?:i(?:'?m| am) )?(?:looking|searching|wishing) for|i(?:'?m| am) after"
)
_WANT = re.compile(rf"(?:{_MINE}) (?P<what>.+)", re.IGNORECASE)
_LIST_OF = re.compile(
    r"(?:my |the )?wish ?list(?: (?:for|of) (?P<who>[^\W\d_][\w'-]*))? ?(?::|,|;| -) ?(?:add )?(?P<what>.+)", re.IGNORECASE
)
_ON_LIST = re.compile(
    r"(?:add|put) (?P<what>.+?) (?:to|on|onto) (?:(?P<who>[^\W\d_][\w-]*?)'?s|my|the) wish ?list", re.IGNORECASE
)
_OTHERS = re.compile(
    r"(?:my )?(?P<who>[^\W\d_][\w'-]*)"
    r" (?:wants?|wishes for|would (?:like|love)|is (?:after|looking for)|asked for|is asking for) (?P<what>.+)",
    re.IGNORECASE,
)
_NOT = r"(?:do(?:es)?n'?t|do(?:es)? not|no longer)"
_DROP = re.compile(
    rf"(?:my )?(?P<who>[^\W\d_][\w'-]*) {_NOT} (?:wants?|wish(?:es)?(?: for)?) (?P<what>.+?)(?: any ?(?:more|longer))?"
    r"|(?:take|remove|delete|drop|strike) (?P<listed>.+?) (?:off|from) (?:(?P<whose>[^\W\d_][\w-]*?)'?s|my|the) wish ?list"
    r"|(?P<bare>[\w' -]+?) (?:is |are )?(?:not|no longer) wished(?: for)?(?: any ?(?:more|longer))?",
    re.IGNORECASE,
)
_NUMBER = re.compile(
    r"(?:drop|remove|delete|cancel|forget|strike) wish(?:es)? (?:no\.? ?|number |#)?(?P<number>\d{1,3})", re.IGNORECASE
)
_ASKED = re.compile(
    r"(?:show|list)?(?: me)? ?(?:my |the |all )?(?:wish ?lists?|wishes)"
    r"|what (?:do|did) i (?:wish(?: for)?|want)|what am i (?:looking for|after)|what(?:'?s| is) on (?:my|the) wish ?list",
    re.IGNORECASE,
)
_WHOSE = re.compile(
    r"\bwhat (?:does|did|is|would) (?P<who>[^\W\d_][\w'-]*) (?:want|wish|after|looking|like)|\b(?P<list>[^\W\d_][\w-]*?)'?s wish",
    re.IGNORECASE,
)
_MY_OWN = re.compile(r"\b(?:do|did|am|would) i\b|\bmy\b", re.IGNORECASE)
_COUNT = re.compile(
    r"(?:(?:a|an|one|some|any|another|the|my|your|our) )*(?:\d{1,2} (?:of (?:the |my |your )?)?)?(?:more )?", re.IGNORECASE
)
_COURTESY = re.compile(r"(?:[ ,]+(?:please|pls|too|as well|also|one day|some ?day|some ?time))+$", re.IGNORECASE)
_BINOMIAL = re.compile(r"[A-Z][a-z]{3,}(?: (?:cf\.?|aff\.?))? [a-z-]{3,}.*")
_FIELD_NUMBER = re.compile(r"(?: ?[A-Z]{1,5} ?\d[\w./-]*)?")
_NOBODY = frozenset(
    """i me we you he she it they this that these those one who whos what which when where why how anyone anybody someone somebody
    everyone everybody nobody none all any everything nothing plant plants pot pots tray bench seller does do did is are not and
    if also still really""".split()
)


def wish_command(text: str, draft: Draft) -> bool:
    """Carry out words about wishes; False where they are about something else."""
    said = " ".join(text.split()).rstrip(".!? ")
    if _ASKED.fullmatch(said):
        draft.say("answer", about="wishes", **wishes(None, draft.view, own=True))
        return True
    if (match := _NUMBER.fullmatch(said)) is not None:
        return _drop_number(int(match["number"]), draft)
    if (match := _DROP.fullmatch(said)) is not None:
        return _drop(match, draft)
    for pattern in (_LIST_OF, _ON_LIST, _WANT, _OTHERS):
        if (match := pattern.fullmatch(said)) is not None:
            return _wish(match, draft, listed=pattern in (_LIST_OF, _ON_LIST))
    return False


def wishes(entry: Entry | None, view: View, *, own: bool = False) -> dict[str, Any]:
    """Return who wishes for what, numbered: all, those of one person, or those for the plants that are named."""
    numbered = list(enumerate(ordered(view.standing), 1))
    asked = _WHOSE.search(view.text)
    who = next((one for one in asked.groups() if one), "").lower() if asked else ""
    taxa = tuple(one.lower() for one in entry.which.taxa) if entry and entry.which else ()
    mine = own or (not taxa and not who and _MY_OWN.search(view.text) is not None)
    if mine or who == "i":
        numbered = [(number, one) for number, one in numbered if not one["who"]]
    elif who:
        numbered = [(number, one) for number, one in numbered if one["who"].lower() == who]
    if taxa:
        numbered = [(number, one) for number, one in numbered if any(_alike(one["name"], taxon) for taxon in taxa)]
    return {"numbered": tuple(numbered), "who": "" if mine else who, "taxa": taxa, "own": mine}


def ordered(standing: Standing) -> list[dict[str, Any]]:
    """Return the wishes as they were told, each with its key: a number moves only where an earlier one is dropped."""
    kept = [{**one, "key": key} for key, one in standing.wishes.items()]
    return sorted(kept, key=lambda one: (one["sequence"], one["key"]))


def _alike(name: str, taxon: str) -> bool:
    low, wanted = name.lower(), taxon.lower()
    return low == wanted or low.startswith(f"{wanted} ") or wanted.startswith(f"{low} ")


def _wish(match: re.Match[str], draft: Draft, *, listed: bool) -> bool:
    view = draft.view
    who = _person(match.groupdict().get("who") or "", view)
    parts = [one for one in re.split(r" ?[,;] ?(?:and )?| and ", match["what"]) if one]
    if who is None or len(parts) > MOST_AT_ONCE:
        return False
    names = [_name(one, view) or (_as_typed(one) if listed else "") for one in parts]
    if not names or not all(names):
        return False
    first = not any(not one["who"] for one in view.standing.wishes.values())
    for name in dict.fromkeys(names):
        if wish_key(who, name) in view.standing.wishes:
            draft.say("wished_already", who=who, name=name)
            continue
        event = draft.event("wished", "wanted", (), view.today, {"name": name, **({"who": who} if who else {})})
        draft.say("wished", event, mine=_may_go(name, view) if who else 0, first=first)
        first = False
    return True


def _as_typed(said: str) -> str:
    bare = " ".join(said.split())[:LONGEST_NAME]
    return bare[:1].upper() + bare[1:]


def _may_go(name: str, view: View) -> int:
    """Return how many plants of that name could be on a list."""
    return sum(one.count for one in rows(view.standing, Shown()) if _alike(one.name, name))


def _drop_number(number: int, draft: Draft) -> bool:
    found = ordered(draft.view.standing)
    if 1 <= number <= len(found):
        _dropped(found[number - 1], draft)
    else:
        draft.say("no_such_wish", number=number)
    return True


def _drop(match: re.Match[str], draft: Draft) -> bool:
    view = draft.view
    said = match["who"] or match["whose"] or ""
    who = "" if said.lower() in ("i", "") else _person(said, view)
    words = match["what"] or match["listed"] or match["bare"]
    name = _name(words, view) or (_as_typed(words) if match["listed"] else "")
    if who is None or not name:
        return False
    found = [one for one in ordered(view.standing) if one["who"] == who and _alike(one["name"], name)]
    for one in found:
        _dropped(one, draft)
    if not found:
        draft.say("not_wished", who=who, name=name)
    return True


def come_true(draft: Draft, name: str) -> None:
    """Take the grower's own wishes for a name off the list when it came in; a genus is not yet the species wished for."""
    came = public_name(name).lower() if name else ""
    for one in ordered(draft.view.standing):
        wished = one["name"].lower()
        if came and not one["who"] and (came == wished or came.startswith(f"{wished} ")):
            _dropped(one, draft)


def _dropped(wish: dict[str, Any], draft: Draft) -> None:
    facts = {"wish": wish["key"], "name": wish["name"]} | ({"who": wish["who"]} if wish["who"] else {})
    draft.say("wished", draft.event("wished", "dropped", (), draft.view.today, facts))


def _person(said: str, view: View) -> str | None:
    """Return who wishes: empty for the grower, None where the word is no person: a plant, a place, "somebody"."""
    if not said:
        return ""
    low = said.lower()
    names = view.standing.names()
    things = {one.lower() for one in (*names.nicknames, *names.places, *names.genera)}  # a lot is often called by its seller
    if low in _NOBODY or low in things or _taxa(said, view):
        return None
    known = next((one for one in names.people if one.lower() == low), said)
    return known.capitalize() if known == known.lower() else known


def _name(said: str, view: View) -> str:
    """Return the name of what is wished for, by the codes where it is one; empty where the words are no plant's name."""
    bare = _COURTESY.sub("", said.strip())
    bare = bare[_COUNT.match(bare).end() :] if _COUNT.match(bare) else bare  # type: ignore[union-attr]
    if not bare or len(bare) > LONGEST_NAME or any(one.type not in ("remark", "question") for one in _read(bare, view)):
        return ""
    taxa = _taxa(bare, view)
    if taxa:
        return taxa[0].upper() + taxa[1:]
    public = public_name(bare)
    known = public != UNNAMED and bare.lower().startswith(public.lower()) and _FIELD_NUMBER.fullmatch(bare[len(public) :])
    genus = public.partition(" ")[0]
    return bare[:1].upper() + bare[1:] if known and (_BINOMIAL.fullmatch(bare) or _taxa(genus, view)) else ""


@cache
def _common_names() -> frozenset[str]:
    return frozenset(form for row in lexicon_rows() if row.family == "taxon" for form in row.forms)


def _taxa(words: str, view: View) -> str:
    """Return the one name that words are, and nothing beside it."""
    asked = _read(f"who wants a {words}", view)
    which = asked[0].which if len(asked) == 1 else None
    if which is None or len(which.taxa) != 1 or which != Selection(taxa=which.taxa):
        return ""
    if len(words.split()) > len(which.taxa[0].split()) and words.lower() not in _common_names():
        return ""  # a question holds more words than the name
    return which.taxa[0] if asked[0].changed(span=(0, 0)) == Entry("question", about="wishes", which=which) else ""


def _read(text: str, view: View) -> tuple[Entry, ...]:
    return tuple(read(text, view.now.replace(tzinfo=None), view.standing.names(), language="en").entries)
