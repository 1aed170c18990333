"""When a look comes up for some plants, asked by name: "when will 13 be dry", "last soak before rest for the lobivias"."""

from __future__ import annotations

import re

from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.care.reach import overlaps

_WHAT = r"(?:the |my )?(?P<what>[\w#' ,-]+?)"
_ASKED: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "dry_look",
        re.compile(rf"when (?:will|would|should|does|do|is|are) {_WHAT} (?:be |get |going to be )?dry(?: out)?(?: again)?\W*"),
    ),
    (
        "rest_start",
        re.compile(
            r"(?:when(?: is|'s|s)? )?(?:the )?last (?:safe )?(?:soak|water|watering)(?: before (?:the |its |their )?rest)"
            rf" (?:for|of) {_WHAT}\W*"
        ),
    ),
    ("rest_end", re.compile(rf"when (?:does|do) {_WHAT} (?:start again|wake(?: up)?|come out of rest|restart)\W*")),
)


def when_asked(text: str, draft: Draft) -> bool:
    """Answer when a look for named plants comes up, with its reason; False where a text asks for nothing of the kind."""
    low = " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    kind, match = next(((kind, found) for kind, pattern in _ASKED if (found := pattern.fullmatch(low))), ("", None))
    refs = named(match["what"], draft) if match else ()
    if not refs:
        return False
    dues = tuple(one for one in draft.view.due if one.kind == kind and _about(one, refs, draft))
    if kind == "rest_start" and not dues:
        dues = tuple(one for one in draft.view.due if one.kind == "rest_end" and _about(one, refs, draft))
        kind = "rest_now" if dues else kind
    draft.listed, draft.shown = tuple(one.key for one in dues), len(dues)
    draft.say("answer", about="when_due", dues=dues, look=kind, refs=refs)
    return True


def _about(due: Due, refs: tuple[Ref, ...], draft: Draft) -> bool:
    return any(overlaps(draft.view.standing, mine, ref) for mine in due.refs for ref in refs)
