"""Answers to questions: the answer first, dates with days ago, n beside each percentage, at most five lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from bot.app.advice import water_objection
from bot.app.english import lineage, lists, logged, lost, phrases, wished
from bot.app.english.care_answers import CARE_ANSWERS
from bot.app.english.record_answers import RECORD_ANSWERS
from bot.app.plan import View
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.care.ledger import ledger_of
from bot.care.standing import Case, Standing, Thing

MOST_LINES = 5
MOST_ITEMS = 8


def answer(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return the lines that answer a question from its facts."""
    lines = _ANSWERS.get(str(facts["about"]), _not_yet)(facts, view, standing)
    return lines[:MOST_LINES] if facts["about"] != "due" else lines


def _not_yet(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    return ["I can't answer that yet. Your question is kept."]


def _due(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    groups, today = facts["groups"], view.today
    until: date = facts["until"]
    if not groups:
        span = "this week" if facts["week"] else "today" if until == today else f"until {phrases.day(until, today)}"
        following = facts["next"]
        if following is None:
            return [f"Nothing due {span}."]
        return [f"Nothing due {span}. Next: {lists.line(following, 0, standing, today)[3:]}."]
    lines: list[str] = lists.due_list(groups, standing, today)
    if until == today and facts["soon"] and len(groups) <= lists.MOST_LINES and not facts["week"]:
        lines.append(f"{facts['soon']} more within a week: “whats due this week”.")
    return lines


def _about_refs(facts: Mapping[str, Any], standing: Standing) -> str:
    return phrases.things(facts["refs"], standing) if facts.get("asked") else "anything"


_VERBS = {
    "fed": "feed",
    "watered": "watering",
    "inspected": "look",
    "treated": "treatment",
    "repotted": "repotting",
    "potted": "potting",
}


def _last_done(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    today, newest = view.today, facts["newest"]
    what = phrases.sign(facts["sign"]) if facts.get("sign") else _VERBS.get(facts["act"], facts["act"].replace("_", " "))
    if newest is None:
        return [f"No {what} entry for {_about_refs(facts, standing)} yet."]
    at_last = [thing for thing, day in facts["dated"] if day == newest]
    place = next((one for one in at_last if one.kind in ("place", "house")), None)
    refs = [one.ref for one in ([place, *(one for one in at_last if one is not place)] if place else at_last)]
    how = "" if facts.get("sign") else _how(at_last[0], facts["act"])
    left = f" except {phrases.exceptions(at_last[0].soak['except'])}" if at_last[0].soak.get("except") else ""
    what = phrases.things(refs[:1] if left else refs, standing)
    lines = [f"{phrases.cap(_dated(newest, today))}{how}: {what}{left}."]
    earlier = [(thing, day) for thing, day in facts["dated"] if day < newest and thing.kind not in ("place", "house")]
    if earlier and facts.get("asked"):
        shown = ", ".join(
            f"{phrases.things((thing.ref,), standing)} {phrases.short_day(day, today)}" for thing, day in earlier[:4]
        )
        lines.append(f"Not then: {shown}" + (f" and {len(earlier) - 4} more." if len(earlier) > 4 else "."))
    return lines


def _dated(day: date, today: date) -> str:
    """Return "today", or a day with how long ago it was."""
    said = phrases.day(day, today)
    return said if said in ("today", "yesterday") else f"{said} ({phrases.ago(day, today)})"


def _how(thing: Thing, act: str) -> str:
    how = str(thing.soak.get("how", "")) if act == "watered" else ""
    return {"soak": ", soaked", "splash": ", a splash", "half": ", half", "below": ", from below", "wetted": ", a leak"}.get(
        how, ""
    )


def _done_since(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    since, newest = facts["since"], facts["newest"]
    if facts["hit"]:
        day = max(day for _, day in facts["hit"])
        done = [one for one, on in facts["hit"] if on == day]
        places = [one for one in done if one.kind in ("place", "house")]
        return [f"Yes: {_dated(day, view.today)}, {phrases.things([one.ref for one in places or done], standing)}."]
    last = f" Last: {phrases.day(newest, view.today)}." if newest else ""
    verb = _VERBS.get(facts["act"], facts["act"].replace("_", " "))
    return [f"No {verb} entry for {_about_refs(facts, standing)} since {phrases.day(since, view.today)}.{last}"]


def _not_since(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    dated = facts["dated"]
    if not dated:
        return [f"None: all have an entry since {phrases.day(facts['since'], view.today)}."]
    shown = [
        f"{phrases.things((one.ref,), standing)} ({phrases.short_day(day, view.today) if day else 'no entry'})"
        for one, day in dated[:MOST_ITEMS]
    ]
    more = f" and {len(dated) - MOST_ITEMS} more" if len(dated) > MOST_ITEMS else ""
    return [f"{len(dated)}: {', '.join(shown)}{more}."]


def _journal(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    lines = facts["lines"]
    if not lines:
        last = f" to {phrases.short_day(facts['until'], view.today)}" if facts["until"] != facts["on"] else ""
        return [
            f"No note from {phrases.short_day(facts['on'], view.today) if last else phrases.day(facts['on'], view.today)}{last}."
        ]
    most = 4 if len(lines) <= 4 else 3  # with the day and what is left out no more than five lines
    several = facts["until"] != facts["on"]
    shown = [f"{phrases.short_day(day, view.today)}: {text}" if several else text for day, text in lines[:most]]
    head = phrases.cap(phrases.day(facts["on"], view.today))
    head = f"{phrases.short_day(facts['on'], view.today)} to {phrases.short_day(facts['until'], view.today)}" if several else head
    return [f"{head}:", *shown] + ([f"{len(lines) - most} more"] if len(lines) > most else [])


def _sprayed(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    if not facts["dated"]:
        return ["No treatment entry."]
    newest = max(day for _, day in facts["dated"])
    things = [one.ref for one, day in facts["dated"] if day == newest]
    last = f"Last treated {phrases.day(newest, view.today)}: {phrases.things(things, standing)}."
    return [f"{last} The label says how long to keep people, pets and bees away."]


def _list(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    things: Sequence[Thing] = facts["things"]
    if not things:
        return ["None noted."]
    act = facts.get("act")
    if act in ("set_to_dry", "washed", "unpotted"):
        return [f"{len(things)} drying:"] + [
            f"{phrases.things((Ref(one.kind, one.key, one.bare_count),), standing)}, {_days_dry(one, view.today)}"
            for one in things[:4]
        ]
    if facts.get("state") == "quarantine" or act == "isolated":
        return _quarantine(things, view, standing)
    by_genus: dict[str, int] = {}
    for one in things:
        by_genus[_sort_of(one)] = by_genus.get(_sort_of(one), 0) + (one.count or 1)
    total = sum(by_genus.values())
    ranked = sorted(by_genus.items(), key=lambda item: (-item[1], item[0]))
    if total <= MOST_ITEMS:
        return [", ".join(phrases.things((one.ref,), standing) for one in things) + "."]
    return [
        f"{total}: "
        + ", ".join(f"{count} {name}" for name, count in ranked[:MOST_ITEMS])
        + (" …" if len(ranked) > MOST_ITEMS else ".")
    ]


def _sort_of(thing: Thing) -> str:
    """Return what a thing is counted as: its genus, and apart from the plants what was taken off them."""
    if not thing.genus:
        return "unnamed"
    return (
        f"{thing.genus} {thing.tally['kind']}" if thing.kind == "batch" and "kind" in thing.tally else phrases.plural(thing.genus)
    )


def _days_dry(thing: Thing, today: date) -> str:
    return f"{phrases.count_of((today - thing.bare_on).days, 'day')} dry" if thing.bare_on else ""


def _quarantine(things: Sequence[Thing], view: View, standing: Standing) -> list[str]:
    lines = []
    for one in things[:4]:
        release = next((due for due in view.due if due.kind == "release_look" and one.ref in due.refs), None)
        until = f", out from {phrases.day(release.on, view.today)} if clean" if release else ", no date yet: too cool"
        days = (view.today - one.isolated_on).days if one.isolated_on else 0
        lines.append(f"{phrases.cap(phrases.things((one.ref,), standing))}: day {days}{until}.")
    return lines + ([f"{len(things) - 4} more"] if len(things) > 4 else [])


def _cases(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    cases: Sequence[Case] = facts["cases"]
    if not cases:
        return [f"No {phrases.sign(str(facts.get('sign') or 'pest'))} open."]
    upcoming: Mapping[str, Due] = facts["next"]
    lines = []
    for one in cases[:4]:
        step = (
            f"; {phrases.due(upcoming[one.key].kind, one.sign)} {phrases.day(upcoming[one.key].on, view.today)}"
            if one.key in upcoming
            else ""
        )
        lines.append(
            f"{phrases.cap(phrases.sign(one.sign))} on {phrases.things(one.refs, standing)}, "
            f"since {phrases.short_day(one.opened_on, view.today)}{step}."
        )
    return lines + ([f"{len(cases) - 4} more"] if len(cases) > 4 else [])


def _count(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    total, things = facts["total"], facts["things"]
    if not things:
        return ["None noted."]
    places: dict[str, int] = {}
    for one in things:
        places[one.place or "no place"] = places.get(one.place or "no place", 0) + (one.count or 1)
    where = ", ".join(
        f"{count} {phrases.at(place) if place != 'no place' else 'with no place'}" for place, count in list(places.items())[:4]
    )
    known = total if total is not None else len(things)
    placed = len(places) > 1 or "no place" not in places
    return [f"{known}: {where}." if placed else f"{known}.", *_besides(facts.get("besides") or {})]


def _besides(counts: Mapping[str, int]) -> list[str]:
    """Return what is not among the plants counted: their offsets, their dead, the missing."""
    words = {"young": "as offsets or cuttings", "dead": "dead", "missing": "missing"}
    parts = [f"{counts[key]} {said}" for key, said in words.items() if counts.get(key)]
    return [f"Besides: {', '.join(parts)}."] if parts else []


def _where(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    things: Sequence[Thing] = facts["things"]
    if not things:
        return ["I don't know that one."]
    return [f"{phrases.things((one.ref,), standing, with_place=one.alive)}: {_stands(one)}." for one in things[:4]]


def _stands(one: Thing) -> str:
    """Return where a thing stands; of what is gone, how it went and where it stood last."""
    if one.alive or one.kind == "place":
        return one.place or one.parent or "no place noted"
    return f"{one.status}, last {phrases.at(one.place)}" if one.place else one.status


def _card(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    one: Thing | None = facts["thing"]
    return list(logged.card(one, facts, view, standing)) if one is not None else ["I don't know that one."]


def _source(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    lines = []
    for one in facts["things"]:
        come, left = one.tally.get("come"), one.count
        if one.kind == "lot" and left is not None:
            left = ledger_of(standing, one).alive  # those with numbers too
        price = _paid(one, come, left)
        alive = f", {left} of {come} left" if come and left is not None and left != come else f", {come}" if come else ""
        lines.append(
            f"{phrases.cap(phrases.things((one.ref,), standing))}: "
            + ", ".join(part for part in (_came(one, view.today), lineage.parents(one, standing)) if part)
            + f"{alive}{price}."
        )
    return lines or ["No source noted."]


def _came(one: Thing, today: date) -> str:
    """Return when and from whom a thing came, as far as that is noted."""
    dated = _dated(one.came_on, today) if one.came_on is not None else ""
    return f"{dated} from {phrases.cap(one.came_from)}".strip() if one.came_from else dated


def _paid(thing: Thing, come: int | None, left: int | None) -> str:
    """Return what was paid: in all, each, and for each that is left."""
    if not thing.price:
        return ""
    each = f", {thing.price / come:.2f} each" if come and come > 1 else ""
    kept = f", {thing.price / left:.2f} for each left" if come and left and left != come else ""
    return f", {thing.currency} {thing.price:g}{each}{kept}".replace("  ", " ")


def _at(place: str) -> str:
    return f" {phrases.at(place)}" if place else ""


def _rooted(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    lines = []
    for one in facts["batches"]:
        taken, rooted, failed = one.tally.get("taken", 0), one.tally.get("rooted", 0), one.tally.get("failed", 0)
        days = f", day {(view.today - one.came_on).days}" if one.came_on else ""
        lost = f", {failed} failed" if failed else ""
        pending = max(0, taken - rooted - failed)
        lines.append(f"{phrases.cap(phrases.batch(one, standing))}: {rooted} of {taken} rooted{lost}, {pending} pending{days}.")
    return lines or ["No offsets or cuttings noted."]


def _flowering(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    if not facts["dated"]:
        return [f"No flower noted since {phrases.day(facts['since'], view.today)}."]
    return [
        "; ".join(
            f"{phrases.things((one.ref,), standing)}{_at(one.place)}, {_dated(day, view.today)}"
            for one, day in facts["dated"][:MOST_LINES]
        )
        + "."
    ]


def _climate(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    readings = facts["readings"]
    lows = [one for one in readings if "min_c" in one]
    if not readings:
        return ["No thermometer entry yet: send “min 4 max 19”."]
    last = readings[-1]
    lines = []
    if none := facts.get("none"):
        first, last = (phrases.day(one, view.today) for one in none)
        span = first if none[0] == none[1] else f"from {first} to {last}" if none[1] < view.today else f"since {first}"
        lines.append(f"No thermometer entry {'for' if none[0] == none[1] else ''} {span}. The last one:".replace("  ", " "))
    if lows:
        coldest = min(lows, key=lambda one: one["min_c"])
        frost = sum(1 for one in lows if one["min_c"] <= 0)
        cold = f"; {phrases.count_of(frost, 'night')} at or below 0" if frost else ""
        when = phrases.day(date.fromisoformat(coldest["on"]), view.today)
        lines.append(f"Lowest {coldest['min_c']:g} °C, {when} (n = {len(lows)}){cold}.")
    if "max_c" in last:
        lines.append(f"Highest of {phrases.day(date.fromisoformat(last['on']), view.today)}: {last['max_c']:g} °C.")
    return lines or [f"{last.get('at_c', '?'):g} °C, {phrases.day(date.fromisoformat(last['on']), view.today)}."]


def _may_water(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    things: Sequence[Thing] = facts["things"]
    whole = phrases.things(facts["refs"], standing)
    held: dict[str, list[Thing]] = {}
    for one in things:
        reason = _no_water(one, view)
        if reason:
            held.setdefault(reason, []).append(one)
    if held:
        return [
            f"Not {phrases.things([one.ref for one in those], standing)}: {reason}." for reason, those in list(held.items())[:4]
        ]
    act = str(facts.get("act", "watered"))
    last = max((one.last[act] for one in things if act in one.last), default=None)
    none = "no feed noted" if act == "fed" else "no watering entry"
    when = f"last {phrases.day(date.fromisoformat(last), view.today)}" if last else none
    if act == "fed":
        return [f"Nothing holds {whole}: {when}. Only in growth, on a mix that is moist."]
    dry = next(
        (due for due in view.due if due.kind == "dry_look" and any(ref in [one.ref for one in things] for ref in due.refs)), None
    )
    look = f"; dry enough to look from {phrases.day(dry.on, view.today)}" if dry and dry.on > view.today else ""
    return [f"Nothing holds {whole}: {when}{look}. Feel the pot first."]


def _no_water(thing: Thing, view: View) -> str:
    if thing.hold:
        until = thing.hold.get("until")
        return (
            f"held until {phrases.day(date.fromisoformat(until), view.today)}"
            if until
            else f"held, {thing.hold.get('cond', 'until you say so')}"
        )
    if thing.bare_on is not None:
        return "out of its pot, drying"
    if thing.settling:
        first = next(
            (
                due
                for due in view.due
                if due.kind == "first_water" and (thing.kind, thing.key) in {(one.kind, one.key) for one in due.refs}
            ),
            None,
        )
        return f"newly potted, first water {phrases.day(first.on, view.today)} or after" if first else "newly potted"
    if thing.rest_on:
        return f"at rest since {phrases.day(thing.rest_on, view.today)}"
    found = water_objection(thing, view.today, view)
    if found is None or found.kind != "rest_known":
        return ""
    known = "by your word" if found.facts["said"] else f"by the genus table, confidence {found.facts['confidence']}"
    sign = f"; restart: {found.facts['sign']}" if found.facts["sign"] else ""
    return f"at rest now, {known}{sign}"


def _rest_check(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    if not facts["resting"]:
        return ["None noted as resting."]
    lines = [f"Resting: {phrases.things([one.ref for one in facts['resting']], standing)}."]
    wet = [one.ref for one in facts["wet"]]
    return [f"At rest and still wet: {phrases.things(wet, standing)}.", *lines] if wet else lines


def _lineage(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    one: Thing | None = facts["thing"]
    if one is None:
        return ["I don't know that one."]
    said = lineage.parents(one, standing)
    parent = f"{one.key}: {said}." if said else f"No parent of {one.key} noted."
    if facts.get("asked") == "children":
        parent = ""
    children = [phrases.batch(child, standing) if child.kind == "batch" else child.key for child in facts["children"]]
    young = f"Children of {one.key}: {', '.join(children[:MOST_ITEMS])}." if children else f"No children of {one.key} noted."
    return [line for line in (parent, young) if line]


def _swap_list(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    if not facts["things"]:
        return ["Nothing is down for swapping yet."]
    return [f"For swap: {', '.join(phrases.things((one.ref,), standing) for one in facts['things'][:MOST_ITEMS])}."]


_ANSWERS: dict[str, Callable[[Mapping[str, Any], View, Standing], list[str]]] = {
    "due": _due,
    "last_done": _last_done,
    "done_since": _done_since,
    "not_since": _not_since,
    "journal": _journal,
    "sprayed": _sprayed,
    "list": _list,
    "cases": _cases,
    "count": _count,
    "where": _where,
    "card": _card,
    "source": _source,
    "losses": lost.losses,
    "losses_by": lost.losses_by,
    "survival": lost.survival,
    "rooted": _rooted,
    "flowering": _flowering,
    "climate": _climate,
    "may_water": _may_water,
    "rest_check": _rest_check,
    "lineage": _lineage,
    "swap_list": _swap_list,
    "not_yet": _not_yet,
    "wishes": wished.listed,
    "unknown": lambda facts, view, standing: ["I don't know that one."],
    "not_understood": lambda facts, view, standing: ["That question I do not know. Name a plant, or ask: “whats due this week”."],
    **CARE_ANSWERS,
    **RECORD_ANSWERS,
}
