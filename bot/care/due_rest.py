"""What the year asks for: the last soak before rest, and the look for the end of rest, by genus and place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from functools import partial
from typing import Any

from bot.care.drying import last_safe_soak
from bot.care.due_kept import Kept
from bot.care.due_values import Due, Setting, Share, why_of
from bot.care.due_water import demand_of, learned_of, pot_class, pot_facts, potted_of
from bot.care.genera import GenusRow, genus_row
from bot.care.rest import RestState, midrest_look
from bot.care.seasons import said_on, state_by
from bot.care.sources import PROJECT_DEFAULT
from bot.care.standing import Standing, Thing

OPEN_DAYS = 21  # project default: so long a look for the end of rest stays open where nobody answers it
MIDREST_LOOK_DAYS = 14  # project default
SOAK_LOOK_DAYS = 21  # project default: the last soak before rest of a pot that the model cannot tell

TRUST = {
    "OPEN_DAYS": PROJECT_DEFAULT,
    "MIDREST_LOOK_DAYS": PROJECT_DEFAULT,
    "SOAK_LOOK_DAYS": PROJECT_DEFAULT,
}


def rest_due(standing: Standing, setting: Setting, kept: Kept, shares: Iterable[tuple[Thing, object, Share]]) -> Iterator[Due]:
    """Yield the looks of the year for each genus of each place that the table knows well enough."""
    groups: dict[tuple[str, str, str], tuple[list[Thing], list[object]]] = {}
    learned = learned_of(standing, setting)
    for thing, row, share in shares:
        if share.rest is not None:
            things, rows = groups.setdefault(share.rest, ([], [learned]))
            things.append(thing)
            rows.append(row)
    for group, (things, rows) in groups.items():
        yield from kept.piece(("rest", *group), rows, partial(_of_group, standing, group, things, setting))


def rest_group_of(standing: Standing, thing: Thing) -> tuple[str, str, str] | None:
    """Return genus, place and standing word of the plants with which a thing rests and grows; None for what has no genus."""
    if thing.kind not in ("plant", "lot", "taxon") or not thing.alive or not thing.genus:
        return None
    return thing.genus, thing.place, _of_rest(standing.rule_for(thing) if standing.rules else {})


def _of_group(standing: Standing, group: tuple[str, str, str], things: list[Thing], setting: Setting) -> tuple[Due, ...]:
    row, rule = genus_row(group[0]), standing.rule_for(things[-1]) if standing.rules else {}
    return tuple(_of_genus(standing, row, group, things, setting, rule)) if row is not None or said_on(rule) else ()


def _of_rest(rule: Mapping[str, Any]) -> str:
    """Return what a rule says of rest, as the part of a due key that keeps its plants apart; empty where it says nothing."""
    months = ",".join(str(one) for one in rule["months"]) or "none" if "months" in rule else ""
    return months or str(rule.get("class", ""))


def _of_genus(
    standing: Standing,
    row: GenusRow | None,
    key: tuple[str, str, str],
    things: list[Thing],
    setting: Setting,
    rule: Mapping[str, Any],
) -> Iterator[Due]:
    genus, place, ruled = key
    state = state_by(genus, place, setting.today, setting, rule)
    resting = [
        one for one in things if one.rest_on is not None or (state.phase == "rest" and not _started_since(one, setting.today))
    ]
    lately = _lately_opened(state, key, setting, rule)
    waiting = [one for one in things if lately is not None and one not in resting and _waits_since(one, lately)]
    opens = lately if waiting else state.restart_from or _opened(resting, genus, place, setting, rule)
    resting += waiting
    facts = {
        "class": state.reason.facts["class"],
        "confidence": row.confidence if row else "",
        "said": said_on(rule),
        "months": list(rule.get("months", ())),
        "night_c": state.reason.facts["night_c"],
        "sign": state.sign,
        "margin": state.margin_days,
        "unsure": state.unsure,
    }
    apart = f"|{ruled}" if ruled else ""
    if resting and opens is not None:
        why = why_of(state.reason, **facts, season=",".join(row.sources.get("season", ()) if row else ()))
        refs = tuple(one.ref for one in resting)
        yield Due(f"rest-end|{genus}|{place}|{opens.year}{apart}", "rest_end", opens, refs, None, place, genus, why)
    if state.phase == "rest" and state.water == "none":
        yield from _midrest_look(state, key, resting, why_of(state.reason, **facts), setting, rule)
    growing = [one for one in things if one not in resting]
    if growing and state.rest_from is not None and (row is None or row.rest_water.startswith("dry")):
        yield from _last_soaks(standing, state.rest_from, key, growing, why_of(state.reason, **facts), setting)


def _last_soaks(
    standing: Standing, rest_from: date, key: tuple[str, str, str], growing: list[Thing], why: dict[str, Any], setting: Setting
) -> Iterator[Due]:
    """The last day on which each kind of pot may be soaked and still be dry when the rest begins."""
    genus, place, ruled = key
    kinds: dict[tuple[Any, ...], list[Thing]] = {}
    for one in growing:
        kinds.setdefault(pot_class(one, setting), []).append(one)
    for (cm, material, mix), things in kinds.items():
        central, careful = last_soak_of(standing, things[0], rest_from, setting)
        last = central or rest_from - timedelta(days=SOAK_LOOK_DAYS)
        facts = {
            "rest_from": rest_from.isoformat(),
            "soak_by": last.isoformat(),
            "careful": careful.isoformat() if careful else "",
            "days": (rest_from - last).days,
            "pot_cm": cm,
            "material": material,
            "mix": mix,
            **pot_facts(things[0], setting),
        }
        name = f"rest-start|{genus}|{place}|{rest_from.year}|{cm:g}|{material}|{mix}" + (f"|{ruled}" if ruled else "")
        refs = tuple(one.ref for one in things)
        yield Due(name, "rest_start", careful or last, refs, last, place, genus, why | facts)


def last_soak_of(standing: Standing, thing: Thing, rest_from: date, setting: Setting) -> tuple[date | None, date | None]:
    """Return the latest soak of a pot that is dry by the day its rest begins: the central day and the cautious one."""
    potted = potted_of(thing, setting)
    learner = learned_of(standing, setting).of(f"{thing.kind}:{thing.key}")
    made: tuple[date | None, date | None] = setting.for_good(
        ("last soak", potted, setting.alike(thing.place), rest_from, learner),
        rest_from,
        lambda: last_safe_soak(potted, rest_from, demand_of(potted, thing.place, setting), learner),
    )
    return made


def _lately_opened(state: RestState, key: tuple[str, str, str], setting: Setting, rule: Mapping[str, Any]) -> date | None:
    """The day of the last three weeks on which rest gave way to growth; None where it did not."""
    if state.phase == "rest":
        return None
    before = state_by(key[0], key[1], setting.today - timedelta(days=OPEN_DAYS), setting, rule)
    opened = before.restart_from if before.phase == "rest" and before.water == "none" else None
    return opened if opened is not None and opened <= setting.today else None


def _waits_since(thing: Thing, opened: date) -> bool:
    """Whether nobody has watered a thing, nor said that its rest is over, since the look was opened."""
    woken = thing.rest_ended_on is not None and (opened - thing.rest_ended_on).days < 180
    return not woken and thing.last.get("watered", "") < opened.isoformat()


def _midrest_look(
    state: RestState,
    key: tuple[str, str, str],
    resting: list[Thing],
    why: dict[str, Any],
    setting: Setting,
    rule: Mapping[str, Any],
) -> Iterator[Due]:
    """The one look in the middle of a dry rest that tells normal shrinkage from trouble."""
    began = _rest_began(key, setting, rule)
    if began is None or state.restart_from is None or not resting:
        return
    on = midrest_look(began, state.restart_from)
    refs = tuple(one.ref for one in resting if one.last.get("inspected", "") < on.isoformat() and _known_by(one, on))
    if refs:
        genus, place, ruled = key
        why = why | {"rest_from": began.isoformat(), "restart": state.restart_from.isoformat()}
        until = on + timedelta(days=MIDREST_LOOK_DAYS)
        yield Due(f"midrest|{genus}|{place}|{on.year}|{ruled}", "midrest_look", on, refs, until, place, genus, why)


def _known_by(thing: Thing, day: date) -> bool:
    """Whether a thing had its name by a day: what was noted later missed nothing."""
    return not thing.names or str(thing.names[0].get("on", "")) <= day.isoformat()


def _rest_began(key: tuple[str, str, str], setting: Setting, rule: Mapping[str, Any]) -> date | None:
    """The day on which the rest of today began."""
    for back in range(60, 301, 60):
        before = state_by(key[0], key[1], setting.today - timedelta(days=back), setting, rule)
        if before.phase != "rest":
            return before.rest_from
    return None


def _started_since(thing: Thing, today: date) -> bool:
    """Whether the grower ended this rest already."""
    return thing.rest_ended_on is not None and (today - thing.rest_ended_on).days < 180


def _opened(resting: list[Thing], genus: str, place: str, setting: Setting, rule: Mapping[str, Any]) -> date | None:
    """Where the year says growth but plants still rest: the day since which the look has been open, or the next one."""
    since = max((one.rest_on for one in resting if one.rest_on is not None), default=None)
    if since is None:
        return None
    state = state_by(genus, place, since, setting, rule)
    return state.restart_from or (
        state_by(genus, place, state.rest_from, setting, rule).restart_from if state.rest_from else None
    )
