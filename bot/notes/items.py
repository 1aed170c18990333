"""Tokens read as items: dates, amounts, names, words of the lexicon, and what is left."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bot.notes import dates, datewords
from bot.notes.amounts import CURRENCIES, NUMBER_WORDS, UNIT_WORDS, number_at
from bot.notes.calendar import DatePhrase
from bot.notes.languages import listed
from bot.notes.lexicon import Lexicon, Sense
from bot.notes.naming import Index
from bot.notes.quantities import Quantities
from bot.notes.slips import Slips
from bot.notes.thumbs import lacks_vowels, spelled_out, without_e
from bot.notes.tokens import ABBREVIATIONS, EPITHET_ENDINGS, MARKS, Token, scan


@dataclass(slots=True, eq=False)
class Item:
    """One meaningful piece of a note: its family (act, sign, number, date, name …), what it means, and where it stands."""

    family: str
    meaning: str
    start: int
    end: int
    low: str
    form: str = "noun"
    more: Mapping[str, str] = field(default_factory=dict)
    value: Any = None
    senses: tuple[Sense, ...] = ()
    used: bool = False
    kept: bool = False  # stands in a remark by design

    def copied(self, less: int = 0) -> Item:
        """Return a copy of the item, so many characters nearer to the start of the text."""
        made = Item(self.family, self.meaning, self.start - less, self.end - less, self.low, self.form, self.more)
        made.value, made.senses, made.used, made.kept = self.value, self.senses, self.used, self.kept
        return made

    def means(self, family: str, *meanings: str) -> bool:
        """Return whether the item is of `family` and, where given, has one of `meanings`."""
        return self.family == family and (not meanings or self.meaning in meanings)

    def sense(self, family: str) -> Sense | None:
        """Return the item's sense in `family`, where the form has several."""
        for one in self.senses:
            if one.family == family:
                return one
        return None

    def become(self, family: str, meaning: str | None = None) -> None:
        """Take the sense the neighbours call for."""
        found = self.sense(family)
        self.family = family
        self.meaning = meaning if meaning is not None else (found.meaning if found else self.meaning)
        if found is not None:
            self.form, self.more = found.form, found.more


CAME = frozenset(listed("spoken")["came"])  # words beside which "from jan" is no month
BESIDE_PEOPLE = frozenset(listed("spoken")["beside people"])
DICTATED = {"for": 4.0, "to": 2.0, "too": 2.0, "ate": 8.0, "won": 1.0, "tree": 3.0}
_AMOUNT_STARTS = frozenset(
    (*CURRENCIES, *NUMBER_WORDS, *"label number nr plant no # minus - x s half quarter a an the baker's bakers".split())
)
SPOKEN_OF = 24  # so many words back a product may stand that a batch is of; a note may be long
_BY_STEPS = _AMOUNT_STARTS | DICTATED.keys() | {"batch"}  # words that may be part of an amount


class Itemizer(Quantities):
    """Reads one note's tokens into items, once, left to right."""

    def __init__(self, text: str, lexicon: Lexicon, names: Index, slips: Slips, date_order: str) -> None:
        self.text, self.lexicon, self.names, self.slips = text, lexicon, names, slips
        tokens = scan(text)
        if "-" in text or lexicon.canonical:
            tokens = _join_hyphens(_by_english(tokens, lexicon.canonical), lexicon)
        self.tokens = self._mended(tokens)
        self.low = [one.low for one in self.tokens]
        self.said = (
            [text[one.start : one.end].lower() for one in self.tokens] if lexicon.canonical else self.low
        )  # names are as typed
        self.count = len(self.low)
        self.dates = {one.first: one for one in dates.find(self.tokens, date_order, self.low)}
        self.date_order = date_order
        self.items: list[Item] = []

    def _mended(self, tokens: list[Token]) -> list[Token]:
        """Return the tokens with typing slips put right; a known word, a name, a date word or an epithet stays as it is."""
        known = self.lexicon.known
        strange = [i for i, one in enumerate(tokens) if one.low not in known and one.kind == "word"]
        out = list(tokens) if strange else tokens
        for i in strange:
            one, low = tokens[i], tokens[i].low
            if (
                len(low) < 2
                or low in self.names.first
                or low in datewords.ALL
                or self._possessive(low)
                or low in NUMBER_WORDS
                or low in UNIT_WORDS
            ):
                continue
            if lacks_vowels(low):
                short = spelled_out(low, tokens[i + 1].low if i + 1 < len(tokens) else "", self.names, self.slips.language)
                if short is not None:
                    out[i] = one._replace(low=short)
                    continue
            ended = without_e(low, self.slips.language)
            if ended is not None:
                out[i] = one._replace(low=ended)
                continue
            before = out[i - 1].low if i else ""
            taxon = any(sense.family == "taxon" for sense in self.lexicon.single.get(before, ()))
            guess = self.slips.nearest(low)
            if taxon and low.endswith(EPITHET_ENDINGS) and not self._somewhere(guess):
                guess = None
            if guess is not None:
                out[i] = one._replace(low=guess)
        return out

    def _somewhere(self, word: str | None) -> bool:
        """Return whether a slip is one of a place: "moved the opuntias outsde" names no species."""
        return word is not None and any(one.family == "somewhere" for one in self.lexicon.single.get(word, ()))

    def read(self) -> list[Item]:
        """Return the items of the note."""
        i, names, lexicon = 0, self.names.first, self.lexicon
        dates, stepwise = self.dates, bool(lexicon.canonical)
        paired, single = lexicon.paired, lexicon.single
        tokens, lows = self.tokens, [*self.low, ""]
        while i < self.count:
            token, low = tokens[i], lows[i]
            by_steps = low in _BY_STEPS or low in names or token.kind != "word" or "-" in low
            if by_steps or stepwise or (dates and (i in dates or i + 1 in dates)):
                i = self._step(i)
            elif (low, lows[i + 1]) in paired:  # neither number nor name nor day
                i = self._word(i, self._longest(lexicon, i))
            elif low in single:
                i = self._phrase(i, single[low], 1)
            else:
                i = self._word(i, None)
        return self.items

    def _step(self, i: int) -> int:
        token = self.tokens[i]
        dictated = self._dictated(i) if token.low in DICTATED else None
        if dictated is not None:
            return self._number(i, dictated, i + 1)
        named = self._longest(self.names, i) if self.said[i] in self.names.first else None
        if named is not None and named[1] == 1 and token.low in datewords.MONTHS:
            named = self._month_or_person(i, named)
        if self.dates and (i + 1 in self.dates or i in self.dates):
            self._free_person(i)
        dated = i in self.dates
        if named is not None and (named[1] > 1 or (token.kind == "word" and not dated)):
            shorter = dated and self.dates[i].after - i > named[1]
            if not shorter:
                return self._phrase(i, *named)
        if i in self.dates:
            one = self.dates[i]
            known = self._longest(self.lexicon, i)
            if known is None or known[1] <= one.after - i:
                self._add("date", one.phrase.kind, i, one.after, value=one.phrase)
                return one.after
        numeric = token.kind == "number" or token.low in _AMOUNT_STARTS or "-" in token.low
        amount = (token.low == "batch" and self._batch_of_product(i)) or (numeric and self._amount(i))
        if amount:
            return amount
        if token.low in ("a", "half") and (several := number_at(self.low, i)) is not None:
            return self._number(i, *several)
        return self._word(i, self._longest(self.lexicon, i), numeric)

    def _word(self, i: int, found: tuple[tuple[Sense, ...], int] | None, numeric: bool = False) -> int:
        """Take the word or phrase of the lexicon that was found at a token; without one, a number or what it may be."""
        token = self.tokens[i]
        if found is not None and found[1] > 1 and (name := self._longest(self.names, i + found[1] - 1)) and name[1] > 1:
            found = (self.lexicon.single.get(token.low, found[0]), 1)  # "on top shelf": a name is never cut into
        if found is not None:
            return self._phrase(i, *found)
        number = number_at(self.low, i) if numeric else None
        if number is not None:
            return self._number(i, *number)
        if token.low.endswith("s") and token.low[:-1] in NUMBER_WORDS and 5 <= NUMBER_WORDS[token.low[:-1]] <= 15:
            self._add("potsize", "word", i, i + 1, value=NUMBER_WORDS[token.low[:-1]])
            return i + 1
        return self._unknown(i)

    def _dictated(self, i: int) -> float | None:
        """Return the number that dictation wrote as a word: "watered for of the lobivias", "ate rebutias"."""
        value = DICTATED.get(self.low[i])
        if value is None:
            return None
        taxon = any(sense.family == "taxon" for sense in self.lexicon.single.get(self._at(i + 1), ()))
        counted = self._at(i + 1) == "of" and self._at(i + 2) in ("the", "my", "them", "these", "those")
        eaten = taxon and self.low[i] == "ate" and (i == 0 or self.items[-1:][0].family == "act")
        return value if counted or eaten else None

    def _batch_of_product(self, i: int) -> int | None:
        """Take "batch no A4711" behind a product as the number on its bottle; a batch of plants has none before it."""
        if self.low[i] != "batch" or not any(one.family == "product" for one in self.items[-SPOKEN_OF:]):
            return None
        first = i + 1
        while self._at(first) in ("no", "nr", "number", "code", "#", ":", "."):
            first += 1
        after = first
        while after < len(self.tokens) and (after == first or self._glued(after)):
            after += 1
        code = self.text[self.tokens[first].start : self.tokens[after - 1].end].rstrip(".,;!") if after > first else ""
        if not any(sign.isdecimal() for sign in code):
            return None
        self._add("batchcode", "batch", i, after, value=code)
        return after

    def _add(self, family: str, meaning: str, i: int, after: int, **more: Any) -> Item:
        start, end = self.tokens[i].start, self.tokens[after - 1].end
        low = self.low[i] if after == i + 1 else " ".join(self.low[i:after])
        item = Item(family, meaning, start, end, low, **more)
        self.items.append(item)
        return item

    def _longest(self, index: Lexicon | Index, i: int) -> tuple[tuple[Sense, ...], int] | None:
        low = self.said if index is self.names else self.low
        word = low[i]
        if word in index.opens and i + 1 < self.count:
            for phrase in index.paired.get((word, low[i + 1]), ()):
                n = len(phrase.words)
                if (n == 2 or tuple(low[i : i + n]) == phrase.words) and self._unbroken(i, n):
                    return phrase.senses, n
        senses = index.single.get(word)
        return (senses, 1) if senses is not None else None

    def _month_or_person(self, i: int, named: tuple[tuple[Sense, ...], int]) -> tuple[tuple[Sense, ...], int] | None:
        if not self._is_person(i):
            return None
        self.dates.pop(i, None)
        return named

    def _free_person(self, i: int) -> None:
        """Drop the date in "from jan" where plants came from a person of that name."""
        k = i + 1 if self._at(i) in ("from", "to", "for", "by") else i
        if (
            i in self.dates
            and k > i
            and self._at(k) in datewords.MONTHS
            and self._longest(self.names, k) is not None
            and CAME & set(self.low)
        ):
            del self.dates[i]

    def _is_person(self, i: int) -> bool:
        """Return whether a name that is also a month is meant as a person here."""
        return self._at(i + 1) in datewords.PEOPLE_VERBS or self._at(i - 1) in BESIDE_PEOPLE

    def _unbroken(self, i: int, n: int) -> bool:
        return not self.dates or all(k not in self.dates or self.dates[k].after <= i + n for k in range(i + 1, i + n))

    def _phrase(self, i: int, senses: tuple[Sense, ...], n: int) -> int:
        one, tokens = senses[0], self.tokens
        low = self.low[i] if n == 1 else " ".join(self.low[i : i + n])
        item = Item(one.family, one.meaning, tokens[i].start, tokens[i + n - 1].end, low, one.form, one.more, None, senses)
        self.items.append(item)
        if one.family == "num":
            item.value = float(one.meaning)
            item.family = "fraction"
        return i + n

    def _unknown(self, i: int) -> int:
        token = self.tokens[i]
        if token.kind == "word":
            base = self._possessive(token.low)
            if base is not None:
                item_end = self._phrase(i, base, 1)
                self.items[-1].form = "possessive"
                return item_end
            self._add("word", token.low, i, i + 1, form="known" if token.low in self.lexicon.known else "new")
            return i + 1
        if token.low == "/" and not self._glued(i) and not self._glued(i + 1):
            self._add("comma", ",", i, i + 1)
            return i + 1
        if token.kind == "mark" and token.low in MARKS:
            self._add(MARKS[token.low], token.low, i, i + 1)
            return i + 1
        if token.low == "." and self._glued(i) and self._at(i - 1) in ABBREVIATIONS:
            if self.items:
                self.items[-1].end = token.end
            return i + 1
        if token.kind == "arrow":
            self._add("prep", "to", i, i + 1)
            return i + 1
        family = {"break": "break", "arrow": "arrow", "clock": "clock"}.get(token.kind, "mark")
        self._add(family, token.low, i, i + 1)
        return i + 1

    def _possessive(self, low: str) -> tuple[Sense, ...] | None:
        stem = low[:-2] if low.endswith("'s") else low[:-1] if low.endswith("s") else None
        if not stem:
            return None
        found = self.names.single.get(stem)
        if found is None and low.endswith("'s"):
            found = self.lexicon.single.get(stem)
        return found


def _by_english(tokens: list[Token], canonical: Mapping[str, str]) -> list[Token]:
    """Return the tokens with the function words of another language as the English ones that the rules know."""
    return [one._replace(low=canonical[one.low]) if one.low in canonical else one for one in tokens] if canonical else tokens


def _join_hyphens(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """Cut a hyphened word that no list holds into its parts."""
    out: list[Token] = []
    for one in tokens:
        if "-" not in one.low or one.kind != "word" or one.low in lexicon.first or one.low in lexicon.known:
            out.append(one)
            continue
        start = one.start
        for part in one.low.split("-"):
            if part:
                out.append(Token("word", part, start, start + len(part)))
            start += len(part) + 1
    return out


__all__ = ["DatePhrase", "Item", "Itemizer"]
