"""Words about mixes: what is in one, how much of each part a batch takes, what stands in which, and a recipe forgotten.

A recipe is an event `taught`/`mix` with `name`, `parts` and `percent`, `now` where the words say that it is another one from
now on. A pot keeps the recipe of the day on which it was filled (`Thing.pot["recipe"]`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from bot.app.english import mixes as said
from bot.app.plan import Draft
from bot.app.potting_out import litres_for
from bot.app.recipes import Fault, Recipe, recipe_in
from bot.app.ruling import named
from bot.app.which import place_of
from bot.care.due_water import MIX_WORDS, pot_of
from bot.care.genera import genus_row
from bot.care.mixes import PARTS, kind_of
from bot.care.standing import Standing, Thing, mix_key

LONGEST_NAME = 40
_NO_NAME = frozenset("in into with of for from to on at and it this that these those is are".split())
_NOUN = r"(?:mix|compost|soil|substrate|blend)"
_NAME = rf"(?:[a-z][\w'-]*(?: [\w'-]+){{0,3}}? {_NOUN}|{_NOUN} [\w'-]{{1,20}})"
_BARE = r"[a-z][\w'-]*(?: [\w'-]+)?"
_OWN = r"(?:the |my |our )?"
_TEACH = re.compile(
    rf"(?:new |add )?(?:mix |recipe )?(?:(?:for|of) )?{_OWN}[\"“]?(?P<name>{_NAME}|{_BARE})[\"”]?"
    r"(?P<is> (?:is|are|has|means|contains|consists of|is made (?:of|from|up of))| ?=| ?:| is:)(?P<now> (?:now|from now on))?:? "
    r"(?P<recipe>.+?)(?P<on> from now on| now| from today(?: on)?)?"
)
_CALL = re.compile(r"(?:call|name|save|keep) (?P<all>.+)")
_PARTS_SAID = re.compile(r"(?:\d+(?:[.,]\d+)?(?: ?%| parts?)?|half|an? \w+|\w+ thirds?|equal) (?:of )?[a-z]+ .*\d")
_CALL_IT = re.compile(rf"(?:call|name) (?:it |this )?[\"“]?(?P<name>{_NAME}|{_BARE})[\"”]?(?:,|:| -) (?P<recipe>.+)")
_IS_NAMED = re.compile(rf"(?P<recipe>.+?) (?:is|=|makes|as|is called|called) {_OWN}[\"“]?(?P<name>{_NAME})[\"”]?")
_PLEASE = re.compile(r"[ ,]*(?:please|pls)?[.!? ]*$")
_MY_MIX = re.compile(rf"(?:my|the|our) (?P<noun>{_NOUN})(?: is| =|:) (?P<recipe>.+)")
_ALL = re.compile(
    r"(?:(?:list|show(?: me)?|what are|which are) )?(?:all )?(?:my|the|our) (?:mixes|recipes)|mixes|recipes"
    r"|(?:what|which) (?:mixes|recipes) (?:do i have|are there|do i use|do you know)"
)
_WHAT_IN = re.compile(
    rf"(?:what(?:'?s| is)|whats|what goes|what went) (?:in|into|in the make-up of) {_OWN}(?P<name>{_NAME}|{_BARE})"
    rf"|(?:what(?:'?s| is)|whats) {_OWN}(?P<is>{_NAME})|{_OWN}(?P<ends>{_NAME}) recipe"
    rf"|(?:how do i (?:make|mix)|how is|(?:what(?:'?s| is) )?(?:the )?recipe (?:of|for)) {_OWN}(?P<how>{_NAME}|{_BARE})(?: made)?"
    rf"|{_OWN}(?P<alone>{_NAME})"
)
_WHO_IN = re.compile(
    r"(?:which|what) (?:plants?|pots?|ones?) (?:are|is|stands?|grows?|do i have) (?:potted )?in "
    rf"{_OWN}(?P<name>{_NAME}|{_BARE})"
    rf"|(?:who|what|which|whats|who's|what's)(?: is| are)? (?:potted|growing|planted) in {_OWN}(?P<potted>{_NAME}|{_BARE})"
    rf"|(?:who(?: is|'s)?|whos) in {_OWN}(?P<who>{_NAME}|{_BARE})"
    rf"|(?:how many|how many plants) (?:are|is|stand) in {_OWN}(?P<many>{_NAME})|plants in {_OWN}(?P<plants>{_NAME})"
)
_MIX_OF = re.compile(
    rf"(?:what|which) {_NOUN} (?:is|are|does|do|did i (?:use|put) (?:for|on|with)) (?:the )?(?P<what>.+?)"
    r"(?: potted| planted| growing)?(?: in| have| stand in| get)?"
    rf"|(?:what(?:'?s| is) )?(?:the )?{_NOUN} of (?P<of>.+)|(?:what|whats) (?:is|are) (?P<potted>.+?) potted in"
)
_FORGET = re.compile(
    rf"(?:forget|drop|delete|remove|scrap) {_OWN}(?:(?:recipe|mix) (?:of|for|called)? ?{_OWN})?"
    rf"(?P<name>{_NAME}|{_BARE})(?: recipe)?"
)
_LITRES = r"(?P<litres>\d{1,4}(?:[.,]\d+)?) ?(?:l|litres?|liters?|ltr)"
_NEEDED = re.compile(
    r"(?:(?:what|how much)(?: of (?:each|what))?(?: do i need| goes| is)?(?: to (?:mix|make))? (?:for|in|into)? ?"
    rf"|i (?:need|want) |making )?(?:to (?:mix|make) )?{_LITRES} (?:of )?{_OWN}(?P<name>{_NAME}|{_BARE})"
)
_FOR_POTS = re.compile(
    rf"(?:how (?:much|many litres of) )?{_OWN}(?P<name>{_NAME})(?: do i need)? for (?P<pots>\d.+)"
    rf"|(?:how (?:much|many litres of) )?mix for (?P<before>\d.+?)(?:,? (?:of|in)|,) {_OWN}(?P<behind>{_NAME})"
)


def mix_words_command(text: str, draft: Draft) -> bool:
    """Carry out words about a mix; False where they are about something else."""
    low = " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    asked = low.rstrip(" ").endswith("?")
    low = _PLEASE.sub("", low)
    return any(rule(low, draft) for rule in (_ASKING if asked else _RULES))


# --- a recipe is told --------------------------------------------------------------------------------------------------


def _taught(low: str, draft: Draft) -> bool:
    if (match := _MY_MIX.fullmatch(low)) is not None and recipe_in(match["recipe"]) is not None:
        draft.tell(said.NO_NAME)
        return True
    for name, words, now in _told(low):
        recipe = recipe_in(words)
        if recipe is not None and len(name) <= LONGEST_NAME and _may_name(name, recipe, draft.view.standing):
            _teach(name, recipe, draft, now=now)
            return True
    match = _CALL.fullmatch(low)
    if match is not None and _PARTS_SAID.match(match["all"]) and any(kind_of(one) for one in match["all"].split()):
        draft.tell(said.MANY)  # never the name of plant 1
        return True
    return False


def _may_name(name: str, recipe: Recipe | Fault, standing: Standing) -> bool:
    """Whether words can be the name of a mix: "mix 3", "potting mix"; "potted 12 in gritty mix: 1 loam 2 pumice" is a note.

    Without the word mix all parts must be known materials, so that "bench 2: 6 cm clay, 2 to 4 days" is none.
    """
    words = name.split()
    if _NO_NAME & set(words) or name[:1].isdigit():
        return False
    if re.fullmatch(_NAME, name):
        return not any(one.isdigit() and before not in ("mix", "no", "no.", "number", "type") for before, one in pairwise(words))
    whole = isinstance(recipe, Recipe) and all(kind_of(one) for one, _ in recipe.parts)
    return whole and (_owner(name, standing) is not None or not (re.search(r"\d", name) or words[0].endswith("ed")))


def _told(low: str) -> Iterator[tuple[str, str, bool]]:
    """Yield the ways to take words for a name and a recipe, the surest first."""
    for pattern in (_CALL_IT, _IS_NAMED, _TEACH):
        if match := pattern.fullmatch(low):
            parts = match.groupdict()
            yield match["name"], match["recipe"], bool(parts.get("now") or parts.get("on"))
    if match := _CALL.fullmatch(low):
        words = re.sub(r"[\"“”]", "", match["all"]).split()
        for count in range(1, min(5, len(words) - 1)):
            name, recipe = " ".join(words[-count:]), " ".join(words[:-count])
            for between in (" as the", " as my", " as", " the", " my", " it"):
                recipe = recipe.removesuffix(between)
            if kind_of(recipe.split()[-1]) and not re.fullmatch(rf"{_NOUN}|\d.*", name):  # no word of a part
                yield name, recipe, False
                return
        for count in range(2, min(5, len(words) - 1)):  # the last part is no material that is known
            if re.fullmatch(_NAME, name := " ".join(words[-count:])):
                yield name, " ".join(words[:-count]), False


def _teach(name: str, recipe: Recipe | Fault, draft: Draft, *, now: bool) -> None:
    standing = draft.view.standing
    if isinstance(recipe, Fault):
        told = {"sum": said.off(recipe.value), "zero": said.ZERO, "twice": said.twice(recipe.name), "many": said.MANY}
        draft.tell(told[recipe.kind])
        return
    if owner := _owner(name, standing):
        draft.tell(said.taken(name, *owner))
        return
    parts = [[one, share] for one, share in recipe.parts]
    before = standing.mixes.get(mix_key(name))
    if before is not None and before["parts"] == parts and bool(before.get("percent")) == recipe.percent:
        draft.tell(said.same(before["said"], before))
        return
    facts: dict[str, Any] = {"name": before["said"] if before else name, "parts": parts}
    facts |= ({"percent": True} if recipe.percent else {}) | ({"now": True} if now else {})
    event = draft.event("taught", "mix", (), draft.view.today, facts)
    waiting = [one for one in _in_mix(mix_key(name), draft) if not pot_of(one, draft.view.setting).get("recipe")]
    adopted = 0 if now or before else sum(one.count or 1 for one in waiting)
    draft.say("mix_taught", event, before=before, adopted=adopted)


def _owner(name: str, standing: Standing) -> tuple[str, str] | None:
    """Return whose name the name of a mix is: a plant's, a place's, a material's or a genus'; None where it is free."""
    plant = next((one for one in standing.things.values() if one.nickname and one.nickname.lower() == name), None)
    if plant is not None:
        return "plant", plant.key
    if ("place", place_of(name, standing)) in standing.things:
        return "place", name
    if name in PARTS:
        return "part", name
    return ("taxon", name) if genus_row(name) is not None else None


# --- a recipe is asked for ---------------------------------------------------------------------------------------------


def _all(low: str, draft: Draft) -> bool:
    if _ALL.fullmatch(low) is None:
        return False
    draft.say("answer", about="mixes", lines=said.listed(list(draft.view.standing.mixes.values())))
    return True


def _what_in(low: str, draft: Draft) -> bool:
    match = _WHAT_IN.fullmatch(low)
    name = _first(match)
    known = _known(name, draft.view.standing)
    if known is None and (match is None or match["alone"] or re.fullmatch(_NAME, name) is None):
        return False
    if known is None:
        _unknown(name, draft)
        return True
    things = _in_mix(mix_key(name), draft)
    lines = said.recipe(known, sum(one.count or 1 for one in things), draft.view.today)
    draft.say("answer", about="mixes", lines=lines)
    return True


def _who_in(low: str, draft: Draft) -> bool:
    name = _first(_WHO_IN.fullmatch(low))
    known = _known(name, draft.view.standing)
    if not name or (known is None and not (re.fullmatch(_NAME, name) or name in PARTS or name in MIX_WORDS)):
        return False
    things = _in_mix(mix_key(name), draft)
    setting = draft.view.setting
    older = [
        one.ref
        for one in things
        if known is not None and pot_of(one, setting).get("recipe", {}).get("parts", known["parts"]) != known["parts"]
    ]
    refs = tuple(one.ref for one in things)
    called = str(known["said"]) if known else name
    lines = said.who_is_in(called, refs, older, draft.view.standing)
    draft.say("answer", about="mixes", lines=lines)
    draft.current = refs or draft.current
    return True


def _mix_of(low: str, draft: Draft) -> bool:
    match = _MIX_OF.fullmatch(low)
    what = _first(match)
    refs = named(what, draft) if what else ()
    things = [one for ref in refs if (one := draft.view.standing.things.get((ref.kind, ref.key))) is not None]
    if not refs and not (what.isdigit() and draft.view.standing.plant(what) is None):
        return False
    if not things or len(things) < len(refs):
        draft.say("answer", about="unknown")
        return True
    things = [one for one in things if one.kind != "place"] or things
    standing, view = draft.view.standing, draft.view
    lines = []
    for one in things[: said.MOST]:
        pot = pot_of(one, view.setting)
        if one.pot.get("mix"):
            pot = {key: held for key, held in pot.items() if key != "place"}
        now = standing.mixes.get(mix_key(str(pot.get("mix", ""))))
        lines.append(said.mix_of(one.ref, pot, now, standing, view.today))
    draft.say("answer", about="mixes", lines=lines)
    draft.current = refs
    return True


def _needed(low: str, draft: Draft) -> bool:
    match = _NEEDED.fullmatch(low)
    known = _known(match["name"], draft.view.standing) if match else None
    if match is None or known is None:
        return False
    litres = float(match["litres"].replace(",", "."))
    if litres <= 0:
        return False
    draft.say("answer", about="mixes", lines=said.needed(litres, str(known["said"]), known))
    return True


def _for_pots(low: str, draft: Draft) -> bool:
    """Answer "how much gritty mix for 20 9s" with the litres of each part."""
    match = _FOR_POTS.fullmatch(low)
    known = _known(match["name"] or match["behind"], draft.view.standing) if match else None
    found = litres_for(f"mix for {match['pots'] or match['before']}") if match else None
    if known is None or found is None:
        return False
    draft.say("answer", about="mixes", lines=said.for_pots(*found, str(known["said"]), known))
    return True


def _forget(low: str, draft: Draft) -> bool:
    match = _FORGET.fullmatch(low)
    known = _known(match["name"], draft.view.standing) if match else None
    if match is None or (known is None and re.fullmatch(_NAME, match["name"]) is None):
        return False
    if known is None:
        _unknown(match["name"], draft)
        return True
    event = draft.event("taught", "mix_forgotten", (), draft.view.today, {"name": known["said"]})
    things = _in_mix(mix_key(match["name"]), draft)
    draft.say("mix_forgotten", event, plants=sum(one.count or 1 for one in things))
    return True


def _unknown(name: str, draft: Draft) -> None:
    names = [str(one["said"]) for one in draft.view.standing.mixes.values()]
    draft.say("answer", about="mixes", lines=said.unknown(name, names))


def _first(match: re.Match[str] | None) -> str:
    return next((one for one in match.groups() if one), "") if match else ""


def _known(name: str, standing: Standing) -> Mapping[str, Any] | None:
    return standing.mixes.get(mix_key(name)) if name else None


def _in_mix(key: str, draft: Draft) -> list[Thing]:
    """Return what lives in a mix, by its own pot or by what is usual where it stands."""
    view = draft.view
    return [one for one in view.standing.plants() if mix_key(str(pot_of(one, view.setting).get("mix", ""))) == key and key]


_ASKING = (_all, _who_in, _mix_of, _needed, _for_pots, _what_in)
_RULES = (_taught, *_ASKING, _forget)
