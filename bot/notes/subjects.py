"""Which plants a note names: runs of items read as noun phrases, each a selection in the making.

phrase = { article | amount | "all" | "half" | adjective } head [ "of" phrase ] [ "that looked thirsty" ]
head   = genus | kind | place | nickname | lot | sowing | label { "," label } | range | pots of a size | "ones"
"""

from __future__ import annotations

from bot.notes.heads import HEADS, Heads, Phrase
from bot.notes.items import Item


class Subjects(Heads):
    """Reads the noun phrases of a run of items."""

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
                if not self._refer(one, made):
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
                and self._of(i)
            ) or False:
                pass
            else:
                return i
            i += 1
            made.after = i
            if one.family == "refer" and one.meaning == "last" and self.family(i) != "number":
                return i

    def _refer(self, one: Item, made: Phrase) -> bool:
        if "refer" in made.fields:
            return False
        made.fields["refer"] = one.meaning
        made.whole = True
        return True

    def _of(self, i: int) -> bool:
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
        made.described = described
        handler = getattr(self, f"_head_{one.family}", None)
        after: int | None = handler(i, one, made) if handler else None
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


__all__ = ["Phrase", "Subjects"]
