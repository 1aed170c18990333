"""What was written, told back: one sentence an event, the day named where it is not today."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from bot.app.english import (
    accessions,
    kept,
    lineage,
    lists,
    lots,
    merged,
    mixes,
    origin,
    phrases,
    places,
    reasons,
    slips,
    transit,
    wished,
)
from bot.app.plan import Said, View
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing


class Telling:
    """What a sentence needs beside its event: the standing, the day, and what was spoken of just before."""

    def __init__(self, view: View, standing: Standing) -> None:
        """Take the view before and the standing after the note."""
        self.view, self.standing = view, standing
        self.today = view.today

    def things(self, event: CareEvent, last: tuple[Ref, ...]) -> str:
        """Return what an event is about, or "them" where it is the set just spoken of."""
        if last and event.refs == last:
            return "them" if not only_one(event) else "it"
        if event.kind == "event" and event.refs and event.refs[0].kind == "house":
            return "everything"
        if event.facts.get("except"):
            whole = tuple(one for one in event.refs if one.kind in ("place", "house")) or event.refs
            return phrases.things(whole, self.standing)
        if event.what in _COUNTED and len(event.refs) == 1 and event.refs[0].kind == "lot" and event.refs[0].count is not None:
            return f"{event.refs[0].count} of {phrases.lot(event.refs[0].key)}"
        return phrases.things(event.refs, self.standing)

    def when(self, event: CareEvent) -> str:
        """Return the day of an event where it is not today."""
        if event.happened_on == self.today:
            return ""
        about = "about " if event.facts.get("approx") else ""
        return f", {about}{phrases.day(event.happened_on, self.today)}"


# What changes how many a lot holds: it is told by number, also where that is as many as are left.
_COUNTED = frozenset({"given", "missing", "discarded", "found_alive"})


def only_one(event: CareEvent) -> bool:
    """Whether an event is about a single plant."""
    return len(event.refs) == 1 and (event.refs[0].kind == "plant" or event.refs[0].count == 1)


OF_PLANTS = frozenset(("acquired", "germinated"))  # told by their plants: a correction may leave none


def _event(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    special = _EVENTS.get(event.what) if event.refs or event.what not in OF_PLANTS else None
    text = special(event, talk, last) if special else phrases.act(event, talk.things(event, last)) + _extras(event)
    if event.what == "offered" and event.facts.get("promised"):
        text = text.replace("For swap", "Promised", 1)
    fresh: Sequence[str] = said.facts.get("new_labels") or ()
    new = f" ({phrases.numbered(list(fresh))} {'is' if len(fresh) == 1 else 'are'} new to me.)" if fresh else ""
    if meant := said.facts.get("meant"):
        new = f" ({fresh[0]} is new to me. Did you mean {' or '.join(meant)}? Then say: no, {meant[0]})"
    doubt = " (unsure)" if event.facts.get("sure") is False else ""
    return f"{text}{doubt}{talk.when(event)}.{new}"


def _extras(event: CareEvent) -> str:
    facts = event.facts
    parts = []
    if facts.get("except"):
        parts.append(f"except {phrases.exceptions(facts['except'])}")
    if facts.get("to"):
        parts.append(_to(event.what, str(facts["to"])))
    if facts.get("pot_cm"):
        parts.append(f"into {facts['pot_cm']:g} cm")
    if facts.get("mix") and event.what in ("potted", "repotted"):
        parts.append(f"in {mixes.in_mix({'mix': facts['mix']})}")
    parts += [str(facts[key]) for key in ("product", "dose") if facts.get(key)]
    if facts.get("batch"):
        parts.append(f"batch {facts['batch']}")
    if facts.get("course"):
        parts.append(str(facts["course"]).replace("/", " of "))
    if facts.get("strength"):
        parts.append(f"{facts['strength']:g} strength")
    if facts.get("ml"):
        parts.append(f"{facts['ml']:g} ml" + (" each" if facts.get("each") else ""))
    return (
        " "
        if parts and parts[0].startswith(("except", "to ", "on ", "in ", "into", "outdoors", "indoors"))
        else ", "
        if parts
        else ""
    ) + ", ".join(parts)


def _to(act: str, to: str) -> str:
    """Return where something went, or to whom."""
    if act in ("given", "offered"):
        return f"to {to[:1].upper()}{to[1:]}"
    return phrases.at(to) if act == "set_to_dry" else phrases.to(to)


def _acquired(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    ref, facts = event.refs[0], event.facts
    name = f" {phrases.plural(str(facts['name'])) if (ref.count or 1) != 1 else facts['name']}" if facts.get("name") else ""
    count = ref.count if ref.kind == "lot" else len(event.refs)
    ordered = f" of {facts['ordered']} ordered" if facts.get("ordered") else ""
    source = f" from {phrases.cap(str(facts['from']))}" if facts.get("from") else ""
    low, high = facts.get("size_cm") or (0, 0)
    size = f", {low:g} to {high:g} cm" if low != high else f", {low:g} cm" if low else ""
    state = {"bare_root": ", bare-root", "cutting": ", cuttings", "seed": ", seed"}.get(str(facts.get("state")), "")
    price = f", {facts.get('currency', '')} {facts['price']:g}".replace("  ", " ") if facts.get("price") else ""
    called = ", ".join(
        one
        for one in (
            phrases.lot(ref.key) if ref.kind == "lot" else phrases.numbered([one.key for one in event.refs]),
            str(facts.get("accession", "")),
        )
        if one
    )
    where = f", {phrases.at(str(facts['to']))}" if facts.get("to") else ""
    return f"In: {count}{ordered}{name}{source}{size}{state}{price}{where}" + (f" ({called})" if called else "")


def _taken(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    count = int(event.facts.get("count", 1))
    what = {"offsets_taken": ("offset", "offsets"), "cutting_taken": ("cutting", "cuttings"), "grafted": ("graft", "grafts")}[
        event.what
    ]
    parent = phrases.things(event.refs, talk.standing) if event.refs else "an unnamed plant"
    return (
        f"{phrases.count_of(count, *what)} off {parent}"
        if event.what != "grafted"
        else f"{phrases.count_of(count, *what)}: {parent}"
    )


def _sown(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    facts = event.facts
    seeds = f", {facts['sown']} seeds" if facts.get("sown") else ""
    name = f" ({phrases.cap(str(facts['name']))})" if facts.get("name") else ""
    return f"Sown {phrases.joined([one.key for one in event.refs])}{name}{seeds}"


def _germinated(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    ref = event.refs[0]
    thing = talk.standing.things.get((ref.kind, ref.key))
    sown = thing.tally.get("sown") if thing else None
    if ref.count is None:
        return f"Up: {phrases.things(event.refs, talk.standing)}"
    share = f" ({100 * ref.count / sown:.0f} %)" if sown else ""
    return f"{ref.key}: {ref.count}{f' of {sown}' if sown else ''} up{share}"


def _rooted(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    thing = talk.standing.things.get((event.refs[0].kind, event.refs[0].key)) if event.refs else None
    word = {"rooted": "Rooted", "united": "Took", "failed": "Failed"}[event.what]
    tally = thing.tally if thing else {}
    if thing is None or not tally.get("taken"):
        return f"{word}: {phrases.things(event.refs, talk.standing)}"
    pending = tally["taken"] - tally.get("rooted", 0) - tally.get("failed", 0)
    count = event.refs[0].count if event.refs[0].count is not None else tally.get("rooted", 0)
    rest = f", {pending} pending" if pending > 0 else ""
    return f"{word}: {count} of {tally['taken']}{rest}"


def _died(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    cause = f", {phrases.sign(str(event.facts['cause']))}" if event.facts.get("cause") else ""
    thing = talk.standing.things.get((event.refs[0].kind, event.refs[0].key)) if event.refs else None
    left = f", {thing.count} left" if thing and thing.kind in ("lot", "batch") and thing.count else ""
    return f"Dead: {phrases.things(event.refs, talk.standing)}{cause}{left}. Sorry about that"


def _named(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    name = str(event.facts.get("name", ""))
    many = len(event.refs) > 1
    by = f", says {phrases.cap(str(event.facts['by']))}" if event.facts.get("by") else ""
    shown = phrases.plural(name) if many and name.isalpha() else phrases.cap(name)
    return f"{_labels(event.refs, talk.standing)} {'are' if many else 'is'} {shown}{by}"


def _labels(refs: Sequence[Ref], standing: Standing) -> str:
    plants = [one.key for one in refs if one.kind == "plant"]
    things = [standing.things.get(("plant", one)) for one in plants]
    if len(plants) == 1:
        return (things[0].nickname if things[0] and things[0].nickname else plants[0]) or plants[0]
    return phrases.numbered(plants) if plants else phrases.things(refs, standing)


def _moved(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    to = phrases.to(str(event.facts["to"])) if event.facts.get("to") else "to a place you left unsaid"
    whole = tuple(one for one in event.refs if one.kind == "place") or event.refs
    return f"Moved {_labels(whole, talk.standing) if whole[0].kind == 'plant' else phrases.things(whole, talk.standing)} {to}"


def _mixed(event: CareEvent, talk: Telling, last: tuple[Ref, ...]) -> str:
    return mixes.mixed(event, talk.standing)


_EVENTS: dict[str, Callable[[CareEvent, Telling, tuple[Ref, ...]], str]] = {
    "mixed": _mixed,
    "acquired": _acquired,
    "offsets_taken": _taken,
    "cutting_taken": _taken,
    "grafted": _taken,
    "sown": _sown,
    "germinated": _germinated,
    "rooted": _rooted,
    "united": _rooted,
    "failed": _rooted,
    "died": _died,
    "named": _named,
    "moved": _moved,
}


def _finding(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    status, sign = str(event.facts.get("status", "present")), phrases.sign(event.what)
    if event.what in phrases.STATES:
        return _state(event, status, talk, last)
    where = "" if last and event.refs == last else f" on {phrases.things(event.refs, talk.standing)}" if event.refs else ""
    pattern = {
        "present": "{sign} noted{where}",
        "suspected": "{sign} suspected{where}",
        "absent": "no {sign}{where}",
        "cleared": "{sign} gone{where}",
    }[status]
    text = pattern.format(sign=sign, where=where)
    note = ". Not seen is not gone: I keep looking" if status == "cleared" and reasons.is_pest(event.what) else ""
    return f"{text[:1].upper()}{text[1:]}{talk.when(event)}{note}."


def _state(event: CareEvent, status: str, talk: Telling, last: tuple[Ref, ...]) -> str:
    """A state is said of the plants: "In bud: 12 and 15", "Not soft: 41"."""
    state = phrases.STATES[event.what]
    what = talk.things(event, last) if event.refs else "them"
    word = {"present": state, "suspected": f"perhaps {state}", "absent": f"not {state}", "cleared": f"no longer {state}"}[status]
    said = f"{word[:1].upper()}{word[1:]}" if what in ("them", "it") else f"{word[:1].upper()}{word[1:]}: {what}"
    return f"{said}{talk.when(event)}."


def _skip(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    what = phrases.things(event.refs, talk.standing) if event.refs else ""
    why = f" ({event.facts['why']})" if event.facts.get("why") else ""
    return (
        f"Not {NOT_DONE.get(event.what, event.what.replace('_', ' '))}: {what}{why}."
        if what
        else f"Not {event.what.replace('_', ' ')}{why}."
    )


NOT_DONE = {"rest_started": "put to rest", "offsets_taken": "divided"}


def _measure(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    facts = event.facts
    value = facts.get("value", f"{facts.get('low', 0):g}-{facts.get('high', 0):g}" if "low" in facts else "")
    shown = phrases.number(value) if isinstance(value, int | float) else value
    what = f" of {phrases.things(event.refs, talk.standing)}" if event.refs else ""
    return f"{phrases.cap(event.what.replace('_', ' '))}{what}: {shown} {facts.get('unit', '')}".strip() + "."


def _climate(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    facts = event.facts
    parts = [
        f"{word} {facts[key]:g} °C".strip()
        for key, word in (("min_c", "min"), ("max_c", "max"), ("at_c", ""), ("set_c", "heater set to"))
        if key in facts
    ]
    parts += [f"humidity {facts['rh']:g} %"] if "rh" in facts else []
    place = f" {phrases.at(str(facts['place']))}" if facts.get("place") else ""
    head = "Forecast" if facts.get("forecast") else "Noted"
    return f"{head}{place}: {', '.join(parts)}{talk.when(event)}."


def _hold(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    until = (
        f"until {phrases.day(date.fromisoformat(event.facts['until']), talk.today)}"
        if event.facts.get("until")
        else _until(str(event.facts.get("cond", "further notice")))
    )
    return f"No water for {talk.things(event, last)} {until}."


def _until(cond: str) -> str:
    return cond if cond.startswith(("till", "until", "unless", "if", "when", "while", "for ")) else f"until {cond}"


def _reminder(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    facts = event.facts
    if facts.get("cancel"):
        return "I won't remind you of that any more."
    due = str(facts.get("due", ""))
    when = phrases.day(date.fromisoformat(due[:10]), talk.today) + (f" at {due[11:16]}" if "T" in due else "") if due else ""
    if facts.get("snooze"):
        return f"Put off to {when}."
    if facts.get("awaits"):
        return f"Kept: {lists.asked_for(event, talk.standing)}. I bring it up once you note that."
    if not when:
        return f"Kept for you: {facts.get('text') or facts.get('cond') or 'a reminder'}. Give me a day and I remind you."
    what = lists.asked_for(event, talk.standing)
    return f"I'll remind you {when}" + (f": {what}." if what else ".")


def _taught(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    if event.what in ("mix", "mix_forgotten"):
        return f"{mixes.told(event)}."
    two = f" {said.facts['owner']} has that name too." if said.facts.get("owner") else ""
    return f"{event.refs[0].key} is now “{event.facts['name']}”.{two}"


def _ruled(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    if aside := kept.apart(event):
        return f"{aside}."
    genera = [phrases.plural(one.key) for one in event.refs if one.kind == "taxon"]
    others = [one for one in event.refs if one.kind != "taxon"]
    what = phrases.cap(phrases.joined([*genera, *([phrases.things(others, talk.standing)] if others else [])]))
    return f"{what}: {', '.join(kept.parts(event.facts))}, by your word from now on."


def _parent(said: Said, talk: Telling, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    if event.what == "accession":
        return accessions.given(event, talk.standing)
    if event.what == "data":
        return origin.told(event, talk.standing)
    if event.what == "split":
        return lots.split(event, talk.standing, fresh=bool(said.facts.get("fresh")))
    if event.what == "merged":
        return merged.told(event)
    if event.what == "counted":
        return lots.counted(event, talk.standing, fresh=bool(said.facts.get("fresh")))
    if event.what == "pot":
        return f"{phrases.cap(phrases.things(event.refs, talk.standing))}: {places.pot(event.facts['pot'], len(event.refs) > 1)}."
    fresh = said.facts.get("new_labels") or ()
    return lineage.told(event, talk.standing) + (f" ({phrases.joined(list(fresh))} is new to me.)" if fresh else "")


TOLD: dict[str, Callable[[Said, Telling, tuple[Ref, ...]], str]] = {
    "event": _event,
    "finding": _finding,
    "skip": _skip,
    "measure": _measure,
    "climate": _climate,
    "hold": _hold,
    "reminder": _reminder,
    "taught": _taught,
    "known": _parent,
    "ruled": _ruled,
    "order": lambda said, talk, last: f"{transit.told(said.event)}." if said.event else "",
    "slip": lambda said, talk, last: slips.told(said.event) if said.event else "",
    "wished": lambda said, talk, last: wished.told(said.event) if said.event else "",
}
