"""Questions: from what is asked to the facts of the answer. The sentences are made in the wording."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Any

from bot.app import care_questions as care
from bot.app import record_questions as record
from bot.app.asked import Found, everything, held_of, refs_asked, stock_asked, things_asked
from bot.app.groups import Group, grouped
from bot.app.loss_questions import grouped_losses, is_grouped, losses, record_begins
from bot.app.plan import Draft
from bot.app.which import ever_of, total
from bot.app.wishing import wishes
from bot.care.due_values import Due
from bot.care.events import Ref
from bot.care.standing import Case, Thing
from bot.notes.reading import Entry

AROUND_A_DAY = timedelta(days=14)  # common practice: a flower is looked for two weeks around
FLOWERS_LAST_DAYS = 14
COMES_UP_DAYS = 7


# Questions about one thing: where nobody knows it, there is nothing to tell of everything else.
_OF_SOMETHING = frozenset({"where", "card", "last_done", "done_since", "may_water", "lineage", "sprayed"})


_IT = re.compile(r"\b(?:it|its|it's|that|this|them|their|they|theyre|these|those|one|he|she|his|her)\b", re.IGNORECASE)


def _speaks_of_it(text: str) -> bool:
    """Whether a question without a plant's name points at what was spoken of."""
    return _IT.search(text) is not None or len(text.split()) == 1


def enquire(entry: Entry, draft: Draft) -> Found:
    """Return the facts that answer a question; about "not_yet" where the bot cannot answer that kind."""
    ask = _ABOUT.get(str(entry.about))
    if ask is None:
        return Found("not_yet", {"asked": entry.about})
    if entry.which is not None and entry.about in _OF_SOMETHING and not draft.which(entry.which).refs:
        return Found("unknown")
    spoken_of = entry.about != "card" or _speaks_of_it(draft.view.text)
    if entry.which is None and (not spoken_of or record.not_of_stock(entry, draft.view)):
        return Found("not_understood")  # never the whole stock for a question about something else
    return ask(entry, draft)


# --- due --------------------------------------------------------------------------------------------------------------


def due_by(dues: Iterable[Due], until: date) -> list[Due]:
    """Return what is due until a day, overdue things included."""
    return [one for one in dues if one.on <= until]


def _due(entry: Entry, draft: Draft) -> Found:
    view = draft.view
    if entry.act == "watered" and entry.which is not None:
        return _may_water(entry, draft)
    until = entry.until or view.today
    if _MEANT_TO.search(view.text) and (meant := record.meant_to(entry, draft))["reminders"]:
        return Found("meant_to", meant)
    wanted = [one for one in view.due if _concerns(one, entry, draft)]
    now = due_by(wanted, until)
    groups = grouped(now, view.today)
    later = sorted((one for one in wanted if one.on > until), key=lambda one: one.on)
    soon = [one for one in later if one.on <= view.today + timedelta(days=COMES_UP_DAYS)]
    facts = {
        "week": entry.until is not None and (entry.until - view.today).days < COMES_UP_DAYS,
        "groups": tuple(groups),
        "until": until,
        "next": grouped(later[:1], view.today)[0] if later else None,
        "soon": len(grouped(soon, view.today)),
    }
    return Found("due", facts | {"which": entry.which is not None}, tuple(one.listed for one in groups))


_MEANT_TO = re.compile(r"\b(?:mean|meant|going|planning|planned|wanted) to do\b|\bplanned\b(?! to)", re.IGNORECASE)


OF_A_TREATMENT = frozenset({"treat_again", "survivors_look", "pest_look", "late_look", "suspicion_look"})


def _concerns(due: Due, entry: Entry, draft: Draft) -> bool:
    if entry.act == "treated" and not (due.kind in OF_A_TREATMENT or (due.kind == "reminder" and due.about == entry.act)):
        return False
    if entry.which is None:
        return True
    wanted = {(one.kind, one.key) for one in draft.which(entry.which).refs}
    return any((one.kind, one.key) in wanted for one in due.refs) or ("place", due.place) in wanted


# --- what was done ----------------------------------------------------------------------------------------------------


def _last_done(entry: Entry, draft: Draft) -> Found:
    return _last_of(refs_asked(entry, draft), entry, draft)


def _last_of(refs: tuple[Ref, ...], entry: Entry, draft: Draft) -> Found:
    act = entry.act or "watered"
    things = held_of(refs, draft)
    if act == "inspected" and (seen := record.found_last(things, draft)) is not None:
        return Found("found_last", seen)
    if act == "watered" and entry.which is None and _STARTED.search(draft.view.text):
        return Found("started", record.started(entry, draft))
    dated = [(one, day) for one in things if (day := _last(one, act, entry.sign)) is not None]
    newest = max((day for _, day in dated), default=None)
    asked = refs != everything(draft)
    facts = {"act": act, "sign": entry.sign, "refs": refs, "newest": newest, "dated": tuple(dated), "asked": asked}
    return Found("last_done", facts)


def _last(thing: Thing, act: str, sign: str | None) -> date | None:
    if sign:
        days = [day for key, day in thing.last.items() if key.endswith(f":{sign}")]
        return date.fromisoformat(max(days)) if days else None
    acts = ("watered", "fed") if act == "watered" else (act,)
    days = [thing.last[one] for one in acts if one in thing.last]
    return date.fromisoformat(max(days)) if days else None


def _in_span(entry: Entry, draft: Draft) -> Found:
    every = things_asked(entry, draft) if entry.which is not None else draft.view.standing.things.values()
    return Found("done_in_span", record.done_in_span(entry, every, draft))


def _done_since(entry: Entry, draft: Draft) -> Found:
    if entry.act in record.DONE and draft.view.text.lower().startswith("what"):
        return _in_span(entry, draft)  # "what did i feed this month": which, not whether
    anything = entry.which is None and not _speaks_of_it(draft.view.text)  # "did i feed this month"
    found = _last_of(everything(draft) if anything else refs_asked(entry, draft), entry, draft)
    since = entry.since or draft.view.today.replace(day=1)
    then = [(one, day) for one, day in found.facts["dated"] if since <= day <= (entry.until or draft.view.today)]
    return Found("done_since", found.facts | {"since": since, "hit": then})


def _not_since(entry: Entry, draft: Draft) -> Found:
    act = entry.act or "repotted"
    if act == "watered" and entry.since is None and _POTTED.search(draft.view.text):
        return _waiting(entry, draft)
    since = entry.since or draft.view.today - timedelta(days=3 * 365)
    old = [(one, _last(one, act, None)) for one in stock_asked(entry, draft) if one.kind == "plant"]
    late = sorted(
        ((one, day) for one, day in old if day is None or day < since), key=lambda item: (item[1] is None, item[1] or since)
    )
    return Found("not_since", {"act": act, "since": since, "dated": tuple(late)})


def _journal(entry: Entry, draft: Draft) -> Found:
    return Found(
        "journal",
        {
            "on": entry.since or draft.view.today,
            "until": entry.until or entry.since or draft.view.today,
            "lines": draft.view.journal,
        },
    )


def _sprayed(entry: Entry, draft: Draft) -> Found:
    asked = things_asked(entry, draft) if entry.which is not None else draft.view.standing.things.values()
    things = [(one, date.fromisoformat(one.last["treated"])) for one in asked if "treated" in one.last]
    return Found("sprayed", {"dated": tuple(things)})


# --- what there is ----------------------------------------------------------------------------------------------------


def _list(entry: Entry, draft: Draft) -> Found:
    things = stock_asked(entry, draft)
    if entry.sign in ("mix_damp", "mix_dry"):
        return care.wet(entry, draft)
    if entry.sign and not record.is_pest(entry.sign):
        return Found("with_sign", {"sign": entry.sign, "dated": tuple(record.with_sign(draft.view.standing, entry.sign))})
    if entry.sign or (entry.which and entry.which.state == "open_case"):
        return _cases(entry, draft)
    if entry.act == "named":
        return Found("unnamed", {"things": tuple(record.unnamed(things))})
    if entry.act in record.DONE and entry.since is not None:
        return _in_span(entry, draft)
    if entry.act in ("potted", "repotted"):
        return _waiting(entry, draft)
    if entry.act:
        things = [one for one in things if record.state_of_act(one, entry.act)]
    return Found(
        "list",
        {
            "things": tuple(things),
            "act": entry.act,
            "state": entry.which.state if entry.which else None,
            "refs": tuple(one.ref for one in things),
        },
    )


def _waiting(entry: Entry, draft: Draft) -> Found:
    """What was potted and waits for its first water."""
    things = tuple(one for one in stock_asked(entry, draft) if one.settling)
    return Found("first_waters" if things else "list", {"things": things}, refs=tuple(one.ref for one in things))


_STARTED = re.compile(
    r"\b(?:start|started|begin|began|begun)\b|\bfirst water(?:ing)? (?:of )?(?:this|last|the|in)\b", re.IGNORECASE
)
_POTTED = re.compile(r"\b(?:re)?pot(?:ted|s)\b", re.IGNORECASE)


def _cases(entry: Entry, draft: Draft) -> Found:
    standing = draft.view.standing
    cases: list[Case] = [one for one in standing.cases.values() if one.open and (entry.sign in (None, "pest", one.sign))]
    upcoming = {one.key: due for one in cases for due in draft.view.due if due.key.startswith(f"look|{one.key}|")}
    return Found("cases", {"cases": tuple(cases), "next": upcoming, "sign": entry.sign})


def _count(entry: Entry, draft: Draft) -> Found:
    things, standing = stock_asked(entry, draft), draft.view.standing
    whole = total((one.ref for one in things), standing)
    besides = record.counted_besides(things, standing, entry.which.taxa) if entry.which and entry.which.taxa else {}
    return Found("count", {"total": whole, "things": tuple(things), "which": entry.which, "besides": besides})


def _where(entry: Entry, draft: Draft) -> Found:
    if entry.sign and entry.which is None:
        return _list(entry, draft)
    return Found("where", {"things": tuple(one for one in things_asked(entry, draft) if one.kind != "house")[:5]})


def _card(entry: Entry, draft: Draft) -> Found:
    things = [one for one in things_asked(entry, draft) if one.kind not in ("house", "place")]
    return Found("card", card_of(things[0] if things else None, draft))


def card_of(thing: Thing | None, draft: Draft) -> dict[str, Any]:
    """Return the facts of a card: the thing, and what is followed on it."""
    mine = (thing.kind, thing.key) if thing is not None else None  # a find on a part of a lot is one of the lot
    held = (one for one in draft.view.standing.cases.values() if one.open)
    cases = [one for one in held if mine in {(ref.kind, ref.key) for ref in one.refs}]
    return {"thing": thing, "cases": tuple(cases)}


def _source(entry: Entry, draft: Draft) -> Found:
    named = [draft.view.standing.lot_of(one) for one in entry.which.lots] if entry.which else []
    lots = [one for one in named if one is not None and one.came_on is not None] or [
        one for one in things_asked(entry, draft) if one.came_on is not None or one.came_from or one.parents
    ]
    if not lots and entry.which and entry.which.words:
        lots = [
            one
            for one in draft.view.standing.things.values()
            if one.came_from and one.came_from.lower() in entry.which.words.lower()
        ]
    return Found("source", {"things": tuple(lots[:5])})


def _losses(entry: Entry, draft: Draft) -> Found:
    """What died, and why; by cause, lot, seller, genus or place where the words say so."""
    standing, today = draft.view.standing, draft.view.today
    first, last = entry.since or record_begins(standing) or today, entry.until or today
    if entry.which is None and is_grouped(draft.view.text):
        return Found("losses_by", grouped_losses(draft.view.text, standing, first, last))
    asked = None
    if entry.which is not None:
        ever = ever_of(entry.which, standing) if not entry.which.places else ()
        asked = {(one.kind, one.key) for one in (*draft.which(entry.which).refs, *ever)}
    things = [
        one
        for one in standing.things.values()
        if asked is None or (one.kind, one.key) in asked or ("lot", one.lot) in asked or ("place", one.place) in asked
    ]
    come = sum(one.tally.get("come", 0) for one in things)
    facts = losses(things, first, last) | {"come": come, "asked": asked is not None, "since": entry.since}
    return Found("losses", facts)


def _germination(entry: Entry, draft: Draft) -> Found:
    found = record.sowings_meant(entry, things_asked(entry, draft), draft.view.standing)
    return Found("germination", {"sowings": tuple(found)})


def _rooted(entry: Entry, draft: Draft) -> Found:
    batches = [one for one in things_asked(entry, draft) if one.kind == "batch"] or [
        one for one in draft.view.standing.things.values() if one.kind == "batch"
    ]
    return Found("rooted", {"batches": tuple(batches[-3:])})


def _flowering(entry: Entry, draft: Draft) -> Found:
    now = draft.view.today
    since = now - timedelta(days=FLOWERS_LAST_DAYS) if entry.since in (None, now) else entry.since or now  # "blooming today"
    until = entry.until or now
    if entry.since not in (None, now) and entry.until is None and re.search(r"\bago\b", draft.view.text):
        since, until = since - AROUND_A_DAY, min(since + AROUND_A_DAY, now)
    seen = [
        (one, date.fromisoformat(one.last["present:flowering"]))
        for one in draft.view.standing.things.values()
        if "present:flowering" in one.last
    ]
    return Found("flowering", {"dated": tuple((one, day) for one, day in seen if since <= day <= until), "since": since})


def _may_water(entry: Entry, draft: Draft) -> Found:
    things = tuple(one for one in things_asked(entry, draft) if one.kind != "house")
    return Found("may_water", {"things": things, "refs": refs_asked(entry, draft), "act": entry.act or "watered"})


def _lineage(entry: Entry, draft: Draft) -> Found:
    things = [one for one in things_asked(entry, draft) if one.kind not in ("house", "place")]
    mine = f"{things[0].kind}:{things[0].key}" if things else ""
    children = [one for one in draft.view.standing.things.values() if mine in one.parents]
    return Found("lineage", {"thing": things[0] if things else None, "children": tuple(children)})


def _swap_list(entry: Entry, draft: Draft) -> Found:
    offered = [one for one in draft.view.standing.plants() if "offered" in one.tally]
    return Found("swap_list", {"things": tuple(offered)})


def due_lines(dues: Iterable[Due], today: date) -> list[Group]:
    """Return the lines of the morning message."""
    return grouped(dues, today)


_ABOUT: dict[str, Callable[[Entry, Draft], Found]] = {
    "due": _due,
    "last_done": _last_done,
    "done_since": _done_since,
    "not_since": _not_since,
    "journal": _journal,
    "sprayed": _sprayed,
    "list": _list,
    "count": _count,
    "where": _where,
    "card": _card,
    "source": _source,
    "losses": _losses,
    "germination": _germination,
    "rooted": _rooted,
    "flowering": _flowering,
    "climate": care.climate,
    "wet_in_frost": care.wet_in_frost,
    "may_water": _may_water,
    "dose": care.dose,
    "rest_check": care.rest_check,
    "outcome": care.outcome,
    "dry_time": care.dry_time,
    "lineage": _lineage,
    "swap_list": _swap_list,
    "wishes": lambda entry, draft: Found("wishes", wishes(entry, draft.view)),
}
