"""An ordinary note, clause by clause: what each head makes of its clause, and what is left over."""

from __future__ import annotations

from dataclasses import replace

from bot.notes import acts, asides, doubts, doubts_of_sets, findings, joins, plans, remainder, weather
from bot.notes.clauses import Clause, split
from bot.notes.headless import headless
from bot.notes.heads import Phrase
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.pieces import pieces
from bot.notes.questions import asked_of
from bot.notes.reading import Entry, Selection
from bot.notes.retakes import TAKING_BACK, in_one_breath, self_corrected
from bot.notes.selections import gather
from bot.notes.subjects import Subjects
from bot.notes.talk import Talk, set_day
from bot.notes.wholes import cancel, errand, standing_rule, unclear

LAST_WATER = frozenset(listed("spoken")["last_water"])
IGNORED = frozenset(
    (
        "det stop light prep sep comma break colon dash query open close pron hedge neg plan sure approx did undone "
        "particle till slash only quote some remind since times equals at any q plants arrow idiom sought"
    ).split()
)


def whole(talk: Talk) -> bool:
    """Read a note that is an errand, a reminder put off, a standing rule or unclear as a whole; False where it is none."""
    return errand(talk) or cancel(talk) or standing_rule(talk) or unclear(talk)


def read(talk: Talk) -> None:
    """Read a note that is nothing as a whole: neither request, correction, question nor errand."""
    _first_date(talk)
    whole = talk.items
    for talk.items in pieces(whole):
        _piece(talk)
    talk.items = whole
    if len(talk.entries) > 1:
        joins.join(talk)
    doubts_of_sets.of_entries(talk.entries, talk)
    doubts_of_sets.of_members(talk)
    _nothing_said(talk)


def _piece(talk: Talk) -> None:
    """Read the items of a piece of the note, clause by clause."""
    items = in_one_breath(talk.items)
    if not talk.silent(TAKING_BACK):
        items = self_corrected(items)
    clauses = split(items, Subjects(items, talk.names, talk.text))
    if len(clauses) > 1:
        asides.shared_day(clauses, talk)
    for clause in clauses:
        _clause(clause, talk)
    if len(clauses) > 1:
        doubts.of_pairs(clauses, talk)


def _first_date(talk: Talk) -> None:
    """Let a day that opens the note hold for all of it: "2 days ago soaked frame A"."""
    if talk.lacks("date"):
        return
    asides.named_like_a_month(talk.items)
    day = next((one for one in talk.items if one.family == "date"), None)
    acts_ = [one for one in talk.items if one.family in ("act", "sign")]
    if day is not None and acts_ and day.start < acts_[0].start and plans.is_ahead(day.value) and talk.items.index(day) <= 1:
        found = talk.day(day.value, True)
        talk.plan = found.on if found is not None else None
    if day is None or not acts_ or day.start > acts_[0].start or plans.is_ahead(day.value):
        return
    if any(one.family == "remind" and one.start < day.start for one in talk.items):
        return  # "remind me friday. watered tray 3"
    if (
        any(one.form == "past" or one.family == "sign" for one in acts_)
        or plans.is_behind(day.value)
        or day.value.kind == "offset"
    ):
        set_day(day, talk)


_NOW = frozenset(listed("care")["now"])


def _clause(clause: Clause, talk: Talk) -> None:
    if talk.when is not None and talk.entries and not _NOW.isdisjoint(clause.lows()):
        talk.when, talk.approx = None, False
    before = len(talk.entries)
    if not clause.lacks("date"):
        _date(clause, talk)
    _dispatch(clause, talk)
    asides.done_after_all(clause, talk)
    doubts.of_clause(clause, talk, before)
    _left_over(clause, talk, before)


def _ends_there(clause: Clause, day: Item) -> bool:
    """Return whether a day is the end that "till" speaks of, and not the day on which something happened."""
    till = clause.has("till")
    if till is None or day.start < till.start:
        return False
    return not any(till.start < other.start < day.start for other in clause.every("date"))


def _date(clause: Clause, talk: Talk) -> None:
    head = clause.head
    for one in clause.every("date"):
        if one.used or head is None:
            continue
        if head.family in ("nowater", "doit") or (head.family == "act" and plans.planned(clause, talk)):
            return
        if head.family == "act" and (_ends_there(clause, one) or asides.first_since(clause, one)):
            continue
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
            one.kept = True
            continue
        if one.value.kind == "eve" and one.value.name in ("tonight", "tonite") and head.form != "past":
            one.kept = True
            continue
        set_day(one, talk)


def _dispatch(clause: Clause, talk: Talk) -> None:
    head = clause.head
    degrees = (
        weather.stray(clause, talk) if head is not None and head.family in ("act", "sign") and head.meaning != "heated" else None
    )
    _by_head(clause, talk)
    bath = talk.last is not None and talk.last.details.get("how") == "hot_water"
    if degrees is not None and (bath or clause.has("source") is not None):
        talk.add(Entry("measure", of="water_temp", value=degrees, unit="c"), clause.span())
    elif degrees is not None:
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
        headless(clause, talk)
    elif head.family == "act":
        _act(clause, talk)
    elif head.family in ("sign", "clear", "gone"):
        _sign(clause, talk)
    elif head.family == "nowater":
        _no_water(clause, talk)
    elif head.family == "climate":
        head.used = weather.climate(clause, talk) or asides.frosted(clause, talk)
    elif head.family == "measure":
        if not weather.measure(clause, talk):
            headless(clause, talk)
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


def _no_water(clause: Clause, talk: Talk) -> None:
    """Read "no water today" as a watering not done, "no water till may" as a hold."""
    today = any(one.value.kind == "offset" and one.value.days == 0 for one in clause.every("date"))
    once = today or "this time" in clause.lows()
    if not once or clause.has("till") is not None:
        plans.hold(clause, talk)
        return
    why = clause.has("why")
    said = gather(clause, talk, "watered")
    which = said.selections()[0] if said.sets else None
    talk.add(Entry("skip", act="watered", which=which, why=why.low if why is not None else None), clause.span())


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
    last = talk.entries[-1] if talk.entries else None
    if last is not None and last.sign == "mix_damp" and any(one.act == "watered" for one in talk.entries):
        talk.add(Entry("skip", act="watered"), clause.span())
        return
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
    if head.meaning == "died" and not {"thought", "assumed"}.isdisjoint(clause.lows()):
        head.meaning = "found_alive"
    if talk.entries and asides.only_says_when(clause, talk):
        return
    if head.meaning == "cleaned" and talk.last is not None and talk.last.act == "seed_harvested" and not clause.phrases():
        _swallow(clause)
        talk.remark(talk.text[slice(*clause.span())], clause.span())
        return
    counter = None
    if not clause.lacks("counter"):
        counter = next((one for one in clause.every("counter") if one.start < head.start), None)
    if counter is not None and counter.low in NEARLY and head.meaning in acts.GRAVE:
        _swallow(clause)
        talk.remark(talk.text[slice(*clause.span())], clause.span())
        return
    if counter is not None and counter.meaning == "should" and (head.form != "noun" or counter.low not in ("may", "might")):
        talk.ask("act", "it was only said that it should, or may", hard=True)
        _swallow(clause)
        talk.remark(talk.text[slice(*clause.span())], clause.span())
        return
    if counter is not None:
        acts.skip(clause, talk)
        return
    negated = None
    if not clause.lacks("neg"):
        negated = next((one for one in clause.every("neg") if one.start < head.start), None)
    if negated is not None and _negated(clause, talk, negated):
        return
    last = talk.last
    if last is not None and last.type == "hold" and last.until is not None and head.form == "base" and not clause.every("date"):
        talk.add(Entry("reminder", act=head.meaning, due=last.until), clause.span())
        return
    if head.low in OFF_WATER and clause.has("till") is not None:
        plans.hold(clause, talk)
        return
    if head.form == "past" and asides.repeated(clause, talk):
        return
    if (talk.plan is not None and head.form in ("base", "noun")) or plans.planned(clause, talk) or _conditional(clause, head):
        plans.reminder(clause, talk)
        return
    if head.meaning == "set_to_dry":
        acts.event(clause, talk)
        plans.drying(clause, talk)
        return
    _query(clause, talk)


OFF_WATER = frozenset(listed("spoken")["off_water"])
NEARLY = frozenset(listed("spoken")["nearly"])  # "nearly lost 41": it is still there


def _conditional(clause: Clause, head: Item) -> bool:
    """Return whether an act stands under a condition: "water tray 3 if it's dry", "fleece on if frost forecast"."""
    cond = clause.has("cond") or clause.has("once")
    return cond is not None and (head.form == "base" or (head.form == "noun" and cond.start > head.start))


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
                which=asked_of(said.selections()[0] if said.sets else None),
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
    if head.meaning not in ("watered", "rest_started"):
        return
    words = clause.lows()
    low = talk.text[slice(*clause.span())].lower()
    if (
        head.meaning == "watered"
        and (
            "first" in words
            or "frst" in words
            or "1st" in low
            or low.startswith("first")
            or "first water" in low
            or "first spring" in low
            or "1st water" in low
        )
        and any(cue in low for cue in ("spring", "year", "yr", "season", "since", "winter", "2026"))
    ):
        talk.add(Entry("event", act="rest_ended"), clause.span())
    if head.meaning == "rest_started" and head.low in LAST_WATER:
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
    if negated.meaning in ("not", "undone") and "since" in low and clause.has("date") is not None:
        acts.event(clause, talk)
        return True
    if negated.meaning in ("undone", "no", "not"):
        if head.meaning in ("germinated", "rooted", "united"):
            said = gather(clause, talk, head.meaning)
            which = said.selections()[0] if said.sets else Selection()
            talk.add(Entry("event", act=head.meaning, which=replace(which, count=0), details={"total": True}), clause.span())
            return True
        if any(one.family == "amount" and one.meaning == "days" for one in clause.every("amount")):
            _swallow(clause)
            talk.remark(talk.text[slice(*clause.span())], clause.span())
            return True
        if head.meaning == "died" and talk.entries == []:
            _swallow(clause)
            talk.remark(talk.text[slice(*clause.span())], clause.span())
            return True
        acts.skip(clause, talk)
        return True
    return False


def _swallow(clause: Clause) -> None:
    for one in clause.elements():
        one.used = True


def _sign(clause: Clause, talk: Talk) -> None:
    head = clause.head
    assert head is not None
    if (
        asides.of_a_thing(clause)
        or asides.only_that(clause, talk)
        or asides.nothing_else(clause)
        or asides.described_mix(clause, talk)
    ):
        return
    plan, days = clause.has("plan"), clause.every("date")
    if days and plans.is_ahead(days[0].value) and plan is not None and plan.start < head.start:
        plans.reminder(clause, talk)
        return
    counter = clause.has("counter", "meant")
    if counter is not None and counter.start < head.start:
        return
    previous = talk.last
    if (
        previous is not None
        and previous.type == "event"
        and previous.act in ("died", "discarded")
        and not any(one.fields.keys() - {"refer"} for one in clause.phrases())
        and "cause" not in previous.details
        and head.family == "sign"
        and findings.status(clause)[0] != "absent"
    ):
        place = next(n for n in range(len(talk.entries) - 1, -1, -1) if talk.entries[n] is previous)  # a remark may follow it
        talk.entries[place] = Entry(
            "event",
            act=previous.act,
            which=previous.which,
            when=previous.when,
            approx=previous.approx,
            sure=previous.sure,
            details={**previous.details, "cause": head.meaning},
            span=previous.span,
        )
        for one in clause.phrases():
            one.used = True
        talk.last = talk.entries[place]
        return
    findings.read(clause, talk)


def _left_over(clause: Clause, talk: Talk, before: int) -> None:
    """Keep what no rule has read as a remark."""
    kept: list[tuple[int, int]] = []
    for one in clause.elements():
        if one.used or (one is clause.head and len(talk.entries) > before):
            continue
        if isinstance(one, Phrase):
            kept.append((one.start, one.end))
        elif one.family not in IGNORED:
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


def _nothing_said(talk: Talk) -> None:
    if not talk.entries:
        talk.remark(talk.text, (0, len(talk.text)))
    remainder.of_silence(talk)
