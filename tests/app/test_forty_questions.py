"""The forty questions of the bench, asked as growers ask them, on a season built from notes: the facts must be in the answer.

Numbered by rank (how often they are asked, times what it costs not to know). Each answer has at most five lines, or says how to
see more.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from bot.store.database import open_database
from bot.store.people import CollectionSettings
from tests.app.bench import Bench

SEASON = """
@ 2023-03-20T10:00
my coldest night is 5
60-69 are rebutias
70-74 are lithops
75 is aloe variegata
76 is thelocactus bicolor
moved 60-69 to south bench
moved 70-74 to top shelf
moved 75 and 76 to west sill
repotted 60-64 into 7cm
@ 2025-04-10T08:00
min 6 max 17
@ 2025-04-10T10:00
started watering the south bench
@ 2025-05-08T10:00
66 flowering
@ 2025-06-02T10:00
got 12 gymnos from olga, 24 pounds
took 7 offsets off 62
@ 2025-09-20T10:00
last water for the south bench
@ 2026-02-10T10:00
68 died, cold
69 died
no idea
2 of the olga lot died, rot
@ 2026-03-09T08:00
min -1 max 6
@ 2026-03-15T10:00
sown 50 lobivia
repotted 65 into 9cm
@ 2026-03-24T10:00
S1 31 up
@ 2026-04-01T10:00
got 6 conophytum from pavel
@ 2026-04-10T10:00
mites on 61
sprayed 61 with soap 2ml/l
@ 2026-04-20T10:00
mites still on 61
sprayed 61 with soap 2ml/l
@ 2026-04-24T10:00
unpotted 66 and 67, set them to dry
@ 2026-05-01T10:00
watered 60-64
fed the west sill half strength
75 up for swap
pavel wants a gymno
60 flowering
5 of the 7 offsets rooted
label missing on 74
no water for 73 till june
76 looks stalled
repot the lithops in june
@ 2026-05-04T07:00
min 4 max 18
@ 2026-05-04T10:15
""".strip()

# rank: (question, facts that the answer must hold)
FORTY: dict[int, tuple[str, tuple[str, ...]]] = {
    1: ("whats due", ("1. ", "since", "say “more”")),
    2: ("when did i last water 60", ("Fri 1 May (3 days ago)", "60")),
    3: ("can i water 73", ("Not 73", "held until Mon 1 Jun")),
    4: ("whats still in quarantine", ("The olga lot: day 336", "out from", "The pavel lot: day 33")),
    5: (
        "what did i find last time on 61",
        ("Mon 20 Apr (14 days ago)", "spider mites", "Treated Mon 20 Apr", "Next: look for survivors"),
    ),
    6: ("when do i treat 61 again", ("61", "survivors")),
    7: ("whats drying", ("2 drying", "66", "67", "10 days")),
    8: ("whats repotted and not watered yet", ("65", "potted Sun 15 Mar (50 days ago)", "first water Sun 29 Mar or after")),
    9: ("what did i get from olga and how are they", ("Mon 2 Jun 2025 (336 days ago)", "10 of 12 left", "GBP 24")),
    10: ("whats on the south bench", ("8 rebutias", "7 rebutia offsets")),
    11: ("where is 75", ("75", "west sill")),
    12: ("how low last night", ("Lowest 4 °C, today (n = 1)",)),
    13: ("what was wet when it froze", ("-1",)),
    14: ("what hasnt been repotted in 3 years", ("20 Mar 2023", "no entry", "more")),
    15: ("how many offsets rooted", ("5 of 7 rooted", "2 pending", "day 336")),
    16: ("where are mites now", ("Spider mites on 61", "since 10 Apr", "survivors")),
    17: ("what did i feed this month", ("Fri 1 May (3 days ago)", "west sill", "0.5 strength")),
    18: ("how much for 7 litres at 2ml/l", ("14 ml", "label rate wins")),
    19: ("how did the lobivia sowing do", ("31 up", "62 % (n = 50)", "day 50")),
    20: ("what flowered this time last year", ("66", "Thu 8 May 2025 (361 days ago)")),
    21: ("what died this winter and why", ("4 dead", "rot 2", "cold 1", "no cause noted for 1 (25 %, n = 4)")),
    22: ("losses by seller", ("n = 17 plants", "95 % range", "Olga: 2 of 12 plants, too few to say")),
    23: ("what can i swap", ("75 (Aloe variegata)",)),
    24: ("who wants a gymno", ("Pavel: Gymnocalycium", "since 1 May")),
    25: ("what did i pay for the olga lot and what is left", ("10 of 12 left", "GBP 24", "2.00 each", "2.40 for each left")),
    26: ("what has no name yet", ("All have a name",)),
    27: ("which labels are missing", ("74 (Lithops)",)),
    28: ("whats 62", ("62 (Rebutia)", "south bench", "7 cm", "1 May")),
    29: ("what are the children of 62", ("the offsets of 62",)),
    30: ("what should be dry now", ("still wet",)),
    31: ("when did i start watering last year", ("Thu 10 Apr 2025 (389 days ago)", "south bench", "min 6 °C, max 17 °C")),
    32: ("did the soap work on 61", ("61", "20 Apr")),
    33: ("what did i do on 1 may", ("watered 60-64", "75 up for swap", "more")),
    34: ("whats in flower now", ("60 (Rebutia) on the south bench", "3 days ago")),
    35: ("whats sulking", ("76 (Thelocactus bicolor)", "since Fri 1 May (3 days ago)")),
    36: ("how long do 9cm pots take to dry in june", ("9 cm pots", "days", "no report of yours")),
    37: ("is it safe for bees, what was sprayed", ("Mon 20 Apr", "61", "label")),
    38: ("how many rebutias have i got", ("8: 8 on the south bench", "7 as offsets or cuttings", "2 dead")),
    40: ("what did i mean to do this spring", ("1. ",)),
}
MOST_LINES = 6  # five, and the line that says how to see more
CARD_RANK, CARD_LINES = 28, 9  # a card tells all of a plant in one message


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    database = open_database(tmp_path_factory.mktemp("season") / "season.db")
    bench = Bench(database, CollectionSettings(zone="Europe/London", latitude=51.0))
    for line in SEASON.splitlines():
        if line.startswith("@ "):
            bench.at(line[2:])
        else:
            answer = bench.type(line)
            assert "What did you do" not in answer.text, (line, answer.text)
    yield bench
    database.close()


@pytest.mark.parametrize("rank", FORTY)
def test_the_answer_holds_the_facts(season: Bench, rank: int) -> None:
    question, facts = FORTY[rank]
    answer = season.type(question).text
    missing = [one for one in facts if one not in answer]
    assert missing == [], answer
    assert len(answer.splitlines()) <= (CARD_LINES if rank == CARD_RANK else MOST_LINES), answer
    assert "not watered" not in answer.lower()


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("when did i last water 70", "No watering entry for 70"),
        ("what did i feed last month", "No feed entry since Wed 1 Apr."),
        ("when did i start watering in 2024", "No entry of a rest that ended"),
        ("what did i find on 75", "No look entry for 75"),
        ("any scale", "No scale"),
    ],
)
def test_what_has_no_entry_is_said_so(season: Bench, question: str, said: str) -> None:
    assert said in season.type(question).text


@pytest.mark.parametrize("rank", FORTY)
def test_an_empty_collection_is_answered_too(bench: Bench, rank: int) -> None:
    answer = bench.type(FORTY[rank][0]).text
    assert answer
    assert len(answer.splitlines()) <= MOST_LINES
    assert "wrong" not in answer
