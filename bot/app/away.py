"""An absence: what can wait is held until the grower is back, what cannot is written down for a sitter."""

from __future__ import annotations

from datetime import date

from bot.app.groups import Group, grouped
from bot.app.holding import AWAY, Absence, absence, for_the_sitter, with_extra
from bot.app.plan import Draft
from bot.notes.reading import Entry


def away(draft: Draft, entry: Entry) -> None:
    """Note an absence until the day the grower is back, and answer with the sitter's sheet."""
    today = draft.view.today
    if entry.until is None:
        draft.say("away_until_when")
        return
    if entry.until <= today:
        draft.say("impossible", what="past", on=entry.until.isoformat())
        return
    gone = Absence(today, entry.until)
    draft.settings = with_extra(
        draft.settings or draft.view.settings, **{AWAY: {"since": today.isoformat(), "back": entry.until.isoformat()}}
    )
    draft.say("away", gone=gone, sheet=sheet(draft, gone))


def back(draft: Draft) -> None:
    """End an absence; what was held comes with the next morning message, or on asking."""
    gone = absence(draft.view.settings)
    if gone is None:
        draft.say("not_away")
        return
    draft.settings = with_extra(draft.view.settings, **{AWAY: None})
    held = [one for one in draft.view.due if one.on <= draft.view.today]
    draft.say("back", waiting=len(grouped(held, draft.view.today)))


def sheet(draft: Draft, gone: Absence) -> tuple[tuple[date, Group], ...]:
    """Return what a sitter is to do, each with its day; like things of a place and day in one line."""
    wanted = for_the_sitter(draft.view.due, gone)
    days = sorted({max(one.on, gone.since) for one in wanted})
    return tuple(
        (day, group) for day in days for group in grouped([one for one in wanted if max(one.on, gone.since) == day], day)
    )
