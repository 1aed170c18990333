"""What speaks against a note about a lot or a label: no such lot, more than it holds, a label twice."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.app.english import lots as words
from bot.app.lot_words import here, living_lots, lot_called
from bot.app.plan import Draft
from bot.app.which import resolve, total
from bot.care.standing import ALIVE, Thing
from bot.messages import Button
from bot.notes.reading import Entry, Selection

CAME_BACK = ("given", "missing")  # what left so may come in again under its number


def lot_objection(draft: Draft, entry: Entry) -> bool:
    """Whether a note is about a lot that nobody knows, or about more than it holds: it is said, and nothing is written."""
    which = entry.which
    if which is None or entry.act == "acquired":
        return False
    named = _lot_in_words(draft, which) or next((one for one in which.lots if not _known(draft, one)), "")
    if named:
        _no_such_lot(draft, named)
        return True
    lot = lot_called(which.lots[0], draft.view.standing) if len(which.lots) == 1 and which.count is not None else None
    if lot is None or lot.count is None:
        return False
    view = draft.view
    whole = resolve(replace(which, count=None), view.standing, view.talk, view.now)
    held = total(whole.refs, view.standing)
    if held is None or (which.count or 0) <= held:
        return False
    draft.tell(words.holds_fewer(lot, held, which.count or 0))
    return True


def _known(draft: Draft, lot: str) -> bool:
    came = (ref.key.lower() for one in draft.events for ref in one.refs if ref.kind == "lot")
    return draft.view.standing.lot_of(lot) is not None or lot.lower() in came


def _lot_in_words(draft: Draft, which: Selection) -> str:
    """Return the lot that "watered the attic lot" names, where the reader took its first word for a place."""
    for place in which.places:
        if re.search(rf"\bthe {re.escape(place)} lot\b", draft.view.text, re.IGNORECASE) and not _known(draft, place):
            return place
    return ""


def _no_such_lot(draft: Draft, named: str) -> None:
    lots = living_lots(draft.view.standing)
    said = rf"\b{re.escape(named)}(?:'s|s')?(?= (?:lot|box|parcel)\b)"
    buttons = [
        Button(words.short(one), re.sub(said, one.key, draft.view.text, flags=re.IGNORECASE))
        for one in lots[:2]
        if re.search(said, draft.view.text, re.IGNORECASE)
    ]
    draft.tell(words.unknown(named, lots), buttons=(tuple(buttons),) if buttons else ())


def numbered(which: Selection, text: str) -> Selection:
    """Return "bought no 12" as the plant of that number: "no" before a number is no count."""
    count = which.count
    if count is None or which.labels or not re.search(rf"\b(?:no|nr|num)\.? ?{count}\b", text, re.IGNORECASE):
        return which
    return replace(which, count=None, labels=(str(count),))


def label_taken(draft: Draft, which: Selection) -> bool:
    """Whether a plant is to come in under a label that is on another: it is said, and nothing is written."""
    held = [one for one in here(which.labels, draft.view.standing) if _stands(one) or _is_another(one, which)]
    again = [ref.key for one in draft.events if one.what == "acquired" for ref in one.refs if ref.key in which.labels]
    if held or again:
        draft.tell(words.label_twice(held, again))
    return bool(held or again)


def _is_another(thing: Thing, which: Selection) -> bool:
    """Whether what stands under a label is of another genus than what comes in: then it is not the same plant."""
    genera = {one.partition(" ")[0].lower() for one in which.taxa}
    return bool(thing.alive and thing.genus and genera and thing.genus not in genera)


def _stands(thing: Thing) -> bool:
    """Whether a number is in use: by a plant that came, or one that died. What is only spoken of may still come."""
    came = thing.came_on is not None
    return came if thing.status == ALIVE else thing.status not in CAME_BACK


__all__ = ["label_taken", "lot_objection", "numbered"]
