"""The ways to say one entry of a reading in the words of the bench, plainest first; `wordings` reads them back.

The sentences stand in the language's table `ways.csv`, the verbs and signs are the forms of its lexicon.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from functools import cache
from itertools import product
from typing import Any

from bot.notes.lexicon import inflections, rows
from bot.notes.reading import PESTS, Entry, Selection
from bot.notes.ways_of_sets import listed, put, sets, table

FORMS = 24  # forms of a verb or a sign that are tried
GRAMMAR = ("past", "noun", "base", "ing")


@cache
def verbs(act: str, grammar: str, language: str = "en") -> tuple[tuple[str, Mapping[str, str]], ...]:
    """Return (words, what they add to the details) of an act in a grammatical form, in the order of the lexicon."""
    found: dict[str, Mapping[str, str]] = {}
    for row in rows(language):
        if row.family == "act" and row.meaning == act:
            for form in row.forms:
                for said, name in inflections(form):
                    if name == grammar:
                        found.setdefault(said, row.more)
    return tuple(found.items())


@cache
def signs(sign: str, language: str = "en") -> tuple[tuple[str, Mapping[str, str]], ...]:
    """Return (words, what they add) of a sign."""
    return tuple((form, row.more) for row in rows(language) if row.family == "sign" and row.meaning == sign for form in row.forms)


def of(entry: Entry, dated: bool, today: date) -> Iterator[str]:
    """Yield the ways to say an entry; `dated` where something before it happened on a day of its own."""
    for said in _MADE[entry.type](entry):
        for one in _when(entry, said, dated, today):
            yield " ".join(one.split())


def _when(entry: Entry, said: str, dated: bool, today: date) -> Iterator[str]:
    if entry.when is None:
        yield from put("today", said=said) if dated else (said,)
        return
    yield from put("on_day", said=said, day=entry.when.isoformat())
    if entry.approx:
        yield from put("ago", said=said, days=(today - entry.when).days)
        yield from (f"{said} {words}" for words in put("about", year=entry.when.year))


def _event(one: Entry) -> Iterator[str]:
    details = dict(one.details)
    special = _SPECIAL.get(str(one.act))
    if special is not None:
        yield from special(one, details)
    for words, more in _fitting(str(one.act), details):
        left = {key: value for key, value in details.items() if key not in more}
        for said, plants, hedge in product(_details(left), sets(one.which), _hedges(one)):
            yield from (f"{hedge} {way}" for way in put("event", verb=words, plants=plants, details=said))


def _hedges(one: Entry) -> tuple[str, ...]:
    return ("",) if one.sure else table()["hedge"]


def _fitting(act: str, details: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, str]]]:
    """Yield the forms of an act that add nothing but what its details hold, those that say most of it first."""
    for grammar in GRAMMAR:
        found = [one for one in verbs(act, grammar) if all(details.get(key) == _typed(value) for key, value in one[1].items())]
        yield from sorted(found, key=lambda one: -len(one[1]))[:FORMS]


def _typed(value: str) -> Any:
    try:
        return float(value)
    except ValueError:
        return value


def _number(value: Any) -> str:
    return f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else str(value)


def _details(details: Mapping[str, Any]) -> Iterator[str]:
    """Yield the ways to say the details of an act."""
    parts = [list(_detail(key, value, details)) for key, value in details.items()]
    for said in product(*[part for part in parts if part]):
        yield " ".join(said)
        if len(said) > 1:
            yield ", ".join(said)
            yield " ".join(reversed(said))


def _detail(key: str, value: Any, details: Mapping[str, Any]) -> Iterator[str]:
    made = _DETAILS.get(key)
    if made is not None:
        yield from made(value, details)
    elif key in table():
        yield from put(key, value=_number(value))
    else:
        yield str(value)


def _pots(value: Any, details: Mapping[str, Any]) -> Iterator[str]:
    kinds = details.get("pot", "")
    kind = kinds if isinstance(kinds, str) else " ".join(kinds)
    name = "pot_cm_from" if "from_pot_cm" in details else "pot_cm"
    yield from put(name, value=_number(value), pot=kind, **{"from": _number(details.get("from_pot_cm", ""))})


def _price(value: Any, details: Mapping[str, Any]) -> Iterator[str]:
    money = table().get(f"money_{details.get('currency')}", ("{value}",))[0].format(value=_number(value))
    if value == 0:
        yield from put("price_none")
    yield from put("price_each" if details.get("each") else "price", value=money)


def _course(value: Any, _: Mapping[str, Any]) -> Iterator[str]:
    step, _slash, total = str(value).partition("/")
    names = table()["ordinals"]
    nth = names[int(step) - 1] if step.isdecimal() and 0 < int(step) <= len(names) else step
    yield from put("course", step=nth, total=total, value=value)


def _cause(value: Any, _: Mapping[str, Any]) -> Iterator[str]:
    for words in [form for form, _more in signs(str(value))[:6]] or [str(value)]:
        yield from put("cause", value=words)


def _choice(name: str) -> Callable[[Any, Mapping[str, Any]], Iterator[str]]:
    """Return what puts a value of a list in words: the row of the table under its name, else the value itself."""

    def said(value: Any, _: Mapping[str, Any]) -> Iterator[str]:
        yield from table().get(f"{name}_{_number(value)}", (str(value).replace("_", " "),))

    return said


def _strength(value: Any, _: Mapping[str, Any]) -> Iterator[str]:
    yield from put("strength", value=table().get(f"strength_{_number(value)}", (_number(value),))[0])


def _nothing(_value: Any, _details: Mapping[str, Any]) -> Iterator[str]:
    return iter(())


def _unless(other: str, name: str) -> Callable[[Any, Mapping[str, Any]], Iterator[str]]:
    """Return what puts a detail in words unless another detail says it too."""

    def said(value: Any, details: Mapping[str, Any]) -> Iterator[str]:
        if other not in details:
            yield from put(name, value=" ".join(value) if isinstance(value, list | tuple) else _number(value))

    return said


_DETAILS: dict[str, Callable[[Any, Mapping[str, Any]], Iterator[str]]] = {
    "strength": _strength,
    "course": _course,
    "pot_cm": _pots,
    "from_pot_cm": _unless("pot_cm", "from_pot_cm"),
    "pot": _unless("pot_cm", "pot"),
    "state": _choice("state"),
    "how": _choice("how"),
    "price": _price,
    "currency": _nothing,
    "each": _nothing,
    "cause": _cause,
    "total": _unless("sown", "total"),
}


def _germinated(one: Entry, details: dict[str, Any]) -> Iterator[str]:
    which = one.which or Selection()
    if not which.sowings:
        return
    name = "begun" if which.count is None else "of" if "sown" in details else "total" if details.get("total") else "more"
    yield from put(f"germinated_{name}", sowings=listed(which.sowings), count=which.count, sown=_number(details.get("sown")))


def _named(one: Entry, details: dict[str, Any]) -> Iterator[str]:
    by = next(put("named_by", value=details["by"])) if "by" in details else ""
    for plants, hedge in product(sets(one.which), _hedges(one)):
        yield from put("named", plants=plants, hedge=hedge, name=details.get("name", ""), by=by)


def _only(name: str, key: str) -> Callable[[Entry, dict[str, Any]], Iterator[str]]:
    """Return what says an act by the ways of a name, where it has the detail that they speak of."""

    def said(one: Entry, details: dict[str, Any]) -> Iterator[str]:
        if not key or key in details:
            for plants in sets(one.which):
                yield from put(name, plants=plants, **details)

    return said


_SPECIAL: dict[str, Callable[[Entry, dict[str, Any]], Iterator[str]]] = {
    "germinated": _germinated,
    "named": _named,
    "pollinated": _only("pollinated_by", "by"),
    "given": _only("given_to", "to"),
    "moved": _only("moved_to", "to"),
    "rest_started": _only("rest_started", ""),
    "grafted": _only("grafted_name", "name"),
    "seed_soaked": _only("seed_soaked", ""),
    "acquired": lambda one, details: _only("acquired_free", "from")(one, details) if details.get("price") == 0 else iter(()),
}


def _skip(one: Entry) -> Iterator[str]:
    for verb, _ in verbs(str(one.act), "base")[:FORMS]:
        for plants in sets(one.which):
            yield from put("skip", verb=verb, plants=plants, why=one.why or "")
    for plants in sets(one.which):
        yield from put("skip_left", plants=plants, why=one.why or "")


def _finding(one: Entry) -> Iterator[str]:
    for words, more in signs(str(one.sign))[:FORMS]:
        own = more.get("status", "present")
        if own not in ("present", one.status):
            continue
        name = "present" if own == one.status else str(one.status)
        for plants in sets(one.which):
            ways = put(name if plants else f"{name}_bare", sign=words, plants=plants)
            for way in ways:
                yield from (way,) if one.sure or one.status == "suspected" else (f"{hedge} {way}" for hedge in table()["hedge"])
    if one.sign in PESTS and one.status in ("absent", "cleared"):
        for plants in sets(one.which):
            yield from put("none" if one.status == "absent" else "none_left", plants=plants)


def _climate(one: Entry) -> Iterator[str]:
    place = one.place or ""
    named = (("min", one.min_c), ("max", one.max_c), ("at", one.at_c), ("set", one.set_c), ("rh", one.rh))
    said = [next(put(f"climate_{name}", value=_number(value))) for name, value in named if value is not None]
    if one.forecast:
        for name, value in (("min", one.min_c), ("max", one.max_c)):
            yield from put(f"forecast_{name}", value=_number(value), place=place) if value is not None else ()
        yield from put("forecast_frost", place=place)
    if one.at_c is not None:
        yield from put("at_rh" if one.rh is not None else "at", value=_number(one.at_c), rh=_number(one.rh), place=place)
    if one.set_c is not None and len(said) == 1:
        yield from put("set", value=_number(one.set_c), place=place)
    since = next(put("climate_since", value=one.since.isoformat())) if one.since is not None else ""
    yield from (way for link in (" ", ", ") for way in put("climate", place=place, numbers=link.join(said), since=since))


def _measure(one: Entry) -> Iterator[str]:
    value = _number(one.value) if one.value is not None else f"{_number(one.low)}-{_number(one.high)}"
    for plants in sets(one.which):
        yield from put(str(one.of), plants=plants, value=value, unit=one.unit or "")


def _hold(one: Entry) -> Iterator[str]:
    for plants in sets(one.which):
        if one.until is not None:
            yield from put("hold_until", plants=plants, until=one.until.isoformat(), month=_month(one.until))
        elif one.cond:
            yield from put("hold_cond", plants=plants, cond=one.cond)


def _month(day: date) -> str:
    return table()["months"][day.month - 1]


def _due(one: Entry) -> str:
    if isinstance(one.due, datetime):
        return f"{one.due:%Y-%m-%d} at {one.due:%H:%M}"
    return one.due.isoformat() if one.due is not None else ""


def _reminder(one: Entry) -> Iterator[str]:
    due = _due(one)
    if one.cancel or one.snooze:
        yield from _of_a_reminder(one, "cancel" if one.cancel else "snooze", due)
        return
    if one.act is None:
        yield from put("remind_text", text=one.text or "", due=due, cond=one.cond or "", days=one.every_days)
        return
    names = [
        *(["remind_every"] if one.every_days else []),
        *(["remind_due_cond"] if due and one.cond else []),
        *(["remind_due"] if due else []),
        *(["remind_soon"] if due and one.approx else []),
        *(["remind_cond"] if one.cond else []),
        *(["remind_open"] if not due and not one.cond else []),
    ]
    parts = {"due": due, "cond": one.cond or "", "days": one.every_days, "month": _month(one.due) if one.due else ""}
    for verb, _ in (*verbs(one.act, "base")[:FORMS], *verbs(one.act, "noun")[:4]):
        for plants, name in product(sets(one.which), names):
            for soon in table()["soon"] if name == "remind_soon" else ("",):
                yield from put(name, verb=verb, plants=plants, soon=soon, **parts)


def _of_a_reminder(one: Entry, name: str, due: str) -> Iterator[str]:
    forms = [form for grammar in ("base", "ing", "noun") for form, _ in verbs(one.act, grammar)[:4]] if one.act else [""]
    for verb, plants in product(forms, sets(one.which)):
        yield from put(name, verb=verb, plants=plants, due=due)


def _question(one: Entry) -> Iterator[str]:
    verb = verbs(one.act, "base")[0][0] if one.act else ""
    since, until = (day.isoformat() if day else "" for day in (one.since, one.until))
    for plants in sets(one.which):
        for asked in put(f"ask_{one.about}", verb=verb, plants=plants):
            yield from put("question", asked=asked, since=since, until=until)


def _request(one: Entry) -> Iterator[str]:
    numbers = listed([str(n) for n in one.numbers]) if one.numbers else ""
    until = f"till {one.until.isoformat()}" if one.until else ""
    yield one.text or f"{one.do} {numbers} {until}"


def _fix(one: Entry) -> Iterator[str]:
    if one.to is None:
        yield from put("fix_undo")
    elif isinstance(one.to, Selection):
        yield from (way for plants in sets(one.to) for way in put("fix_which", plants=plants))
    else:
        yield from put("fix_to", to=one.to, other=one.to + 1 if isinstance(one.to, int) else "")


_MADE: dict[str, Callable[[Entry], Iterator[str]]] = {
    "event": _event,
    "skip": _skip,
    "finding": _finding,
    "climate": _climate,
    "measure": _measure,
    "hold": _hold,
    "reminder": _reminder,
    "question": _question,
    "request": _request,
    "fix": _fix,
}
