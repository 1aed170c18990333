"""Words about lots: plants numbered out of them, how many they hold, what became of them.

"number them from 214", "the blue one from the barn lot is 214", "214 to 219 are from the barn lot", "3 of the lot are now 214 215
216", "the barn lot has 12 plants", "what became of the barn lot".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date

from bot.app.accessioning import new_number
from bot.app.english import lots as words
from bot.app.enquiries import card_of
from bot.app.lot_labels import LABELS, clear_run, labels_of, run_from
from bot.app.naming import taxon_name
from bot.app.plan import Draft
from bot.care.accessions import facts_of_more, remembered
from bot.care.events import Ref
from bot.care.fold_lots import COUNTED, SPLIT, SPLIT_FROM
from bot.care.genera import genus_row
from bot.care.ledger import ledger_of
from bot.care.standing import Standing, Thing
from bot.messages import Button

SOURCES = ("lot", "batch", "sowing")
_LOT = (
    r"(?P<lot>(?:(?:the|my|that) )?(?:[\w.'&-]+ ){0,3}(?:lot|box|parcel|haul)(?: \d+)?|lot \d+|"
    r"(?:the )?(?:offsets|cuttings|grafts|seedlings) of [\w-]+|S\d+)"
)
_WHAT = rf"(?P<what>them|those|these|it|{_LOT})"
_THEM = r"them|those|these|it"
_SAME = r"(?P<same>,? (?:that is |it is |that'?s |and )?the same(?: plants?)?)?"
_NUMBER = re.compile(
    rf"(?:number|give numbers to) (?:(?P<count>\d+|all|the rest) of )?(?:all of )?{_WHAT}"
    r"(?: (?:from|starting (?:at|with|from)|beginning (?:at|with)) (?:no\.? ?|#)?(?P<first>[\w-]*\d[\w-]*?)"
    r"(?: on(?:wards?)?)?)?[.! ]*",
    re.IGNORECASE,
)
_ONE_IS = re.compile(
    rf"(?:the )?(?P<words>(?!(?:the )?rest\b)[a-z][\w ,'-]*?|one)(?: one)? (?:from|of|out of|in) {_LOT}"
    rf" (?:is|gets|became)(?: now)?(?: called)? (?:no\.? ?|number |#)?(?P<labels>{LABELS}){_SAME}[.! ]*",
    re.IGNORECASE,
)
_ARE_FROM = re.compile(
    rf"(?:nos?\.? ?|numbers? |#)?(?P<labels>{LABELS}) (?:is|are|was|were|came|come|comes)(?: all| both)?(?: out)?"
    rf" (?:from|of|out of) {_WHAT}{_SAME}[.! ]*",
    re.IGNORECASE,
)
_OF_ARE = re.compile(
    rf"(?:(?P<count>\d+|one|two|three|four|five|six|seven|eight|nine|ten|all|the rest|rest) of )?{_WHAT} (?:is|are)(?: now)?"
    rf"(?: called| numbers?| nos?\.?)? (?P<labels>{LABELS}){_SAME}[.! ]*",
    re.IGNORECASE,
)
_HOLDS = re.compile(
    rf"{_LOT} (?:has|holds|is|counts|had|contains)(?: now| only| still)? (?P<count>-?\d+)"
    r"(?: plants?| pots?| in all| left)?[.! ]*",
    re.IGNORECASE,
)
_LEDGER = re.compile(
    r"(?:how many (?:plants )?(?:of|from|in) (?P<a>.+?) (?:are|is)? ?(?:left|still alive|alive|still here|there)|"
    r"how many (?:plants )?(?:are|is) (?:left|still alive|alive) (?:of|from|in) (?P<b>.+?)|"
    r"(?:what|whatever) (?:became|has become|happened) (?:of|to|with) (?P<c>.+?)|"
    r"(?:what(?:'s|s| is) left|what remains) (?:of|from) (?P<d>.+?)|(?:ledger|sums|accounts?) (?:of|for) (?P<e>.+?))[?.! ]*",
    re.IGNORECASE,
)
_CARD = re.compile(rf"(?:what(?:'s|s| is| are)|card(?: of| for)?|show(?: me)?|tell me about|about) {_LOT}[?.! ]*", re.IGNORECASE)
_FOUND = re.compile(
    rf"(?:found|there (?:is|are|were)|came across|turned up) (?P<count>\d+|one|two|three|four|five)(?P<more> more| others?)?"
    rf" (?:of|from|in) {_LOT}(?: again| after all)?[.! ]*",
    re.IGNORECASE,
)
_SMALL = {w: n for n, w in enumerate("one two three four five six seven eight nine ten".split(), 1)}


def lot_command(text: str, draft: Draft) -> bool:
    """Carry out words about lots; False where the text is a note for the reader."""
    said = " ".join(text.split())
    return any(rule(said, draft) for rule in (_number, _one_is, _are_from, _of_are, _holds, _found, _card, _asked))


# --- which lot ---------------------------------------------------------------------------------------------------------


def living_lots(standing: Standing) -> list[Thing]:
    """Return the lots of which some are alive without a number, the newest first."""
    held = [one for one in standing.plants() if one.kind == "lot"]
    return sorted(held, key=lambda one: (one.came_on or one.first_on or date.min, one.sequence), reverse=True)


def _source(said: str, draft: Draft) -> Thing | None:
    """Return the lot, batch or sowing that words name; None after telling what there is."""
    standing, low = draft.view.standing, re.sub(r"^(?:the|my|that) ", "", said.strip().lower())
    if re.fullmatch(_THEM, low) or low in ("lot", "box", "parcel", "haul"):
        return _spoken_of(draft)
    if re.fullmatch(r"s\d+", low):
        found = standing.things.get(("sowing", low.upper()))
    elif match := re.fullmatch(r"(offsets|cuttings|grafts|seedlings) of ([\w-]+)", low):
        of_it = [one for one in standing.plants() if one.kind == "batch" and one.parent == f"plant:{match[2]}"]
        found = of_it[-1] if of_it else None
    else:
        found = lot_called(low, standing)
    if found is None:
        draft.tell(words.unknown(low, living_lots(standing)))
    return found


def lot_called(said: str, standing: Standing) -> Thing | None:
    """Return the lot of that name, with or without "lot" behind it."""
    low = re.sub(r"^(?:the|my|that) ", "", said.strip().lower())
    bare = re.sub(r" ?\b(?:lot|box|parcel|haul)\b", "", low).strip()
    return next(
        (one for name in dict.fromkeys((low, f"the {low}", bare, f"{bare} lot")) if name and (one := standing.lot_of(name))), None
    )


def _spoken_of(draft: Draft) -> Thing | None:
    view = draft.view
    refs = view.talk.refs if view.talk.open_at(view.now) else ()
    spoken = [one for ref in refs if ref.kind in SOURCES and (one := view.standing.things.get((ref.kind, ref.key))) is not None]
    if len(spoken) == 1:
        return spoken[0]
    lots = living_lots(view.standing)
    if len(lots) == 1:
        return lots[0]
    some = any(kind == "lot" for kind, _ in view.standing.things)
    draft.tell(words.which_lot(lots) if lots else words.ALL_NUMBERED if some else words.NO_LOTS)
    return None


# --- splitting off -----------------------------------------------------------------------------------------------------


def _number(text: str, draft: Draft) -> bool:
    """Take "number them" and "number 3 of the barn lot from 214"."""
    match = _NUMBER.fullmatch(text)
    if match is None:
        return False
    source = _source(match["what"], draft)
    if source is None:
        return True
    count = (
        int(match["count"]) if (match["count"] or "").isdigit() else _spoken_part(match["what"], source, draft) or source.count
    )
    if count is None:
        draft.tell(words.how_many(source))
    elif source.count == 0 or count == 0:
        draft.tell(words.all_numbered(source, draft.view.standing))
    else:
        _run(source, match["first"], count, draft)
    return True


def _spoken_part(said: str, source: Thing, draft: Draft) -> int | None:
    """Return how many "them" are, where a part of a lot was spoken of just before: "washed 4 of the lot", "number them"."""
    view = draft.view
    refs = view.talk.refs if view.talk.open_at(view.now) and re.fullmatch(_THEM, said.lower()) else ()
    part = next((one.count for one in refs if (one.kind, one.key) == (source.kind, source.key)), None)
    return part if part is not None and part > 1 else None  # one is "it", not "them"


def _run(source: Thing, first: str | None, count: int, draft: Draft) -> None:
    standing = draft.view.standing
    labels = run_from(first, count) if first else clear_run(standing, count)
    if source.count is not None and count > source.count:
        draft.tell(words.too_many(source, labels, standing))
        return
    known = here(labels, standing)
    if known:
        clear = clear_run(standing, count, first or "")[0]
        buttons = ((Button(words.number_from(source, clear), words.number_from(source, clear)),),)
        draft.tell(words.run_taken(known[0].key, clear, source), buttons=buttons)
        return
    write_split(draft, source, labels)


def _one_is(text: str, draft: Draft) -> bool:
    """Take "the blue one from the barn lot is 214"."""
    match = _ONE_IS.fullmatch(text)
    if match is None or (match["words"].split()[0].lower() in _SMALL and match["words"].lower() != "one"):
        return False
    labels, source = labels_of(match["labels"]), None
    if len(labels) != 1:
        return False
    source = _source(match["lot"], draft)
    if source is not None:
        said = match["words"].strip().lower()
        _named_numbers(draft, source, labels, same=bool(match["same"]), said="" if said in ("one", "that", "this") else said)
    return True


def _are_from(text: str, draft: Draft) -> bool:
    """Take "214 to 219 are from the barn lot"."""
    match = _ARE_FROM.fullmatch(text)
    labels = labels_of(match["labels"]) if match is not None else ()
    if match is None or not labels:
        return False
    source = _source(match["what"], draft)
    if source is not None:
        _named_numbers(draft, source, labels, same=bool(match["same"]))
    return True


def _of_are(text: str, draft: Draft) -> bool:
    """Take "3 of the lot are now 214 215 216"."""
    match = _OF_ARE.fullmatch(text)
    labels = labels_of(match["labels"]) if match is not None else ()
    if match is None or not labels or (match["count"] is None and " now " not in text and len(labels) < 2):
        return False
    source = _source(match["what"], draft)
    if source is None:
        return True
    said = (match["count"] or "all").lower()
    count = int(said) if said.isdigit() else _SMALL.get(said, source.count)
    if count is not None and count != len(labels):
        draft.tell(words.unequal(count, labels))
    else:
        _named_numbers(draft, source, labels, same=bool(match["same"]))
    return True


def here(labels: Iterable[str], standing: Standing) -> list[Thing]:
    """Return the plants that have these labels, whatever their case."""
    wanted = {standing.merged.get(one, one).casefold() for one in labels}
    return [one for (kind, key), one in standing.things.items() if kind == "plant" and key.casefold() in wanted]


def _named_numbers(draft: Draft, source: Thing, labels: Sequence[str], *, same: bool, said: str = "") -> None:
    """Write a split to labels that the grower named, or say what speaks against it."""
    standing = draft.view.standing
    known = here(labels, standing)
    other = next((one for one in known if one.tally.get(SPLIT_FROM)), None)
    if other is not None:
        draft.tell(words.own_source(other, source))
    elif source.count is not None and len(labels) > source.count:
        draft.tell(words.too_many(source, labels, standing))
    elif known and not same:
        answer = words.same(labels, source)
        draft.tell(words.taken(known, source, standing), buttons=((Button(answer, answer),),))
    else:
        write_split(
            draft,
            source,
            [next((one.key for one in known if one.key.casefold() == label.casefold()), label) for label in labels],
            said,
        )


def write_split(draft: Draft, source: Thing, labels: Sequence[str], said: str = "") -> None:
    """Write that plants of a lot have numbers from now on; each gets the next letter of the lot's accession."""
    view = draft.view
    refs = tuple(Ref("plant", one) for one in labels)
    number = source.accession if source.kind == "lot" else ""
    given = remembered(view.standing.accessions, draft.events)
    facts = facts_of_more(given, number) if number else new_number(draft, view.today.year, refs)
    facts |= {"from": f"{source.kind}:{source.key}"} | ({"words": said} if said else {})
    draft.say("known", draft.event("known", SPLIT, refs, view.today, facts), fresh=True)
    genus = next((one for one in said.split() if genus_row(one.rstrip("s")) or genus_row(one)), "")
    if genus and genus_row(source.genus) is None:
        name = taxon_name(genus if genus_row(genus) else genus.rstrip("s"), view.settings.language)
        draft.say("event", draft.event("event", "named", refs, view.today, {"name": name}))
    draft.current = refs


# --- counts ------------------------------------------------------------------------------------------------------------


def _holds(text: str, draft: Draft) -> bool:
    """Take "the barn lot has 12 plants": of a lot that is new, or counted anew."""
    match = _HOLDS.fullmatch(text)
    if match is None or re.fullmatch(r"(?:the |my |that )?(?:lot|S\d+|box|parcel|haul)", match["lot"], re.IGNORECASE):
        return False
    standing, count = draft.view.standing, int(match["count"])
    if count < 0:
        draft.tell(words.BELOW_NOTHING)
        return True
    found = lot_called(match["lot"], standing)
    key = found.key if found is not None else _key(match["lot"])
    held = found.count if found is not None else None
    facts = {"fewer": True} if held is not None and count < held else {}
    event = draft.event("known", COUNTED, (Ref("lot", key, count),), draft.view.today, facts)
    draft.say("known", event, fresh=True)
    draft.current = (Ref("lot", key),)
    return True


def _found(text: str, draft: Draft) -> bool:
    """Take "found 2 of the barn lot" (they were missing) and "found 2 more of it" (nobody knew of them)."""
    match = _FOUND.fullmatch(text)
    if match is None:
        return False
    source = _source(match["lot"], draft)
    if source is not None:
        count = _SMALL.get(match["count"].lower()) or int(match["count"])
        facts = {"more": True} if match["more"] else {}
        event = draft.event("event", "found_alive", (Ref(source.kind, source.key, count),), draft.view.today, facts)
        draft.say("event", event)
        draft.current = (source.ref,)
    return True


def _card(text: str, draft: Draft) -> bool:
    """Show the card of a lot, with its sums below."""
    match = _CARD.fullmatch(text)
    lot = lot_called(match["lot"], draft.view.standing) if match is not None else None
    if lot is None:
        return False
    draft.say("answer", about="card", **card_of(lot, draft))
    draft.tell(*words.ledger(lot, ledger_of(draft.view.standing, lot)))
    draft.current, draft.opened = (lot.ref,), True
    return True


def _key(said: str) -> str:
    """Return what a new lot is called: its words without "the" in front and "lot" behind."""
    return re.sub(r" (?:lot|box|parcel|haul)$", "", re.sub(r"^(?:the|my|that) ", "", said.strip().lower()))


def _asked(text: str, draft: Draft) -> bool:
    """Answer "what became of the barn lot" with its sums."""
    match = _LEDGER.fullmatch(text)
    what = next((one for one in match.groups() if one), "") if match is not None else ""
    low = what.lower()
    lot = (
        _spoken_of(draft)
        if low in ("the lot", "that lot", "this lot")
        else lot_called(low, draft.view.standing)
        if what
        else None
    )
    if lot is None or lot.kind != "lot":
        return bool(draft.said)
    draft.tell(*words.ledger(lot, ledger_of(draft.view.standing, lot)))
    draft.current = (lot.ref,)
    return True


__all__ = ["here", "living_lots", "lot_called", "lot_command", "write_split"]
