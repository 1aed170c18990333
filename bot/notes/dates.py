"""Where a date phrase stands in a note, and which.

Our own grammar finds the span; a word is a date only where the trade would mean one: "sat dry" is no Saturday, "sep 4 pups"
no September, "may water" no May, "jan gave me two" no January. What the grammar finds but does not understand itself goes,
that span alone, to dateparser, which is imported only then.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import NamedTuple

from bot.notes.amounts import number_at
from bot.notes.calendar import DatePhrase, look_up
from bot.notes.datewords import (
    AFTER_RATIO,
    AFTER_SAT,
    CALENDAR,
    DAY_WORDS,
    LEAD,
    MONTH_NOUNS,
    MONTHS,
    NIGHT,
    NO_DAYS,
    NUMBER_STARTS,
    NUMBERED,
    ORDINALS,
    PARTS,
    PEOPLE_VERBS,
    SEASONS,
    SHORT_DAYS,
    STARTS,
    UNITS,
    WEEKDAYS,
)
from bot.notes.languages import listed
from bot.notes.tokens import Token

PUT_OFF, PUT_OFF_TO = (frozenset(listed("terse")[row]) for row in ("put_off", "put_off_to"))
FURTHEST = 16  # words beyond the last one, or before the first
TYPED, CENTURIES = frozenset(("iso", "dotted", "slashed")), frozenset(("19", "20"))
EASTER_DAYS = {"sunday": 0, "monday": 1}  # days from Easter Sunday
SEPARATED = frozenset("pups offsets pup offset clumps heads plants from off chicks babies".split())
AFTER_NUMBER = UNITS.keys() | MONTHS.keys() | {"st", "nd", "rd", "th", "of", "or", "/"}  # what makes a number part of a day


class Found(NamedTuple):
    """A date phrase in the token list: first token, the one after the last, and what it is."""

    first: int
    after: int
    phrase: DatePhrase


Rule = Callable[["Words", int], Found | None]


class Words:
    """A token list read one word at a time."""

    def __init__(self, low: list[str]) -> None:
        self.low = low
        # The word at an index, or nothing beyond either end; no rule looks further ahead than that.
        self.at: Callable[[int], str] = [*low, *[""] * FURTHEST].__getitem__


def find(tokens: Sequence[Token], date_order: str = "dmy", low: list[str] | None = None) -> list[Found]:
    """Return the date phrases in `tokens`, in order, not overlapping; `low` are their words, where they are at hand."""
    low = [one.low for one in tokens] if low is None else low
    if CALENDAR.isdisjoint(low):
        kinds = {one.kind for one in tokens}
        years = "number" in kinds and not CENTURIES.isdisjoint([word[:2] for word in low])
        if not years and TYPED.isdisjoint(kinds):
            return []
    words = Words(low)
    found: list[Found] = []
    index = 0
    while index < len(tokens):
        one = tokens[index]
        hit = None
        if one.kind == "number":
            dated = words.at(index + 1) in AFTER_NUMBER or len(one.low) == 4
            hit = _phrase(words, index, _NUMBER_RULES) if dated else None
        elif one.kind in TYPED:
            hit = _numeric(one, index, date_order)
        elif one.low in STARTS or one.low in NUMBER_STARTS:
            hit = _phrase(words, index, _RULES)
        if hit is None:
            index += 1
        else:
            found.append(hit)
            index = hit.after
    return found


def _numeric(one: Token, index: int, date_order: str) -> Found:
    if one.kind == "iso":
        year, month, day = (int(part) for part in one.low.split("-"))
        return Found(index, index + 1, DatePhrase("day", day=day, month=month, year=year))
    parts = [int(part) for part in one.low.replace("/", ".").strip(".").split(".")]
    day, month = parts[0], parts[1]
    if one.kind == "slashed" and (date_order == "mdy" or month > 12) and day <= 12:
        day, month = month, day
    year = parts[2] if len(parts) > 2 else 0
    return Found(index, index + 1, DatePhrase("day", day=day, month=month, year=year + 2000 if 0 < year < 100 else year))


def _phrase(words: Words, index: int, rules: tuple[Rule, ...]) -> Found | None:
    for rule in rules:
        hit = rule(words, index)
        if hit is not None:
            return hit
    return None


def _relative_day(words: Words, i: int) -> Found | None:
    w = words.at(i)
    if w in ("the", "on") and words.at(i + 1) in ("day", "other"):
        if words.at(i + 1) == "other" and words.at(i + 2) in ("day", "night"):
            return Found(i, i + 3, DatePhrase("vague", days=-3))
        i_day = i + 1
    else:
        i_day = i
    if words.at(i_day) == "day" and words.at(i_day + 1) in ("before", "after"):
        step = -2 if words.at(i_day + 1) == "before" else 2
        if words.at(i_day + 2) in DAY_WORDS:
            return Found(i, i_day + 3, DatePhrase("offset", days=step))
    if w in ("last", "this", "the") and words.at(i + 1) in (*NIGHT, "morning", "afternoon", "am", "pm"):
        if w == "last" and words.at(i + 1) in NIGHT:
            return Found(i, i + 2, DatePhrase("offset", days=-1, name="night"))
        if w == "this":
            return Found(i, i + 2, DatePhrase("eve", name="this") if words.at(i + 1) in NIGHT else DatePhrase("offset"))
    if w in ("tonight", "tonite", "evening", "eve") and words.at(i + 1) != "primrose":
        return Found(i, i + 1, DatePhrase("eve", name=w))
    if w in ("lately", "recently"):
        return Found(i, i + 1, DatePhrase("vague", days=-7))
    if w in DAY_WORDS:
        after = i + 1
        if words.at(after) in ("morning", "am", "pm", "afternoon", *NIGHT, "lunchtime"):
            after += 1
        return Found(i, after, DatePhrase("offset", days=DAY_WORDS[w], name="today" if DAY_WORDS[w] == 0 else ""))
    return None


def _end_of_this(words: Words, i: int) -> Found | None:
    """`the end of the month`, `end of the week`."""
    j = i + 1 if words.at(i) == "the" else i
    part = {"end": "end", "middle": "mid", "start": "early", "beginning": "early"}.get(words.at(j))
    if part and words.at(j + 1) == "of" and words.at(j + 2) == "the" and words.at(j + 3) in ("month", "week", "year"):
        if words.at(j + 3) == "week":
            return Found(i, j + 4, DatePhrase("week", part={"end": "late", "mid": "mid", "early": "early"}[part]))
        if words.at(j + 3) == "month" and part == "end":
            return Found(i, j + 4, DatePhrase("period", name="month", part="last"))
        return Found(i, j + 4, DatePhrase("period", name=words.at(j + 3), part=part))
    return None


def _counted(words: Words, i: int) -> Found | None:
    """`3 days ago`, `a fortnight ago`, `in 10 days`, `2 wks from now`, `3 weeks on friday`."""
    start = i
    ahead = words.at(i) in ("in", "over") and words.at(i) == "in"
    j = i + 1 if ahead else i
    vague = words.at(j) in ("about", "around")
    if vague:
        j += 1
    got = number_at(words.low, j)
    if got is None and words.at(j) in ("a", "an", "another"):
        got = (1.0, j + 1)
    if got is None:
        return None
    number, k = got
    if words.at(k) == "or" and (second := number_at(words.low, k + 1)) is not None:
        number, k, vague = (number + second[0]) / 2, second[1], True
    if words.at(k) == "of":
        k += 1
    unit = UNITS.get(words.at(k))
    if unit is None or (words.at(k) in ("d", "w") and not ahead and words.at(k + 1) not in ("ago", "back")):
        return None
    days = round(number * unit)
    vague = (
        vague or (words.at(j) in ("few", "couple") and words.at(j) == "few") or (words.at(j) == "a" and words.at(j + 1) == "few")
    )
    nxt = words.at(k + 1)
    if nxt in ("ago", "back", "since", "earlier") and not (nxt == "back" and words.at(k + 2) in ("in", "on", "to", "into")):
        vague = vague or unit >= 30
        return Found(start, k + 2, DatePhrase("offset", days=-days, approx=vague))
    if ahead:
        more = k + 1
        if words.at(more) in ("time", "days", "weeks"):
            more += 1
        return Found(start, more, DatePhrase("offset", days=days, approx=vague, part="ahead"))
    if nxt in ("from", "after") and words.at(k + 2) in ("now", "today"):
        return Found(start, k + 3, DatePhrase("offset", days=days, approx=vague, part="ahead"))
    if nxt == "from" and words.at(k + 2) in DAY_WORDS:
        return Found(start, k + 3, DatePhrase("offset", days=days + DAY_WORDS[words.at(k + 2)], approx=vague, part="ahead"))
    if nxt in ("today", "tomorrow", "yesterday") and unit in (7, 14):
        return None
    return None


def _weekday(words: Words, i: int) -> Found | None:
    j, part = i, ""
    if words.at(j) == "on":
        j += 1
    if words.at(j) in ("last", "next", "this", "the", "previous", "coming") or (
        words.at(j) in ("early", "late") and words.at(j + 1) in WEEKDAYS
    ):
        part = {"previous": "last", "coming": "this", "the": "", "early": "", "late": ""}.get(words.at(j), words.at(j))
        j += 1
    if (
        words.at(j) in ("a", "week")
        and words.at(j) == "a"
        and words.at(j + 1) in ("week", "wk")
        and words.at(j + 2) in ("on", *WEEKDAYS)
    ):
        k = j + 3 if words.at(j + 2) == "on" else j + 2
        if words.at(k) in WEEKDAYS:
            return Found(i, k + 1, DatePhrase("weekday", day=WEEKDAYS[words.at(k)], part="week_after"))
        return None
    if words.at(j) not in WEEKDAYS or not _is_weekday(words, i, j):
        return None
    day, k = WEEKDAYS[words.at(j)], j + 1
    if words.at(k) == "before" and words.at(k + 1) == "last":
        return Found(i, k + 2, DatePhrase("weekday", day=day, part="before_last"))
    if words.at(k) in ("week", "wk") and words.at(k + 1) != "ago":
        return Found(i, k + 1, DatePhrase("weekday", day=day, part="week_after"))
    if words.at(k) == "last" and words.at(k + 1) in ("week", "wk"):
        return Found(i, k + 2, DatePhrase("weekday", day=day, part="last_week"))
    if words.at(k) == "next" and words.at(k + 1) in ("week", "wk"):
        return Found(i, k + 2, DatePhrase("weekday", day=day, part="next"))
    k += words.at(k) == "gone"
    if words.at(k) in (*NIGHT, "morning", "afternoon", "am", "pm", "lunchtime"):
        k += 1
    absolute = _day_month(words, k)
    if absolute is not None and absolute.first == k:
        return Found(i, absolute.after, absolute.phrase)
    return Found(i, k, DatePhrase("weekday", day=day, part=part))


def _is_weekday(words: Words, i: int, j: int) -> bool:
    word = words.at(j)
    if word not in SHORT_DAYS:
        return True
    if i < j and words.at(i) != "the":
        return True
    before, after = words.at(i - 1), words.at(j + 1)
    if before in ("the", "full", "in", "more", "direct", "hot", "strong", "morning", "afternoon") and word == "sun":
        return False
    if before in LEAD or (before in PUT_OFF_TO and words.at(0) in PUT_OFF):
        return True
    if word == "sun" and before in ("frames", "frame", "to", "into", "less", "bright", "first", "too"):
        return False
    return after not in AFTER_SAT or (after in ("in", "all", "on", "at", "for") and i == 0 and word not in {"sat", "sun"})


def _ordinal(word: str, after: str) -> int:
    if word.isdecimal() and after in ("st", "nd", "rd", "th"):
        return int(word)
    return ORDINALS.get(word, 0) if word != "second" or after == "of" else 0


def _day_month(words: Words, i: int) -> Found | None:
    """`12 apr`, `12th of april 2025`, `april 12`, `the 24th`, `first of the month`, `12/4` after on."""
    j = i
    while words.at(j) in ("on", "the", "of") and j < i + 2:
        j += 1
    word, after = words.at(j), words.at(j + 1)
    number = _ordinal(word, after)
    ordinal = bool(number)
    if not number and word.isdecimal() and len(word) <= 2:
        number = int(word)
    if 0 < number <= 31:
        return _number_first(words, i, j, number, ordinal)
    return _month_first(words, i, j)


def _number_first(words: Words, i: int, j: int, number: int, ordinal: bool) -> Found | None:
    k = j + (2 if words.at(j + 1) in ("st", "nd", "rd", "th") and words.at(j).isdecimal() else 1)
    m = k + 1 if words.at(k) == "of" else k
    if words.at(i - 1) in NUMBERED and (words.at(m + 1) == "the" or words.at(m + 1).isdecimal()):
        return None  # "bench 2 april 12": the number belongs to the bench
    if words.at(m) == "the" and words.at(m + 1) == "month" and ordinal:
        return Found(i, m + 2, DatePhrase("day", day=number))
    if words.at(m) in MONTHS and _is_month_after_number(words, m, ordinal or m > k):
        year, end = _year_after(words, m + 1)
        return Found(i, end, DatePhrase("day", day=number, month=MONTHS[words.at(m)], year=year))
    if ordinal and words.at(j).isdecimal() and words.at(k) not in NO_DAYS:
        return Found(i, k, DatePhrase("day", day=number))
    if words.at(j + 1) == "/" and words.at(j + 2).isdecimal() and 0 < int(words.at(j + 2)) <= 12 and _slashed(words, i, j):
        return Found(i, j + 3, DatePhrase("day", day=number, month=int(words.at(j + 2)), part="order"))
    return None


def _slashed(words: Words, i: int, j: int) -> bool:
    """Return whether n/m is a date: after on, since, till; behind an act at the end; or before an act at the start."""
    behind = words.at(i - 1)
    if j > i or behind in ("on", "since", "till", "until", "by", "from"):
        return True
    if behind.endswith("ed") or behind in ("wtd", "wtrd", "done"):
        counted = behind in ("rooted", "germinated", "failed", "sprayed", "treated", "dabbed")
        return not counted and words.at(j + 3) in ("", ",", ".", ";")
    return i == 0 and words.at(3) not in AFTER_RATIO | {"", ".", "!", "?", ";"}


def _month_first(words: Words, i: int, j: int) -> Found | None:
    word, after = words.at(j), words.at(j + 1)
    if word not in MONTHS:
        return None
    ended = words.at(j + 2) in ("st", "nd", "rd", "th")
    if after == "the" and words.at(j + 2).isdecimal() and words.at(j + 3) in ("st", "nd", "rd", "th"):
        return Found(i, j + 4, DatePhrase("other", name=" ".join(words.low[j : j + 2]) + f" {words.at(j + 2)}{words.at(j + 3)}"))
    if not after.isdecimal():
        return None
    if word == "may":
        return Found(i, j + 3, DatePhrase("day", day=int(after), month=5)) if ended else None
    if len(after) <= 2 and _is_month_before_number(words, j):
        year, end = _year_after(words, j + (3 if ended else 2))
        return Found(i, end, DatePhrase("day", day=int(after), month=MONTHS[word], year=year))
    if len(after) == 4 and 1950 < int(after) < 2100:
        return Found(i, j + 2, DatePhrase("month", month=MONTHS[word], year=int(after)))
    return None


def _is_month_after_number(words: Words, m: int, ordinal: bool) -> bool:
    if words.at(m) in ("may", "march") and not ordinal:
        return words.at(m + 1) not in ("need", "be", "have", "want", "go", "die", "not")
    if words.at(m) == "sep":
        return words.at(m + 1) not in ("pups", "offsets", "from")
    return True


def _is_month_before_number(words: Words, j: int) -> bool:
    after = words.at(j + 2)
    apart = words.at(j) in ("sep", "sept") and after in SEPARATED
    named = words.at(j) in ("jan", "mar", "march") and after in ("plants", "pups", "offsets", "lobivias")
    return not (apart or named or after == "of")


def _year_after(words: Words, k: int) -> tuple[int, int]:
    word = words.at(k)
    if word.isdecimal() and len(word) == 4 and 1950 < int(word) < 2100:
        return int(word), k + 1
    return 0, k


def _month(words: Words, i: int) -> Found | None:
    j = i
    while words.at(j) in ("in", "the", "during", "on", "at", "over") and j < i + 2:
        j += 1
    part = ""
    if words.at(j) in PARTS or words.at(j) in ("last", "next", "this"):
        if words.at(j) == "first" and words.at(j + 1) != "of":
            return None
        part = PARTS.get(words.at(j), words.at(j))
        k = j + 1
        while words.at(k) in ("of", "-", "part", "the") and k < j + 3:
            k += 1
    else:
        k = j
    word = words.at(k)
    if part and word in ("last", "next", "this") and words.at(k + 1) in ("week", "wk", "month", "year", "yr"):
        return _named_period(i, k + 2, words.at(k + 1), word, part)
    if part in ("early", "mid", "late") and word in ("week", "wk", "month", "year", "yr") and k > j + 1:
        return _named_period(i, k + 1, word, "this", part)
    if word.startswith(("mid-", "early-", "late-")) and word.split("-")[1] in MONTHS:
        return Found(i, k + 1, DatePhrase("month", month=MONTHS[word.split("-")[1]], part=word.split("-")[0]))
    if word not in MONTHS or not _is_month(words, i, k, part):
        return None
    year, end = _year_after(words, k + 1)
    if words.at(k + 1) == "last" and words.at(k + 2) in ("year", "yr"):
        return Found(i, k + 3, DatePhrase("month", month=MONTHS[word], part=part or "year_before"))
    return Found(i, end, DatePhrase("month", month=MONTHS[word], part=part, year=year))


def _is_month(words: Words, i: int, k: int, part: str) -> bool:
    word, before, after = words.at(k), words.at(k - 1), words.at(k + 1)
    if after in MONTH_NOUNS or (after == "of" and words.at(k + 2) == "the"):
        return False
    if part or before in ("in", "since", "till", "until", "by", "of", "during", "before", "from", "after", "til"):
        return not (
            before == "from"
            and word in ("may", "jan", "april", "june")
            and words.at(k - 2) in ("got", "came", "bought", "free", "swap", "pups", "parcel", "box")
        )
    if word in ("may", "mar"):
        return False
    if word in ("jan", "april", "june", "march", "august") and (
        after in PEOPLE_VERBS or before in ("for", "to", "from", "with", "gave", "by")
    ):
        return False
    if word == "sep":
        return not after or after in ("and", ",", ".")
    return not after or after in (",", ".", "and", ";", "?") or i == 0


def _named_period(i: int, after: int, unit: str, which: str, part: str) -> Found:
    step = {"last": -1, "next": 1, "this": 0}[which]
    if unit in ("week", "wk"):
        return Found(i, after, DatePhrase("week", days=step, part=part))
    name = "month" if unit == "month" else "year"
    return Found(i, after, DatePhrase("period", days=step, name=name, part=part))


def _period(words: Words, i: int) -> Found | None:
    j = i + 1 if words.at(i) in ("over", "at", "in", "for", "during") else i
    which = words.at(j)
    if which in ("the", "sometime", "some"):
        return _the_weekend(words, i, j)
    if which in ("last", "next", "this", "previous", "all"):
        which = "last" if which == "previous" else "this" if which == "all" else which
        unit = words.at(j + 1)
        end = j + 2
        if words.at(end) == "sometime":
            end += 1
        if unit in ("week", "wk", "month", "mth", "year", "yr"):
            found = _named_period(i, end, "month" if unit == "mth" else unit, which, "")
            return Found(found.first, found.after, found.phrase)
        if unit in ("weekend", "wkend"):
            return Found(i, end, DatePhrase("weekend", part=which))
        if unit in SEASONS:
            return Found(i, end, DatePhrase("season", name=unit, part=which))
        if unit == "time":
            return None
    if words.at(j) in ("weekend", "wkend"):
        return Found(i, j + 1, DatePhrase("weekend"))
    if words.at(j) == "week" and words.at(j + 1) == "before" and words.at(j + 2) == "last":
        return Found(i, j + 3, DatePhrase("week", days=-2))
    if words.at(j) in SEASONS and words.at(j - 1) in ("in", "during", "over", "since", "till", "until", "by", "this", "before"):
        return Found(j if j == i else i, j + 1, DatePhrase("season", name=words.at(j)))
    return None


def _the_weekend(words: Words, i: int, j: int) -> Found | None:
    if words.at(j + 1) in ("weekend", "wkend"):
        return Found(i, j + 2, DatePhrase("weekend"))
    if words.at(j + 1) in SEASONS and words.at(j - 1) in ("over", "in", "during"):
        return Found(i, j + 2, DatePhrase("season", name=words.at(j + 1)))
    if words.at(j) == "the" and words.at(j + 1) == "week" and words.at(j + 2) == "before" and words.at(j + 3) == "last":
        return Found(i, j + 4, DatePhrase("week", days=-2))
    if words.at(j) in ("sometime", "some") and words.at(j + 1) in ("last", "next", "this"):
        hit = _period(words, j + 1)
        return hit and Found(i, hit.after, hit.phrase)
    return None


def _feast(words: Words, i: int) -> Found | None:
    j = i
    while words.at(j) in ("over", "at", "on", "before", "since", "till", "until") and j < i + 1:
        j += 1
    if words.at(j) == "easter" and words.at(j + 1) not in ("cactus", "cacti"):
        if words.at(j + 1) in EASTER_DAYS:
            return Found(i, j + 2, DatePhrase("easter", part="day", days=EASTER_DAYS[words.at(j + 1)]))
        return Found(i, j + 1, DatePhrase("easter"))
    if words.at(j) == "good" and words.at(j + 1) == "friday":
        return Found(i, j + 2, DatePhrase("easter", part="day", days=-2))
    if words.at(j) in ("christmas", "xmas") and words.at(j + 1) not in ("cactus", "cacti"):
        end = j + 2 if words.at(j + 1) == "day" else j + 1
        return Found(i, end, DatePhrase("christmas", part="day" if end == j + 2 else ""))
    return None


def _year(words: Words, i: int) -> Found | None:
    if (
        words.at(i).isdecimal()
        and len(words.at(i)) == 4
        and 1950 < int(words.at(i)) < 2100
        and words.at(i - 1) in ("since", "in", "from", "of", "during")
    ):
        return Found(i, i + 1, DatePhrase("year", year=int(words.at(i))))
    if words.at(i) == "in" and words.at(i + 1).isdecimal() and len(words.at(i + 1)) == 4 and 1950 < int(words.at(i + 1)) < 2100:
        return Found(i, i + 2, DatePhrase("year", year=int(words.at(i + 1))))
    return None


_RULES: tuple[Rule, ...] = (_relative_day, _feast, _end_of_this, _counted, _weekday, _day_month, _month, _period, _year)
_NUMBER_RULES: tuple[Rule, ...] = (_counted, _day_month, _year)  # all others begin with a word


def understand(text: str, now: datetime, ahead: bool, date_order: str, language: str) -> date | None:
    """Return the day that dateparser reads in a span our grammar found but does not know; None outside a sane window."""
    import dateparser  # noqa: PLC0415  heavy: only where a note holds such a phrase

    read = dateparser.parse(
        text,
        languages=[language],
        settings={
            "RELATIVE_BASE": now.replace(tzinfo=None),
            "PREFER_DATES_FROM": "future" if ahead else "past",
            "DATE_ORDER": date_order.upper(),
            "STRICT_PARSING": False,
        },
    )
    if read is None or abs((read.date() - now.date()).days) > 3700:
        return None
    day: date = read.date()
    return day


__all__ = ["Found", "find", "look_up", "understand"]
