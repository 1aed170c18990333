"""Which plants a note names: runs of items read as noun phrases, each a selection in the making.

phrase = { article | amount | "all" | "half" | adjective } head [ "of" phrase ] [ "that looked thirsty" ]
head   = genus | kind | place | nickname | lot | sowing | label { "," label } | range | pots of a size | "ones"
"""

from __future__ import annotations

from bot.notes.descriptions import FAMILY as DESCRIBED
from bot.notes.heads import HEADS, Heads, Phrase
from bot.notes.items import Item
from bot.notes.languages import listed

PRAISE = frozenset(listed("spoken")["_praise"])
AFTER_PRAISE = frozenset("adj taxon kind ambiguous".split())
AFTER_A = frozenset("adj taxon kind plants number ambiguous word state rootkind nickname potsize".split())
AFTER_THESE = frozenset("sign taxon kind number adj place numbered plants".split())


class Subjects(Heads):
    """Reads the noun phrases of a run of items."""

    def phrase(self, i: int) -> Phrase | None:
        """Return the noun phrase that begins at item `i`, or None."""
        if self.items[i].family not in BEGINS:
            return None
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
        """Read articles, "all", "half", numbers and "about" before the head; return the item after them."""
        while True:
            one = self.at(i)
            if one is None or not self._leads(i, one, made):
                return i
            i += 1
            made.after = i
            if one.means("refer", "last") and self.family(i) != "number":
                return i

    def _leads(self, i: int, one: Item, made: Phrase) -> bool:
        """Take one item that stands before a head; False where it does not."""
        rule = LEADING.get(one.family)
        return rule is not None and bool(rule(self, i, one, made))

    def _lead_det(self, i: int, one: Item, made: Phrase) -> bool:
        definite = one.low not in ("a", "an", "another")
        made.article = definite
        return definite or self.family(i + 1) in AFTER_A or (self._praised(i + 1) and self.family(i + 2) in AFTER_A)

    def _praised(self, i: int) -> bool:
        """Return whether a word only praises what follows: "a nice turbinicarpus"."""
        return self.family(i) == "stop" and self.low_at(i) in PRAISE and self.family(i + 1) in AFTER_PRAISE

    def _lead_stop(self, i: int, one: Item, made: Phrase) -> bool:
        one.used = one.used or (made.after > made.first and self._praised(i))
        return made.after > made.first and self._praised(i)

    def _lead_refer(self, i: int, one: Item, made: Phrase) -> bool:
        if one.low in ("these", "those") and self.family(i + 1) in AFTER_THESE | {"prep"}:
            made.article = True
            return True
        return self._refer(one, made)

    def _lead_date(self, i: int, one: Item, made: Phrase) -> bool:
        if not one.low.endswith("s") or self.family(i + 1) != "state":
            return False
        made.fields["words"] = f"{one.low} {self.items[i + 1].low}"
        return True

    def _lead_both(self, _: int, __: Item, made: Phrase) -> bool:
        made.whole = True
        made.fields["count"] = 2
        return True

    def _lead_most(self, _: int, one: Item, made: Phrase) -> bool:
        made.whole = False
        made.fields["words"] = one.low
        return True

    def _lead_fraction(self, i: int, one: Item, made: Phrase) -> bool:
        if self.family(i + 1) in ("", "act", "amount", "measure", "climate"):
            return False
        made.fields["fraction"] = round(float(one.value), 4)
        return True

    def _lead_approx(self, i: int, _: Item, made: Phrase) -> bool:
        made.roughly = self.family(i + 1) in ("number", "range")
        return made.roughly

    def _lead_hedge(self, i: int, one: Item, made: Phrase) -> bool:
        counted = self.family(i + 1) == "number" and self.family(i + 2) not in ("light", "q", "sign", "act")
        return counted and self._lead_approx(i, one, made)

    def _lead_number(self, i: int, one: Item, made: Phrase) -> bool:
        return made.fields.get("count") is None and one.meaning != "label" and self._count(i, one, made, made.roughly)

    def _lead_times(self, i: int, one: Item, made: Phrase) -> bool:
        if self.family(i + 1) not in ("taxon", "kind", "ambiguous"):
            return False
        made.fields["count"] = int(one.value)
        return True

    def _lead_prep(self, i: int, one: Item, made: Phrase) -> bool:
        return one.meaning == "of" and made.after > made.first and "count" not in made.fields and self._of(i)

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
            follows = self.family(i + 2) if self._praised(i + 1) else nxt.family
            if follows in ("adj", "word", "condition") and self.family(i + 2) in ("taxon", "kind", "plants", "ambiguous"):
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
        made.fields["count"] = int(value)
        made.spelled = one.meaning == "word"
        made.whole = made.whole or made.article
        if approx or one.form == "approx":
            made.fields["approx"] = True
        return True

    def _adjectives(self, i: int, made: Phrase) -> int:
        start = i
        while self._describes(i, made):
            if i - start > 2:
                return start
            i += 1
        return i

    def _describes(self, i: int, made: Phrase) -> bool:
        """Return whether an item describes the head that follows: "the blue one", "2 rotten ones"."""
        family = self.family(i)
        if family != "sign":
            return family in ("adj", "condition") or (family == "word" and made.article)
        behind = self.family(i + 1)
        ones = behind == "plants" and self.items[i + 1].low in ("ones", "one", "plants", "pots")
        return i > made.first and (ones or behind == "taxon")

    def _head(self, i: int, made: Phrase, words_from: int) -> int | None:
        one, described = self.at(i), ""
        if i > words_from:
            said = [one for one in self.items[words_from:i] if one.family != "condition"]
            described = self.text[said[0].start : said[-1].end] if said else ""
        if one is None or one.family not in HEADS:
            return self._described(i, made, described)
        made.described = described
        handler = HEADING.get(one.family)
        after: int | None = handler(self, i, one, made) if handler else None
        if after is None and described:
            return self._described(i, made, described)
        return after

    def _described(self, i: int, made: Phrase, described: str) -> int | None:
        """Read "the blue", "the north side", "the flowers": a description that only a person can resolve."""
        if not described or not made.article:
            return None
        if self.items[i - 1].family != "adj":
            return None
        made.fields["words"] = ("the " if made.article and "count" not in made.fields else "") + described.lower()
        return i

    def _behind(self, made: Phrase) -> None:
        """Read "of the six", "out of 14", "that looked thirsty", "with roots" after the head."""
        i = made.after
        one = self.at(i)
        if one is None or (one.family not in ("prep", "state", DESCRIBED) and one.low != "out of"):
            return
        if one.family == DESCRIBED:
            made.fields["words"] = " ".join(filter(None, (made.fields.get("words"), one.low)))
            made.after = i + 1
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


# families of the items that a noun phrase can begin with
LEADING = {name.removeprefix("_lead_"): rule for name, rule in vars(Subjects).items() if name.startswith("_lead_")}
HEADING = {name.removeprefix("_head_"): rule for name, rule in vars(Heads).items() if name.startswith("_head_")}
BEGINS = (HEADS | LEADING.keys() | {"adj", "condition"}) - {"stop", "prep"}  # these two only go on with one
__all__ = ["Phrase", "Subjects"]
