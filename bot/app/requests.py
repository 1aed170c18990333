"""What a note asks the bot to do: act on a list of due things, learn a name, change a setting."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from bot.app.away import away
from bot.app.first_talk import follow
from bot.app.groups import KEYS_JOINED_BY, Group
from bot.app.language_words import asked_for, with_language
from bot.app.plan import Draft
from bot.app.setting_words import changed_settings
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.notes.reading import Entry

# What "done" says besides: the act that the due thing asked for.
ACT_OF_DUE = {
    "pest_look": "inspected",
    "survivors_look": "inspected",
    "clear_look": "inspected",
    "late_look": "inspected",
    "treat_again": "treated",
    "suspicion_look": "inspected",
    "isolation_look": "inspected",
    "intake_look": "inspected",
    "release_look": "inspected",
    "pot_up": "potted",
    "first_water": "watered",
    "sowing_look": "inspected",
    "rooted_look": "inspected",
    "union_look": "inspected",
    "offset_look": "inspected",
    "prick_out": "pricked_out",
    "follow_up": "inspected",
    "midrest_look": "inspected",
}
LATER_DAYS = 7


def request(draft: Draft, entry: Entry) -> None:
    """Carry out a request, or say plainly that it cannot be done yet."""
    _REQUESTS.get(str(entry.do), _not_yet)(draft, entry)


def _listed(draft: Draft, entry: Entry) -> list[tuple[int, Group]]:
    """Return the lines that the numbers mean, of the list shown last."""
    by_key = {one.key: one for one in draft.view.due}
    listed = draft.view.talk.listed
    if not listed:
        draft.say("no_list")
        return []
    numbers = entry.numbers or ((1,) if len(listed) == 1 else ())
    if not numbers:
        draft.say("which_number", most=len(listed))
    found = []
    for number in numbers:
        keys = listed[number - 1].split(KEYS_JOINED_BY) if 1 <= number <= len(listed) else []
        present = tuple(by_key[key] for key in keys if key in by_key)
        if present:
            found.append((number, Group(present)))
        elif keys:
            draft.say("already_done", number=number)
        else:
            draft.say("no_such_number", number=number, most=len(listed))
    return found


def _handle(draft: Draft, kind: str, due: Due, **facts: Any) -> None:
    reminder = {"reminder": due.why["reminder"]} if due.kind == "reminder" else {}
    draft.event(kind, "", due.refs, draft.view.today, {"due": due.key} | reminder | facts)


def _done(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        for due in group.dues:
            _handle(draft, "done", due)
        act = ACT_OF_DUE.get(group.kind) or (group.dues[0].about if group.kind == "reminder" else "")
        facts = group.dues[0].why.get("repeat", {})  # the next treatment of a course is noted as the last one was given
        event = draft.event("event", act, group.refs, draft.view.today, facts) if act and group.refs else None
        draft.say("due_done", event, group=group, number=number)
        draft.current = group.refs


def _later(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        until = entry.until or max(group.on, draft.view.today) + timedelta(days=LATER_DAYS)
        if until <= draft.view.today:
            draft.say("impossible", what="past", on=until.isoformat())
            continue
        for due in group.dues:
            _handle(draft, "later", due, until=until.isoformat())
        draft.say("due_later", group=group, number=number, until=until.isoformat())


def _drop(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        for due in group.dues:
            _handle(draft, "dropped", due)
        draft.say("due_dropped", group=group, number=number)


def _why(draft: Draft, entry: Entry) -> None:
    for number, group in _listed(draft, entry):
        draft.say("why", group=group, number=number)


def _teach(draft: Draft, entry: Entry) -> None:
    name = str(entry.to if isinstance(entry.to, str) and entry.to else entry.text or "").strip()
    found = draft.which(entry.which) if entry.which else None
    if found is None or not found.refs or not name:
        draft.say("teach_what")
        return
    owner = next(
        (
            one
            for one in draft.view.standing.things.values()
            if one.nickname.lower() == name.lower() and one.ref not in found.refs
        ),
        None,
    )
    ref = found.refs[0]
    event = draft.event("taught", ref.kind, (Ref(ref.kind, ref.key),), draft.view.today, {"name": name})
    draft.say("taught", event, owner=owner.key if owner else None)


def _set(draft: Draft, entry: Entry) -> None:
    words = str(entry.text or entry.to or "")
    before = draft.settings or draft.view.settings
    language = asked_for(words)
    try:
        after = changed_settings(before, words) if language is None else with_language(before, draft.view.person, language)
    except ValueError as wrong:
        draft.say("setting_wrong", problem=str(wrong))
        return
    draft.settings = after
    draft.say("setting", words=words, before=before, after=after)
    follow(draft)


def _not_yet(draft: Draft, entry: Entry) -> None:
    draft.say("not_yet", do=entry.do)


_REQUESTS: dict[str, Callable[[Draft, Entry], None]] = {
    "done": _done,
    "later": _later,
    "drop": _drop,
    "why": _why,
    "teach": _teach,
    "set": _set,
    "away": away,
}
