"""A lot as it comes in, told in one note: "10 ordered from Hofer, 9 came, 3-6 cm, bare root, 45 eur, half with mites"."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from bot.app.accessioning import new_number
from bot.app.acts import new_lot
from bot.app.english import lots as words
from bot.app.naming import taxon_name
from bot.app.plan import Draft
from bot.care.events import Ref
from bot.notes.reader import read
from bot.notes.reading import Selection

_FROM = r"(?: (?:from|by|at) (?P<source>[A-Za-z][\w .'&-]*?))?"
_WHEN = r"(?: (?P<when>today|yesterday|on (?:the )?\w[\w .]*|last \w+))?"
_WHAT = r"(?: (?P<what>[A-Za-z][A-Za-z .'-]*?))??"
_ORDERED = re.compile(
    rf"(?:(?P<n>\d+){_WHAT} ordered|ordered (?P<m>\d+){_WHAT.replace('what', 'what2')}){_FROM}{_WHEN}",
    re.IGNORECASE,
)
_CAME = re.compile(
    rf"(?:but )?(?:only )?(?P<n>\d+)(?: of (?:the )?(?P<of>\d+))?{_WHAT} (?:came|arrived|delivered|were delivered){_FROM}{_WHEN}",
    re.IGNORECASE,
)
_HEAD = re.compile(rf"(?:(?:got|bought|received|new lot|new):? )?(?P<n>\d+){_WHAT}{_FROM}{_WHEN}", re.IGNORECASE)
_NUMBER = r"\d+(?:[.,]\d+)?"
_SIZE = re.compile(
    rf"(?:sizes? )?(?P<low>{_NUMBER})(?: ?cm)?(?: ?(?:-|to|\N{{EN DASH}}) ?(?P<high>{_NUMBER}))? ?cm"
    r"(?: (?:across|wide|tall|each))?",
    re.IGNORECASE,
)
_STATE = re.compile(r"(?:all )?(?P<state>bare[- ]?root(?:ed)?|potted|in pots|cuttings|unrooted)", re.IGNORECASE)
_PRICE = re.compile(
    rf"(?:for |paid |cost )?(?P<sign>[€£$])? ?(?P<price>{_NUMBER}) ?"
    r"(?P<word>eur|euros?|€|gbp|pounds?|£|usd|dollars?|\$)?(?: in all| the lot)?",
    re.IGNORECASE,
)
_SHARE = re.compile(
    r"(?:about |roughly )?(?P<share>half|a third|a quarter|most|all|some|\d+ ?%|\d+|one|two|three)(?: of (?:them|it|the lot))? "
    r"(?:with|have|has|had|show|showing|carry|carrying|got) (?P<sign>[a-z ]+)",
    re.IGNORECASE,
)
_SHARES = {"half": 1 / 2, "a third": 1 / 3, "a quarter": 1 / 4, "all": 1.0}
_SMALL = {"one": 1, "two": 2, "three": 3}
_PARTED = re.compile(r"[,;](?!\d)|\band (?=\d+ (?:came|arrived))")
_CURRENCIES = {"e": "EUR", "€": "EUR", "g": "GBP", "p": "GBP", "£": "GBP", "u": "USD", "d": "USD", "$": "USD"}


@dataclass
class Lot:
    """What the parts of a note say of a lot that comes in."""

    count: int | None = None
    source: str = ""
    what: str = ""
    when: str = ""
    facts: dict[str, Any] = field(default_factory=dict)
    signs: list[tuple[str, str]] = field(default_factory=list)


_FEWER = re.compile(r"(?:bought|got|acquired|received|ordered) (?:-|minus )\d+\b", re.IGNORECASE)


def lot_came(text: str, draft: Draft) -> bool:
    """Write a lot from a note of several parts; False where the reader may read it, or any part says something else."""
    if _FEWER.match(text.strip()):
        draft.tell(words.FEWER_CAME)
        return True
    lot = Lot()
    parts = [part for one in _PARTED.split(text) if (part := one.strip(" .!"))]
    if len(parts) < 2 or not all(_said(one, lot, _RULES if number else _FIRST) for number, one in enumerate(parts)):
        return False
    told = bool({"ordered", "size_cm"} & lot.facts.keys() or lot.signs)
    if lot.count is None or not told or not (lot.source or "ordered" in lot.facts):
        return False
    on = day_said(lot.when, draft)
    seen = [(share, sign) for share, said in lot.signs if (sign := _sign(said, draft))]
    if on is None or len(seen) != len(lot.signs):
        return False
    if lot.count == 0 or lot.count > lot.facts.get("ordered", lot.count):
        draft.tell(words.more_than_ordered(lot.count, lot.facts["ordered"]) if lot.count else words.NONE_CAME)
        return True
    _write(draft, lot, on, seen)
    return True


def _said(part: str, lot: Lot, rules: tuple[Callable[[str, Lot], bool], ...]) -> bool:
    return any(rule(part, lot) for rule in rules)


def _write(draft: Draft, lot: Lot, on: date, seen: list[tuple[str, str]]) -> None:
    taxa = _taxa(lot.what, draft)
    facts = dict(lot.facts) | ({"from": lot.source.lower()} if lot.source else {})
    facts |= {"name": taxon_name(taxa[0], draft.view.settings.language)} if taxa else {}
    ref = new_lot(draft, Selection(count=lot.count), facts)
    event = draft.event("event", "acquired", (ref,), on, facts | new_number(draft, on.year, (ref,)))
    draft.say("event", event)
    for share, sign in seen:
        part, fact = _part(share, ref, lot.count or 0)
        draft.say("finding", draft.event("finding", sign, (part,), on, {"status": "present"} | fact))
    draft.current = (Ref("lot", ref.key),)


def _part(share: str, ref: Ref, count: int) -> tuple[Ref, dict[str, Any]]:
    """Return the part of a lot that a share of it is, the larger half of an odd number; "some" and "most" stay words."""
    said = share.lower()
    if said.isdigit() or said in _SMALL:
        return Ref("lot", ref.key, min(count, _SMALL.get(said) or int(said))), {}
    part = float(said.rstrip(" %")) / 100 if said.endswith("%") else _SHARES.get(said)
    if part is None or part >= 1:
        return Ref("lot", ref.key), {"share": said}
    return Ref("lot", ref.key, math.ceil(count * part)), {"share": said, "approx": True}


# --- the parts ---------------------------------------------------------------------------------------------------------


def _who(found: re.Match[str], lot: Lot) -> None:
    said = found.groupdict()
    lot.source, lot.when = said.get("source") or lot.source, said.get("when") or lot.when
    lot.what = said.get("what") or said.get("what2") or lot.what


def _ordered(part: str, lot: Lot) -> bool:
    found = _ORDERED.fullmatch(part)
    if found is None:
        return False
    lot.facts["ordered"] = int(found["n"] or found["m"])
    when, lot.when = lot.when, ""
    _who(found, lot)
    lot.when = when  # the day of the order is not the day on which it came
    return True


def _came(part: str, lot: Lot) -> bool:
    found = _CAME.fullmatch(part)
    if found is None or lot.count is not None:
        return False
    lot.count = int(found["n"])
    if found["of"]:
        lot.facts["ordered"] = int(found["of"])
    _who(found, lot)
    return True


def _head(part: str, lot: Lot) -> bool:
    found = _HEAD.fullmatch(part)
    if found is None or lot.count is not None or not found["source"]:
        return False
    lot.count = int(found["n"])
    _who(found, lot)
    return True


def _size(part: str, lot: Lot) -> bool:
    found = _SIZE.fullmatch(part)
    if found is not None:
        low = float(found["low"].replace(",", "."))
        high = float((found["high"] or found["low"]).replace(",", "."))
        lot.facts["size_cm"] = [min(low, high), max(low, high)]
    return found is not None


def _state(part: str, lot: Lot) -> bool:
    found = _STATE.fullmatch(part)
    if found is not None:
        said = found["state"].lower()
        lot.facts["state"] = "bare_root" if said.startswith("bare") else "potted" if "pot" in said else "cutting"
    return found is not None


def _price(part: str, lot: Lot) -> bool:
    found = _PRICE.fullmatch(part)
    money = (found["sign"] or found["word"]) if found is not None else None
    if found is None or not money:
        return False
    lot.facts |= {"price": float(found["price"].replace(",", ".")), "currency": _CURRENCIES[money[0].lower()]}
    return True


def _share(part: str, lot: Lot) -> bool:
    found = _SHARE.fullmatch(part)
    if found is not None:
        lot.signs.append((found["share"], found["sign"]))
    return found is not None


_FIRST: tuple[Callable[[str, Lot], bool], ...] = (_ordered, _came, _head)
_RULES: tuple[Callable[[str, Lot], bool], ...] = (_ordered, _came, _size, _state, _price, _share)


def day_said(when: str, draft: Draft) -> date | None:
    """Return the day on which it came; None where it is no day, or one to come."""
    if not when or when.lower() == "today":
        return draft.view.today
    asked = read(f"watered 12 {when}", draft.view.now.replace(tzinfo=None)).entries
    day = asked[0].when if len(asked) == 1 else None
    return day if day is not None and day <= draft.view.today else None


def _sign(said: str, draft: Draft) -> str | None:
    asked = read(f"{said.strip()} on 12", draft.view.now.replace(tzinfo=None)).entries
    return str(asked[0].sign) if len(asked) == 1 and asked[0].type == "finding" and asked[0].status == "present" else None


def _taxa(what: str, draft: Draft) -> tuple[str, ...]:
    asked = read(f"bought 3 {what}", draft.view.now.replace(tzinfo=None)).entries if what else ()
    return asked[0].which.taxa if len(asked) == 1 and asked[0].which is not None else ()
