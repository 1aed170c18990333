"""Clauses without a head of their own: plants that came in, an amount given, a temperature alone, the rest put off."""

from __future__ import annotations

from dataclasses import replace

from bot.notes import acts, asides, plans, weather
from bot.notes.amounts import Amount
from bot.notes.clauses import Clause
from bot.notes.heads import LEAST_LABEL, Phrase
from bot.notes.items import Item
from bot.notes.reading import Entry
from bot.notes.selections import gather
from bot.notes.talk import Talk, set_day


def headless(clause: Clause, talk: Talk) -> None:
    """Read a clause without a head: counts that came in, a set that goes on, a temperature."""
    if _came_in(clause, talk) or _temperature(clause, talk) or _sizes(clause, talk):
        return
    if any(
        rule(clause, talk) for rule in (_amount_given, _rest_later, _too_wet, _up_now, _again_on, _dosed, _to_place, _below_zero)
    ):
        return
    if any(rule(clause, talk) for rule in (_priced, _identified, _turned_up)):
        return
    person = clause.has("person")
    if (
        person is not None
        and isinstance(person, Item)
        and not talk.entries
        and any(one.low == "from" for one in clause.every("prep"))
        and any("taxa" in one.fields and "count" in one.fields for one in clause.phrases())
    ):
        clause.made(Item("act", "acquired", person.start, person.start, "", form="past"))
        acts.event(clause, talk)
        return
    if (
        person is not None
        and any(one.fields.keys() & {"taxa", "labels", "kind", "nicknames"} for one in clause.phrases())
        and not talk.entries
    ):
        talk.ask("act", "what happened is not said", hard=True)
        return
    if any(one.out for one in clause.elements() if isinstance(one, Phrase)) and talk.entries:
        gather(clause, talk, None)
        return
    did = next((one for one in talk.items if one.low in ("did", "did the", "done")), None)
    if did is not None and clause.phrases() and not talk.entries:
        talk.ask("act", "what was done is not said", hard=True)
        for one in clause.phrases():
            one.used = False


def _priced(clause: Clause, talk: Talk) -> bool:
    """Read "…, 35 euro" after plants that came in or left as their price."""
    money = next((one for one in clause.every("amount") if one.meaning == "money"), None)
    last = talk.entries[-1] if talk.entries else None
    if money is None or last is None or last.act not in ("acquired", "given") or clause.phrases() or "price" in last.details:
        return False
    money.used = True
    talk.entries[-1] = replace(
        last, details={**last.details, "price": money.value.value, "currency": money.value.unit}, span=(last.span[0], money.end)
    )
    talk.last = talk.entries[-1]
    return True


def _identified(clause: Clause, talk: Talk) -> bool:
    """Read "they are mammillarias" as what the plants of the talk are."""
    elements = [one for one in clause.elements() if not (isinstance(one, Item) and one.family in ("det", "break"))]
    if len(elements) != 3 or talk.entries:
        return False
    who, verb, what = elements
    told = isinstance(who, Item) and who.family == "pron" and isinstance(verb, Item) and verb.low in ("are", "is", "were", "was")
    if not told or not isinstance(what, Phrase) or set(what.fields) != {"taxa"}:
        return False
    what.used = True
    talk.add(Entry("event", act="named", details={"name": what.fields["taxa"][0]}), clause.span())
    return True


def _turned_up(clause: Clause, talk: Talk) -> bool:
    """Read "found 16 behind the bench" as a plant that was missing."""
    elements = clause.elements()
    first, second = (elements[0], elements[1]) if len(elements) > 1 else (None, None)
    if not isinstance(first, Item) or first.low not in ("found", "have found", "i found"):
        return False
    if not isinstance(second, Phrase) or not second.fields.keys() <= {"labels", "nicknames"} or talk.entries:
        return False
    rest = [one for one in elements[2:] if not (isinstance(one, Item) and one.family == "break")]
    if any(not (isinstance(one, Phrase) and "places" in one.fields) for one in rest):
        return False
    clause.made(Item("act", "found_alive", first.start, first.end, first.low, form="past"), [], [second])
    second.bare = False
    acts.event(clause, talk)
    return True


def _came_in(clause: Clause, talk: Talk) -> bool:
    """Read "renske: 8 in", "8 in from pia" as plants that came in."""
    elements = clause.elements()
    for i, one in enumerate(elements):
        after = elements[i + 1] if i + 1 < len(elements) else None
        beyond = elements[i + 2] if i + 2 < len(elements) else None
        ends = beyond is None or (isinstance(beyond, Item) and beyond.family in ("comma", "break", "sep"))
        counted = isinstance(one, Phrase) and (one.bare or set(one.fields) <= {"count", "approx", "taxa"})
        if counted and ends and isinstance(after, Item) and after.low in ("in", "into"):
            after.used = True
            came = Item("act", "acquired", after.start, after.end, after.low, form="past")
            clause.made(came, elements[: i + 1], elements[i + 2 :])
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


def _to_place(clause: Clause, talk: Talk) -> bool:
    """Read "tray 6 to outdoors", "41 back to bench 1" as a move."""
    phrases = clause.phrases()
    target = next((one for one in phrases if one.prep == "to" and "places" in one.fields), None)
    named = ("labels", "places", "taxa", "lots", "nicknames")
    moved = [one for one in phrases if one.prep is None and one.fields.keys() & set(named)]
    origin = [one for one in phrases if one.prep == "from" and one.fields.keys() == {"places"}]
    if origin and any(one.bare and int(one.fields["labels"][0]) < LEAST_LABEL for one in moved):
        return False  # "2 off bench 1 to the sill"
    if len(moved) == 2 and origin and all(one.fields.keys() == {"labels"} for one in moved):
        # "33, 34 and 120 from tray 1 to tray 4"
        moved[0].fields["labels"] += moved[1].fields["labels"]
        moved[1].used = True
        phrases.remove(moved.pop())
    if (
        target is None
        or len(target.fields["places"]) > 1
        or len(moved) != 1
        or len(phrases) != 2 + len(origin[:1])
        or clause.every("date")
        or clause.has("query") is not None
    ):
        return False
    if any(isinstance(one, Item) and one.family in UNSURE for one in clause.elements()):
        return False
    clause.made(Item("act", "moved", target.start, target.start, "", form="past"))
    moved[0].bare = False
    acts.event(clause, talk)
    return True


UNSURE = frozenset(("plan", "remind", "neg", "counter", "cond", "once", "undone", "dont", "hedge"))


def _too_wet(clause: Clause, talk: Talk) -> bool:
    """Read "bench 2: too wet still" after a watering as left out."""
    why = clause.has("why")
    last = next((one for one in reversed(talk.entries) if one.type in ("event", "skip")), None)
    if why is None or last is None or last.act not in ("watered", "fed", "misted", "treated") or not clause.phrases():
        return False
    why.used = True
    said = gather(clause, talk, last.act)
    which = said.selections()[0] if said.sets else None
    talk.add(Entry("skip", act=last.act, why=why.low, which=which), clause.span())
    return True


def _up_now(clause: Clause, talk: Talk) -> bool:
    """Read "s13 now 14 of 25", "s12 at 31/50" as how many are up."""
    sowing = any("sowings" in one.fields for one in clause.phrases())
    counted = clause.has("ratio") is not None or any(one.fields.get("of") is not None for one in clause.phrases())
    if not sowing or not counted:
        return False
    clause.made(Item("act", "germinated", clause.span()[1], clause.span()[1], "", form="past"))
    acts.event(clause, talk)
    return True


def _dosed(clause: Clause, talk: Talk) -> bool:
    """Read "neem on the aloes" as a treatment."""
    product = clause.has("product")
    if product is None or not (any(one.prep == "on" for one in clause.phrases()) or _product_and_plants(clause)):
        return False
    clause.made(Item("act", "treated", product.start, product.start, "", form="past"))
    _dated(clause, talk)
    acts.event(clause, talk)
    return True


def _product_and_plants(clause: Clause) -> bool:
    """Return whether a clause is nothing but a product and plants: "neem 12 14 20", "soap tray 3"."""
    said = [
        one for one in clause.elements() if not (isinstance(one, Item) and one.family in ("comma", "break", "dose", "strength"))
    ]
    plants = [one for one in said if isinstance(one, Phrase)]
    return len(said) == 2 and clause.opening() is said[0] and len(plants) == 1 and "count" not in plants[0].fields


def _below_zero(clause: Clause, talk: Talk) -> bool:
    """Read "frame A -1/22" as the least and the most of a thermometer."""
    pair = clause.has("ratio")
    if pair is None or pair.value[0] >= 0 or any(not one.fields.keys() <= {"places"} for one in clause.phrases()):
        return False
    clause.made(Item("climate", "min", pair.start, pair.start, ""))
    _dated(clause, talk)
    return weather.climate(clause, talk)


def _again_on(clause: Clause, talk: Talk) -> bool:
    """Read "soap again thurs" as a treatment that is planned."""
    product, again = clause.has("product"), any(isinstance(one, Item) and one.low in asides.AGAIN for one in clause.elements())
    if product is None or not again or clause.has("date") is None or clause.phrases():
        return False
    due, approx = plans.due_of(clause, talk)
    product.used = True
    talk.add(Entry("reminder", act="treated", due=due, approx=approx), clause.span())
    return True


def _dated(clause: Clause, talk: Talk) -> None:
    """Let the day that a clause names be the day on which it happened."""
    for one in clause.every("date"):
        if not one.used and not plans.is_ahead(one.value):
            set_day(one, talk)


def _amount_given(clause: Clause, talk: Talk) -> bool:
    """Read "12 lithops 12 ml each" as a watering."""
    ml = next((one for one in clause.every("amount") if isinstance(one.value, Amount) and one.value.unit == "ml"), None)
    if ml is None or not clause.phrases():
        return False
    act = "treated" if clause.has("product") is not None else "watered"
    clause.made(Item("act", act, ml.start, ml.start, "", form="past"))
    _dated(clause, talk)
    acts.event(clause, talk)
    return True


AIR = frozenset(("too hot", "hot", "boiling", "roasting", "too warm", "warm", "too cold", "sweltering"))


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
    air = bool(low & AIR) and any("places" in phrase.fields for phrase in clause.phrases())
    if not (degrees or signed or inside or air):
        for phrase in clause.phrases():
            phrase.used = False
        return False
    value = weather.temperature(one, talk)
    assert value is not None
    one.used = True
    night = (
        any(x.family == "date" and (x.value.name == "night" or x.low in ("last night", "last nite", "overnight")) for x in items)
        or bool(low & {"overnight", "night"})
        or signed
    )
    for x in items:
        x.used = x.used or x.low == "night"
        if x.family == "date" and not x.used:
            set_day(x, talk)
    place = next((p for p in clause.phrases() if "places" in p.fields), None)
    last = talk.last
    said: str | None = place.fields["places"][0] if place is not None else None
    if said is None and last is not None and last.act in ("damped_down", "vented") and last.which is not None:
        said = next(iter(last.which.places), None)
    if place is not None:
        place.used = True
    bath = last is not None and last.details.get("how") == "hot_water"
    if bath or clause.has("source") is not None:
        talk.add(Entry("measure", of="water_temp", value=value, unit="c"), clause.span())
        return True
    talk.add(Entry("climate", min_c=value if night else None, at_c=None if night else value, place=said), clause.span())
    if not weather.SANE_C[0] <= value <= weather.SANE_C[1]:
        talk.ask("act", "no thermometer in a greenhouse reads that", hard=True)
    talk.rules.append("climate: a temperature alone")
    return True


LARGEST_STEP = 4  # project default: nobody pots on into a pot more than four times as wide


def _sizes(clause: Clause, talk: Talk) -> bool:
    sizes = clause.has("sizes")
    if sizes is None:
        return False
    sizes.used = True
    low, high = sizes.value
    if not (2 <= low <= 40 and 2 <= high <= 40) or high > LARGEST_STEP * low:
        return False  # "2.5 to 27" may be a thermometer
    how = "on" if high > low else "down"
    said = gather(clause, talk, "repotted")
    which = said.selections()[0] if said.sets else None
    details = {"how": how, "from_pot_cm": low, "pot_cm": high}
    if (pot := clause.has("pot")) is not None:
        pot.used, details["pot"] = True, pot.low
    talk.add(Entry("event", act="repotted", which=which, details=details), clause.span())
    if which is None and not talk.settled:
        talk.ask("which", "no plants are named")
    return True
