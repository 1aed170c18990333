"""Losses asked about: what died and why, rates by cause, lot, seller, genus or place, and how a lot has survived."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from datetime import date
from typing import Any, get_args

from bot.app.plan import Draft
from bot.care.events import Ref
from bot.care.losses import DEATHS, UNKNOWN, By, rate_of, rates_by, survival_of_lot
from bot.care.standing import Standing, Thing

_BY: dict[str, By] = {one: one for one in get_args(By)} | {
    "reason": "cause",
    "source": "seller",
    "supplier": "seller",
    "nursery": "seller",
    "genera": "genus",
    "kind": "genus",
    "bench": "place",
}
_GROUPED = re.compile(rf"\b(?:by|per|for each|each|which|what|whose) (?P<by>{'|'.join(_BY)})s?\b", re.IGNORECASE)
_LOSSES = re.compile(
    r"(?:(?:show|tell|give)(?: me)? |what (?:are|were|is) |whats |what's )?(?:my |the )?(?:yearly |annual )?"
    rf"(?:loss(?:es)?|death|mortality)(?: rates?)? (?:by|per|for each) (?:{'|'.join(_BY)})s?(?P<span> .+)?\W*",
    re.IGNORECASE,
)
# "losses" alone asks; it never says that something died.
_ALL = re.compile(
    r"(?:(?:show|tell|give)(?: me)? )?(?:my |the |all |all my )?(?:loss|losses|deaths|loss rates?|death rates?)(?P<span> .+)?\W*",
    re.IGNORECASE,
)
_SURVIVAL = re.compile(
    r"(?:(?:show|tell|give)(?: me)? |what is |whats |what's |how is |hows )?(?:the )?survival (?:rate )?(?:of|for|in) "
    r"(?:the |my )?(?P<lot>.+?)(?P<word> lot)?\W*",
    re.IGNORECASE,
)
_SINCE = re.compile(
    r"\s*(?:since|from) (?P<year>\d{4})|\s*in (?P<only>\d{4})|\s*(?P<this>this year)|\s*(?P<last>last year)", re.IGNORECASE
)


def loss_command(text: str, draft: Draft) -> bool:
    """Answer "losses by seller this year" and "survival of the barn lot"; false where a text is neither."""
    found = _LOSSES.fullmatch(text)
    if found is not None:
        span = _span(found["span"] or "", draft.view.today, draft.view.standing)
        if span is None:
            return False
        draft.say("answer", about="losses_by", **grouped_losses(text, draft.view.standing, *span))
        return True
    found = _ALL.fullmatch(text)
    span = _span(found["span"] or "", draft.view.today, draft.view.standing) if found is not None else None
    if span is not None:
        made = losses(draft.view.standing.things.values(), *span)
        draft.say("answer", about="losses", **made, come=0, asked=False, since=span[0] if found and found["span"] else None)
        return True
    found = _SURVIVAL.fullmatch(text)
    if found is None:
        return False
    lot = draft.view.standing.lot_of(found["lot"]) or draft.view.standing.lot_of(f"{found['lot']} lot")
    curve = survival_of_lot(draft.view.standing, lot.key, draft.view.today) if lot else None
    draft.say("answer", about="survival", lot=lot, asked=found["lot"], survival=curve)
    if lot is not None:
        draft.current = (lot.ref,)
    return True


def is_grouped(text: str) -> bool:
    """Whether a question about losses asks for them by something."""
    return _GROUPED.search(text) is not None


def grouped_losses(text: str, standing: Standing, first: date, last: date) -> dict[str, Any]:
    """Return the facts of losses by what the words name."""
    found = _GROUPED.search(text)
    by: By = _BY[found["by"].lower()] if found else "cause"
    return {"by": by, "first": first, "last": last, "rates": tuple(rates_by(standing, by, first, last))}


def losses(things: Iterable[Thing], first: date, last: date) -> dict[str, Any]:
    """Return the facts of what died of some things from one day to another, both in."""
    lost: list[tuple[Ref, int]] = []
    causes: Counter[str] = Counter()
    things = list(things)
    for one in things:
        dead = [gone for gone in one.gone if gone["what"] in DEATHS and first.isoformat() <= gone["on"] <= last.isoformat()]
        if dead:
            lost.append((one.ref, sum(gone["count"] for gone in dead)))
            causes.update({gone.get("cause", UNKNOWN): 0 for gone in dead})
            for gone in dead:
                causes[gone.get("cause", UNKNOWN)] += gone["count"]
    facts = {"lost": tuple(lost), "total": sum(count for _, count in lost), "causes": tuple(causes.most_common())}
    return facts | {"rate": rate_of(things, first, last), "first": first, "last": last}


def record_begins(standing: Standing) -> date | None:
    """Return the first day on which anything is on record."""
    return min((one.first_on for one in standing.things.values() if one.first_on is not None), default=None)


def _span(words: str, today: date, standing: Standing) -> tuple[date, date] | None:
    """Return the days that "this year", "last year", "in 2025" or "since 2024" spans; without words the whole record."""
    if not words.strip(" ?.!"):
        return record_begins(standing) or today, today
    found = _SINCE.fullmatch(words.rstrip(" ?.!"))
    if found is None:
        return None
    if found["year"]:
        return date(int(found["year"]), 1, 1), today
    year = int(found["only"]) if found["only"] else today.year - (1 if found["last"] else 0)
    return date(year, 1, 1), min(today, date(year, 12, 31))
