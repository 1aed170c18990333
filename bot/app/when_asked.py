"""When a look comes up for some plants, asked by name: "when will 13 be dry", "is the melo resting", "can i release 12"."""

from __future__ import annotations

import re
from typing import Any

from bot.app.advice import water_objection
from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.due_health import release_of
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.care.reach import overlaps
from bot.care.standing import Thing

_WHAT = r"(?:the |my )?(?P<what>[\w#' ,-]+?)"
_LAST_SOAK = r"(?:when(?: is|'s|s)? )?(?:my |the )?last (?:safe )?(?:soak|water|watering) before (?:the |its |their |my )?rest"
_ASKED: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "dry_look",
        re.compile(rf"when (?:will|would|should|does|do|is|are) {_WHAT} (?:be |get |going to be )?dry(?: out)?(?: again)?\W*"),
    ),
    ("rest_start", re.compile(rf"{_LAST_SOAK}(?: (?:for|of) {_WHAT})?\W*")),
    ("rest_end", re.compile(rf"when (?:does|do) {_WHAT} (?:start again|wake(?: up)?|come out of rest|restart)\W*")),
    ("rest_start", re.compile(rf"(?:is it|when is it) time to stop watering(?: {_WHAT})?(?: yet| now)?\W*")),
    ("rest_start", re.compile(rf"when (?:do|should|must) (?:i|we) stop watering(?: {_WHAT})?\W*")),
    ("rest_end", re.compile(rf"(?:is it|when is it) time to (?:start|begin) watering(?: {_WHAT})?(?: again)?(?: yet| now)?\W*")),
    (
        "rest_end",
        re.compile(rf"when (?:do|can|should|may) (?:i|we) (?:start|begin) (?:watering|to water)(?: {_WHAT})?(?: again)?\W*"),
    ),
    ("rest", re.compile(rf"when (?:does|do|will|should) {_WHAT} (?:rest|go to rest|be at rest|go dormant)\W*")),
    ("rest", re.compile(rf"(?:is|are) {_WHAT} (?:resting|at rest|dormant|asleep)(?: now| yet| already| still)?\W*")),
)
_RELEASE = re.compile(
    r"(?:can|could|may|should) (?:i|we) (?:release|let out|free) (?P<what>[\w#' ,-]+?)(?: from quarantine| out)?(?: yet| now)?\W*"
    r"|(?:can|could|may|is|are) (?P<who>[\w#' ,-]+?) (?:ready to |safe to )?(?:come|leave|go)(?: out)?(?: of)?(?: quarantine)"
    r"(?: yet| now)?\W*"
    r"|(?:is|are) (?P<out>[\w#' ,-]+?) (?:out of|through|still in|in|done with) (?:quarantine|isolation)(?: yet| now| still)?\W*"
    r"|how (?:much )?long(?:er)? (?:must|does|do|will|has|have) (?P<apart>[\w#' ,-]+?) (?:to )?(?:stay|be|stand|keep)"
    r"(?: apart| in quarantine| in isolation)\W*"
    r"|when (?:can|may|does|do|will) (?P<whom>[\w#' ,-]+?) (?:come out|leave|come out of|leave the)(?: of)? ?(?:quarantine)?\W*"
)


def when_asked(text: str, draft: Draft) -> bool:
    """Answer when a look for named plants comes up, with its reason; False where a text asks for nothing of the kind."""
    low = " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    kind, match = next(((kind, found) for kind, pattern in _ASKED if (found := pattern.fullmatch(low))), ("", None))
    if match is None:
        return False
    refs = named(match["what"], draft) if match["what"] else ()
    if match["what"] and not refs:
        return False
    _tell_when(kind, refs, draft)
    return True


def _tell_when(kind: str, refs: tuple[Ref, ...], draft: Draft) -> None:
    """Say the dates of a kind of look; without plants, of all that have one."""
    facts: dict[str, Any] = {}
    dues = _of_kind(kind, refs, draft)
    if kind == "rest_start" and not dues:
        dues = _of_kind("rest_end", refs, draft)
        kind = "rest_now" if dues else kind
    elif kind == "rest":
        facts["resting"] = tuple(one.ref for one in _meant(refs, draft) if _rests(one, draft))
        dues = _of_kind("rest_end" if facts["resting"] else "rest_start", refs, draft)
    draft.listed, draft.shown = tuple(one.key for one in dues), len(dues)
    draft.say("answer", about="when_due", dues=dues, look=kind, refs=refs, **facts)


def _of_kind(kind: str, refs: tuple[Ref, ...], draft: Draft) -> tuple[Due, ...]:
    return tuple(one for one in draft.view.due if one.kind == kind and (not refs or _about(one, refs, draft)))


def _meant(refs: tuple[Ref, ...], draft: Draft) -> list[Thing]:
    standing = draft.view.standing
    return [one for one in standing.plants() if any(overlaps(standing, one.ref, ref) for ref in refs)]


def _rests(thing: Thing, draft: Draft) -> bool:
    found = water_objection(thing, draft.view.today, draft.view)
    return found is not None and found.kind in ("rest_said", "rest_known")


def _about(due: Due, refs: tuple[Ref, ...], draft: Draft) -> bool:
    return any(overlaps(draft.view.standing, mine, ref) for mine in due.refs for ref in refs)


_RESTING = re.compile(
    r"(?:which|what|who)(?: ones| plants| of (?:my|the) plants)? ("
    r"?:are|is) (?:now )?(?:resting|at rest|dormant|asleep)(?: now)?\W*"
)


def resting_asked(text: str, draft: Draft) -> bool:
    """Answer which plants are at rest, by the grower's word or a row of the table that is sure."""
    if _RESTING.fullmatch(" ".join(text.lower().split())) is None:
        return False
    resting = tuple(one.ref for one in draft.view.standing.plants() if one.alive and _rests(one, draft))
    draft.say("answer", about="when_due", dues=(), look="rest", refs=(), resting=resting)
    return True


def release_asked(text: str, draft: Draft) -> bool:
    """Answer whether plants may leave quarantine, with the evidence of each; False where a text asks for nothing of the kind."""
    match = _RELEASE.fullmatch(" ".join(text.lower().split()))
    words = next((one for one in match.groups() if one), "") if match else ""
    refs = named(words.removeprefix("the ").removeprefix("my "), draft) if words else ()
    if not refs:
        return False
    view, apart = draft.view, []
    for thing in _meant(refs, draft):
        if thing.isolated_on is not None:
            found = release_of(view.standing, thing, view.setting)
            looks = [one for one in thing.clean_looks if one >= thing.isolated_on.isoformat()]
            apart.append({"ref": thing.ref, "since": thing.isolated_on, "found": found, "looks": tuple(looks)})
    draft.say("answer", about="release", apart=tuple(apart), refs=refs)
    return True
