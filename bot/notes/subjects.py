"""Which plants a note names: runs of items read as noun phrases, each a selection in the making.

phrase = { article | amount | "all" | "half" | adjective } head [ "of" phrase ] [ "that looked thirsty" ]
head   = genus | kind | place | nickname | lot | sowing | label { "," label } | range | pots of a size | "ones"
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from bot.notes.items import Item
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
EPITHET = ("us", "a", "is", "ii", "um", "ensis", "i", "ae", "e", "ana", "ens", "oides", "or", "ax", "ans", "x")


@dataclass(slots=True)
class Phrase:
    """A noun phrase: the selection fields it gives, the preposition before it, and how it was said."""

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

    def selection(self) -> Selection | None:
        """Return the selection, or None where the words name nothing."""
        return Selection(**self.fields) if self.fields else None


class Subjects:
    """Reads the noun phrases of a run of items."""

    def __init__(self, items: Sequence[Item], names: Index, text: str) -> None:
        self.items, self.names, self.text = items, names, text

    def at(self, i: int) -> Item | None:
        """Return the item at `i`, or None beyond the end."""
        return self.items[i] if 0 <= i < len(self.items) else None

    def family(self, i: int) -> str:
        """Return the family of the item at `i`."""
        return self.items[i].family if 0 <= i < len(self.items) else ""

    def phrase(self, i: int) -> Phrase | None:
        """Return the noun phrase that begins at item `i`, or None."""
        first = i
        made = Phrase(self.items[i].start, self.items[i].end, i, i)
        i = self._before(i, made)
        words_from = i
        i = self._adjectives(i, made)
        head = self._head(i, made, words_from)
        if head is None:
            if not made.fields.keys() & {"count", "refer", "fraction"} and not made.whole:
                return None
            if (made.fields.get("count") is not None and made.after > first) or made.after > first:
                head = made.after
            else:
                return None
        made.after = head
        self._behind(made)
        made.start, made.end = self.items[first].start, self.items[made.after - 1].end
        made.low = self.text[made.start : made.end].lower()
        return made

    def growing_part(self, i: int) -> Phrase | None:
        """Return "the flowers", "the buds" as words only a person can resolve."""
        k = i + 1 if self.family(i) == "det" else i
        one = self.at(k)
        if self.family(k + 1) in ("part", "plants"):
            return None
        if one is None or not (
            one.means("sign", "flowering", "budding", "fruiting") and " " not in one.low and not one.low.endswith(("ing", "ed"))
        ):
            return None
        made = Phrase(self.items[i].start, one.end, i, k + 1)
        made.fields["words"] = self.text[made.start : made.end].lower()
        return made

    def _before(self, i: int, made: Phrase) -> int:
        """Read articles, "all", "half", numbers and "about" before the head."""
        approx = False
        while True:
            one = self.at(i)
            if one is None:
                return i
            if one.family == "det":
                made.article = one.meaning != "-" and one.low not in ("a", "an", "another")
                if one.low in ("a", "an", "another"):
                    nxt = self.at(i + 1)
                    if nxt is None or nxt.family not in (
                        "adj",
                        "taxon",
                        "kind",
                        "plants",
                        "number",
                        "ambiguous",
                        "word",
                        "state",
                        "rootkind",
                        "nickname",
                    ):
                        return i
            elif (
                one.family == "refer"
                and one.low in ("these", "those")
                and self.family(i + 1) in ("sign", "taxon", "kind", "number", "adj", "place", "numbered", "plants")
            ):
                made.article = True
            elif one.family == "date" and one.low.endswith("s") and self.family(i + 1) == "state":
                made.fields["words"] = f"{one.low} {self.items[i + 1].low}"
            elif one.family == "refer":
                if not self._refer(i, one, made):
                    return i
            elif one.family in ("both", "most"):
                made.whole = one.family == "both"
                if one.family == "both":
                    made.fields["count"] = 2
                else:
                    made.fields["words"] = one.low
                    made.whole = False
            elif one.family == "fraction":
                nxt = self.at(i + 1)
                if nxt is None or nxt.family in ("act", "amount", "measure", "climate"):
                    return i
                made.fields["fraction"] = round(float(one.value), 4)
            elif one.family == "approx" or (
                one.family == "hedge" and self.family(i + 1) == "number" and self.family(i + 2) not in ("light", "q", "sign")
            ):
                if self.family(i + 1) not in ("number", "range"):
                    return i
                approx = True
            elif one.family == "number" and made.fields.get("count") is None and one.meaning != "label":
                if not self._count(i, one, made, approx):
                    return i
            elif (
                one.family == "prep"
                and one.meaning == "of"
                and made.after > made.first
                and "count" not in made.fields
                and self._of(i, made)
            ) or False:
                pass
            else:
                return i
            i += 1
            made.after = i
            if one.family == "refer" and one.meaning == "last" and self.family(i) != "number":
                return i

    def _refer(self, i: int, one: Item, made: Phrase) -> bool:
        if "refer" in made.fields:
            return False
        made.fields["refer"] = one.meaning
        made.whole = True
        return True

    def _of(self, i: int, made: Phrase) -> bool:
        nxt = self.family(i + 1)
        if nxt == "det":
            nxt = self.family(i + 2)
        return nxt in HEADS or nxt in ("adj", "number", "pron")

    def _count(self, i: int, one: Item, made: Phrase, approx: bool) -> bool:
        """Take a number as a count where a plural, "of" or an article says so."""
        value = one.value
        if value is None or not float(value).is_integer() or one.meaning == "signed" or value > 100000:
            return False
        nxt = self.at(i + 1)
        counted = made.article or one.meaning == "word" or approx or one.form == "approx" or "refer" in made.fields
        if nxt is not None:
            follows = nxt.family
            if follows in ("adj", "word") and self.family(i + 2) in ("taxon", "kind", "plants", "ambiguous"):
                follows = self.family(i + 2)
            counted = (
                counted
                or follows in ("taxon", "kind", "plants", "potsize", "ambiguous", "rootkind", "state")
                or (follows == "prep" and nxt.meaning == "of")
                or nxt.low in ("out of", "of them", "of these", "of those")
            )
            counted = counted or (follows == "stop" and nxt.low == "more")
        if not counted:
            return False
        if False:
            return False
        made.fields["count"] = int(value)
        made.spelled = one.meaning == "word"
        made.whole = made.whole or made.article
        if approx or one.form == "approx":
            made.fields["approx"] = True
        return True

    def _adjectives(self, i: int, made: Phrase) -> int:
        start = i
        while (
            self.family(i) == "adj"
            or (self.family(i) == "word" and made.article)
            or (
                self.family(i) == "sign"
                and self.family(i + 1) in ("plants", "taxon")
                and i > made.first
                and self.items[i + 1].low
                in ("ones", "one", "plants", "pots") + ((self.items[i + 1].low,) if self.family(i + 1) == "taxon" else ())
            )
        ):
            if i - start > 2:
                return start
            i += 1
        return i if self.family(i) in HEADS - {"number", "range", "refer"} or self.family(i) == "word" or i > start else start

    def _head(self, i: int, made: Phrase, words_from: int) -> int | None:
        one = self.at(i)
        described = self.text[self.items[words_from].start : self.items[i - 1].end] if i > words_from else ""
        if one is None or one.family not in HEADS:
            return self._described(i, made, words_from, described)
        handler = getattr(self, f"_head_{one.family}", None)
        after: int | None = handler(i, one, made, described) if handler else None
        if after is None and described:
            return self._described(i, made, words_from, described)
        return after

    def _described(self, i: int, made: Phrase, words_from: int, described: str) -> int | None:
        """Read "the blue", "the north side", "the flowers": a description that only a person can resolve."""
        if not described or not made.article:
            return None
        if not any(one.family == "adj" for one in self.items[words_from:i]):
            return None
        made.fields["words"] = ("the " if made.article else "") + described.lower()
        return i

    def _describe(self, made: Phrase, described: str) -> None:
        if described:
            made.fields["words"] = described.lower()

    def _head_taxon(self, i: int, one: Item, made: Phrase, described: str) -> int:
        genus, k = one.meaning, i + 1
        nxt = self.at(k)
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
        self._describe(made, described)
        nxt = self.at(k)
        if nxt is not None and nxt.family == "kind":
            made.fields["kind"] = nxt.meaning
            k += 1
        elif nxt is not None and nxt.family == "plants" and nxt.low not in ("lot", "box", "parcel"):
            k += 1
        return k

    def _head_ambiguous(self, i: int, one: Item, made: Phrase, described: str) -> int:
        held = [genus for genus in one.meaning.split("|") if genus in self.names.names.genera]
        if len(held) == 1:
            made.fields["taxa"] = (held[0],)
        else:
            made.fields["words"] = one.low
        return i + 1

    def _head_kind(self, i: int, one: Item, made: Phrase, described: str) -> int:
        made.fields["kind"] = one.meaning
        if described and described.lower() not in ("young", "new", "little", "small", "tiny", "potted"):
            self._describe(made, described)
        return i + 1

    def _head_part(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        if one.low != "roots" or "count" not in made.fields:
            return None
        made.fields["kind"] = "roots"
        return i + 1

    def _head_rootkind(self, i: int, one: Item, made: Phrase, described: str) -> int:
        made.fields["roots"] = one.meaning
        return i + 2 if self.family(i + 1) in ("plants", "part") else i + 1

    def _head_state(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        if one.low in ("new", "repots", "quarantined") and self.family(i + 1) != "plants" and one.low == "new":
            return None
        made.fields["state"] = one.meaning
        return i + 2 if self.family(i + 1) == "plants" else i + 1

    def _head_nickname(self, i: int, one: Item, made: Phrase, described: str) -> int:
        made.fields["nicknames"] = (one.meaning,)
        made.possessive = one.form == "possessive"
        return i + 1

    def _head_lot(self, i: int, one: Item, made: Phrase, described: str) -> int:
        made.fields["lots"] = (one.meaning,)
        made.possessive = one.form == "possessive"
        return i + 1

    def _head_sowing(self, i: int, one: Item, made: Phrase, described: str) -> int:
        codes = [one.meaning]
        k = i + 1
        while True:
            link = self.at(k)
            if link is not None and link.low in ("to", "-", "–") and self.family(k + 1) == "sowing":
                codes += _between(codes[-1], self.items[k + 1].meaning)
                k += 2
            elif link is not None and link.low in ("-", "–") and self.family(k + 1) == "number":
                codes += _between(codes[-1], f"S{int(self.items[k + 1].value)}")
                k += 2
            else:
                break
        made.fields["sowings"] = tuple(codes)
        return k

    def _head_place(self, i: int, one: Item, made: Phrase, described: str) -> int:
        places, k = [one.meaning], i + 1
        words = one.meaning.rsplit(" ", 1)
        if len(words) == 2:
            more, k = self._more_numbers(k, words[0], words[1])
            places += more
        made.fields["places"] = tuple(places)
        made.possessive = one.form == "possessive"
        return k

    def _head_somewhere(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        numbered = self._head_numbered(i, one, made, described)
        if numbered is not None:
            return numbered
        said = f"{described} {one.low}".strip().lower() if (described and made.after == made.first) or described else one.low
        place = self.names.place(said)
        made.fields["places"] = (place,)
        return i + 1

    def _head_numbered(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        nxt = self.at(i + 1)
        noun = SYNONYMS.get(one.low, one.low)
        if nxt is None or noun not in (
            "bench",
            "tray",
            "frame",
            "shelf",
            "bay",
            "rack",
            "house",
            "tunnel",
            "tent",
            "zone",
            "section",
            "table",
            "row",
            "bed",
            "box",
            "light",
            "propagator",
            "sill",
            "stage",
            "greenhouse",
        ):
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
        more, k = self._more_numbers(i + 2, noun, ident)
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
        if len(one.low) == 1 and one.low.isalpha() and one.low not in ("i", "n", "w"):
            return one.low
        if (
            one.low in ("to", "too") and self.items[i - 1].low == "bench" and self.family(i + 1) in ("", "comma", "break", "act")
        ) or (
            one.low == "to" and self.items[i - 1].low == "bench" and self.family(i + 1) == "det" and self.family(i + 2) == "act"
        ):
            return "2"
        return None

    def _more_numbers(self, k: int, noun: str, ident: str) -> tuple[list[str], int]:
        """Read the further numbers of "tray 1, 2 and 4" or "tray 1 to 4", where no new fact begins with them."""
        more: list[str] = []
        while True:
            link = self.at(k)
            if link is None:
                break
            if (
                link.low in ("to", "-", "–")
                and ident.isdigit()
                and (high := self._identity(k + 1)) is not None
                and high.isdigit()
                and int(ident) < int(high) < int(ident) + 60
            ):
                more += [self.names.numbered(noun, str(n)) for n in range(int(ident) + 1, int(high) + 1)]
                k += 2
                break
            if (
                link.low in ("and", "&", "+", ",", "/", "n")
                and (other := self._identity(k + 1)) is not None
                and other.isdigit() == ident.isdigit()
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
                if other == "a" and ident.isdigit():
                    break
                more.append(self.names.numbered(noun, other))
                k += 2
                continue
            break
        return more, k

    def _head_number(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        if one.value is None or not float(one.value).is_integer() or one.meaning == "signed" or one.value > 1_000_000:
            return None
        numbers, k = [int(one.value)], i + 1
        if one.meaning != "word":
            k = self._more_labels(k, numbers)
        made.fields["labels"] = tuple(str(n) for n in numbers)
        made.bare = len(numbers) == 1 and one.meaning != "label"
        made.spelled = one.meaning == "word"
        return k

    def _more_labels(self, k: int, numbers: list[int]) -> int:
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
                    and not self._starts_fact(k + step + 1, len(numbers))
                ):
                    numbers += range(other.value[0], other.value[1] + 1)
                    k += step + 1
                    continue
                if (
                    other is not None
                    and other.family == "number"
                    and other.meaning == "digits"
                    and float(other.value).is_integer()
                    and not self._starts_fact(k + step + 1, len(numbers))
                    and other.form != "approx"
                ):
                    numbers.append(int(other.value))
                    k += step + 1
                    continue
            return k

    def _starts_fact(self, k: int, so_far: int) -> bool:
        """Return whether what follows a number shows that it begins a fact of its own: "6 looks soft", "2 drying", "2 lobivias"."""
        one = self.at(k)
        if one is None:
            return False
        if one.family in ("light", "taxon", "kind", "plants", "gone", "clear", "part", "potsize", "natural", "ambiguous", "neg"):
            return True
        if one.family == "prep" and one.meaning in ("of", "on", "with"):
            return one.meaning != "on" or True
        if one.family in ("act", "sign") or one.low.startswith("of "):
            return True
        return one.family in ("word", "stop") and one.low in ("more", "left", "others", "leaking")

    def _head_range(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        low, high = one.value
        if high - low > 300:
            return None
        numbers = list(range(low, high + 1))
        k = self._more_labels(i + 1, numbers)
        made.fields["labels"] = tuple(str(n) for n in numbers)
        return k

    def _head_potsize(self, i: int, one: Item, made: Phrase, described: str) -> int:
        made.fields["pot_cm"] = one.value
        return i + 2 if self.family(i + 1) == "plants" else i + 1

    def _head_plants(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        if described:
            made.fields["words"] = (("the " if made.article else "") + f"{described} {one.low}").lower()
            return i + 1
        if made.fields:
            return i + 1
        if made.article and one.low in ("plants", "pots", "ones"):
            return i + 1
        return None

    def _head_refer(self, i: int, one: Item, made: Phrase, described: str) -> int | None:
        if described or one.meaning == "same":
            return None
        made.fields["refer"] = one.meaning
        made.whole = True
        return i + 1

    def _behind(self, made: Phrase) -> None:
        """Read "of the six", "out of 14", "that looked thirsty", "with roots" after the head."""
        i = made.after
        one = self.at(i)
        if one is None:
            return
        count = made.fields.get("count")
        if (one.means("prep", "of") or one.low == "out of") and (
            count is not None or "fraction" in made.fields or made.fields.get("refer")
        ):
            inner = self.phrase(i + 1) if i + 1 < len(self.items) and self.family(i + 1) not in ("prep", "sep", "comma") else None
            if inner is not None and inner.prep is None:
                self._merge_of(made, inner)
        elif one.family == "state" and one.low.startswith(("that", "which", "looking", "thirsty")):
            made.fields["state"] = one.meaning
            made.after = i + 1

    def _merge_of(self, made: Phrase, inner: Phrase) -> None:
        fields = dict(inner.fields)
        total = fields.pop("count", None)
        labels = fields.get("labels")
        if (
            total is None
            and labels
            and inner.bare
            and "count" in made.fields
            and made.fields.get("kind") is None
            and int(labels[0]) >= made.fields["count"]
        ):
            total = int(fields.pop("labels")[0])
        if total is not None and "count" in made.fields:
            made.fields["of"] = total
        elif total is not None:
            made.fields["count"] = total
        if fields.get("refer") == "all" and len(fields) > 1:
            fields.pop("refer")
        for key, value in fields.items():
            made.fields.setdefault(key, value)
        made.whole = (made.whole and made.fields.get("count") is None) or (made.fields.get("refer") == "all")
        made.after = inner.after


def _between(low: str, high: str) -> list[str]:
    stem = low.rstrip("0123456789")
    a, b = low[len(stem) :], high.lstrip("sS")
    if not (a.isdigit() and b.isdigit()) or not int(a) < int(b) < int(a) + 60:
        return [high]
    return [f"{stem}{n}" for n in range(int(a) + 1, int(b) + 1)]
