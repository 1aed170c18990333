"""The words that dates are made of, from the table `calendar.csv`; other languages say which of theirs are meant by each."""

from __future__ import annotations

from bot.notes.languages import listed, numbered

_ROWS = listed("calendar")


def _words(name: str) -> frozenset[str]:
    return frozenset(_ROWS[name])


WEEKDAYS = numbered("calendar", "weekday")  # Monday is 0
MONTHS = numbered("calendar", "month")
UNITS = numbered("calendar", "unit")  # in days
DAY_WORDS = numbered("calendar", "day")  # days from today
PARTS = {form: row.split()[1] for row, forms in _ROWS.items() if row.startswith("part ") for form in forms}
ORDINALS = {form: n for n, form in enumerate(_ROWS["ordinal"], 1)}
NIGHT, SEASONS, LEAD = _words("night"), _words("season"), _words("lead")
SHORT_DAYS, AFTER_SAT, AFTER_RATIO = _words("short_day"), _words("after_sat"), _words("after_ratio")
PEOPLE_VERBS, MONTH_NOUNS = _words("people_verb"), _words("month_noun")
NO_DAYS, NUMBERED, NUMBER_STARTS = _words("no_day"), _words("numbered"), _words("number_begins")
STARTS = WEEKDAYS.keys() | MONTHS.keys() | DAY_WORDS.keys() | PARTS.keys() | SEASONS | _words("begins")
ALL = WEEKDAYS.keys() | MONTHS.keys() | UNITS.keys() | DAY_WORDS.keys() | PARTS.keys() | SEASONS | NIGHT | _words("also")
_PARTS_OF_MONTHS = {f"{part}-{month}" for part in ("early", "mid", "late") for month in MONTHS}
CALENDAR = ALL | ORDINALS.keys() | _words("calendar") | _PARTS_OF_MONTHS
