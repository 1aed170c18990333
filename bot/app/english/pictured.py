"""The words of pictures: the line that goes with one and says the answer, and what stands on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from bot.app.english import phrases
from bot.app.picture_drying import Drying
from bot.app.picture_facts import Warmth
from bot.care.drying import DRY_LEFT, LOOK_LEFT
from bot.care.standing import Standing
from bot.sharing import picture_parts as parts
from bot.sharing.picture_parts import Mark, Recipe

KNOWN = ("measured", "filled")
_KIND_OF_DAYS = {
    "measured": "read",
    "filled": "filled in between readings",
    "forecast": "forecast",
    "normal": "by your monthly normals",
    "guess": "guessed from the latitude",
}
WHICH = (
    "A picture of what? I draw: degree-days for 12, drying curve of 12, due load, flowering calendar, germination of a sowing, "
    "survival of a lot, watering by place."
)
NO_SUCH_KIND = "I draw no “{kind}”. One of: {kinds}."
NO_SUCH_FORM = "I make no “{form}”. One of: {forms}."
UNKNOWN = "I don't know {what}."
WHICH_ONE = "Which one? Say its number or name: drying curve of 12"
NOTHING_COUNTED = (
    "No degree-days are counted{what}: they run from a find of pests, a treatment or the start of a quarantine. "
    "Such as: mites on 12"
)
WHICH_POT = "Drying of which pot? Such as: drying curve of 12"
NEVER_SOAKED = "{what}: no watering is noted that could dry, so there is no curve. Such as: watered {key}"
DAYS_ONLY = "{what}: this look goes by days, not by degree-days, so there is no curve to draw. Ask “whats due” for its day."


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture to be sent: the line that says the same in words, its recipe, and the name of its file without an ending."""

    line: str
    recipe: Recipe
    name: str


def about(what: str) -> str:
    """Return " for 12", nothing where it is of everything."""
    return f" for {what}" if what else ""


def degree_days(found: Warmth, standing: Standing, others: int) -> Picture:
    """Return the picture of temperature and degree-days to the next look; `others` is how many more looks there are."""
    due, counting, today = found.due, found.counting, found.today
    what = phrases.things(due.refs, standing)
    look = _look_words(due.kind, due.about)
    base = f"{counting.base_c:.3g} °C"
    says = f"{found.value:.0f} of {counting.target_dd:.0f} degree-days above {base} by today"
    when = f"about {phrases.day(due.on, today)}" if due.on > today else "now" if due.on < today else "today"
    more = f" ({others} more; name the plants for another.)" if others else ""
    line = f"{phrases.cap(what)}: {says}; {look} {when}.{more}"
    day_words = phrases.short_day(counting.after, today)
    subtitle = f"{phrases.cap(_since_words(due.kind, due.about))} {day_words}; {_n_of_days(found)}"
    recipe = parts.recipe(
        "degree_days",
        f"Degree-days to the {look}: {what}",
        subtitle,
        [_temperatures(found, base), _sums(found, base, look)],
        _sources(found),
    )
    return Picture(line, recipe, "degree-days")


def _look_words(kind: str, sign: str) -> str:
    if kind in ("release_look", "isolation_look"):
        return "end of quarantine" if kind == "release_look" else "quarantine look"
    if kind == "clear_look":
        return "last look"
    return "look for survivors" if kind == "survivors_look" else "next look"


def _since_words(kind: str, sign: str) -> str:
    return "quarantine since" if kind in ("release_look", "isolation_look") else f"{phrases.sign(sign)}, counted since"


def _n_of_days(found: Warmth) -> str:
    counted = [known.kind for day, known in found.days if found.counting.after < day <= found.today]
    known = sum(1 for one in counted if one in KNOWN)
    return f"n = {phrases.count_of(len(counted), 'day')}, {known} of them from readings"


def _temperatures(found: Warmth, base: str) -> parts.Panel:
    days = parts.thinned(found.days)
    low = [(day.isoformat(), known.min_c) for day, known in days]
    marks: list[Mark] = [
        parts.band([(day.isoformat(), known.min_c, known.max_c) for day, known in days]),
        *_known_and_not([(day.isoformat(), known.max_c, known.kind in KNOWN) for day, known in days], "maximum", 1),
        *_known_and_not([(day.isoformat(), known.min_c, known.kind in KNOWN) for day, known in days], "minimum", 0),
        parts.level(found.counting.base_c, f"counts above {base}"),
        parts.moment(found.today.isoformat(), ""),
    ]
    marks = [one for one in marks if one["as"] != "line" or any(y is not None for y in one["y"])]
    return parts.panel(marks, "Temperature of each day, °C", x_range=(low[0][0], low[-1][0]), weight=0.7)


def _known_and_not(points: Sequence[tuple[str, float, bool]], label: str, style: int) -> list[Mark]:
    """Return a line of what was read and a dotted one of what is expected or guessed, joined where one follows the other."""
    read = [(x, y if known else None) for x, y, known in points]
    beside = [(one[2], *(other[2] for other in points[max(0, at - 1) : at + 2])) for at, one in enumerate(points)]
    guessed = [(x, None if known and all(near) else y) for (x, y, known), near in zip(points, beside, strict=True)]
    return [
        parts.line(read, label, style=style),
        parts.line(guessed, f"{label}, guessed or forecast", style=style, dashed=True),
    ]


def _sums(found: Warmth, base: str, look: str) -> parts.Panel:
    counting, due = found.counting, found.due
    sums = [(day.isoformat(), round(total, 1)) for day, total in found.sums]
    today = next((at for at, (day, _) in enumerate(found.sums) if day == found.today), len(sums) - 1)
    marks = [
        parts.line(parts.thinned(sums[: today + 1]), "sum so far", style=0),
        parts.line(parts.thinned(sums[today:]), "expected", style=0, dashed=True),
        parts.dots([(found.today.isoformat(), round(found.sums[today][1], 1))], "today", style=0),
        parts.level(round(counting.target_dd, 1), f"target: {counting.target_dd:.0f}"),
        parts.moment(found.today.isoformat(), f"today: {found.value:.0f}"),
        parts.moment(due.on.isoformat(), f"{look} {phrases.day(due.on, found.today)}"),
    ]
    highest = max(counting.target_dd * 1.15, max(total for _, total in found.sums) * 1.25)
    return parts.panel(
        marks,
        f"Degree-days above {base}, summed (°C days)",
        x_range=(sums[0][0], sums[-1][0]),
        y_range=(0, round(highest, 1)),
    )


def _sources(found: Warmth) -> str:
    kinds = Counter(known.kind for day, known in found.days if found.counting.after < day <= found.due.on)
    days = [f"{phrases.count_of(number, 'day')} {_KIND_OF_DAYS.get(kind, kind)}" for kind, number in kinds.items()]
    source = str(found.due.why.get("source", ""))
    target = f"Target: {source} [{found.due.why.get('mark', '')}]." if source else ""
    return (f"Days to the look: {phrases.joined(days)}. " if days else "") + target


def drying(found: Drying, standing: Standing, today: date) -> Picture:
    """Return how a pot dries: the share of its water by days since the soak, its 80 % range, and what the grower said."""
    called = phrases.things((found.thing.ref,), standing)
    since = (today - found.soaked_on).days
    soaked = phrases.short_day(found.soaked_on, today)
    alike = f" and {found.alike - 1} like it" if found.alike > 1 else ""
    size, material, mix = found.pot
    reports = found.learner.reports
    learned = f"your reports: {found.learner.factor:.2g} times the model's time" if reports else "no report of yours yet"
    recipe = parts.recipe(
        "drying",
        f"Drying curve: {called}{alike}",
        f"Soaked {soaked}; {size:g} cm {material} pot, {mix} mix; n = {phrases.count_of(len(found.reports), 'report')}",
        [_drying_panel(found, since)],
        f"A water balance after FAO-56, pot values are defaults; {learned}. Tell me “dry” or “still damp”: it learns.",
    )
    return Picture(f"{phrases.cap(called)}{alike}: {_drying_line(found, since, soaked, today)}", recipe, "drying-curve")


def _drying_line(found: Drying, since: int, soaked: str, today: date) -> str:
    forecast = found.forecast
    if not found.waiting:
        return f"soaked {soaked}, since found dry; the model's curve of that time with {_n_reports(found)}."
    if forecast.dry_on is None:
        return f"soaked {soaked}, about {100 * forecast.share_left:.0f} % of its water left; no day when it will be dry."
    low, high = ((day - found.soaked_on).days if day else None for day in (forecast.low_on, forecast.high_on))
    span = f"{low} to {high} days" if high is not None else f"{low} days or more"
    left = f"about {100 * forecast.share_left:.0f} % of its water left"
    when = f"dry about {phrases.day(forecast.dry_on, today)}" if forecast.dry_on >= today else "should be dry by now"
    return f"{left} {phrases.count_of(since, 'day')} after the soak, {when} ({span})."


def _n_reports(found: Drying) -> str:
    return phrases.count_of(len(found.reports), "report")


def _drying_panel(found: Drying, since: int) -> parts.Panel:
    curve = [(float(day), round(100 * middle, 1)) for day, _, middle, _ in found.curve]
    band = [(float(day), round(100 * low, 1), round(100 * high, 1)) for day, low, _, high in found.curve]
    marks = [parts.band(band, "80 % range", style=0), parts.line(curve, "water left, model", style=0)]
    for style, (said, words) in enumerate(_REPORTED.items(), 1):
        points = [(float(one.days), round(100 * one.share, 1)) for one in found.reports if one.said == said]
        if points:
            marks.append(parts.dots(points, words, style=style))
    marks += [
        parts.level(100 * LOOK_LEFT, f"look: {100 * LOOK_LEFT:.0f} %"),
        parts.level(100 * DRY_LEFT, f"dry: {100 * DRY_LEFT:.0f} %"),
    ]
    last = max([curve[-1][0], *(float(one.days) for one in found.reports)])
    if found.waiting and since <= last:
        marks.append(parts.moment(float(since), f"today: {100 * found.forecast.share_left:.0f} %"))
    return parts.panel(
        marks, "Water left, % of a soaked pot", x="number", x_label="days since the soak", x_range=(0, last), y_range=(0, 105)
    )


_REPORTED = {"dry": "you said dry", "damp": "you said damp", "already dry": "already dry"}
