"""The words of one collection: its places, nicknames, lots, people and sowings as phrases the reader can match."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import lru_cache

from bot.care.known_names import Names
from bot.notes.languages import listed
from bot.notes.lexicon import Phrase, Sense, split_words, tables
from bot.notes.slips import Slips

_ROWS = listed("places")
QUARANTINE = _ROWS["quarantine"]
SYNONYMS = {form: row.removeprefix("place ") for row, forms in _ROWS.items() if row.startswith("place ") for form in forms}
_NUMBERS = listed("numbers")
NUMBER_WORDS = tuple(_NUMBERS[str(n)][0] for n in range(11))
_GENERIC, NO_LEARNT = frozenset(_ROWS["generic"]), frozenset(_ROWS["not_learnt"])
_TOO_MANY = frozenset(_ROWS["too_many"])  # nouns that there is more than one of, sooner or later


class Index:
    """The phrases of one collection, by first word, longest first, and the place that words stand for."""

    def __init__(self, names: Names) -> None:
        self.names = names
        self.finders: dict[str, Slips] = {}  # of slips, by the language that notes are read in
        self.places = {place.lower(): place for place in names.places}
        self._worded = [(frozenset(split_words(key)), place) for key, place in self.places.items()]
        gathered: dict[tuple[str, ...], list[Sense]] = {}
        for form, sense in self._forms():
            words = split_words(form)
            if words and sense not in gathered.setdefault(words, []):
                gathered[words].append(sense)
        first: dict[str, list[Phrase]] = {}
        for words, senses in gathered.items():
            first.setdefault(words[0], []).append(Phrase(words, tuple(senses)))
        self.first = {word: tuple(sorted(many, key=lambda one: -len(one.words))) for word, many in first.items()}
        self.single, self.paired = tables(self.first)
        self.opens = frozenset(word for word, _ in self.paired)
        self.words = tuple(
            sorted(
                {
                    word
                    for many in self.first.values()
                    for one in many
                    for word in one.words
                    if len(one.words) == 1 and len(word) >= 4
                }
            )
        )

    def _forms(self) -> Iterator[tuple[str, Sense]]:
        yield from self._place_forms()
        for nickname in self.names.nicknames:
            yield nickname, Sense("nickname", nickname)
            if nickname.lower().startswith("the "):
                yield nickname[4:], Sense("nickname", nickname)
            else:
                yield f"the {nickname}", Sense("nickname", nickname)
        self.people = people = frozenset(one.lower() for one in self.names.people)
        for key, others in self.names.lots.items():
            sense = Sense("lot", key)
            for noun in () if key.isdecimal() else ("lot", "box", "parcel", "batch", "plants", "haul"):
                yield f"{key} {noun}", sense
                yield f"the {key} {noun}", sense
                yield f"{key}'s {noun}", sense
                yield f"{key}s {noun}", sense
            yield f"lot {key}", sense
            if key.isdecimal() and int(key) < len(NUMBER_WORDS):
                yield f"lot {NUMBER_WORDS[int(key)]}", sense
            for other in others:
                yield other, sense
                yield other.removeprefix("the "), sense
            if not key.isdecimal() and key.lower() not in people:
                yield key, sense
        for person in self.names.people:
            yield person, Sense("person", person.lower())
        for code in self.names.sowings:
            yield code, Sense("sowing", code)
        for said, key in self.names.mixes.items():
            yield said, Sense("mix", key, more={"named": key})

    def _place_forms(self) -> Iterator[tuple[str, Sense]]:
        counted = Counter(word for place in self.names.places for word in split_words(place))
        for place in self.names.places:
            sense = Sense("place", place)
            words = split_words(place)
            yield place, sense
            if len(words) == 2 and words[1].isdecimal() and int(words[1]) < len(NUMBER_WORDS):
                yield f"{words[0]} {NUMBER_WORDS[int(words[1])]}", sense
            if "-" in place:
                yield place.replace("-", " "), sense
            for word in words if len(words) > 1 else ():
                if "-" in word and counted[word] == 1:
                    yield word, sense
                    yield word.replace("-", " "), sense
            for word in words if len(words) > 1 else ():
                if counted[word] == 1 and word not in _GENERIC and word not in NO_LEARNT and word.isalpha() and len(word) > 2:
                    yield word, sense
        shelf = next(
            (p for p in self.names.places if any(w in ("q", "quarantine", "isolation", "iso") for w in split_words(p))), None
        )
        if shelf is not None:
            for form in QUARANTINE:
                if form not in ("q", "quarantine", "iso", "holding"):
                    yield form, Sense("place", shelf)

    def place(self, words: str) -> str:
        """Return the known place that `words` mean, or the words themselves."""
        low = words.lower().removeprefix("the ")
        low = SYNONYMS.get(low, low)
        if low in self.places:
            return self.places[low]
        holders = [place for words, place in self._worded if low in words]
        return holders[0] if len(holders) == 1 and len(low) > 1 and low not in _TOO_MANY else low

    def numbered(self, noun: str, number: str) -> str:
        """Return the place "noun number" as the collection writes it, or as said."""
        said = f"{SYNONYMS.get(noun, noun)} {number}"
        return self.places.get(said.lower(), said)


@lru_cache(maxsize=64)
def _cached(
    places: tuple[str, ...],
    nicknames: tuple[tuple[str, str], ...],
    lots: tuple[tuple[str, tuple[str, ...]], ...],
    people: tuple[str, ...],
    sowings: tuple[str, ...],
    labels: tuple[int, int] | None,
    genera: tuple[str, ...],
    mixes: tuple[tuple[str, str], ...],
) -> Index:
    return Index(Names(places, dict(nicknames), dict(lots), people, sowings, labels, genera, dict(mixes)))


_LAST: list[tuple[Names, Index]] = []  # the names asked for last, and their index: notes come by collection


def index(names: Names) -> Index:
    """Return the index of a collection's names; equal names give the same index."""
    last = _LAST[-1] if _LAST else None
    if last is not None and last[0] is names:
        return last[1]
    found = _index_of(names)
    _LAST[:] = [(names, found)]
    return found


def _index_of(names: Names) -> Index:
    return _cached(
        names.places, tuple(names.nicknames.items()), tuple((key, tuple(others)) for key, others in names.lots.items()),
        names.people, names.sowings, names.labels, names.genera, tuple(names.mixes.items()),
    )  # fmt: skip
