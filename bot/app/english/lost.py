"""Answers about losses: how many and why, with n beside each share, ranges, and where there is too little to say."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from bot.app.english import phrases
from bot.app.plan import View
from bot.care.events import Ref
from bot.care.losses import UNKNOWN
from bot.care.standing import Standing, Thing
from bot.care.survival import FEWEST_PLANT_YEARS, Rate, Survival, yearly_share

MOST_GROUPS = 4
_YEAR_DAYS = 365
_TIMES = ((30, "a month"), (182, "half a year"), (_YEAR_DAYS, "a year"), (2 * _YEAR_DAYS, "two years"))


def losses(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return what died, why, and at what rate."""
    total, come = facts["total"], facts["come"]
    if not total:
        return ["None noted as dead" + (f" of {come}" if come and facts["asked"] else "") + f"{_span(facts, view)}."]
    shown = [_some(ref, count, standing) for ref, count in facts["lost"][:4]]
    dead = f"{total} of {come} dead ({_percent(total / come)})" if facts["asked"] and come else f"{total} dead"
    more = f" and {len(facts['lost']) - 4} more" if len(facts["lost"]) > 4 else ""
    lines = [f"{dead}{_span(facts, view)}: {', '.join(shown)}{more}.", _why(facts["causes"], total)]
    return lines if facts["asked"] else [*lines, _rate_line(facts["rate"])]


def _some(ref: Ref, count: int, standing: Standing) -> str:
    called = phrases.things((ref,), standing)
    return called if ref.kind == "plant" else f"{count} of {called}"


def _span(facts: Mapping[str, Any], view: View) -> str:
    return f" since {phrases.day(facts['first'], view.today)}" if facts.get("since") else ""


def _why(causes: tuple[tuple[str, int], ...], total: int) -> str:
    known = [(_cause(cause), count) for cause, count in causes if cause != UNKNOWN]
    unknown = total - sum(count for _, count in known)
    parts = [f"{cause} {count}" for cause, count in known[:MOST_GROUPS]]
    if not known:
        return "No cause noted."
    rest = f"; no cause noted for {unknown} ({_percent(unknown / total)}, n = {total})" if unknown else f" (n = {total})"
    return f"Why: {', '.join(parts)}{rest}."


def _cause(key: str) -> str:
    return "not known" if key == UNKNOWN else phrases.sign(key)


def _rate_line(rate: Rate) -> str:
    if rate.too_few:
        return f"Too few to say a rate: {rate.plant_years:.1f} plant-years on record."
    return f"That is {_share(rate)} a year (n = {phrases.count_of(rate.plants, 'plant')}, {rate.plant_years:.0f} plant-years)."


def _share(rate: Rate) -> str:
    low, high = (yearly_share(one) for one in rate.interval)
    return f"{_percent(rate.share_a_year)} ({_range(low, high)})"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _range(low: float, high: float) -> str:
    """Return a 95 % range of a share: "4 to 12 %"."""
    return f"95 % range {100 * low:.0f} to {100 * high:.0f} %"


def losses_by(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return a line for each group, most deaths first, and how many more there are."""
    rates = facts["rates"]
    span = f"since {phrases.day(facts['first'], view.today)}" if facts["last"] == view.today else f"in {facts['first'].year}"
    if not rates or not any(rate.deaths for _, rate in rates):
        return [f"None noted as dead {span}."]
    lines = [_group_line(facts["by"], name, rate) for name, rate in rates[:MOST_GROUPS]]
    more = f", {len(rates) - MOST_GROUPS} more" if len(rates) > MOST_GROUPS else ""
    return [f"Losses a year by {facts['by']} {span}{more}:", *lines]


def _group_line(by: str, name: str, rate: Rate) -> str:
    called = _cause(name) if by == "cause" else phrases.lot(name) if by == "lot" and name else name or f"no {by} noted"
    of = phrases.count_of(rate.plants, "plant")
    if rate.too_few:
        return f"{phrases.cap(called)}: {rate.deaths} of {of}, too few to say (under {FEWEST_PLANT_YEARS:g} plant-years)."
    return f"{phrases.cap(called)}: {_share(rate)}, {rate.deaths} dead, n = {of}."


def survival(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return how a lot has survived: a share with its range at a month, half a year, a year, as far as it was followed."""
    lot: Thing | None = facts["lot"]
    if lot is None:
        return [f"I know no lot “{facts['asked']}”."]
    made: Survival | None = facts["survival"]
    called = phrases.cap(phrases.lot(lot.key))
    if made is None or not made.n:
        return [f"{called}: I don't know when it came or how many there were."]
    came: date = lot.came_on or view.today
    head = f"{called}: {made.n - made.died} of {made.n} alive or passed on, {phrases.count_of(made.died, 'death')}"
    head += f" since {phrases.day(came, view.today)} ({phrases.ago(came, view.today)})."
    if not made.died:
        return [head]
    times = [(days, words) for days, words in _TIMES if days <= made.longest]
    parts = [f"{share} after {words}" for days, words in times if (share := _survived(made, days))]
    return [head, f"Survived: {'; '.join(parts)} (n = {made.n})."] if parts else [head]


def _survived(made: Survival, days: int) -> str:
    step = made.at(days)
    return "all" if step is None else f"{_percent(step.survival)} ({_range(step.low, step.high)})"
