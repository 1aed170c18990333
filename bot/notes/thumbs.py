"""Words typed without their vowels, as thumbs do: "mvd", "sdlngs", "xcpt lithops".

A word that has a vowel after its first letter, or that the reader knows, is never touched. The table `thumbs.csv` settles
those that several of our words would shorten to ("ptd"); any other must be short for words of one meaning only, else it
stays unread.
"""

from __future__ import annotations

import csv
import re
from functools import cache
from typing import TYPE_CHECKING

from bot.notes.languages import files
from bot.notes.lexicon import load
from bot.notes.slips import skeleton

if TYPE_CHECKING:
    from bot.notes.naming import Index

SHORTEST = 3  # letters, for a word that the table does not hold
# Classes of words that a short form may stand for. A genus is typed in the growers' own short forms, which the tables hold.
_MEANT = frozenset("act kind sign refer except adj somewhere mix product both strength neg plan hedge pot".split())
_ABOUT_A_DEATH = frozenset(("died", "missing"))


def lacks_vowels(word: str) -> bool:
    """Return whether a word is nothing but consonants after its first letter, as a thumb leaves it."""
    return _VOWELLESS.match(word) is not None


_VOWELLESS = re.compile(r"[a-z][b-df-hj-np-tv-z]+\Z")


def spelled_out(word: str, behind: str, names: Index, language: str) -> str | None:
    """Return the word that `word`, followed by `behind`, is short for, or None where that is not certain."""
    for first in names.opens:
        if (first, behind) in names.paired and skeleton(first) == skeleton(word) and first != word:
            return first  # "frm b", "tp shlf": a place of the collection
    table, meant = _tables(language)
    if word in table:
        return table[word]
    return meant.get(skeleton(word)) if len(word) >= SHORTEST else None


def without_e(word: str, language: str) -> str | None:
    """Return the verb that "soakd", "potd" is short for: only the e of its ending is missing."""
    if len(word) < 4 or word[-1] != "d":
        return None
    single = load(language).single
    full = (f"{word[:-1]}ed", f"{word[:-1]}{word[-2]}ed")
    return next((one for one in full if one in single and single[one][0].family == "act"), None)


@cache
def _tables(language: str) -> tuple[dict[str, str], dict[str, str]]:
    """Return the short forms of the table, and the one word that a skeleton stands for."""
    table: dict[str, str] = {}
    for place in files(language, "thumbs.csv"):
        with place.open("r", encoding="utf-8") as lines:
            for row in csv.DictReader(lines):
                for typed in row["typed"].split("|"):
                    table.setdefault(typed, row["word"])
    found: dict[str, dict[tuple[str, str], str]] = {}
    for word, senses in load(language).single.items():
        if senses[0].family not in _MEANT or not word.isalpha() or len(word) <= SHORTEST:
            continue
        sense = (senses[0].family, senses[0].meaning + senses[0].more.get("how", ""))
        for short in {skeleton(word), skeleton(word[1:]) if word[0] in "aeiou" and word[1] not in "aeiou" else skeleton(word)}:
            best = found.setdefault(short, {})
            if sense not in best or len(word) > len(best[sense]):
                best[sense] = word
    meant = {
        short: next(iter(best.values()))
        for short, best in found.items()
        if len(best) == 1 and next(iter(best))[1] not in _ABOUT_A_DEATH
    }
    return table, meant
