"""An ordinary note, clause by clause: what each head makes of its clause, and what is left over."""

from __future__ import annotations

from dataclasses import replace

from bot.notes import acts, doubts, findings, plans, weather
from bot.notes.amounts import Amount
from bot.notes.clauses import Clause, is_phrase, split
from bot.notes.items import Item
from bot.notes.reading import Entry, Selection
from bot.notes.selections import gather
from bot.notes.subjects import Subjects
from bot.notes.talk import Talk

IGNORED = frozenset(
    (
        "det",
        "stop",
        "light",
        "prep",
        "sep",
        "comma",
        "break",
        "colon",
        "dash",
        "query",
        "open",
        "close",
        "pron",
        "hedge",
        "neg",
        "plan",
        "sure",
        "approx",
        "did",
        "undone",
        "particle",
        "till",
        "slash",
        "only",
        "quote",
        "some",
        "remind",
        "since",
        "times",
        "equals",
        "at",
        "any",
        "q",
        "plants",
        "arrow",
        "idiom",
    )
)


def read(talk: Talk) -> None:
    """Read a note that is neither request, correction nor question."""
    items = list(talk.items)
    if _errand(talk) or _cancel(talk) or _rule(talk) or _unclear(talk):
        return
    _first_date(talk)
    for clause in split(items, Subjects(items, talk.names, talk.text)):
        _clause(clause, talk)
    _share_sets(talk)
    _join_climate(talk)
    doubts.of_entries(talk.entries, talk)
    _nothing_said(talk)


def _first_date(talk: Talk) -> None:
    """Let a day that opens the note hold for all of it: "2 days ago soaked frame A"."""
    day = next((one for one in talk.items if one.family == "date"), None)
    acts_ = [one for one in talk.items if one.family in ("act", "sign")]
    if day is not None and acts_ and day.start < acts_[0].start and plans.is_ahead(day.value) and talk.items.index(day) <= 1:
        found = talk.day(day.value, True)
        talk.plan = found.on if found is not None else None
    if day is None or not acts_ or day.start > acts_[0].start or plans.is_ahead(day.value):
        return
    if (
        any(one.form == "past" or one.family == "sign" for one in acts_)
        or plans.is_behind(day.value)
        or day.value.kind == "offset"
    ):
        _set_day(day, talk)


def _set_day(day: Item, talk: Talk) -> None:
    found = talk.day(day.value, False)
    day.used = True
    if found is None:
        talk.ask("when", "there is no such day", hard=True)
        talk.remark(day.low, (day.start, day.end))
        return
    talk.when, talk.approx = found.on, found.approx
    if (day.value.kind in ("week", "vague") or "sometime" in day.low) and found.approx:
        talk.ask("when", "the day is only known about")


_NOW = (
    frozenset("i've ive we've weve have has now i've now ive now i've just ive just today has gone have gone".split())
    | {"just now"}
    | {"i've now", "i've just", "ive just", "has gone", "have gone"}
)


def _clause(clause: Clause, talk: Talk) -> None:
    if talk.when is not None and talk.entries and any(isinstance(one, Item) and one.low in _NOW for one in clause.before):
        talk.when, talk.approx = None, False
    before = len(talk.entries)
    _date(clause, talk)
    _dispatch(clause, talk)
    doubts.of_clause(clause, talk, before)
    _left_over(clause, talk, before)


def _date(clause: Clause, talk: Talk) -> None:
    head = clause.head
    for one in clause.every("date"):
        if one.used or head is None:
            continue
        if (head.family == "act" and (plans.planned(clause, talk) or clause.has("till") is not None)) or head.family in (
            "nowater",
            "doit",
        ):
            return
        if head.family == "climate" and clause.has("since") is not None:
            return
        if (
            head.family == "climate"
            and any(x.meaning in ("frost", "forecast") for x in (head, *clause.every("climate")))
            and not plans.is_behind(one.value)
        ):
            return
        if plans.is_ahead(one.value):
            return
        if (
            one.value.kind == "eve"
            and head.form not in ("past", "ing")
            and one.value.name in ("evening", "eve")
            and head.family == "act"
        ):
            talk.ask("when", "this evening or last evening?", hard=True)
            continue
        if one.value.kind == "eve" and one.value.name in ("tonight", "tonite") and head.form != "past":
            one.kept = True
            continue
        _set_day(one, talk)


def _dispatch(clause: Clause, talk: Talk) -> None:
    head = clause.head
    degrees = (
        weather.stray(clause, talk) if head is not None and head.family in ("act", "sign") and head.meaning != "heated" else None
    )
    _by_head(clause, talk)
    if degrees is not None:
        place = (
            talk.last.which.places[0]
            if talk.last is not None
            and talk.last.act in ("damped_down", "vented")
            and talk.last.which is not None
            and talk.last.which.places
            else None
        )
        talk.add(Entry("climate", at_c=degrees, place=place), clause.span())


def _by_head(clause: Clause, talk: Talk) -> None:
    head = clause.head
    if head is None:
        _headless(clause, talk)
    elif head.family == "act":
        _act(clause, talk)
    elif head.family in ("sign", "clear", "gone"):
        _sign(clause, talk)
    elif head.family == "nowater":
        plans.hold(clause, talk)
    elif head.family == "climate":
        if not weather.climate(clause, talk):
            head.used = False
    elif head.family == "measure":
        if not weather.measure(clause, talk):
            _headless(clause, talk)
    elif head.family == "left":
        _left(clause, talk)
    elif head.family == "skipped":
        _skipped(clause, talk)
    elif head.family == "doit":
        _again(clause, talk)
    elif head.family in ("other", "natural"):
        for one in clause.phrases():
            one.used = False
    elif head.family == "unclear":
        talk.ask(head.meaning, f"{head.low!r} can mean several things", hard=True)


def _skipped(clause: Clause, talk: Talk) -> None:
    """Read "skipped the lithops" as the act of the clause before, not done."""
    last = next((one for one in reversed(talk.entries) if one.type in ("event", "skip")), None)
    if last is None:
        talk.ask("act", "what was skipped is not said", hard=True)
        for one in clause.phrases():
            one.used = False
        return
    said = gather(clause, talk, last.act)
    talk.add(Entry("skip", act=last.act, which=said.selections()[0] if said.sets else None), clause.span())


def _left(clause: Clause, talk: Talk) -> None:
    """Read "too cold, left it" as a watering deliberately not done."""
    why = clause.has("why") or next((one for one in talk.items if one.family == "why"), None)
    dry = clause.head is not None and clause.head.low.endswith("dry")
    if (why is None and not dry) or any(one.type in ("event", "skip") for one in talk.entries):
        return
    if why is not None:
        why.used = True
    said = gather(clause, talk, "watered")
    talk.add(
        Entry("skip", act="watered", why=why.low if why is not None else None, which=said.selections()[0] if said.sets else None),
        clause.span(),
    )


def _again(clause: Clause, talk: Talk) -> None:
    """Read "do it thurs eve" as the act of the clause before, planned."""
    last = next((one for one in reversed(talk.entries) if one.act is not None), None)
    due, approx = plans.due_of(clause, talk)
    if last is None or due is None:
        return
    talk.add(Entry("reminder", act=last.act, due=due, approx=approx), clause.span())


def _act(clause: Clause, talk: Talk) -> None:
    head = clause.head
    assert head is not None
    if head.meaning == "died" and any(isinstance(one, Item) and one.low in ("thought", "assumed") for one in clause.before):
        head.meaning = "found_alive"
    if head.meaning == "cleaned" and talk.last is not None and talk.last.act == "seed_harvested" and not clause.phrases():
        _swallow(clause)
        talk.remark(talk.text[slice(*clause.span())], clause.span())
        return
    counter = next((one for one in clause.every("counter") if one.start < head.start), None)
    if counter is not None and counter.meaning == "should" and (head.form != "noun" or counter.low not in ("may", "might")):
        talk.ask("act", "it was only said that it should, or may", hard=True)
        _swallow(clause)
        talk.remark(talk.text[slice(*clause.span())], clause.span())
        return
    if counter is not None:
        acts.skip(clause, talk)
        return
    negated = next((one for one in clause.every("neg") if one.start < head.start), None)
    if negated is not None and _negated(clause, talk, negated):
        return
    if (
        (talk.plan is not None and head.form in ("base", "noun"))
        or plans.planned(clause, talk)
        or (clause.has("cond") is not None and head.form == "base")
    ):
        plans.reminder(clause, talk)
        return
    if head.meaning == "set_to_dry":
        acts.event(clause, talk)
        plans.drying(clause, talk)
        return
    _query(clause, talk)


def _query(clause: Clause, talk: Talk) -> None:
    """Read "tray 4 water?" as a question, "watered tray 4?" as a doubt, else write the event."""
    head = clause.head
    assert head is not None
    mark = clause.has("query")
    if mark is not None and not talk.entries and head.meaning not in ("named", "missing"):
        mark.used = True
        said = gather(clause, talk, head.meaning)
        about = {"rooted": "rooted", "germinated": "germination", "died": "losses"}.get(head.meaning) or (
            "due" if head.form != "past" else "last_done"
        )
        day = next((one for one in talk.items if one.family == "date"), None)
        found = talk.day(day.value, False) if day is not None and about == "last_done" else None
        since = (found.first or found.on) if found is not None else None
        talk.add(
            Entry(
                "question",
                about="done_since" if since else about,
                act=head.meaning if about in ("due", "last_done") else None,
                since=since,
                which=said.selections()[0] if said.sets else None,
            ),
            clause.span(),
        )
        talk.rules.append(f"question: {about}, by its mark")
        return
    acts.event(clause, talk)
    _rests(clause, talk)


def _rests(clause: Clause, talk: Talk) -> None:
    """Add the end or start of a rest that "first water of the year", "last water till spring" says."""
    head = clause.head
    assert head is not None
    words = [one.low for one in clause.elements() if isinstance(one, Item)]
    low = talk.text[slice(*clause.span())].lower()
    if (
        head.meaning == "watered"
        and (
            "first" in words
            or "frst" in words
            or low.startswith("first")
            or "first water" in low
            or "first spring" in low
            or "1st water" in low
        )
        and any(cue in low for cue in ("spring", "year", "yr", "season", "since", "winter", "2026"))
    ):
        talk.add(Entry("event", act="rest_ended"), clause.span())
    if head.meaning == "rest_started" and head.low in (
        "last water",
        "last watering",
        "last drink",
        "final water",
        "final watering",
    ):
        last = talk.entries[-1]
        for one in clause.every("date"):
            one.used = True
        talk.entries[-1] = Entry("event", act="watered", which=last.which, when=last.when, approx=last.approx, span=last.span)
        talk.add(Entry("event", act="rest_started"), clause.span())


def _negated(clause: Clause, talk: Talk, negated: Item) -> bool:
    """Write what a negation before an act means; False where it does not reach the act."""
    head = clause.head
    assert head is not None
    low = talk.text[slice(*clause.span())].lower()
    if head.meaning == "watered" and (
        clause.has("till") is not None
        or negated.meaning == "dont"
        or (negated.meaning == "no" and any(one.meaning == "days" for one in clause.every("amount")))
    ):
        plans.hold(clause, talk)
        return True
    if negated.meaning == "dont":
        _swallow(clause)
        talk.ask("rule", "a standing rule", hard=True)
        talk.remark(low, clause.span())
        return True
    if negated.meaning == "not" and "since" in low and clause.has("date") is not None:
        acts.event(clause, talk)
        return True
    if negated.meaning in ("undone", "no", "not"):
        if any(one.family == "amount" and one.meaning == "days" for one in clause.every("amount")):
            _swallow(clause)
            talk.remark(talk.text[slice(*clause.span())], clause.span())
            return True
        if head.meaning == "died" and talk.entries == []:
            _swallow(clause)
            talk.remark(talk.text[slice(*clause.span())], clause.span())
            return True
        if head.meaning in ("germinated", "rooted") and negated.meaning in ("no", "undone", "not"):
            if head.meaning == "germinated":
                said = gather(clause, talk, head.meaning)
                which = said.selections()[0] if said.sets else Selection()
                talk.add(Entry("event", act="germinated", which=_zero(which), details={"total": True}), clause.span())
                return True
        acts.skip(clause, talk)
        return True
    return False


def _zero(which: Selection) -> Selection:
    return Selection(**{**{name: getattr(which, name) for name in Selection.__dataclass_fields__}, "count": 0})


def _swallow(clause: Clause) -> None:
    for one in clause.elements():
        one.used = True


def _sign(clause: Clause, talk: Talk) -> None:
    head = clause.head
    assert head is not None
    if plans.is_ahead(clause.every("date")[0].value) if clause.every("date") else False:
        if clause.has("plan") is not None and clause.has("plan").start < head.start:  # type: ignore[union-attr]
            plans.reminder(clause, talk)
            return
    counter = clause.has("counter", "meant")
    if counter is not None and counter.start < head.start:
        return
    previous = talk.last
    if (
        previous is not None
        and previous.type == "event"
        and previous.act == "died"
        and not clause.phrases()
        and "cause" not in previous.details
        and head.family == "sign"
        and findings.status(clause)[0] != "absent"
    ):
        talk.entries[-1] = Entry(
            "event",
            act="died",
            which=previous.which,
            when=previous.when,
            approx=previous.approx,
            sure=previous.sure,
            details={**previous.details, "cause": head.meaning},
            span=previous.span,
        )
        talk.last = talk.entries[-1]
        return
    findings.read(clause, talk)


def _headless(clause: Clause, talk: Talk) -> None:
    """Read a clause without a head: counts that came in, a set that goes on, a temperature."""
    if _came_in(clause, talk) or _temperature(clause, talk) or _sizes(clause, talk):
        return
    if _amount_given(clause, talk) or _rest_later(clause, talk):
        return
    person = clause.has("person")
    if (
        person is not None
        and isinstance(person, Item)
        and not talk.entries
        and any(one.low == "from" for one in clause.every("prep"))
        and any("taxa" in one.fields and "count" in one.fields for one in clause.phrases())
    ):
        clause.head = Item("act", "acquired", person.start, person.start, "", form="past")
        acts.event(clause, talk)
        return
    if (
        person is not None
        and any(one.fields.keys() & {"taxa", "labels", "kind", "nicknames"} for one in clause.phrases())
        and not talk.entries
    ):
        talk.ask("act", "what happened is not said", hard=True)
        return
    if any(one.out for one in clause.elements() if is_phrase(one)) and talk.entries:
        gather(clause, talk, None)
        return
    did = next((one for one in talk.items if one.low in ("did", "did the", "done")), None)
    if did is not None and clause.phrases() and not talk.entries:
        talk.ask("act", "what was done is not said", hard=True)
        for one in clause.phrases():
            one.used = False


def _came_in(clause: Clause, talk: Talk) -> bool:
    """Read "renske: 8 in", "8 in from pia" as plants that came in."""
    elements = clause.elements()
    for i, one in enumerate(elements):
        after = elements[i + 1] if i + 1 < len(elements) else None
        if (
            is_phrase(one)
            and (one.bare or set(one.fields) <= {"count", "approx", "taxa"})
            and isinstance(after, Item)
            and after.low in ("in", "into")
            and (
                i + 2 == len(elements)
                or (isinstance(elements[i + 2], Item) and elements[i + 2].family in ("comma", "break", "sep"))
            )
        ):
            after.used = True
            clause.head = Item("act", "acquired", after.start, after.end, after.low, form="past")
            clause.before, clause.after = elements[: i + 1], elements[i + 2 :]
            acts.event(clause, talk)
            return True
    return False


def _rest_later(clause: Clause, talk: Talk) -> bool:
    """Read "rest tmrw" as the act of the clause before, planned for the remainder."""
    day = clause.has("date")
    last = next((one for one in reversed(talk.entries) if one.act is not None), None)
    if day is None or last is None or (not plans.is_ahead(day.value) and day.value.kind not in ("weekday", "day")):
        return False
    due, approx = plans.due_of(clause, talk)
    said = gather(clause, talk, last.act)
    talk.add(
        Entry("reminder", act=last.act, due=due, approx=approx, which=said.selections()[0] if said.sets else None), clause.span()
    )
    return True


def _amount_given(clause: Clause, talk: Talk) -> bool:
    """Read "12 lithops 12 ml each" as a watering."""
    ml = next((one for one in clause.every("amount") if isinstance(one.value, Amount) and one.value.unit == "ml"), None)
    if ml is None or not clause.phrases():
        return False
    clause.head = Item("act", "watered", ml.start, ml.start, "", form="past")
    for one in clause.every("date"):
        if not one.used and not plans.is_ahead(one.value):
            _set_day(one, talk)
    acts.event(clause, talk)
    return True


def _temperature(clause: Clause, talk: Talk) -> bool:
    items = weather.flat(clause, talk)
    low = {one.low for one in items}
    warm = [one for one in items if weather.temperature(one, talk) is not None]
    warm = [one for one in warm if one.family == "amount"] or warm
    if len(warm) != 1:
        return False
    one = warm[0]
    degrees = one.family == "amount"
    signed = one.family == "number" and one.meaning == "signed"
    inside = bool(low & {"in there", "in here", "out there", "outside", "inside", "overnight"})
    if not (degrees or signed or inside):
        for phrase in clause.phrases():
            phrase.used = False
        return False
    value = weather.temperature(one, talk)
    assert value is not None
    one.used = True
    night = (
        any(x.family == "date" and (x.value.name == "night" or x.low in ("last night", "last nite", "overnight")) for x in items)
        or "overnight" in low
        or signed
    )
    for x in items:
        if x.family == "date" and not x.used:
            _set_day(x, talk)
    place = next((p for p in clause.phrases() if "places" in p.fields), None)
    if place is None and (
        talk.last is not None
        and talk.last.act in ("damped_down", "vented")
        and talk.last.which is not None
        and talk.last.which.places
    ):
        said = talk.last.which.places[0]
    else:
        said = place.fields["places"][0] if place is not None else None
    if place is not None:
        place.used = True
    talk.add(Entry("climate", min_c=value if night else None, at_c=None if night else value, place=said), clause.span())
    if not weather.SANE_C[0] <= value <= weather.SANE_C[1]:
        talk.ask("act", "no thermometer in a greenhouse reads that", hard=True)
    talk.rules.append("climate: a temperature alone")
    return True


def _sizes(clause: Clause, talk: Talk) -> bool:
    sizes = clause.has("sizes")
    if sizes is None:
        return False
    sizes.used = True
    low, high = sizes.value
    if not (2 <= low <= 40 and 2 <= high <= 40):
        return False
    how = "on" if high > low else "down"
    said = gather(clause, talk, "repotted")
    which = said.selections()[0] if said.sets else None
    talk.add(Entry("event", act="repotted", which=which, details={"how": how, "from_pot_cm": low, "pot_cm": high}), clause.span())
    if which is None and not talk.settled:
        talk.ask("which", "no plants are named")
    return True


def _left_over(clause: Clause, talk: Talk, before: int) -> None:
    """Keep what no rule has read as a remark."""
    kept: list[tuple[int, int]] = []
    for one in clause.elements():
        if one is clause.head and len(talk.entries) > before:
            continue
        if is_phrase(one):
            if not one.used:
                kept.append((one.start, one.end))
        elif not one.used and one.family not in IGNORED:
            if one.family == "date" and len(talk.entries) > before and one.value.days == 0 and one.value.kind == "offset":
                continue
            kept.append((one.start, one.end))
    if not kept:
        if len(talk.entries) == before:
            span = clause.span()
            talk.remark(talk.text[slice(*span)], span)
        return
    start, end = kept[0][0], kept[-1][1]
    if len(talk.entries) == before:
        start, end = clause.span()
    talk.remark(talk.text[start:end], (start, end))


def _errand(talk: Talk) -> bool:
    """Read "chase hollis about the labels", "remind me to ring pia" as a reminder in words."""
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
    if minutes and not any(x.family == "act" for x in items) and not any(x.family in ("sign", "climate") for x in items):
        due, _ = plans.due_of(Clause(after=list(items)), talk)
        if due is not None:
            talk.add(Entry("reminder", text=talk.text.strip(), due=due), (0, len(talk.text)))
            return True
    if one.family != "errand" or (lead is None and one.start > 3):
        if not (lead is not None and lead.family == "remind" and not any(x.family in ("act", "sign") for x in items)):
            return False
    due, approx = plans.due_of(Clause(after=list(items)), talk)
    text = talk.text.strip()
    talk.add(Entry("reminder", text=text, due=due, approx=approx), (0, len(talk.text)))
    talk.rules.append("reminder: an errand in words")
    return True


def words_of(low: str) -> list[str]:
    """Return the words of a text in lower case."""
    return low.replace(",", " ").split()


def _cancel(talk: Talk) -> bool:
    """Read "dont remind me about tray 3 any more", "cancel the reminder for 41", "snooze the reminder"."""
    low = talk.text.lower()
    cancel = ("remind" in low or "reminder" in low or "nag" in low) and any(
        cue in low
        for cue in (
            "dont remind",
            "don't remind",
            "stop remind",
            "cancel",
            "no more remind",
            "do not remind",
            "drop the remind",
            "never mind the remind",
            "forget the remind",
            "no need to remind",
        )
    )
    snooze = (
        "snooze" in low
        or (
            "remind" in low and (("put" in words_of(low) and "off" in words_of(low)) or "later" in words_of(low) or "push" in low)
        )
        or (
            ("put off" in low or "postpone" in low or "push back" in low or "delay" in low)
            and ("remind" in low or any(x.family == "act" for x in talk.items))
        )
    )
    if not cancel and not snooze:
        return False
    items = [one for one in talk.items if one.family not in ("remind", "neg")]
    act = next((one.meaning for one in items if one.family == "act"), None)
    clause_list = split(items, Subjects(items, talk.names, talk.text))
    merged = Clause(before=[e for c in clause_list for e in c.elements() if is_phrase(e)])
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


def _rule(talk: Talk) -> bool:
    """Ask about a standing rule: "skip feed on anything repotted this yr", "always water the haws on sunday"."""
    low = talk.text.lower()
    words = low.split()
    if not words:
        return False
    if low.startswith(("from now on", "in future", "as a rule", "rule:", "standing rule", "new rule")):
        talk.ask("rule", "a standing rule", hard=True)
        talk.remark(talk.text, (0, len(talk.text)))
        return True
    rule = (
        words[0] in ("always", "never", "from now on", "rule:", "rule")
        or low.startswith(("from now on", "in future", "as a rule"))
        or " always " in f" {low} "
        or (
            "anything" in words
            and words[0] in ("skip", "no", "dont", "don't", "never", "stop")
            and any(one.family == "act" for one in talk.items)
        )
        or (
            words[0] == "every"
            and not any(one.family == "every" for one in talk.items)
            and any(one.family == "act" for one in talk.items)
            and any(one.form == "base" for one in talk.items)
        )
        or "every time" in low
    )
    if not rule or any(
        one.family == "act" and one.form == "past" and words[0] not in ("never", "skip", "no") for one in talk.items
    ):
        return False
    talk.ask("rule", "a standing rule", hard=True)
    talk.remark(talk.text, (0, len(talk.text)))
    return True


def _unclear(talk: Talk) -> bool:
    one = next((one for one in talk.items if one.family == "unclear"), None)
    if one is not None and not any(x.family in ("act", "sign") for x in talk.items):
        talk.ask(one.meaning, f"{one.low!r} can mean several things", hard=True)
        talk.remark(talk.text, (0, len(talk.text)))
        return True
    low = talk.text.lower().strip(" .!")
    if low in (
        "same again",
        "ditto",
        "same",
        "as above",
        "same as before",
        "same as last time",
        "same as yesterday",
        "same here",
    ):
        talk.ask("act", "the same as what?", hard=True)
        talk.remark(talk.text, (0, len(talk.text)), Selection(refer="same"))
        return True
    return False


def _join_climate(talk: Talk) -> None:
    """Make one reading of a thermometer out of "min 3 / max 24", "16°, rh 70 %"."""
    i = 0
    while i + 1 < len(talk.entries):
        one, other = talk.entries[i], talk.entries[i + 1]
        names = [name for name in ("min_c", "max_c", "at_c", "set_c", "rh") if getattr(other, name) is not None]
        fits = (
            one.type == other.type == "climate"
            and other.place in (None, one.place)
            and one.when == other.when
            and not one.forecast
            and not other.forecast
            and one.set_c is None
            and other.set_c is None
        )
        if fits and all(getattr(one, name) is None for name in names):
            talk.entries[i] = replace(one, span=(one.span[0], other.span[1]), **{name: getattr(other, name) for name in names})
            del talk.entries[i + 1]
        else:
            i += 1


def _share_sets(talk: Talk) -> None:
    """Give the first of two joined acts the set that only the second names: "fed and watered bench 2"."""
    entries = talk.entries
    for i in range(len(entries) - 1):
        one, other = entries[i], entries[i + 1]
        if (
            one.type == other.type == "event"
            and one.which is None
            and other.which is not None
            and one.act != other.act
            and i == 0
        ):
            between = talk.text[one.span[0] : other.span[1]].lower()
            if any(f"{word}" in between.split() for word in ("and", "&", "+", "n", "then")) and one.act not in (
                "acquired",
                "heated",
                "vented",
            ):
                moved = {name: getattr(one, name) for name in Entry.__dataclass_fields__}
                entries[i] = Entry(**{**moved, "which": other.which})
                kept = {name: getattr(other, name) for name in Entry.__dataclass_fields__}
                entries[i + 1] = Entry(**{**kept, "which": None})
                talk.asks[:] = [ask for ask in talk.asks if not (ask[1] == "which" and ask[2].endswith("which plants?"))]


def _nothing_said(talk: Talk) -> None:
    if not talk.entries:
        talk.remark(talk.text, (0, len(talk.text)))
