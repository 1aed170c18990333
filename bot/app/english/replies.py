"""The answer to a note: what was written, what follows from it, and at most one question. One to three lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from bot.app.advice import Advice
from bot.app.english import (
    advice,
    answers,
    bulk,
    cautions,
    kept,
    lists,
    mixes,
    phrases,
    places,
    reasons,
    steered,
    transit,
    wished,
)
from bot.app.english.told import NOT_DONE, TOLD, Telling, only_one
from bot.app.groups import Group
from bot.app.plan import Ask, Choice, Plan, Said, View
from bot.care.due_values import Due
from bot.care.events import CareEvent, Ref
from bot.care.standing import Standing
from bot.messages import Button, Outgoing

MOST_CONSEQUENCES = 3
NEAR_DAYS = 30
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
_WEIGHT = [
    "suspicion_look",
    "survivors_look",
    "pest_look",
    "treat_again",
    "late_look",
    "clear_look",
    "intake_look",
    "release_look",
    "isolation_look",
    "pot_up",
    "first_water",
    "hold_ends",
    "hold_open",
    "dry_look",
    "sowing_look",
    "rooted_look",
    "ties_off",
    "follow_up",
    "rest_end",
    "rest_start",
]


def reply(
    plan: Plan,
    view: View,
    standing: Standing,
    followed: Sequence[Due],
    cautioned: Sequence[str] = (),
    advised: Sequence[Advice] = (),
) -> Outgoing:
    """Return the answer to a note. `standing` and `followed` (new and changed due things) are as they are after it."""
    talk = _Talk(plan, view, standing, followed)
    lines = [*talk.written(), *talk.advised(advised), *talk.consequences(), *(cautions.line(one) for one in cautioned)]
    buttons: list[tuple[Button, ...]] = []
    if plan.ask is not None:
        question, choice_buttons = asked(plan.ask, view, standing)
        lines.append(question)
        buttons += [choice_buttons[start : start + 2] for start in range(0, len(choice_buttons), 2)]
    buttons += steered.buttons(plan, view)
    if any(one.kind not in ("withdrawn", "amended") for one in plan.events) or plan.events:
        buttons.append((UNDO,))
    text = "\n".join(one for one in lines if one)
    return Outgoing(text or "Noted.", tuple(buttons))


class _Talk(Telling):
    """One answer in the making."""

    def __init__(self, plan: Plan, view: View, standing: Standing, followed: Sequence[Due]) -> None:
        super().__init__(view, standing)
        self.plan, self.followed = plan, followed

    def written(self) -> list[str]:
        """Return what was written or answered: events in one line, all else in lines of its own."""
        sentences: list[str] = []
        lines: list[str] = []
        last: tuple[Ref, ...] = ()
        for said in self.plan.said:
            made = _SAID[said.kind](said, self, last)
            if said.kind in ("answer", "why", "more", "help", "start", *steered.LINES):
                lines += made if isinstance(made, list) else [made]
            elif isinstance(made, list):
                sentences += made
            elif made:
                sentences.append(made)
            if said.event is not None and said.event.refs:
                last = said.event.refs
        first = " ".join(sentences)
        return ([first] if first else []) + lines

    def advised(self, given: Sequence[Advice]) -> list[str]:
        """Return what speaks against what was done, in one line."""
        said = dict.fromkeys(advice.sentence(one, self.standing, self.today) for one in given)
        return [" ".join(said)] if said and not self.plan.undone else []

    def consequences(self) -> list[str]:
        """Return what follows: the weightiest due things that this note brought or changed."""
        if self.plan.undone or any(said.kind in ("why", "due_done", "due_later", "due_dropped") for said in self.plan.said):
            return []
        seasonal = any(one.what in ("rest_started", "rest_ended") for one in self.plan.events)
        worth = [one for one in self.followed if one.kind in _WEIGHT and self._worth_saying(one, seasonal=seasonal)]
        ranked = sorted(worth, key=lambda one: (_WEIGHT.index(one.kind), one.on))
        sentences: list[str] = []
        for due in ranked:
            made = reasons.follows(due, self.today)
            if made and made not in sentences and not any(made[:12] == one[:12] for one in sentences):
                sentences.append(made)
        apart = [*self._awaited(), *self._keep_apart()]
        return [" ".join([*apart, *sentences][: MOST_CONSEQUENCES + len(apart)])] if sentences or apart else []

    def _worth_saying(self, due: Due, *, seasonal: bool) -> bool:
        """The turn of the season is told when the note is about it, and only when it is near."""
        if due.kind == "rest_end":
            return seasonal
        watered = any(one.what in ("watered", "fed") for one in self.plan.events)
        return due.kind != "rest_start" or (watered and (due.on - self.today).days <= NEAR_DAYS)

    def _awaited(self) -> list[str]:
        """What the grower put off until just this was noted."""
        awaited = [one for one in self.followed if one.kind == "reminder" and one.why.get("awaited")]
        said = phrases.joined([lists.reminder(Group((one,)), self.standing, bare=True) for one in awaited])
        return [f"You wanted to {said} now."] if said else []

    def _keep_apart(self) -> list[str]:
        """A pest that was seen is isolated before anything else."""
        finds = [one for one in self.plan.events if one.kind == "finding" and one.facts.get("status") == "present"]
        seen = [one for one in finds if reasons.is_pest(one.what)]
        things = [self.standing.things.get((ref.kind, ref.key)) for one in seen for ref in one.refs]
        if not seen or all(one is not None and one.isolated_on is not None for one in things):
            return []
        return ["Set it apart." if len(seen) == 1 and only_one(seen[0]) else "Set them apart."]


def _fixed(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    before, after = said.facts["before"], said.facts["after"]
    return f"Was: {_told(before, talk)} Now: {_told(after, talk)}"


def _undone(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    return bulk.taken_back(said.facts["events"]) or f"Taken back: {_told(said.facts['events'], talk)}"


def _told(events: Sequence[CareEvent], talk: _Talk) -> str:
    """Return events as they were said, the day always named."""
    parts = []
    last: tuple[Ref, ...] = ()
    for event in events:
        if event.kind not in TOLD:
            continue
        parts.append(TOLD[event.kind](Said(event.kind, event, {}), talk, last))
        last = event.refs or last
    days = {event.happened_on for event in events}
    if days == {talk.today} and parts and events[-1].kind not in ("reminder", "taught"):
        parts[-1] = parts[-1].rstrip(".") + ", today."
    return " ".join(parts) or "the last change."


def _impossible(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    facts = said.facts
    if facts["what"] == "pot_cm":
        return f"A pot of {facts['value']:g} cm? That part is not written: send it again with the size."
    if facts["what"] == "circle":
        return places.circle(facts["inner"], facts["outer"])
    if facts["what"] == "min_above_max":
        swapped = f"min {facts['high']:g} max {facts['low']:g}"
        return f"Min {facts['low']:g} is above max {facts['high']:g}: not written. Swapped? Send it as {swapped}."
    if facts["what"] == "temperature":
        return f"{facts['value']:g} can't be right for a thermometer here: not written. Send it again."
    if facts["what"] == "none_came":
        return "None came, so nothing is written. Say how many: bought 3 lobivias"
    if facts["what"] == "strength":
        return f"{facts['said']} would burn roots: nothing written. Was it less? Such as: fed 12 at 2 ml/l, fed 12 half strength"
    if facts["what"] == "fewer_than_none":
        return f"Fewer than none (minus {facts['number']}) cannot be: nothing written. Say how many, or which ones."
    if facts["what"] == "label_of_several":
        return (
            f"One label is for one plant: nothing written. Which of them keeps {facts['label']}? Give the other another number."
        )
    if facts["what"] == "none_done":
        return "None, so nothing is written. Say which plants, or how many."
    when = phrases.day(date.fromisoformat(facts["on"]), talk.today)
    if facts["what"] == "before_came":
        came = phrases.day(date.fromisoformat(facts["came"]), talk.today)
        return f"{phrases.cap(phrases.things(facts['refs'], talk.standing))} came {came}, after {when}: not written."
    if facts["what"] == "care_first":
        cared = phrases.day(date.fromisoformat(facts["cared"]), talk.today)
        return f"{phrases.cap(phrases.things(facts['refs'], talk.standing))} has an entry of {cared}, before {when}: not changed."
    if facts["what"] == "past":
        return f"{when[:1].upper()}{when[1:]} is past: give me a day to come."
    return f"{when[:1].upper()}{when[1:]} is still to come: not written as done."


def _setting(said: Said, talk: _Talk, last: tuple[Ref, ...]) -> str:
    before, after = said.facts["before"].to_json(), said.facts["after"].to_json()
    after["extra"] = {name: value for name, value in after["extra"].items() if before["extra"].get(name) != value}
    before["extra"] = {}
    changed = [name for name in after if after[name] != before[name]]
    return " ".join(words for name in changed if (words := _setting_words(name, after[name]))) or "That is how it is set already."


_LANGUAGES = {"en": "English", "de": "German", "nl": "Dutch", "cs": "Czech", "es": "Spanish", "fr": "French", "it": "Italian"}


def _setting_words(name: str, value: Any) -> str:
    if name == "extra" and "languages" in value:
        return f"I read your notes in {' and '.join(sorted({_LANGUAGES.get(one, one) for one in value['languages'].values()}))}."
    if name == "extra":
        return "They hold outdoors; the house is counted above them." if value.get("normals_outside") else ""
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
    noted = f" Noted as {NOT_DONE.get(said.event.what, said.event.what)}." if said.event is not None and not hint else ""
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
    **TOLD,
    **steered.SAID,
    **kept.SAID,
    **mixes.SAID,
    **transit.SAID,
    **wished.SAID,
    "fixed": _fixed,
    "undone": _undone,
    "impossible": _impossible,
    "setting": _setting,
    "due_done": _due_done,
    "answer": lambda said, talk, last: answers.answer(said.facts, talk.view, talk.standing),
    "why": lambda said, talk, last: reasons.in_full(said.facts["group"], talk.standing, talk.today),
    "remark": lambda said, talk, last: _remark(said, talk),
    "stays_open": lambda said, talk, last: (
        "All right, it stays as written." if said.facts["written"] else "All right, nothing is written."
    ),
    "cause_open": lambda said, talk, last: "All right, the cause stays open.",
    "held_back": lambda said, talk, last: "",
    "closed": lambda said, talk, last: (
        f"That ends the {phrases.sign(said.facts['sign'])} on {phrases.things(said.facts['refs'], talk.standing)}: "
        f"clear after {said.facts['looks']} clean looks."
    ),
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
    alone = all(one.kind == "remark" for one in talk.plan.said) and talk.plan.ask is None
    if not alone or said is not talk.plan.said[0]:
        return ""
    if not str(said.facts["text"]).strip():
        return "That was empty. Tell me what you did, such as: watered bench 2."
    if not any("a" <= letter <= "z" for letter in talk.view.text.lower()):
        return "Kept as a remark. I read plain English so far, such as: watered bench 2."
    return "Kept as a remark: I found nothing to log in it."


# --- the one question -------------------------------------------------------------------------------------------------


def asked(ask: Ask, view: View, standing: Standing) -> tuple[str, tuple[Button, ...]]:
    """Return the question and the buttons of its choices."""
    buttons = tuple(_choice(one, standing, ask) for one in ask.choices)
    return _QUESTIONS.get(ask.about, _what_exactly)(ask), buttons


def _which_question(ask: Ask) -> str:
    count, words = ask.facts.get("count"), ask.facts.get("words")
    if ask.facts.get("act") == "died":
        return "Which one died?" if (count or 1) == 1 else f"Which {count} died?"
    if words and (not count or count == 1):
        return f"Which is “{words}”?"
    if ask.facts.get("holds") is not None and ask.facts.get("place"):
        return f"{phrases.cap(str(ask.facts['place']))} holds {ask.facts['holds']}. Which ones, or how many?"
    return f"Which {phrases.numeral(count)}?" if count else "Which plants?"


def _what_exactly(ask: Ask) -> str:
    text, read = ask.facts.get("text"), ask.facts.get("read")
    if ask.facts.get("apart"):
        return str(ask.facts["apart"])
    if read:
        unread = f"“{text}” I do not understand. " if text else "I am not sure of that one. "
        return f"{unread}I read: {'; '.join(read)}. Write that?"
    return f"What did you do there? “{text}”" if text else "What was done?"


def _which_day(said: date | None) -> str:
    """Return the question for a day; where one was said that is yet to come this year, what it would mean."""
    return f"{said:%-d %B} is yet to come, and {said:%Y} is long ago. Which day was that?" if said else "Which day was that?"


_QUESTIONS: dict[str, Callable[[Ask], str]] = {
    "which": _which_question,
    "act": lambda ask: (
        "Watered, or in the wash?"
        if ask.choices and not (ask.facts.get("read") or ask.facts.get("apart"))
        else _what_exactly(ask)
    ),
    "when": lambda ask: _which_day(ask.facts.get("said")),
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
