"""Questions of the bench in words that nobody had in mind: nothing is ever written by one, and the answer holds its facts."""

from __future__ import annotations

import pytest

from tests.app.bench import Bench
from tests.app.test_forty_questions import season

__all__ = ["season"]

# question, then what its answer must hold; nothing where only this is asked: that no entry is written
ASKED = """
anything i need to do out there today|1.
jobs waiting?|1.
has 60 had water lately|1 May
how many days since 63 had a drink|1 May;3 days
73 ok for a drink?|73;1 Jun
could 73 have some water now|73;1 Jun
which plants are still on the naughty step, quarantine i mean|olga;pavel
how long has the pavel lot got left in quarantine|day
last time i checked 61 what was on it|spider mite;20 Apr
what bug did 61 have|spider mite
next spray for 61?|61;survivors
does 61 want another dose yet|61;survivors
whats lying bare root right now|66;67
how long have 66 and 67 been drying|66;67;10 days
anything potted up thats still waiting for its first drink|65
which repots havent had water|65
what came from olga|olga;12
how are olgas plants doing|10 of 12
what lives on the south bench|rebutia
show the plants on top shelf|lithops
where did i put 75|west sill
where abouts is 76 standing|west sill
how cold did it get in the night|4 °C
lowest temp this winter?|
which ones were wet on the frost night|-1
anything damp when it went below zero|-1
who is overdue a repot, three years or more|20 Mar 2023
which pots havent been changed for 3 years|
how many of the pups have roots|5 of 7
hows the rooting going with the offsets off 62|5 of 7
any mite trouble at the moment|61
which plants have spider mite open|61
did i feed anything in may|west sill
whats had feed this month|west sill
how many ml of soap in 7 litres if its 2 ml per litre|14 ml
2ml/l for a 7l can, how much|14 ml
did the lobivia seed come up|31
S1 how many up|31
what was out in flower a year ago|66
which ones bloomed last may|66
what did i lose over winter|4;rot
winter deaths and what from|4;rot
which seller loses me the most|olga;12
how bad are my losses from rot|rot;n =
what have i got spare for swapping|75
which could go to a swap meet|75
who was after a gymno|Pavel
does anyone want a gymnocalycium|Pavel
what did olgas plants cost me and how many live|24;10 of 12
price per plant of the olga lot|2.00
any plants without a name|All have a name
what still needs a name|All have a name
whose label has gone|74
which pots need a new label|74
tell me about 62|62;south bench
who is 62|62;south bench
what came off 62|offset
any babies from 62|offset
who should be bone dry at the moment|wet
what ought to be resting dry and isnt|wet
what day did watering begin in 2025|10 Apr 2025
when was the first water of last year|10 Apr 2025
is the soap doing anything for 61|61;20 Apr
did spraying 61 help|61;20 Apr
what was i up to on may 1st|watered 60-64
my notes from 1 may|watered 60-64
anything blooming today|60
which are open now, flowers i mean|60
who isnt growing|76
which ones are just sitting there sulking|76
drying time for a 9cm pot in june|9 cm;days
9 cm pots in june, how many days till dry|9 cm;days
sprayed anything the dog should keep off|20 Apr;61
is anything freshly sprayed, visitors coming|20 Apr;61
number of rebutias?|8
how many lithops do i own|5
show me 60 through the years|photo
pictures of 61 by date|no photo
what jobs did i put off till june|
what had i planned for this spring|1.
is there stuff that cant wait|
when was 64 watered the last time round|
am i allowed to give 73 a soak|73;1 Jun
who is in isolation and till when|olga;pavel
what did the last look at 61 turn up|
61 due another go with the soap?|61
which are unpotted and still drying off|66;67
has anything been repotted but not wetted yet|65
olgas lot, whats become of it|
name everything on the west sill|
on which shelf is 72|
how far down did it go last night|
was anything wet in the march frost|-1
longest since a repot, whats been three years|
offsets of 62 rooted yet?|5 of 7
who has mites|61
when did the west sill last get feed|
how much soap for 7 litres, 2 ml per litre|14 ml
what came up from the lobivia sowing|31
did anything flower last may|66
how many died since december and of what|rot
losses for each seller please|olga;12
what is free to swap|75
anyone waiting on a gymno|
how much was the olga lot|24
who is still nameless|All have a name
is any label missing|74
give me everything on 62|south bench
whose pup is the batch from 62|62
is anybody wet that should be dry|60-64
which day did i give the first water last spring|10 Apr 2025
any joy with the soap on 61|61
what got done on the first of may|
whos flowering|60
whats stalled|76
how fast does a 9cm pot dry in june|9 cm;days
when was the last spray, a toddler is coming|
total rebutias|8
every photo of 60|photo
remind me what i meant to do this spring|1.
is it alright to wet 73|1 Jun
mites: where|61
""".strip().splitlines()


@pytest.mark.parametrize("line", ASKED)
def test_a_question_writes_nothing(season: Bench, line: str) -> None:
    question, _, facts = line.partition("|")
    answer = season.type(question)
    assert answer.written == []
    missing = [one for one in filter(None, facts.split(";")) if one.lower() not in answer.text.lower()]
    assert missing == [], answer.text


@pytest.mark.parametrize(
    "question", ["what did the last look at 61 turn up", "what got done on the first of may", "what is the mood out there"]
)
def test_the_stock_is_no_answer_to_something_else(season: Bench, question: str) -> None:
    assert "gymnocalyciums" not in season.type(question).text


@pytest.mark.parametrize(
    "note",
    ["give 62 to Ida", "give 62 a soak", "did take 3 pups off 62", "watered 60 last time 61", "total 3 deaths on the top shelf"],
)
def test_what_only_looks_like_a_question_is_none(bench: Bench, note: str) -> None:
    bench.type("60 is a rebutia")
    assert "question I do not know" not in bench.type(note).text


def test_a_year_ago_is_not_today(season: Bench) -> None:
    answer = season.type("what was out in flower a year ago").text
    assert ("66 (Rebutia)" in answer, "60 (Rebutia)" in answer) == (True, False)


def test_yes_only_for_the_days_asked(season: Bench) -> None:
    assert season.type("did i feed anything in may").text == "Yes: Fri 1 May (3 days ago), west sill."
    assert season.type("did i feed anything in march").text.startswith("No feed entry")
