"""What each person may do with a collection: its owner all, a helper log and correct, a guest only ask."""

from __future__ import annotations

from dataclasses import replace

from bot.app.plan import Plan, Said
from bot.notes.reading import Reading

ASKING = frozenset({"question"})
# Requests by who may make them; one that is not named here is the owner's alone.
HELPERS_DO = frozenset({"done", "later", "drop", "why", "teach", "labels", "picture"})
GUESTS_DO = frozenset({"why"})
OWNERS_EVENTS = frozenset({"ruled"})  # the grower's standing word is a setting, though it stands in the log
# What may be said to a guest: answers, lists, and how the talk goes.
GUESTS_HEAR = frozenset(
    """answer why more help start no_list no_such_number which_number already_done unknown_command collections switched
    no_such_collection muted_places no_photo""".split()
)


def permitted_reading(reading: Reading, role: str | None) -> tuple[Reading, bool]:
    """Return the reading with what the role may ask for, and whether something was left out.

    What a guest writes besides questions is no note: nothing of it reaches the planning or the journal.
    """
    kept = tuple(one for one in reading.entries if _may(one.type, str(one.do), role))
    if role == "owner" or (kept == reading.entries and role == "helper"):
        return reading, False
    if role == "helper":
        return replace(reading, entries=kept), True
    decision = "answer" if kept else "do"
    return Reading(decision, None, kept), kept != reading.entries or not kept


def _may(kind: str, do: str, role: str | None) -> bool:
    if role == "owner":
        return True
    if role == "helper":
        return kind != "request" or do in HELPERS_DO
    return role == "guest" and (kind in ASKING or (kind == "request" and do in GUESTS_DO))


def permitted(made: Plan, role: str | None, *, refused: bool) -> Plan:
    """Return the plan with nothing in it that the role may not do, and with a sentence where something was left out.

    `refused` says that something was left out of the reading already. The last door before the log: it looks at what the
    plan would do, whatever words led to it.
    """
    if role == "owner":
        return made
    if role == "helper":
        return _for_helper(made, refused=refused)
    if role is None:
        return Plan(said=(Said("not_a_member"),))
    heard = tuple(one for one in made.said if one.kind in GUESTS_HEAR)
    wanted_more = refused or made.writes or len(heard) < len(made.said) or made.ask is not None or not heard
    said = (*heard, Said("guests_read")) if wanted_more else heard
    return Plan(said=said, refs=made.refs, place=made.place, listed=made.listed, shown=made.shown)


def _for_helper(made: Plan, *, refused: bool) -> Plan:
    kept = tuple(one for one in made.events if one.kind not in OWNERS_EVENTS)
    if not refused and made.settings is None and kept == made.events:
        return made
    gone = {one.identity for one in made.events} - {one.identity for one in kept}
    said = tuple(
        one for one in made.said if one.kind not in _SAID_OF_SETTINGS and (one.event is None or one.event.identity not in gone)
    )
    return replace(made, events=kept, settings=None, said=(*said, Said("owners_only")))


_SAID_OF_SETTINGS = frozenset(
    """setting setting_wrong muted unmuted away back weekly_sign nothing_due quiet_hours set_up named_collection""".split()
)
