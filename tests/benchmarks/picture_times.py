"""How long pictures take: drawn first and next, and what is worked out for them on the way of a note, small against large.

Run it by hand: `python -m tests.benchmarks.picture_times [FOLDER]`; with a folder the collections of `ten_years` are kept there
and used again. Shown is processor time in milliseconds: for each kind the first drawing in a fresh process (matplotlib loaded
within it), the median of the next ones, and the note that asks for it on a collection of 2,000 plants with ten years of notes
with its ratio to one of ten plants.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from bot.store import outbox
from bot.store.database import open_database
from tests.app.bench import Bench
from tests.benchmarks.ten_years import LARGE, SMALL, _evening, build

RUNS = 5
ASKED = (
    "picture of the degree-days",
    "drying curve of 7",
    "due load",
    "flowering calendar",
    "germination curve",
    "survival curve of the barn lot",
    "plot watering by place",
)
_NOTED = (
    "bought 20 echeverias from Ost as the barn lot",
    "2 of the barn lot died of rot",
    "sown 60 parodia as S1",
    "mites on 7",
    "soaked 7",
    "s1 20 up",
)
_FIRST = """
import json, sys, time
begun = time.process_time()
from bot.sharing.pictures import drawn
recipe = json.loads(sys.stdin.read())
drawn(recipe)
print(1000 * (time.process_time() - begun))
"""


def main() -> None:
    """Ask for each kind on both collections and print how long it took."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(sys.argv[1] if len(sys.argv) > 1 else temporary)
        small, large = (_collection(folder, plants) for plants in (SMALL, LARGE))
        for words in ASKED:
            _, few_ms = _asked(small, words)
            recipe, many_ms = _asked(large, words)
            note = f"asked {many_ms:6.0f} ms, ratio {many_ms / few_ms:5.1f}"
            print(f"{words:34} {note}; " + (_drawn(recipe) if recipe else "too little on record to draw"))


def _collection(folder: Path, plants: int) -> Bench:
    """Return a bench on a collection of `ten_years`, with what every kind of picture needs."""
    file = folder / f"{plants}.db"
    new = not file.exists()
    database = open_database(file)
    if new:
        build(database, plants)
    bench = Bench(database, now=_evening())
    bench.notes = int(time.time())  # keys of messages that no earlier run has used
    for text in _NOTED:
        bench.later(days=3).type(text)
    return bench


def _asked(bench: Bench, words: str) -> tuple[Mapping[str, Any] | None, float]:
    """Return the recipe of the picture that words bring, and the median processor time of the note."""
    times, said = [], None
    for _ in range(RUNS):
        begun = time.process_time()
        bench.type(words)
        times.append(1000 * (time.process_time() - begun))
        with bench.database.write() as conn:
            while rows := outbox.claim(conn, bench.now, 60):
                said = rows[-1].outgoing.files
                outbox.mark_sent(conn, rows[-1].id, "1", bench.now)
    return (said[0].recipe if said else None), statistics.median(times)


def _drawn(recipe: Mapping[str, Any]) -> str:
    text = json.dumps(recipe)
    first = subprocess.run([sys.executable, "-c", _FIRST], input=text, capture_output=True, text=True, check=True)
    from bot.sharing.pictures import drawn  # noqa: PLC0415  the first one is timed in a process of its own

    drawn(recipe)
    times = []
    for _ in range(RUNS):
        begun = time.process_time()
        drawn(recipe)
        times.append(1000 * (time.process_time() - begun))
    return (
        f"recipe {len(text) / 1000:5.1f} kB, drawn first {float(first.stdout):5.0f} ms, next {statistics.median(times):5.0f} ms"
    )


if __name__ == "__main__":
    main()
