"""What was noted as dead or gone and is not: "15 did not die", "i still have 15", "still have 15", "15 came back to life"."""

from __future__ import annotations

import re
from typing import Any

from bot.app.english import record
from bot.app.nearest import near
from bot.app.older import BEGINNING, events_of
from bot.app.plan import Draft, Plan, View
from bot.app.ruling import named
from bot.care.events import CareEvent, refs_to_json
from bot.care.fold_acts import LEAVES
from bot.care.standing import Thing
from bot.store.database import Connection

_WHAT = r"(?:the |my |plant |no\.? ?|#)*(?P<what>[\w.,' -]{1,60}?)"
_END = r"(?: (?:after all|really|though))?[.! ]*"
_MISTAKEN = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"{_WHAT} (?:(?:did|has|have) ?n[o']?t|never) (?:die|died|go|left|gone){_END}",
        (
            rf"{_WHAT} (?:was|were|is|are)(?: not|n'?t) "
            rf"(?:given(?: away)?|gone|sold|swapped|binned|thrown \w+|discarded|lost|missing){_END}"
        ),
        rf"(?:(?:i|we) )?(?:still have|never gave away|never sold|have(?: not|n'?t) given away) {_WHAT}{_END}",
        rf"{_WHAT} (?:is|are) still (?:here|mine|with me){_END}",
        rf"revive {_WHAT}{_END}",
    )
)
_CAME_BACK = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"{_WHAT} (?:is|are)(?: not|n'?t) dead{_END}",
        rf"{_WHAT} (?:is|are) (?:still )?alive{_END}",
        rf"{_WHAT} (?:lives|live|came back(?: to life)?|has come back(?: to life)?|recovered|revived|pulled through){_END}",
        rf"bring {_WHAT} back(?: to life)?{_END}",
    )
)


def revival_asked(conn: Connection, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words by which a plant is here after all; None where they are about something else."""
    if role not in ("owner", "helper"):
        return None
    text = " ".join(view.text.split())
    for patterns, mistaken in ((_MISTAKEN, True), (_CAME_BACK, False)):
        match = next((found for one in patterns if (found := one.fullmatch(text)) is not None), None)
        if match is None:
            continue
        draft = Draft(view, "do", None)
        if _back(conn, collection_id, draft, match["what"], mistaken=mistaken):
            return draft.done()
    return None


def _back(conn: Connection, collection_id: int, draft: Draft, what: str, *, mistaken: bool) -> bool:
    """Bring back what is named, or say what speaks against it; False where the words name no plant."""
    standing = draft.view.standing
    refs = tuple(one for one in named(what, draft) if one.kind == "plant" or (one.kind in ("lot", "batch", "sowing")))
    things = [thing for one in refs if (thing := standing.things.get((one.kind, one.key))) is not None]
    if not things or len(things) < len(refs):
        if not re.fullmatch(r"[\w.-]*\d[\w.-]*", what):
            return False
        draft.tell(record.no_parent(what, near(what, standing)))
        return True
    gone = [one for one in things if not one.alive]
    if not gone:
        draft.tell(record.here_already(things, standing))
        return True
    for one in gone:
        left = _left(conn, collection_id, one, draft) if mistaken else None
        if left is None:
            draft.say("event", draft.event("event", "found_alive", (one.ref,), draft.view.today))
        else:
            _take_back(draft, left, one)
    draft.current = tuple(one.ref for one in gone)
    return True


def _left(conn: Connection, collection_id: int, thing: Thing, draft: Draft) -> CareEvent | None:
    """Return the entry by which a thing left last."""
    about = events_of(conn, collection_id, (thing.ref,), BEGINNING, draft.view.today)
    return next((one for one in reversed(about) if one.kind == "event" and one.what in LEAVES), None)


def _take_back(draft: Draft, left: CareEvent, thing: Thing) -> None:
    """Take a thing out of the entry by which it left: an amendment and no withdrawal, so that undo can bring the entry back."""
    kept = tuple(one for one in left.refs if (one.kind, one.key) != (thing.kind, thing.key))
    patch: dict[str, Any] = {"refs": refs_to_json(kept)}
    if all(one.kind == "place" for one in kept):
        patch |= {"kind": "mistaken", "what": ""}
    draft.event("amended", "", (), draft.view.today, {"target": left.identity, "patch": patch})
    draft.tell(record.back(thing, left, draft.view))


__all__ = ["revival_asked"]
