"""Answers that rest on a computation: doses, what was reckoned, what a cold night does, how fast pots dry."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from bot.app.cold_nights import FREEZING_C, AtRisk, ColdNight
from bot.app.english import kept, lists, phrases, reckoned
from bot.app.groups import Group
from bot.app.plan import View
from bot.app.potting_out import BuyList
from bot.care.courses import Course
from bot.care.drying import DryingForecast
from bot.care.events import Ref
from bot.care.floors import Floor
from bot.care.fold_record import CHILLED_BELOW_FLOOR_C
from bot.care.law import AS_OF, Listing
from bot.care.potting import PotChoice, buy_list
from bot.care.propagation import germination
from bot.care.reach import is_outside
from bot.care.standing import Case, Standing, Thing

Answer = Callable[[Mapping[str, Any], View, Standing], list[str]]


def _dose(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    made = facts.get("worked")
    return [reckoned.dose(made) if made is not None else reckoned.DOSE_WANTED]


def _reckoned(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    if "problem" in facts:
        return [phrases.cap(facts["problem"])]
    return reckoned.names(facts["listed"]) if "listed" in facts else reckoned.result(facts["made"])


def _cold_night(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    night: ColdNight = facts["night"]
    both = [one for one in night.at_risk if one.wet and one.tender]
    tender = [one for one in night.at_risk if one.tender and not one.wet]
    wet = [one for one in night.at_risk if one.wet and not one.tender]
    past = not night.forecast
    if past:  # a degree under a safe floor is told before the night, and worth no line after it
        tender = [one for one in tender if night.night_c <= one.floor.c - CHILLED_BELOW_FLOOR_C]
    lines = [
        _risk_line("Wet and too cold" if past else "First: wet and tender", both, standing),
        _risk_line("Below their floor" if past else "Too cold for", tender, standing),
        _risk_line("Wet in that frost" if past else "Still wet, keep above 0 °C", wet, standing),
    ]
    shown = [one for one in lines if one]
    if shown and night.forecast and any(not is_outside(_place(one, standing)) for one in night.at_risk):
        shown[-1] += f" {_lift(night)}"
    if not shown and night.forecast and night.night_c <= FREEZING_C:
        return [f"Nothing noted as wet or too tender for that. {_lift(night)}"]
    return shown


def _place(one: AtRisk, standing: Standing) -> str:
    thing = standing.things.get((one.ref.kind, one.ref.key))
    return "" if thing is None else thing.key if thing.kind == "place" else thing.place


def _lift(night: ColdNight) -> str:
    inside = night.night_c + night.lift_c
    if night.heater_c is not None and night.heater_c > inside:
        return f"House counted at {night.heater_c:g} °C, the heater's."
    known = f"your last {night.lift_nights} nights" if night.lift_nights else "a guess"
    return f"House counted {night.lift_c:g} °C above that ({known})."


def _risk_line(head: str, found: Sequence[AtRisk], standing: Standing) -> str:
    if not found:
        return ""
    refs = _with_their_places([one.ref for one in found], standing)
    floors = sorted({one.floor.c for one in found if one.tender})
    span = "" if not floors else f" (floor {floors[0]:g}" + (f" to {floors[-1]:g}" if len(floors) > 1 else "") + " °C dry"
    unsure = ", unsure" if span and all(one.floor.unsure for one in found) else ""
    return f"{head}: {phrases.things(refs, standing)}{span}{unsure}{')' if span else ''}."


def _with_their_places(refs: Sequence[Ref], standing: Standing) -> list[Ref]:
    """A place of which all plants are named stands for them."""
    named = {(one.kind, one.key) for one in refs}
    places = {one.place for ref in refs if (one := standing.things.get((ref.kind, ref.key))) is not None and one.place}
    whole = [
        Ref("place", place)
        for place in sorted(places)
        if len(here := standing.at(place)) > 2 and all((one.kind, one.key) in named for one in here)
    ]
    return list(dict.fromkeys([*whole, *refs]))


def _wet(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    refs = [ref for ref, _ in facts["things"]]
    if not refs:
        return ["Nothing should be wet any more, by the waterings noted."]
    whole = phrases.things(_with_their_places(refs, standing), standing)
    return [f"Still wet by my count: {whole}, up to {100 * facts['things'][0][1]:.0f} % of a soak left."]


def _wet_in_frost(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    night = facts["night"]
    if night is None:
        return ["No frost noted in the last 2 months."]
    when = phrases.day(date.fromisoformat(night["on"]), view.today)
    where = f" {phrases.at(night['place'])}" if night["place"] else ""
    head = f"{night['min_c']:g} °C{where}, {when}"
    refs = [ref for ref, _ in facts["things"]]
    if not refs:
        return [f"{head}: nothing was wet, by the waterings noted."]
    return [f"{head}: wet then: {phrases.things(_with_their_places(refs, standing), standing)}."]


def _floors(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    lines = [_floor_line(thing, floor, view) for thing, floor in facts["floors"][:3]]
    return lines or ["I don't know that one."]


def _floor_line(thing: Thing, floor: Floor, view: View) -> str:
    name = phrases.cap(phrases.plural(thing.genus)) if thing.genus else phrases.label(thing, thing.key)
    if floor.source == "unknown":
        who = phrases.plural(thing.genus or "they")
        return f"Not in my table: {who}; I count on {floor.c:g} °C. Tell me: {who} never below 5."
    known = {
        "word": f"by your word of {phrases.short_day(date.fromisoformat(floor.said_on), view.today)}" if floor.said_on else "",
        "genus": f"genus table, confidence {floor.confidence}" + (", from memory only" if floor.unsure else ""),
        "class": "by their growth class",
    }[floor.source]
    return f"{name}: not below {floor.c:g} °C, dry ({known}). Wet, they stand less."


def _outcome(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    lines = [_outcome_line(case, verdict, course, clear, view, standing) for case, verdict, course, clear in facts["cases"]]
    return lines or ["No treated case to judge."]


def _outcome_line(
    case: Case, verdict: bool | None, course: Course, all_clear: date | None, view: View, standing: Standing
) -> str:
    treated = case.treatments[-1]
    when = phrases.short_day(date.fromisoformat(treated["on"]), view.today)
    of = f" ({course.done} of {course.total})" if course.total else f" ({course.done} so far)" if course.done > 1 else ""
    seen = " to ".join(str(count) for _, count in case.counts) + " counted" if len(case.counts) > 1 else _seen(case, view)
    clear = f" All-clear not before {phrases.short_day(all_clear, view.today)}." if verdict and all_clear and case.open else ""
    head = {True: "working", False: "not yet", None: "too early to say"}[verdict]
    what = f"{phrases.cap(phrases.sign(case.sign))} on {phrases.things(case.refs, standing)}"
    return f"{what}: {head}. Treated {when}{of}, {seen}.{clear}"


def _seen(case: Case, view: View) -> str:
    treated = case.treatments[-1]["on"]
    found = [day for day in case.finds if day > treated]
    if found:
        return f"seen again {phrases.short_day(date.fromisoformat(found[-1]), view.today)}"
    return f"{phrases.count_of(len([day for day in case.clean_looks if day > treated]), 'clean look')} since"


def _dry_time(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    factor, n, cm, forecast = facts["factor"], facts["n"], facts["cm"], facts["forecast"]
    now = _soaked_now(forecast)
    if not n:
        known = (
            f"your other pots: {_speed(factor)} (n = {facts['all']})" if facts["all"] else "the model alone, no report of yours"
        )
        return [f"{cm:g} cm pots: {now} by {known}. Tell me “9s dry” or “still damp” and I learn."]
    return [f"Your {cm:g}s dry {_speed(factor)} (n = {n}): {now}."]


def _speed(factor: float) -> str:
    if 0.95 <= factor <= 1.05:
        return "as fast as the model"
    return f"{1 / factor:.1f} times faster than the model" if factor < 1 else f"{factor:.1f} times slower than the model"


def _soaked_now(forecast: DryingForecast) -> str:
    if forecast.dry_on is None:
        return "soaked today, dry in no time I could tell"
    days = (forecast.dry_on - forecast.soaked_on).days
    span = (
        f"{(forecast.low_on - forecast.soaked_on).days} to {(forecast.high_on - forecast.soaked_on).days}"
        if (forecast.low_on and forecast.high_on)
        else f"{days} or more"
    )
    return f"soaked today, dry in about {days} days ({span})"


def _pot(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    what = f"{phrases.cap(phrases.things(facts['refs'], standing))}: " if facts.get("refs") else ""
    if "problem" in facts:
        return [f"{what}{facts['problem']}. Send them like: tap root 9 cm, body 4.5."]
    choice: PotChoice = facts["choice"]
    low, high = choice.depth_range_cm
    size = buy_list([choice])[0].size_cm  # pots are sold in sizes
    depth = f"{low:.0f} to {high:.0f}" if round(low) != round(high) else f"{low:.0f}"
    deep = ", a deep one" if choice.deep else ""
    return [f"{what}a {size:g} cm pot, {depth} deep{deep} ({choice.reason.trust.mark})."]


def _buy_list(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    made: BuyList = facts["made"]
    if not made.waiting:
        return ["Nothing waits to be potted."]
    pots = [f"{one.count} x {one.size_cm:g} cm{' deep' if one.deep else ''}" for one in made.lines]
    lines = [f"{', '.join(pots)}; {made.litres:.1f} l of mix."] if pots else []
    if made.unmeasured:
        lines.append(f"Not measured: {phrases.things(made.unmeasured, standing)}. Send them like: 12 tap root 9 cm, body 4.5.")
    return lines


def _mix(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    pots = f"{facts['pots']} pots of {facts['cm']:g} cm"
    if "dressing" in facts:
        return [f"{facts['dressing']:.1f} l of top-dressing, 1 cm deep, for {pots}."]
    parts = f": {', '.join(f'{one:.1f}' for one in facts['parts'])} l" if facts["parts"] else ""
    return [f"About {facts['litres']:.1f} l of mix for {pots}{parts} (settling and waste counted; within 15 %)."]


def _germination(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    return [_sowing_line(one, view) for one in facts["sowings"][:4]] or ["No sowing of that name."]


def _sowing_line(one: Thing, view: View) -> str:
    sown, up = one.tally.get("sown"), one.tally.get("up", 0)
    days = f", day {(view.today - one.came_on).days}" if one.came_on else ""
    pricked = f" {one.tally['pricked_out']} pricked out." if one.tally.get("pricked_out") else ""
    if not sown or up > sown:
        return f"{one.key}: {up} up{days}.{pricked}"
    made = germination(up, sown)
    span = f"95 % range {made.low:.0f}-{made.high:.0f}"
    return f"{one.key}: {up} up, {made.percent:.0f} % (n = {sown}){days}; {span}.{pricked}"


def _rule_for_which(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    return [f"Which one? Say it with its number or name, such as: 12 {facts['words']}"]


def _when_due(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    what = phrases.things(facts["refs"], standing) if facts["refs"] else "any plant"
    if facts["look"] == "rest":
        return _rest(facts, what, view, standing)
    if facts["dues"]:
        lines = lists.due_list([Group((one,)) for one in facts["dues"]], standing, view.today)
        return [f"No more soaks now: rest has begun for {what}.", *lines] if facts["look"] == "rest_now" else lines
    lacks = _LACKS[str(facts["look"])]
    return [f"No date for {what}: {lacks}."]


def _rest(facts: Mapping[str, Any], what: str, view: View, standing: Standing) -> list[str]:
    """Whether the plants rest now, and the next turn of their year."""
    resting = facts["resting"]
    said = f"At rest now: {phrases.things(resting, standing)}." if resting else f"Not at rest now: {what}."
    return [said, *lists.due_list([Group((one,)) for one in facts["dues"]], standing, view.today)]


def _release(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """For each that stands apart: whether it may come out, and what speaks for and against it."""
    if not facts["apart"]:
        return [f"Not in quarantine: {phrases.things(facts['refs'], standing)}."]
    return [_one_release(one, view, standing) for one in facts["apart"][:4]]


def _one_release(one: Mapping[str, Any], view: View, standing: Standing) -> str:
    found, today = one["found"], view.today
    looks = phrases.count_of(len(one["looks"]), "clean look")
    if found.release_on is None:
        verdict = "not yet, and too cool to say when; a look at the bare roots is the way out"
    elif found.release_on > today:
        verdict = f"not before {phrases.day(found.release_on, today)}"
    elif found.root_look_needed:
        verdict = "only after a look at the roots"
    else:
        verdict = "yes, if it looks clean today"
    roots = "roots not seen" if found.root_look_needed else "roots seen"
    days = f"day {(today - one['since']).days} of 42"
    evidence = f"{days}, {found.sum_dd:.0f} of {found.target_dd:.0f} degree-days, {looks}, {roots}"
    return f"{phrases.cap(phrases.things((one['ref'],), standing))}: {verdict} ({evidence})."


def _cites(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    """The appendix of each name, the strictest first, and whom to ask; never more definite than that."""
    found: list[tuple[str, Listing]] = sorted(facts["found"], key=lambda one: _CITES_ORDER.index(one[1].appendix))
    lines = [f"{name}: {_listing(one)}" for name, one in found if one.appendix != "none" or len(found) <= 3][:4]
    unlisted = [name for name, one in found if one.appendix == "none"]
    if not lines:
        lines = [f"Not listed: {phrases.joined(unlisted[:6])}."]
    more = len(found) - len(lines)
    if more > 0:
        lines[-1] += f" ({more} more)"
    return [
        *lines,
        f"As of {AS_OF.day} {AS_OF:%b %Y}, a caution and no advice: before a border ask your CITES authority and plant health.",
    ]


def _listing(one: Listing) -> str:
    if one.appendix == "unknown":
        return "unknown, ask."
    if one.appendix == "none":
        return "not listed." if one.listed_as == "not listed" else f"not listed, {one.listed_as}."
    sure = " (the strictest of its genus, as the name is not sure to the species)" if one.doubtful else ""
    return f"CITES {one.appendix}, as {one.listed_as.removesuffix('.')}{sure}."


_CITES_ORDER = ("I", "II", "III", "unknown", "none")


def _day_length(facts: Mapping[str, Any], view: View, standing: Standing) -> list[str]:
    minutes = round(facts["hours"] * 60)
    turn = {"rising": ", growing", "falling": ", shortening"}.get(facts["trend"], "")
    day = "Today" if facts["day"] == view.today else phrases.cap(phrases.day(facts["day"], view.today))
    side = "north" if facts["latitude"] >= 0 else "south"
    return [f"{day}: {minutes // 60} h {minutes % 60:02d} from sunrise to sunset{turn} (at {abs(facts['latitude']):g} {side})."]


_LACKS = {
    "dry_look": "I know of no soak, or it should be dry by now",
    "rest_start": "I know no rest ahead of it; name its genus, or say when it rests",
    "rest_end": "it is not at rest by what I know",
}
CARE_ANSWERS: dict[str, Answer] = {
    "dose": _dose,
    "rule_for_which": _rule_for_which,
    "release": _release,
    "day_length": _day_length,
    "cites": _cites,
    "reckoned": _reckoned,
    "cold_night": _cold_night,
    "wet": _wet,
    "wet_in_frost": _wet_in_frost,
    "floors": _floors,
    "outcome": _outcome,
    "dry_time": _dry_time,
    "germination": _germination,
    "pot": _pot,
    "buy_list": _buy_list,
    "mix": _mix,
    "on_the_way": lambda facts, view, standing: list(facts["lines"]),
    "mixes": lambda facts, view, standing: list(facts["lines"]),
    "rules": kept.listed,
    "when_due": _when_due,
}
