"""The calendar of what is due: as a file in the chat, as a link that a calendar asks now and then, and taken back."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.app import projecting, wording
from bot.app.climates import setting_of
from bot.app.english import shared
from bot.app.groups import Group, grouped
from bot.app.plan import Draft, Plan, View
from bot.app.sharing_talk import CALENDAR, PAGE
from bot.sharing.calendar import Entry, feed, recipe_of
from bot.sharing.files import attached
from bot.store import marks, people, shares
from bot.store.database import Connection
from bot.store.shares import Share

AHEAD = timedelta(days=366)
A_WHILE, MOST_IN_A_WHILE = timedelta(minutes=1), 20  # fetches of one link by whoever has it
BEGINNING = "/calendar/"
_SEND = re.compile(
    r"(?:send|give|make|show|export|download)?(?: me)? ?(?:the |a |my )?(?:care )?calendar"
    r"(?: file| as (?:an? )?(?:file|ics))?[.! ]*",
    re.IGNORECASE,
)
_LINK = re.compile(
    r"(?:send|give|make|share|get)?(?: me)? ?(?:the |a |my )?calendar (?:link|feed|address|url|subscription)[.! ]*"
    r"|(?:link|subscribe)(?: to)? (?:the |a |my )?calendar[.! ]*",
    re.IGNORECASE,
)
_STOP = re.compile(r"(?:stop|revoke|end|cancel|take back|delete) (?:the |my )?calendar(?: link| feed)?s?[.! ]*", re.IGNORECASE)


def calendar_asked(conn: Connection, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words about the calendar; None where the words are about something else."""
    text = " ".join(view.text.split())
    act = next((act for pattern, act in _RULES if pattern.fullmatch(text)), None)
    if act is None or role is None:
        return None
    draft = Draft(view, "do", None)
    if role != "owner":
        draft.say("owners_only")
    else:
        draft.tell(*act(conn, draft, collection_id))
    return draft.done()


def _file(conn: Connection, draft: Draft, collection_id: int) -> tuple[str, ...]:
    entries = entries_of(draft.view, people.public_id_of(conn, collection_id))
    revision = projecting.load(conn, collection_id).sequence
    draft.files.append(attached("potside.ics", CALENDAR, **recipe_of(entries, shared.CALENDAR_NAME, draft.view.now, revision)))
    return (shared.CALENDAR_FILE.format(count=len(entries)),)


def _link(conn: Connection, draft: Draft, collection_id: int) -> tuple[str, ...]:
    pages = marks.names_marked(conn, PAGE)
    if not pages:
        return (shared.NO_CALENDAR_LINK,)
    _, secret = shares.make(conn, collection_id, "", {CALENDAR: True}, None, draft.view.now)
    root = pages[0].removeprefix(PAGE).removesuffix("/list/")
    return (shared.CALENDAR_LINK, f"{root}{BEGINNING}{secret}.ics")


def _stop(conn: Connection, draft: Draft, collection_id: int) -> tuple[str, ...]:
    mine = [one for one in shares.of_collection(conn, collection_id) if is_calendar(one)]
    for one in mine:
        shares.end(conn, one.id, draft.view.now)
    return (shared.CALENDAR_STOPPED if mine else shared.NO_CALENDAR,)


_RULES = ((_SEND, _file), (_LINK, _link), (_STOP, _stop))


def is_calendar(share: Share) -> bool:
    """Whether a share is of the calendar and not of plants."""
    return bool(share.shown.get(CALENDAR))


def entries_of(view: View, collection: str) -> list[Entry]:
    """Return what is due within a year, a line of the list an entry, on its own first day even where that has passed.

    `collection` is its public id: plants of two collections have the same numbers, and one calendar may hold both.
    """
    groups = [one for one in grouped(view.due, view.today) if one.on <= view.today + AHEAD]
    return [_entry(one, view, collection) for one in groups]


def _entry(group: Group, view: View, collection: str) -> Entry:
    until = max((one.until or one.on for one in group.dues), default=group.on)
    first = min(group.dues, key=lambda one: one.key)
    return Entry(f"{collection}|{first.key}", group.on, until, *wording.calendar_words(group, view))


class BusyError(Exception):
    """A link was fetched too often within a minute; nothing is made for it until that has passed."""


def calendar_of(conn: Connection, secret: str, now: datetime) -> tuple[bytes, bool] | None:
    """Return the calendar of a link's secret as it stands now, and whether it was taken back; None for what never was one.

    Raises BusyError for a link that is fetched more than 20 times a minute.
    """
    share = shares.by_secret(conn, secret)
    if share is None or not is_calendar(share):
        return None
    if share.ended_at is not None:
        return b"", True
    if shares.opened_since(conn, share.id, now - A_WHILE) >= MOST_IN_A_WHILE:
        raise BusyError
    shares.opened(conn, share, "calendar", now)
    return calendar_now(conn, share.collection_id, now), False


def calendar_now(conn: Connection, collection_id: int, now: datetime) -> bytes:
    """Return the calendar of a collection as it stands now."""
    settings = people.settings_of(conn, collection_id)
    here = now.astimezone(ZoneInfo(settings.zone))
    held = projecting.load(conn, collection_id)
    setting = setting_of(held.standing, settings, here.date())
    view = View(now=here, standing=held.standing, setting=setting, settings=settings, due=held.dues())
    return feed(entries_of(view, people.public_id_of(conn, collection_id)), shared.CALENDAR_NAME, here, held.sequence)
