"""What speaks against something that was done, in one short sentence each."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from bot.app.advice import Advice
from bot.app.english import phrases
from bot.care.standing import Standing


def sentence(one: Advice, standing: Standing, today: date) -> str:
    """Return the sentence of one piece of advice."""
    return _SENTENCES[one.kind](one, phrases.things(one.refs, standing, with_place=False), today)


def _day(one: Advice, fact: str, today: date) -> str:
    return phrases.day(date.fromisoformat(str(one.facts[fact])), today)


def _are(one: Advice) -> str:
    return "is" if len(one.refs) == 1 and one.refs[0].kind == "plant" else "are"


def _was(one: Advice) -> str:
    return "was" if _are(one) == "is" else "were"


def _hold(one: Advice, what: str, today: date) -> str:
    if one.facts.get("until"):
        return f"Mind: {what} {_was(one)} to have no water until {_day(one, 'until', today)}."
    return f"Mind: {what} {_was(one)} to have no water" + (f" {one.facts['cond']}." if one.facts.get("cond") else " for now.")


def _rest_known(one: Advice, what: str, today: date) -> str:
    known = "by your word" if one.facts.get("said") else f"by the genus table, confidence {one.facts['confidence']}"
    sign = f"; restart: {one.facts['sign']}" if one.facts.get("sign") else ""
    return f"Mind: {what} should rest dry now ({known}){sign}."


def _same_day(one: Advice, what: str, today: date) -> str:
    if one.facts.get("whole"):
        return "Mind: potted and watered on one day; a few days dry first are safer."
    return "Mind: potted and watered on one day; disturbed roots rot in wet mix. Give no more until it has dried."


def _apart(one: Advice, what: str, today: date) -> str:
    days = f"quarantine, day {one.facts['days']}"
    if one.facts["act"] == "given":
        return f"Mind: {what} {_was(one)} still in {days}: tell whoever has it now."
    return f"Mind: {what} {_are(one)} still in {days}: wait until it is clear."


def _released(one: Advice, what: str, today: date) -> str:
    facts = one.facts
    days = [phrases.short_day(date.fromisoformat(day), today) for day in facts["looks"]]
    looks = f"{phrases.count_of(len(days), 'clean look')}" + (f" ({', '.join(days[-3:])})" if days else "")
    roots = "roots seen" if facts["roots"] else "roots not seen"
    evidence = f"day {facts['days']} of 42, {facts['sum']} of {facts['target']} degree-days, {looks}, {roots}"
    return f"{phrases.cap(evidence)}." if facts["clear"] else f"Out on your word: {evidence}."


def _case(one: Advice, what: str, today: date) -> str:
    sign = phrases.sign(str(one.facts["sign"]))
    return f"Mind: {what} {_are(one)} still followed for {sign}" + (
        ": tell whoever has it now." if one.facts["act"] == "given" else "."
    )


def _treatment(one: Advice, what: str, today: date) -> str:
    kind, against = str(one.facts["what"]), str(one.facts["against"])
    if against == "never":
        return _NEVER.get(kind, f"Mind: {kind} is nothing I would propose: the label and your local rules decide.")
    return {
        "too hot": f"Mind: {kind} above 29 °C scorches: in the cool of the evening, in shade.",
        "too cold": f"Mind: too cold for {kind} to work.",
        "dry resting plant": f"Mind: no {kind} on a dry resting plant ({what}): it burns or rots.",
        "sulphur lately": "Mind: oil within 30 days of sulphur burns plants.",
    }[against]


_NEVER = {
    "alcohol spray": "Mind: alcohol as a spray is flammable and strips the bloom: dab it on, well away from heaters.",
    "hot dip": "Mind: how hot cactus roots may get is not known: I never propose a hot dip.",
    "peroxide": "Mind: peroxide is unproven on roots: I never propose it.",
    "essential oil": "Mind: essential oils have been shown to do little against pests and to burn plants.",
}
_SENTENCES: dict[str, Callable[[Advice, str, date], str]] = {
    "bare": lambda one, what, today: (
        f"Mind: {what} {_are(one)} out of the pot since {_day(one, 'since', today)}: to dry, not to drink."
    ),
    "own_rule": lambda one, what, today: f"Mind your rule of {_day(one, 'on', today)}: “{one.facts['text']}” ({what}).",
    "above_label": lambda one, what, today: (
        f"Mind: that is above the label's {one.facts['most']:g} {one.facts['unit']}/l for {one.facts['product']}."
    ),
    "hold": _hold,
    "rest_said": lambda one, what, today: f"Mind: {what} {_are(one)} at rest since {_day(one, 'since', today)}, by your word.",
    "rest_known": _rest_known,
    "newly_potted": lambda one, what, today: (
        f"Mind: {what} {_was(one)} potted {_day(one, 'potted_on', today)}, first water from {_day(one, 'first', today)}."
    ),
    "late_soak": lambda one, what, today: (
        f"Mind: this soak may not have dried when the rest begins ({_day(one, 'rest_from', today)}); air and warmth now."
    ),
    "same_day": _same_day,
    "fed_rest": lambda one, what, today: f"Mind: {what} {_are(one)} at rest: no feed until growth.",
    "fed_first": lambda one, what, today: "Mind: no feed in the first water; wait for the next but one.",
    "apart": _apart,
    "released": _released,
    "case": _case,
    "treatment": _treatment,
    "brighter": lambda one, what, today: "Mind: a brighter place: shade for the first 2 weeks against scorch.",
    "too_bright": lambda one, what, today: (
        f"Mind: {what} {'wants' if _are(one) == 'is' else 'want'} part shade "
        f"({'your word' if one.facts['said'] else 'genus table'}): shade there, or it scorches."
    ),
    "hot_run": lambda one, what, today: (
        f"Third hot day, 10 °C above the winter's mean of {one.facts['mean_c']:g}: shade what stood dim, or it scorches."
    ),
}
