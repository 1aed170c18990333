"""Notes that are one thing as a whole: an errand, a reminder put off, a standing rule, a word that may mean anything."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from bot.notes import plans
from bot.notes.clauses import Clause, split
from bot.notes.heads import Phrase
from bot.notes.languages import listed
from bot.notes.lexicon import word_lists
from bot.notes.reading import Entry, Selection
from bot.notes.selections import gather
from bot.notes.subjects import Subjects
from bot.notes.talk import Talk


def errand(talk: Talk) -> bool:
    """Read "chase hollis about the labels", "remind me to ring pia" as a reminder in words."""
    if talk.lacks("errand", "remind", "amount"):
        return False
    items = [
        one
        for one in talk.items
        if one.family not in ("stop", "det") and one.low not in ("could", "can", "would", "you", "please", "pls")
    ]
    i = 0
    lead = None
    while i < len(items) and items[i].family in ("remind", "plan"):
        lead = items[i]
        i += 1
    if i >= len(items):
        return False
    one = items[i]
    minutes = any(x.family == "amount" and x.meaning == "minutes" and n and items[n - 1].low == "in" for n, x in enumerate(items))
    if (
        minutes
        and not any(x.family == "act" and x.meaning != "moved" for x in items)
        and not any(x.family in ("sign", "climate") for x in items)
    ):
        due, _ = plans.due_of(Clause(after=list(items)), talk)
        if due is not None:
            talk.add(Entry("reminder", text=talk.text.strip(" .!\n"), due=due), (0, len(talk.text)))
            return True
    told = lead is not None and lead.family == "remind" and not any(x.family in ("act", "sign") for x in items)
    if (one.family != "errand" or (lead is None and one.start > 3)) and not told:
        return False
    due, approx = plans.due_of(Clause(after=list(items)), talk)
    text = plans.wording(items[i:], talk) if told else talk.text.strip(" .!\n")
    if not text:
        return False
    talk.add(Entry("reminder", text=text, due=due, approx=approx), (0, len(talk.text)))
    talk.rules.append("reminder: an errand in words")
    return True


def words_of(low: str) -> list[str]:
    """Return the words of a text in lower case."""
    return low.replace(",", " ").split()


def _put_back(talk: Talk) -> bool:
    """Return whether an act is put off: "push the repotting of 91 back a week"."""
    pushed = talk.items[0].low in word_lists(talk.settings.language, "requesting")["snooze_open"]
    when = any(one.family in ("date", "amount") for one in talk.items)
    return pushed and when and any(one.family == "act" and one.form != "past" for one in talk.items[1:])


@cache
def _cues(language: str) -> tuple[str, ...]:
    """Return what stands in every note that takes a reminder back or puts it off, but for what it may open with."""
    return (*word_lists(language, "requesting")["reminder"] - {REMIND}, SNOOZE, REMIND, *PUT_OFF)


SNOOZE, REMIND, PUT_OFF = "snooze", "remind", ("put off", "postpone", "push back", "delay")


def _no_cue(low: str, cues: Iterable[str]) -> bool:
    """Return whether none of the cues stands anywhere in a text."""
    return not [cue for cue in cues if cue in low]


@cache
def _call_off(language: str) -> frozenset[str]:
    """Return the words that stand in what calls a plan off."""
    return frozenset(word for one in word_lists(language, "requesting")["call_off"] for word in one.split())


def _called_off(talk: Talk) -> bool:
    """Return whether a care that is planned is called off: "cancel the check on 203"."""
    if talk.lacks("act") or talk.silent(_call_off(talk.settings.language)):
        return False
    said = [one for one in talk.items if one.family not in ("det", "stop")]
    called = said and said[0].low in word_lists(talk.settings.language, "requesting")["call_off"]
    return bool(called) and len(said) > 1 and said[1].family == "act" and said[1].form in ("noun", "base", "ing")


def cancel(talk: Talk) -> bool:
    """Read "dont remind me about tray 3 any more", "cancel the reminder for 41", "snooze the reminder"."""
    low = talk.low
    wording = word_lists(talk.settings.language, "requesting")
    opens = talk.items[0].low in wording["snooze_open"]
    if not opens and _no_cue(low, _cues(talk.settings.language)) and not _called_off(talk):
        return False
    cancel = any(cue in low for cue in wording["no_reminder"]) and any(cue in low for cue in wording["reminder"])
    cancel = cancel or _called_off(talk)
    snooze = (
        SNOOZE in low
        or (REMIND in low and (("put" in words_of(low) and "off" in words_of(low)) or "later" in words_of(low) or "push" in low))
        or (any(cue in low for cue in PUT_OFF) and (REMIND in low or any(x.family == "act" for x in talk.items)))
        or _put_back(talk)
    )
    if not cancel and not snooze:
        return False
    every = talk.items
    of_it = {i for i, one in enumerate(every[1:]) if one.family == "remind" and every[i].family == "det"}  # "the reminder for 41"
    items = [one for i, one in enumerate(every) if one.family not in ("remind", "neg") and i not in of_it]
    act = next((one.meaning for one in items if one.family == "act"), None)
    clause_list = split(items, Subjects(items, talk.names, talk.text))
    merged = Clause(before=[e for c in clause_list for e in c.elements() if isinstance(e, Phrase)])
    for phrase in merged.phrases():
        phrase.bare = False
    said = gather(merged, talk, act)
    due, _ = plans.due_of(Clause(after=list(items)), talk)
    talk.add(
        Entry(
            "reminder",
            act=act,
            cancel=cancel,
            snooze=snooze and not cancel,
            due=due if not cancel else None,
            which=said.selections()[0] if said.sets else None,
        ),
        (0, len(talk.text)),
    )
    return True


SAME_AGAIN = listed("spoken")["same_again"]
RULE_SAYS = listed("spoken")["rule_says"]


def standing_rule(talk: Talk) -> bool:
    """Ask about a standing rule: "skip feed on anything repotted this yr", "always water the haws on sunday"."""
    low = talk.low.rstrip(" .!\n")
    words = low.split()
    opens = low.startswith(RULE_OPENS)
    if not words or (not opens and _RULE_WORDS.isdisjoint(words) and _no_cue(low, _RULE_SAYS)):
        return False
    if opens:
        talk.ask("rule", "a standing rule", hard=True)
        talk.remark(talk.text, (0, len(talk.text)))
        return True
    rule = (
        words[0] in RULE_FIRST
        or f" {ALWAYS} " in f" {low} "
        or (
            ANYTHING in words
            and words[0] in ("skip", "no", "dont", "don't", "never", "stop")
            and any(one.family == "act" for one in talk.items)
        )
        or (
            words[0] == EVERY
            and not any(one.family == "every" for one in talk.items)
            and any(one.family == "act" for one in talk.items)
            and any(one.form == "base" for one in talk.items)
        )
        or any(one in low for one in RULE_SAYS)
        or (words[0] == FROM and bool({"on", "onwards"} & set(words[2:4])) and any(one.family == "act" for one in talk.items))
        or (words[-1] == EVER and any(one.family == "act" for one in talk.items))
    )
    if not rule or any(
        one.family == "act" and one.form == "past" and words[0] not in ("never", "skip", "no") for one in talk.items
    ):
        return False
    talk.ask("rule", "a standing rule", hard=True)
    talk.remark(talk.text, (0, len(talk.text)))
    return True


RULE_OPENS = ("from now on", "in future", "as a rule", "rule:", "standing rule", "new rule")
ALWAYS, ANYTHING, EVERY, FROM, EVER = "always", "anything", "every", "from", "ever"
_RULE_SAYS = frozenset(f"{one.split()[0]} " for one in RULE_SAYS)
RULE_FIRST = frozenset((ALWAYS, "never", "rule"))
# Without one of these words nothing is a standing rule: it opens one, or stands in it.
_RULE_WORDS = RULE_FIRST | {ALWAYS, ANYTHING, EVERY, FROM, EVER}
MARKUP = re.compile(r"</?[a-zA-Z][^>]*>")


def unclear(talk: Talk) -> bool:
    if "<" in talk.text and MARKUP.search(talk.text):
        talk.remark(talk.text, (0, len(talk.text)))
        return True
    one = None if talk.lacks("unclear") else next((one for one in talk.items if one.family == "unclear"), None)
    if one is not None and not any(x.family in ("act", "sign") for x in talk.items):
        talk.ask(one.meaning, f"{one.low!r} can mean several things", hard=True)
        talk.remark(talk.text, (0, len(talk.text)))
        return True
    low = talk.low.strip(" .!")
    if low in SAME_AGAIN:
        talk.ask("act", "the same as what?", hard=True)
        talk.remark(talk.text, (0, len(talk.text)), Selection(refer="same"))
        return True
    return False
