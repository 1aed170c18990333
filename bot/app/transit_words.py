"""Words about what is on the way: "ordered 6 lobivia from Anna", "the order came, 5 of 6", "12 is in the post to Anna"."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from bot.app import acts, order_days
from bot.app import transit_patterns as patterns
from bot.app.english import lots, phrases
from bot.app.english import transit as words
from bot.app.lot_intake import day_said
from bot.app.naming import taxon_name
from bot.app.plan import Draft, Plan, View
from bot.app.ruling import named
from bot.app.slips import WITHIN, no_longer_asked
from bot.app.transit import DROPPED, PLACED, POSTED, SENT, Item, Order, Posted, alike, log_of, orders_of, posted_of
from bot.care.events import CareEvent, Ref, effective, refs_to_json
from bot.notes.reader import read
from bot.notes.reading import Entry, Selection
from bot.store.database import Connection

MOST_ITEMS = 12


@dataclass(frozen=True, slots=True)
class Ways:
    """What is on the way, as the words find it: open orders, numbered as they are listed, and what was posted."""

    orders: Sequence[Order]
    posted: Sequence[Posted]

    def meant(self, match: re.Match[str]) -> list[Order]:
        """Return the orders that words may mean: by number, by the sender, else all."""
        said = match.groupdict()
        if said.get("number"):
            return list(self.orders[int(said["number"]) - 1 : int(said["number"])]) if int(said["number"]) else []
        who = _who(match)
        return [one for one in self.orders if not who or one.who.lower() == who]


Rule = Callable[[re.Match[str], Ways, Draft], bool]


def transit_asked(conn: Connection, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words about what is on the way; None where they are about something else."""
    text = " ".join(view.text.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split()).rstrip(".!? ")
    if role not in ("owner", "helper", "guest"):
        return None
    ways: Ways | None = None
    for pattern, rule in _RULES if role != "guest" else _RULES[:2]:  # a guest may ask
        if found := pattern.fullmatch(text):
            if ways is None:
                log = effective(log_of(conn, collection_id, view.today - WITHIN))
                ways = Ways(orders_of(log), posted_of(log, view.standing, view.today - WITHIN))
            draft = Draft(view, "do", None)
            if rule(found, ways, draft):
                return draft.done()
    return None


def _who(match: re.Match[str]) -> str:
    said = match.groupdict()
    return next((str(said[one]).lower() for one in patterns.PERSONS if said.get(one)), "")


# --- what is ordered ---------------------------------------------------------------------------------------------------


def _placed(match: re.Match[str], _: Ways, draft: Draft) -> bool:
    what = match["what"] or f"{match['count']}{match['behind'] or ''}"
    if sent := patterns.SENT_TOO.search(what):
        placed = _order(what[: sent.start()], "", draft)
        if placed is not None:
            _sent_off(placed, draft)
        return placed is not None
    if patterns.NONE.match(what):
        draft.tell(words.NONE_ORDERED)
        return True
    return _order(what, "", draft) is not None


def _order(what: str, who: str, draft: Draft) -> CareEvent | None:
    """Write an order of what would read as bought; None where it would not, or something else is said beside it."""
    view = draft.view
    what, due = order_days.without_day(what, view)
    reading = read(f"bought {what}" + (f" from {who}" if who else ""), view.now.replace(tzinfo=None), view.standing.names())
    entries = [one for one in reading.entries if one.type == "event" and one.act == "acquired" and one.which is not None]
    givers = {str(one.details["from"]) for one in entries if one.details.get("from")}
    items = [_item(one, draft, first=number == 0) for number, one in enumerate(entries)]
    if reading.decision != "log" or len(entries) != len(reading.entries) or len(givers) > 1 or not 0 < len(items) <= MOST_ITEMS:
        return None
    if not all(items) or any(one.when is not None and one.when > view.today for one in entries):
        return None
    facts: dict[str, Any] = {"items": items} | ({"from": _called(givers.pop(), view)} if givers else {})
    if due is not None:
        facts |= order_days.facts_of(due, str(facts.get("from", "")), items)
    on = next((one.when for one in entries if one.when is not None), view.today)
    event = draft.event("order", PLACED, (), on, facts)
    draft.say("order", event)
    return event


def _called(who: str, view: View) -> str:
    return next(
        (one for one in view.standing.people.values() if one.lower() == who.lower() and one != one.lower()), phrases.cap(who)
    )


def _item(entry: Entry, draft: Draft, *, first: bool) -> dict[str, Any]:
    """Return what is ordered of one name, with the price of the whole at the first; empty where neither name nor number is."""
    which = entry.which or Selection()
    taxon = str(entry.details.get("name") or (which.taxa[0] if which.taxa else "") or which.words or "")
    if which.labels or which.places or which.lots or which.count == 0 or not (taxon or which.count):
        return {}
    if not taxon and patterns.EMPTY.search(draft.view.text):
        return {}
    name = taxon_name(taxon, draft.view.settings.language) if taxon else ""
    wanted = ("state", "pot_cm", "pot", *(("price", "currency", "each") if first or entry.details.get("each") else ()))
    kept = {key: one for key, one in entry.details.items() if key in wanted}
    count = which.count if which.count is not None else 1 if first and patterns.ONE_OF.match(draft.view.text) else None
    return ({"name": name} if name else {}) | ({"count": count} if count is not None else {}) | kept


def _sent(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    who, orders = _who(match), ways.meant(match)
    on = day_said((match["when"] or match["day"] or "").strip(), draft)
    if on is None or (not orders and not who) or who in patterns.NOBODY:
        return False
    if match["whose"] and not orders:
        return False  # "Anna's parcel is on its way" may be the one to her
    if len(orders) > 1:
        draft.tell(*words.which_order(ways.orders, orders, "is on its way", draft.view.today))
        return True
    if orders:
        order = orders[0]
    else:
        placed = draft.event("order", PLACED, (), on, {"from": _called(who, draft.view), "items": []})
        order = Order(placed.identity, str(placed.facts["from"]), on, ())
    draft.say("order", draft.event("order", SENT, (), on, {"order": order.identity, **_words_of(order)}))
    return True


def _words_of(order: Order) -> dict[str, Any]:
    """Return what an event says of its order, so that it can be told without a look at the log."""
    return {"from": order.who, "items": [{"name": one.name, "count": one.left} for one in order.items]}


def _coming(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    """Take "6 lobivias from Anna are in the post": of an order that is open its sending, else one that is on its way."""
    what, who = match["what"] or match["which"], match["who"] or match["behind"]
    names = _taxa(what, draft.view)
    open_ones = [
        one for one in ways.orders
        if one.who.lower() == who.lower() and any(alike(item.name, name) for item in one.items for name in names)
    ]  # fmt: skip
    if len(open_ones) == 1:
        order = open_ones[0]
    else:
        placed = _order(what.removeprefix("the "), who, draft)
        if placed is not None:
            _sent_off(placed, draft)
        return placed is not None
    draft.say("order", draft.event("order", SENT, (), draft.view.today, {"order": order.identity, **_words_of(order)}))
    return True


def _sent_off(placed: CareEvent, draft: Draft) -> None:
    """Write that what was ordered just now is on its way already, told in one line."""
    items = tuple(_as_item(one) for one in placed.facts["items"])
    order = Order(placed.identity, str(placed.facts.get("from", "")), placed.happened_on, items)
    draft.said.clear()
    draft.say("order", draft.event("order", SENT, (), draft.view.today, {"order": order.identity, **_words_of(order)}))


def _as_item(said: dict[str, Any]) -> Item:
    return Item(str(said.get("name", "")), said.get("count"), said.get("count"))


def _taxa(what: str, view: View) -> tuple[str, ...]:
    asked = read(f"bought 3 {what}", view.now.replace(tzinfo=None), view.standing.names()).entries if what else ()
    return tuple(name for one in asked if one.which is not None for name in one.which.taxa)


# --- what came ---------------------------------------------------------------------------------------------------------


def _came(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    who, orders = _who(match), ways.meant(match)
    on = day_said(match["when"] or "", draft)
    doubtful = match["whose"] or (not who and "arrived" in match[0].lower())
    mine = [one for one in ways.posted if one.by_post and (not who or one.who.lower() == who)] if doubtful else []
    if on is None or (not orders and (match["whose"] or not (who or match["number"]))):
        return False
    if orders and mine:
        draft.tell(words.from_or_to(orders[0].who or phrases.cap(mine[0].who), phrases.cap(mine[0].who)))
    elif not orders:
        draft.tell(words.no_order(phrases.cap(who)))
    elif len(orders) > 1:
        draft.tell(*words.which_order(ways.orders, orders, "came", draft.view.today))
    else:
        _arrive(orders[0], _counts(match, orders[0], draft), on, draft)
    return True


def _counts(match: re.Match[str], order: Order, draft: Draft) -> list[int] | None:
    """Return how many came of each item; None, with the reason said, where that cannot be or cannot be told."""
    left = order.left
    if not order.items:
        draft.tell(words.what_was_in_it(order.who))
        return None
    said = _number(match["n"] or match["only"])
    of, short = _number(match["of"]), _number(match["short"])
    if said is None and short is not None and left is not None:
        said = left - short
    if of is not None and left is not None and of not in (left, sum(one.of or 0 for one in order.items)):
        draft.tell(words.holds(order, of))
        return None
    if said is None:
        if left is None:
            draft.tell(words.how_many(order))
            return None
        return [one.left or 0 for one in order.items]
    if said <= 0:
        draft.tell(lots.NONE_CAME)
        return None
    if left is not None and said > left:
        draft.tell(lots.more_than_ordered(said, left))
        return None
    if said == left:
        return [one.left or 0 for one in order.items]
    if len(order.items) > 1:
        draft.tell(words.which_came(order))
        return None
    return [said]


def _number(said: str | None) -> int | None:
    return None if not said else int(said) if said.isdigit() else patterns.SMALL[said.lower()]


def _counted(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    """Take "5 of the 6 lobivias came" where one open order alone can be meant; the reader knows the rest."""
    who, count, of, on = _who(match), _number(match["n"]), _number(match["of"]), day_said(match["when"] or "", draft)
    names = _taxa(match["what"] or "", draft.view)
    if on is None or count is None or (match["what"] and not names) or not (of or names or who):
        return False
    found = [
        (order, item) for order in ways.orders for item in order.items
        if (not who or order.who.lower() == who) and (not names or any(alike(item.name, name) for name in names))
        and (of is None or of in (item.left, item.of))
    ]  # fmt: skip
    if not found:
        return False
    if len(found) > 1:
        draft.tell(*words.which_order(ways.orders, [one for one, _ in found], f"came, {count}", draft.view.today))
        return True
    order, item = found[0]
    if count == 0:
        draft.tell(lots.NONE_CAME)
    elif item.left is not None and count > item.left:
        draft.tell(lots.more_than_ordered(count, item.left))
    else:
        _arrive(order, [count if one is item else 0 for one in order.items], on, draft)
    return True


def _arrive(order: Order, counts: list[int] | None, on: date, draft: Draft) -> None:
    """Write what came of an order as received."""
    if counts is None:
        return
    draft.view = replace(draft.view, text="")  # "5 of 6" are no numbers of plants
    for item, count in zip(order.items, counts, strict=True):
        if count:
            acts.act(draft, _received(order, item, count, on))
    left = tuple(
        replace(one, left=None if one.left is None else one.left - count)
        for one, count in zip(order.items, counts, strict=True)
        if one.left is not None and one.left > count
    )
    if left and draft.events:
        draft.tell(words.still_to_come(replace(order, items=left)))


def _received(order: Order, item: Item, count: int, on: date) -> Entry:
    details: dict[str, Any] = {"from": order.who, "name": item.name, "order": order.identity}
    details |= {"ordered": item.left} if item.left is not None and count < item.left else {}
    details |= {key: one for key, one in item.said.items() if key not in ("price", "currency", "each") or item.left == item.of}
    genus = item.name.split()[0].lower() if item.name else ""
    which = Selection(taxa=(genus,) if genus else (), count=count)
    return Entry("event", act="acquired", which=which, when=on, details={key: one for key, one in details.items() if one})


def _dropped(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    who, orders = _who(match), ways.meant(match)
    number = match.groupdict().get("number")
    if not orders and not who and not number:
        return False
    if not orders:
        draft.tell(words.no_such_order(phrases.cap(who), len(ways.orders)))
    elif len(orders) > 1:
        draft.tell(*words.which_order(ways.orders, orders, "", draft.view.today))
    else:
        facts = {"order": orders[0].identity, **_words_of(orders[0])}
        draft.say("order", draft.event("order", DROPPED, (), draft.view.today, facts))
    return True


# --- what was posted ---------------------------------------------------------------------------------------------------


def _out(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    """Write that plants went by post; told of those that went already, and asked to whom where nobody is named."""
    refs = _plants(match["what"], draft)
    if not refs:
        return False
    held = [draft.view.standing.things.get((ref.kind, ref.key)) for ref in refs]
    left = {ref for ref, one in zip(refs, held, strict=True) if one is not None and not one.alive}
    gone = [one for one in ways.posted if any(_same(ref, mine) for ref in left for mine in one.refs)]
    if gone:
        draft.tell(*(words.gone_already(one, draft.view.standing, draft.view.today) for one in gone[:3]))
        return True
    if left or None in held:
        return False
    if not match["who"]:
        draft.tell(words.to_whom(match["what"]))
        return True
    kind = {one.kind for one in refs}
    if kind != {"plant"} and len(refs) > 1:
        return False
    keys = tuple(one.key for one in refs)
    which = Selection(labels=keys) if kind == {"plant"} else Selection(lots=keys, count=refs[0].count)
    acts.act(draft, Entry("event", act="given", which=which, details={"to": match["who"].lower(), POSTED: True}))
    return True


def _plants(what: str, draft: Draft) -> tuple[Ref, ...]:
    """Return the plants or the lot that words name; of "2 of the barn lot" so many, of any other part nothing."""
    part = patterns.PART.match(what)
    refs = named(what[part.end() :] if part else what, draft)
    if part:
        return (replace(refs[0], count=_number(part["n"])),) if len(refs) == 1 and refs[0].kind == "lot" else ()
    return refs if all(one.kind in ("plant", "lot", "batch") for one in refs) else ()


def _same(one: Ref, other: Ref) -> bool:
    return (one.kind, one.key) == (other.kind, other.key)


def _there(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    what = match["what"] or match["is"] or match["got"]
    return _who(match) not in patterns.NOBODY and (_ended(match, ways, draft, "came", what) or _still_here(match, what, draft))


def _still_here(match: re.Match[str], what: str, draft: Draft) -> bool:
    """Say of "12 arrived" that 12 never left by the notes, and write no new plant over it."""
    refs = _plants(what, draft) if match["what"] and patterns.LABELS.fullmatch(what) else ()
    held = [draft.view.standing.things.get((one.kind, one.key)) for one in refs]
    if not refs or not all(one is not None and one.alive for one in held):
        return False
    draft.tell(words.still_here(refs, "" if _who(match) else what, draft.view.standing))
    return True


def _they(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    """Take "they arrived" as the answer to whether what was posted did, or as the one order that is open; else ask."""
    who = _who(match)
    mine = [one for one in ways.posted if not who or one.who.lower() == who]
    if not who and ways.orders and mine:
        draft.tell(words.from_or_to(ways.orders[0].who or "Anna", phrases.cap(mine[0].who)))
        return True
    if len({one.who.lower() for one in mine}) > 1:
        draft.tell(words.to_which(sorted({phrases.cap(one.who) for one in mine})))
        return True
    if mine:
        _end(draft, "came", [(one, ref) for one in mine for ref in one.refs])
    return bool(mine)


def _lost(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    return _ended(match, ways, draft, "lost", match["what"])


def _ended(match: re.Match[str], ways: Ways, draft: Draft, what: str, said: str) -> bool:
    """Note what became of plants that went to somebody; False where none of them is on the way."""
    who, refs = _who(match), _plants(said, draft)
    mine = [(one, ref) for one in ways.posted if not who or one.who.lower() == who for ref in one.refs]
    parts = [(one, ref) for one, ref in mine if any(_same(ref, asked) and asked.count in (None, ref.count) for asked in refs)]
    theirs = ways.posted if match.groupdict().get("whom") else [one for one, _ in parts]
    known = {(ref.kind, ref.key) for one in theirs for ref in one.refs}  # of "Lea got them" those that went to Lea
    if not parts or any((ref.kind, ref.key) not in known for ref in refs):
        return False
    _end(draft, what, parts)
    return True


def _end(draft: Draft, what: str, parts: Sequence[tuple[Posted, Ref]]) -> None:
    """Write that what went by these entries has come, or was lost."""
    count = sum(ref.count if ref.count is not None else 1 for _, ref in parts)
    facts = {"given": list(dict.fromkeys(one.event.identity for one, _ in parts)), "of": refs_to_json(ref for _, ref in parts)}
    facts |= {"to": parts[0][0].who, "came": 0 if what == "lost" else count, "missing": count if what == "lost" else 0}
    draft.event("slip", what, (), draft.view.today, facts)
    no_longer_asked((ref for _, ref in parts), draft)
    draft.tell(words.ended(what, tuple(ref for _, ref in parts), parts[0][0], draft.view.standing, draft.view.today))


def _listed(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    who = _who(match)
    orders = [(number, one) for number, one in enumerate(ways.orders, 1) if not who or one.who.lower() == who]
    sent = [one for one in ways.posted if one.by_post and (not who or one.who.lower() == who)]
    lines = words.listed(orders, sent, phrases.cap(who), draft.view.standing, draft.view.today)
    draft.say("answer", about="on_the_way", lines=lines)
    return True


def _expected(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    return order_days.expected(match, ways.meant(match), ways.orders, draft)


def _when(match: re.Match[str], ways: Ways, draft: Draft) -> bool:
    return order_days.asked(match, ways.meant(match), _who(match), ways.orders, draft)


_RULES: tuple[tuple[re.Pattern[str], Rule], ...] = (
    (patterns.ASKED, _listed),
    (patterns.WHEN_DUE, _when),
    (patterns.EXPECTED, _expected),
    (patterns.PLACED, _placed),
    (patterns.SENT, _sent),
    (patterns.COMING, _coming),
    (patterns.NEVER, _dropped),
    (patterns.DROPPED, _dropped),
    (patterns.CAME, _came),
    (patterns.GOT, _came),
    (patterns.COUNTED, _counted),
    (patterns.LOST, _lost),
    (patterns.THEY, _they),
    (patterns.OUT, _out),
    (patterns.THERE, _there),
)
