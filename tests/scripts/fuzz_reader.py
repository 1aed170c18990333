"""Read a great many texts that nobody typed, and keep each that the reader does not stand.

`python -m tests.scripts.fuzz_reader --state FILE --until 1000000` makes text number 0, 1, 2 ... out of the corpora by chance
(the number is the seed, so each can be made again), checks what must hold for it (`tests.properties.held`), shows how far it
is, and writes finds to FILE. Stopped, it goes on where it was; `--step 2 --first 1` does every second text, so that two may
share the work.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import time
import traceback
from pathlib import Path
from typing import Any

from bot.notes.lexicon import load
from tests.corpus.test_corpus import NAMES, NOW, corpus
from tests.properties.held import also, broken, unlike

GOLD = Path(__file__).parents[1] / "notes" / "data" / "bench_notes.jsonl"
ODD = tuple("\u2019\u00bd\u2154\u00b0\u00d7\u2192\u0130\u1e9e\ufb01\u0661\u00b2\u200b\u202e\U0001f335\u00e9\u0301\x00\t\r\u2028")
NUMBERS = (
    "0",
    "1",
    "2",
    "7",
    "12",
    "41",
    "203",
    "999",
    "1000000",
    "9.5",
    "4,5",
    "-3",
    "1/2",
    "12/4",
    "31/2/2026",
    "12-18",
    "0x3",
)
LINKS = (" ", ", ", ". ", "\n", " and ", " but ", "; ", " - ", " (", ") ", ": ", "? ", "/")


class Texts:
    """Makes the texts: each a phrase of the corpora, or several, with some changes."""

    def __init__(self) -> None:
        gold = [json.loads(line)["text"] for line in GOLD.read_text(encoding="utf-8").splitlines()]
        self.phrases = [phrase for _, phrase, _ in corpus()] + gold
        self.words = sorted(load().known) + [place.lower() for place in NAMES.places]

    def text(self, number: int) -> str:
        """Return text number `number`, always the same."""
        chance = random.Random(number)
        kind = chance.random()
        if kind < 0.1:
            words = chance.choices(self.words, k=chance.randint(1, 12))
            return "".join(word + (" " if chance.random() < 0.9 else chance.choice(LINKS)) for word in words)
        made: str = chance.choice(self.phrases)
        while kind > 0.6 and chance.random() < 0.4:
            made += chance.choice(LINKS) + chance.choice(self.phrases)
        for _ in range(chance.choice((0, 1, 1, 1, 2, 3, 6))):
            made = self._changed(made, chance)
        return made if chance.random() > 0.02 else (made + chance.choice(LINKS)) * chance.randint(2, 40)

    def _changed(self, text: str, chance: random.Random) -> str:
        words = text.split(" ")
        at, change = chance.randrange(len(words)), chance.random()
        if change < 0.5:
            put = {0: [], 1: [words[at]] * 2, 2: [chance.choice(self.words), words[at]], 3: [chance.choice(NUMBERS)]}
            words[at : at + 1] = put.get(chance.randrange(5), [chance.choice(self.words)])
            return " ".join(words)
        if change < 0.6:
            other = chance.randrange(len(words))
            words[at], words[other] = words[other], words[at]
            return " ".join(words)
        place = chance.randrange(len(text) + 1)
        if change < 0.7:
            return text[:place] + chance.choice(ODD + tuple(" ,.;:?!()&+-/'\"#@=~%\n")) + text[place:]
        if change < 0.85:
            return text[:place] + text[place + 1 :]
        if change < 0.95:
            return text[:place] + chance.choice("abcdefghijklmnopqrstuvwxyz0123456789") + text[place + chance.randrange(2) :]
        return text[place:]


def finds(number: int, texts: Texts) -> list[str]:
    """Return what does not hold for a text: an error, or the properties it breaks."""
    text = texts.text(number)
    try:
        found = list(broken(text, NOW, NAMES))
        if number % 5 == 0:
            found += unlike(text, NOW, NAMES)
        if number % 20 == 0:
            also(text, texts.text(number + 1), NOW, NAMES)
    except Exception:  # noqa: BLE001  any error is a find
        return ["raises " + traceback.format_exc(limit=-2)]
    return found


def main() -> int:
    """Go on until the last number; return 1 where something was found."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--state", type=Path, required=True)
    asked.add_argument("--until", type=int, default=1_000_000)
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--step", type=int, default=1)
    given = asked.parse_args()
    state: dict[str, Any] = {"next": given.first, "finds": {}}
    if given.state.exists():
        state = json.loads(given.state.read_text(encoding="utf-8"))
    texts, begun, first = Texts(), time.monotonic(), state["next"]
    for number in range(first, given.until, given.step):
        for what in finds(number, texts):
            state["finds"].setdefault(what.split(" '")[0], []).append((number, texts.text(number), what))
        if (number - first) // given.step % 2000 == 0:
            state["next"] = number + given.step
            _keep(state, given.state)
            done = (number - first) / given.step
            found = sum(map(len, state["finds"].values()))
            print(
                f"{number} of {given.until}, {done / (time.monotonic() - begun + 1e-9):.0f} a second, {found} found", flush=True
            )
    state["next"] = given.until
    _keep(state, given.state)
    return 1 if state["finds"] else 0


def _keep(state: dict[str, Any], path: Path) -> None:
    path.with_suffix(".new").write_text(json.dumps(state, indent=1), encoding="utf-8")
    path.with_suffix(".new").replace(path)


if __name__ == "__main__":
    sys.exit(main())
