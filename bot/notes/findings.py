"""Signs on plants: present, suspected, absent or cleared, and on which."""

from __future__ import annotations

from dataclasses import replace

from bot.notes.clauses import Clause
from bot.notes.heads import Phrase
from bot.notes.items import Item
from bot.notes.reading import PESTS, Entry, Selection
from bot.notes.selections import Said, gather
from bot.notes.talk import Talk

PREDICATE_WORDS = frozenset(
    """soft mush mushy rotten flat plump fat fine healthy ok okay dry damp wet asleep drawn thirsty burnt broken eaten bound
    potbound rootbound yellow loose dormant happy good well great lovely shrunk shrunken frosted stuck limp floppy bone pale
    leggy turgid firm resting perfect soggy sodden moist waterlogged parched burst rootless wobbly bronze bitten""".split()
)
PREDICATE_FIRST = frozenset(
    """
        in gone going turned turning looks looking doing got has not still all throwing making out sat too
        back on lost split shut
    """.split()
)
NOT_PREDICATE = frozenset("webbing bronzing scarring silvering greenfly whitefly stippling blackfly scorching".split())


def is_predicate(head: Item) -> bool:
    """Return whether a sign is said of plants ("soft", "in bud") and not a thing on them ("mites", "flowers")."""
    words = head.low.split()
    last = words[-1]
    if head.meaning in PESTS or last in NOT_PREDICATE:
        return False
    return (
        words[0] in PREDICATE_FIRST
        or last in PREDICATE_WORDS
        or last.endswith(("ed", "ing", "led", "wn"))
        or head.meaning in ("stalled", "resting")
    )


LATELY = frozenset(("now", "at last", "finally"))


def status(clause: Clause) -> tuple[str, bool]:
    """Return (status, sure) of the sign at the head of a clause, by the negations and hedges around it."""
    negations = [one for one in clause.every("neg") if one.meaning in ("no", "not", "undone", "dont")]
    doubtful = not clause.lacks("counter") and any(
        one.low in ("may", "might", "may have", "might have", "could have", "may well") for one in clause.every("counter")
    )
    hedged = bool(clause.every("hedge")) or clause.has("query") is not None or doubtful
    certain = clause.has("sure")
    if certain is not None and not clause.has("query"):
        denied = any(
            one.end <= certain.start and certain.start - one.end < 8
            for one in clause.every("neg") + [w for w in clause.every("word") if w.low in ("can't", "cant", "cannot", "couldn't")]
        )
        hedged = denied
    if clause.head is not None and clause.head.more.get("status"):
        return clause.head.more["status"], not hedged
    everyone = [one for one in clause.elements() if isinstance(one, Phrase) and one.low.startswith("not a single one")]
    if everyone:
        return ("present" if negations else "absent"), True
    doubled = negations and (
        any(one.low in ("not without", "never without") for one in negations)
        or (len(negations) > 1 and any(one.low == "without" for one in negations))
    )
    if doubled:
        return ("suspected" if hedged else "present"), True
    gone = clause.has("gone")
    if gone is not None and (
        clause.head is None
        or clause.head.meaning in PESTS
        or clause.head.meaning in ("webbing", "honeydew", "rot", "damping_off", "grey_mould", "fungal_spot", "algae")
    ):
        gone.used = True
        still = any(one.meaning in ("not", "undone") and 0 <= gone.start - one.end <= 1 for one in negations)
        return "present" if still else "cleared", not hedged  # "the mites arent gone yet"
    lately = negations and not LATELY.isdisjoint(clause.lows())
    if clause.has("cleared") is not None or (lately and any(one.low in ("clear of", "free of", "clean of") for one in negations)):
        return "cleared", not hedged
    if negations and _reaches(clause, negations):
        return "absent", not hedged
    return ("suspected" if hedged else "present"), True


def _reaches(clause: Clause, negations: list[Item]) -> bool:
    """Return whether a negation is about the head and not about another part of the clause."""
    head = clause.head
    if head is None:
        return True
    for one in negations:
        if one.low in ("isnt", "not", "never", "isn't") and one.start > head.start:
            continue
        if one.meaning in ("no", "not", "undone", "dont") and one.start < head.start:
            between = [
                e
                for e in clause.before
                if isinstance(e, Item) and one.end <= e.start and e.family in ("comma", "sign", "act", "colon")
            ]
            if not between:
                return True
        if one.low in ("none", "nil", "none of the", "nowt", "none seen") and one.start > head.start:
            return True
        if (
            one.start > head.start
            and one.low in ("no", "zero")
            and not any(
                e.start > one.start for e in clause.after if isinstance(e, Item) and e.family not in ("query", "comma", "break")
            )
        ):
            return True
    return False


def read(clause: Clause, talk: Talk) -> None:
    """Write the finding of a clause."""
    head = clause.head
    assert head is not None
    sign = _sign(clause, head, talk)
    state, sure = status(clause)
    if head.family == "clear" and _none_up(clause, talk):
        return
    if head.family == "clear":
        sign, state, sure = _clear(clause, talk, sure)
    elif head.family == "gone":
        _gone(clause, talk)
        return
    if (
        sign == "healthy"
        and state == "present"
        and talk.last is not None
        and talk.last.act == "inspected"
        and head.low in ("ok", "okay", "fine", "good", "all good", "all fine", "all ok", "well", "is fine")
    ):
        sign, state = "pest", "absent"
    _insects(clause, head)
    said = gather(clause, talk, None)
    talk.rules.append(f"finding: {head.low!r} is {sign}, {state}")
    _product_of(clause, talk)
    if _refined(clause, talk, sign, state, said):
        return
    sets: list[Selection | None] = list(said.selections()) or [_default(clause)]
    for which in sets:
        talk.add(Entry("finding", sign=sign, status=state, sure=sure, which=which), clause.span())
    _ask(talk, said, sets)


def _product_of(clause: Clause, talk: Talk) -> None:
    """Give "dabbed the mealies on 36 with meths" its product, which stands behind what was treated."""
    product = clause.has("product")
    last = talk.entries[-1] if talk.entries else None
    if product is None or last is None or last.act != "treated" or "product" in last.details:
        return
    product.used = True
    talk.entries[-1] = replace(last, details={**last.details, "product": product.low})
    talk.asks[:] = [one for one in talk.asks if one[1] != "product"]


def _refined(clause: Clause, talk: Talk, sign: str, state: str, said: Said) -> bool:
    """Take a second word for the same sign as a closer look at the first, not as another finding."""
    last = talk.last
    if (
        last is None
        or last.type != "finding"
        or said.sets
        or last is not (talk.entries[-1] if talk.entries[-1].type != "remark" else last)
    ):
        return False
    same = last.sign == sign or (
        last.sign == "webbing" and clause.head is not None and clause.head.more.get("status") == "absent"
    )
    if not same or ((last.status == "absent") != (state == "absent") and last.sign == sign):
        return False
    i = next((n for n in range(len(talk.entries) - 1, -1, -1) if talk.entries[n] is last), None)
    if i is None:
        return False
    talk.entries[i] = replace(
        last, sign=sign, status=state if state != "present" else last.status, span=(last.span[0], clause.span()[1])
    )
    talk.last = talk.entries[i]
    for one in clause.elements():
        if isinstance(one, Item) and one.family == "number":
            one.used = False
    return True


def _sign(clause: Clause, head: Item, talk: Talk) -> str:
    if head.meaning == "rot" and any(isinstance(one, Item) and one.low in ("roots", "rts") for one in clause.before):
        return "dead_roots"
    if head.meaning == "healthy" and any(
        isinstance(one, Item) and one.low in ("roots", "root", "root ball") for one in clause.elements()
    ):
        for one in clause.elements():
            if isinstance(one, Item) and one.low in ("roots", "root"):
                one.used = True
        return "roots_healthy"
    if head.meaning == "mealybug" and (
        any(isinstance(one, Item) and one.low in ("roots", "root", "rootball", "root ball") for one in clause.elements())
        or (talk.last is not None and talk.last.sign in ("roots_healthy", "dead_roots", "pot_bound"))
    ):
        for one in clause.elements():
            if isinstance(one, Item) and one.low in ("roots", "root"):
                one.used = True
        return "root_mealybug"
    return head.meaning


def _none_up(clause: Clause, talk: Talk) -> bool:
    """Read "s13 nowt" after a germination as none up."""
    phrase = next((one for one in clause.phrases() if "sowings" in one.fields), None)
    if (
        phrase is None
        or clause.head is None
        or clause.head.low
        not in (
            "nothing",
            "none",
            "nowt",
            "nil",
            "nothing there",
            "zilch",
            "nothing showing",
            "nothing at all",
            "nothing visible",
            "none seen",
        )
    ):
        return False
    phrase.used = True
    talk.add(
        Entry("event", act="germinated", which=Selection(sowings=phrase.fields["sowings"], count=0), details={"total": True}),
        clause.span(),
    )
    return True


def _clear(clause: Clause, talk: Talk, sure: bool) -> tuple[str, str, bool]:
    last = talk.last
    if (
        last is not None
        and last.type == "finding"
        and last.sign not in PESTS
        and last.sign != "webbing"
        and clause.head is not None
        and clause.head.low in ("none", "nothing", "none yet")
    ):
        return str(last.sign), "absent", sure
    if any(isinstance(one, Item) and one.low in ("now", "again", "at last", "finally") for one in clause.elements()):
        return "pest", "cleared", sure
    return "pest", "absent", not clause.every("hedge")


def _gone(clause: Clause, talk: Talk) -> None:
    head = clause.head
    assert head is not None
    previous = talk.last
    if (
        previous is not None
        and previous.type == "finding"
        and previous.sign in ("rot", "soft")
        and not clause.phrases()
        and head.low == "gone"
    ):
        talk.add(
            Entry("event", act="died", details={"cause": previous.sign}),
            clause.span(),
        )
        talk.rules.append("gone after a rot: died")
        if previous.which is None and not talk.settled:
            talk.ask("which", "a death is not written on a guess", hard=True)
        return
    if head.low == "gone" and clause.phrases():
        talk.ask("act", "gone may be dead or missing", hard=True)
        talk.remark(talk.text[clause.span()[0] : clause.span()[1]], clause.span())
        for one in clause.phrases():
            one.used = True
        return
    if previous is not None and previous.type == "finding" and previous.sign in PESTS and not clause.phrases():
        pass
    said = gather(clause, talk, None)
    sets: list[Selection | None] = list(said.selections()) or [None]
    for which in sets:
        talk.add(Entry("finding", sign="pest", status="cleared", which=which, sure=not clause.every("hedge")), clause.span())
    _ask(talk, said, sets)


BESIDE = ("adj", "stop", "hedge", "light", "det", "word", "sign", "prep")


def _insects(clause: Clause, head: Item) -> None:
    """A number right before a thing on plants counts the things, not the plants; it stays in the words."""
    if is_predicate(head) or not clause.before:
        return
    i = len(clause.before) - 1
    if any(isinstance(one, Item) and one.means("prep", "with") for one in clause.before):
        return
    while i >= 0 and isinstance(one := clause.before[i], Item) and one.family in BESIDE:
        i -= 1
    last = clause.before[i] if i >= 0 else None
    if not (
        isinstance(last, Phrase)
        and last.prep is None
        and (last.bare or set(last.fields) <= {"count", "approx"})
        and not last.whole
        and not last.of_plants
    ):
        return
    named = ("taxa", "places", "nicknames", "lots", "sowings")
    others = any(
        isinstance(one, Phrase) and one is not last and (one.prep is not None or one.fields.keys() & set(named))
        for one in clause.elements()
    )
    if last.bare and not last.spelled and not others and int(last.fields["labels"][0]) > 20:
        return
    things = head.meaning in PESTS or head.meaning in ("flowering", "budding", "fruiting")
    if others or things or last.spelled or last.fields.get("labels", ("",))[0] in ("1", "2", "3"):
        last.used = True


def _default(clause: Clause) -> Selection | None:
    """Return "the flowers" where a sign sits in a part that is a sign itself, or everything for "not a single one without"."""
    for one in clause.elements():
        if isinstance(one, Item) and one.low == "not a single one":
            return Selection(refer="all")
    return None


def _ask(talk: Talk, said: Said, sets: list[Selection | None]) -> None:
    if said.unsure:
        talk.ask("which", "the number may be a label or a count", hard=True)
    for which in sets:
        if which is None:
            if not talk.settled:
                talk.ask("which", "no plants are named")
        elif which.words is not None:
            hard = which.words.isdecimal()
            talk.ask("which", "the number may be a label or a count" if hard else "only a person can say which", hard=hard)
        elif which.refer == "all" and which.count is None and len(which.to_json()) == 1:
            talk.ask("which", "all of which?")
        elif (which.count is not None or which.fraction is not None) and not said.whole and not which.labels:
            if not (which.count is not None and which.of is not None and not which.places):
                talk.ask("which", "a part of a set")
        elif which.state is not None and not which.places:
            talk.ask("which", "only a person can say which")
