"""Noun phrases and their heads: a genus, a kind, a place, a lot, labels, pots of a size.

head = genus | kind | place | nickname | lot | sowing | label { "," label } | range | pots of a size | "ones"
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.naming import SYNONYMS, Index
from bot.notes.reading import Selection

HEADS = frozenset(
    (
        "taxon",
        "ambiguous",
        "kind",
        "place",
        "nickname",
        "lot",
        "sowing",
        "number",
        "range",
        "potsize",
        "plants",
        "rootkind",
        "state",
        "somewhere",
        "numbered",
        "refer",
        "both",
        "most",
        "fraction",
        "label",
        "part",
    )
)
EPITHET = ("us", "as", "a", "is", "ii", "um", "ensis", "i", "ae", "e", "ana", "ens", "oides", "or", "ax", "ans", "x")


AFTER_BENCH = ("", "comma", "break", "act", "light", "q")
LETTERS = {
    form: row.removeprefix("letter_") for row, forms in listed("terse").items() if row.startswith("letter_") for form in forms
}
ENDS_LABEL = frozenset(("", "act", "light", "q", "break", "prep", "date", "sign", "query", "hedge", "colon", "comma", "left"))
COUNTS_BEHIND = frozenset("acquired sown germinated offsets_taken cutting_taken seed_harvested offered".split())
NUMBERED = frozenset(listed("spoken")["numbered"])  # places that have numbers
THERE = frozenset(listed("spoken")["there"])
LEAST_LABEL = 10  # project default: below, a number before an act may be how many


@dataclass(slots=True, eq=False)
class Phrase:
    """A noun phrase: the selection fields it gives, the preposition before it, and how it was said."""

    family: ClassVar[str] = ""  # of no class of words; what looks for one passes it by

    start: int
    end: int
    first: int
    after: int
    fields: dict[str, Any] = field(default_factory=dict)
    prep: str | None = None
    article: bool = False
    whole: bool = False  # "the 5", "both", "all": a whole set, not a part of one
    bare: bool = False  # a number alone: a label or a count
    spelled: bool = False  # the number is a word
    person: str | None = None
    used: bool = False
    out: bool = False  # taken away ("except …")
    possessive: bool = False
    low: str = ""
    of_plants: bool = False  # "2 plants": what is counted is said
    roughly: bool = False  # "about" stands before the number
    described: str = ""  # the adjectives before the head

    def selection(self) -> Selection | None:
        """Return the selection, or None where the words name nothing."""
        return Selection(**self.fields) if self.fields else None


class Heads:
    """Reads the head of a noun phrase in a run of items."""

    def __init__(self, items: Sequence[Item], names: Index, text: str) -> None:
        self.items, self.names, self.text, self.count = items, names, text, len(items)
        self._opening = -1

    def at(self, i: int) -> Item | None:
        """Return the item at `i`, or None beyond the end."""
        return self.items[i] if 0 <= i < self.count else None

    def low_at(self, i: int) -> str:
        """Return the words of the item at `i`."""
        return self.items[i].low if 0 <= i < self.count else ""

    def family(self, i: int) -> str:
        """Return the family of the item at `i`."""
        return self.items[i].family if 0 <= i < self.count else ""

    def _describe(self, made: Phrase) -> None:
        if made.described:
            made.fields["words"] = made.described.lower()

    def _head_taxon(self, i: int, one: Item, made: Phrase) -> int:
        genus, k = one.meaning, i + 1
        nxt = self.at(k)
        if nxt is not None and nxt.means("taxon", genus) and nxt.low != one.low == genus and nxt.low.endswith(EPITHET):
            made.fields["taxa"] = (f"{genus} {nxt.low}",)  # "astrophytum asterias": an epithet that is a name of its own
            return k + 1
        if (
            nxt is not None
            and nxt.family == "word"
            and nxt.form == "new"
            and len(nxt.low) > 4
            and nxt.low.endswith(EPITHET)
            and nxt.start - one.end <= 1
            and one.meaning not in ("cacti", "mesembs", "epiphytes")
            and not nxt.low.endswith(("ings", "ers"))
        ):
            genus, k = f"{genus} {nxt.low}", k + 1
        made.fields["taxa"] = (genus,)
        self._describe(made)
        nxt = self.at(k)
        if nxt is not None and nxt.family == "times" and "count" not in made.fields:
            made.fields["count"] = int(nxt.value)
            return k + 1
        if nxt is not None and nxt.means("kind", "leaves") and "count" not in made.fields and nxt.low in ("leaf", "leaves"):
            k += 1
        elif nxt is not None and nxt.family == "kind":
            made.fields["kind"] = nxt.meaning
            k += 1
        elif nxt is not None and nxt.family == "number" and one.low == one.meaning and self._numbered_plant(k, made):
            made.fields["labels"] = (str(int(nxt.value)),)
            k += 1
        elif nxt is not None and nxt.family == "plants" and nxt.low not in ("lot", "box", "parcel"):
            k += 1
        return k

    def _numbered_plant(self, k: int, made: Phrase) -> bool:
        """Return whether the number behind a genus in the singular is its label: "parodia 88 is dead"."""
        one = self.items[k]
        whole = one.meaning == "digits" and float(one.value).is_integer() and LEAST_LABEL <= one.value <= 100_000
        ends = self.family(k + 1) in ENDS_LABEL and self.family(k + 2) not in ("number", "range")
        counts = any(x.family == "act" and x.meaning in COUNTS_BEHIND for x in self.items)
        return whole and ends and not counts and "count" not in made.fields

    def _head_ambiguous(self, i: int, one: Item, made: Phrase) -> int:
        held = [genus for genus in one.meaning.split("|") if genus in self.names.names.genera]
        if len(held) == 1:
            made.fields["taxa"] = (held[0],)
        else:
            made.fields["words"] = one.low
        return i + 1

    def _head_kind(self, i: int, one: Item, made: Phrase) -> int:
        made.fields["kind"] = one.meaning
        parent = self.at(i + 1)
        if (
            one.low.endswith((" off", " from"))
            and parent is not None
            and parent.family == "number"
            and parent.meaning == "digits"
        ):
            made.fields["labels"] = (str(int(parent.value)),)
            return i + 2
        if made.described and made.described.lower() not in ("young", "new", "little", "small", "tiny", "potted"):
            self._describe(made)
        return i + 1

    def _head_part(self, i: int, one: Item, made: Phrase) -> int | None:
        if one.low != "roots" or "count" not in made.fields:
            return None
        made.fields["kind"] = "roots"
        return i + 1

    def _head_rootkind(self, i: int, one: Item, made: Phrase) -> int:
        made.fields["roots"] = one.meaning
        return i + 2 if self.family(i + 1) in ("plants", "part") else i + 1

    def _head_state(self, i: int, one: Item, made: Phrase) -> int | None:
        if one.low in ("new", "repots", "quarantined") and self.family(i + 1) != "plants" and one.low == "new":
            return None
        made.fields["state"] = one.meaning
        return i + 2 if self.family(i + 1) == "plants" else i + 1

    def _head_nickname(self, i: int, one: Item, made: Phrase) -> int:
        made.fields["nicknames"] = (one.meaning,)
        made.possessive = one.form == "possessive"
        return i + 1

    def _head_lot(self, i: int, one: Item, made: Phrase) -> int:
        made.fields["lots"] = (one.meaning,)
        made.possessive = one.form == "possessive"
        return i + 1

    def _head_sowing(self, i: int, one: Item, made: Phrase) -> int:
        codes = [one.meaning]
        k = i + 1
        while True:
            link = self.at(k)
            if link is not None and link.low in ("to", "-", "-") and self.family(k + 1) == "sowing":
                codes += _between(codes[-1], self.items[k + 1].meaning)
                k += 2
            elif link is not None and link.low in ("-", "-") and self.family(k + 1) == "number":
                codes += _between(codes[-1], f"S{int(self.items[k + 1].value)}")
                k += 2
            else:
                break
        made.fields["sowings"] = tuple(codes)
        return k

    def _head_place(self, i: int, one: Item, made: Phrase) -> int:
        places, k = [one.meaning], i + 1
        words = one.meaning.rsplit(" ", 1)
        if len(words) == 2:
            more, k = self._more_numbers(k, words[0], words[1])
            places += more
        made.fields["places"] = tuple(places)
        made.possessive = one.form == "possessive"
        return k

    def _head_somewhere(self, i: int, one: Item, made: Phrase) -> int | None:
        numbered = self._head_numbered(i, one, made)
        if numbered is not None:
            return numbered
        said = (
            f"{made.described} {one.low}".strip().lower()
            if (made.described and made.after == made.first) or made.described
            else one.low
        )
        place = self.names.place(said)
        made.fields["places"] = (place,)
        return i + 1

    def _head_numbered(self, i: int, one: Item, made: Phrase) -> int | None:
        nxt = self.at(i + 1)
        noun = SYNONYMS.get(one.low, one.low)
        if nxt is None or noun not in NUMBERED:
            return None
        if nxt.family == "ratio":
            made.fields["places"] = tuple(self.names.numbered(noun, str(int(n))) for n in nxt.value)
            return i + 2
        if nxt.family == "range":
            low, high = nxt.value
            if high - low < 60:
                made.fields["places"] = tuple(self.names.numbered(noun, str(n)) for n in range(low, high + 1))
                return i + 2
        ident = self._identity(i + 1)
        if ident is None:
            return None
        more, k = self._more_numbers(i + 2, noun, ident, plural=one.low.endswith("s"))
        made.fields["places"] = (
            tuple(self.names.numbered(noun, n) for n in (ident, *more))
            if more and isinstance(more[0], str) and not more[0].startswith(noun)
            else (self.names.numbered(noun, ident), *more)
        )
        return k

    def _identity(self, i: int) -> str | None:
        one = self.at(i)
        if one is None:
            return None
        if (
            one.family == "number"
            and one.value is not None
            and float(one.value).is_integer()
            and 0 <= one.value < 100
            and one.meaning != "signed"
        ):
            return str(int(one.value))
        spelled = LETTERS.get(one.low)  # "frame bee": dictated
        if spelled is not None and f"{self.items[i - 1].low} {spelled}" in self.names.places:
            return spelled
        if len(one.low) == 1 and one.low.isalpha() and one.low not in ("i", "n", "w") and not self._leads_a_noun(i):
            return one.low
        if (one.low in ("to", "too") and self.items[i - 1].low == "bench" and self.family(i + 1) in AFTER_BENCH) or (
            one.low == "to" and self.items[i - 1].low == "bench" and self.family(i + 1) == "det" and self.family(i + 2) == "act"
        ):
            return "2"
        return None

    def _leads_a_noun(self, i: int) -> bool:
        """Return whether the letter is an article: "the aloes on the sill a half turn"."""
        return self.family(i + 1) in ("fraction", "adj", "number", "strength") or self._turned_by(i)

    def _turned_by(self, i: int) -> bool:
        nxt = self.at(i + 1)
        return nxt is not None and nxt.family == "act" and nxt.form == "noun"

    def _is_target(self, k: int) -> bool:
        """Return whether the place that ends before item `k` is where something goes: "to bench 2", "into tray 4"."""
        return any(one is not None and one.means("prep", "to") for one in (self.at(k - 2), self.at(k - 3)))

    def _more_numbers(self, k: int, noun: str, ident: str, plural: bool = False) -> tuple[list[str], int]:
        """Read the further numbers of "tray 1, 2 and 4" or "tray 1 to 4", where no new fact begins with them."""
        more: list[str] = []
        while True:
            link = self.at(k)
            if link is None:
                break
            if (
                link.low in ("to", "-", "-")
                and ident.isdecimal()
                and (high := self._identity(k + 1)) is not None
                and high.isdecimal()
                and int(ident) < int(high) < int(ident) + 60
            ):
                more += [self.names.numbered(noun, str(n)) for n in range(int(ident) + 1, int(high) + 1)]
                k += 2
                break
            if plural and link.family == "number" and link.meaning == "digits" and (other := self._identity(k)) is not None:
                more.append(self.names.numbered(noun, other))
                k += 1
                continue
            if self.family(k + 1) == "number" and self.family(k + 2) == "stop" and self.low_at(k + 2) in THERE:
                break  # "shaded bench 1, 34 in there": degrees
            beyond = self.family(k + 3) if self.family(k + 2) == "prep" else ""
            if link.low == "," and beyond in ("place", "numbered"):
                break  # "2 in tray 3, 1 in tray 4": how many there
            if link.low == "," and self._is_target(k) and self.family(k + 2) not in ("sep", "comma"):
                break  # "moved 12 to bench 2, 15 as well": one place, and another plant
            if (
                link.low in ("and", "&", "+", ",", "/", "n")
                and (other := self._identity(k + 1)) is not None
                and other.isdecimal() == ident.isdecimal()
                and self.family(k + 1) in ("number", "word", "det")
            ):
                follows = self.at(k + 2)
                if follows is not None and follows.family not in (
                    "comma",
                    "sep",
                    "break",
                    "date",
                    "act",
                    "query",
                    "colon",
                    "except",
                    "prep",
                    "dash",
                    "till",
                    "once",
                    "cond",
                    "stop",
                    "amount",
                    "strength",
                ):
                    break
                if other == "a" and ident.isdecimal():
                    break
                more.append(self.names.numbered(noun, other))
                k += 2
                continue
            break
        return more, k

    def _head_number(self, i: int, one: Item, made: Phrase) -> int | None:
        if one.value is None or not float(one.value).is_integer() or one.meaning == "signed" or one.value > 1_000_000:
            return None
        numbers, k = [int(one.value)], i + 1
        if one.meaning != "word":
            k = self._more_labels(k, numbers, i <= self._opens_until())
        made.fields["labels"] = tuple(str(n) for n in numbers)
        made.bare = len(numbers) == 1 and one.meaning != "label"
        made.spelled = one.meaning == "word"
        return k

    def _opens_until(self) -> int:
        """Return where the first word stands that says what was done or seen."""
        if self._opening < 0:
            found = (i for i, one in enumerate(self.items) if one.family in ("act", "sign", "clear"))
            self._opening = next(found, len(self.items))
        return self._opening

    def _from(self, i: int) -> bool:
        one = self.at(i)
        return one is not None and one.means("prep", "from")

    def _more_labels(self, k: int, numbers: list[int], opening: bool = False) -> int:
        source = self._from(k - 2)  # "3 from 118, 2 from 77"
        while True:
            link = self.at(k)
            if link is None:
                return k
            if (
                link.family == "number"
                and link.meaning == "digits"
                and float(link.value).is_integer()
                and link.form != "approx"
                and self.family(k + 1) not in ("taxon", "kind", "plants")
            ):
                numbers.append(int(link.value))
                k += 1
                continue
            if link.family in ("comma", "slash") or link.low in ("and", "&", "+", "n"):
                step = 2 if link.family == "comma" and (nxt := self.at(k + 1)) is not None and nxt.low in ("and", "&", "+") else 1
                other = self.at(k + step)
                if (
                    other is not None
                    and other.family == "range"
                    and len(numbers) >= 1
                    and other.value[1] - other.value[0] < 200
                    and self._goes_on(k + step + 1, opening and link.low in ("and", "&", "n"), numbers)
                ):
                    numbers += range(other.value[0], other.value[1] + 1)
                    k += step + 1
                    continue
                if (
                    other is not None
                    and other.family == "number"
                    and other.meaning == "digits"
                    and float(other.value).is_integer()
                    and self._goes_on(k + step + 1, opening and link.low in ("and", "&", "n"), numbers)
                    and other.form != "approx"
                    and not (source and self._from(k + step + 1))
                ):
                    numbers.append(int(other.value))
                    k += step + 1
                    continue
            return k

    def _goes_on(self, k: int, joined: bool, numbers: Sequence[int]) -> bool:
        """Return whether a list of labels goes on: "12 and 15 looking shrivelled", "41 and 43 fed" open a note with both."""
        labels = numbers[0] >= LEAST_LABEL and self.family(k) == "act"  # "2 and 3 rooted" may be counts
        return not self._starts_fact(k) or (joined and (labels or self.family(k) in ("light", "sign")))

    def _starts_fact(self, k: int) -> bool:
        """Return whether what follows a number shows that it begins a fact of its own: "6 looks soft"."""
        one = self.at(k)
        if one is None:
            return False
        if one.family in ("light", "taxon", "kind", "plants", "gone", "clear", "part", "potsize", "natural", "ambiguous", "neg"):
            return True
        if one.family == "prep" and one.meaning in ("of", "on", "with"):
            return True
        if one.family in ("act", "sign") or one.low.startswith("of "):
            return True
        return one.family in ("word", "stop") and one.low in ("more", "left", "others", "leaking")

    def _head_range(self, i: int, one: Item, made: Phrase) -> int | None:
        low, high = one.value
        if high - low > 300:
            return None
        numbers = list(range(low, high + 1))
        k = self._more_labels(i + 1, numbers)
        made.fields["labels"] = tuple(str(n) for n in numbers)
        return k

    def _head_potsize(self, i: int, one: Item, made: Phrase) -> int:
        made.fields["pot_cm"] = one.value
        return i + 2 if self.family(i + 1) == "plants" else i + 1

    def _head_plants(self, i: int, one: Item, made: Phrase) -> int | None:
        if made.described:
            made.fields["words"] = (("the " if made.article else "") + f"{made.described} {one.low}").lower()
            return i + 1
        if made.fields:
            made.of_plants = True
            return i + 1
        if made.article and one.low in ("plants", "pots", "ones"):
            return i + 1
        return None

    def _head_refer(self, i: int, one: Item, made: Phrase) -> int | None:
        if made.described or one.meaning == "same":
            return None
        made.fields["refer"] = one.meaning
        made.whole = True
        return i + 1


def _between(low: str, high: str) -> list[str]:
    stem = low.rstrip("0123456789")
    a, b = low[len(stem) :], high.lstrip("sS")
    if not (a.isdecimal() and b.isdecimal()) or not int(a) < int(b) < int(a) + 60:
        return [high]
    return [f"{stem}{n}" for n in range(int(a) + 1, int(b) + 1)]
