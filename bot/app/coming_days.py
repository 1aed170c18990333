"""The day ahead that words name, as the reader takes them in a reminder: "on 21 june", "in two weeks", "next friday"."""

from __future__ import annotations

from datetime import date

from bot.app.plan import View
from bot.notes.reader import read


def coming_day(words: str, view: View) -> date | None:
    """Return the day that words name, the coming one where they name no year; None where they name none, or say more."""
    said = f"remind me {words} to water"
    asked = read(said, view.now.replace(tzinfo=None), view.standing.names(), date_order=view.settings.date_order).entries
    due = asked[0].due if len(asked) == 1 and asked[0].type == "reminder" else None
    return due if type(due) is date else None  # a moment says more than a day


__all__ = ["coming_day"]
