"""Rules that the grower sets in words: "skip feed on anything repotted this yr", "always water the haws on sunday".

The reader asks whether such a line is a rule for good or for just this once; the answer is carried out here. A rule for good
is an event of kind `ruled`: `kept` with what is never to be done to which plants (or its bare words, where nothing in them
can be checked), `label` with the greatest rate that a product's label allows, `batch` with the
number on its bottle, `dropped` with the key of the rule taken back.
A rule with a day of the week is a reminder that repeats.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from bot.app.dosing import RATE
from bot.app.plan import Draft, View
from bot.app.ruling import named
from bot.app.which import genus_alone
from bot.care.doses import parse_rate
from bot.care.events import CareEvent, Ref, refs_from_json, refs_to_json
from bot.care.reach import overlaps
from bot.care.standing import KEPT, REPEATING, Standing, Thing
from bot.notes.reader import read

_FOR_GOOD = re.compile(
    r"(?:yes,? ?)?(?:(?:a |make it a |it'?s a )?(?:rule )?for good|(?:a |as a )?rule|always|from now on|for ?ever)[.! ]*"
)
_ONCE = re.compile(r"(?:no,? ?)?(?:just |only )?(?:for )?(?:this once|once|this time|now|today)(?: only)?[.! ]*")
_LISTING = re.compile(
    r"(?:what|which|list|show(?: me)?)(?: are)?(?: the| my| all)*(?: standing)? rules"
    r"(?: (?:have i|did i|i(?: have)?|i've) (?:set|made|given|told you))?\W*|(?:my |standing |the )?rules\W*"
)
_DROPPING = re.compile(
    r"(?:drop|delete|remove|cancel|forget|scrap|end) (?:the )?rules? (?:no\.? ?|number |#)?(?P<number>\d{1,3})[.! ]*"
)
_PREFIX = re.compile(r"(?:(?:from now on|in future|as a rule|(?:new |standing )?rule)[:,]? )+")
_WEEKDAYS = "mon(?:day)?|tues?(?:day)?|wed(?:nesday)?|thu(?:rs)?(?:day)?|fri(?:day)?|sat(?:urday)?|sun(?:day)?"
_WEEKLY = re.compile(rf"\b(?:on |every |each )+(?P<day>{_WEEKDAYS})s?\b|\b(?P<span>every \d* ?(?:days?|weeks?))\b")
_ACT_WORDS = {
    "fed": "feed|feeding|fed|fertili[sz]e|fertili[sz]er",
    "watered": "water|watering|soak|soaking",
    "misted": "mist|misting",
    "repotted": "repot|repotting|pot on|potting on",
    "treated": "spray|spraying|treat|treating|treatment",
    "moved": "move|moving",
}
_NEVER = re.compile(
    r"(?:never|skip|no|do not|don'?t|stop|no more)(?: ever)? (?:the )?(?:"
    + "|".join(f"(?P<{act}>{words})" for act, words in _ACT_WORDS.items())
    + r")\b(?: (?:on|for|of|to|at))?(?: (?:any of |all )?(?:the|my|our))? ?(?P<what>.*)"
)
_ALWAYS = re.compile(
    r"(?:always |only )?(?:(?:bottom[ -]?)?water|soak)(?: (?:the|my|our))? (?P<what>.+?) (?:only |always )?"
    r"(?:from (?:below|underneath|the bottom)|by (?:the )?(?:wick|saucer|dish))"
    r"|(?:always|only) bottom[ -]?water(?: (?:the|my|our))? (?P<below>.+)"
)
_DONE_WORDS = {
    "repotted": "repotted",
    "potted": "potted",
    "potted on": "repotted",
    "treated": "treated",
    "sprayed": "treated",
    "fed": "fed",
    "watered": "watered",
    "moved": "moved",
    "bought": "acquired",
    "new": "acquired",
}
_ANYTHING = re.compile(
    r"(?:anything|everything|all plants|any plants?|plants?|whatever|what)(?: that)?"
    rf"(?: (?:i|i've|was|were|is|has been|have been))?(?: (?P<done>{'|'.join(_DONE_WORDS)}))?"
    r"(?: (?:in the last|within the last|less than|in) (?P<days>\d+) (?P<unit>days?|weeks?|months?)(?: ago)?"
    r"| (?:this |the same )(?P<span>year|yr|month))?"
    r"(?: (?:in|on|at) (?P<place>[\w#' -]+))?"
)
_PRODUCT = r"(?:the |my )?(?P<product>[a-z][\w' -]{1,40}?)"
_MOST = r"(?:(?:max(?:imum)?|at most|no more than|not more than|not above|up to)(?: (?:rate|dose))?(?: (?:is|of))?:? )?"
_LABELS = tuple(
    re.compile(rf"{pattern}[.! ]*")
    for pattern in (
        rf"(?:the )?label (?:says|allows|is|gives|rate(?: is)?):? {_MOST}(?P<rate>{RATE}) (?:for|on|of|with) {_PRODUCT}",
        rf"(?:the )?label (?:rate )?(?:of|for|on) {_PRODUCT} (?:says|allows|is|gives):? {_MOST}(?P<rate>{RATE})",
        rf"{_PRODUCT} label (?:says|allows|is|gives):? {_MOST}(?P<rate>{RATE})",
        rf"max(?:imum)? (?:rate |dose )?(?:for|of) {_PRODUCT}(?: is|:)? (?P<rate>{RATE})",
    )
)
_BATCH = r"batch(?: (?:no\.?|nr\.?|number|code))?:? (?:is )?#?(?P<batch>[A-Za-z0-9][\w/-]{0,30})"
_EXPIRES = r"(?:,? (?:exp(?:ires|iry)?\.?|use by|good till|best before):? (?P<expires>[\w ./-]{3,20}))?"
_BATCHES = tuple(
    re.compile(rf"{pattern}[.! ]*", re.IGNORECASE)
    for pattern in (
        rf"(?:the |my |new )?(?P<product>[a-z][\w' -]{{1,40}}?)(?: bottle)?(?: is| has|:|,)? {_BATCH}{_EXPIRES}",
        rf"{_BATCH} (?:of|for|on) (?:the |my )?(?P<product>[a-z][\w' -]{{1,40}}?){_EXPIRES}",
    )
)
_ALIKE = {"repotted": ("repotted", "potted")}  # whoever spares the repotted means what came bare-root and was potted too
_DAYS_OF = {"day": 1, "week": 7, "month": 30}


@dataclass(frozen=True, slots=True)
class KeptRule:
    """What a line means as a rule: an act never to be done to which plants, or something to be done every so many days.

    `after` and `days` narrow "anything": an act that the plant has had, within so many days, or within `span`.
    """

    never: str = ""
    always: str = ""
    how: str = ""
    refs: tuple[Ref, ...] = ()
    after: str = ""
    days: int | None = None
    span: str = ""
    act: str = ""
    due: date | None = None
    every_days: int | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def condition(self) -> dict[str, Any]:
        """The facts of an event that keeps it."""
        given = {
            "never": self.never,
            "always": self.always,
            "how": self.how,
            "after": self.after,
            "days": self.days,
            "span": self.span,
        }
        return {key: value for key, value in given.items() if value}


# --- what the grower says -----------------------------------------------------------------------------------------------


def rule_answered(text: str, draft: Draft) -> bool:
    """Carry out the answer to "a rule for good, or just this once?"; False where the text is none."""
    asked, low = draft.view.open_note, _plain(text)
    if asked is None or asked.ask != "rule":
        return False
    good = _FOR_GOOD.fullmatch(low) is not None
    if not good and not _ONCE.fullmatch(low):
        return False
    draft.closes_question = True
    rule = rule_meant(asked.text, draft)
    if rule is not None and rule.due is not None:
        _remind(rule, draft, asked.text, repeating=good)
    elif good:
        facts = {"text": asked.text.strip(), **(rule.condition if rule else {})}
        draft.say("kept_rule", draft.event("ruled", "kept", rule.refs if rule else (), draft.view.today, facts))
    else:
        _just_once(rule, draft, asked.text)
    return True


def _remind(rule: KeptRule, draft: Draft, text: str, *, repeating: bool) -> None:
    assert rule.due is not None
    facts = {"due": rule.due.isoformat(), "act": rule.act} | ({"every_days": rule.every_days} if repeating else {})
    facts |= rule.facts
    event = draft.event("reminder", rule.act, rule.refs, draft.view.today, {**facts, **({} if rule.act else {"text": text})})
    draft.say("reminder", event)
    if repeating:
        draft.say("repeats", every_days=rule.every_days)


def _just_once(rule: KeptRule | None, draft: Draft, text: str) -> None:
    """For this once a rule is a skip of what it would have stopped."""
    refs = tuple(one.ref for one in _concerned(rule, draft.view)) if rule else ()
    if rule is None or not rule.never or not refs:
        draft.say("remark", text=text)
        return
    draft.say("skip", draft.event("skip", rule.never, refs, draft.view.today, {"why": "just this once"}))


def label_kept(text: str, draft: Draft) -> bool:
    """Keep the greatest rate that a product's label allows: "label says max 10 ml/l for the soap"."""
    low = _plain(text)
    match = next((found for pattern in _LABELS if (found := pattern.fullmatch(low))), None)
    if match is None:
        return False
    try:
        rate = parse_rate(match["rate"])
    except ValueError:
        return False
    facts = {"product": match["product"].strip(), "rate": match["rate"].strip(), "per_litre": rate.per_litre, "unit": rate.unit}
    draft.say("kept_label", draft.event("ruled", "label", (), draft.view.today, facts))
    return True


def batch_kept(text: str, draft: Draft) -> bool:
    """Keep the batch on a product's bottle, as typed: "the neem is batch A4711, use by june 2027"."""
    match = next((found for pattern in _BATCHES if (found := pattern.fullmatch(" ".join(text.split())))), None)
    if match is None or not any(sign.isdigit() for sign in match["batch"]):
        return False
    facts = {"product": match["product"].strip().lower(), "batch": match["batch"].strip()}
    if match["expires"]:
        facts["expires"] = match["expires"].strip()
    draft.say("kept_batch", draft.event("ruled", "batch", (), draft.view.today, facts))
    return True


def rules_listed(text: str, draft: Draft) -> bool:
    """Answer "what rules have i set" with all of them, numbered."""
    if not _LISTING.fullmatch(_plain(text)):
        return False
    draft.say("answer", about="rules", rules=all_rules(draft.view.standing))
    return True


def rule_dropped(text: str, draft: Draft) -> bool:
    """Take back a rule by its number in the list of rules."""
    match = _DROPPING.fullmatch(_plain(text))
    if match is None:
        return False
    rules, number = all_rules(draft.view.standing), int(match["number"])
    if not 1 <= number <= len(rules):
        draft.say("answer", about="rules", rules=rules)
        return True
    key, kept = rules[number - 1]
    draft.event("ruled", "dropped", (), draft.view.today, {"rule": key})
    draft.say("dropped_rule", key=key, kept=kept)
    return True


def all_rules(standing: Standing) -> list[tuple[str, Mapping[str, Any]]]:
    """Return all rules and repeating reminders by key, the oldest first: the numbers of the list stay as they are."""
    found: list[tuple[str, str, Mapping[str, Any]]] = []
    for key, one in standing.rules.items():
        found.append((str(one.get("on") or max(one.get("said", {}).values(), default="")), key, one))
    for key, reminder in standing.reminders.items():
        if reminder.every_days:
            what = {"act": reminder.act, "text": reminder.text, "refs": refs_to_json(standing.asked_for(reminder))}
            facts = {"every_days": reminder.every_days, "on": reminder.on.isoformat(), **what}
            found.append((reminder.on.isoformat(), f"{REPEATING}{key}", facts))
    return [(key, one) for _, key, one in sorted(found, key=lambda one: one[:2])]


# --- what a line means as a rule ----------------------------------------------------------------------------------------


def rule_meant(text: str, draft: Draft) -> KeptRule | None:
    """Return what a line means as a rule; None where nothing in it can be checked or reminded of."""
    low = _PREFIX.sub("", _plain(text).rstrip(".! "), count=1)
    weekly = _WEEKLY.search(low)
    if weekly is not None:
        return _weekly(low, weekly, draft)
    if (always := _ALWAYS.fullmatch(low)) is not None:
        refs = named(always["what"] or always["below"], draft)
        return KeptRule(always="watered", how="below", refs=refs) if refs else None
    match = _NEVER.fullmatch(low)
    act = next((one for one in _ACT_WORDS if match and match[one]), "")
    if match is None or not act:
        return None
    what = match["what"].strip()
    return _of_anything(act, what, draft) or _of_named(act, what, draft)


def _weekly(low: str, weekly: re.Match[str], draft: Draft) -> KeptRule | None:
    what = " ".join(re.sub(r"\balways\b", "", low[: weekly.start()] + " " + low[weekly.end() :]).split())
    every = weekly["span"] or f"every {weekly['day']}"
    view = draft.view
    said = f"remind me {every} to {what}"
    reading = read(said, view.now.replace(tzinfo=None), view.standing.names(), language=view.settings.language)
    entry = next((one for one in reading.entries if one.type == "reminder" and one.due and one.every_days), None)
    if entry is None or entry.due is None:
        return None
    refs = draft.which(entry.which).refs if entry.which else ()
    facts = {"genus": genus} if (genus := genus_alone(entry.which)) else {}
    return KeptRule(refs=refs, act=entry.act or "", due=_day(entry.due), every_days=entry.every_days, facts=facts)


def _day(due: date) -> date:
    return date(due.year, due.month, due.day)


def _of_anything(act: str, what: str, draft: Draft) -> KeptRule | None:
    match = _ANYTHING.fullmatch(what) if what else None
    if match is None:
        return None
    refs = named(match["place"], draft) if match["place"] else ()
    if match["place"] and not refs:
        return None
    days = int(match["days"]) * _DAYS_OF[match["unit"].rstrip("s")] if match["days"] else None
    span = {"yr": "year"}.get(match["span"] or "", match["span"] or "")
    after = _DONE_WORDS[match["done"]] if match["done"] else ""
    return KeptRule(never=act, refs=refs, after=after, days=days, span=span)


def _of_named(act: str, what: str, draft: Draft) -> KeptRule | None:
    refs = named(what, draft) if what else ()
    return KeptRule(never=act, refs=refs) if refs else None


# --- what a rule speaks against -----------------------------------------------------------------------------------------


def broken_rules(thing: Thing, event: CareEvent, standing: Standing, noted: list[CareEvent]) -> Iterator[tuple[str, str]]:
    """Yield the words and the day of each rule that an act on a thing goes against."""
    for key, rule in standing.rules.items():
        if not key.startswith(KEPT) or not _speaks_of(rule, event) or rule["on"] > event.happened_on.isoformat():
            continue
        if _covers(rule, thing, event.happened_on, standing, noted):
            yield str(rule["text"]), str(rule["on"])


def _speaks_of(rule: Mapping[str, Any], event: CareEvent) -> bool:
    """Whether a rule is about this act: one never to be done, or one always to be done in a way that the note does not name."""
    if rule.get("never"):
        return bool(rule["never"] == event.what)
    return bool(rule.get("always") == event.what and event.facts.get("how") != rule.get("how"))


def _covers(rule: Mapping[str, Any], thing: Thing, on: date, standing: Standing, noted: list[CareEvent] | None = None) -> bool:
    refs = refs_from_json(rule.get("refs", ()))
    if refs and not any(overlaps(standing, ref, thing.ref) for ref in refs):
        return False
    after = rule.get("after")
    if not after:
        return True
    acts = _ALIKE.get(str(after), (str(after),))
    days = [thing.last[one] for one in acts if one in thing.last]
    days += [one.happened_on.isoformat() for one in noted or () if one.what in acts and thing.ref in one.refs]
    return any(_within(rule, date.fromisoformat(one), on) for one in days)


def _within(rule: Mapping[str, Any], done: date, on: date) -> bool:
    if done > on:
        return False
    if rule.get("days"):
        return on - done <= timedelta(days=int(rule["days"]))
    return {"year": done.year == on.year, "month": (done.year, done.month) == (on.year, on.month)}.get(rule.get("span", ""), True)


def _concerned(rule: KeptRule, view: View) -> list[Thing]:
    given = {**rule.condition, "refs": refs_to_json(rule.refs)}
    if rule.refs and not rule.after:
        return [view.standing.things.get((one.kind, one.key)) or Thing(one.kind, one.key) for one in rule.refs]
    return [one for one in view.standing.plants() if _covers(given, one, view.today, view.standing)]


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())


RULE_COMMANDS: tuple[Callable[[str, Draft], bool], ...] = (rule_answered, label_kept, batch_kept, rules_listed, rule_dropped)
