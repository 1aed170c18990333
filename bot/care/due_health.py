"""What follows from finds and from newcomers: looks, treatments, the all-clear, the end of quarantine."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import Any

from bot.care.climate import DayTemperature
from bot.care.courses import next_treatment, repeated
from bot.care.degreedays import degree_days
from bot.care.due_kept import Kept
from bot.care.due_values import Due, Setting, Temperatures, place_of_refs, practice, why_of
from bot.care.events import Ref
from bot.care.genera import genus_row
from bot.care.pests import (
    QuarantineRelease,
    Reinspection,
    may_be_cleared,
    pest_row,
    quarantine_release,
    reinspection,
    released_on_inspection,
)
from bot.care.reach import overlaps
from bot.care.sources import PROJECT_DEFAULT, Trust
from bot.care.standing import Case, Standing, Thing

_CACTI = "Cactaceae"
SUSPICION_LOOK_DAYS = (2, 3)  # common practice: a lens over a suspicion two or three days later
UNNAMED_CASE_DAYS = 60  # project default: after that a case on plants never named is let go
LOOKING_ACTS = ("inspected", "unpotted", "washed", "potted", "repotted", "treated")  # who does these has looked
QUARANTINE_LOOK_DAYS = 14  # project default: a look every fortnight while newcomers stand apart

TRUST = {
    "SUSPICION_LOOK_DAYS": Trust("common practice", "a lens over a suspicion two or three days later"),
    "UNNAMED_CASE_DAYS": PROJECT_DEFAULT,
    "QUARANTINE_LOOK_DAYS": PROJECT_DEFAULT,
}


def health_due(standing: Standing, setting: Setting, kept: Kept) -> Iterator[Due]:
    """Yield what open cases and isolated plants ask for."""
    rows = kept.rows
    for key, case in standing.cases.items():
        if case.open:
            of_case = [rows.get(("case", key)), *(rows.get((one.kind, one.key)) for one in case.refs)]
            yield from kept.piece(("case", key), of_case, partial(_of_case, standing, case, setting))
    mites = [one for one in standing.cases.values() if one.open and one.sign == "spider_mite"]
    for thing in standing.things.values():
        if thing.isolated_on is not None and (thing.alive or thing.kind == "place"):
            found = any(overlaps(standing, ref, thing.ref) for case in mites for ref in case.refs)
            beside = ((thing.kind, thing.key), ("place", thing.place), ("lot", thing.lot))
            of_thing = [found, *(rows.get(one) for one in beside)]
            yield from kept.piece(("isolated", *beside[0]), of_thing, partial(_of_isolated, standing, thing, setting))


def _of_case(standing: Standing, case: Case, setting: Setting) -> tuple[Due, ...]:
    followed = _somebody_left(standing, case.refs) and not _lost_sight_of(case, setting)
    return tuple(_case_due(standing, case, setting)) if followed else ()


def _of_isolated(standing: Standing, thing: Thing, setting: Setting) -> tuple[Due, ...]:
    return tuple(_isolation_due(standing, thing, setting))


def _lost_sight_of(case: Case, setting: Setting) -> bool:
    """Whether a case on plants that nobody named is so old that it can no longer be told which they were."""
    unnamed = all(one.kind == "some" for one in case.refs)
    return unnamed and (setting.today - _last_word(case)).days > UNNAMED_CASE_DAYS


def _last_word(case: Case) -> date:
    return max([case.day0, *(date.fromisoformat(one) for one in (*case.finds, *case.clean_looks))])


def _somebody_left(standing: Standing, refs: tuple[Ref, ...]) -> bool:
    things = [standing.things.get((one.kind, one.key)) for one in refs]
    return any(one is not None and (one.alive or one.kind in ("place", "house", "some")) for one in things)


def state_of(standing: Standing, case: Case, setting: Setting) -> Reinspection:
    """Return how a case stands today by its pest's degree-days; cases alike are worked out once for this setting."""
    place = place_of_refs(case.refs, standing.things)
    row, last = pest_row(case.sign, on_cacti=_on_cacti(standing, case)), _last_look(standing, case)
    key = ("case", case.sign, row.key if row else "", case.day0, setting.alike(place), bool(case.treatments), last)
    made: Reinspection = setting.once(
        key,
        lambda: reinspection(
            row,
            case.day0,
            setting.temperatures(place),
            setting.today,
            sprayed=bool(case.treatments),
            last_look=last,
            latitude=setting.latitude,
            sign=case.sign,
        ),
    )
    return made


def cleared(standing: Standing, case: Case, setting: Setting) -> bool:
    """Whether warmth since the last find or treatment and the clean looks together end the case."""
    looks = [date.fromisoformat(one) for one in case.clean_looks]
    return may_be_cleared(state_of(standing, case, setting), looks, setting.today)


def _on_cacti(standing: Standing, case: Case) -> bool:
    genera = {thing.genus for ref in case.refs if (thing := standing.things.get((ref.kind, ref.key))) and thing.genus}
    families = {row.family for one in genera if (row := genus_row(one))}
    return families <= {_CACTI} and bool(genera)


def _last_look(standing: Standing, case: Case) -> date:
    days = [case.day0, *(date.fromisoformat(one) for one in (*case.finds, *case.clean_looks))]
    for ref in case.refs:
        thing = standing.things.get((ref.kind, ref.key))
        if thing is not None and "inspected" in thing.last:
            days.append(date.fromisoformat(thing.last["inspected"]))
    return max(days)


def _case_due(standing: Standing, case: Case, setting: Setting) -> Iterator[Due]:
    state = state_of(standing, case, setting)
    place = place_of_refs(case.refs, standing.things)
    last = _last_look(standing, case)
    why = _case_why(case, state)
    if case.suspected:
        first, until = (case.day0 + timedelta(days=one) for one in SUSPICION_LOOK_DAYS)
        if last < first:
            why |= practice("2 to 3 days")
            yield Due(f"look|{case.key}|suspicion", "suspicion_look", first, case.refs, until, place, case.sign, why)
            return
    survivors = state.survivors_look is not None and state.next_look_on == state.survivors_look[0]
    kind = "survivors_look" if survivors else _look_kind(state, case)
    latest = state.latest_on if state.latest_on and state.latest_on >= state.next_look_on and kind == "pest_look" else None
    why |= _figures(standing, case, kind, place, setting)
    yield Due(f"look|{case.key}|{last.isoformat()}", kind, state.next_look_on, case.refs, latest, place, case.sign, why)
    yield from _next_of_course(standing, case, state, place, setting)


def _next_of_course(standing: Standing, case: Case, state: Reinspection, place: str, setting: Setting) -> Iterator[Due]:
    window = next_treatment(case, state)
    if window is None:
        return
    again = repeated(case)
    why = _case_why(case, state) | _figures(standing, case, "pest_look", place, setting)
    why |= {"course": again["course"], "repeat": dict(again)}
    key = f"treat|{case.key}|{again['course']}|{case.day0}"
    yield Due(key, "treat_again", window[0], case.refs, window[1], place, case.sign, why)


def _case_why(case: Case, state: Reinspection) -> dict[str, Any]:
    return why_of(
        state.reason,
        kinds=dict(state.kinds),
        trade=list(state.trade_days) if state.trade_days else None,
        cold=state.cold,
        dormant=state.dormant,
        late=state.late,
        unsure=state.unsure,
        since=case.day0.isoformat(),
        treated=bool(case.treatments),
        latest=_iso(state.latest_on),
        all_clear=_iso(state.all_clear_on),
        clean_looks=len(case.clean_looks),
        suspected=case.suspected,
    )


@dataclass(frozen=True, slots=True)
class Counting:
    """What the degree-days of a due line are counted by: the day after which, to what sum, between which temperatures."""

    after: date
    target_dd: float
    base_c: float
    upper_c: float | None
    early: bool

    def of_day(self, known: DayTemperature) -> float:
        """Return the degree-days of one day."""
        return degree_days(known.min_c, known.max_c, self.base_c, self.upper_c)

    def sum_dd(self, temperatures: Temperatures, today: date) -> float:
        """Return the degree-days from the first counted day to today."""
        days = (self.after + timedelta(days=one) for one in range(1, (today - self.after).days + 1))
        return sum(self.of_day(temperatures(day)) for day in days)


def counting_of(standing: Standing, case: Case, kind: str, setting: Setting) -> Counting | None:
    """Return how a line of a case counts: looks come early in a pest's range, the all-clear late; None where days alone count."""
    row = pest_row(case.sign, on_cacti=_on_cacti(standing, case))
    if row is None or row.intervals is None:
        return None
    now, after = row.intervals, state_of(standing, case, setting).counted_from
    if kind == "clear_look":
        return Counting(after, now.late_clear_dd, now.late_base_c, now.upper_c, early=False)
    return Counting(after, now.early_retreat_dd, now.early_base_c, now.upper_c, early=True)


def _figures(standing: Standing, case: Case, kind: str, place: str, setting: Setting) -> dict[str, Any]:
    """Return the sum so far, its target and base as they belong to the date."""
    counting = counting_of(standing, case, kind, setting)
    if counting is None:
        return {}
    value, target = counting.sum_dd(setting.temperatures(place), setting.today), counting.target_dd
    return {
        "value": round(min(value, target), 1),
        "target": round(target, 1),
        "above_c": counting.base_c,
        "early": counting.early,
    }


def _look_kind(state: Reinspection, case: Case) -> str:
    if state.late and not case.clean_looks:
        return "late_look"
    if state.all_clear_on and state.next_look_on >= state.all_clear_on:
        return "clear_look"
    return "pest_look"


def _isolation_due(standing: Standing, thing: Thing, setting: Setting) -> Iterator[Due]:
    assert thing.isolated_on is not None
    start, place = thing.isolated_on, thing.key if thing.kind == "place" else thing.place
    if thing.kind in ("plant", "batch", "taxon") and _place_says_it(standing, thing):
        return  # its lot or place stands apart from the same day and speaks for it
    seen = _looks_since(thing, start)
    if thing.isolated_why == "new" and not seen:
        yield Due(
            f"intake|{thing.kind}:{thing.key}|{start}",
            "intake_look",
            start,
            (thing.ref,),
            None,
            place,
            "",
            practice("the day it comes in"),
        )
    release = release_of(standing, thing, setting)
    why = why_of(
        release.reason,
        kinds=dict(release.kinds),
        clean_looks=len(thing.clean_looks),
        since=start.isoformat(),
        root_look=release.root_look_needed,
    )
    inspected = _out_on_inspection(thing, release)
    last = max([start, *seen])
    look_on = last + timedelta(days=QUARANTINE_LOOK_DAYS)
    if release.release_on is None or look_on < release.release_on:
        key = f"isolation|{thing.kind}:{thing.key}|{last}"
        yield Due(key, "isolation_look", look_on, (thing.ref,), None, place, "", why | {"release": _iso(release.release_on)})
    if release.release_on is None and inspected is not None:
        key = f"release|{thing.kind}:{thing.key}|{start}"
        yield Due(key, "release_look", inspected, (thing.ref,), None, place, "", why | {"inspection": inspected.isoformat()})
    if release.release_on is not None:
        yield Due(
            f"release|{thing.kind}:{thing.key}|{start}", "release_look", release.release_on, (thing.ref,), None, place, "", why
        )


def release_of(standing: Standing, thing: Thing, setting: Setting) -> QuarantineRelease:
    """Return when the isolation of a thing may end; like ones are worked out once for this setting."""
    assert thing.isolated_on is not None
    start, place = thing.isolated_on, thing.key if thing.kind == "place" else thing.place
    roots_seen, mite_find = _roots_seen(thing), _mite_find(standing, thing)
    made: QuarantineRelease = setting.once(
        ("release", start, setting.alike(place), roots_seen, mite_find),
        lambda: quarantine_release(
            start,
            setting.temperatures(place),
            setting.today,
            roots_seen=roots_seen,
            mite_find=mite_find,
            latitude=setting.latitude,
        ),
    )
    return made


def _out_on_inspection(thing: Thing, release: QuarantineRelease) -> date | None:
    """The day on which two clean looks with the pot off open the door where it is too cool for a date."""
    bared = min((thing.last[act] for act in ("unpotted", "washed", "repotted") if act in thing.last), default=None)
    if bared is None or not release.inspection_only_allowed:
        return None
    return released_on_inspection([date.fromisoformat(one) for one in thing.clean_looks if one >= bared])


def _place_says_it(standing: Standing, thing: Thing) -> bool:
    holders = [standing.things.get(("place", thing.place)), standing.things.get(("lot", thing.lot))]
    return any(one is not None and one.isolated_on == thing.isolated_on for one in holders)


def _looks_since(thing: Thing, start: date) -> list[date]:
    handled = (thing.last.get(act, "") for act in LOOKING_ACTS)
    days = [date.fromisoformat(one) for one in (*thing.clean_looks, *handled, *_found_on(thing)) if one]
    return [one for one in days if one >= start]


def _found_on(thing: Thing) -> list[str]:
    return [day for key, day in thing.last.items() if key.startswith(("present:", "suspected:", "absent:", "cleared:"))]


def _roots_seen(thing: Thing) -> bool:
    return any(act in thing.last for act in ("unpotted", "washed", "repotted")) or "absent:root_mealybug" in thing.last


def _mite_find(standing: Standing, thing: Thing) -> bool:
    return any(
        case.sign == "spider_mite" and any(overlaps(standing, ref, thing.ref) for ref in case.refs)
        for case in standing.cases.values()
        if case.open
    )


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None
