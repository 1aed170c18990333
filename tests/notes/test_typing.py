"""Typing as it is at the bench: each kind of slip, short form, list, unit and date that growers use, and what it must give.

The kinds are those of common practice; what each gives follows from the meaning of its words (3 inches are 7.62 cm, 86 °F are
30 °C, 12 avoirdupois ounces are 340.2 g: International Yard and Pound Agreement, 1959; Easter Sunday of 2026 is 5 April: the
Gregorian computus of Meeus, Astronomical Algorithms, 1998, chapter 8). The moment is Wednesday 15 April 2026, 10:40.
"""

from __future__ import annotations

import pytest

from bot.notes.reader import read
from tests.corpus.test_corpus import NAMES, NOW, facts

WATERED = "log | event watered "
ROWS = (
    ("a slip by one letter", "watred bench 1", WATERED + "@places=bench 1"),
    ("vowels left out", "wtrd bench 1", WATERED + "@places=bench 1"),
    ("a genus misspelt", "watered the rebuttias", WATERED + "@taxa=rebutia"),
    ("autocorrect of repotted", "reported 41", "log | event repotted @labels=41"),
    ("dictation of Cereus", "watered the serious", WATERED + "@taxa=cereus"),
    ("serious, the word", "nothing serious on bench 1", "ask/act"),
    ("dictation of Lithops", "lit hops watered", WATERED + "@taxa=lithops"),
    ("dictation of Haworthia", "have worth ears watered", WATERED + "@taxa=haworthia"),
    ("dictation of Copiapoa", "copy a pour repotted", "log | event repotted @taxa=copiapoa"),
    ("dictation of bench two", "watered bench to", WATERED + "@places=bench 2"),
    ("dictation of four", "watered for of the lobivias", "log_ask/which | event watered @taxa=lobivia @count=4"),
    ("dictation of eight", "got ate rebutias from pia", "log | event acquired @taxa=rebutia @count=8 from=pia"),
    ("ate, the word", "mice ate rebutias", "log | finding rodent @taxa=rebutia status=present"),
    ("dictation of mites", "mights on 41", "log | finding spider_mite @labels=41 status=present"),
    ("all capitals", "WATERED BENCH 1", WATERED + "@places=bench 1"),
    ("no punctuation", "watered bench 1 fed tray 3", WATERED + "@places=bench 1 | event fed @places=tray 3"),
    ("semicolon", "watered 12; fed 14", WATERED + "@labels=12 | event fed @labels=14"),
    ("line break", "watered 12\nfed 14", WATERED + "@labels=12 | event fed @labels=14"),
    ("a list below its act", "watered:\n- tray 1\n- tray 2", WATERED + "@places=tray 1; tray 2"),
    ("a list without a colon", "fed\ntray 1\ntray 2", "log | event fed @places=tray 1; tray 2"),
    (
        "lines of their own behind an act",
        "watered tray 1\ntray 2 has mites",
        WATERED + "@places=tray 1 | finding spider_mite @places=tray 2 status=present",
    ),
    (
        "a list of moves",
        "moved:\n- 41 to bench 2\n- 77 to bench 1",
        "log | event moved @labels=41 to=bench 2 | event moved @labels=77 to=bench 1",
    ),
    ("& and + in a list", "watered 12 & 14 + 15", WATERED + "@labels=12; 14; 15"),
    ("n for and", "12, 14 n 15 watered", WATERED + "@labels=12; 14; 15"),
    ("a sum", "20 + 3 came", "log_ask/count | event acquired @count=23"),
    ("w/", "repotted 12 w/ pumice", "log | event repotted @labels=12 mix=pumice"),
    ("a range", "watered 12-15", WATERED + "@labels=12; 13; 14; 15"),
    ("x3 before", "x3 rebutias from pia", "log | event acquired @taxa=rebutia @count=3 from=pia"),
    ("3x", "3x rebutias from pia", "log | event acquired @taxa=rebutia @count=3 from=pia"),
    ("ish", "30ish seedlings pricked out", "log_ask/which | event pricked_out @kind=seedlings @count=30 @approx=True"),
    ("odd", "20 odd seeds sown in s17", "log | event sown @sowings=S17 @approx=True sown=20"),
    ("a couple", "watered a couple of the lobivias", "log_ask/which | event watered @taxa=lobivia @count=2"),
    ("half a dozen", "fed half a dozen rebutias", "log_ask/which | event fed @taxa=rebutia @count=6"),
    ("baker's dozen", "bought a baker's dozen rebutias from pia", "log | event acquired @taxa=rebutia @count=13 from=pia"),
    ("half", "half of bench 1 watered", "log_ask/which | event watered @places=bench 1 @fraction=0.5"),
    ("1/2 of", "watered 1/2 of tray 4", "log_ask/which | event watered @places=tray 4 @fraction=0.5"),
    ("three quarters", "three quarters of tray 4 watered", "log_ask/which | event watered @places=tray 4 @fraction=0.75"),
    ("all bar two", "watered bench 1 all bar two", WATERED + "@places=bench 1 @except=(count=2)"),
    ("four of the six", "four of the six rooted", "log | event rooted @count=4 @of=6 total=True"),
    ("inches", "41 is 3 inches tall", "log | measure height @labels=41 value=7.62 unit=cm"),
    ("inches as a mark", '41 is 3" tall', "log | measure height @labels=41 value=7.62 unit=cm"),
    ("millimetres", "41 is 40mm tall", "log | measure height @labels=41 value=4 unit=cm"),
    ("decimal comma", "41 is 4,5 cm tall", "log | measure height @labels=41 value=4.5 unit=cm"),
    ("ounces", "41 weighs 12 oz", "log | measure weight @labels=41 value=340.2 unit=g"),
    ("grams", "41 weighs 340g", "log | measure weight @labels=41 value=340 unit=g"),
    ("litres", "mixed 10 l compost", "log | event mixed litres=10"),
    ("half a litre", "half a litre on bench 1", WATERED + "@places=bench 1 ml=500"),
    ("millilitres each", "12 ml each on the lithops", WATERED + "@taxa=lithops ml=12 each=True"),
    ("Fahrenheit", "max 86°F min 41°F", "log | climate min_c=5 max_c=30"),
    ("degrees", "min 4°C", "log | climate min_c=4"),
    ("percent", "sprayed 41 with soap 2%", "log | event treated @labels=41 how=spray product=soap dose=2%"),
    ("strength", "fed bench 1 quarter strength", "log | event fed @places=bench 1 strength=0.25"),
    ("dose", "sprayed 41 with neem 5ml/l", "log | event treated @labels=41 how=spray product=neem dose=5ml/l"),
    ("money", "got 3 rebutias from pia for £8", "log | event acquired @taxa=rebutia @count=3 price=8 currency=GBP from=pia"),
    ("quid", "got 3 rebutias from pia for 8 quid", "log | event acquired @taxa=rebutia @count=3 price=8 currency=GBP from=pia"),
    ("euro", "got 3 rebutias from pia €12", "log | event acquired @taxa=rebutia @count=3 price=12 currency=EUR from=pia"),
    ("time of day", "remind me at 6pm to water 41", "remind | reminder watered @labels=41 due=2026-04-15T18:00"),
    ("ISO date", "watered 41 on 2026-04-12", WATERED + "@labels=41 when=2026-04-12"),
    ("dotted date", "watered 41 on 12.4.2026", WATERED + "@labels=41 when=2026-04-12"),
    ("ordinal date", "watered 41 on the 12th", WATERED + "@labels=41 when=2026-04-12"),
    ("day and month", "watered 41 on 12th april", WATERED + "@labels=41 when=2026-04-12"),
    ("month and day", "watered 41 april 12", WATERED + "@labels=41 when=2026-04-12"),
    ("days ago", "watered 41 3 days ago", WATERED + "@labels=41 when=2026-04-12"),
    ("a fortnight ago", "watered 41 a fortnight ago", WATERED + "@labels=41 when=2026-04-01"),
    ("over easter", "watered 41 over easter", WATERED + "@labels=41 when=2026-04-05 approx=True"),
    ("fri before last", "watered 41 fri before last", WATERED + "@labels=41 when=2026-04-03"),
    ("last week sometime", "watered 41 last wk sometime", "log_ask/when | event watered @labels=41 when=2026-04-09 approx=True"),
    ("short yesterday", "watered 41 yday", WATERED + "@labels=41 when=2026-04-14"),
    ("a weekday", "watered 41 sunday", WATERED + "@labels=41 when=2026-04-12"),
    ("a weekday ahead", "check 41 sunday", "remind | reminder inspected @labels=41 due=2026-04-19"),
)


@pytest.mark.parametrize(("kind", "text", "wanted"), ROWS, ids=[kind for kind, _, _ in ROWS])
def test_typed_as_it_is(kind: str, text: str, wanted: str) -> None:
    assert facts(read(text, NOW, NAMES)) == wanted


@pytest.mark.parametrize(
    ("order", "text", "day"),
    [
        ("dmy", "watered 41 on 3/4/2026", "2026-04-03"),
        ("mdy", "watered 41 on 3/4/2026", "2026-03-04"),
        ("dmy", "watered 41 on 3/4", "2026-04-03"),
        ("mdy", "watered 41 on 3/4", "2026-03-04"),
        ("dmy", "watered 41 on 13/4/2026", "2026-04-13"),
        ("mdy", "watered 41 on 13/4/2026", "2026-04-13"),
        ("mdy", "watered 41 on 2026-03-04", "2026-03-04"),
    ],
)
def test_a_date_is_read_in_the_growers_order(order: str, text: str, day: str) -> None:
    assert facts(read(text, NOW, NAMES, date_order=order)) == f"{WATERED}@labels=41 when={day}"


@pytest.mark.parametrize(
    ("hemisphere", "season", "day"),
    [
        ("N", "last autumn", "2025-10"),
        ("S", "last autumn", "2025-04"),
        ("N", "last summer", "2025-07"),
        ("S", "last winter", "2025-07"),
    ],
)
def test_a_season_is_that_of_the_hemisphere(hemisphere: str, season: str, day: str) -> None:
    (entry,) = read(f"fed 41 {season}", NOW, NAMES, hemisphere=hemisphere).entries
    assert entry.when is not None
    assert entry.when.isoformat().startswith(day)
    assert entry.approx


@pytest.mark.parametrize(
    ("units", "text", "low"), [("metric", "min 4", 4.0), ("imperial", "min 41", 5.0), ("imperial", "min 5c", 5.0)]
)
def test_a_bare_temperature_is_in_the_growers_units(units: str, text: str, low: float) -> None:
    (entry,) = read(text, NOW, NAMES, units=units).entries
    assert entry.min_c == low
