"""The words the reader knows, read once from the tables of a language.

A form is a word or a phrase; forms of one row are separated by `|`. In the table of acts `water+` stands for a regular verb
(water, waters, watered, watering), `cut/cut/cutting` for one given in full (base, past, -ing); the words after it are part of
the phrase. What else a row says (`how=soak;product=…`) is carried into the details of the entry.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import NamedTuple

from bot import care
from bot.notes.languages import canonical, files

_WORD = re.compile(r"[^\W\d_]+(?:['\-][^\W\d_]+)*|\d+(?:\.\d+)?|\S")


class Sense(NamedTuple):
    """What a form stands for: its class, meaning, grammatical form (base, past, ing or noun) and further facts."""

    family: str
    meaning: str
    form: str = "noun"
    more: Mapping[str, str] = {}


class Phrase(NamedTuple):
    """A form of several words, with the senses it can have."""

    words: tuple[str, ...]
    senses: tuple[Sense, ...]


@dataclass(frozen=True)
class Lexicon:
    """All forms of one language. `first` maps a first word to the phrases that begin with it, longest first."""

    first: Mapping[str, tuple[Phrase, ...]]
    single: Mapping[str, tuple[Sense, ...]] = field(default_factory=dict)
    paired: Mapping[tuple[str, str], tuple[Phrase, ...]] = field(default_factory=dict)
    particles: Mapping[tuple[str, str], Sense] = field(default_factory=dict)
    content: tuple[str, ...] = ()
    known: frozenset[str] = frozenset()
    opens: frozenset[str] = frozenset()  # words that phrases of several begin with
    canonical: Mapping[str, str] = field(default_factory=dict)  # function words of another language by the English ones
    parted: frozenset[str] = frozenset()  # verbs that have a particle


class Row(NamedTuple):
    """One row of a table: its class, meaning, further facts, forms, and the example that is help text and test."""

    family: str
    meaning: str
    more: Mapping[str, str]
    forms: tuple[str, ...]
    example: str


GENERA = Path(care.__file__).with_name("genera.csv")
TABLES = ("acts", "signs", "taxa", "ambiguous", "kinds", "words")
_FAMILY = {"acts": "act", "signs": "sign", "taxa": "taxon", "ambiguous": "ambiguous", "kinds": "kind"}


def rows(language: str = "en") -> Iterator[Row]:
    """Yield every row of the language's tables, its own before those that it shares with English."""
    for table in TABLES:
        for place in files(language, f"{table}.csv"):
            with place.open("r", encoding="utf-8") as lines:
                for row in csv.DictReader(lines):
                    more = dict(part.split("=", 1) for part in (row.get("more") or "").split(";") if "=" in part)
                    family = _FAMILY.get(table) or row["class"]
                    yield Row(family, row["meaning"], more, tuple(row["forms"].split("|")), row.get("example") or "")


@cache
def word_lists(language: str, table: str) -> dict[str, frozenset[str]]:
    """Return the words and phrases by which a family of rules knows its notes, by their key in a table of the language."""
    found: dict[str, frozenset[str]] = {}
    for place in files(language, f"{table}.csv"):
        with place.open("r", encoding="utf-8") as lines:
            for row in csv.DictReader(lines):
                found[row["name"]] = found.get(row["name"], frozenset()) | frozenset(row["forms"].split("|"))
    return found


def plain_words(language: str = "en") -> frozenset[str]:
    """Return ordinary words that mean nothing to the reader and must not be taken for slips of words that do."""
    return frozenset(word for place in files(language, "plain.txt") for word in place.read_text(encoding="utf-8").split())


def genera() -> dict[str, str]:
    """Return every genus name of the trade (accepted or synonym, lower case) with its accepted genus."""
    found: dict[str, str] = {}
    with GENERA.open("r", encoding="utf-8") as lines:
        table = list(csv.DictReader(lines))
    for row in table:
        for other in (row["synonym_genera"] or "").split(";"):
            name = other.split("(")[0].strip().lower()
            if name.isalpha():
                found.setdefault(name, row["genus"].lower())
    found.update({row["genus"].lower(): row["genus"].lower() for row in table})
    return found


def split_words(form: str) -> tuple[str, ...]:
    """Return the words of a form as the scanner would cut them."""
    return tuple(_WORD.findall(form.lower()))


_PAST_FIRST = frozenset("thrown got had gave given went came has have took put turned was were brought".split())
_PAST_LAST = frozenset(
    "opened given done sown lost gone written rewritten picked collected washed rinsed cut trimmed removed".split()
)


def inflections(form: str) -> Iterator[tuple[str, str]]:
    """Yield (phrase, grammatical form) for a form of the table of acts."""
    if " " in form.split("/", maxsplit=1)[0] and form.count("/") == 2:
        yield from zip(form.split("/"), ("base", "past", "ing"), strict=True)
        return
    head, _, rest = form.partition(" ") if "/" not in form else _verb_part(form)
    tail = f" {rest}" if rest else ""
    if "/" in head:
        names = ("base", "past", "ing", "base")
        parts = [*head.split("/"), "" if rest else _third_person(head.split("/")[0])]
        yield from ((part + tail, name) for part, name in zip(parts, names, strict=False) if part)
    elif "+" in form:
        stem, _, rest = form.partition("+")
        rest = rest.strip()
        tail = f" {rest}" if rest else ""
        yield from ((one + tail, name) for one, name in _regular(stem))
    else:
        words = form.split()
        yield form, "past" if words[0] in _PAST_FIRST or (len(words) > 1 and words[-1] in _PAST_LAST) else "noun"


def _verb_part(form: str) -> tuple[str, str, str]:
    cut = form.rfind("/")
    space = form.find(" ", cut)
    return (form, "", "") if space < 0 else (form[:space], " ", form[space + 1 :])


def _third_person(stem: str) -> str:
    if stem.endswith("y") and stem[-2:-1] not in "aeiou":
        return stem[:-1] + "ies"
    return stem + ("es" if stem.endswith(("s", "sh", "ch", "x", "z")) else "s")


def _regular(stem: str) -> Iterator[tuple[str, str]]:
    yield stem, "base"
    yield _third_person(stem), "base"
    if stem.endswith("e"):
        yield stem + "d", "past"
        yield stem[:-1] + "ing", "ing"
    elif stem.endswith("y") and stem[-2:-1] not in "aeiou":
        yield stem[:-1] + "ied", "past"
        yield stem + "ing", "ing"
    else:
        yield stem + "ed", "past"
        yield stem + "ing", "ing"


@cache
def load(language: str = "en") -> Lexicon:
    """Return the lexicon of a language; the tables are read once."""
    gathered: dict[tuple[str, ...], list[Sense]] = {}
    particles: dict[tuple[str, str], Sense] = {}
    content: set[str] = set()
    for row in rows(language):
        for form in row.forms:
            for phrase, grammar in inflections(form) if row.family == "act" else ((form, "noun"),):
                words = split_words(phrase)
                sense = Sense(row.family, row.meaning, grammar, row.more)
                gathered.setdefault(words, []).append(sense)
                if row.family == "act" and grammar != "noun" and len(words) == 2 and words[1] in PARTICLES:
                    particles.setdefault((words[0], words[1]), sense)
                if row.family in CONTENT and len(words) == 1:
                    content.add(words[0])
    for words in [
        words
        for words, senses in gathered.items()
        if len(words) > 1 and senses[0].family == "taxon" and not words[-1].endswith("s")
    ]:
        gathered.setdefault((*words[:-1], words[-1] + "s"), gathered[words])
    for name, accepted in genera().items():
        for form in {
            name,
            name + "s",
            name[:-2] + "i" if name.endswith("us") else name,
            name + "es" if name.endswith("s") else name,
        }:
            if not any(one.family == "taxon" for one in gathered.get((form,), ())):
                gathered.setdefault((form,), []).insert(0, Sense("taxon", accepted))
            content.add(form)
    first: dict[str, list[Phrase]] = {}
    for words, senses in gathered.items():
        first.setdefault(words[0], []).append(Phrase(words, tuple(senses)))
    ordered = {word: tuple(sorted(phrases, key=lambda one: -len(one.words))) for word, phrases in first.items()}
    single, paired = tables(ordered)
    known = frozenset(word for words in gathered for word in words) | plain_words(language)
    tried = tuple(sorted(one for one in content if len(one) >= 4))
    opens = frozenset(first_word for first_word, _ in paired)
    parted = frozenset(verb for verb, _ in particles)
    return Lexicon(ordered, single, paired, particles, tried, known, opens, canonical(language), parted)


def tables(
    first: Mapping[str, tuple[Phrase, ...]],
) -> tuple[dict[str, tuple[Sense, ...]], dict[tuple[str, str], tuple[Phrase, ...]]]:
    """Return the senses of single words, and the longer phrases by their first two words, longest first."""
    single: dict[str, tuple[Sense, ...]] = {}
    paired: dict[tuple[str, str], list[Phrase]] = {}
    for word, phrases in first.items():
        for one in phrases:
            if len(one.words) == 1:
                single[word] = one.senses
            else:
                paired.setdefault((word, one.words[1]), []).append(one)
    return single, {pair: tuple(many) for pair, many in paired.items()}


CONTENT = frozenset(
    {
        "act",
        "sign",
        "taxon",
        "kind",
        "product",
        "somewhere",
        "refer",
        "hedge",
        "except",
        "adj",
        "strength",
        "both",
        "neg",
        "q",
        "till",
        "mix",
    }
)
PARTICLES = frozenset({"up", "down", "out", "off", "over", "on", "in", "away", "outside", "inside"})
