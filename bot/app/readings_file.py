"""A thermometer logger's file: which columns hold what, each line a moment, the days' extremes of it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from statistics import fmean
from zoneinfo import ZoneInfo

COLDEST_C, HOTTEST_C = -40.0, 60.0
ROLES = ("time", "date", "temperature", "min", "max", "humidity")
_HEADS: Mapping[str, re.Pattern[str]] = {
    "time": re.compile(r"time ?stamp|date.?time|^time\b|^timestamp|^moment|zeit|heure|^when"),
    "date": re.compile(r"^date|^day\b|datum"),
    "min": re.compile(r"\b(min|minimum|low(est)?)\b"),
    "max": re.compile(r"\b(max|maximum|high(est)?)\b"),
    "humidity": re.compile(r"humid|\brh\b|%|feucht"),
    "temperature": re.compile(r"temp|°|deg|celsius|fahrenheit|\b[cf]\b"),
}
_FORMATS = (
    "%d/%m/%Y %H:%M",
    "%d/%m/%Y %H:%M:%S",
    "%d.%m.%Y %H:%M",
    "%d.%m.%Y %H:%M:%S",
    "%d-%m-%Y %H:%M",
    "%d-%m-%Y %H:%M:%S",
    "%Y/%m/%d %H:%M",
    "%Y/%m/%d %H:%M:%S",
    "%d/%m/%Y",
    "%d.%m.%Y",
    "%d-%m-%Y",
    "%Y/%m/%d",
)
_AMERICAN = tuple(one.replace("%d/%m", "%m/%d").replace("%d-%m", "%m-%d") for one in _FORMATS)


class ReadingsProblem(ValueError):
    """The file as a whole cannot be read; the message says what is wanted."""


@dataclass(frozen=True, slots=True)
class BadRow:
    """A line that could not be used, by its number in the file (the head is line 1), and why."""

    line: int
    why: str


@dataclass(frozen=True, slots=True)
class DayReading:
    """One local day of a logger: extremes in °C, mean relative humidity in percent, and how many lines it had."""

    day: date
    min_c: float
    max_c: float
    rh: float | None
    lines: int


@dataclass(frozen=True, slots=True)
class Read:
    """What a file comes to: its days in order, the lines that could not be used, and the column taken for each role."""

    days: tuple[DayReading, ...]
    bad: tuple[BadRow, ...]
    columns: Mapping[str, str]
    fahrenheit: bool


@dataclass(frozen=True, slots=True)
class _Sample:
    day: date
    low_c: float
    high_c: float
    rh: float | None


def read_readings(
    text: str, zone: ZoneInfo, local: ZoneInfo, columns: Mapping[str, str] | None = None, unit: str = "", date_order: str = "dmy"
) -> Read:
    """Return the days of a logger's CSV.

    `zone` is that of the times in the file where they name none, `local` that of the collection, whose days count. `columns`
    maps roles (`ROLES`) to column names, the rest is guessed from the head. `unit` is C or F; empty: by the head, else C.
    Raises ReadingsProblem where no column of times or temperatures can be told.
    """
    head, rows = _table(text)
    found = _columns(head, columns or {})
    fahrenheit = unit.upper().startswith("F") if unit else _says_fahrenheit(head, found)
    samples: list[_Sample] = []
    bad: list[BadRow] = []
    seen: set[tuple[str, ...]] = set()
    for line, row in rows:
        if tuple(row) in seen:
            continue  # the same line twice is one reading
        seen.add(tuple(row))
        try:
            samples.append(_sample(row, found, zone, local, fahrenheit, date_order))
        except ValueError as problem:
            bad.append(BadRow(line, str(problem)))
    return Read(tuple(_days(samples)), tuple(bad), {role: head[at] for role, at in found.items()}, fahrenheit)


def columns_of(text: str) -> dict[str, str]:
    """Return roles and column names of "time=When,temperature=T1". Raises ReadingsProblem for anything else."""
    named: dict[str, str] = {}
    for part in filter(None, (one.strip() for one in text.split(","))):
        role, equals, column = part.partition("=")
        if not equals or role.strip() not in ROLES:
            raise ReadingsProblem(
                f'columns are named like time=Timestamp,temperature=T1 (roles: {", ".join(ROLES)}), not "{part}"'
            )
        named[role.strip()] = column.strip()
    return named


def _table(text: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    text = text.removeprefix("\ufeff")
    lines = text.splitlines()
    start = next((n for n, line in enumerate(lines) if len(re.split(r"[,;\t]", line)) > 1), None)
    if start is None:
        raise ReadingsProblem("the file holds no table with a head and columns divided by comma, semicolon or tab")
    mark = max(",;\t", key=lines[start].count)
    rows = csv.reader(io.StringIO("\n".join(lines[start:])), delimiter=mark)
    head = [one.strip() for one in next(rows)]
    return head, [(start + number, row) for number, row in enumerate(rows, 2) if any(one.strip() for one in row)]


def _columns(head: Sequence[str], named: Mapping[str, str]) -> dict[str, int]:
    low = [one.lower() for one in head]
    found: dict[str, int] = {}
    for role, column in named.items():
        if column.lower() not in low:
            raise ReadingsProblem(f'there is no column "{column}"; there are: {", ".join(head)}')
        found[role] = low.index(column.lower())
    for role in ("time", "date", "min", "max", "humidity", "temperature"):
        free = [n for n in range(len(low)) if n not in found.values()]
        hit = next((n for n in free if _HEADS[role].search(low[n])), None)
        if role not in found and hit is not None and not (role == "date" and "time" in found and _whole(low[found["time"]])):
            found[role] = hit
    if "time" not in found and "date" not in found:
        raise ReadingsProblem(f"no column of times found; name it: --columns time=… There are: {', '.join(head)}")
    if "temperature" not in found and not {"min", "max"} <= set(found):
        raise ReadingsProblem(f"no column of temperatures found; name it: --columns temperature=… There are: {', '.join(head)}")
    return found


def _whole(head: str) -> bool:
    """Whether a column of times holds the date as well, by its name."""
    return "date" in head or "stamp" in head


def _says_fahrenheit(head: Sequence[str], found: Mapping[str, int]) -> bool:
    names = [head[found[role]].lower() for role in ("temperature", "min", "max") if role in found]
    return any(re.search(r"fahrenheit|°\s*f|\(f\)|_f$|\bf\b", one) for one in names)


def _sample(
    row: Sequence[str], found: Mapping[str, int], zone: ZoneInfo, local: ZoneInfo, fahrenheit: bool, date_order: str
) -> _Sample:
    def cell(role: str) -> str:
        at = found.get(role)
        return row[at].strip() if at is not None and at < len(row) else ""

    day = _day(" ".join(filter(None, (cell("date"), cell("time")))), zone, local, date_order)
    low = _celsius(cell("min") or cell("temperature"), fahrenheit)
    high = _celsius(cell("max") or cell("temperature"), fahrenheit)
    if low > high:
        raise ValueError(f"minimum {low:g} above maximum {high:g}")
    return _Sample(day, low, high, _humidity(cell("humidity")))


def _day(text: str, zone: ZoneInfo, local: ZoneInfo, date_order: str) -> date:
    """The local day of a moment; a date alone is the day as it stands."""
    moment, alone = _moment(text, date_order)
    if alone:
        return moment.date()
    return (moment if moment.tzinfo else moment.replace(tzinfo=zone)).astimezone(local).date()


def _moment(text: str, date_order: str) -> tuple[datetime, bool]:
    """A moment, and whether it is a date alone."""
    alone = ":" not in text
    if text.isdigit() and len(text) in (10, 13):  # seconds or milliseconds since 1970
        return datetime.fromtimestamp(int(text[:10]), ZoneInfo("UTC")), False
    try:
        return datetime.fromisoformat(text), alone
    except ValueError:
        pass
    for form in _AMERICAN if date_order == "mdy" else _FORMATS:
        try:
            return datetime.strptime(text, form), alone  # noqa: DTZ007 - the zone is the file's, added by the caller
        except ValueError:
            continue
    raise ValueError(f'no date and time: "{text[:30]}"')


def _celsius(text: str, fahrenheit: bool) -> float:
    match = re.fullmatch(r"(-?\d+(?:[.,]\d+)?)\s*°?\s*([cf])?", text.lower())
    if match is None:
        raise ValueError(f'no temperature: "{text[:30]}"')
    value = float(match[1].replace(",", "."))
    degrees = (value - 32) / 1.8 if match[2] == "f" or (fahrenheit and not match[2]) else value
    if not COLDEST_C <= degrees <= HOTTEST_C:
        raise ValueError(f"{value:g} is no temperature of a glasshouse")
    return degrees


def _humidity(text: str) -> float | None:
    match = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*%?", text)
    value = float(match[1].replace(",", ".")) if match else None
    return value if value is not None and value <= 100 else None


def _days(samples: Sequence[_Sample]) -> Iterator[DayReading]:
    by_day: dict[date, list[_Sample]] = {}
    for one in samples:
        by_day.setdefault(one.day, []).append(one)
    for day in sorted(by_day):
        held = by_day[day]
        humid = [one.rh for one in held if one.rh is not None]
        yield DayReading(
            day,
            round(min(one.low_c for one in held), 1),
            round(max(one.high_c for one in held), 1),
            round(fmean(humid), 1) if humid else None,
            len(held),
        )
