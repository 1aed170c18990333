"""Tokens read as items: dates, amounts, names, words of the lexicon, and what is left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bot.notes import dates, datewords
from bot.notes.amounts import APPROXIMATE, CURRENCIES, NUMBER_WORDS, UNIT_WORDS, Amount, number_at, unit_at
from bot.notes.calendar import DatePhrase
from bot.notes.lexicon import Lexicon, Sense
from bot.notes.naming import Index
from bot.notes.slips import Slips
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

    def means(self, family: str, *meanings: str) -> bool:
        """Return whether the item is of `family` and, where given, has one of `meanings`."""
        return self.family == family and (not meanings or self.meaning in meanings)

    def sense(self, family: str) -> Sense | None:
        """Return the item's sense in `family`, where the form has several."""
        return next((one for one in self.senses if one.family == family), None)

    def become(self, family: str, meaning: str | None = None) -> None:
        """Take the sense the neighbours call for."""
        found = self.sense(family)
        self.family = family
        self.meaning = meaning if meaning is not None else (found.meaning if found else self.meaning)
        if found is not None:
            self.form, self.more = found.form, found.more


_AMOUNT_STARTS = frozenset(
    (*CURRENCIES, *NUMBER_WORDS, *"label number nr plant no # minus - x s half quarter a an the baker's bakers".split())
)


class Itemizer:
    """Reads one note's tokens into items, once, left to right."""

    def __init__(self, text: str, lexicon: Lexicon, names: Index, slips: Slips, date_order: str) -> None:
        self.text, self.lexicon, self.names, self.slips = text, lexicon, names, slips
        self.tokens = self._mended(_join_hyphens(scan(text), lexicon))
        self.low = [one.low for one in self.tokens]
        self.dates = {one.first: one for one in dates.find(self.tokens, date_order)}
        self.date_order = date_order
        self.items: list[Item] = []

    def _mended(self, tokens: list[Token]) -> list[Token]:
        """Return the tokens with typing slips put right; a known word, a name, a date word or an epithet stays as it is."""
        out: list[Token] = []
        for i, one in enumerate(tokens):
            low = one.low
            if (
                one.kind != "word"
                or len(low) < 4
                or low in self.lexicon.known
                or low in self.names.first
                or low in datewords.ALL
                or self._possessive(low)
                or low in NUMBER_WORDS
                or low in UNIT_WORDS
            ):
                out.append(one)
                continue
            before = out[i - 1].low if i else ""
            taxon = any(sense.family == "taxon" for sense in self.lexicon.single.get(before, ()))
            guess = None if taxon and low.endswith(EPITHET_ENDINGS) else self.slips.nearest(low)
            out.append(one._replace(low=guess) if guess is not None else one)
        return out

    def read(self) -> list[Item]:
        """Return the items of the note."""
        i = 0
        while i < len(self.tokens):
            i = self._step(i)
        return self.items

    def _step(self, i: int) -> int:
        token = self.tokens[i]
        named = self._longest(self.names, i)
        if named is not None and named[1] == 1 and token.low in datewords.MONTHS:
            named = self._month_or_person(i, named)
        if i + 1 in self.dates or i in self.dates:
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
        amount = self._batch_of_product(i) or (numeric and self._amount(i))
        if amount:
            return amount
        if token.low in ("a", "half") and (several := number_at(self.low, i)) is not None:
            return self._number(i, *several)
        found = self._longest(self.lexicon, i)
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

    def _batch_of_product(self, i: int) -> int | None:
        """Take "batch no A4711" behind a product as the number on its bottle; a batch of plants has none before it."""
        if self.low[i] != "batch" or not any(one.family == "product" for one in self.items):
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
        item = Item(family, meaning, start, end, " ".join(self.low[i:after]), **more)
        self.items.append(item)
        return item

    def _longest(self, index: Lexicon | Index, i: int) -> tuple[tuple[Sense, ...], int] | None:
        word = self.low[i]
        if i + 1 < len(self.low):
            for phrase in index.paired.get((word, self.low[i + 1]), ()):
                n = len(phrase.words)
                if (n == 2 or tuple(self.low[i : i + n]) == phrase.words) and self._unbroken(i, n):
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
            and {
                "got",
                "came",
                "bought",
                "swap",
                "swapped",
                "gift",
                "free",
                "parcel",
                "box",
                "arrived",
                "gave",
                "cutting",
                "cuttings",
                "pups",
                "offsets",
                "sold",
                "posted",
                "present",
                "sent",
            }
            & set(self.low)
        ):
            del self.dates[i]

    def _is_person(self, i: int) -> bool:
        """Return whether a name that is also a month is meant as a person here."""
        return self._at(i + 1) in datewords.PEOPLE_VERBS or self._at(i - 1) in (
            "from",
            "for",
            "to",
            "by",
            "with",
            "off",
            "gave",
            "ask",
            "asked",
            "told",
        )

    def _unbroken(self, i: int, n: int) -> bool:
        return all(k not in self.dates or self.dates[k].after <= i + n for k in range(i + 1, i + n))

    def _phrase(self, i: int, senses: tuple[Sense, ...], n: int) -> int:
        one = senses[0]
        item = self._add(one.family, one.meaning, i, i + n, form=one.form, more=one.more, senses=senses)
        if one.family == "num":
            item.value = float(one.meaning)
            item.family = "fraction"
        return i + n

    def _number(self, i: int, value: float, after: int) -> int:
        if self._at(after) == "o'clock":
            self._add("clock", "o'clock", i, after + 1)
            return after + 1
        digits = self.low[i][:1].isdecimal()
        end, approx = after, any(word in APPROXIMATE for word in self.low[i:after])
        if end < len(self.low) and self.low[end] in ("ish", "odd", "-ish"):
            end, approx = end + 1, True
        elif end + 1 < len(self.low) and self.low[end] == "-" and self.low[end + 1] == "ish":
            end, approx = end + 2, True
        self._add("number", "digits" if digits else "word", i, end, value=value, form="approx" if approx else "")
        return end

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

    # amounts

    def _at(self, i: int) -> str:
        return self.low[i] if 0 <= i < len(self.low) else ""

    def _glued(self, i: int) -> bool:
        return 0 < i < len(self.tokens) and self.tokens[i - 1].end == self.tokens[i].start

    def _amount(self, i: int) -> int:
        word = self._at(i)
        if word in CURRENCIES and number_at(self.low, i + 1) is not None:
            value, after = number_at(self.low, i + 1) or (0.0, 0)
            self._add("amount", "money", i, after, value=Amount(value, CURRENCIES[word]))
            return after
        if word in ("label", "number", "nr", "plant") and self._at(i + 1).isdecimal():
            self._add("number", "label", i, i + 2, value=float(self._at(i + 1)))
            return i + 2
        if word == "no" and self._at(i + 1) == "." and self._at(i + 2).isdecimal() and self._glued(i + 1):
            self._add("number", "label", i, i + 3, value=float(self._at(i + 2)))
            return i + 3
        if word == "#" and self._at(i + 1).isdecimal():
            self._add("number", "label", i, i + 2, value=float(self._at(i + 1)))
            return i + 2
        if word == "minus" and self._at(i + 1) in NUMBER_WORDS and self._is_sign(i):
            value, after = number_at(self.low, i + 1) or (0.0, i + 2)
            return self._measured(i, -value, after)
        if word in ("-", "minus") and self._at(i + 1)[:1].isdecimal() and self._is_sign(i):
            return self._measured(i, -(number_at(self.low, i + 1) or (0.0, 0))[0], i + 2)
        if word == "x" and self._at(i + 1).isdecimal():
            self._add("times", word, i, i + 2, value=int(self._at(i + 1)))
            return i + 2
        if word == "s" and self._at(i + 1).isdecimal() and self._glued(i + 1):
            self._add("sowing", "S" + self._at(i + 1), i, i + 2)
            return i + 2
        if self.tokens[i].kind == "number":
            return self._after_number(i)
        got = number_at(self.low, i)
        if got is not None and word not in ("a", "the", "half", "second"):
            unit = unit_at(self.tokens, got[1])
            if unit is not None:
                return self._measured(i, got[0], got[1])
        if word in ("half", "quarter") and self._at(i + 1) == "past":
            after = min(i + 3, len(self.tokens))
            self._add("clock", word, i, after)
            return after
        if word in ("a", "an", "half") and got is None:
            return self._an_hour(i)
        return 0

    def _an_hour(self, i: int) -> int:
        factor, k = (0.5, i + 1) if self._at(i) == "half" else (1.0, i + 1)
        if self._at(k) in ("an", "a"):
            k += 1
        if self._at(k) in ("litre", "liter", "pint") and self._at(i) == "half":
            unit = unit_at(self.tokens, k)
            if unit is not None:
                self._add(
                    "amount",
                    "ml",
                    i,
                    unit[2],
                    value=Amount(factor * unit[1] * 1000, "ml", self.text[self.tokens[i].start : self.tokens[k].end]),
                )
                return unit[2]
        if self._at(k) in ("hour", "minute", "week", "fortnight", "month", "day") and self._at(k + 1) != "ago":
            unit = unit_at(self.tokens, k)
            if unit is not None:
                self._add(
                    "amount",
                    unit[0],
                    i,
                    unit[2],
                    value=Amount(factor * unit[1], unit[0], self.text[self.tokens[i].start : self.tokens[k].end]),
                )
                return unit[2]
        return 0

    def _is_sign(self, i: int) -> bool:
        if self._at(i + 1).isdecimal() and int(self._at(i + 1)) > 60:
            return False
        if self._at(i) == "minus":
            return (
                not self.items
                or self.items[-1].family in ("climate", "prep", "light", "word", "q")
                or self._at(i + 2) in ("c", "°", "degrees", "last")
            )
        if not self._glued(i + 1):
            return False
        return not self._glued(i) or not (self._at(i - 1)[-1:].isdecimal())

    def _after_number(self, i: int) -> int:
        value = (number_at(self.low, i) or (0.0, 0))[0]
        nxt, after = self._at(i + 1), self._at(i + 2)
        if nxt == "o'clock" or (nxt in ("am", "pm") and value <= 12):
            self._add("clock", nxt, i, i + 2)
            return i + 2
        if nxt == "times" and after in ("lens", "loupe", "magnifier"):
            self._add("clock", nxt, i, i + 2)
            return i + 2
        if nxt == "x" and self._glued(i + 1) and not after[:1].isdecimal():
            self._add("times", nxt, i, i + 2, value=int(value))
            return i + 2
        if nxt in ("s", "'s") and self._glued(i + 1) and value < 50:
            self._add("potsize", nxt, i, i + 2, value=value)
            return i + 2
        if nxt == "'" and after == "s" and self._glued(i + 1) and self._glued(i + 2):
            self._add("number", "label", i, i + 3, value=value)
            return i + 3
        if nxt in ("st", "nd", "rd", "th") and self._glued(i + 1):
            self._add("ordinal", nxt, i, i + 2, value=int(value))
            return i + 2
        if (
            nxt == ","
            and after.isdecimal()
            and self._glued(i + 1)
            and self._glued(i + 2)
            and self._at(i - 1) != ","
            and unit_at(self.tokens, i + 3)
        ):
            return self._measured(i, float(f"{self._at(i)}.{after}"), i + 3)
        if nxt == "up" and after == "to" and self._at(i + 3)[:1].isdecimal() and value < 40:
            larger = number_at(self.low, i + 3) or (0.0, i + 4)
            self._add("sizes", "up to", i, larger[1], value=(value, larger[0]))
            return larger[1]
        second = number_at(self.low, i + 2) if after[:1].isdecimal() else None
        if second is not None:
            pair = self._pair(i, value, nxt, second)
            if pair:
                return pair
        if nxt == ":" and after[:1].isdecimal() and self._glued(i + 2):
            return self._ratio(i)
        return self._measured(i, value, i + 1)

    def _pair(self, i: int, value: float, nxt: str, second: tuple[float, int]) -> int:
        if (
            nxt == "+"
            and value.is_integer()
            and second[0].is_integer()
            and value < 100
            and second[0] < 100
            and self._at(second[1]) not in (",", "+", "and")
        ):
            self._add("number", "sum", i, second[1], value=value + second[0])
            return second[1]
        if self.tokens[i + 1].kind == "arrow":
            self._add("sizes", "arrow", i, second[1], value=(value, second[0]))
            return second[1]
        if nxt == "/" and not self._glued(i + 1) and not {"min", "max"} & set(self.low):
            return 0
        if (
            nxt == "to"
            and (self._at(i - 1) == "from" or (unit_at(self.tokens, second[1]) or ("",))[0] == "cm")
            and value < 40
            and second[0] < 40
        ):
            unit = unit_at(self.tokens, second[1])
            after = unit[2] if unit is not None else second[1]
            self._add("sizes", "to", i, after, value=(value, second[0]))
            return after
        if nxt == "/" and unit_at(self.tokens, second[1]) is None:
            self._add("ratio", "/", i, second[1], value=(value, second[0]))
            return second[1]
        if nxt == "/" and value == 1 and second[0] in (2, 4, 3):
            self._add("fraction", "/", i, second[1], value=value / second[0])
            return second[1]
        if nxt in ("-", "to") and second[0] > value:
            unit = unit_at(self.tokens, second[1])
            if unit is not None:
                self._add(
                    "amount", "span", i, unit[2], value=(Amount(value * unit[1], unit[0]), Amount(second[0] * unit[1], unit[0]))
                )
                return unit[2]
            if nxt != "to" and value.is_integer() and second[0].is_integer():
                self._add("range", nxt, i, second[1], value=(int(value), int(second[0])))
                return second[1]
            if nxt == "to" and value.is_integer() and second[0].is_integer():
                self._add("range", "to", i, second[1], value=(int(value), int(second[0])))
                return second[1]
        if nxt == "to" or (nxt == "-" and second[0] < value):
            self._add("sizes", nxt, i, second[1], value=(value, second[0]))
            return second[1]
        return 0

    def _ratio(self, i: int) -> int:
        k = i + 1
        while self._at(k) == ":" and self._at(k + 1)[:1].isdecimal():
            k += 2
        self._add("mixratio", ":", i, k, value=self.text[self.tokens[i].start : self.tokens[k - 1].end])
        return k

    def _measured(self, i: int, value: float, k: int) -> int:
        unit = unit_at(self.tokens, k)
        if (
            unit is not None
            and self._at(k) in ("min", "mins")
            and ({"max", "low", "high"} & set(self.low) or self._at(k + 1)[:1].isdecimal() or self._at(k + 1) in ("-", "minus"))
        ):
            unit = None
        if unit is None:
            self._number(i, value, k)
            if self.items[-1].start < self.tokens[k - 1].start:
                self.items[-1].value, self.items[-1].meaning = value, "signed"
            return self._end_of_last(k)
        name, factor, after = unit
        if name == "cm" and self._at(after) == "pots" and value < 60:
            self._add("potsize", "cm", i, after, value=round(value * factor, 2))
            return after
        slash = self._at(after)
        per = unit_at(self.tokens, after + 1) if slash in ("/", "per", "a") else None
        if slash in ("per", "to") and self._at(after + 1) in ("a", "the", "1"):
            per = unit_at(self.tokens, after + 2)
            after = after + 1 if per else after
        if per is not None and per[0] in ("l", "ml", "GBP"):
            self._add("dose", name, i, per[2], value=self.text[self.tokens[i].start : self.tokens[per[2] - 1].end])
            return per[2]
        money = name in ("GBP", "EUR", "USD", "CZK")
        typed = self.text[self.tokens[i].start : self.tokens[after - 1].end]
        self._add("amount", "money" if money else name, i, after, value=Amount(round(value * factor, 4), name, typed))
        return after

    def _end_of_last(self, k: int) -> int:
        end = self.items[-1].end
        while k < len(self.tokens) and self.tokens[k].start < end:
            k += 1
        return k


def _join_hyphens(tokens: Sequence[Token], lexicon: Lexicon) -> list[Token]:
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
