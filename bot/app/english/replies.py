"""The answer to a note: what was written, what follows from it, and at most one question. One to three lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from bot.app.english import answers, cautions, lists, phrases, reasons
from bot.app.groups import Group
from bot.app.plan import Ask, Choice, Plan, Said, View
from bot.care.due_values import Due
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing
from bot.messages import Button, Outgoing

MOST_CONSEQUENCES = 3
HELP = (
    "Write what you did or saw, as you would say it: “soaked bench 2 except the lithops”, “mites on 14”, “min 4 max 19”.",
    "Ask: “whats due this week”, “when did i last water bench 2”. Then “done 1”, “later 2 by a week”, “why 1”.",
    "Wrong? “undo”, or “no that was 5 not 4”.",
)
START = (
    "Write a note as you would at the bench: “watered tray 3”, “12-18 are lobivias”, “got 6 lithops from a friend”.",
    "For better dates tell me once: “set latitude 51”, “my coldest night is 5”. “help” shows more.",
)
UNDO = Button("undo", "undo")
# What is worth saying first, when much follows from one note.
_WEIGHT = (
    "suspicion_look survivors_look pest_look late_look clear_look intake_look release_look isolation_look pot_up first_water hold_ends hold_open "
    "dry_look sowing_look rooted_look ties_off follow_up rest_end rest_start"
).split()


def reply(plan: Plan, view: View, standing: Standing, followed: Sequence[Due], cautioned: Sequence[str] = ()) -> Outgoing:
    """Return the answer to a note. `standing` and `followed` (new and changed due things) are as they are after it."""
    talk = _Talk(plan, view, standing, followed)
    lines = [*talk.written(), *talk.consequences(), *(cautions.LINES[one] for one in cautioned)]
    buttons: list[tuple[Button, ...]] = []
    if plan.ask is not None:
        question, choice_buttons = asked(plan.ask, view, standing)
        lines.append(question)
        buttons += [choice_buttons[start : start + 2] for start in range(0, len(choice_buttons), 2)]
    if any(one.kind not in ("withdrawn", "amended") for one in plan.events) or plan.events:
        buttons.append((UNDO,))
    text = "\n".join(one for one in lines if one)
    return Outgoing(text or "Noted.", tuple(buttons))


class _Talk:
    """One answer in the making."""

    def __init__(self, plan: Plan, view: View, standing: Standing, followed: Sequence[Due]) -> None:
        self.plan, self.view, self.standing, self.followed = plan, view, standing, followed
        self.today = view.today

    def written(self) -> list[str]:
        """Return what was written or answered: events in one line, all else in lines of its own."""
        sentences: list[str] = []
        lines: list[str] = []
        last: tuple[Ref, ...] = ()
        for said in self.plan.said:
            made = _SAID[said.kind](said, self, last)
            if said.kind in ("answer", "why", "more", "help", "start"):
                lines += made if isinstance(made, list) else [made]
            elif isinstance(made, list):
                sentences += made
            elif made:
                sentences.append(made)
            if said.event is not None and said.event.refs:
                last = said.event.refs
        first = " ".join(sentences)
        return ([first] if first else []) + lines

    def consequences(self) -> list[str]:
        """Return what follows: the weightiest due things that this note brought or changed."""
        if self.plan.undone or any(said.kind in ("why", "due_done", "due_later", "due_dropped") for said in self.plan.said):
            return []
        seasonal = any(one.what in ("rest_started", "rest_ended") for one in self.plan.events)
        worth = [one for one in self.followed if one.kind in _WEIGHT and (seasonal or one.kind not in ("rest_end", "rest_start"))]
        ranked = sorted(worth, key=lambda one: (_WEIGHT.index(one.kind), one.on))
        sentences: list[str] = []
        for due in ranked:
            made = reasons.follows(due, self.today)
            if made and made not in sentences and not any(made[:12] == one[:12] for one in sentences):
                sentences.append(made)
        apart = self._keep_apart()
        return [" ".join([*apart, *sentences][: MOST_CONSEQUENCES + len(apart)])] if sentences or apart else []

    def _keep_apart(self) -> list[str]:
        """A pest that was seen is isolated before anything else."""
        finds = [one for one in self.plan.events if one.kind == "finding" and one.facts.get("status") == "present"]
        seen = [one for one in finds if reasons.is_pest(one.what)]
        things = [self.standing.things.get((ref.kind, ref.key)) for one in seen for ref in one.refs]
        if not seen or all(one is not None and one.isolated_on is not None for one in things):
            return []
        return ["Set it apart." if len(seen) == 1 and _only_one(seen[0]) else "Set them apart."]

    def things(self, event: CareEvent, last: tuple[Ref, ...]) -> str:
        """Return what an event is about, or "them" where it is the set just spoken of."""
        if last and event.refs == last:
            return "them" if not _only_one(event) else "it"
        return phrases.things(event.refs, self.standing)

    def when(self, event: CareEvent) -> str:
        """Return the day of an event where it is not today."""
        if event.happened_on == self.today:
            return ""
        about = "about " if event.facts.get("approx") else ""
        return f", {about}{phrases.day(event.happened_on, self.today)}"


def _only_one(event: CareEvent) -> bool:
    return len(event.refs) == 1 and (event.refs[0].kind == "plant" or event.refs[0].count == 1)


def _event(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    special = _EVENTS.get(event.what)
    text = special(event, talk, last) if special else phrases.act(event, talk.things(event, last)) + _extras(event)
    fresh = said.facts.get("new_labels") or ()
    new = f" ({phrases.numbered(list(fresh))} {'is' if len(fresh) == 1 else 'are'} new to me.)" if fresh else ""
    doubt = " (unsure)" if event.facts.get("sure") is False else ""
    return f"{text}{doubt}{talk.when(event)}.{new}"


def _extras(event: CareEvent) -> str:
    facts = event.facts
    parts = []
    if facts.get("except"):
        parts.append(f"except {phrases.joined([_exception(one) for one in facts['except']])}")
    if facts.get("to"):
        parts.append(_to(event.what, str(facts["to"])))
    if facts.get("pot_cm"):
        parts.append(f"into {facts['pot_cm']:g} cm")
    parts += [str(facts[key]) for key in ("product", "dose", "course") if facts.get(key)]
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


def _exception(which: Mapping[str, Any]) -> str:
    for key, make in (("labels", "{}"), ("nicknames", "{}"), ("places", "{}"), ("lots", "the {} lot"), ("sowings", "{}")):
        if which.get(key):
            return phrases.joined([make.format(one) for one in which[key]])
    if which.get("taxa"):
        return phrases.joined([f"the {phrases.plural(one)}" for one in which["taxa"]])
    return str(which.get("words") or which.get("kind") or which.get("count") or "some")


def _acquired(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
    ref, facts = event.refs[0], event.facts
    name = f" {phrases.plural(str(facts['name'])) if (ref.count or 1) != 1 else facts['name']}" if facts.get("name") else ""
    count = ref.count if ref.kind == "lot" else len(event.refs)
    source = f" from {phrases.cap(str(facts['from']))}" if facts.get("from") else ""
    state = {"bare_root": ", bare-root", "cutting": ", cuttings", "seed": ", seed"}.get(str(facts.get("state")), "")
    price = f", {facts.get('currency', '')} {facts['price']:g}".replace("  ", " ") if facts.get("price") else ""
    called = f" ({phrases.lot(ref.key)})" if ref.kind == "lot" else ""
    return f"In: {count}{name}{source}{state}{price}{called}"


def _taken(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
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


def _sown(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
    facts = event.facts
    seeds = f", {facts['sown']} seeds" if facts.get("sown") else ""
    name = f" ({phrases.cap(str(facts['name']))})" if facts.get("name") else ""
    return f"Sown {phrases.joined([one.key for one in event.refs])}{name}{seeds}"


def _germinated(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
    ref = event.refs[0]
    thing = talk.standing.things.get((ref.kind, ref.key))
    sown = thing.tally.get("sown") if thing else None
    if ref.count is None:
        return f"Up: {phrases.things(event.refs, talk.standing)}"
    share = f" ({100 * ref.count / sown:.0f} %)" if sown else ""
    return f"{ref.key}: {ref.count}{f' of {sown}' if sown else ''} up{share}"


def _rooted(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
    thing = talk.standing.things.get((event.refs[0].kind, event.refs[0].key)) if event.refs else None
    word = {"rooted": "Rooted", "united": "Took", "failed": "Failed"}[event.what]
    tally = thing.tally if thing else {}
    if thing is None or not tally.get("taken"):
        return f"{word}: {phrases.things(event.refs, talk.standing)}"
    pending = tally["taken"] - tally.get("rooted", 0) - tally.get("failed", 0)
    count = event.refs[0].count if event.refs[0].count is not None else tally.get("rooted", 0)
    rest = f", {pending} pending" if pending > 0 else ""
    return f"{word}: {count} of {tally['taken']}{rest}"


def _died(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
    cause = f" ({phrases.sign(str(event.facts['cause']))})" if event.facts.get("cause") else ""
    thing = talk.standing.things.get((event.refs[0].kind, event.refs[0].key)) if event.refs else None
    left = f", {thing.count} left" if thing and thing.kind in ("lot", "batch") and thing.count else ""
    return f"Dead: {talk.things(event, last) if event.refs != last else phrases.things(event.refs, talk.standing)}{cause}{left}. Sorry about that"


def _named(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
    name = str(event.facts.get("name", ""))
    many = len(event.refs) > 1
    by = f", says {phrases.cap(str(event.facts['by']))}" if event.facts.get("by") else ""
    shown = name[:1].upper() + name[1:] if name and not name[0].isdigit() else name
    return f"{_labels(event.refs, talk.standing)} {'are' if many else 'is'} {shown}{by}"


def _labels(refs: Sequence[Ref], standing: Standing) -> str:
    plants = [one.key for one in refs if one.kind == "plant"]
    things = [standing.things.get(("plant", one)) for one in plants]
    if len(plants) == 1:
        return (things[0].nickname if things[0] and things[0].nickname else plants[0]) or plants[0]
    return phrases.numbered(plants) if plants else phrases.things(refs, standing)


def _moved(event: CareEvent, talk: _Talk, last: tuple[Ref, ...]) -> str:
    to = phrases.to(str(event.facts["to"])) if event.facts.get("to") else "to a place you left unsaid"
    whole = tuple(one for one in event.refs if one.kind == "place") or event.refs
    return f"Moved {_labels(whole, talk.standing) if whole[0].kind == 'plant' else phrases.things(whole, talk.standing)} {to}"


_EVENTS: dict[str, Callable[[CareEvent, _Talk, tuple[Ref, ...]], str]] = {
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


def _finding(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
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


def _state(event: CareEvent, status: str, talk: _Talk, last: tuple[Ref, ...]) -> str:
    """A state is said of the plants: "In bud: 12 and 15", "Not soft: 41"."""
    state = phrases.STATES[event.what]
    what = talk.things(event, last) if event.refs else "them"
    word = {"present": state, "suspected": f"perhaps {state}", "absent": f"not {state}", "cleared": f"no longer {state}"}[status]
    said = f"{word[:1].upper()}{word[1:]}" if what in ("them", "it") else f"{word[:1].upper()}{word[1:]}: {what}"
    return f"{said}{talk.when(event)}."


def _skip(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    what = phrases.things(event.refs, talk.standing) if event.refs else ""
    why = f" ({event.facts['why']})" if event.facts.get("why") else ""
    return (
        f"Not {_PAST.get(event.what, event.what.replace('_', ' '))}: {what}{why}."
        if what
        else f"Not {event.what.replace('_', ' ')}{why}."
    )


_PAST = {"rest_started": "put to rest", "offsets_taken": "divided"}


def _measure(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    facts = event.facts
    value = facts.get("value", f"{facts.get('low', 0):g}-{facts.get('high', 0):g}" if "low" in facts else "")
    shown = phrases.number(value) if isinstance(value, int | float) else value
    what = f" of {phrases.things(event.refs, talk.standing)}" if event.refs else ""
    return f"{phrases.cap(event.what.replace('_', ' '))}{what}: {shown} {facts.get('unit', '')}".strip() + "."


def _climate(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    facts = event.facts
    parts = [
        f"{word} {facts[key]:g} °C".strip()
        for key, word in (("min_c", "min"), ("max_c", "max"), ("at_c", ""), ("set_c", "heater set to"))
        if key in facts
    ]
    parts += [f"humidity {facts['rh']:g} %"] if "rh" in facts else []
    place = f" {facts['place']}" if facts.get("place") else ""
    head = "Forecast" if facts.get("forecast") else "Noted"
    return f"{head}{place}: {', '.join(parts)}{talk.when(event)}."


def _hold(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
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


def _reminder(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    facts = event.facts
    if facts.get("cancel"):
        return "I won't remind you of that any more."
    due = str(facts.get("due", ""))
    when = phrases.day(date.fromisoformat(due[:10]), talk.today) + (f" at {due[11:16]}" if "T" in due else "") if due else ""
    if facts.get("snooze"):
        return f"Put off to {when}."
    if not when:
        return f"Kept for you: {facts.get('text') or facts.get('cond') or 'a reminder'}. Give me a day and I remind you."
    what = lists.asked_for(event, talk.standing)
    return f"I'll remind you {when}" + (f": {what}." if what else ".")


def _fixed(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    before, after = said.facts["before"], said.facts["after"]
    return f"Was: {_told(before, talk)} Now: {_told(after, talk)}"


def _undone(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    return f"Taken back: {_told(said.facts['events'], talk)}"


def _told(events: Sequence[CareEvent], talk: _Talk) -> str:
    """Return events as they were said, the day always named."""
    parts = []
    last: tuple[Ref, ...] = ()
    for event in events:
        make = _SAID.get(_KIND_SAID.get(event.kind, ""), None)
        if make is None:
            continue
        made = make(Said(event.kind, event, {}), talk, last)
        parts.append(made if isinstance(made, str) else " ".join(made))
        last = event.refs or last
    days = {event.happened_on for event in events}
    if days == {talk.today} and parts and events[-1].kind not in ("reminder", "taught"):
        parts[-1] = parts[-1].rstrip(".") + ", today."
    return " ".join(parts) or "the last change."


_KIND_SAID = {
    "event": "event",
    "finding": "finding",
    "skip": "skip",
    "measure": "measure",
    "climate": "climate",
    "hold": "hold",
    "reminder": "reminder",
    "taught": "taught",
}


def _impossible(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    facts = said.facts
    if facts["what"] == "pot_cm":
        return f"A pot of {facts['value']:g} cm? That part is not written: send it again with the size."
    if facts["what"] == "min_above_max":
        return f"Min {facts['low']:g} is above max {facts['high']:g}: not written. Swapped? Send it as min {facts['high']:g} max {facts['low']:g}."
    if facts["what"] == "temperature":
        return f"{facts['value']:g} can't be right for a thermometer here: not written. Send it again."
    when = phrases.day(date.fromisoformat(facts["on"]), talk.today)
    if facts["what"] == "past":
        return f"{when[:1].upper()}{when[1:]} is past: give me a day to come."
    return f"{when[:1].upper()}{when[1:]} is still to come: not written as done."


def _taught(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    event = said.event
    assert event is not None
    two = f" {said.facts['owner']} has that name too." if said.facts.get("owner") else ""
    return f"{event.refs[0].key} is now “{event.facts['name']}”.{two}"


def _setting(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    before, after = said.facts["before"].to_json(), said.facts["after"].to_json()
    changed = [name for name in after if after[name] != before[name]]
    return " ".join(_setting_words(name, after[name]) for name in changed) or "That is how it is set already."


def _setting_words(name: str, value: Any) -> str:
    return {
        "latitude": lambda: f"Latitude {abs(value):g}° {'south' if value < 0 else 'north'}.",
        "zone": lambda: f"Time zone {value}.",
        "morning_time": lambda: f"Morning message at {value[:5]}.",
        "floor_c": lambda: f"Coldest night in the house: {value:g} °C.",
        "units": lambda: f"Units: {value}.",
        "date_order": lambda: f"Dates are read as {'day/month' if value == 'dmy' else 'month/day'}.",
        "normals": lambda: (
            f"Monthly normals kept: January {value[0][0]:g}/{value[0][1]:g} to December {value[11][0]:g}/{value[11][1]:g} °C."
        ),
    }.get(name, lambda: f"{phrases.cap(name.replace('_', ' '))}: {value}.")()


def _due_words(group: Group, talk: _Talk) -> str:
    if group.kind == "reminder":
        return lists.reminder(group, talk.standing)
    return f"{phrases.due(group.kind, group.dues[0].about)}, {phrases.things(group.refs, talk.standing)}"


def _due_done(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    group: Group = said.facts["group"]
    hint = _DONE_HINTS.get(group.kind, "")
    noted = f" Noted as {_PAST.get(said.event.what, said.event.what)}." if said.event is not None and not hint else ""
    return f"Done: {_due_words(group, talk)}.{hint}{noted}"


_LOOK_HINT = " Seen any? Say “clean” or “still there”."
_DONE_HINTS = {
    "pest_look": _LOOK_HINT,
    "survivors_look": _LOOK_HINT,
    "late_look": _LOOK_HINT,
    "clear_look": " Clean? Say so.",
    "isolation_look": " Clean? Say so.",
    "intake_look": " Clean? Say so.",
    "release_look": " If clean, say “released”.",
}


_NOT_YET = "I can't do that yet. Your note is kept."
_SAID: dict[str, Callable[[Said, _Talk, tuple[Ref, ...]], str | list[str]]] = {
    "event": _event,
    "finding": _finding,
    "skip": _skip,
    "measure": _measure,
    "climate": _climate,
    "hold": _hold,
    "reminder": _reminder,
    "fixed": _fixed,
    "undone": _undone,
    "impossible": _impossible,
    "taught": _taught,
    "setting": _setting,
    "due_done": _due_done,
    "answer": lambda said, talk, last: answers.answer(said.facts, talk.view, talk.standing),
    "why": lambda said, talk, last: reasons.in_full(said.facts["group"], talk.standing, talk.today),
    "remark": lambda said, talk, last: _remark(said, talk),
    "held_back": lambda said, talk, last: "",
    "nothing_to_undo": lambda said, talk, last: "There is nothing to take back.",
    "nothing_to_fix": lambda said, talk, last: (
        "I find nothing to change: tell me what it was, such as “the 12 Apr watering was bench 1”."
    ),
    "question_dropped": lambda said, talk, last: f"Dropped; nothing was written of “{said.facts['text']}”.",
    "no_list": lambda said, talk, last: "There is no list yet: “whats due” shows one.",
    "no_such_number": lambda said, talk, last: f"The list has {said.facts['most']}: there is no {said.facts['number']}.",
    "which_number": lambda said, talk, last: f"Which number, 1 to {said.facts['most']}?",
    "already_done": lambda said, talk, last: f"{said.facts['number']} is done already.",
    "due_later": lambda said, talk, last: (
        f"Later: {_due_words(said.facts['group'], talk)}, {phrases.day(date.fromisoformat(said.facts['until']), talk.today)}."
    ),
    "due_dropped": lambda said, talk, last: f"Dropped: {_due_words(said.facts['group'], talk)}.",
    "teach_what": lambda said, talk, last: "Teach me a name like this: call 203 teacup.",
    "setting_wrong": lambda said, talk, last: f"{said.facts['problem'][:1].upper()}{said.facts['problem'][1:]}.",
    "more": lambda said, talk, last: lists.more(said.facts["numbered"], said.facts["left"], talk.standing, talk.today),
    "help": lambda said, talk, last: list(HELP),
    "start": lambda said, talk, last: list(START),
    "unknown_command": lambda said, talk, last: f"I know no /{said.facts['command']}. Write it in words, or send: help",
    "not_yet": lambda said, talk, last: _NOT_YET,
}


def _remark(said: Said, talk: _Talk) -> str:
    alone = len(talk.plan.said) == 1 and talk.plan.ask is None
    if not alone:
        return ""
    if not str(said.facts["text"]).strip():
        return "That was empty. Tell me what you did, such as: watered bench 2."
    return "Kept as a remark: I read no act, find or question in it."


# --- the one question -------------------------------------------------------------------------------------------------


def asked(ask: Ask, view: View, standing: Standing) -> tuple[str, tuple[Button, ...]]:
    """Return the question and the buttons of its choices."""
    buttons = tuple(_choice(one, standing, ask) for one in ask.choices)
    return _QUESTIONS.get(ask.about, _what_exactly)(ask), buttons


def _which_question(ask: Ask) -> str:
    count, words = ask.facts.get("count"), ask.facts.get("words")
    if ask.facts.get("act") == "died":
        return "Which one died?" if (count or 1) == 1 else f"Which {count} died?"
    if words and not count:
        return f"Which is “{words}”?"
    return f"Which {phrases.numeral(count)}?" if count else "Which plants?"


def _what_exactly(ask: Ask) -> str:
    text = ask.facts.get("text")
    return f"What did you do there? “{text}”" if text else "What was done?"


_QUESTIONS: dict[str, Callable[[Ask], str]] = {
    "which": _which_question,
    "act": lambda ask: "Watered, or in the wash?" if ask.choices else _what_exactly(ask),
    "when": lambda ask: "Which day was that?",
    "count": lambda ask: f"{ask.facts['count']} in all?" if ask.facts.get("count") else "How many was it?",
    "product": lambda ask: "What did you use, at what rate?",
    "cause": lambda ask: "Do you know why?",
    "who": lambda ask: "Who was that?",
    "sign": lambda ask: f"What did you see? “{ask.facts['text']}”" if ask.facts.get("text") else "What did you see?",
    "rule": lambda ask: "A rule for good, or just this once?",
    "where": lambda ask: "Where to?",
}


def _choice(choice: Choice, standing: Standing, ask: Ask) -> Button:
    kind, _, key = choice.key.partition(":")
    words = {
        "genus": lambda: f"the {phrases.plural(key)}",
        "place": lambda: key,
        "lot": lambda: phrases.lot(key),
        "sowing": lambda: key,
        "batch": lambda: phrases.things(choice.refs, standing),
        "act": lambda: {"watered": "watered", "washed": "in the wash"}[key],
        "when": lambda: key,
    }.get(kind, lambda: key)()
    return Button(words, words)
