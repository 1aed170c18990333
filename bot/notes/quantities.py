"""What a run of tokens says of amounts: numbers, ranges, sizes, doses, ratios, temperatures, money, each with its unit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bot.notes.amounts import APPROXIMATE, CURRENCIES, NUMBER_WORDS, Amount, number_at, unit_at
from bot.notes.languages import listed
from bot.notes.tokens import Token

if TYPE_CHECKING:
    from bot.notes.items import Item
    from bot.notes.lexicon import Lexicon


POLLEN = frozenset(listed("spoken")["_pollen"])  # "pollen from 15 to 77"
UP_TO = frozenset(listed("spoken")["_up_to"])  # "12 through 18"
# What may stand behind a number as a part of it; behind anything else it is a number alone, or has a unit.
GOES_ON = UP_TO | frozenset("o'clock am pm times x s 's ' st nd rd th , up to / - + : \u2192".split())
COUNTED = frozenset(("taxon", "kind", "plants", "adj", "ambiguous"))  # before one of these a number is how many


class Quantities:
    """Reads the amount that begins at a token; the reader of items says where one may."""

    text: str
    tokens: list[Token]
    low: list[str]
    items: list[Item]
    lexicon: Lexicon

    def _add(self, family: str, meaning: str, i: int, after: int, **more: Any) -> Item:
        raise NotImplementedError

    def _number(self, i: int, value: float, after: int) -> int:
        if self._at(after) == "o'clock":
            self._add("clock", "o'clock", i, after + 1)
            return after + 1
        digits = self.low[i][:1].isdecimal()
        end, approx = after, not APPROXIMATE.isdisjoint(self.low[i:after])
        if end < len(self.low) and self.low[end] in ("ish", "odd", "-ish"):
            end, approx = end + 1, True
        elif end + 1 < len(self.low) and self.low[end] == "-" and self.low[end + 1] == "ish":
            end, approx = end + 2, True
        self._add("number", "digits" if digits else "word", i, end, value=value, form="approx" if approx else "")
        return end

    def _at(self, i: int) -> str:
        return self.low[i] if 0 <= i < len(self.low) else ""

    def _counts(self, i: int) -> bool:
        """Return whether a number before this word is how many: "no 12 lithops left", and not a label: "no 12 has mites"."""
        word = self._at(i)
        return word in ("of", "more", "other") or any(one.family in COUNTED for one in self.lexicon.single.get(word, ()))

    def _glued(self, i: int) -> bool:
        return 0 < i < len(self.tokens) and self.tokens[i - 1].end == self.tokens[i].start

    def _amount(self, i: int) -> int:
        """Read the amount that begins at a token; return the token after it, 0 where none does."""
        if self.tokens[i].kind == "number":
            return self._after_number(i)
        word = self.low[i]
        if word in ("the", "a", "an"):
            return self._an_hour(i) if word != "the" and number_at(self.low, i) is None else 0
        return self._in_words(i, word)

    def _in_words(self, i: int, word: str) -> int:
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
        of_a_size = self._at(i + 2) == "s" and self._glued(i + 2)  # "no 9s left"
        if word == "no" and self._at(i + 1).isdecimal() and not self._counts(i + 2) and not of_a_size:
            self._add("number", "label", i, i + 2, value=float(self._at(i + 1)))
            return i + 2
        if word == "#" and self._at(i + 1).isdecimal():
            self._add("number", "label", i, i + 2, value=float(self._at(i + 1)))
            return i + 2
        if word == "minus" and self._at(i + 1) in NUMBER_WORDS and self._is_sign(i):
            value, after = number_at(self.low, i + 1) or (0.0, i + 2)
            return self._measured(i, -value, after)
        if word in ("-", "minus") and self._at(i + 1)[:1].isdecimal() and self._is_sign(i):
            return self._below_zero(i)
        if word == "x" and self._at(i + 1).isdecimal():
            self._add("times", word, i, i + 2, value=int(self._at(i + 1)))
            return i + 2
        if word == "s" and self._at(i + 1).isdecimal() and self._glued(i + 1):
            self._add("sowing", "S" + self._at(i + 1), i, i + 2)
            return i + 2
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
        if nxt not in GOES_ON and not nxt.endswith(">"):
            return self._measured(i, value, i + 1)
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
            and self._at(i).isdecimal()
            and after.isdecimal()
            and self._glued(i + 1)
            and self._glued(i + 2)
            and self._at(i - 1) != ","
            and unit_at(self.tokens, i + 3)
        ):
            return self._measured(i, float(f"{self._at(i)}.{after}"), i + 3)
        if nxt == "up" and after == "to" and self._at(i + 3)[:1].isdecimal() and value < 40:
            larger = number_at(self.low, i + 3) or (0.0, i + 4)
            if larger[0] > value:
                self._add("sizes", "up to", i, larger[1], value=(value, larger[0]))
                return larger[1]
            if unit_at(self.tokens, larger[1]) is None and self._at(larger[1]) != "s":  # no pot grows down: a plant and its pot
                self._number(i, value, i + 1)
                self._add("amount", "cm", i + 1, larger[1], value=Amount(larger[0], "cm", self._at(i + 3)))
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
        nxt = "to" if nxt in UP_TO else nxt
        if (
            nxt == "+"
            and value.is_integer()
            and second[0].is_integer()
            and value < 100
            and second[0] < 100
            and self._at(second[1]) not in (",", "+", "and")
            and not (self.items and self.items[-1].family in ("sep", "comma"))
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
        if nxt == "/" and value == 1 and second[0] in (2, 3, 4) and self._at(second[1]) == "of":
            self._add("fraction", "/", i, second[1], value=value / second[0])
            return second[1]
        if nxt == "/" and unit_at(self.tokens, second[1]) is None:
            self._add("ratio", "/", i, second[1], value=(value, second[0]))
            return second[1]
        if nxt == "/" and value == 1 and second[0] in (2, 4, 3):
            self._add("fraction", "/", i, second[1], value=value / second[0])
            return second[1]
        if nxt == "to" and POLLEN & {one.low for one in self.tokens[max(0, i - 3) : i]}:
            return 0  # "pollen from 15 to 77": two plants
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

    def _below_zero(self, i: int) -> int:
        """Take "-2" as a signed number, and "-2/12" as the least and the most of a thermometer."""
        value, second = (number_at(self.low, i + 1) or (0.0, 0))[0], number_at(self.low, i + 3)
        if self._at(i + 2) == "/" and second is not None:
            self._add("ratio", "/", i, second[1], value=(-value, second[0]))
            return second[1]
        return self._measured(i, -value, i + 2)

    def _measured(self, i: int, value: float, k: int) -> int:
        unit = unit_at(self.tokens, k)
        if (
            unit is not None
            and self._at(k) in ("min", "mins")
            and ({"max", "low", "high"} & set(self.low) or self._at(k + 1)[:1].isdecimal() or self._at(k + 1) in ("-", "minus"))
        ):
            unit = None
        if unit is None:
            end = self._number(i, value, k)
            if k > i + 1:  # a sign stands before it
                self.items[-1].value, self.items[-1].meaning = value, "signed"
            return end
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
