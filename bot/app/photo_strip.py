"""The photos of plants by date: "photos of 12", "show me 12 over the years"."""

from __future__ import annotations

import re

from bot.app.english import phrases, record
from bot.app.plan import Draft, Plan, View
from bot.app.ruling import named
from bot.care.reach import overlaps
from bot.messages import Attached
from bot.store import photos
from bot.store.database import Connection

MOST = 8  # newest last; more are a wall on a phone
_ASKED = re.compile(
    r"(?:show(?: me)? |send(?: me)? )?(?:the |all |every |each |any |my |an? |some |latest |newest )*(?:photos?|pictures?|pics?)"
    r" of (?:the )?"
    r"(?P<what>.+?)(?: by (?:date|day|year)| in order| so far)?[?.! ]*"
    r"|show(?: me)? (?:the )?(?P<years>.+?) (?:over|through) (?:the years|time)[?.! ]*",
    re.IGNORECASE,
)


def photos_asked(conn: Connection, view: View, collection_id: int, role: str | None, inbox_id: int) -> Plan | None:
    """Return the plan of words that ask for photos of plants; None where they ask for something else."""
    match = _ASKED.fullmatch(" ".join(view.text.split()))
    if match is None or role not in ("owner", "helper") or photos.of_message(conn, inbox_id):
        return None  # a caption says what its own picture shows
    draft = Draft(view, "do", None)
    refs = named(match["what"] or match["years"], draft)
    if not refs:
        return None
    kept = [one for one in photos.of_collection(conn, collection_id) if one.state == "kept"]
    shown = [
        one for one in kept if any(overlaps(view.standing, view.standing.same(mine), ref) for mine in one.refs for ref in refs)
    ]
    what = phrases.things(refs, view.standing)
    if not shown:
        draft.tell(record.NO_PHOTOS.format(what=what))
        return draft.done()
    shown.sort(key=lambda one: (one.taken_on, one.id))
    last = shown[-MOST:]
    draft.files += [Attached(f"{one.taken_on}.jpg", "image/jpeg", {"kind": "photo", "file_key": one.file_key}) for one in last]
    days = [f"{one.taken_on.day} {one.taken_on:%b %Y}" for one in last]
    draft.tell(record.strip(what, days, len(shown) - len(last)))
    return draft.done()
