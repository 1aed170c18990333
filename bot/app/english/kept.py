"""The grower's rules, told back and listed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from bot.app.english import lists, phrases, places
from bot.app.plan import Said, View
from bot.care.events import CareEvent, refs_from_json
from bot.care.standing import BATCH, KEPT, LABEL, REPEATING, Standing

NO_RULES = "You have set no rules yet. Such as: never feed the lithops; my lithops rest till may; label says max 2 ml/l for soap."
_LIGHT = {"full_sun": "full sun", "bright_shade_midsummer": "bright, shaded in midsummer", "part_shade": "part shade"}


def parts(facts: Mapping[str, Any]) -> list[str]:
    """Return what a standing word says: "rest in October to April", "full sun", "not below 12 °C"."""
    found = []
    if "months" in facts:
        found.append(f"rest in {phrases.month_span(facts['months'])}" if facts["months"] else "no rest")
    if "class" in facts:
        found.append({"opportunistic": "spring and autumn"}.get(facts["class"], facts["class"]) + " growers")
    if "pot" in facts:
        found.append(places.usual("", {"pot": facts["pot"]}, "").removeprefix(": "))
    if "light" in facts:
        found.append(_LIGHT[facts["light"]])
    if "floor_c" in facts:
        found.append(f"not below {facts['floor_c']:g} °C")
    return found


def listed(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """Return all rules, numbered, each with its day."""
    rules = facts["rules"]
    if not rules:
        return [NO_RULES]
    lines = [f"{number}. {rule(key, one, standing, view.today)}" for number, (key, one) in enumerate(rules, 1)]
    return [*lines, "To take one back: drop rule 1."]


def rule(key: str, one: Mapping[str, Any], standing: Standing, today: date) -> str:
    """Return one rule in a line."""
    said = one.get("on") or max(one.get("said", {}).values(), default="")
    since = f" ({phrases.short_day(date.fromisoformat(str(said)), today)})" if said else ""
    return f"{_body(key, one, standing)}{since}"


def _body(key: str, one: Mapping[str, Any], standing: Standing) -> str:
    if key.startswith(KEPT):
        return f"“{one['text']}”" + ("" if one.get("never") or one.get("always") else ", which I cannot check")
    if key.startswith(LABEL):
        return f"{phrases.cap(str(one['product']))}: at most {one['per_litre']:g} {one['unit']}/l by its label"
    if key.startswith(BATCH):
        return _bottle(one)
    if key.startswith(REPEATING):
        what = phrases.things(refs_from_json(one["refs"]), standing) if one["refs"] else ""
        words = one["text"] or f"{lists.VERBS.get(one['act'], '')} {what}".strip()
        return f"Every {phrases.count_of(int(one['every_days']), 'day')}: {words}"
    kind, _, name = key.partition(":")
    whose = phrases.plural(name) if kind == "taxon" else name
    return f"{phrases.cap(whose)}: {', '.join(parts(one))}"


def apart(event: CareEvent) -> str:
    """Return a rule that is about no plants of its own, as one says of it what was done: empty where the event is another."""
    facts = event.facts
    if event.what == "kept":
        return f"Your rule “{facts['text']}”"
    if event.what == "label":
        return f"Label of {facts['product']}: at most {facts['per_litre']:g} {facts['unit']}/l"
    if event.what == "partner":
        return f"{facts['person']} is in {str(facts['country']).title()}"
    if event.what == "batch":
        return _bottle(facts)
    return "A rule dropped" if event.what == "dropped" else ""


def _bottle(facts: Mapping[str, Any]) -> str:
    expires = f", use by {facts['expires']}" if facts.get("expires") else ""
    return f"{phrases.cap(str(facts['product']))}: batch {facts['batch']}{expires}"


def _kept(said: Said) -> str:
    assert said.event is not None
    facts = said.event.facts
    if facts.get("never") or facts.get("always"):
        return f"Kept as your rule: “{facts['text']}”. I tell you when a note goes against it."
    return f"Kept as your rule: “{facts['text']}”. I show it on “what rules have i set”; checking it is beyond me."


def _label(said: Said) -> str:
    assert said.event is not None
    facts = said.event.facts
    return f"{phrases.cap(str(facts['product']))}: at most {facts['per_litre']:g} {facts['unit']}/l. I give no dose above it."


def _usual(said: Said) -> str:
    assert said.event is not None
    place = said.event.refs[0].key
    line = places.usual(phrases.cap(place), said.event.facts, _LIGHT.get(str(said.event.facts.get("light")), ""))
    return f"{line}: usual for what stands there and has no pot of its own noted."


def _batch(said: Said) -> str:
    assert said.event is not None
    return f"{_bottle(said.event.facts)}. It is on “what rules have i set”."


SAID: dict[str, Callable[[Said, Any, Any], str]] = {
    "kept_rule": lambda said, talk, last: _kept(said),
    "kept_label": lambda said, talk, last: _label(said),
    "usual": lambda said, talk, last: _usual(said),
    "kept_batch": lambda said, talk, last: _batch(said),
    "dropped_rule": lambda said, talk, last: f"Rule dropped: {_body(said.facts['key'], said.facts['kept'], talk.standing)}.",
    "repeats": lambda said, talk, last: f"Again every {phrases.count_of(int(said.facts['every_days']), 'day')}.",
}
