"""A note cut into clauses: each has one head (an act, a sign, a thermometer …) and what was said about it.

Separators cut where what follows holds a head of its own; without any separator a second head begins a new clause where the
first has its subject already. What stands between two heads goes to the second where it leads up to it ("6 looks soft"), else
it stays with the first ("fed 5, 6 and 7").
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.clause import Clause, Element
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import PESTS
from bot.notes.subjects import BEGINS, Phrase, Subjects

AFTER_ANOTHER = frozenset(("act", "sign", "light", "clear", "q"))  # behind plants that begin a clause of their own
HEAD_FAMILIES = frozenset(
    ("act", "sign", "clear", "gone", "climate", "measure", "nowater", "unclear", "left", "doit", "other", "natural", "skipped")
)
WEAK = frozenset(("comma", "sep", "dash", "colon", "slash", "open", "close", "query"))
CUTTING = HEAD_FAMILIES | WEAK | {"break"}  # a clause is cut at one of these, if anywhere
TAKEN_OFF = frozenset(listed("spoken")["rule from"])  # "pups off", "cuttings from": what follows is whose they are
MODIFIERS = frozenset(
    (
        "neg",
        "hedge",
        "counter",
        "plan",
        "cond",
        "remind",
        "sure",
        "light",
        "stop",
        "approx",
        "adj",
        "det",
        "only",
        "strength",
        "once",
        "fraction",
        "ordinal",
        "any",
    )
)


STATES = ("rooted", "germinated", "united", "set_to_dry", "repotted", "potted")
BEHIND = frozenset(listed("care")["behind a number"])  # measures said after their number


def flow(items: Sequence[Item], subjects: Subjects) -> list[Element]:
    """Return the items with runs that name plants replaced by noun phrases."""
    out: list[Element] = []
    i = 0
    while i < len(items):
        one = items[i]
        if one.family not in FLOWING:
            out.append(one)
            i += 1
            continue
        if one.family in ("except", "only") or (one.family == "neg" and _not_these(items, i, subjects, out)):
            i = _exception(items, i, subjects, out)
            continue
        if one.family == "prep" and one.meaning != "of" and i + 1 < len(items):
            made = subjects.phrase(i + 1) if items[i + 1].family not in ("prep", "sep") else None
            made = made or subjects.growing_part(i + 1)
            if made is not None:
                made.prep = one.meaning if one.meaning in ("to", "from", "for", "with") else "on"
                made.start, made.first, made.low = one.start, i, f"{one.low} {made.low}"
                one.used = True
                out.append(made)
                i = made.after
                continue
        made = None if one.family in ("prep", "date", "act", "sign", "sep") else subjects.phrase(i)
        if made is None:
            out.append(one)
            i += 1
        else:
            out.append(made)
            i = made.after
    return out


# Families with which something else than the item itself may begin.
FLOWING = (BEGINS - {"date"}) | {"except", "only", "neg", "prep"}


def _not_these(items: Sequence[Item], i: int, subjects: Subjects, out: list[Element]) -> bool:
    """Return whether "not" takes plants away from a set: "bench 1 watered, not 41"."""
    if items[i].meaning != "not" or not out:
        return False
    following = subjects.family(i + 1)
    acted = any(isinstance(e, Item) and e.family == "act" for e in out)
    if isinstance(out[-1], Phrase):
        return following in ("det", "taxon", "kind", "place") or (acted and following in ("number", "nickname"))
    named = following in ("det", "taxon", "kind", "place", "number", "nickname", "lot", "sowing")
    made = subjects.phrase(i + 1) if acted and named else None
    ends = made is not None and (made.after >= len(items) or items[made.after].family in ("comma", "break", "sep"))
    return ends and made is not None and not made.fields.keys() <= {"count", "refer"}


def _exception(items: Sequence[Item], i: int, subjects: Subjects, out: list[Element]) -> int:
    """Read what "except", "bar", "but not" takes away; a list goes on over commas and "and"."""
    made = subjects.phrase(i + 1) if i + 1 < len(items) and items[i].family != "only" else None
    if made is None:
        if (
            items[i].family == "except"
            and len(out) > 2
            and isinstance(out[-1], Phrase)
            and any(isinstance(e, Phrase) for e in out[:-1])
        ):
            out[-1].out = True
        out.append(items[i])
        return i + 1
    while made is not None:
        made.out = True
        out.append(made)
        i = made.after
        linked = i < len(items) and (items[i].family == "comma" or items[i].low in ("and", "&", "or", "+", "n", "plus", "nor"))
        nxt = (
            subjects.phrase(i + 1)
            if linked and i + 1 < len(items) and items[i + 1].family not in ("act", "sign", "neg")
            else None
        )
        acted = any(isinstance(e, Item) and e.family == "act" for e in out)  # "all but the conos and the lithops repotted"
        if acted and nxt is not None and nxt.after < len(items) and items[nxt.after].family in AFTER_ANOTHER:
            nxt = None
        made = nxt
    return i


class Splitter:
    """Cuts the elements of a note into clauses."""

    def __init__(self) -> None:
        self.clauses: list[Clause] = []
        self.current = Clause()
        self.since: list[Element] | None = None  # elements after the last weak separator behind the head
        self.separator = ""
        self.bracket = False
        self.next: Element | None = None
        self.degrees = False  # a temperature stands in the clause, which has no head yet

    def split(self, elements: Sequence[Element]) -> list[Clause]:
        """Return the clauses in order; no element is lost."""
        closing: int | None = None  # where the last bracket closes
        for i, one in enumerate(elements):
            self.next = elements[i + 1] if i + 1 < len(elements) else None
            if one.family not in CUTTING or not isinstance(one, Item):
                self._add(one)
            elif one.family in ("open", "close"):
                if closing is None:
                    closing = max((k for k, other in enumerate(elements) if other.family == "close"), default=-1)
                self.bracket = one.family == "open" and self._may_hold_a_cause() and i < closing
                self._add(one)
            elif one.family == "break":
                self._add(one)
                self.current.hard = True
                self._close("break")
            elif one.family in HEAD_FAMILIES and self._is_head(one):
                self._head(one)
            elif one.family in WEAK:
                self._weak(one)
            else:
                self._add(one)
        self._close("", last=True)
        return self.clauses

    def _may_hold_a_cause(self) -> bool:
        """Return whether a bracket says why: "died: 31 (rot)"; "isolated 12 (thrips)" says what was seen."""
        head = self.current.head
        return head is not None and not head.means("act", "isolated", "inspected", "treated", "watered", "washed")

    def _came_from(self) -> bool:
        """Return whether what stands before the first head is whole: "9 rebutias from irma"."""
        before = self.current.before
        person = any(isinstance(e, Item) and e.family == "person" for e in before)
        source = any(isinstance(e, Item) and e.means("prep", "from") for e in before)
        condition = isinstance(self.next, Item) and self.next.family == "condition"
        counted = any(isinstance(e, Phrase) and {"count", "taxa"} <= e.fields.keys() for e in before)
        return person and source and counted and not condition

    def _is_head(self, one: Item) -> bool:
        head = self.current.head
        if self._under_condition() or self.bracket:
            return False
        if one.family in ("other", "natural", "left") and head is None and self.current.before:
            return one.family != "natural"
        if head is None:
            return not self._of_condition(one)
        if self._continues(one, head):
            one.used = True
            return False
        if self._belongs_to_head(one, head) or self._repeats(one, head):
            return False
        if self.since is not None or (one.family == "natural" and head.family == "sign"):
            return True
        return not (one.family == "climate" and head.family == "climate")

    def _of_condition(self, one: Item) -> bool:
        """Return whether a sign or a state belongs to a condition that opens the clause: "once rooted, pot them"."""
        opened = [e.family for e in self.current.before]
        if ("once" not in opened and "cond" not in opened) or "comma" in opened:
            return False
        return one.family in ("sign", "clear", "gone") or (one.form != "base" and one.meaning in STATES)

    def _belongs_to_head(self, one: Item, head: Item) -> bool:
        """Return whether a word is part of what the head says: "treated for mites", "released from quarantine"."""
        before = self._last_element()
        planned = "remind" in [e.family for e in self.current.before]
        if planned and one.family == "act" and one.form == "noun" and head.form == "base" and self.since is None:
            return True
        if not isinstance(before, Item):
            return False
        if one.family == "sign" and head.means("act", "treated") and before.means("prep", "for"):
            one.kept = True
            return True
        if one.family == "act" and before.means("prep", "with"):
            return True
        watered_in = one.means("act", "watered") and head.means("act", "treated") and before.family == "product"
        if watered_in or (one.means("act", "isolated") and head.family == "act" and before.means("prep", "from")):
            one.used = True
            return True
        return False

    def _repeats(self, one: Item, head: Item) -> bool:
        """Return whether a word only names the head again, or says that a pest is gone."""
        named = bool(self.since) and any(isinstance(e, Phrase) for e in self.since or ())
        if one.family == "gone":
            return head.family == "sign" and head.meaning in PESTS and not named
        if one.means("act", "wetted") and head.means("act", "wetted"):
            return True
        if one.family != "act" or head.family != "act" or one.meaning != head.meaning:
            return False
        alone = self.next is None or (isinstance(self.next, Item) and self.next.family in (*WEAK, "break"))
        bare = one.form == "noun" or (one.form == "base" and not isinstance(self.next, Phrase))
        return bare and (self.since is None or (alone and not named))

    def _continues(self, one: Item, head: Item) -> bool:
        """Return whether a second act or sign only says more about the first: a leak that soaked, predators released."""
        pair = {one.meaning, head.meaning}
        if one.family == head.family == "act" and pair == {"wetted", "watered"} and not self._joined_by_and():
            head.meaning = "wetted"
            head.more = {"cause": "leak"} if "leak" in (one.low, head.low) or head.more.get("how") else head.more
            return True
        if self.since is None and one.family == "act":
            if head.means("act", "moved") and one.meaning in ("repotted", "potted"):
                head.meaning, head.more = one.meaning, one.more
                return True
            spread = head.more.get("how") in ("predators", "nematodes")
            if spread and one.meaning in ("released", "watered", "given", "treated"):
                return True
        return head.means("measure", "trap_count") and one.family == "sign"

    def _last_element(self) -> Element | None:
        every = self.since or self.current.after
        return every[-1] if every else None

    def _joined_by_and(self) -> bool:
        return self.since is not None and self.separator in ("and", "&", "+", "n", "then")

    def _under_condition(self) -> bool:
        """Return whether the words so far stand under an "if" or "till" of a clause that has its head."""
        if self.current.head is None or self.since:
            return False
        tail = self.current.after[-5:]
        return any(isinstance(one, Item) and one.family in ("cond", "once", "till") for one in tail)

    def _add(self, one: Element) -> None:
        if self.since is not None:
            self.since.append(one)
        elif self.current.head is None:
            self.current.before.append(one)
            self.degrees = self.degrees or (one.family in ("amount", "number") and isinstance(one, Item) and _is_degrees(one))
        else:
            self.current.after.append(one)

    def _weak(self, one: Item) -> None:
        if self.current.head is None:
            self.current.before.append(one)
            if one.family == "colon":
                self.current.topic = True
            self.separator = one.low
            if one.family == "comma" and self._came_from():
                self._close(one.low)
                return
            if one.family != "colon" and self.degrees:
                self._close(one.low)
            return
        if self.since and one.family == "colon" and len(self.since) > 1:
            self.since.append(one)
            return
        if self.since:
            self.current.after += self.since
        self.since = [one]
        self.separator = one.low

    def _head(self, one: Item) -> None:
        if self.current.head is None:
            self.current.head = one
            return
        moved, kept = self._moved(one)
        self.current.after += kept
        link = self.separator if self.since is not None else ""
        self.since = None
        self._close(link)
        self.current.before = moved
        self.current.head = one
        self.current.link = link

    def _moved(self, head: Item) -> tuple[list[Element], list[Element]]:
        """Return which elements before a new head go with it, and which stay with the old one."""
        if self.since is not None:
            return self._split_since(head)
        tail: list[Element] = []
        after = self.current.after
        while after:
            last = after[-1]
            if isinstance(last, Item) and (
                last.family in MODIFIERS
                or last.family == "number"
                or (last.family == "amount" and head.family == "measure" and head.low in BEHIND)
                or last.family == "cleared"
            ):
                tail.insert(0, after.pop())
                continue
            if (
                isinstance(last, Phrase)
                and last.prep is None
                and not last.out
                and (self._insects(head, last) or (self._leads_up(head, last) and self._has_subject(after[:-1])))
            ):
                tail.insert(0, after.pop())
                if after and isinstance(after[-1], Phrase) and after[-1].prep is None and self._belongs(after[-1], last):
                    continue
                break
            if (
                isinstance(last, Phrase)
                and last.prep == "on"
                and len(after) > 1
                and isinstance(after[-2], Phrase)
                and after[-2].prep is None
                and self._leads_up(head, last)
                and self._has_subject(after[:-2])
                and (after[-2].bare or "count" in after[-2].fields)
            ):
                tail.insert(0, after.pop())
                continue
            break
        return tail, []

    def _split_since(self, head: Item) -> tuple[list[Element], list[Element]]:
        """Keep with the old head what ends before a negation of the new one: "misted mesembs and s12 | left the conos dry"."""
        since = self.since or []
        for i in range(len(since) - 1, 0, -1):
            one = since[i]
            if (
                isinstance(one, Item)
                and one.family in ("neg", "counter", "plan")
                and one.start < head.start
                and any(isinstance(e, Phrase) for e in since[:i])
                and any(isinstance(e, Phrase) for e in since[i:])
            ):
                return since[i:], since[:i]
        phrases = [(i, e) for i, e in enumerate(since) if isinstance(e, Phrase) and e.prep is None]
        listed = self.separator in ("and", "&", "+", "n", ",") and head.family in ("sign", "clear", "nowater")
        if len(phrases) >= 2 and listed:
            (i, first), (k, second) = phrases[:2]
            if k == i + 1 and not self._belongs(first, second):
                return since[k:], since[:k]
        return since, []

    def _insects(self, head: Item, phrase: Phrase) -> bool:
        """Return whether a number counts the pests of a new head: "killed two snails"."""
        return head.family == "sign" and head.meaning in PESTS and set(phrase.fields) <= {"count", "approx"}

    def _leads_up(self, head: Item, phrase: Phrase) -> bool:
        """Return whether a phrase before a head is its subject: a sign's, or a verb's that has no set of its own behind it."""
        follows = self.next
        last = self.current.after
        at = last.index(phrase) if phrase in last else -1
        behind = last[at - 1] if at > 0 else None
        if isinstance(behind, Item) and behind.family == "act":
            return False
        if at == 0 and self.current.head is not None and self.current.head.low in TAKEN_OFF:
            return False  # "8 pups off the haw potted": the haw is whose they are
        if (
            head.family == "act"
            and phrase.fields
            and set(phrase.fields) <= {"count", "approx", "kind"}
            and head.meaning in ("seed_harvested", "offsets_taken", "cutting_taken", "died", "germinated")
        ):
            return True
        own = isinstance(follows, Phrase) and not (
            follows.prep is not None and head.family == "act" and head.meaning in ("set_to_dry", "potted", "moved")
        )
        if isinstance(follows, Item) and follows.family in ("det", "pron") and head.family == "act":
            own = True
        if head.family in ("sign", "clear", "gone", "nowater", "measure"):
            return not (own and isinstance(follows, Phrase) and follows.prep == "on")
        return not own

    def _belongs(self, first: Phrase, second: Phrase) -> bool:
        """Return whether two phrases side by side name one set ("rebutias tray 3", "rest of bench 1")."""
        return (
            not (first.fields.keys() & second.fields.keys())
            and (
                "places" in second.fields
                or ("sowings" not in second.fields and "places" in first.fields and "taxa" in second.fields)
            )
            and not first.bare
        )

    def _has_subject(self, after: Sequence[Element]) -> bool:
        return any(isinstance(one, Phrase) for one in (*self.current.before, *after))

    def _close(self, link: str, last: bool = False) -> None:
        later = None
        if (
            self.since
            and self.current.head is not None
            and self.current.head.family == "act"
            and any(isinstance(e, Phrase) and e.fields.get("refer") in ("rest", "all") for e in self.since)
            and any(isinstance(e, Item) and e.family == "date" for e in self.since)
        ):
            later, self.since = Clause(before=self.since), None
        topic = bool(self.since) and "colon" in [e.family for e in (self.since or [])[1:]]
        if topic and self.current.head is not None:
            later, self.since = Clause(before=self.since or []), None
        if self.since:
            self.current.after += self.since
        self.since = None
        if self.current.head is not None or self.current.before or self.current.after:
            self.clauses.append(self.current)
        if later is not None:
            self.clauses.append(later)
        if not last:
            self.current = Clause(link=link)
            self.degrees = False


def _is_degrees(one: Item) -> bool:
    return one.meaning == "signed" or one.means("amount", "c", "f", "degree")


def split(items: Sequence[Item], subjects: Subjects) -> list[Clause]:
    """Return the clauses of a note."""
    return [one.close() for one in Splitter().split(flow(items, subjects))]


__all__ = ["Clause", "Element", "Phrase", "Splitter", "flow", "split"]
