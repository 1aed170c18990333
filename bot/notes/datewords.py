"""The words that dates are made of."""

from __future__ import annotations

WEEKDAYS = {
    **{name: n for n, names in enumerate((
        "monday mon mondays", "tuesday tue tues tuesdays", "wednesday wed weds wednesdays", "thursday thu thur thurs thursdays",
        "friday fri fridays", "saturday sat saturdays", "sunday sun sundays")) for name in names.split()},
}  # fmt: skip


MONTHS = {
    name: n for n, names in enumerate((
        "january jan", "february feb", "march mar", "april apr", "may", "june jun", "july jul", "august aug",
        "september sep sept",
        "october oct", "november nov", "december dec"), 1) for name in names.split()
}  # fmt: skip


UNITS = {
    **dict.fromkeys(("day", "days", "d"), 1), **dict.fromkeys(("week", "weeks", "wk", "wks", "w"), 7),
    **dict.fromkeys(("fortnight", "fortnights"), 14), **dict.fromkeys(("month", "months", "mth", "mths"), 30),
    **dict.fromkeys(("year", "years", "yr", "yrs"), 365),
}  # fmt: skip


DAY_WORDS = {
    "today": 0, "tonight": 0, "yesterday": -1, "yday": -1, "yest": -1, "yesterdays": -1, "yesterday's": -1, "tomorrow": 1,
    "tmrw": 1, "ystday": -1, "yestday": -1,
    "tomorow": 1, "tmw": 1, "tomoz": 1, "yesterady": -1, "ystrdy": -1, "yesterd": -1, "tomorro": 1, "2moro": 1, "tommorow": 1,
    "tommorrow": 1, "2day": 0, "todays": 0, "ytd": -1, "yeserday": -1, "yesteday": -1, "tomorrows": 1, "tmr": 1, "tomrw": 1,
    "tmorrow": 1,
}  # fmt: skip


NIGHT = frozenset("night nite eve evening".split())


PARTS = {
    "early": "early", "start": "early", "beginning": "early", "mid": "mid", "middle": "mid", "late": "late", "end": "late",
    "first": "early",
}  # fmt: skip


SEASONS = frozenset(("spring", "summer", "autumn", "fall", "winter"))


LEAD = frozenset(
    "on last next this in since till until by from before after over at of during for til around about mid early late end".split()
)


STARTS = (
    frozenset(WEEKDAYS) | frozenset(MONTHS) | frozenset(DAY_WORDS) | frozenset(PARTS) | SEASONS
    | frozenset(("last", "next", "this", "the", "a", "in", "day", "on", "over", "easter", "christmas", "xmas", "new", "week",
                 "weekend",
                 "evening", "other", "good", "couple", "few", "recently", "lately", "tonite", "wk", "nite", "back",
                 "boxing", "wkend", "at", "one",
                 "two", "half", "earlier", "sometime", "previous", "this", "lunchtime", "morning", "noon"))
)  # fmt: skip


NUMBER_STARTS = frozenset("a an one two three four five six seven eight nine ten couple few".split())


SHORT_DAYS = frozenset(("sat", "sun", "wed", "mon", "suns"))


AFTER_SAT = frozenset(
    """
        dry there wet in on here still at around burnt burned scorched burn damage too scorch all is was got
        came out idle bone unwatered for
    """.split()
)


ORDINALS = {name: n for n, name in enumerate(
    """
        first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth
        fourteenth fifteenth
    """.split(), 1)}  # fmt: skip


AFTER_RATIO = frozenset("up rooted germ germinated of took failed seeds strength str dose dead c have has now".split())


PEOPLE_VERBS = frozenset(
    """
        gave sent has had brought says said wants wanted took swapped gives sold told asked thinks offered
        came and posted 's is was let
    """.split()
)


MONTH_NOUNS = frozenset(
    "ones sowing sowings lot batch seedlings plants repots cuttings offsets order parcel show meeting sale".split()
)


ALL = (
    frozenset(WEEKDAYS)
    | frozenset(MONTHS)
    | frozenset(UNITS)
    | frozenset(DAY_WORDS)
    | frozenset(PARTS)
    | SEASONS
    | NIGHT
    | frozenset(
        """
            christmas xmas easter weekend sometime fortnight morning afternoon noon evening tonight tonite
            lunchtime before after boxing
        """.split()
    )
)


NO_DAYS = frozenset(
    "go time round spray of dose treatment one year attempt try watering feed application week day lot batch".split()
)


NUMBERED = frozenset("bench tray frame shelf lot label number no plant".split())


CALENDAR = (
    ALL
    | ORDINALS.keys()
    | frozenset(("st", "nd", "rd", "th", "/", "other", "lately", "recently", "week", "weekend"))
    | frozenset(f"{part}-{month}" for part in ("early", "mid", "late") for month in MONTHS)
)
