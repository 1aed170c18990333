"""The potting bench: which pot for what was measured, what waits to be potted, and how much mix that takes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.events import Ref
from bot.care.genera import RootForm, genus_row
from bot.care.potting import (
    PotChoice,
    PotLine,
    batch_litres,
    buy_list,
    parts_of,
    pot_for,
    top_dressing_litres,
    volume_by_rule,
)
from bot.care.standing import Standing, Thing

_NUMBER = r"\d+(?:[.,]\d+)?"
_N = rf"({_NUMBER})"
_UNIT = r"\s*(cm|mm|in|inch(?:es)?|\")?"
_ROOT = re.compile(
    r"\b(?P<form>tap[ -]?roots?|tubers?|caudex|fibrous roots?|roots?)"
    rf"\s*(?:is|are|of|length|long|:)?\s*{_N}{_UNIT}(?:\s*(?:long|deep))?"
)
_BODY = re.compile(rf"\b(?:body|head|stem|plant|diameter|dia)\s*(?:is|of|width|wide|:)?\s*{_N}{_UNIT}(?:\s*(?:wide|across))?")
_SPREAD = re.compile(rf"\b(?:root )?spread\s*(?:is|of|:)?\s*{_N}{_UNIT}(?:\s*(?:wide|across))?")
_WHICH_POT = re.compile(
    r"(?:how (?:big|large|wide|deep) a pot|what(?: size)? (?:of )?pot|which pot|what size(?: of)? pot)s?"
    r"(?: do i need| should i use)? (?:for|does|do) (?P<what>.+?)(?: (?:want|need|take))?\W*"
)
_BUY = re.compile(
    r"(?:whats? (?:are )?(?:the )?)?(?:buy(?:ing)?|shopping|pot) list\W*"
    r"|(?:what|which|how many) pots (?:do|should|must) i (?:need|buy|get)(?: to buy)?\W*|pots to buy\W*"
    r"|what (?:do|should|must) (?:i|we) (?:(?:need|have) to )?(?:buy|get|order)(?: for (?:the )?potting)?\W*"
)
_MIX = re.compile(
    r"(?:how (?:much|many litres of) |litres of )?(?P<what>mix|soil|compost|substrate|grit|top[ -]?dressing)"
    r"(?: do i need)? for "
    r"(?P<pots>\d{1,4}) (?:x |(?:(?P<shaped>square) |round )?pots? (?:of |at )?)?"
    rf"(?P<cm>{_NUMBER})(?:s|\s*cm)?(?: (?P<shape>square))?(?: pots?)?"
    r"(?:[ ,]+(?:at |in )?(?P<parts>\d+(?::\d+)+))?\W*"
)
_FORMS: Mapping[str, RootForm] = {"tap": "tap", "tub": "tuber", "cau": "tuber", "fib": "fibrous"}


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured at the bench, in cm."""

    roots: str = ""
    root_length_cm: float | None = None
    body_cm: float | None = None
    spread_cm: float | None = None


@dataclass(frozen=True, slots=True)
class BuyList:
    """What waits to be potted: pots by size and depth, the litres of mix for them, and what nobody has measured."""

    lines: tuple[PotLine, ...]
    litres: float
    unmeasured: tuple[Ref, ...]
    waiting: int


def measured_in(text: str) -> tuple[Measured, str] | None:
    """Return what a line measures, and the words that are left (which plant); None without a root or spread and a body."""
    low = text.lower()
    root, body, spread = _ROOT.search(low), _BODY.search(low), _SPREAD.search(low)
    if (root is None and spread is None) or (body is None and spread is None):
        return None
    spans = sorted(one.span() for one in (root, body, spread) if one)
    rest = low
    for start, end in reversed(spans):
        rest = f"{rest[:start]} {rest[end:]}"
    words = re.sub(r"[\s,;:.&]+", " ", rest).strip()
    words = re.sub(r"^(?:measured|on|for|of|and|the)\s+|\s*(?:\band\b|\bon\b|\bfor\b|\bof\b)$", "", words).strip()
    form = _FORMS.get(root["form"][:3], "") if root else ""
    return Measured(form, _cm(root, 2), _cm(body, 1), _cm(spread, 1)), words


def _cm(match: re.Match[str] | None, group: int) -> float | None:
    if match is None:
        return None
    value, unit = float(match[group].replace(",", ".")), match[group + 1] or "cm"
    return value / 10 if unit == "mm" else value * 2.54 if unit.startswith(("in", '"')) else value


def choice_for(thing: Thing | None, measured: Measured = Measured()) -> PotChoice:
    """Return the pot for a plant from what is measured now or was before. Raises ValueError with what is lacking."""
    tally: Mapping[str, Any] = thing.tally if thing else {}
    row = genus_row(thing.genus) if thing and thing.genus else None
    form = measured.roots or (thing.roots if thing else "") or (row.root_form if row else "")
    root = measured.root_length_cm or _tallied(tally, "root_length")
    body = measured.body_cm or _tallied(tally, "diameter")
    spread = measured.spread_cm or _tallied(tally, "root_spread")
    if form not in ("tap", "tuber", "fibrous"):
        form = "tap" if root and body and root > body else "fibrous"
    return pot_for({"tap": "tap", "tuber": "tuber"}.get(form, "fibrous"), body, root, spread)  # type: ignore[arg-type]


def _tallied(tally: Mapping[str, Any], what: str) -> float | None:
    held = tally.get(what)
    if not isinstance(held, Mapping) or "value" not in held:
        return None
    return float(held["value"]) / (10 if held.get("unit") == "mm" else 1)


def measured_command(text: str, draft: Draft) -> bool:
    """Answer "tap root 9 cm, body 4.5" with the pot; what a plant is named by is written to it."""
    found = measured_in(text)
    if found is None:
        return False
    measured, words = found
    refs = named(words, draft) if words else named("it", draft)
    if words and not refs:
        return False  # a note with more in it: the reader's
    thing = draft.view.standing.things.get((refs[0].kind, refs[0].key)) if len(refs) == 1 else None
    try:
        choice = choice_for(thing, measured)
    except ValueError as problem:
        draft.say("answer", about="pot", problem=str(problem))
        return True
    if len(refs) == 1:
        _write(measured, refs, draft)
    draft.say("answer", about="pot", choice=choice, refs=refs if len(refs) == 1 else ())
    return True


def _write(measured: Measured, refs: tuple[Ref, ...], draft: Draft) -> None:
    values = {"root_length": measured.root_length_cm, "diameter": measured.body_cm, "root_spread": measured.spread_cm}
    roots = {"roots": measured.roots} if measured.roots else {}
    for what, value in values.items():
        if value is not None:
            draft.event("measure", what, refs, draft.view.today, {"value": value, "unit": "cm"} | roots)
    draft.speak_of(refs)


def which_pot_command(text: str, draft: Draft) -> bool:
    """Answer "how big a pot for 12"."""
    match = _WHICH_POT.fullmatch(text.lower().strip())
    refs = named(match["what"], draft) if match else ()
    if len(refs) != 1:
        return False
    thing = draft.view.standing.things.get((refs[0].kind, refs[0].key))
    try:
        draft.say("answer", about="pot", choice=choice_for(thing), refs=refs)
    except ValueError as problem:
        draft.say("answer", about="pot", problem=str(problem), refs=refs)
    return True


def buy_command(text: str, draft: Draft) -> bool:
    """Answer "what pots do i need", "buy list"."""
    if _BUY.fullmatch(text.lower().strip()) is None:
        return False
    draft.say("answer", about="buy_list", made=to_buy(draft.view.standing))
    return True


def to_buy(standing: Standing) -> BuyList:
    """Return the pots that what waits to be potted asks for."""
    choices: list[PotChoice] = []
    unmeasured: list[Ref] = []
    waiting = 0
    for thing in standing.plants():
        if thing.bare_on is None:
            continue
        count = thing.bare_count or thing.count or 1
        waiting += count
        try:
            choices += [choice_for(thing)] * count
        except ValueError:
            unmeasured.append(Ref(thing.kind, thing.key, None if thing.kind == "plant" else count))
    lines = buy_list(choices)
    return BuyList(lines, _litres(lines), tuple(unmeasured), waiting)


def _litres(lines: Iterable[PotLine]) -> float:
    return sum(one.litres for one in lines)


def mix_command(text: str, draft: Draft) -> bool:
    """Answer "how much mix for 20 9s, 2:1:1" and "grit for 20 9s"."""
    match = _MIX.fullmatch(text.lower().strip())
    found = _pots_meant(match) if match else None
    if match is None or found is None:
        return False
    pots, cm, shape = found
    if match["what"].startswith(("grit", "top")):
        draft.say("answer", about="mix", pots=pots, cm=cm, dressing=top_dressing_litres(pots, cm, shape=shape))
        return True
    litres = batch_litres(pots, volume_by_rule(cm, shape))
    ratio = [float(one) for one in match["parts"].split(":")] if match["parts"] else []
    parts = parts_of(litres, ratio) if ratio and min(ratio) > 0 else ()
    draft.say("answer", about="mix", pots=pots, cm=cm, litres=litres, parts=parts)
    return True


def litres_for(text: str) -> tuple[int, float, float] | None:
    """Return pots, their size in cm and the litres of mix that they take, of "mix for 20 9s"; None for other words."""
    match = _MIX.fullmatch(text)
    found = _pots_meant(match) if match and not match["parts"] else None
    if found is None:
        return None
    pots, cm, shape = found
    return pots, cm, batch_litres(pots, volume_by_rule(cm, shape))


def _pots_meant(match: re.Match[str]) -> tuple[int, float, Any] | None:
    pots, cm = int(match["pots"]), float(match["cm"].replace(",", "."))
    shape = "square" if match["shape"] or match["shaped"] else "round"
    return (pots, cm, shape) if pots >= 1 and 2 <= cm <= 60 else None
