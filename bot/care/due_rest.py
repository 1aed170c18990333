"""What the year asks for: the last soak before rest, and the look for the end of rest, by genus and place."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from bot.care.due_values import Due, Setting, why_of
from bot.care.genera import GenusRow, genus_row
from bot.care.rest import RestState, rest_state
from bot.care.standing import Standing, Thing

SOAK_LOOK_DAYS = 21  # project default: the last soak is spoken of from three weeks before its latest day


def state_of_genus(genus: str, place: str, day: date, setting: Setting) -> RestState:
    """Return how a genus stands in its year on a day, in a place; worked out once for this setting."""
    made: RestState = setting.once(
        ("rest", genus, place, day), lambda: rest_state(day, setting.latitude, setting.nights(place), genus_row(genus))
    )
    return made


def rest_due(standing: Standing, setting: Setting) -> Iterator[Due]:
    """Yield the looks of the year for each genus of each place that the table knows well enough."""
    groups: dict[tuple[str, str], list[Thing]] = {}
    for one in standing.plants():
        if one.genus and one.kind in ("plant", "lot", "taxon"):
            groups.setdefault((one.genus, one.place), []).append(one)
    for (genus, place), things in groups.items():
        row = genus_row(genus)
        if row is not None:
            yield from _of_genus(row, genus, place, things, setting)


def _of_genus(row: GenusRow, genus: str, place: str, things: list[Thing], setting: Setting) -> Iterator[Due]:
    state = state_of_genus(genus, place, setting.today, setting)
    resting = [
        one for one in things if one.rest_on is not None or (state.phase == "rest" and not _started_since(one, setting.today))
    ]
    opens = state.restart_from or _opened(resting, genus, place, setting)
    facts = {
        "class": row.growth_class,
        "confidence": row.confidence,
        "sign": state.sign,
        "margin": state.margin_days,
        "unsure": state.unsure,
    }
    if resting and opens is not None:
        why = why_of(state.reason, **facts, season=",".join(row.sources.get("season", ())))
        refs = tuple(one.ref for one in resting)
        yield Due(f"rest-end|{genus}|{place}|{opens.year}", "rest_end", opens, refs, None, place, genus, why)
    growing = [one for one in things if one not in resting]
    if growing and state.rest_from is not None and row.rest_water.startswith("dry"):
        why = why_of(state.reason, **facts, rest_from=state.rest_from.isoformat())
        refs = tuple(one.ref for one in growing)
        on = state.rest_from - timedelta(days=SOAK_LOOK_DAYS)
        yield Due(
            f"rest-start|{genus}|{place}|{state.rest_from.year}", "rest_start", on, refs, state.rest_from, place, genus, why
        )


def _started_since(thing: Thing, today: date) -> bool:
    """Whether the grower ended this rest already."""
    return thing.rest_ended_on is not None and (today - thing.rest_ended_on).days < 180


def _opened(resting: list[Thing], genus: str, place: str, setting: Setting) -> date | None:
    """Where the year says growth but plants still rest: the day since which the look has been open, or the next one."""
    since = max((one.rest_on for one in resting if one.rest_on is not None), default=None)
    if since is None:
        return None
    state = state_of_genus(genus, place, since, setting)
    return state.restart_from or (
        state_of_genus(genus, place, state.rest_from, setting).restart_from if state.rest_from else None
    )
