"""A shared list as who has its link sees it: in a chat, or on the page; how things stand at that moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.app import projecting
from bot.app.calendar_talk import calendar_now
from bot.app.english import shared
from bot.app.readings_import import collection_meant
from bot.app.sharing_talk import PREFIX, photos_of
from bot.sharing.files import illustrations
from bot.sharing.listing import Row, Shown, rows, wished_for
from bot.sharing.page import as_csv, page
from bot.store import people, shares
from bot.store.database import Connection, Database
from bot.store.shares import Share

_START = "/start "
A_WHILE, MOST_IN_A_WHILE = timedelta(minutes=1), 20  # openings of one list by whoever has its link


@dataclass(frozen=True, slots=True)
class OpenedList:
    """What may be seen, and till when; nothing of it where the list is `ended`, or opened too often (`busy`)."""

    rows: tuple[Row, ...]
    until: date | None
    wishes: tuple[str, ...] = ()
    photos: tuple[tuple[str, str], ...] = ()  # name and file of each
    ended: bool = False
    busy: bool = False


def list_for(conn: Connection, text: str, now: datetime) -> str | None:
    """Return what to answer to a message that opens a link; None for another message, and for a secret that never was."""
    if not text.startswith(_START + PREFIX):
        return None
    found = opened_list(conn, text.removeprefix(_START + PREFIX).strip(), "chat", now)
    if found is None:
        return None
    if found.ended or found.busy:
        return shared.ENDED if found.ended else shared.BUSY
    return shared.partner_list(found.rows, found.until, found.wishes)


def opened_list(conn: Connection, secret: str, way: str, now: datetime) -> OpenedList | None:
    """Return the list of a link's secret, noted as opened; None for a secret that never was. Needs a writing connection."""
    share = shares.by_secret(conn, secret)
    if share is None or share.shown.get("calendar"):
        return None
    today = now.astimezone(ZoneInfo(people.settings_of(conn, share.collection_id).zone)).date()
    if not share.open_on(today):
        return OpenedList((), None, ended=True)
    if shares.opened_since(conn, share.id, now - A_WHILE) >= MOST_IN_A_WHILE:
        return OpenedList((), None, busy=True)
    shares.opened(conn, share, way, now)
    return list_of(conn, share)


def written(
    database: Database, number: int, folder: Path, now: datetime, collection: str, photos: Path | None = None
) -> list[Path]:
    """Write an open list as a page and a table into a folder; nothing where there is none. Raises ReadingsProblem, OSError."""
    with database.read() as conn:
        whose = collection_meant(people.all_collections(conn), collection)
        today = now.astimezone(ZoneInfo(whose.settings.zone)).date()
        share = next((one for one in shares.of_collection(conn, whose.id) if one.number == number), None)
        found = list_of(conn, share) if share and share.open_on(today) else None
    if found is None:
        return []
    folder.mkdir(parents=True, exist_ok=True)
    files = {
        "plants-to-swap.html": page(
            found.rows, found.until, form=False, wishes=found.wishes, photos=illustrations(found.photos, photos)
        ),
        "plants-to-swap.csv": as_csv(found.rows, found.wishes),
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return [folder / name for name in files]


def calendar_written(database: Database, file: Path, now: datetime, collection: str) -> None:
    """Write the calendar of a collection into a file. Raises ReadingsProblem where it is none, OSError."""
    with database.read() as conn:
        whose = collection_meant(people.all_collections(conn), collection)
        made = calendar_now(conn, whose.id, now)
    file.write_bytes(made)


def list_of(conn: Connection, share: Share) -> OpenedList:
    """Return what a share shows as its collection stands now."""
    standing, shown = projecting.load(conn, share.collection_id).standing, Shown.from_json(share.shown)
    photos = photos_of(conn, share.collection_id, standing, shown)
    return OpenedList(tuple(rows(standing, shown)), share.until, wished_for(standing), photos)
