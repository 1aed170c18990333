"""What a date phrase means on the calendar, seen from a day and looking back or ahead.

Rules of the contract: past verbs look back, plans look ahead; a span or an approximate day is its middle day, marked approximate.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

WEEK, FORTNIGHT = 7, 14


@dataclass(frozen=True, slots=True)
class DatePhrase:
    """A date phrase as the grammar found it, not yet looked up: its kind and what the kind needs."""

    kind: str  # offset, weekday, day, month, week, year, season, period, eve, easter, christmas, vague, other
    days: int = 0
    day: int = 0
    month: int = 0
    year: int = 0
    part: str = ""  # early, mid, late; last, next, this, before_last, after_next; sometime
    name: str = ""
    approx: bool = False


@dataclass(frozen=True, slots=True)
class Day:
    """A date phrase looked up: the day, whether it is approximate, and the span it may lie in."""

    on: date
    approx: bool = False
    first: date | None = None
    last: date | None = None


class Seen(NamedTuple):
    """From where a date phrase is looked at: the day, whether ahead or back, the hemisphere."""

    today: date
    ahead: bool
    hemisphere: str


def easter(year: int) -> date:
    """Return Easter Sunday (Gregorian), by the algorithm of Butcher (1876) as given in Meeus, Astronomical Algorithms, ch. 8."""
    a, b, c = year % 19, year // 100, year % 100
    h = (19 * a + b - b // 4 - (b - (b + 8) // 25 + 1) // 3 + 15) % 30
    k = (32 + 2 * (b % 4) + 2 * (c // 4) - h - c % 4) % 7
    m = (a + 11 * h + 22 * k) // 451
    month, day = divmod(h + k - 7 * m + 114, 31)
    return date(year, month, day + 1)


def look_up(phrase: DatePhrase, today: date, ahead: bool, hemisphere: str = "N") -> Day | None:
    """Return the day that `phrase` means from `today`, looking ahead or back; None where there is no such day (31 feb)."""
    try:
        found = _LOOK_UP[phrase.kind](phrase, Seen(today, ahead, hemisphere))
    except (ValueError, OverflowError):
        return None
    if found is None or not date(1950, 1, 1) <= found.on <= today + timedelta(days=3700):
        return None
    return Day(found.on, found.approx or phrase.approx, found.first, found.last)


def _offset(phrase: DatePhrase, seen: Seen) -> Day:
    return Day(seen.today + timedelta(days=phrase.days))


def _weekday(phrase: DatePhrase, seen: Seen) -> Day:
    wanted = phrase.day
    monday = seen.today - timedelta(days=seen.today.weekday())
    if phrase.part == "next":
        return Day(monday + timedelta(days=WEEK + wanted))
    if phrase.part in ("week_after", "before_last"):
        near = _nearest(seen.today, wanted, phrase.part == "week_after")
        return Day(near + timedelta(days=WEEK if phrase.part == "week_after" else -WEEK))
    if phrase.part == "last":
        back = (seen.today.weekday() - wanted) % 7 or 7
        return Day(seen.today - timedelta(days=back))
    if phrase.part == "last_week":
        return Day(monday + timedelta(days=wanted - WEEK))
    if phrase.part == "this":
        return Day(_nearest(seen.today, wanted, seen.ahead))
    return Day(_nearest(seen.today, wanted, seen.ahead))


def _nearest(today: date, wanted: int, ahead: bool) -> date:
    if ahead:
        return today + timedelta(days=(wanted - today.weekday()) % 7 or 7)
    return today - timedelta(days=(today.weekday() - wanted) % 7)


def _day(phrase: DatePhrase, seen: Seen) -> Day:
    if phrase.year:
        return Day(date(phrase.year, phrase.month, phrase.day))
    if not phrase.month:
        return Day(_day_of_month(phrase.day, seen.today, seen.ahead))
    years = (
        (seen.today.year, seen.today.year + 1)
        if seen.ahead
        else (seen.today.year, seen.today.year - 1, seen.today.year - 2, seen.today.year - 3, seen.today.year - 4)
    )
    for year in years:
        try:
            one = date(year, phrase.month, phrase.day)
        except ValueError:
            if phrase.month != 2 or phrase.day != 29:
                raise
            continue
        if (one >= seen.today) if seen.ahead else (one <= seen.today):
            return Day(one)
    raise ValueError("no such day near")


def _day_of_month(day: int, today: date, ahead: bool) -> date:
    if not 1 <= day <= 31:
        raise ValueError("no such day")
    month = today.replace(day=1)
    for _ in range(4):
        try:
            one = month.replace(day=day)
        except ValueError:
            one = None
        if one is not None and ((one > today) if ahead else (one <= today)):
            return one
        month = _month_after(month) if ahead else (month - timedelta(days=1)).replace(day=1)
    raise ValueError("no such day")


def _month_after(first: date) -> date:
    return (first.replace(day=28) + timedelta(days=4)).replace(day=1)


def _month(phrase: DatePhrase, seen: Seen) -> Day:
    year = phrase.year
    if phrase.part == "year_before":
        year = seen.today.year - 1
    if not year:
        year = seen.today.year
        past = phrase.month < seen.today.month
        if seen.ahead and past:
            year += 1
        if not seen.ahead and phrase.month > seen.today.month:
            year -= 1
        if phrase.part == "last" and not past and phrase.month <= seen.today.month:
            year -= 1
    first = date(year, phrase.month, 1)
    last = _month_after(first) - timedelta(days=1)
    if phrase.part in _PARTS:
        return Day(first.replace(day=min(_PARTS[phrase.part], last.day)), True, first, last)
    if seen.ahead:
        return Day(first, False, first, last)
    return Day(first.replace(day=15), True, first, last)


_PARTS = {"early": 5, "mid": 15, "late": 26, "end": 28}


def _week(phrase: DatePhrase, seen: Seen) -> Day:
    monday = seen.today - timedelta(days=seen.today.weekday()) + timedelta(days=WEEK * phrase.days)
    sunday = monday + timedelta(days=6)
    on = {"early": monday, "mid": monday + timedelta(days=2), "late": monday + timedelta(days=4)}.get(phrase.part)
    if on is None:
        on = monday if phrase.days > 0 else monday + timedelta(days=3)
    if phrase.days == 0 and seen.ahead and phrase.part == "":
        on = max(on, seen.today)
    return Day(on, True, monday, sunday)


def _weekend(phrase: DatePhrase, seen: Seen) -> Day:
    saturday = _nearest(seen.today, 5, seen.ahead)
    if phrase.part == "next" and (saturday - seen.today).days < 7 - seen.today.weekday():
        saturday += timedelta(days=WEEK)
    if phrase.part == "last" and saturday == seen.today:
        saturday -= timedelta(days=WEEK)
    return Day(saturday, True, saturday, saturday + timedelta(days=1))


def _period(phrase: DatePhrase, seen: Seen) -> Day:
    if phrase.name == "month":
        first = seen.today.replace(day=1)
        for _ in range(abs(phrase.days)):
            first = _month_after(first) if phrase.days > 0 else (first - timedelta(days=1)).replace(day=1)
        last = _month_after(first) - timedelta(days=1)
        if phrase.part == "last":
            return Day(last, False, first, last)
        on = first if phrase.days > 0 and not phrase.part else first.replace(day=min(_PARTS.get(phrase.part, 15), last.day))
        return Day(on, not (phrase.days > 0 and not phrase.part), first, last)
    first = date(seen.today.year + phrase.days, 1, 1)
    on = (
        date(first.year, 7, 2)
        if not phrase.part
        else date(first.year, {"early": 2, "mid": 7, "late": 12}.get(phrase.part, 12), 1)
    )
    return Day(first if phrase.days > 0 else on, phrase.days <= 0, first, date(first.year, 12, 31))


def _year(phrase: DatePhrase, _: Seen) -> Day:
    return Day(date(phrase.year, 7, 2), True, date(phrase.year, 1, 1), date(phrase.year, 12, 31))


_SEASONS = {"spring": 3, "summer": 6, "autumn": 9, "fall": 9, "winter": 12}


def _season(phrase: DatePhrase, seen: Seen) -> Day:
    month = _SEASONS[phrase.name]
    if seen.hemisphere.upper() == "S":
        month = (month + 5) % 12 + 1
    year = phrase.year or seen.today.year
    first = date(year, month, 1)
    if phrase.year == 0:
        under_way = next((day for day in (first, date(year - 1, month, 1)) if day <= seen.today <= _season_end(day)), None)
        if seen.ahead and phrase.part == "this" and under_way is not None:
            last = _season_end(under_way)
            return Day(seen.today + (last - seen.today) / 2, True, under_way, last)
        if seen.ahead:
            while first <= seen.today or (phrase.part == "next" and first < seen.today):
                first = date(first.year + 1, month, 1)
        else:
            last = first + timedelta(days=90)
            if first > seen.today or (phrase.part == "last" and last >= seen.today):
                first = date(first.year - 1, month, 1)
    last = _season_end(first)
    if seen.ahead:
        return Day(first, False, first, last)
    return Day(first + (last - first) / 2, True, first, last)


def _season_end(first: date) -> date:
    return _month_after(_month_after(_month_after(first))) - timedelta(days=1)


def _easter(phrase: DatePhrase, seen: Seen) -> Day:
    year = seen.today.year
    if seen.ahead and easter(year) < seen.today:
        year += 1
    if not seen.ahead and easter(year) > seen.today:
        year -= 1
    sunday = easter(year)
    day = sunday + timedelta(days=phrase.days or 0)
    return Day(day, phrase.part == "", sunday - timedelta(days=2), sunday + timedelta(days=1))


def _christmas(phrase: DatePhrase, seen: Seen) -> Day:
    one = date(seen.today.year, 12, 25)
    if not seen.ahead and one > seen.today:
        one = date(seen.today.year - 1, 12, 25)
    return Day(one, phrase.part == "")


def _vague(phrase: DatePhrase, seen: Seen) -> Day:
    return Day(seen.today + timedelta(days=phrase.days), True)


_LOOK_UP = {
    "offset": _offset, "weekday": _weekday, "day": _day, "month": _month, "week": _week, "weekend": _weekend, "period": _period,
    "year": _year, "season": _season, "easter": _easter, "christmas": _christmas, "vague": _vague,
}  # fmt: skip
