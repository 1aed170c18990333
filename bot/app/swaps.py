"""Swaps: what is promised to whom, what went and came, and the yes before plants in quarantine leave.

A promise is an offer to one person. What was sent to them afterwards is no longer promised.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from bot.app.english import swaps
from bot.app.plan import Choice, Draft, Plan, View
from bot.app.ruling import named
from bot.app.which import total
from bot.care.events import CareEvent, Ref, effective
from bot.care.reach import overlaps
from bot.care.standing import Standing, Thing
from bot.store import carelog
from bot.store.database import Connection

_WORDS = "one two three four five six seven eight nine ten".split()
_NUMBERS = {word: number for number, word in enumerate(_WORDS, 1)} | {"a": 1, "an": 1}
_PROMISE = re.compile(
    rf"(?:i )?(?:have )?(?:promise[sd]?|reserved?) (?:(?P<count>\d{{1,3}}|an?|{'|'.join(_WORDS)}) of )?"
    r"(?:the |my )?(?P<what>.+?) (?:to|for) (?P<who>[A-Za-z][\w'-]{1,30})[.! ]*",
    re.IGNORECASE,
)
_BALANCE = re.compile(
    r"(?:what(?:'?s| is) )?(?:the |my )?(?:swap )?balance with (?P<who>[A-Za-z][\w'-]{1,30})[?.! ]*"
    r"|what did (?:i|we) swap with (?P<swap>[A-Za-z][\w'-]{1,30})[?.! ]*"
    r"|(?:do i owe (?P<owe>[A-Za-z][\w'-]{1,30}) anything|does (?P<owes>[A-Za-z][\w'-]{1,30}) owe me anything)[?.! ]*",
    re.IGNORECASE,
)
_PROMISED = re.compile(
    r"(?:what|who) (?:have|did) (?:i|we) promised?(?: (?:to )?(?P<who>[A-Za-z][\w'-]{1,30}))?[?.! ]*|(?:my )?promises[?.! ]*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Promise:
    """Plants promised to one person and not sent yet."""

    who: str
    refs: tuple[Ref, ...]
    count: int
    on: date


@dataclass(frozen=True, slots=True)
class Balance:
    """What went to one person and what came from them."""

    who: str
    sent: int
    got: int
    promised: int
    last_sent: date | None
    last_got: date | None
    lost: int = 0  # of what was sent, on the way


def swap_asked(conn: Connection, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words about swaps; None where the words are about something else."""
    text = " ".join(view.text.split())
    if role not in ("owner", "helper"):
        return None
    for pattern, rule in _RULES:
        if found := pattern.fullmatch(text):
            draft = Draft(view, "do", None)
            return draft.done() if rule(conn, collection_id, found, draft) else None
    return None


def _promise(conn: Connection, collection_id: int, match: re.Match[str], draft: Draft) -> bool:
    refs = named(match["what"], draft)
    if not refs:
        return False
    standing, who = draft.view.standing, match["who"]
    refs = _whole(refs, standing)
    apart = wants_a_yes(refs, draft)
    if apart:
        draft.tell(swaps.not_promised(apart, standing))
        return True
    have = total(refs, standing) or len(refs)
    wanted = _NUMBERS.get((match["count"] or "").lower()) or (int(match["count"]) if match["count"] else have)
    open_ones = promises_of(dealings(conn, collection_id))
    gone = sum(one.count for one in open_ones if any(overlaps(standing, mine, ref) for mine in one.refs for ref in refs))
    if wanted < 1 or wanted > have - gone:
        draft.tell(swaps.TOO_FEW.format(have=max(0, have - gone), promised=gone))
        return True
    whole = wanted == have
    about = refs if whole else (Ref(refs[0].kind if len(refs) == 1 else "taxon", _kind_of(refs, standing), wanted),)
    event = draft.event("event", "offered", about, draft.view.today, {"to": who, "promised": wanted})
    draft.say("event", event)
    draft.current = about
    return True


def _whole(refs: tuple[Ref, ...], standing: Standing) -> tuple[Ref, ...]:
    """Return the plants of a genus where one was named as such."""
    if len(refs) == 1 and refs[0].kind == "taxon":
        mine = tuple(
            one.ref for one in standing.plants() if one.alive and one.genus == refs[0].key and one.kind in ("plant", "lot")
        )
        return mine or refs
    return refs


def _kind_of(refs: tuple[Ref, ...], standing: Standing) -> str:
    if len(refs) == 1:
        return refs[0].key
    thing = standing.things.get((refs[0].kind, refs[0].key))
    return thing.genus if thing is not None else refs[0].key


def dealings(conn: Connection, collection_id: int) -> list[CareEvent]:
    """Return what counts of all that came in, was promised or went out, with the slips of parcels, in order."""
    whats = ("given", "offered", "acquired", "made", "taken", "came", "lost")
    return effective(carelog.load_of(conn, collection_id, ("event", "slip"), whats, date.min))


def promises_of(log: Iterable[CareEvent]) -> list[Promise]:
    """Return what is promised and not sent: what went to somebody after a promise is taken off it, the oldest first."""
    open_ones: list[Promise] = []
    for one in log:
        whom = str(one.facts.get("to", ""))
        if one.what == "offered" and one.facts.get("promised"):
            open_ones.append(Promise(whom, one.refs, int(one.facts["promised"]), one.happened_on))
        elif one.what == "given" and whom:
            _take_off(open_ones, whom, plants_in(one))
    return open_ones


def _take_off(open_ones: list[Promise], whom: str, count: int) -> None:
    for promise in [one for one in open_ones if one.who.lower() == whom.lower()]:
        left = promise.count - count
        place = open_ones.index(promise)
        open_ones[place : place + 1] = [Promise(promise.who, promise.refs, left, promise.on)] if left > 0 else []
        count = max(0, -left)
        if not count:
            return


def plants_in(event: CareEvent) -> int:
    """Return how many plants an event is about, as far as it says: one for each without a count."""
    return sum(ref.count if ref.count is not None else 1 for ref in event.refs)


def balance_of(log: Iterable[CareEvent], who: str) -> Balance:
    """Return what went to a person and what came from them."""
    events, low = list(log), who.lower()
    sent = [one for one in events if one.what == "given" and str(one.facts.get("to", "")).lower() == low]
    got = [one for one in events if one.what == "acquired" and str(one.facts.get("from", "")).lower() == low]
    promised = sum(one.count for one in promises_of(events) if one.who.lower() == low)
    lost = sum(
        int(one.facts.get("missing", 0)) for one in events if one.kind == "slip" and str(one.facts.get("to", "")).lower() == low
    )
    return Balance(
        who, sum(map(plants_in, sent)), sum(map(plants_in, got)), promised,
        max((one.happened_on for one in sent), default=None), max((one.happened_on for one in got), default=None),
        lost,
    )  # fmt: skip


def _balance(conn: Connection, collection_id: int, match: re.Match[str], draft: Draft) -> bool:
    who = next(one for one in match.groups() if one)
    made = balance_of(dealings(conn, collection_id), who)
    draft.tell(*swaps.balance(made, draft.view.today))
    return True


def _promised(conn: Connection, collection_id: int, match: re.Match[str], draft: Draft) -> bool:
    who = (match["who"] or "").lower()
    found = [one for one in promises_of(dealings(conn, collection_id)) if not who or one.who.lower() == who]
    draft.tell(*swaps.promised(found, draft.view.standing, draft.view.today))
    return True


_RULES = ((_BALANCE, _balance), (_PROMISED, _promised), (_PROMISE, _promise))


def wants_a_yes(refs: Iterable[Ref], draft: Draft) -> tuple[Thing, ...]:
    """Return the plants that should not leave yet: in quarantine, settling in, or with a find that is still followed."""
    standing = draft.view.standing
    followed = [mine for one in standing.cases.values() if one.open for mine in one.refs]
    things = (standing.things.get((ref.kind, ref.key)) for ref in refs)
    return tuple(one for one in things if one is not None and _stands_apart(one, followed, standing))


def _stands_apart(one: Thing, followed: Iterable[Ref], standing: Standing) -> bool:
    return one.isolated_on is not None or bool(one.settling) or any(overlaps(standing, mine, one.ref) for mine in followed)


def asks_before_it_leaves(draft: Draft, act: str, refs: tuple[Ref, ...]) -> bool:
    """Put the question before plants that stand apart are offered; whether it was put. A yes writes it."""
    if act != "offered" or draft.settled_act:
        return False
    apart = wants_a_yes(refs, draft)
    if not apart:
        return False
    why = swaps.why_apart(apart, draft.view.standing)
    draft.question("act", (Choice("say:yes"), Choice("say:no")), apart=why)
    return True
