"""How long it takes to work out anew what is due for 300 and for 2,000 plants after one thermometer reading.

Run it by hand: `python -m tests.benchmarks.due_after_reading`. Shown are the whole note (read, fold, due, answer, commit),
the computation of what is due alone, and the first note of a new day, each the median of some runs, in seconds of processor
time, so that other work on the machine counts little.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from bot.app import intake
from bot.app.climates import setting_of
from bot.care.due import all_due
from bot.store.database import open_database
from tests.app.bench import Bench, act, planted_reader

GENERA = (
    "rebutia lobivia mammillaria lithops conophytum haworthia gasteria echeveria aeonium melocactus astrophytum parodia "
    "gymnocalycium ferocactus opuntia euphorbia aloe crassula sulcorebutia turbinicarpus"
).split()
BENCHES = (6, 40)
PLANTS_EACH = 50
RUNS = 8


def main() -> None:
    """Build each collection, then time."""
    for benches in BENCHES:
        _measure(benches)


def _measure(benches: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(open_database(Path(folder) / "plants.db"))
        intake.read_for = planted_reader(bench)
        for entries in _history(benches):
            bench.note(*entries)
        _time(bench)
        bench.database.close()


def _history(benches: int) -> Iterator[list[dict[str, Any]]]:
    for number in range(benches):
        labels = [str(number * PLANTS_EACH + one + 1) for one in range(PLANTS_EACH)]
        which: Mapping[str, Any] = {"labels": labels}
        yield [act("named", which, name=GENERA[number % len(GENERA)]), act("moved", which, to=f"bench {number + 1}")]
        for third, cm in enumerate((6.0, 9.0, 11.0)):
            yield [act("repotted", {"labels": labels[third::3]}, when="2025-06-01", pot_cm=cm)]
    for number in range(60):
        day = date(2026, 2, 1) + timedelta(days=number)
        yield [{"type": "climate", "min_c": 4 + number / 12, "max_c": 12 + number / 8, "when": day.isoformat()}]
    for number in range(benches):
        day = date(2026, 4, 1) + timedelta(days=number % 14)
        yield [act("watered", {"places": [f"bench {number + 1}"]}, when=day.isoformat())]
    for number in range(benches * PLANTS_EACH // 160 or 1):
        find = {"type": "finding", "sign": "spider_mite", "status": "present", "which": {"labels": [str(100 * number + 7)]}}
        yield [find, act("isolated", {"labels": [str(100 * number + 8)]})]


def _time(bench: Bench) -> None:
    notes = []
    for number in range(RUNS):
        bench.later(minutes=5)
        begun = time.process_time()
        bench.note({"type": "climate", "min_c": 3.0 + number / 10, "max_c": 19.0})
        notes.append(time.process_time() - begun)
    standing = bench.standing
    alone = []
    for _ in range(RUNS):
        begun = time.process_time()
        dues = all_due(standing, setting_of(standing, bench.settings, bench.now.date()))
        alone.append(time.process_time() - begun)
    bench.later(days=1)
    begun = time.process_time()
    bench.note(act("watered", {"labels": ["5"]}))
    first = time.process_time() - begun
    plants = sum(1 for one in standing.plants() if one.kind == "plant")
    print(f"{plants} plants, {len(dues)} due things")
    print(f"a note after a new reading: {statistics.median(notes):.3f} s; what is due alone: {statistics.median(alone):.3f} s")
    print(f"the first note of a new day: {first:.3f} s")


if __name__ == "__main__":
    main()
