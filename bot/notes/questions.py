"""Questions of the bench: which of the known ones a note asks, about what, since when."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from bot.notes.abouts import about_of
from bot.notes.amounts import Amount
from bot.notes.asking import TURNING, opening, without_greeting
from bot.notes.clauses import Clause, flow
from bot.notes.items import Item
from bot.notes.lexicon import word_lists
from bot.notes.reading import Entry, Selection
from bot.notes.selections import gather
from bot.notes.subjects import Phrase, Subjects
from bot.notes.talk import Talk


def read(words: list[str], talk: Talk) -> None:
    """Write the question a note asks."""
    words = without_greeting(words)
    said = set(words)
    acts = [one for one in talk.items if one.family == "act"]
    signs = [one for one in talk.items if one.family == "sign"]
    about = about_of(words, said, acts, signs, talk)
    forms = word_lists(talk.settings.language, "asking")
    act = _act_meant(about, said, acts, any(one.family == "nowater" for one in talk.items), forms)
    since, until = _period(talk, about)
    which = _which(talk, about)
    if about in WITHOUT_ACT and not (about == "list" and act in LISTED_BY) and (about, act) != ("may_water", "fed"):
        act = None
    if about in ("card", "last_done") and forms["quarantine"] & said and act in (None, "isolated"):
        about, act = "list", "isolated"  # "how long has the pavel lot got left in quarantine"
    if about == "list" and act == "isolated":
        act, which = None, replace(which or Selection(), state="quarantine")
    if about == "due" and act in ("acquired", "cleaned"):
        act = None
    if about == "card" and which is not None and (which.places or which.lots) and not (which.labels or which.nicknames):
        about = "list"
    entry = Entry(
        "question",
        about=about,
        act=act,
        sign=_sign_meant(about, signs, any(one.family == "neg" for one in talk.items)) if act is None else None,
        which=which,
        since=since,
        until=until,
        details=_details(talk) if about == "dose" else {},
    )
    talk.add(entry, (0, len(talk.text)))
    talk.rules.append(f"question: {about}")


Forms = dict[str, frozenset[str]]
WITHOUT_ACT = frozenset(
    """list source card where count losses flowering swap_list climate germination rooted wet_in_frost rest_check journal dose
    may_water dry_time sprayed lineage wishes""".split()
)
LISTED_BY = frozenset(
    """set_to_dry repotted label_lost isolated treated offered sown unpotted named potted grafted fed watered""".split()
)


def _act_meant(about: str, said: set[str], acts: list[Item], no_water: bool, forms: Forms) -> str | None:
    """Return the act that a question is about: the first one named, or the one its other words speak of."""
    act = next((one.meaning for one in acts if one.meaning != "died" or about != "losses"), None)
    if about == "not_since" and len(acts) > 1:
        return acts[-1].meaning
    if act == "rest_started" and next(one for one in acts if one.meaning == act).low.startswith(("last", "final")):
        act = "watered"
    if about == "last_done":
        return _last_meant(act, said, acts, no_water)
    if about == "list" and {"labels", "label"} & said and forms["label_gone"] & said:
        return "label_lost"
    unnamed = about == "list" and {"name", "names", "unnamed", "unidentified", "nameless"} & said
    return "named" if unnamed and act in (None, "acquired") else act


def _last_meant(act: str | None, said: set[str], acts: list[Item], no_water: bool) -> str | None:
    if act == "rest_ended" and acts[0].low.startswith(("start", "restart")):
        return "watered"
    if act is None and ({"find", "found", "look", "looked", "see"} & said or {"what", "on"} <= said or {"what", "wrong"} <= said):
        return "inspected"
    return "watered" if act is None and no_water else act


def _sign_meant(about: str, signs: list[Item], negated: bool) -> str | None:
    """Return the sign a question is about, where such a question looks for one."""
    sign = signs[0].meaning if signs else None
    if sign == "growing" and negated:
        sign = "stalled"
    if about not in ("list", "last_done", "not_since", "done_since", "losses", "count"):
        return None
    return None if about == "list" and sign == "healthy" else sign


LONGEST_BACK = 100 * 365  # days; nobody asks of more than a hundred years


def _period(talk: Talk, about: str) -> tuple[date | None, date | None]:
    """Return (since, until) that the question names."""
    day = next((one for one in talk.items if one.family == "date"), None)
    if day is None:
        years = next(
            (one for one in talk.items if one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "days"),
            None,
        )
        if years is not None and about in ("not_since", "done_since", "losses", "list", "last_done"):
            days = min(round(years.value.value), LONGEST_BACK)
            if days % 365 == 0:
                back = talk.today
                return back.replace(year=back.year - days // 365, day=min(back.day, 28)), None
            return talk.today - timedelta(days=days), None
        return None, None
    phrase = day.value
    if about == "not_since" and phrase.part == "ahead":
        back = talk.today - timedelta(days=min(phrase.days, LONGEST_BACK))
        if phrase.days <= LONGEST_BACK and phrase.days % 365 == 0:
            back = talk.today.replace(year=talk.today.year - phrase.days // 365, day=min(talk.today.day, 28))
        return back, None
    ahead = about in ("due", "may_water") or phrase.days > 0
    found = talk.day(phrase, ahead)
    if found is None:
        return None, None
    if about == "due":
        return None, found.last if found.last is not None else found.on
    if about == "journal" and any(one.family == "since" for one in talk.items):
        return found.first or found.on, talk.today
    if about == "journal":
        return found.first or found.on, found.last or found.on
    if about == "may_water":
        return None, None
    since = found.first or found.on
    closed = found.last is not None and found.last < talk.today
    if closed and any(one.family == "since" for one in talk.items):
        closed = False
    return since, found.last if closed else None


def _which(talk: Talk, about: str) -> Selection | None:
    elements = flow(
        [one for one in talk.items if one.family != "q"],
        Subjects([one for one in talk.items if one.family != "q"], talk.names, talk.text),
    )
    phrases = [one for one in elements if isinstance(one, Phrase)]
    people = [one for one in talk.items if one.family == "person"]
    clause = Clause(before=list(phrases))
    what_about = opening(talk.text.lower().split(), TURNING) is not None
    for phrase in phrases:
        if what_about and phrase.fields.keys() == {"count", "approx"}:  # "what about 41"
            phrase.fields, phrase.bare = {"labels": (str(phrase.fields["count"]),)}, False
        _label(phrase, about)
    said = gather(clause, talk, None)
    fields: dict[str, Any] = {}
    if said.sets:
        fields = dict(said.sets[0])
    if about == "rest_check" and fields.get("refer") == "rest":
        fields.pop("refer")
    fields.pop("words", None) if set(fields) == {"words"} and not any(one.article for one in phrases) else None
    if people and about in ("losses", "source", "list", "count", "card", "due", "last_done"):
        lot = next((key for key in talk.names.names.lots if key.lower() == people[0].meaning), None)
        if lot is not None:
            fields.setdefault("lots", (lot,))
    if fields.get("refer") == "all" and len(fields) == 1:
        fields = {}
    return Selection(**fields) if fields else None


def _label(phrase: Phrase, about: str) -> None:
    if phrase.bare and "labels" in phrase.fields and about != "dose":
        phrase.bare = False


def _details(talk: Talk) -> dict[str, Any]:
    details: dict[str, Any] = {}
    for one in talk.items:
        if one.family == "dose" and one.value:
            details["dose"] = one.value
        elif one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "l":
            details["litres"] = one.value.value
        elif one.family == "product":
            details["product"] = one.low
    return details


def asked_of(which: Selection | None) -> Selection | None:
    """Return whom a question is about: a bare number is a label there, since nothing is written of it."""
    number = which is not None and which.words is not None and which.words.isdecimal()
    return replace(which, words=None, labels=(str(which.words),)) if which is not None and number else which
