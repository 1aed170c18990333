"""Answers that rest on a computation: doses, what was reckoned, what a cold night does, how fast pots dry."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from bot.app.english import phrases, reckoned
from bot.app.plan import View
from bot.care.standing import Standing

Answer = Callable[[Mapping[str, Any], View, Standing], list[str]]


def _dose(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    made = facts.get("worked")
    return [reckoned.dose(made) if made is not None else reckoned.DOSE_WANTED]


def _reckoned(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    if "problem" in facts:
        return [phrases.cap(facts["problem"])]
    return reckoned.names(facts["listed"]) if "listed" in facts else reckoned.result(facts["made"])


CARE_ANSWERS: dict[str, Answer] = {
    "dose": _dose,
    "reckoned": _reckoned,
}
