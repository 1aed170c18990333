"""Where a plant is from, in words: its field number, its provenance, and the text of the label that it came with.

"12 has field number WR 88", "12 is wild-collected", "the label of 12 says Lob. aff. pampana WR 88". All is kept as typed. The
codes of provenance (W wild, Z from a wild plant, G not wild, U unknown) are those of the International Transfer Format for
botanic garden records (BGCI and TDWG, draft 3.2, 1997).
"""

from __future__ import annotations

import re

from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.events import Ref
from bot.care.fold_lots import DATA
from bot.care.standing import Standing

_WHAT = r"(?P<what>[\w .'&/-]{1,60}?)"
_VALUE = r"(?P<value>\S.{0,119}?)"
_OLD = r"old|original|first|seller'?s"
_FIELD = tuple(
    re.compile(one, re.IGNORECASE)
    for one in (
        rf"{_WHAT} (?:has|have|is|carries|bears) (?:the |a )?(?:field|collector'?s?) (?:number|no\.?) {_VALUE}[.! ]*",
        rf"(?:the )?(?:field|collector'?s?) (?:number|no\.?) (?:of|for|on) {_WHAT} (?:is |= ?|: ?){_VALUE}[.! ]*",
    )
)
_LABEL = tuple(
    re.compile(one, re.IGNORECASE | re.DOTALL)
    for one in (
        rf"(?:the )?(?:{_OLD} )?(?:label|tag) (?:of|on|for|with|in) {_WHAT} (?:says|reads|said|read)[: ] ?{_VALUE} *",
        rf"{_WHAT} came (?:label+ed|tagged)(?: as)?[: ] ?{_VALUE} *",
    )
)
_ORIGIN = re.compile(
    rf"{_WHAT} (?:is|are|was|were|has|have) (?:all |both )?(?P<origin>wild[- ]?collected|collected in the wild|from the wild|"
    r"from habitat|of wild origin|(?:grown |raised )?from (?:wild|habitat)(?:[- ]collected)? seed|of (?:wild|habitat) seed|"
    r"nursery[- ](?:grown|raised)|of (?:garden|nursery|cultivated) origin|cultivated|of unknown origin|(?:of )?origin unknown|"
    r"provenance (?P<code>[WZGU]))[.! ]*",
    re.IGNORECASE,
)
_CODE = re.compile(
    r"(?:the )?provenance (?:of|for) (?P<what>[\w .'&/-]{1,60}?) (?:is |= ?|: ?)(?P<code>[WZGU])[.! ]*", re.IGNORECASE
)
WILD, FROM_WILD, CULTIVATED, UNKNOWN = "W", "Z", "G", "U"


def provenance_command(text: str, draft: Draft) -> bool:
    """Write a field number, a provenance or a label's text of plants that are here; False for any other note."""
    said = text.strip()
    for fact, rules in (("field_number", _FIELD), ("label_text", _LABEL)):
        match = next((found for rule in rules if (found := rule.fullmatch(said))), None)
        if match is not None:
            return _written(match["what"], fact, _unquoted(match["value"]), draft)
    match = _ORIGIN.fullmatch(said) or _CODE.fullmatch(said)
    if match is None:
        return False
    return _written(match["what"], "provenance", (match["code"] or _code_of(match["origin"])).upper(), draft)


def _code_of(words: str) -> str:
    low = words.lower()
    if "unknown" in low:
        return UNKNOWN
    if "seed" in low:
        return FROM_WILD
    return CULTIVATED if re.search(r"nursery|garden|cultivated", low) else WILD


def _unquoted(text: str) -> str:
    found = re.fullmatch("[\"'\N{LEFT DOUBLE QUOTATION MARK}](.+)[\"'\N{RIGHT DOUBLE QUOTATION MARK}]", text.strip(), re.DOTALL)
    return (found[1] if found else text).strip()


def _written(what: str, fact: str, value: str, draft: Draft) -> bool:
    refs = tuple(one for one in named(what.strip().lower(), draft) if _is_here(one, draft.view.standing))
    if not refs or not value:
        return False
    draft.say("known", draft.event("known", DATA, refs, draft.view.today, {fact: value}))
    draft.current = refs
    return True


def _is_here(ref: Ref, standing: Standing) -> bool:
    return ref.kind in ("plant", "lot", "batch", "sowing") and (ref.kind, ref.key) in standing.things
