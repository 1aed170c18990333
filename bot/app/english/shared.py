"""What is said of lists that others may see: to their owner, and to who opens one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from bot.app.english import phrases
from bot.sharing.listing import Row, Shown
from bot.store.shares import Share

ENDED = "This list is no longer shared."
BUSY = "This link was opened very often just now. Try again in a minute."
NO_SUCH = 'There is no open list {number}. In the chat, "who opened my list" shows them.'
WRITTEN = "{files}. Send either on; it stays as it is now."
CALENDAR_NAME = "Plants"
CALENDAR_FILE = "{count} entries as of now. A file does not follow later notes; “calendar link” makes one that does."
CALENDAR_WRITTEN = "{file}: what is due as of now, for any calendar; it does not follow later notes."
CALENDAR_LINK = "Whoever has this link sees what is due, with plants and places; shown once. To end it: stop the calendar link"
NO_CALENDAR_LINK = "There is no public address here for a link. “send me a calendar” gives a file."
CALENDAR_STOPPED = "The calendar link is taken back: it shows nothing any more."
NO_CALENDAR = "There is no calendar link. “calendar link” makes one."
NO_PAGE = "There is nothing here."
LATER = "The list cannot be read just now. Try again later."
EMPTY = "Nothing is on this list at the moment."
MOST_ROWS = 150
MOST_WISHES = 50
NOTHING = "Nothing of that may be shown now. Plants in quarantine, settling in, on hold or with an open find stay off every list."
TOO_FINE = (
    "I can share everything, a genus, a place, a lot, numbers, the offsets, or what is offered. "
    "Such as: share the lobivias till sunday"
)
NO_SHARES = "You share nothing. Such as: share my list with a friend till sunday"
PAST = "That day has passed. Such as: share my list till sunday"
WITHOUT = "No prices, sources, places, lots, finds or plants in quarantine are on it."
WHICH = "Which one? Say its number: {numbers}"
REVOKED = "Taken back: {what}. Who opens the link is told that it is no longer shared."
EXTENDED = "{what}: open till {until}."
NARROWED = "{what}."


def made(share: Share, names: int, today: date, start: str, page: str) -> list[str]:
    """Return what the owner is told of a new list; the links stand in it this once."""
    lines = [f"{what(share, today)}: {phrases.count_of(names, 'line')}. {WITHOUT}"]
    lines += [f"Link, shown once: {start}"] if start else []
    lines += [f"Page, shown once: {page}"] if page else []
    if not start and not page:
        lines.append("Nobody can open a link here: send one of the files on.")
    lines.append(f"To end it: stop sharing {share.number}")
    return lines


def photos(count: int) -> str:
    """Return how many photos are on a list, and what to mind."""
    if not count:
        return "No photo of these is kept yet; what comes will show."
    return f"{phrases.cap(phrases.count_of(count, 'photo'))}, the newest of each name, small. Mind what can be read on them."


def sent(name: str, lines: int) -> str:
    """Return what goes with the files of a list."""
    return f"{name or 'Everything that may be shown'}: {phrases.count_of(lines, 'line')}. {WITHOUT}"


def what(share: Share, today: date) -> str:
    """Return a share as it is called: "List 2 for Anna, the lobivias, till 7 Jun"."""
    if share.shown.get("calendar"):
        return f"Calendar link {share.number}"
    whom = f" for {share.partner}" if share.partner else ""
    of = shown(Shown.from_json(share.shown))
    until = f", till {phrases.short_day(share.until, today)}" if share.until else ""
    return f"List {share.number}{whom}{f', {of}' if of else ''}{until}"


def shown(given: Shown) -> str:
    """Return what a list is of; empty where it is of everything."""
    parts = [phrases.plural(one) for one in given.genera]
    parts += [*given.labels, *(f"the {one} lot" for one in given.lots), *given.places]
    parts += ["the offsets"] if given.offsets else []
    parts += ["what is offered"] if given.offered else []
    what = phrases.joined(parts) if parts else ""
    return " ".join([what, "with photos"] if what else ["with photos"]) if given.photos else what


def listed(shares: Sequence[Share], today: date, zone: str) -> list[str]:
    """Return the owner's shares, each with how often and when it was opened."""
    if not shares:
        return [NO_SHARES]
    return [f"{what(one, today)}: {_opened(one, zone)}{'' if one.open_on(today) else ', run out'}." for one in shares]


def _opened(share: Share, zone: str) -> str:
    if not share.opened or share.last_opened is None:
        return "not opened yet"
    last: datetime = share.last_opened.astimezone(ZoneInfo(zone))
    times = "once" if share.opened == 1 else f"{share.opened} times"
    return f"opened {times}, last {last.day} {last:%b %H:%M}"


def partner_list(rows: Sequence[Row], until: date | None, wishes: Sequence[str] = ()) -> str:
    """Return the list itself as a message."""
    wished = [f"Wished for: {phrases.joined(wishes[:MOST_WISHES])}."] if wishes else []
    if not rows:
        return "\n".join([EMPTY, *wished])
    head = f"Plants on this list: {sum(one.count for one in rows)}" + (
        f", open till {until.day} {until:%b %Y}." if until else "."
    )
    lines = [row(one) for one in rows[:MOST_ROWS]]
    more = [f"… and {len(rows) - MOST_ROWS} more."] if len(rows) > MOST_ROWS else []
    return "\n".join([head, *lines, *more, *wished])


def row(one: Row) -> str:
    """Return one line: "Rebutia minuscula: 3, 7 cm pots, 2 offered"."""
    parts = [str(one.count)]
    parts += [f"{one.pot_cm:g} cm {'pot' if one.count == 1 else 'pots'}"] if one.pot_cm else []
    parts += [one.rooted] if one.rooted else []
    parts += [f"{one.offered} offered"] if one.offered else []
    return f"{one.name}: {', '.join(parts)}"
