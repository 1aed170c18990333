"""What a clause says beside its head: a day shared by two acts, a sign of a thing and not of a plant, a cause said behind."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

from bot.notes import acts, plans
from bot.notes.clauses import Clause
from bot.notes.heads import Phrase
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import PESTS, Entry
from bot.notes.talk import Talk, set_day

THINGS = acts.MACHINES - frozenset(listed("spoken")["growing_lights"]) | frozenset(listed("spoken")["things"])


def shared_day(clauses: list[Clause], talk: Talk) -> None:
    """Let the day of a second act hold for the first that it is joined to: "bench 2 watered and fed 11 april"."""
    for one, other in itertools.pairwise(clauses):
        first, second = one.head, other.head
        if first is None or second is None or other.link not in ("and", "&", "+", "n") or one.hard or one.every("date"):
            continue
        alone = not any(isinstance(e, Phrase) for e in (*one.after, *other.before))
        days = [day for day in other.every("date") if not plans.is_ahead(day.value)]
        if alone and len(days) == 1 and first.means("act") and second.means("act") and first.form == second.form == "past":
            set_day(days[0], talk)
            return


def of_a_thing(clause: Clause) -> bool:
    """Return whether a sign is said of a machine or a pane of glass and not of plants: "bulb burnt out in the propagator"."""
    before = clause.before
    if clause.silent(THINGS):
        return False
    things = any(
        isinstance(one, Item) and one.low in THINGS and not any(isinstance(e, Item) and e.means("prep", "on") for e in before[:i])
        for i, one in enumerate(before)
    )
    if things:
        for one in clause.elements():
            if isinstance(one, Item):
                one.kept = True
            else:
                one.used = False
    return things


def only_that(clause: Clause, talk: Talk) -> bool:
    """Return whether a pest's name only says what it was instead: "65 clean, just fluff"."""
    last, head = talk.last, clause.head
    found_none = last is not None and last.type == "finding" and last.status == "absent"
    merely = found_none and any(isinstance(one, Item) and one.low in ("just", "only", "merely") for one in clause.before)
    if not (merely and head is not None and head.meaning in PESTS and not clause.phrases()):
        return False
    for one in clause.elements():
        one.used = False
    return True


def frosted(clause: Clause, talk: Talk) -> bool:
    """Take "lost 46 to frost" as the cause of the loss before; False where the frost is a reading or a remark."""
    last, head = talk.last, clause.head
    if head is None or head.meaning != "frost" or last is None or last.act != "died" or last is not talk.entries[-1]:
        return False
    if clause.phrases() or "cause" in last.details:
        return False
    talk.entries[-1] = talk.last = replace(last, details={**last.details, "cause": "frost"}, span=(last.span[0], head.end))
    return True


def nothing_else(clause: Clause) -> bool:
    """Return whether "nothing else", "nothing more" only ends what was said: it is no look of its own."""
    head = clause.head
    if head is None or head.family != "clear" or not head.low.startswith("nothing") or not clause.after:
        return False
    behind = clause.after[0]
    return isinstance(behind, Item) and behind.low in NO_LOOK


NO_LOOK = frozenset(("else", "more", "further", "special", "after", "serious", "major", "much", "bad", "big"))


def described_mix(clause: Clause, talk: Talk) -> bool:
    """Return whether "dry" only describes the mix that plants were set in: "55 heeled in dry pumice"."""
    head, last = clause.head, talk.last
    if head is None or head.meaning not in ("mix_dry", "mix_damp") or clause.link or last is None or last.type != "event":
        return False
    lead = talk.text[max(0, head.start - 60) : head.start].lower().split()[-3:]
    if lead[:1] == ["after"]:
        return True  # "watered 12 after 3 weeks dry"
    if not clause.after:
        return False
    behind = clause.after[0]
    return isinstance(behind, Item) and behind.family == "mix" and last.type == "event"


def done_after_all(clause: Clause, talk: Talk) -> None:
    """Add the act of "forgot to water tray 4 yesterday, did it now" as done today."""
    last = talk.entries[-1] if talk.entries else None
    if last is None or last.type != "skip":
        return
    done = next((one for one in clause.after if isinstance(one, Item) and one.low in DONE), None)
    if done is None:
        return
    talk.when, talk.approx = None, False
    talk.add(Entry("event", act=last.act, which=last.which), (done.start, clause.span()[1]))


DONE = frozenset(("did it", "done it", "doing it", "did them"))


def repeated(clause: Clause, talk: Talk) -> bool:
    """Write "sprayed 41, again in 5 days" as done now and planned again; False where the clause says nothing of again."""
    head = clause.head
    ahead = [day for day in clause.every("date") if plans.is_ahead(day.value)]
    again = bool(ahead) and any(isinstance(one, Item) and one.low in AGAIN for one in clause.after)
    if head is None or not ahead or not again or clause.has("plan") is not None or clause.has("remind") is not None:
        return False
    due, approx = plans.due_of(clause, talk)
    acts.event(clause, talk)
    talk.add(Entry("reminder", act=head.meaning, due=due, approx=approx), clause.span())
    return True


AGAIN = frozenset(listed("spoken")["once_more"])


def first_since(clause: Clause, day: Item) -> bool:
    """Return whether a day only says how long it was: "watered, first time since november"."""
    since = clause.has("since")
    first = any(isinstance(one, Item) and one.low in FIRST for one in clause.elements())
    if since is None or not 0 < day.start - since.end <= 1 or not first:
        return False
    day.used = True
    return True


FIRST = frozenset(listed("spoken")["first"])


def named_like_a_month(items: list[Item]) -> None:
    """Take "jan watered the sills" as somebody's name: no month stands bare before what was done."""
    if len(items) < 3 or items[0].family != "date" or items[0].low not in PEOPLE_AND_MONTHS:
        return
    if items[1].family == "act" and items[1].form == "past" and items[2].family not in ("comma", "break"):
        items[0].family = "word"


PEOPLE_AND_MONTHS = frozenset(("jan", "may", "june", "april", "august"))


def only_says_when(clause: Clause, talk: Talk) -> bool:
    """Return whether an act only says when another was: "watered 19, first since potting", "repotted after scrubbing"."""
    head = clause.head
    if head is None or head.form == "past" or clause.phrases():
        return False
    led = _LED_BY_TIME.search(talk.text[max(0, head.start - 60) : head.start]) is not None
    head.kept = head.kept or led
    return led


_LED_BY_TIME = re.compile(
    r"\s(?:since|after|before)(?: (?:the|my|its|their|a))?(?: (?:first|second|third|last|\d\w\w))?\s*$", re.IGNORECASE
)
