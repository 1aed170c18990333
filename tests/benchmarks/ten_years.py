"""How long notes and questions take on a collection of 2,000 plants with ten years of notes, against one of ten plants.

Run it by hand: `python -m tests.benchmarks.ten_years [FOLDER]`; with a folder the collections are kept there and used again,
measured on a copy: the notes of an earlier run would make those of the next one reach back.
Shown is processor time, the median of some runs, and the ratio of the large to the small collection. The history is appended
to the log in bulk, with the notes it belongs to; what is timed goes through the real intake and rounds.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from bot.app.intake import Intake, rebuild
from bot.app.rounds import run_rounds
from bot.care.events import CareEvent, Ref
from bot.store import carelog, people
from bot.store.database import Database, open_database
from bot.store.tables import inbox, notes
from tests.app.bench import Bench
from tests.benchmarks.due_after_reading import GENERA

YEARS = 10
LAST_DAY = date(2026, 7, 14)
FIRST_DAY = date(LAST_DAY.year - YEARS, 7, 15)
PLANTS_A_BENCH = 50
SMALL, LARGE = 10, 2000
RUNS = 5
ASKED = (
    "whats due",
    "card 7",
    "when did i last water bench 1",
    "how many did i lose this year",
    "losses by genus",
    "survival of the barn lot",
    "what did i do yesterday",
    "where is 7",
    "how many mammillaria",
    "whats not been repotted in 3 years",
    "mites where",
    "how low last winter",
    "history of 7",
)
NOTED = (
    "watered bench 1",
    "7 soaked",
    "mites on 7",
    "undo",
    "min 9 max 27",
    "watered 8 yesterday",
    "repotted 9 into 9cm last sunday",
    "no that was 8",
    "repotted 9 on 3 march",
    "sown 20 parodia",
)


REACHING_BACK = (  # of more kinds, further back, and what is told by entries of the whole log
    "fed bench 1 on 20 april",
    "no that was 8",
    "undo",
    "8 soaked on 14 june 2023",
    "5 died on sunday",
    "undo",
    "moved 6 to bench 2 on 3 march",
    "min 5 on sunday",
    "promised 4 to Lena",
    "what did i promise",
    "gave no 4 to Lena",
    "slip for Lena",
    "parcel for Lena arrived",
    "balance with Lena",
    "bought no 9001 from Anna",
    "9001 is the same plant as 3",
    "2 is the same plant as 3",
)


def history(plants: int) -> Iterator[list[CareEvent]]:
    """Yield the events of each note of ten years, oldest first."""
    benches = [_labels(number, plants) for number in range(-(-plants // PLANTS_A_BENCH))]
    for number, labels in enumerate(benches):
        yield _arrivals(number, labels)
    gone: set[str] = set()
    for days in range((LAST_DAY - FIRST_DAY).days + 1):
        on = FIRST_DAY + timedelta(days=days)
        yield [_event(on, "climate", "", (), {"min_c": _low(on), "max_c": _low(on) + 12.0})]
        for number, labels in enumerate(benches):
            yield from _bench_notes(on, number, [one for one in labels if one not in gone], gone)


def _bench_notes(on: date, number: int, labels: list[str], gone: set[str]) -> Iterator[list[CareEvent]]:
    age = (on - FIRST_DAY).days + 3 * number
    place = (Ref("place", f"bench {number + 1}"), *(Ref("plant", one) for one in labels))
    if 4 <= on.month <= 9 and age % 8 == 0:
        yield [_event(on, "event", "fed" if age % 32 == 0 else "watered", place, {"how": "soak"})]
    if on.month == 3 and on.day == 5 + number % 9:
        third = tuple(Ref("plant", one) for one in labels[on.year % 3 :: 3])
        yield [_event(on, "event", "repotted", third, {"pot_cm": 9.0})]
    if age % 45 == 0:
        yield [_event(on, "event", "inspected", place, {}), _event(on, "finding", "pest", place, {"status": "absent"})]
    if age % 400 == 0 and labels:
        case = (Ref("plant", labels[age % len(labels)]),)
        find = _event(on, "finding", "spider_mite", case, {"status": "present"})
        yield [find]
        yield [_event(on, "event", "treated", case, {"how": "spray"})]
        if on + timedelta(days=40) <= LAST_DAY:  # an entry of a day to come would make each note of today one of the past
            yield [_event(on + timedelta(days=40), "closed", "", (), {"case": find.identity})]
    if age % 170 == 0 and len(labels) > 9:
        gone.add(labels[-1])
        yield [_event(on, "event", "died", (Ref("plant", labels[-1]),), {"cause": "rot"} if age % 340 else {})]
    if on.month in (5, 6) and age % 11 == 0 and labels:
        yield [_event(on, "finding", "flowering", (Ref("plant", labels[age % len(labels)]),), {"status": "present"})]


def _arrivals(number: int, labels: list[str]) -> list[CareEvent]:
    refs = tuple(Ref("plant", one) for one in labels)
    facts = {"from": f"seller {number % 7}", "settled": True, "name": GENERA[number % len(GENERA)], "to": f"bench {number + 1}"}
    return [
        _event(FIRST_DAY, "event", "acquired", refs, facts),
        _event(FIRST_DAY, "known", "", refs, {"pot": {"cm": 7.0}}),
    ]


_made = iter(range(1, 10**9))


def _event(on: date, kind: str, what: str, refs: tuple[Ref, ...], facts: dict[str, Any]) -> CareEvent:
    return CareEvent(f"past{next(_made):08d}", 0, on, datetime(on.year, on.month, on.day, 9, tzinfo=UTC), kind, what, refs, facts)


def _labels(number: int, plants: int) -> list[str]:
    first = number * PLANTS_A_BENCH
    return [str(one + 1) for one in range(first, min(first + PLANTS_A_BENCH, plants))]


def _low(on: date) -> float:
    return round(11.0 - 6.0 * abs(7 - on.month) / 6 + (on.day % 5) * 0.7, 1)


def build(database: Database, plants: int) -> int:
    """Write the collection and its history; return how many events that were."""
    bench = Bench(database, now=datetime(FIRST_DAY.year, FIRST_DAY.month, FIRST_DAY.day, 8, tzinfo=UTC))
    bench.type("hello")
    with database.write() as conn:
        chat = people.find_chat(conn, "terminal", bench.address)
        assert chat is not None
        told = list(history(plants))
        rows = [_note_rows(number, of_note[0]) for number, of_note in enumerate(told, 10)]
        conn.execute(sa.insert(inbox), [one for one, _ in rows])
        owner = {"collection_id": chat.collection_id, "person_id": chat.person_id, "chat_id": chat.id}
        conn.execute(sa.insert(notes), [one | owner for _, one in rows])
        events = [replace(one, note=number) for number, of_note in enumerate(told, 10) for one in of_note]
        carelog.append(conn, chat.collection_id, events)
    rebuild(database, _evening())
    return len(events)


def _note_rows(number: int, event: CareEvent) -> tuple[dict[str, Any], dict[str, Any]]:
    moment, text = event.recorded_at, f"{event.what or event.kind} as noted"
    came = {"id": number, "source": "past", "update_key": str(number), "transport": "terminal", "address": "local"}
    came |= {"sender": "local", "text": text, "sent_at": moment, "message_key": f"past{number}", "reply_to": "", "raw": ""}
    came |= {"got_at": moment, "state": "done", "done_at": moment, "attempts": 1}
    note = {"id": number, "inbox_id": number, "text": text, "sent_at": moment, "reading": {}, "decision": "log", "ask": None}
    return came, note | {"choices": {}, "question_state": ""}


def _evening() -> datetime:
    return datetime(LAST_DAY.year, LAST_DAY.month, LAST_DAY.day, 18, tzinfo=UTC)


def _timed(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


def _typed(bench: Bench, text: str) -> float:
    bench.later(minutes=1)
    return _timed(lambda: bench.type(text))


def measured(database: Database) -> dict[str, float]:
    """Return the seconds that each note, question, start and round takes: the first of the day apart, then medians."""
    bench = Bench(database, now=_evening())
    bench.notes = int(time.time())  # keys of messages that no earlier run has used
    took: dict[str, float] = {}
    before = ""
    took["first note after a start"] = _timed(lambda: bench.type("7 looks fine"))
    for text in (*NOTED, *ASKED, *REACHING_BACK):
        name = text if text not in took else f"{text}, after {before}"
        took[name] = statistics.median(_typed(bench, text) for _ in range(RUNS if text in ASKED else 1))
        before = text
    bench.at("2026-07-15T07:30")
    took["morning round"] = _timed(lambda: run_rounds(database, bench.now, bench.intake.memory))
    took["first note of a new day"] = _timed(lambda: bench.type("8 soaked"))
    bench.intake = Intake(database, bench.settings)
    took["backdated note after a start"] = _timed(lambda: bench.type("watered 8 yesterday"))
    return took


def main() -> None:
    """Build both collections and show what each work takes."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(made)
        shown: dict[int, dict[str, float]] = {}
        for plants in (SMALL, LARGE):
            file = folder / f"{plants}.db"
            new = not file.exists()
            if new:
                begun = time.process_time()
                with closing(open_database(file)) as database:
                    events = build(database, plants)
                print(f"{plants} plants: {events} events, built in {time.process_time() - begun:.1f} s")
            copy = shutil.copyfile(file, Path(made) / f"measured_{plants}.db")
            with closing(open_database(copy)) as database:
                shown[plants] = measured(database)
    for work, small in shown[SMALL].items():
        large = shown[LARGE][work]
        print(f"{work:54} {small:7.3f} s {large:7.3f} s  {large / small:6.1f} times")


if __name__ == "__main__":
    main()
