"""Acts, skips, findings and measures of a note: from entries to events, and the question where plants are left unsaid."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from bot.app.accessioning import new_number, settled_long_ago
from bot.app.english.record import all_of
from bot.app.lot_checks import label_taken, lot_objection, numbered
from bot.app.naming import taxon_name
from bot.app.nearest import one_slip_away
from bot.app.neighbour_words import offer_neighbours
from bot.app.pest_counts import pest_count
from bot.app.plan import Choice, Draft, unsure
from bot.app.recipes import Recipe, recipe_in
from bot.app.swaps import asks_before_it_leaves
from bot.app.transit import POSTED
from bot.app.which import Resolved, choices, circles, genus_alone, names_something, place_of, total
from bot.app.wishing import come_true
from bot.care.doses import parse_rate
from bot.care.events import Ref
from bot.care.standing import Standing, Thing
from bot.notes.reading import PESTS, Entry, Selection

# Acts that are done to the house or the bench, not to plants: they need no plants to be named.
HOUSE_ACTS = frozenset(
    {"heated", "vented", "damped_down", "shaded", "unshaded", "covered", "uncovered", "cleaned", "mixed", "seed_soaked"}
)
_BY_POST = re.compile(r"\b(?:post(?:ed|ing)?|sent|mailed|shipped|parcel|in the mail)\b", re.IGNORECASE)
CAUSES_OFFERED = ("cause:rot", "cause:cold", "cause:pest", "cause:don't know")
NEVER_GUESSED = frozenset({"died", "discarded", "given", "missing", "released"})
MULTI_PLANT_FINDINGS = PESTS | {"webbing"}


def act(draft: Draft, entry: Entry) -> None:
    """Write an act, or put the question that must come first."""
    if _impossible(draft, entry):
        return
    special = _SPECIAL.get(str(entry.act))
    if special is not None:
        special(draft, entry)
        return
    found = _things(draft, entry)
    if found is None:
        return
    if _may_have_been_the_wash(draft, entry, found):
        draft.question("act", (Choice("act:watered"), Choice("act:washed")), refs=found.refs)
        draft.say("held_back", act=entry.act, refs=found.refs)
        draft.speak_of(found)
        return
    if asks_before_it_leaves(draft, str(entry.act), found.refs):
        return
    facts = _facts(draft, entry)
    facts |= _lost_details(entry)
    event = draft.event("event", str(entry.act), found.refs, draft.day_of(entry), facts)
    draft.say("event", event, new_labels=found.new_labels, meant=_meant(draft, entry, found))
    draft.speak_of(found)
    if _asks_why(draft, entry, found):
        draft.question("cause", (Choice(one) for one in CAUSES_OFFERED))
    elif event.kind == "event" and entry.sure:
        offer_neighbours(draft, event)


def _meant(draft: Draft, entry: Entry, found: Resolved) -> tuple[str, ...]:
    """Return the numbers that may have been meant by one that is not there: of care to one plant, where many are on record."""
    if len(found.new_labels) != 1 or len(found.refs) != 1 or entry.act in BRINGS_NEW or not found.new_labels[0].isdigit():
        return ()
    label = found.new_labels[0]
    numbers = {key for kind, key in draft.view.standing.things if kind == "plant" and key.isdigit()}
    if len(numbers) < ENOUGH_ON_RECORD or int(label) == max(map(int, numbers)) + 1:
        return ()
    return tuple(one_slip_away(label, numbers)[:2])


ENOUGH_ON_RECORD = 20  # project default: with fewer a new number is more likely a plant not noted yet
BRINGS_NEW = frozenset(("named", "moved", "potted", "labelled", "photographed", "acquired"))


def _asks_why(draft: Draft, entry: Entry, found: Resolved) -> bool:
    """Whether the cause of a death is asked for: once, of what was alive before, never again in an answer."""
    if entry.act != "died" or "cause" in entry.details or not entry.sure or draft.decision != "log" or draft.answering:
        return False
    held = (draft.view.standing.things.get((ref.kind, ref.key)) for ref in found.refs)
    return any(one is None or one.alive for one in held)


def skip(draft: Draft, entry: Entry) -> None:
    """Write that something was looked at and left."""
    if _impossible(draft, entry):
        return
    found = draft.which(entry.which)
    facts = unsure(entry) | ({"why": entry.why} if entry.why else {})
    draft.say("skip", draft.event("skip", str(entry.act), found.refs, draft.day_of(entry), facts), new_labels=found.new_labels)
    draft.speak_of(found)


def finding(draft: Draft, entry: Entry) -> None:
    """Write something seen, or looked for and not seen."""
    if _impossible(draft, entry):
        return
    found = _things(draft, entry)
    if found is None:
        return
    facts = unsure(entry) | {"status": entry.status} | dict(entry.details)
    counted = pest_count(draft.view.text, str(entry.sign)) if entry.status == "present" else None
    if counted is not None and not _is_the_label(draft, entry, counted) and not (entry.which and entry.which.count == counted):
        facts.setdefault("count", counted)
    event = draft.event("finding", str(entry.sign), found.refs, draft.day_of(entry), facts)
    draft.say("finding", event, new_labels=found.new_labels)
    # A part of the set ("mites on one") does not become the set that the rest of the note speaks of.
    if not (entry.which and entry.which.count is not None and draft.current):
        draft.speak_of(found)


def _is_the_label(draft: Draft, entry: Entry, number: int) -> bool:
    """Whether a number said once is the plant's own: "61 mites" counts none."""
    labelled = entry.which is not None and str(number) in entry.which.labels
    return labelled and len(re.findall(rf"\b{number}\b", draft.view.text)) == 1


def measure(draft: Draft, entry: Entry) -> None:
    """Write a measured value."""
    if _impossible(draft, entry):
        return
    if entry.of == "water_temp":
        draft.say("measure", draft.event("measure", "water_temp", (), draft.day_of(entry), _number(entry)))
        return
    found = _things(draft, entry)
    if found is None:
        return
    draft.say("measure", draft.event("measure", str(entry.of), found.refs, draft.day_of(entry), _number(entry) | unsure(entry)))
    draft.speak_of(found)


def hold(draft: Draft, entry: Entry) -> None:
    """Write that no water is to be given until a day or a sign."""
    found = _things(draft, entry)
    if found is None:
        return
    until = entry.until.isoformat() if entry.until else None
    facts = {key: value for key, value in (("until", until), ("cond", entry.cond)) if value}
    draft.say("hold", draft.event("hold", "", found.refs, draft.day_of(entry), facts), new_labels=found.new_labels)
    draft.speak_of(found)


def _number(entry: Entry) -> dict[str, Any]:
    values = {"value": entry.value, "low": entry.low, "high": entry.high, "unit": entry.unit}
    return {key: value for key, value in values.items() if value is not None}


def _facts(draft: Draft, entry: Entry) -> dict[str, Any]:
    facts = unsure(entry) | dict(entry.details)
    if facts.get("to") and entry.act in ("moved", "potted", "repotted", "pricked_out", "set_to_dry", "isolated"):
        facts["to"] = place_of(str(facts["to"]), draft.view.standing)
    if entry.act in ("potted", "repotted", "mixed") and isinstance(made := recipe_in(str(facts.get("mix") or "")), Recipe):
        facts["parts"] = [[name, share] for name, share in made.parts]
    if entry.act == "given" and _BY_POST.search(draft.view.text):
        facts[POSTED] = True
    left_out = [one.to_json() for one in entry.which.excluded if names_something(one)] if entry.which else []
    if left_out:
        facts["except"] = left_out
    return facts


def _lost_details(entry: Entry) -> dict[str, Any]:
    """Return what the selection says that the refs cannot hold."""
    of = entry.which.of if entry.which else None
    return {"of": of} if of is not None and entry.act in ("rooted", "united", "failed", "germinated") else {}


def _things(draft: Draft, entry: Entry) -> Resolved | None:
    """Return the things an entry is about.

    Where they are left open: a placeholder and a question, or None where no guess may be written.
    """
    found = draft.which(entry.which)
    if found.namesakes and not draft.settled:
        ask_namesake(draft, entry, found)
        return None
    if found.holds is not None and not draft.settled:
        ask_which(draft, entry, found)
        return None  # more than there are: nothing is written on a slip of the finger
    if entry.act in NEVER_GUESSED and not draft.settled and _one_of_several(draft, entry, found):
        ask_which(draft, entry, replace(found, count=1))
        if plural := re.search(rf"\b{genus_alone(entry.which)}s\b", draft.view.text, re.IGNORECASE):
            draft.tell(all_of(plural[0]))
        return None  # "lost a lobivia": one of them, and only the grower knows which
    if found.refs and not found.open:
        return found
    if entry.act in HOUSE_ACTS:
        return replace(found, refs=found.refs or (Ref("house", ""),), open=False)
    asked = draft.asked if draft.decision in ("ask", "log_ask") else None
    if entry.act in NEVER_GUESSED and entry.which is not None and not found.refs:
        ask_which(draft, entry, found)
        return None
    if draft.decision == "ask" and asked == "which":
        ask_which(draft, entry, found)
        return None
    words = entry.which.words if entry.which and entry.which.words else ""
    if not found.refs:
        count = entry.which.count if entry.which else None
        found = replace(found, refs=(Ref("some", words or draft.view.new_identity(), count),))
    ask_which(draft, entry, found)
    return found


def _one_of_several(draft: Draft, entry: Entry, found: Resolved) -> bool:
    """Whether a genus alone stands for one of several plants; all of them are gone only where the note says so."""
    several = len(found.refs) > 1 or (total(found.refs, draft.view.standing) or 0) > 1  # a lot may hold them all
    alone = genus_alone(entry.which) is not None and several
    return alone and re.search(r"\b(?:all|every|both|whole|entire)\b", draft.view.text, re.IGNORECASE) is None


def ask_namesake(draft: Draft, entry: Entry, found: Resolved) -> None:
    """Put the question which of several plants of one nickname is meant; until then nothing is written."""
    draft.question(
        "which",
        (Choice(f"{one.kind}:{one.key}", (one,)) for one in found.refs),
        count=1,
        act=entry.act,
        sign=entry.sign,
        words=(entry.which.nicknames if entry.which else ("",))[0],
    )


def ask_which(draft: Draft, entry: Entry, found: Resolved) -> None:
    """Put the question which plants are meant, with the sets that fit; once only, a part of a set is answer enough."""
    if draft.answering == "which" and found.refs:
        return
    count = found.count if found.count is not None else (entry.which.count if entry.which else None)
    words = entry.which.words if entry.which else None
    offered = choices(draft.view.standing, count, found.place, entry.act or "") if not words and entry.act != "given" else []
    draft.question(
        "which",
        (Choice(key, refs) for key, refs in offered),
        count=count,
        holds=found.holds,
        place=found.place,
        act=entry.act,
        sign=entry.sign,
        words=words,
    )


def _may_have_been_the_wash(draft: Draft, entry: Entry, found: Resolved) -> bool:
    """Whether "soaked" may mean the wash: isolated, bare-root or resting plants are washed as often as watered."""
    if entry.act != "watered" or entry.details.get("how") != "soak" or draft.settled_act:
        return False
    return any(_apart_or_dry(draft.view.standing, one) for one in found.refs)


def _apart_or_dry(standing: Standing, ref: Ref) -> bool:
    thing: Thing | None = standing.things.get((ref.kind, ref.key))
    return thing is not None and (thing.isolated_on is not None or thing.bare_on is not None or thing.rest_on is not None)


def _impossible(draft: Draft, entry: Entry) -> bool:
    """Say what cannot be, and write nothing of it."""
    size = entry.details.get("pot_cm")
    if isinstance(size, int | float) and not 1 <= size <= 100:
        draft.say("impossible", what="pot_cm", value=size)
        return True
    if (fewer := _fewer_than_none(draft, entry)) is not None:
        draft.say("impossible", what="fewer_than_none", number=fewer)
        return True
    if entry.act == "labelled" and entry.which is not None and len(entry.which.labels) == 1 and (entry.which.count or 1) > 1:
        draft.say("impossible", what="label_of_several", label=entry.which.labels[0])
        return True
    if (strong := _too_strong(entry)) is not None:
        draft.say("impossible", what="strength", said=strong)
        return True
    if entry.which is not None and entry.which.count == 0 and entry.type == "event" and entry.act not in MAY_BE_NONE:
        draft.say("impossible", what="none_done")
        return True
    if entry.when and entry.when > draft.view.today:
        draft.say("impossible", what="future", on=entry.when.isoformat(), act=entry.act)
        draft.question("when")
        return True
    return _in_itself(draft, entry) or lot_objection(draft, entry) or _before_it_came(draft, entry)


MOST_OF_A_FEED = {"ml": 50.0, "g": 20.0}  # in a litre; project default: ten times what labels of feeds say
STRONGEST = 4.0  # project default: times the strength of a label


_MINUS_FIRST = re.compile(r"[a-z]+ (?:-|minus )(\w+)", re.IGNORECASE)


def _fewer_than_none(draft: Draft, entry: Entry) -> str | None:
    """Return the number of "soaked minus two on bench 1": behind the verb a minus leaves nothing out, since no set is named."""
    which = entry.which
    if which is None or not any(one.count is not None for one in which.excluded) or names_something(which):
        return None
    match = _MINUS_FIRST.match(draft.view.text.strip())
    return match[1] if match is not None else None


def _too_strong(entry: Entry) -> str | None:
    """Return the strength of a feed that nobody gives, as it was said: a slip, and nothing is written of it."""
    if entry.act != "fed":
        return None
    strength, said = entry.details.get("strength"), str(entry.details.get("dose", ""))
    if isinstance(strength, int | float) and strength > STRONGEST:
        return f"{strength:g} times strength"
    try:
        rate = parse_rate(said)
    except ValueError:
        return None
    return said if rate.per_litre > MOST_OF_A_FEED.get(rate.unit, rate.per_litre) else None


MAY_BE_NONE = frozenset(("germinated", "rooted", "united", "failed", "acquired", "seed_harvested", "pricked_out"))


def _in_itself(draft: Draft, entry: Entry) -> bool:
    """Say that a place cannot stand in itself, straight or by way of another."""
    if entry.act != "moved" or not entry.which or not entry.which.places or not entry.details.get("to"):
        return False
    outer, standing = place_of(str(entry.details["to"]), draft.view.standing), draft.view.standing
    if entry.which != Selection(places=entry.which.places):
        return False
    inner = next(
        (one for one in (place_of(said, standing) for said in entry.which.places) if circles(standing, one, outer)), None
    )
    if inner is not None:
        draft.say("impossible", what="circle", inner=inner, outer=outer)
    return inner is not None


def _before_it_came(draft: Draft, entry: Entry) -> bool:
    """Say that nothing can have been done to plants on a day before they came, where that holds of all that are named."""
    if entry.when is None or entry.approx or entry.act in _MAY_COME_FIRST:
        return False
    own = [one for one in draft.events if one.what == "acquired" and one.happened_on > entry.when]
    meant = set(draft.which(entry.which).refs) if own else set()
    if (first := next((one for one in own if meant and meant <= set(one.refs)), None)) is not None:
        day = first.happened_on.isoformat()
        draft.say("impossible", what="before_came", on=entry.when.isoformat(), came=day, refs=first.refs)
        return True
    if entry.which is None:
        return False
    held = [draft.view.standing.things.get((ref.kind, ref.key)) for ref in draft.which(entry.which).refs]
    came = [one.came_on for one in held if one is not None and one.kind in ("plant", "lot") and one.came_on is not None]
    if not came or len(came) < len(held) or entry.when >= min(came):
        return False
    refs = tuple(one.ref for one in held if one is not None)
    draft.say("impossible", what="before_came", on=entry.when.isoformat(), came=min(came).isoformat(), refs=refs)
    draft.question("when")
    return True


_MAY_COME_FIRST = frozenset({"acquired", "named", "photographed", "sown", "labelled"})


# --- stock and propagation --------------------------------------------------------------------------------------------


def _acquired(draft: Draft, entry: Entry) -> None:
    which, facts = numbered(entry.which or Selection(), draft.view.text), _facts(draft, entry)
    if which.count == 0:
        draft.say("impossible", what="none_came")
        return
    if label_taken(draft, which):
        return
    if which.taxa or facts.get("name"):
        facts["name"] = taxon_name(str(facts.get("name") or which.taxa[0]), draft.view.settings.language)
    if which.places and not facts.get("to"):
        facts["to"] = place_of(which.places[0], draft.view.standing)
    refs = tuple(Ref("plant", one) for one in which.labels) or (new_lot(draft, which, facts),)
    facts |= new_number(draft, draft.day_of(entry).year, refs) | settled_long_ago(draft.day_of(entry), draft.view.today)
    event = draft.event("event", "acquired", refs, draft.day_of(entry), facts)
    draft.say("event", event)
    come_true(draft, str(facts.get("name") or ""))
    draft.speak_of(refs)


def new_lot(draft: Draft, which: Selection, facts: Mapping[str, Any]) -> Ref:
    """Return the lot that comes in: as named, else called after who it came from or what it is; never an older one again."""
    held = (one for (kind, _), one in draft.view.standing.things.items() if kind == "lot")
    lots = {one.key for one in held if not one.accession or one.accession not in draft.numbers} | {
        ref.key for one in draft.events for ref in one.refs if ref.kind == "lot"
    }
    named = which.lots[0] if which.lots else ""
    stem = named or str(facts.get("from") or (which.taxa[0] if which.taxa else "") or which.words or "new plants").lower()
    known = draft.view.standing.lot_of(stem)
    if known is not None and known.came_on is None:
        return Ref("lot", known.key, which.count)  # spoken of before it was noted as come
    key, number = stem, 1
    while key in lots:
        number += 1
        key = f"{stem} {number}"
    return Ref("lot", key, which.count or 1)


def _taken(draft: Draft, entry: Entry) -> None:
    which = entry.which or Selection()
    parent = replace(which, kind=None, count=None, approx=False)
    found = draft.which(parent if parent != Selection() else None)
    facts = _facts(draft, entry)
    facts["count"] = which.count or facts.get("count") or 1
    if which.kind:
        facts["kind"] = which.kind
    event = draft.event("event", str(entry.act), found.refs, draft.day_of(entry), facts)
    draft.say("event", event, new_labels=found.new_labels)
    draft.speak_of((Ref("batch", event.identity),))


def _sown(draft: Draft, entry: Entry) -> None:
    which, facts = entry.which or Selection(), _facts(draft, entry)
    if which.taxa or facts.get("name"):
        facts["name"] = taxon_name(str(facts.get("name") or which.taxa[0]), draft.view.settings.language)
    if which.count is not None and "sown" not in facts:
        facts["sown"] = which.count
    if which.places and not facts.get("to"):
        facts["to"] = place_of(which.places[0], draft.view.standing)
    refs = tuple(Ref("sowing", one) for one in which.sowings) or (Ref("sowing", _next_sowing(draft)),)
    draft.say("event", draft.event("event", "sown", refs, draft.day_of(entry), facts))
    draft.speak_of(refs)


def _next_sowing(draft: Draft) -> str:
    taken = [key[1:] for kind, key in draft.view.standing.things if kind == "sowing"]
    taken += [ref.key[1:] for one in draft.events for ref in one.refs if ref.kind == "sowing"]
    return f"S{max((int(one) for one in taken if one.isdigit()), default=0) + 1}"


def _named(draft: Draft, entry: Entry) -> None:
    found = _things(draft, entry)
    if found is None:
        return
    facts = _facts(draft, entry)
    facts["name"] = taxon_name(str(facts.get("name", "")), draft.view.settings.language)
    draft.say("event", draft.event("event", "named", found.refs, draft.day_of(entry), facts), new_labels=found.new_labels)
    if entry.which and entry.which.places and entry.which.labels:
        place = place_of(entry.which.places[0], draft.view.standing)
        draft.say("event", draft.event("event", "moved", found.refs, draft.day_of(entry), {"to": place}))
    draft.speak_of(found)


_SPECIAL: dict[str, Callable[[Draft, Entry], None]] = {
    "acquired": _acquired,
    "offsets_taken": _taken,
    "cutting_taken": _taken,
    "grafted": _taken,
    "sown": _sown,
    "named": _named,
}
