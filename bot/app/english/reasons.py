"""Why something is due: in a few words for a list, in full for "why 3"."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from bot.app.english import phrases
from bot.app.groups import Group
from bot.care.due_values import Due
from bot.care.standing import Standing
from bot.notes.reading import PESTS

KIND_WORDS = {
    "measured": "your readings",
    "filled": "filled in between your readings",
    "forecast": "your forecast",
    "normal": "your monthly normals",
    "guess": "a guess from the latitude",
}


def is_pest(sign: str) -> bool:
    """Whether a sign is a pest or its trace."""
    return sign in PESTS or sign == "webbing"


def in_short(due: Due, today: date) -> str:
    """Return the reason in a few words."""
    why = due.why
    until = f"by {phrases.short_day(due.until, today)}" if due.until and due.until != due.on else ""
    if why.get("dormant"):
        return "mites may be dormant: a clean look proves little"
    if why.get("cold"):
        return "cold: at least every 4 weeks"
    if due.kind in ("survivors_look", "suspicion_look"):
        return ""
    if due.kind == "late_look":
        return "late: a new generation may be laying"
    if due.kind == "treat_again":
        return ", ".join(one for one in (_nth(why["course"]), until) if one)
    if due.kind == "midrest_look":
        return f"{MIDREST[:1].lower()}{MIDREST[1:]}"
    words = _SHORT[str(why["quantity"])](why) if why.get("quantity") in _SHORT else ""
    return ", ".join(one for one in (words, until) if one)


def _nth(course: str) -> str:
    """Return "2/3" as "2 of 3"."""
    return course.replace("/", " of ")


def _degree_days(why: Mapping[str, Any]) -> str:
    if why.get("rule") and why.get("suspected"):
        return "a suspicion"
    value, target = why.get("value"), why.get("target")
    return f"{value:.0f} of {target:.0f} degree-days" if value is not None and target else ""


def _days(why: Mapping[str, Any]) -> str:
    if why.get("pending") is not None:
        return f"{why['pending']} of {why['taken']} pending"
    if why.get("sown") is not None:
        return f"{why.get('up', 0)} of {why['sown']} up"
    return ""


def _drying(why: Mapping[str, Any]) -> str:
    return f"dry in {why['low']:.0f} to {why['high']:.0f} days" if "low" in why and "high" in why else ""


_SHORT: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "degree-days": _degree_days,
    "days": _days,
    "drying": _drying,
}


def in_full(group: Group, standing: Standing, today: date) -> list[str]:
    """Return the reason in full: inputs and where they come from, the sum so far, source and trust."""
    due = group.dues[0]
    why = due.why
    what = lists_head(group, standing)
    lines = [f"{what}, {phrases.day(group.on, today)}" + _window(due, today) + "."]
    lines += _FULL.get(str(why.get("quantity")), _plain_reason)(why, today)
    known = _known(why)
    if known:
        lines.append(known)
    lines.append(_trust(why))
    return [one for one in lines if one][:5]


def lists_head(group: Group, standing: Standing) -> str:
    """Return what is due, on which plants, beginning a sentence."""
    what = phrases.things(group.refs, standing) if group.refs else ""
    if group.kind == "reminder":
        return f"Your reminder{': ' + what if what else ''}"
    return phrases.cap(f"{phrases.due(group.kind, group.dues[0].about)}: {what}")


def _window(due: Due, today: date) -> str:
    return f" to {phrases.short_day(due.until, today)}" if due.until and due.until != due.on else ""


def _since(why: Mapping[str, Any], today: date) -> str:
    return f"since {phrases.short_day(date.fromisoformat(why['since']), today)}" if why.get("since") else ""


def _full_degree_days(why: Mapping[str, Any], today: date) -> list[str]:
    value, target, base = why.get("value", 0.0), why.get("target"), why.get("above_c")
    lines = [
        f"{value:.0f} of {target:.0f} degree-days above {base:.3g} °C {_since(why, today)}."
        if target and base is not None
        else ""
    ]
    if why.get("trade"):
        low, high = why["trade"]
        lines.append(f"The trade's rule is {low}-{high} days; " + (_dates(why, today) or "your temperatures decide."))
    elif _dates(why, today):
        lines.append(phrases.cap(_dates(why, today)))
    if why.get("cold"):
        lines.append("Below 1 degree-day a day no date is promised: look at least every 28 days.")
    if why.get("dormant"):
        lines.append("Mites may be dormant: orange ones hide in crevices, a clean look proves nothing yet.")
    return lines


def _dates(why: Mapping[str, Any], today: date) -> str:
    parts = []
    if why.get("latest"):
        parts.append(f"treat again by {phrases.short_day(date.fromisoformat(why['latest']), today)}")
    if why.get("all_clear"):
        parts.append(
            f"all-clear not before {phrases.short_day(date.fromisoformat(why['all_clear']), today)}, after two clean looks"
        )
    if why.get("release"):
        parts.append(f"out of quarantine not before {phrases.short_day(date.fromisoformat(why['release']), today)}")
    return "; ".join(parts) + "." if parts else ""


def _range(why: Mapping[str, Any]) -> str:
    return f"{why['low']:.0f} to {why['high']:.0f}" if why.get("high") is not None else f"{why['low']:.0f} or more"


def _full_drying(why: Mapping[str, Any], today: date) -> list[str]:
    pot = _pot(why)
    watered = f"Watered {phrases.short_day(date.fromisoformat(why['since']), today)}"
    weather = f"{why['min_c']:.0f} to {why['max_c']:.0f} °C, humidity {why['rh']:.0f} %" + (
        " (assumed)" if why.get("rh_assumed") else ""
    )
    lines = [f"{watered}; dry after about {why['days']:.0f} days ({_range(why)}).", f"Counted for a {pot}, {weather}."]
    if why.get("reports"):
        lines.append(f"Your reports: {why['factor']:g} times the model's time (n = {why['reports']}).")
    return lines


def _plain_reason(why: Mapping[str, Any], today: date) -> list[str]:
    if why.get("quantity") == "asked":
        return [
            f"You asked for it {_since(why, today).replace('since', 'on')}" + (f": {why['cond']}." if why.get("cond") else ".")
        ]
    rule = f"The rule is {why['rule']}" if why.get("rule") else ""
    since = f", counted from your note of {_since(why, today).removeprefix('since ')}" if why.get("since") else ""
    words = [f"Your words: {why['cond']}."] if why.get("cond") else []
    return [*words, f"{rule}{since}." if rule else "", _counted_for(why)]


_ROOT_STATES = {
    "clean": "clean roots",
    "whole": "a ball kept whole",
    "cleaned": "cleaned roots",
    "fine": "torn roots",
    "cut": "cut roots",
    "rot": "rot cut out",
}


def _counted_for(why: Mapping[str, Any]) -> str:
    """Return what a number of days was counted for, and where each of it comes from."""
    parts = [_ROOT_STATES[why["state"]]] if why.get("state") in _ROOT_STATES else []
    if why.get("roots"):
        known = str(why.get("roots_from", ""))
        source = "your note" if known == "noted" else "assumed" if known == "assumed" else f"genus table, confidence {known[-1:]}"
        parts.append(f"{why['roots']} roots ({source})")
    if why.get("mean_c") is not None:
        parts.append(f"a mean of {why['mean_c']:.0f} °C ({KIND_WORDS.get(why.get('mean_kind', ''), 'a guess')})")
    return f"Counted for {phrases.joined(parts)}." if parts else ""


def _full_daylength(why: Mapping[str, Any], today: date) -> list[str]:
    if why.get("soak_by"):
        lines = [_last_soak(why, today)]
    else:
        lines = [MIDREST + "."] if why.get("restart") else [f"Look for: {why['sign']}." if why.get("sign") else ""]
    if why.get("said"):
        lines.append(f"By your word of {phrases.short_day(date.fromisoformat(why['said']), today)}{_ruled_months(why)}.")
    else:
        known = f"genus table, confidence {why.get('confidence') or '?'}"
        nights = f"nights of about {why['night_c']:.0f} °C" if why.get("night_c") is not None else "nights not known"
        lines.append(f"Days of {why.get('value', 0):.1f} h, {nights}; kind: {why.get('class', '')} grower ({known}).")
    if why.get("margin"):
        lines.append(f"No night temperatures known, so give or take {why['margin'] // 7} weeks: send min/max readings.")
    return lines


MIDREST = "Firm and a little smaller is normal; soft, brown or webbed is trouble"


def _pot(why: Mapping[str, Any]) -> str:
    known = f"{why['pot_cm']:g} cm {why['material']} pot, {why['mix']} mix"
    if why.get("usual_in"):
        day = date.fromisoformat(str(why["usual_since"]))
        return f"{known} (usual in {why['usual_in']}, your note of {day.day} {day:%b})"
    return f"{known} (assumed)" if why.get("assumed") else known


def _last_soak(why: Mapping[str, Any], today: date) -> str:
    pot = _pot(why)
    rest = phrases.short_day(date.fromisoformat(why["rest_from"]), today)
    return f"Rest begins about {rest}; a {pot} takes about {why['days']} days to dry before it."


def _ruled_months(why: Mapping[str, Any]) -> str:
    if why.get("months"):
        return f": rest in {phrases.month_span(why['months'])}"
    return f": {why['class']} growers" if why.get("class") else ""


_FULL = {"degree-days": _full_degree_days, "drying": _full_drying, "daylength": _full_daylength}


def _known(why: Mapping[str, Any]) -> str:
    kinds: Mapping[str, int] = why.get("kinds") or {}
    if not kinds:
        return ""
    parts = [f"{phrases.count_of(days, 'day')} from {KIND_WORDS.get(kind, kind)}" for kind, days in kinds.items()]
    return f"Temperatures: {phrases.joined(parts)}."


def _trust(why: Mapping[str, Any]) -> str:
    if why.get("quantity") == "asked":
        return ""
    if why.get("quantity") == "drying":
        return "A water balance after FAO-56; pot values are defaults. Tell me “dry” or “still damp” when you look: it learns."
    source = str(why.get("source", ""))
    shown = source if len(source) <= 160 else source[:157].rsplit(" ", 1)[0] + " …"
    unsure = " Little is known of this pest: treat the date as rough." if why.get("unsure") else ""
    mark = str(why.get("mark", "project default"))
    if not shown:
        return f"{phrases.cap(mark)}, no published figure.{unsure}"
    return f"Source: {shown} [{mark}].{unsure}"


def follows(due: Due, today: date) -> str:
    """Return what follows from a note, in one sentence."""
    make = _FOLLOWS.get(due.kind)
    return make(due, today) if make else ""


def _look(due: Due, today: date) -> str:
    why, when = due.why, phrases.day(due.on, today)
    if why.get("dormant"):
        return f"Look again {when}: mites may be dormant, so a clean look proves little."
    if why.get("cold"):
        return f"Too cold for a date: look again by {when}, at least every 4 weeks."
    if why.get("quantity") != "degree-days" or "target" not in why:
        return f"Look again {when} and a week later."
    latest = f", treat by {phrases.short_day(due.until, today)}" if due.until else ""
    return f"Look again {when}, when the first eggs may have hatched{latest} ({_sum(why)})."


def _clear_look(due: Due, today: date) -> str:
    basis = f" ({_sum(due.why)})" if "above_c" in due.why else ""
    return f"Last look {phrases.day(due.on, today)}: clear once two looks were clean{basis}."


def _sum(why: Mapping[str, Any]) -> str:
    return f"{why['target']:.0f} degree-days above {why['above_c']:.3g} °C, {_basis(why)}"


def _basis(why: Mapping[str, Any]) -> str:
    kinds: Mapping[str, int] = why.get("kinds") or {}
    most = max(kinds, key=lambda one: kinds[one]) if kinds else "guess"
    return {
        "measured": "at your temperatures",
        "filled": "at your temperatures",
        "forecast": "at your forecast",
        "normal": "at your monthly normals",
    }.get(most, "temperatures guessed")


def _follow_up(due: Due, today: date) -> str:
    what, when = phrases.cap(phrases.FOLLOW_UP.get(due.about, "second look")), phrases.day(due.on, today)
    if due.about == "given":
        return f"{what} Ask about {when}."
    return f"{what} Look {when}." if what.endswith("?") else f"{what}: look {when}."


def _first_water(due: Due, today: date) -> str:
    half = ", half the usual" if due.why.get("share", 1) < 1 else ""
    if due.why.get("waits"):
        return f"First water after the rest, {phrases.day(due.on, today)} or later{half}."
    return f"First water {phrases.day(due.on, today)} or after, if the nights are warm{half}."


def _dry(due: Due, today: date) -> str:
    why = due.why
    span = (
        f"dry in {why['low']:.0f} to {why['high']:.0f} days"
        if why.get("high") is not None
        else f"dry in {why['days']:.0f} days or more"
    )
    when = f"Drying-off check {phrases.day(due.on, today)}" if due.on >= today else "Drying-off check now"
    return f"{when} ({span})."


_FOLLOWS: dict[str, Callable[[Due, date], str]] = {
    "pest_look": _look,
    "treat_again": lambda due, today: (
        f"Treatment {_nth(due.why['course'])}: {phrases.day(due.on, today)} to {phrases.short_day(due.until or due.on, today)}."
    ),
    "late_look": lambda due, today: "Late: a new generation may be laying. Look, and treat now.",
    "clear_look": _clear_look,
    "suspicion_look": lambda due, today: f"Lens over it {phrases.day(due.on, today)}.",
    "survivors_look": lambda due, today: f"Look for survivors {phrases.day(due.on, today)}.",
    "intake_look": lambda due, today: "Look them over today: crown, areoles, under the rim.",
    "release_look": lambda due, today: (
        f"Keep apart until {phrases.day(due.on, today)} at the earliest, with a look at the roots."
    ),
    "isolation_look": lambda due, today: (
        "" if due.why.get("release") else "Keep apart: too cool to say how long; a look at the bare roots is the way out."
    ),
    "dry_look": _dry,
    "pot_up": lambda due, today: f"Pot {phrases.day(due.on, today)} or after.",
    "first_water": _first_water,
    "hold_ends": lambda due, today: f"I will tell you {phrases.day(due.on, today)}." if due.on > today else "",
    "hold_open": lambda due, today: "Held until you say so.",
    "sowing_look": lambda due, today: f"Look for seedlings {phrases.day(due.on, today)}.",
    "rooted_look": lambda due, today: f"Tug test {phrases.day(due.on, today)}.",
    "ties_off": lambda due, today: f"Ties off {phrases.day(due.on, today)}.",
    "follow_up": _follow_up,
    "rest_end": lambda due, today: f"Look for the end of rest from {phrases.day(due.on, today)}.",
    "rest_start": lambda due, today: f"Last soak before the rest about {phrases.day(due.on, today)}.",
}
