"""How long the reader takes for a note of the gold set, with and without a date phrase, and for its import.

Run it by hand: `python -m tests.benchmarks.reader_times`. Each note is read some times and its best time counts, in
processor time; shown are the median over the notes, the calls of functions of the median note, and what the longest note takes
against an ordinary one a character, so that two machines can be compared by the ratios alone.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.notes import dates
from bot.notes.batch import names_from_json
from bot.notes.reader import LONGEST, read
from bot.notes.tokens import scan
from tests.notes.test_growth import calls

DATA = Path(__file__).parents[1] / "notes" / "data"
RUNS = 7


def main() -> None:
    """Time the gold notes."""
    names = names_from_json(json.loads((DATA / "names.json").read_text(encoding="utf-8")))
    notes = [json.loads(line) for line in (DATA / "bench_notes.jsonl").read_text(encoding="utf-8").splitlines()]
    timed: dict[bool, list[tuple[float, str]]] = {False: [], True: []}
    for note in notes:
        text = note["text"]
        now = datetime.fromisoformat(note["now"]).replace(tzinfo=ZoneInfo(note["tz"]))
        read(text, now, names)
        best = min(_once(text, now, names) for _ in range(RUNS))
        timed[bool(dates.find(scan(text)))].append((best, text))
    medians = {}
    for dated, every in timed.items():
        medians[dated] = statistics.median(took for took, _ in every)
        middle = sorted(every)[len(every) // 2][1]
        print(f"{'with' if dated else 'without'} a date phrase: {len(every)} notes, median {medians[dated] * 1e6:.0f} us, "
              f"{calls(middle)} calls for {middle!r}")  # fmt: skip
    print(f"with a date phrase against without: {medians[True] / medians[False]:.2f}")
    _longest(notes, names, medians[False])
    _import()


def _once(text: str, now: datetime, names: object) -> float:
    begun = time.process_time_ns()
    read(text, now, names)  # type: ignore[arg-type]
    return (time.process_time_ns() - begun) / 1e9


def _longest(notes: list[dict[str, str]], names: object, median: float) -> None:
    text = "\n".join(note["text"] for note in notes)[:LONGEST]
    now = datetime(2026, 4, 15, 10, 40, tzinfo=ZoneInfo("Europe/London"))
    took = min(_once(text, now, names) for _ in range(RUNS))
    ordinary = statistics.median(len(note["text"]) for note in notes)
    print(f"longest note: {took * 1e3:.1f} ms, {took / LONGEST / (median / ordinary):.2f} times an ordinary one a character")


def _import() -> None:
    timed = "import time; b = time.process_time_ns(); import {}; print((time.process_time_ns() - b) / 1e6)"
    code, bare = timed.format("bot.notes.reader"), timed.format("json, csv, re, dataclasses")
    with tempfile.TemporaryDirectory() as folder:  # compiled once, as where it is installed, whatever is set here
        kept = {**os.environ, "PYTHONPYCACHEPREFIX": folder}
        kept.pop("PYTHONDONTWRITEBYTECODE", None)
        took = [
            min(float(subprocess.check_output([sys.executable, "-c", one], env=kept)) for _ in range(RUNS))
            for one in (code, bare)
        ]
    print(f"import: {took[0]:.0f} ms, {took[0] / took[1]:.1f} times that of the standard library's csv, json, re, dataclasses")


if __name__ == "__main__":
    main()
