"""How a thing stands in its year on a day: by the grower's standing word, else by its genus."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from bot.care.due_values import Setting
from bot.care.genera import GrowthClass, genus_row
from bot.care.rest import RestState, Years, rest_state
from bot.care.standing import Standing, Thing


def state_of_genus(genus: str, place: str, day: date, setting: Setting) -> RestState:
    """Return how a genus stands in its year on a day, in a place; worked out once."""
    made: RestState = setting.for_good(
        ("rest", genus, setting.alike(place), day),
        day,
        lambda: rest_state(day, setting.latitude, setting.nights(place), genus_row(genus), years=_years(place, setting)),
    )
    return made


def state_of_thing(standing: Standing, thing: Thing, day: date, setting: Setting) -> RestState:
    """Return how a thing stands in its year on a day: by the grower's word, else by its genus."""
    return state_by(thing.genus, thing.place, day, setting, standing.rule_for(thing))


def state_by(genus: str, place: str, day: date, setting: Setting, rule: Mapping[str, Any]) -> RestState:
    """Return how a genus stands in a place under a standing word; worked out once."""
    months = frozenset(rule["months"]) if "months" in rule else None
    kind: GrowthClass | None = rule.get("class")
    if months is None and kind is None:
        return state_of_genus(genus, place, day, setting)
    made: RestState = setting.for_good(
        ("rest", genus, setting.alike(place), day, kind, months),
        day,
        lambda: rest_state(day, setting.latitude, setting.nights(place), genus_row(genus), kind, months, _years(place, setting)),
    )
    return made


def _years(place: str, setting: Setting) -> Years:
    """Return what genera of the same months share in a place."""
    made: Years = setting.for_good(("years", setting.alike(place)), date.max, dict)
    return made


def said_on(rule: Mapping[str, Any]) -> str:
    """Return the ISO date of the grower's word on rest; empty where there is none."""
    return str(rule.get("said", {}).get("months") or rule.get("said", {}).get("class") or "")
