"""Plants pointed at by how many they are: "those two" after "repotted 12" and "repotted 14" are 12 and 14.

The words are replaced by the numbers before anything reads them, so that every note and question may point so. What was
spoken of counts for half an hour and at one place (`Talk.spoken`); where it does not hold so many, the words stay as they are.
"""

from __future__ import annotations

import re
from datetime import datetime

from bot.app.plan import View
from bot.app.which import OPEN_SET_LASTS
from bot.care.events import Ref

_NUMBERS = {word: n for n, words in enumerate(("two 2", "three 3", "four 4", "five 5", "six 6"), 2) for word in words.split()}
_N = rf"(?:{'|'.join(_NUMBERS)})"
# What may follow plants that are pointed at. A noun may not: "both benches", "those two rebutias" name something else.
_GOES_ON = (
    r"(?=\s*$|\s*[.,;:!?]|\s+(?:are|were|is|was|have|had|has|got|get|need|look|looked|went|go|in|into|to|on|onto|from|with|at|for|by"
    r"|and|as|again|now|today|tonight|yesterday|too|last|since|still|just|should|will|can|must|did|been|watered|fed|repotted"
    r"|moved|flowering|dry|clean|out|up|off|half|below|this|every|until|till|because|before|after|a|the|same)\b)"
)
_POINTED = re.compile(
    rf"\b(?P<said>(?P<which>those|these|the last|all|the same) (?P<n>{_N})|(?:the|all) (?P<of>{_N}) of (?:them|those|these)"
    rf"|(?P<both>both(?: of (?:them|those|these|the two))?)|(?P<many>them|those|these)){_GOES_ON}",
    re.IGNORECASE,
)
_NO_PLANTS = re.compile(
    r"\b(?:none|neither|not|any|all|some|one|most|half|\w+ly|\d+|two|three|four|five) (?:of )?$", re.IGNORECASE
)


def in_labels(text: str, view: View) -> str:
    """Return a text in which "those two", "both of them" and the like are the numbers of the plants spoken of."""
    match = _POINTED.search(text)
    if match is None or re.search(r"\d", text[: match.start()]) or _NO_PLANTS.search(text[: match.start()]):
        return text
    meant = _meant(match, view)
    if len(meant) < 2:
        return text
    names = [f"#{one.key}" if one.key.isdigit() else one.key for one in meant]
    return text[: match.start()] + ", ".join(names[:-1]) + f" and {names[-1]}" + text[match.end() :]


def _meant(match: re.Match[str], view: View) -> tuple[Ref, ...]:
    talk = view.talk
    spoken = spoken_lately(view, view.now)
    if not talk.open_at(view.now):
        return ()
    if match["many"]:
        return spoken if len(talk.refs) == 1 and talk.refs[0] in spoken else ()  # no plural means the one plant named last
    wanted = 2 if match["both"] else _NUMBERS[(match["n"] or match["of"]).lower()]
    if len(talk.refs) == wanted and all(_is_one(one) for one in talk.refs):
        return talk.refs
    exact = match["both"] or match["of"] or (match["which"] or "").lower() == "all"
    if len(spoken) < wanted or (exact and len(spoken) != wanted):
        return ()
    return spoken[-wanted:]


def spoken_lately(view: View, now: datetime) -> tuple[Ref, ...]:
    """Return the single plants that were named one by one in the last half hour at the place in hand, in that order."""
    return tuple(ref for at, ref in view.talk.spoken if now - at <= OPEN_SET_LASTS)


def _is_one(ref: Ref) -> bool:
    return ref.kind == "plant" and ref.count is None


__all__ = ["in_labels", "spoken_lately"]
