"""The words of the pictures that count: due load, flowering, germination, survival, waterings by place."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from bot.app.english import phrases
from bot.app.english.pictured import Picture
from bot.app.picture_counts import MOST_PLACES, SORTS, Flowering, Load, Sowing, Surviving, Watered
from bot.care.propagation import germination
from bot.care.standing import Standing, Thing
from bot.care.survival import DAYS_A_YEAR
from bot.sharing import picture_parts as parts

NOTHING_DUE = "Nothing is due in the coming weeks, so there is no load to draw."
NO_FLOWERS = "No flowers are noted{what}. Such as: 12 in flower"
NOTHING_SOWN = "Nothing is sown yet. Such as: sown 40 seeds of rebutia as S1"
NOT_A_SOWING = "{what}: no sowing that I know."
NOT_COUNTED = "{what}: no seedlings are counted yet. Such as: {code}: 12 up"
WHICH_LOT = "Survival of which lot? {known}"
NO_LOT = "I know no lots yet. Such as: bought 12 rebutias as the barn lot"
LOT_UNKNOWN = "{what}: I don't know when it came or how many there were."
NO_WATERINGS = "No watering is noted{what} since {since}."
_SORT_WORDS = {
    "pests": "pests, quarantine",
    "water": "water, potting",
    "young": "seed, offsets, grafts",
    "other": "rest and other",
}
_YEARS_FROM_DAYS = 400  # a longer curve is drawn in years


def due_load(found: Load, today: date) -> Picture:
    """Return the picture of how much is due in each of the coming weeks."""
    held = [found.overdue, *found.weeks]
    heads = ["late", *(f"{day.day}\n{day:%b}" for day in _mondays(found))]
    marks, bases = [], [0] * len(held)
    for style, sort in enumerate(SORTS):
        counts = [one.get(sort, 0) for one in held]
        if any(counts):
            points = [(float(at), float(count), float(bases[at])) for at, count in enumerate(counts) if count]
            marks.append(parts.bars(points, _SORT_WORDS[sort], style=style))
        bases = [base + count for base, count in zip(bases, counts, strict=True)]
    tops = [(float(at), float(total)) for at, total in enumerate(bases) if total]
    marks.append(parts.written(tops, [f"{total:.0f}" for _, total in tops]))
    busiest = max(range(1, len(bases)), key=lambda at: bases[at])
    when = "this week" if busiest == 1 else f"in the week of {phrases.short_day(_mondays(found)[busiest - 1], today)}"
    late = f"{phrases.count_of(bases[0], 'line')} overdue; " if bases[0] else ""
    peak = f"most {when} ({bases[busiest]})" if bases[busiest] else "none comes up"
    line = f"Due load: {late}{phrases.count_of(sum(bases[1:]), 'line')} in the next {len(found.weeks)} weeks, {peak}."
    recipe = parts.recipe(
        "due_load",
        f"Due in the next {len(found.weeks)} weeks",
        f"Lines of the due list by week, from {phrases.short_day(today, today)}; n = {found.total}",
        [
            parts.panel(
                marks, "Lines due in a week", x="number", x_label="overdue, then weeks from Monday", columns=heads,
                x_range=(-0.6, len(held) - 0.4), y_range=(0, max(4, max(bases) * 1.15)),
            )
        ],
        f"{phrases.count_of(found.later, 'line')} later than that. A date opens a look: the plant decides.",
    )  # fmt: skip
    return Picture(line, recipe, "due-load")


def _mondays(found: Load) -> list[date]:
    return [found.first + timedelta(weeks=number) for number in range(len(found.weeks))]


def flowering(found: Flowering, what: str, today: date) -> Picture:
    """Return the calendar of flowers: plants seen in flower by month, a row for each year."""
    south = found.months[0] != 1
    months = [f"{date(2000, month, 1):%b}"[:1] for month in found.months]
    rows = [f"{year}/{(year + 1) % 100:02d}" if south else str(year) for year in found.years]
    by_month = [sum(row[at] for row in found.counts) for at in range(12)]
    best = max(range(12), key=lambda at: by_month[at])
    of = what or "all plants"
    since = rows[-1]
    seen = phrases.count_of(found.plants, "plant") + " seen in flower"
    if found.plants == 1 and what:
        seen = f"noted in flower {phrases.count_of(found.sightings, 'time')}"
    line = (
        f"{phrases.cap(of)}: {seen} since {since}, "
        f"most in {date(2000, found.months[best], 1):%B}; last {phrases.day(found.last_on, today)}."
    )
    recipe = parts.recipe(
        "flowering",
        f"Flowering calendar: {of}",
        f"Plants noted in flower in each month; n = {phrases.count_of(found.sightings, 'note')} of "
        f"{phrases.count_of(found.plants, 'plant')}",
        [
            parts.panel(
                [parts.cells(found.counts)], f"Number of plants, {'July to June' if south else 'January to December'}",
                x="number", x_label="month", rows=rows, columns=months, weight=1.0,
            )
        ],
        "An empty month is one without a note, not one without flowers.",
    )  # fmt: skip
    return Picture(line, recipe, "flowering")


def germinations(found: Sequence[Sowing], waiting: Sequence[Thing], today: date) -> Picture:
    """Return how many seedlings were up by days since the sowing, in percent where all numbers sown are known."""
    shares = all(one.sown for one in found)
    marks = []
    for style, one in enumerate(found):
        points = [
            (0.0, 0.0),
            *((float(day), 100 * up / one.sown if shares and one.sown else float(up)) for day, up in one.counts),
        ]
        points = [points[at] for at in range(len(points)) if at == len(points) - 1 or points[at][0] != points[at + 1][0]]
        points = [(day, round(y, 1)) for day, y in points]
        of = f"/{one.sown}" if one.sown else ""
        marks.append(parts.steps(points, f"{one.thing.key} {one.up}{of}", style=style, at_end=True))
    newest = found[-1]
    more = f" {len(found) - 1} more {'sowing is' if len(found) == 2 else 'sowings are'} drawn." if len(found) > 1 else ""
    longest = max(one.counts[-1][0] for one in found)
    sown = sum(one.sown or 0 for one in found)
    recipe = parts.recipe(
        "germination",
        f"Germination: {phrases.joined([one.thing.key for one in found])}",
        f"Seedlings up by days since sowing; n = {f'{sown} seeds' if shares else phrases.count_of(len(found), 'sowing')}"
        + ("" if shares else ", not all numbers sown known"),
        [
            parts.panel(
                marks, "Seedlings up, % of the seeds sown" if shares else "Seedlings up, number", x="number",
                x_label="days since sowing", x_range=(0, max(7, longest)), y_range=(0, 105) if shares else None,
            )
        ],
        _names(found) + (f" Not counted yet: {phrases.joined([one.key for one in waiting[-5:]])}." if waiting else ""),
    )  # fmt: skip
    return Picture(f"{_sowing_line(newest)}{more}", recipe, "germination")


def _names(found: Sequence[Sowing]) -> str:
    named = [f"{one.thing.key}: {name}" for one in found if (name := phrases.display_name(one.thing))]
    return f"{'; '.join(named)}." if named else ""


def _sowing_line(one: Sowing) -> str:
    called = phrases.label(one.thing, one.thing.key)
    after = phrases.count_of(one.counts[-1][0], "day")
    if not one.sown:
        return f"{called}: {one.up} up {after} after sowing; nobody said how many were sown."
    known = germination(one.up, one.sown)
    return (
        f"{called}: {one.up} of {one.sown} up {after} after sowing ({known.percent:.0f} %, {known.low:.0f} to {known.high:.0f})."
    )


def survival(found: Surviving, today: date) -> Picture:
    """Return the survival of a lot: the product-limit curve, its 95 % range, and how many were followed so long."""
    curve, years = found.curve, found.curve.longest > _YEARS_FROM_DAYS
    unit = DAYS_A_YEAR if years else 1.0
    longest = max(curve.longest, 1.0)
    steps = [(0.0, 100.0), *((one.days / unit, 100 * one.survival) for one in curve.steps)]
    low = [(0.0, 100.0, 100.0), *((one.days / unit, 100 * one.low, 100 * one.high) for one in curve.steps)]
    end = (longest / unit, steps[-1][1])
    left = [(days, 100 * step.survival if (step := curve.at(days)) else 100.0) for days in _left_alive(found)]
    marks = [
        parts.band([*low, (end[0], *low[-1][1:])], "95 % range", style=0, stepped=True),
        parts.steps(parts.thinned([*steps, end]), "share alive", style=0, marked=False),
        parts.dots([(days / unit, share) for days, share in parts.thinned(left, 60)], "last seen alive", style=2),
    ]
    marks = [one for one in marks if one["x"] and not (one["as"] == "band" and not curve.died)]
    times = [longest * number / 4 for number in range(5)]
    marks.append(parts.written([(time / unit, 2.0) for time in times], [str(found.at_risk(time)) for time in times], inside=True))
    called = phrases.cap(phrases.lot(found.lot.key))
    recipe = parts.recipe(
        "survival",
        f"Survival: {phrases.lot(found.lot.key)}",
        f"Since it came on {phrases.short_day(found.came_on, today)}; n = {curve.n}, {phrases.count_of(curve.died, 'death')}",
        [
            parts.panel(
                marks, "Alive, % of those at risk", x="number", x_range=(0, longest / unit), y_range=(0, 108),
                x_label=f"{'years' if years else 'days'} since it came (numbers: at risk)",
            )
        ],
        "Kaplan & Meier 1958; range: Greenwood 1926, log-log. Given away or missing counts as seen alive till then.",
    )  # fmt: skip
    return Picture(_survival_line(found, called, today), recipe, "survival")


def _left_alive(found: Surviving) -> list[float]:
    """Return after how many days plants left alive: given away or missing, those that are still here left out."""
    return sorted({days for days, died in found.followed if not died and days < found.curve.longest})


def _survival_line(found: Surviving, called: str, today: date) -> str:
    curve = found.curve
    after = phrases.count_of(round(curve.longest), "day")
    if not curve.died:
        return f"{called}: none of {curve.n} noted as dead in {after}."
    last = curve.steps[-1]
    share = f"{100 * last.survival:.0f} % survived {after} ({100 * last.low:.0f} to {100 * last.high:.0f} %"
    few = " Few plants: the range says more than the curve." if curve.n < FEW_PLANTS else ""
    return f"{called}: {share}, n = {curve.n}), {phrases.count_of(curve.died, 'death')}.{few}"


FEW_PLANTS = 10


def waterings(since: date, found: Sequence[Watered], what: str, today: date) -> Picture:
    """Return on which days each place was watered and fed, a row for each place."""
    shown = list(found[:MOST_PLACES])
    watered = [(day.isoformat(), float(row)) for row, one in enumerate(shown) for day in one.watered if day not in one.fed]
    fed = [(day.isoformat(), float(row)) for row, one in enumerate(shown) for day in one.fed]
    marks = [parts.dots(watered, "watered", style=0), parts.dots(fed, "fed", style=1)]
    marks = [one for one in marks if one["x"]] + [parts.moment(today.isoformat(), "")]
    days = sum(one.days for one in shown)
    head = [
        f"{_place(one.place)} on {phrases.count_of(one.days, 'day')}, last {phrases.day(one.last_on, today)}" for one in shown[:2]
    ]
    rest = len(found) - len(head)
    more = f"; {rest} more {'place' if rest == 1 else 'places'}" if rest else ""
    weeks = (today - since).days // 7
    beyond = len(found) - len(shown)
    recipe = parts.recipe(
        "watering",
        f"Waterings by place{': ' + what if what else ''}",
        f"Days on which something there was watered, last {weeks} weeks; n = {phrases.count_of(days, 'day')} "
        f"in {phrases.count_of(len(shown), 'place')}",
        [
            parts.panel(
                marks, "Place", rows=[f"{_place(one.place)} ({one.days})" for one in shown],
                x_range=(since.isoformat(), today.isoformat()),
            )
        ],
        f"Behind each place: number of days.{f' {beyond} places with fewer are left out.' if beyond else ''}",
    )  # fmt: skip
    return Picture(f"Watered in {weeks} weeks: {'; '.join(head)}{more}.", recipe, "watering")


def _place(place: str) -> str:
    return place or "no place"


def which_lot(standing: Standing) -> str:
    """Return the question of which lot, with those that are known."""
    lots = [key for kind, key in standing.things if kind == "lot"]
    return WHICH_LOT.format(known=f"Such as: survival of {phrases.lot(lots[-1])}, as a picture") if lots else NO_LOT
