"""How long the day is, as it is asked at the bench: "how long is the day", "daylength on 21 june"."""

from __future__ import annotations

import re
from datetime import date

from bot.app.coming_days import coming_day
from bot.app.plan import Draft
from bot.care.daylength import civil_daylength, daylength_trend

_ASKED = re.compile(
    r"(?:how long (?:is|are|will) (?:the |it be |be )?(?:days?|daylight|light)(?: be)?|how many hours of (?:day)?light"
    r"(?: are there| do i have| is it)?|(?:whats |what is |what's )?"
    r"(?:the )?(?:day ?length|length of (?:the )?day|hours of daylight))"
    r"(?: (?:now|today|here))?(?: ?(?P<when>.+?))?[?.! ]*"
)


def day_asked(text: str, draft: Draft) -> bool:
    """Answer with the hours between sunrise and sunset; False where a text asks for nothing of the kind."""
    match = _ASKED.fullmatch(" ".join(text.lower().split()))
    if match is None:
        return False
    day = _day(match["when"], draft)
    if day is None:
        return False
    latitude = draft.view.setting.latitude
    hours, trend = civil_daylength(latitude, day), daylength_trend(latitude, day)
    draft.say("answer", about="day_length", day=day, hours=hours, trend=trend, latitude=latitude)
    return True


def _day(words: str | None, draft: Draft) -> date | None:
    """The day that words name, the coming one where they name no year; today without words."""
    return coming_day(words, draft.view) if words else draft.view.today
