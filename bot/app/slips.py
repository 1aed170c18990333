"""Parcels between two growers who both have a bot: a slip that goes with one, its taking in, and the receipt that comes back.

The two bots never speak to each other: the growers send messages on, and each bot reads the last line. Nothing is written
before a yes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from bot.app import acts
from bot.app.english import phrases, slips
from bot.app.plan import Choice, Draft, Plan, View
from bot.app.swaps import Promise, dealings, plants_in, promises_of
from bot.care.events import CareEvent, Ref, refs_to_json
from bot.care.standing import Standing, Thing
from bot.notes.reading import Entry, Selection
from bot.sharing.listing import public_name_of
from bot.sharing.slip import MOST_ROWS, Parcel, Receipt, Slip, SlipProblem, found_in, receipt_word, slip_word
from bot.store.database import Connection

MADE, TAKEN, CAME, LOST = "made", "taken", "came", "lost"  # what an event of the kind "slip" says
WITHIN = timedelta(days=60)  # what went longer ago has arrived or not
SIGNED = "signed"  # in the settings: the name under which slips go out
_PERSON = r"[A-Za-z][\w'-]{1,29}"
_SLIP = re.compile(
    r"(?:please )?(?:make |send |give |write |print )?(?:me )?(?:a |the )?(?:swap |parcel |packing )?slip"
    rf" (?:for|to) (?P<who>{_PERSON})"
    rf"(?:'s parcel)?(?:,? (?:it is |signed |it's )?from (?P<sender>{_PERSON}))?[.! ]*",
    re.IGNORECASE,
)
_CAME = re.compile(
    rf"(?:(?:the |my )?(?:parcel|box|plants|package) (?:for|to) (?P<who>{_PERSON})"
    rf"|(?P<whose>{_PERSON}?)(?:'s|s') (?:parcel|box|package))"
    r" (?:has |have )?(?:arrived|came|got there)(?: safely| today| fine)*[.! ]*",
    re.IGNORECASE,
)
_LOST = re.compile(
    rf"(?:the |my )?(?:parcel|box|plants|package) (?:for|to) (?P<who>{_PERSON})"
    r" (?:never (?:arrived|came)|(?:was|were|is|are|got|has been|went) (?:lost|missing))(?: in the (?:post|mail))?[.! ]*",
    re.IGNORECASE,
)
_YES = re.compile(
    r"(?:yes|y|yep|yeah|ok|okay|take (?:them|it) in|take (?:them|it))?[,. ]*(?:from (?P<who>[A-Za-z][\w'-]{1,29}))?[.! ]*",
    re.IGNORECASE,
)
_NO = re.compile(r"(?:no|nope|n|leave it|not now)[.! ]*", re.IGNORECASE)
_PART = re.compile(
    r"(?:yes,? )?(?:but )?(?:only )?(?P<count>\d{1,3}|no|none|one|two|three|four|five)(?: of (?:the )?(?:\d{1,3} )?)?"
    r"(?: ?the)? ?(?P<what>[A-Za-z][\w .'-]*?)? ?(?:came|arrived|are here|is here|were alive|survived)[.! ]*",
    re.IGNORECASE,
)
_NUMBERS = {"no": 0, "none": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5}


def slip_asked(conn: Connection, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words about slips, and of messages that hold one; None where the words are about something else."""
    if role not in ("owner", "helper"):
        return None
    draft = Draft(view, "do", None)
    try:
        held = found_in(view.text)
    except SlipProblem as problem:
        draft.tell(slips.NEWER if problem.kind == "newer" else slips.DAMAGED)
        return draft.done()
    if held is not None:
        _held(conn, collection_id, held, draft)
        return draft.done()
    return _answer(conn, collection_id, draft) or _words(conn, collection_id, draft)


def _held(conn: Connection, collection_id: int, held: Slip | Receipt, draft: Draft) -> None:
    """Say what a slip would bring in and ask; note what a receipt tells."""
    log = _of_slips(conn, collection_id)
    if isinstance(held, Receipt):
        _receipt(held, log, draft)
        return
    known = _already(held, log, draft)
    draft.tell(*(known or slips.offered(held.rows, held.sender, held.sent_on, draft.view.today)))
    if not known:
        draft.question("act", (Choice("say:yes"), Choice("say:no")), apart=slips.TAKE_IN)


def _already(slip: Slip, log: Iterable[CareEvent], draft: Draft) -> tuple[str, ...]:
    """Return why a slip is not taken in: it is one's own, or was taken before."""
    for one in log:
        if one.facts.get("slip") == slip.identity and one.what == MADE:
            return (slips.OWN.format(who=slip.partner or slips.WHO),)
        if one.facts.get("slip") == slip.identity and one.what == TAKEN:
            return (slips.TAKEN.format(day=phrases.day(one.happened_on, draft.view.today)),)
    return ()


def _answer(conn: Connection, collection_id: int, draft: Draft) -> Plan | None:
    """Take a slip in that was asked about, where these words are the answer."""
    asked, text = draft.view.open_note, " ".join(draft.view.text.split())
    try:
        slip = found_in(asked.text) if asked is not None else None
    except SlipProblem:
        return None
    if not isinstance(slip, Slip) or not text:
        return None
    if _NO.fullmatch(text):
        draft.closes_question = True
        draft.tell(slips.LEFT)
        return draft.done()
    part, agreed = _PART.fullmatch(text), _YES.fullmatch(text)
    counts = _counts(slip, part) if part else tuple(one.count for one in slip.rows)
    if counts is None or not (part or agreed):
        return None
    draft.closes_question = True
    if known := _already(slip, _of_slips(conn, collection_id), draft):
        draft.tell(*known)
        return draft.done()
    _take(slip, counts, (agreed["who"] if agreed else None) or slip.sender, draft)
    return draft.done()


def _counts(slip: Slip, part: re.Match[str]) -> tuple[int, ...] | None:
    """Return how many came of each line; None where nobody can tell which line is meant."""
    came = _NUMBERS.get(part["count"].lower(), -1)
    came = int(part["count"]) if came < 0 else came
    words = (part["what"] or "").strip().lower().removeprefix("of ").removeprefix("the ")
    any_of = words in ("", "them", "plants")
    meant = [number for number, one in enumerate(slip.rows) if any_of or one.name.lower().startswith(words.rstrip("s")[:6])]
    if len(meant) != 1 or came > slip.rows[meant[0]].count:
        return None
    return tuple(came if number == meant[0] else one.count for number, one in enumerate(slip.rows))


def _take(slip: Slip, counts: Sequence[int], sender: str, draft: Draft) -> None:
    """Write what came as received, apart from today, and give the receipt."""
    facts = {"slip": slip.identity, "from": sender, "counts": list(counts)}
    for one, count in zip(slip.rows, counts, strict=True):
        if count:
            acts.act(draft, _received(one, count, sender))
    draft.event("slip", TAKEN, (), draft.view.today, facts)
    draft.tell(*slips.receipt(sender, receipt_word(Receipt(slip.identity, draft.view.today, tuple(counts)))))


def _received(one: Parcel, count: int, sender: str) -> Entry:
    details = {"from": sender or None, "name": one.name or None, "pot_cm": one.pot_cm}
    details["state"] = {"rooted": "potted" if one.pot_cm else "bare_root", "unrooted": "cutting"}.get(one.rooted)
    genus = one.name.split()[0].lower() if one.name else ""
    which = Selection(taxa=(genus,) if genus else (), count=count)
    return Entry("event", act="acquired", which=which, details={key: value for key, value in details.items() if value})


def _receipt(receipt: Receipt, log: Sequence[CareEvent], draft: Draft) -> None:
    mine = [one for one in log if one.facts.get("slip") == receipt.identity]
    made = next((one for one in mine if one.what == MADE), None)
    noted = next((one for one in mine if one.what == CAME), None)
    if made is None or len(made.facts["rows"]) != len(receipt.counts):
        draft.tell(slips.NOT_OURS)
    elif noted is not None:
        draft.tell(slips.RECEIPT_KNOWN.format(day=phrases.day(noted.happened_on, draft.view.today)))
    else:
        rows = _of_event(made)
        counts = tuple(min(got, one.count) for got, one in zip(receipt.counts, rows, strict=True))
        missing = sum(one.count for one in rows) - sum(counts)
        facts = {"slip": receipt.identity, "to": made.facts["to"], "missing": missing, "came": sum(counts)}
        draft.event("slip", CAME, (), draft.view.today, facts)
        no_longer_asked(tuple(Ref(*one) for one in made.facts["of"]), draft)
        draft.tell(slips.arrived(str(made.facts["to"]), receipt.got_on, rows, counts, draft.view.today))


def no_longer_asked(refs: Iterable[Ref], draft: Draft) -> None:
    """Take the question whether they arrived off the list."""
    sent = {(one.kind, one.key) for one in refs}
    for due in draft.view.due:
        if due.kind == "follow_up" and due.about == "given" and any((one.kind, one.key) in sent for one in due.refs):
            draft.event("done", "", due.refs, draft.view.today, {"due": due.key})


def _words(conn: Connection, collection_id: int, draft: Draft) -> Plan | None:
    """Make a slip, or note that a parcel came or was lost, as these words ask."""
    text = " ".join(draft.view.text.split())
    for pattern, rule in _RULES:
        if found := pattern.fullmatch(text):
            return draft.done() if rule(conn, collection_id, found, draft) else None
    return None


def _make(conn: Connection, collection_id: int, match: re.Match[str], draft: Draft) -> bool:
    who, view = match["who"], draft.view
    who = who[:1].upper() + who[1:]
    log = dealings(conn, collection_id)
    refs, sent_on = _gone_to(who, log, view.today)
    sender = _signed(match["sender"], draft)
    rows = _rows(refs, view.standing)
    last = next((one for one in reversed(log) if one.kind == "slip" and one.what == MADE and one.facts["to"] == who), None)
    if not rows and last is not None:  # the one before, once more
        slip = Slip(last.facts["slip"], date.fromisoformat(last.facts["sent_on"]), sender, who, _of_event(last))
        draft.tell(*slips.slip(slip.rows, sender, who, slip.sent_on, view.today, slip_word(slip)))
    elif not rows:
        draft.tell(slips.NOTHING_SENT.format(who=who))
    elif len(rows) > MOST_ROWS:
        draft.tell(slips.TOO_MANY.format(most=MOST_ROWS))
    else:
        slip = Slip(view.new_identity()[:16], sent_on, sender, who, rows)
        facts = {"slip": slip.identity, "to": who, "rows": [[one.name, one.count, one.pot_cm, one.rooted] for one in rows]}
        draft.event("slip", MADE, (), view.today, facts | {"of": refs_to_json(refs), "sent_on": sent_on.isoformat()})
        draft.tell(*slips.slip(rows, sender, who, sent_on, view.today, slip_word(slip)))
    return True


def _of_event(made: CareEvent) -> tuple[Parcel, ...]:
    return tuple(Parcel(*one) for one in made.facts["rows"])


def _signed(said: str | None, draft: Draft) -> str:
    """Return the name under which slips go out; one that was said is kept."""
    settings = draft.view.settings
    if said:
        name = said[:1].upper() + said[1:]
        draft.settings = replace(settings, extra={**settings.extra, SIGNED: name})
        return name
    return str(settings.extra.get(SIGNED, ""))


def _gone_to(who: str, log: Sequence[CareEvent], today: date) -> tuple[tuple[Ref, ...], date]:
    """Return what went to a person and stands on no slip yet, and the day it last went; else what is promised, for today."""
    on_slips = {tuple(one) for each in log if each.kind == "slip" and each.what == MADE for one in each.facts["of"]}
    gone = [
        one for one in log
        if one.what == "given" and str(one.facts.get("to", "")).lower() == who.lower() and today - one.happened_on <= WITHIN
    ]  # fmt: skip
    refs = tuple(ref for one in gone for ref in one.refs if (ref.kind, ref.key, ref.count) not in on_slips)
    if refs:
        return refs, max(one.happened_on for one in gone)
    promised: list[Promise] = [one for one in promises_of(log) if one.who.lower() == who.lower()]
    return tuple(_promised(one) for one in promised), today


def _promised(one: Promise) -> Ref:
    ref = one.refs[0]
    return ref if len(one.refs) == 1 and ref.kind == "plant" else replace(ref, count=one.count)


def _rows(refs: Iterable[Ref], standing: Standing) -> tuple[Parcel, ...]:
    """Return the lines of a slip: like plants of one name, pot and state added up."""
    added: dict[tuple[str, float | None, str], int] = {}
    for ref in refs:
        thing = standing.things.get((ref.kind, ref.key)) or Thing(ref.kind, ref.key)
        pot = thing.pot.get("cm")
        rooted = "" if thing.kind != "batch" else "rooted" if thing.tally.get("rooted") else "unrooted"
        key = (public_name_of(thing, standing), float(pot) if isinstance(pot, int | float) else None, rooted)
        added[key] = added.get(key, 0) + (ref.count if ref.count is not None else 1)
    return tuple(Parcel(name, count, pot_cm, rooted) for (name, pot_cm, rooted), count in sorted(added.items(), key=str))


def _parcel_came(conn: Connection, collection_id: int, match: re.Match[str], draft: Draft) -> bool:
    return _ended(conn, collection_id, match["who"] or match["whose"], draft, CAME, slips.CAME)


def _parcel_lost(conn: Connection, collection_id: int, match: re.Match[str], draft: Draft) -> bool:
    return _ended(conn, collection_id, match["who"], draft, LOST, slips.LOST)


def _ended(conn: Connection, collection_id: int, who: str, draft: Draft, what: str, said: str) -> bool:
    """Note what became of the last thing that went to a person."""
    log, who = dealings(conn, collection_id), who[:1].upper() + who[1:]
    told = {each for one in log if one.kind == "slip" and one.what in (CAME, LOST) for each in one.facts.get("given", ())}
    gone = [
        one for one in log
        if one.what == "given" and str(one.facts.get("to", "")).lower() == who.lower() and one.identity not in told
        and draft.view.today - one.happened_on <= WITHIN
    ]  # fmt: skip
    if not gone:
        draft.tell(slips.NO_PARCEL.format(who=who))
        return True
    day = gone[-1].happened_on
    parcel = [one for one in gone if one.happened_on == day]
    count = sum(map(plants_in, parcel))
    facts: dict[str, Any] = {"given": [one.identity for one in parcel], "to": who}
    facts |= {"missing": count if what == LOST else 0, "came": 0 if what == LOST else count}
    draft.event("slip", what, (), draft.view.today, facts)
    no_longer_asked((ref for one in parcel for ref in one.refs), draft)
    draft.tell(said.format(who=who, day=phrases.day(day, draft.view.today), n=count))
    return True


_RULES: tuple[tuple[re.Pattern[str], Callable[[Connection, int, re.Match[str], Draft], bool]], ...] = (
    (_SLIP, _make),
    (_CAME, _parcel_came),
    (_LOST, _parcel_lost),
)


def _of_slips(conn: Connection, collection_id: int) -> list[CareEvent]:
    return [one for one in dealings(conn, collection_id) if one.kind == "slip"]
