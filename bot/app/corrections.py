"""Undo and fixes: corrections are events that name what they correct; everything that followed is computed anew."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from bot.app.accessioning import new_number, settled_long_ago
from bot.app.english import record
from bot.app.plan import MAX_C, MIN_C, Choice, Draft
from bot.app.which import choices, place_of, resolve
from bot.care.accessions import FACT
from bot.care.events import CareEvent, Ref, patched, refs_to_json
from bot.notes.reading import Entry, Selection

WRITES = frozenset(
    {
        "event",
        "skip",
        "finding",
        "measure",
        "climate",
        "hold",
        "reminder",
        "taught",
        "done",
        "later",
        "dropped",
        "known",
        "closed",
    }
)


def fix(draft: Draft, entry: Entry) -> None:
    """Carry out an undo or a fix of the last note, showing before and after; say so where there is nothing to correct."""
    if entry.what == "undo":
        _undo(draft, entry)
        return
    targets = _last_note(draft, _can_be_meant(str(entry.what), entry))
    if not targets:
        draft.say("nothing_to_fix")
        return
    _FIXES[str(entry.what)](draft, entry, targets)


def _last_note(draft: Draft, wanted: Callable[[CareEvent], bool]) -> list[CareEvent]:
    """Return the events of the newest note that wrote something the fix can be about and that still counts."""
    notes = [one.note for one in draft.view.recent if one.kind in WRITES and wanted(one)]
    return [one for one in draft.view.recent if notes and one.note == notes[-1] and one.kind in WRITES]


def _can_be_meant(what: str, entry: Entry) -> Callable[[CareEvent], bool]:
    """Return whether an event has what a fix of this kind changes."""
    if what == "count":
        return lambda one: _holds_a_number(one) or any(ref.kind == "plant" for ref in one.refs)
    if what in ("act", "product"):
        return lambda one: one.kind == "event"
    if what == "which":
        return lambda one: bool(one.refs)
    if what == "add":
        return lambda one: one.kind == "event" and (entry.to != "fed" or one.what == "watered")
    return lambda one: one.kind not in ("taught", "closed")


def _undo(draft: Draft, entry: Entry) -> None:
    asked = draft.view.open_note
    newest = draft.view.recent[-1].note if draft.view.recent else 0
    if asked is not None and not asked.events and asked.note > newest and not (entry.sign or entry.act):
        draft.closes_question = True
        draft.say("question_dropped", text=asked.text)
        return
    targets = _meant(draft, entry)
    if not targets:
        draft.say("nothing_to_undo")
        return
    labels = set(entry.which.labels) if entry.which is not None else set()
    if labels and all(_can_be_left(one, labels) for one in targets):
        _leave_out(draft, targets, labels)
        return
    draft.event("withdrawn", "", (), draft.view.today, {"targets": [one.identity for one in targets]})
    draft.undone = True
    draft.closes_question = asked is not None and targets[-1].note in asked.notes
    shown = [one for one in targets if one.kind in WRITES] or targets
    draft.say("undone", events=tuple(shown))


def _meant(draft: Draft, entry: Entry) -> list[CareEvent]:
    """Return the events that an undo means: the last note whole, or what it names within the last notes."""
    recent = draft.view.recent
    if entry.which is not None and entry.which.labels:
        labels = set(entry.which.labels)  # "undo 12" is about 12, not about whatever came last
        recent = tuple(one for one in recent if labels & {ref.key for ref in one.refs if ref.kind == "plant"})
    if not recent:
        return []
    if entry.sign or entry.act:
        named = [one for one in recent if one.what == (entry.sign or entry.act)]
        return [one for one in named if one.note == named[-1].note] if named else []
    last = recent[-1].note
    return [one for one in recent if one.note == last]


def _can_be_left(event: CareEvent, labels: set[str]) -> bool:
    """Whether an event is about more plants than those named, which can be taken out of it: letters of accessions stay."""
    plants = {ref.key for ref in event.refs if ref.kind == "plant"}
    return event.kind in PARTED and FACT not in event.facts and bool(labels & plants) and bool(plants - labels)


def _leave_out(draft: Draft, targets: Sequence[CareEvent], labels: set[str]) -> None:
    """Take plants out of what was done to more than them: "undo 15" after "watered bench 1"."""

    def without(event: CareEvent) -> dict[str, Any]:
        refs = refs_to_json(ref for ref in event.refs if not (ref.kind == "plant" and ref.key in labels))
        if all(ref.kind == "plant" for ref in event.refs):
            return {"refs": refs}
        out = [*event.facts.get("except", ()), {"labels": sorted(labels)}]
        return {"refs": refs, "facts": {"except": out}}

    _patch(draft, targets, without)


PARTED = frozenset({"event", "finding", "hold", "skip", "measure"})


def _patch(draft: Draft, targets: Iterable[CareEvent], patch: Callable[[CareEvent], Mapping[str, Any]]) -> None:
    changed = []
    for one in targets:
        wanted = dict(patch(one))
        if not wanted:
            continue
        draft.event("amended", "", (), draft.view.today, {"target": one.identity, "patch": wanted})
        changed.append((one, patched(one, wanted)))
    if not changed:
        draft.say("nothing_to_fix")
        return
    draft.say("fixed", before=tuple(one for one, _ in changed), after=tuple(one for _, one in changed))
    draft.current = changed[0][1].refs


def _number(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    """Carry out "no, that was 5, not 4": the newest note that holds a 4, as a count or as a measured value, now holds a 5."""
    wanted = float(entry.to)
    old = _old_number(draft.view.text, wanted)
    labelled = _labelled(draft, old)
    if labelled and wanted == int(wanted):
        _which(draft, replace(entry, to={"labels": [str(int(wanted))]}), labelled)
        return
    if old is not None:
        targets = _holding(draft, old)
    counted = [one for one in targets if _count_of(one) is not None and (old is None or _count_of(one) == old)]
    if counted and wanted == int(wanted):
        _recount(draft, targets, counted[0], int(wanted))
        return
    for one in reversed(targets):
        name = _name_of_number(one, entry.field, old)
        if name is not None:
            _patch_number(draft, one, name, entry.to)
            return
    draft.say("nothing_to_fix")


def _holds_a_number(event: CareEvent) -> bool:
    return _count_of(event) is not None or _name_of_number(event, None, None) is not None


def _labelled(draft: Draft, old: float | None) -> list[CareEvent]:
    """Return the events of the newest note where it is about one plant by its label and holds no other number."""
    written = [one for one in draft.view.recent if one.kind in WRITES]
    newest = [one for one in written if one.note == written[-1].note]
    plants = {ref.key for one in newest for ref in one.refs if ref.kind == "plant"}
    if len(plants) != 1 or any(_holds_a_number(one) for one in newest):
        return []
    return newest if old is None or plants == {f"{old:g}"} else []


def _old_number(text: str, new: float) -> float | None:
    """Return the number that a fix says it is not."""
    found = re.search(r"\bnot\s+(?:the\s+)?(-?\d+(?:[.,]\d+)?)", text, flags=re.IGNORECASE)
    old = float(found[1].replace(",", ".")) if found else None
    return None if old == new else old


def _holding(draft: Draft, old: float) -> list[CareEvent]:
    """Return the events of the newest note that holds a number."""
    held = [one for one in draft.view.recent if one.kind in WRITES and (_count_of(one) == old or _name_of_number(one, None, old))]
    return [one for one in draft.view.recent if held and one.note == held[-1].note and one.kind in WRITES]


def _name_of_number(event: CareEvent, field: str | None, old: float | None) -> str | None:
    """Return the fact of an event that holds the number meant: as named, else by its old value, else the likeliest."""
    if old is not None:
        return next((name for name in (field, *_NUMBERS) if name and event.facts.get(name) == old), None)
    if field in event.facts:
        return field
    return next((name for name in _NUMBERS if name in event.facts), None)


def _patch_number(draft: Draft, event: CareEvent, name: str, value: Any) -> None:
    if _sane(draft, event, name, value):
        _patch(draft, [event], lambda _: {"facts": {name: value}})


def _recount(draft: Draft, targets: Sequence[CareEvent], first: CareEvent, wanted: int) -> None:
    same = [one for one in targets if one.refs == first.refs]
    _patch(draft, same, lambda one: _with_count(one, wanted))
    if any(ref.kind == "some" for one in draft.events for ref in _refs_after(one)):
        offered = choices(draft.view.standing, wanted, "")
        draft.question("which", (Choice(key, refs) for key, refs in offered), count=wanted, act=first.what)


def _refs_after(event: CareEvent) -> tuple[Ref, ...]:
    return tuple(Ref(*one) for one in event.facts.get("patch", {}).get("refs", ()))


def _count_of(event: CareEvent) -> int | None:
    counts = [ref.count for ref in event.refs if ref.count is not None]
    if counts:
        return counts[0]
    said = event.facts.get("count", event.facts.get("sown") if event.what == "sown" else None)
    return int(said) if said is not None else (len(event.refs) if len(event.refs) > 1 else None)


def _with_count(event: CareEvent, wanted: int) -> dict[str, Any]:
    if "count" in event.facts:
        return {"facts": {"count": wanted}}
    if "sown" in event.facts and event.what == "sown":
        return {"facts": {"sown": wanted}}
    refs = event.refs
    if len(refs) == 1 and refs[0].kind != "plant":
        return {"refs": refs_to_json((replace(refs[0], count=wanted),))}
    if refs and refs[0].kind in ("place", "house"):
        return {"refs": refs_to_json((replace(refs[0], count=wanted),))}
    return {"refs": refs_to_json((Ref("some", event.identity, wanted),))}


def _which(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    set_which(draft, _selection(entry.to), targets)


def set_which(draft: Draft, selection: Selection, targets: Sequence[CareEvent]) -> None:
    """Give events other plants or another place, showing before and after; what is not there changes nothing."""
    found = resolve(selection, draft.view.standing, draft.view.talk, draft.view.now)
    if not found.refs:
        draft.say("nothing_to_fix")
        return
    set_refs(draft, found.refs, targets)


def set_refs(draft: Draft, refs: tuple[Ref, ...], targets: Sequence[CareEvent]) -> None:
    """Give events other things, showing before and after."""
    _patch(draft, [one for one in targets if one.refs], lambda _: {"refs": refs_to_json(refs)})


def _selection(to: Any) -> Selection:
    if isinstance(to, Selection):
        return to
    return Selection.from_json(to) if isinstance(to, Mapping) else Selection(labels=(str(to),))


def _when(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    set_day(draft, entry.to if isinstance(entry.to, date) else date.fromisoformat(str(entry.to)[:10]), targets)


def set_day(draft: Draft, on: date, targets: Sequence[CareEvent]) -> None:
    """Give events another day, showing before and after; a day to come is refused."""
    if on > draft.view.today:
        draft.say("impossible", what="future", on=on.isoformat(), act=targets[0].what)
        return
    if _before_it_came(draft, on, targets) or _care_came_first(draft, on, targets):
        return
    settled = settled_long_ago(on, draft.view.today)

    def moved(event: CareEvent) -> dict[str, Any]:
        more = {"facts": settled} if settled and event.what == "acquired" else {}
        return {"happened_on": on.isoformat()} | more

    _patch(draft, targets, moved)


def _before_it_came(draft: Draft, on: date, targets: Sequence[CareEvent]) -> bool:
    """Whether care would come before the plant itself did: that is said, and nothing written."""
    refs = tuple(ref for one in targets if one.what not in ("acquired", "named", "known") for ref in one.refs)
    things = (draft.view.standing.things.get((ref.kind, ref.key)) for ref in refs)
    came = [one.came_on for one in things if one is not None and one.came_on is not None and one.came_on > on]
    if came:
        draft.say("impossible", what="before_came", on=on.isoformat(), came=min(came).isoformat(), refs=refs)
    return bool(came)


def _care_came_first(draft: Draft, on: date, targets: Sequence[CareEvent]) -> bool:
    """Whether an arrival would come after the last care of the plant on record: that is said, and nothing written."""
    for event in (one for one in targets if one.what == "acquired"):
        for ref in event.refs:
            thing = draft.view.standing.things.get((ref.kind, ref.key))
            cared = [(day, act) for act, day in thing.last.items() if day < on.isoformat()] if thing is not None else []
            if cared:
                day, act = min(cared)
                draft.say("impossible", what="care_first", on=on.isoformat(), cared=day, act=act, refs=(ref,))
                return True
    return False


def _act(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    acts = [one for one in targets if one.kind in ("event", "skip")]
    _patch(draft, acts[:1], lambda _: {"what": str(entry.to), "kind": "event"})


# The number that a bare value means, in the order in which a note would hold it.
_NUMBERS = ("min_c", "max_c", "at_c", "pot_cm", "ml", "minutes", "strength", "price", "value", "rh", "set_c")


def _value(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    field = entry.field
    if entry.when is not None or (field or "").endswith("_c"):
        dated = [
            one for one in draft.view.recent if one.kind == "climate" and (entry.when is None or one.happened_on == entry.when)
        ]
        targets = dated[-1:] or targets
    for one in reversed(targets):
        name = _name_of_number(one, field, None)
        if name is not None:
            _patch_number(draft, one, name, entry.to)
            return
    _number(draft, entry, targets)


def _sane(draft: Draft, event: CareEvent, name: str, value: Any) -> bool:
    """Whether a corrected number can be; what cannot is said and nothing is written."""
    facts = {**event.facts, name: value}
    low, high = facts.get("min_c"), facts.get("max_c")
    if low is not None and high is not None and low > high:
        draft.say("impossible", what="min_above_max", low=low, high=high)
        return False
    if name.endswith("_c") and not MIN_C <= float(value) <= MAX_C:
        draft.say("impossible", what="temperature", value=float(value))
        return False
    if name == "pot_cm" and not 1 <= float(value) <= 100:
        draft.say("impossible", what="pot_cm", value=value)
        return False
    return True


def _product(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    treated = [one for one in targets if one.what in ("treated", "fed")] or list(targets)
    _patch(draft, treated[:1], lambda _: {"facts": {"product": str(entry.to)}})


def _place(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    named = _selection(entry.to).places if isinstance(entry.to, Selection | Mapping) else ()
    words = named[0] if named else str(entry.to)
    place = place_of(words, draft.view.standing)
    moved = [one for one in targets if "to" in one.facts]
    if moved:
        _patch(draft, moved, lambda _: {"facts": {"to": place}})
        return
    climate = [one for one in targets if one.kind == "climate"]
    if climate:
        _patch(draft, climate, lambda _: {"facts": {"place": place}})
        return
    found = resolve(Selection(places=(place,)), draft.view.standing, draft.view.talk, draft.view.now)
    _patch(draft, [one for one in targets if one.refs], lambda _: {"refs": refs_to_json(found.refs)})


def _add(draft: Draft, entry: Entry, targets: Sequence[CareEvent]) -> None:
    """Add an act to what the last note was about, or plants to what it did, on its day."""
    if isinstance(entry.to, Selection | Mapping):
        _add_plants(draft, _selection(entry.to), targets)
        return
    fitting = [one for one in targets if one.kind == "event" and (entry.to != "fed" or one.what == "watered")]
    last = (fitting or list(targets))[-1]
    event = draft.event("event", str(entry.to), last.refs, last.happened_on, {})
    draft.say("event", event)
    draft.current = last.refs


def _add_plants(draft: Draft, selection: Selection, targets: Sequence[CareEvent]) -> None:
    """Write what the last note did once more, for the plants that it left out."""
    found = draft.which(selection)
    if not found.refs:
        draft.say("nothing_to_fix")
        return
    if found.holds is not None and selection.count is not None:
        draft.tell(record.not_so_many(found.refs, draft.view.standing, selection.count))
        return
    for one in targets:
        if one.kind == "event" and one.refs:
            facts = {key: value for key, value in one.facts.items() if key != "except"}
            facts |= new_number(draft, one.happened_on.year, found.refs) if FACT in one.facts else {}
            draft.say("event", draft.event("event", one.what, found.refs, one.happened_on, facts))
    draft.current = found.refs


_FIXES: dict[str, Callable[[Draft, Entry, Sequence[CareEvent]], None]] = {
    "count": _number,
    "which": _which,
    "when": _when,
    "act": _act,
    "value": _value,
    "product": _product,
    "place": _place,
    "add": _add,
}
