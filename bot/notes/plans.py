"""What lies ahead: reminders, holds, standing rules, and what was only meant to be done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from bot.notes.amounts import Amount
from bot.notes.calendar import DatePhrase
from bot.notes.clauses import Clause
from bot.notes.clocks import at_its_time
from bot.notes.heads import Phrase
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import Entry, Selection
from bot.notes.selections import gather
from bot.notes.talk import Talk

CONDITIONS = ("if", "unless", "provided", "as long as", "so long as", "when", "once", "as soon as")


PASTISH = frozenset("applied got had was were given used went came took gave been released done has have".split())


def is_ahead(phrase: DatePhrase) -> bool:
    """Return whether a date phrase can only lie ahead."""
    if phrase.part in ("ahead", "next", "week_after"):
        return True
    if phrase.kind in ("week", "period") and phrase.days > 0:
        return True
    return phrase.kind == "offset" and phrase.days > 0


def is_behind(phrase: DatePhrase) -> bool:
    """Return whether a date phrase can only lie behind."""
    return phrase.part in ("last", "before_last", "last_week") or phrase.days < 0 or phrase.kind == "year"


def planned(clause: Clause, talk: Talk) -> bool:
    """Return whether a clause with an act is a plan: future words, a day ahead, or a bare verb with a day."""
    head = clause.head
    assert head is not None
    if clause.has("plan") is not None or clause.has("remind") is not None:
        plan = clause.has("plan") or clause.has("remind")
        return plan is not None and (plan.start < head.end or head.form == "base" or plan.low in ("due", "next job"))
    if clause.has("every") is not None and head.form == "base":
        return True
    if not clause.silent(PASTISH):
        comma = max((one.end for one in clause.before if isinstance(one, Item) and one.family == "comma"), default=0)
        if any(isinstance(one, Item) and one.low in PASTISH and one.start >= comma for one in clause.elements()):
            return False
    day = clause.has("date")
    if day is None:
        return not talk.silent(_NEXT) and _next_in(clause) is not None
    phrase: DatePhrase = day.value
    if head.meaning == "set_to_dry" and clause.has("till") is not None:
        return False
    counted = _of_a_series(clause, day, talk)
    if counted is not None:
        return counted
    if is_ahead(phrase):
        return True
    if head.form == "past" or is_behind(phrase):
        return False
    if head.form == "ing" and phrase.kind in ("weekday", "weekend") and head.low in POTTING:
        return True
    if phrase.kind == "month" and head.form == "noun" and phrase.month > talk.today.month and not (phrase.year or phrase.part):
        return True
    if (
        head.form in ("base", "noun")
        and (
            phrase.kind in ("weekday", "day", "month", "weekend", "season")
            or (phrase.kind in ("week", "period") and head.form == "base")
        )
        and phrase.part != "last"
    ):
        if head.form == "noun" and head.meaning not in ("inspected", "watered", "released", "treated", "photographed", "fed"):
            return False
        if phrase.kind == "day" and phrase.year:
            found = talk.day(phrase, False)
            return found is not None and found.on > talk.today
        return not (head.form == "noun" and head.low in FIRST_AND_LAST) or _coming(phrase, talk)
    return head.form == "base" and phrase.kind == "eve" and phrase.name in ("tonight", "tonite")


def _of_a_series(clause: Clause, day: Item, talk: Talk) -> bool | None:
    """Return whether "first water on the 30th", "second spray due" lies ahead; None where it is none of a series."""
    head = clause.head
    assert head is not None
    phrase: DatePhrase = day.value
    if head.form == "noun" and phrase.kind == "day" and not phrase.month and not phrase.part and phrase.day > talk.today.day:
        return True  # "potted, first water on the 30th"
    if head.form != "noun" and head.low not in NOUNS:
        return None
    led = [one for one in clause.before if isinstance(one, Item)]
    if any(one.low in FIRST_OR_LAST for one in led) and phrase.kind in ("day", "period"):
        return False
    if phrase.part == "ahead" and any(one.low in IN_A_ROW or one.family == "ordinal" for one in led):
        day.kept = True
        return False
    return None


NOUNS = frozenset(("watering", "feeding", "spraying", "feed", "water"))
FIRST_OR_LAST = frozenset(("first", "last", "final", "frst"))
IN_A_ROW = frozenset(("second", "third", "first", "2nd", "3rd"))


FIRST_AND_LAST = ("first water", "last water", "watering", "final water", "last watering")


POTTING = frozenset(listed("spoken")["potting"])  # "potting sat" is work to come; "flowering sunday" is what was seen


def _coming(phrase: DatePhrase, talk: Talk) -> bool:
    """Return whether a day of the year lies close ahead and was long ago: "first water 20 april" on the 15th."""
    if phrase.kind != "day" or not phrase.month:
        return False
    ahead, back = talk.day(phrase, True), talk.day(phrase, False)
    near = ahead is not None and (ahead.on - talk.today).days <= 60
    return near and (back is None or (talk.today - back.on).days > 200)


NEXT, AGAIN = "next", "again"
_NEXT = frozenset((NEXT, AGAIN))


def _next_in(clause: Clause) -> int | None:
    """Return the days of "next in 7", "again in 10 days"."""
    elements = clause.elements()
    for i, one in enumerate(elements):
        if (
            isinstance(one, Phrase)
            and one.prep == "on"
            and one.low.split()[0] in WITHIN
            and one.bare
            and i
            and isinstance(elements[i - 1], Item)
            and (
                any(isinstance(e, Item) and e.low == NEXT for e in elements[:i])
                or elements[i - 1].low in _NEXT
                or elements[i - 1].low.startswith(f"{NEXT} ")
                or elements[i - 1].low.endswith(f" {AGAIN}")
            )
        ):
            return int(one.fields["labels"][0])
    return None


WITHIN = frozenset(listed("spoken")["within"])  # "again in 7" days; "again at 216" is a plant


def due_of(clause: Clause, talk: Talk) -> tuple[date | datetime | None, bool]:
    """Return (due, approximate) of a plan: a moment, where the time of the day is said."""
    due, approx = _day_due(clause, talk)
    return at_its_time(due, [one for one in clause.elements() if isinstance(one, Item)], talk), approx


def _day_due(clause: Clause, talk: Talk) -> tuple[date | datetime | None, bool]:
    elements = clause.elements()
    for one in elements:
        if isinstance(one, Item) and one.family == "date" and not one.used:
            found = talk.day(one.value, True)
            one.used = True
            if found is None:
                talk.ask("when", "there is no such day", hard=True)
                return None, False
            return found.on, found.approx
    for i, one in enumerate(elements):
        before = elements[i - 1] if i else None
        if (
            isinstance(one, Item)
            and one.family == "amount"
            and isinstance(one.value, Amount)
            and isinstance(before, Item)
            and before.low in ("in", "after", "within", "for", "every", "by")
        ):
            if one.value.unit == "minutes":
                one.used = True
                within = talk.ahead(one.value.value / 1440) is not None
                return (talk.now.replace(tzinfo=None) + timedelta(minutes=one.value.value) if within else None), False
            if one.value.unit == "days" and before.low not in ("for", "every"):
                one.used = True
                return talk.ahead(one.value.value), False
    days = _next_in(clause)
    if days is not None:
        for one in clause.phrases():
            if one.bare and one.prep == "on":
                one.used = True
        return talk.ahead(days), False
    return None, False


def condition(clause: Clause, talk: Talk) -> str | None:
    """Return the words of a condition ("if clear") in a clause, and mark them read."""
    elements = clause.elements()
    for i, one in enumerate(elements):
        if isinstance(one, Item) and one.family in ("cond", "once"):
            rest = elements[i:]
            stop = next(
                (
                    n
                    for n, e in enumerate(rest)
                    if isinstance(e, Item) and (e.family in ("comma", "plan", "remind") or e is clause.head)
                ),
                len(rest),
            )
            rest = rest[:stop] if stop < len(rest) else rest
            named = [e for e in rest if isinstance(e, Phrase) and e.fields.keys() & {"labels", "nicknames", "taxa", "places"}]
            if i == 0 and named and not any(isinstance(e, Phrase) and e not in rest for e in elements):
                for other in rest:
                    other.used = other not in named
                return talk.text[one.start : rest[-1].end].strip(" ,.;")
            for other in rest:
                other.used = True
            return talk.text[one.start : max(e.end for e in rest)].strip(" ,.;")
    return None


def _due_within(clause: Clause, cond: str | None, talk: Talk) -> date | None:
    """Return the one day that a condition names: "if 12 is still soft on friday bin it"; None where it is a bound."""
    days = [one for one in clause.every("date") if one.value.kind in ("weekday", "day", "offset")] if cond else []
    bound = any(clause.has(family) is not None for family in ("till", "since"))
    if len(days) != 1 or bound or is_behind(days[0].value):
        return None
    found = talk.day(days[0].value, True)
    days[0].used = True
    return found.on if found is not None else None


NEEDED = frozenset(listed("terse")["_needed"])


def _reached(clause: Clause, which: Selection) -> list[Phrase]:
    """Return where plants are to go, kept beside the reminder: "move the aloes to bench 1 tomorrow"."""
    behind = [one for one in clause.phrases()[1:] if one.prep in ("to", "on", None)]
    found = [one for one in behind if "places" in one.fields and not set(one.fields["places"]) & set(which.places)]
    for one in found:
        one.used = True
    return found


def reminder(clause: Clause, talk: Talk) -> None:
    """Write a plan as a reminder."""
    head = clause.head
    assert head is not None
    cond = condition(clause, talk)
    due, approx = due_of(clause, talk)
    due = due or talk.plan or _due_within(clause, cond, talk)
    act = head.meaning if head.family == "act" else None
    sign = head.meaning if head.family == "sign" else None
    said = gather(clause, talk, act)
    which = said.selections()[0] if said.sets else None
    reached = _reached(clause, which) if act == "moved" and which is not None else []
    plan = clause.has("plan")
    if due is None and cond is None and plan is not None and plan.low in NEEDED and act is not None:
        due = talk.today
    repeat = clause.has("every")
    every = None
    if repeat is not None:
        amount = next(
            (one for one in clause.every("amount") if one.value and isinstance(one.value, Amount) and one.value.unit == "days"),
            None,
        )
        every = (
            round(amount.value.value)
            if amount
            else 7
            if any(one.family == "date" and one.value.kind == "weekday" for one in clause.every("date"))
            else None
        )
        every = repeat.value if isinstance(repeat.value, int) else every
        every = 14 if every == 7 and amount is None and repeat.value == "other" else every
        repeat.used = True
        if amount is not None:
            amount.used = repeat.used = True
    if every is not None and due is None and cond is None:
        due = talk.ahead(every)
    text = None if act else talk.text[clause.span()[0] : clause.span()[1]].strip()
    errand = [one for one in clause.after if isinstance(one, Item) and not one.used and one.family in ("word", "act")]
    if act in ("inspected", "cleaned", "treated", "heated") and which is None and errand and clause.has("remind") is not None:
        act, text = None, wording([head, *(one for one in clause.after if isinstance(one, Item))], talk)
        for one in errand:
            one.used = True
    entry = Entry(
        "reminder",
        act=act,
        sign=sign if act is None else None,
        text=text,
        due=due,
        approx=approx,
        cond=cond,
        which=which,
        every_days=every,
    )
    talk.add(entry, clause.span())
    for place in reached:
        talk.remark(place.low, (place.start, place.end))
        for item in talk.items[place.first : place.after]:
            item.kept = True
    talk.rules.append(f"reminder: {act or sign} due {due}")
    for word in clause.every("plan") + clause.every("remind"):
        word.used = True


def wording(items: Sequence[Item], talk: Talk) -> str:
    """Return what a reminder is about in the grower's own words, without "remind me to" and without the day."""
    kept = [
        one for one in items if one.family not in ("date", "every") and not (one.family == "amount" and one.meaning == "days")
    ]
    kept = _without_time(kept)
    return " ".join(talk.text[one.start : one.end] for one in kept).strip(" .!,:\n")


def _without_time(items: Sequence[Item]) -> list[Item]:
    """Leave out the time of the day and the words that lead to it and from it: "at 6 pm to"."""
    kept: list[Item] = []
    after_time = False
    for one in items:
        timed = one.used and one.family in ("clock", "number")
        if timed and kept and kept[-1].low in ("at", "by", "@"):
            kept.pop()
        elif not timed and not (one.low == "to" and (after_time or not kept)):
            kept.append(one)
        after_time = timed
    return kept


def hold(clause: Clause, talk: Talk) -> None:
    """Write "no water till …" as a hold: until a day, for a time, or under a condition."""
    until, cond = _hold_end(clause, talk)
    said = gather(clause, talk, None)
    sets: list[Selection | None] = list(said.selections()) or [None]
    for which in sets:
        talk.add(Entry("hold", until=until, cond=cond, which=which), clause.span())
        if which is None and not talk.settled:
            talk.ask("which", "hold water for which plants?")
        elif which is not None and which.words is not None:
            talk.ask("which", "only a person can say which", hard=which.words.isdecimal())
        elif which is not None and which.count is not None and not said.whole and not which.labels:
            talk.ask("which", "a part of a set")
    talk.rules.append(f"hold: until {until or cond}")


def _hold_end(clause: Clause, talk: Talk) -> tuple[date | None, str | None]:
    """Return (until, condition) of a hold."""
    till = clause.has("till")
    day = next((one for one in clause.every("date") if not one.used), None)
    since = clause.has("since")
    if since is not None and day is not None and since.start < day.start and till is None:
        talk.ask("when", "that is how long, and not until when", hard=True)
    if day is not None and (till is None or day.start > till.start):
        found = talk.day(day.value, True)
        day.used = True
        if found is None:
            talk.ask("when", "there is no such day", hard=True)
        return (found.on if found is not None else None), None
    start = till or clause.has("cond") or clause.has("once")
    if start is not None:
        return None, _hold_words(clause, start, talk)
    amount = next((one for one in clause.every("amount") if isinstance(one.value, Amount) and one.value.unit == "days"), None)
    if amount is None:
        return None, "until told otherwise"
    amount.used = True
    if since is not None and since.start < amount.start:
        talk.ask("when", "that is how long it has been, and not until when", hard=True)
    return talk.ahead(amount.value.value), None


def _hold_words(clause: Clause, start: Item, talk: Talk) -> str:
    end = start.end
    for one in clause.elements():
        if one.start < start.start or (isinstance(one, Phrase) and "labels" in one.fields and not one.bare):
            continue
        if isinstance(one, Item) and one.family == "colon":
            continue
        one.used = True
        end = one.end
    return talk.text[start.start : end].strip(" ,.;:")


def drying(clause: Clause, talk: Talk) -> None:
    """Write the hold that "dry 2 wks", "dry the roots till sat" carries, right after its event."""
    till = clause.has("till")
    amount = next(
        (one for one in clause.every("amount") if isinstance(one.value, Amount) and one.value.unit == "days" and not one.used),
        None,
    )
    until: date | None = None
    if till is not None:
        day = clause.has("date")
        if day is not None:
            found = talk.day(day.value, True)
            until = found.on if found else None
            day.used = True
        till.used = True
    elif amount is not None:
        amount.used = True
        until = talk.ahead(amount.value.value)
    if until is not None:
        talk.add(Entry("hold", until=until), clause.span())


__all__ = ["condition", "drying", "due_of", "hold", "is_ahead", "is_behind", "planned", "reminder", "replace"]
