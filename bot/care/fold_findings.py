"""What is seen changes: cases, clean looks, second looks, and what the drying model learns."""

from __future__ import annotations

from bot.care.events import CareEvent
from bot.care.fold_lots import noted
from bot.care.fold_record import awaited
from bot.care.reach import PEST_SIGNS, follow, open_cases, stands_with, touched
from bot.care.standing import Case, Standing, Thing

CLEAN_LOOK_SIGNS = frozenset({"pest", "healthy"})
# Webs are the mite's trace, so a case of webbing is a case of spider mite.
CASE_OF_SIGN = {"webbing": "spider_mite"}

FOLLOWED_SIGNS = frozenset({"rot", "soft", "bronzing", "cold_mark", "scorch", "damping_off", "scarring", "grey_mould"})


def finding(standing: Standing, event: CareEvent) -> None:
    """Carry something seen, or looked for and not seen, into the standing."""
    if standing.reminders and event.facts.get("status", "present") == "present":
        awaited(standing, event)
    sign, status = CASE_OF_SIGN.get(event.what, event.what), event.facts.get("status", "present")
    for ref, thing in zip(event.refs, touched(standing, event.refs), strict=True):
        noted(thing, f"{status}:{event.what}", event.happened_on, ref.count)
        if event.what in FOLLOWED_SIGNS and status in ("present", "suspected"):
            follow(thing, event.what, event)
        if event.what in ("mix_dry", "mix_damp") and status in ("present", "absent"):
            _dry_report(standing, thing, event, dry=(event.what == "mix_dry") == (status == "present"))
    if sign in PEST_SIGNS or (event.what in CLEAN_LOOK_SIGNS and status in ("absent", "cleared", "present")):
        _pest_finding(standing, event, sign, status)


def _dry_report(standing: Standing, thing: Thing, event: CareEvent, *, dry: bool) -> None:
    """Keep what was said of a soaked pot, for learning; a dry one waits for no look any more, a damp one for the next."""
    on = event.happened_on.isoformat()
    if thing.soaked_on is not None and thing.soaked_on < event.happened_on:
        said = ("already dry" if event.facts.get("already") else "dry") if dry else "damp"
        report = {"kind": thing.kind, "key": thing.key, "said": said, "soaked_on": thing.soaked_on.isoformat(), "on": on}
        standing.dry_reports.append(report)
    if dry:
        thing.soaked_on, thing.soak = None, {}
    elif thing.soaked_on is not None:
        thing.soak["damp_on"] = on


def _pest_finding(standing: Standing, event: CareEvent, sign: str, status: str) -> None:
    if status in ("present", "suspected") and sign in PEST_SIGNS:
        _find(standing, event, sign, suspected=status == "suspected")
        return
    _clean(standing, event, sign)


def _find(standing: Standing, event: CareEvent, sign: str, *, suspected: bool) -> None:
    on = event.happened_on
    same = [one for one in open_cases(standing, event.refs) if one.sign in (sign, "pest") or sign == "pest"]
    if same:
        case = same[0]
        case.day0, case.suspected = max(case.day0, on), case.suspected and suspected
        case.sign = sign if case.sign == "pest" else case.sign
        case.clean_looks.clear()
        case.refs += tuple(one for one in event.refs if one not in case.refs)
    else:
        case = standing.cases[event.identity] = Case(
            event.identity, sign, event.refs, on, on, event.sequence, suspected=suspected
        )
        if not suspected:
            _neighbours(standing, event)
    case.finds.append(on.isoformat())
    if "count" in event.facts:
        case.counts.append([on.isoformat(), int(event.facts["count"])])
    if not suspected:
        _restart_isolation(standing, event)


def _neighbours(standing: Standing, event: CareEvent) -> None:
    """Those that stand beside a first find are looked at a week later."""
    for ref in event.refs:
        thing = standing.things.get((ref.kind, ref.key))
        if thing is not None and thing.kind == "plant" and thing.place and len(standing.at(thing.place)) > 1:
            follow(standing.thing("place", thing.place), "beside", event)


def _restart_isolation(standing: Standing, event: CareEvent) -> None:
    """A find restarts the quarantine of all that stood together (project default)."""
    found = touched(standing, event.refs)
    if not any(one.isolated_on for one in standing.seen()):
        return
    for thing in found:
        for mate in stands_with(standing, thing):
            if mate.isolated_on is not None:
                mate.isolated_on, mate.isolated_why, mate.clean_looks = event.happened_on, "find", []


def _clean(standing: Standing, event: CareEvent, sign: str) -> None:
    """A look that found none: it counts for each case it can speak of, and for the quarantine. A look is no all-clear."""
    on = event.happened_on.isoformat()
    wanted = None if sign in CLEAN_LOOK_SIGNS else sign
    for case in open_cases(standing, event.refs):
        if (wanted is None or case.sign == wanted) and on not in case.clean_looks:
            case.clean_looks.append(on)
            if case.counts:
                case.counts.append([on, 0])
    for thing in touched(standing, event.refs):
        for mate in [thing, *(standing.at(thing.key) if thing.kind == "place" else ())]:
            if mate.isolated_on is not None and on not in mate.clean_looks:
                mate.clean_looks.append(on)
