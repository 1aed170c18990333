"""What others may fetch: the page of a shared list, and the calendar of what is due; behind the webhook's listener or its own."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

from bot.app.calendar_talk import BusyError, calendar_of
from bot.app.english import shared
from bot.app.opened_lists import OpenedList, opened_list
from bot.chat.telegram_webhook import Shown
from bot.sharing import calendar
from bot.sharing.files import illustrations
from bot.sharing.page import HEADERS, HEADERS_WITH_PHOTOS, notice, page
from bot.store.database import Database, DatabaseProblem

BEGINNING, CALENDAR = "/list/", "/calendar/"
LONGEST_SECRET = 64
_LOG = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Found:
    """A list that may be seen, and how it was asked for."""

    seen: OpenedList
    query: str
    sort: str


class ListPage:
    """Answers what is asked for below `/list/`; the secret in it never reaches a log line."""

    def __init__(self, database: Database, now: Callable[[], datetime], photos: Path | None = None) -> None:
        """Join the parts; `photos` is the folder of the photos that a list may show."""
        self._database, self._now, self._photos = database, now, photos

    def shown(self, target: bytes) -> Shown:
        """Return the page of a target; a list that is no more says so and nothing else, anything else is not found."""
        return self.drawn(self.found(target))

    def drawn(self, found: Shown | Found) -> Shown:
        """Return the page of what `found` gave; needs no database, and takes its time where there are photos."""
        if isinstance(found, Shown):
            return found
        seen = found.seen
        drawn = illustrations(seen.photos, self._photos)
        text = page(seen.rows, seen.until, found.query, found.sort, wishes=seen.wishes, photos=drawn)
        return Shown(HTTPStatus.OK, HEADERS_WITH_PHOTOS if drawn else HEADERS, text.encode())

    def found(self, target: bytes) -> Shown | Found:
        """Return what a target asks for: a list that is open, noted as opened, or the page that says why there is none."""
        split = urlsplit(target.decode("ascii", "replace"))
        if split.path.startswith(CALENDAR):
            return self._calendar(split.path.removeprefix(CALENDAR).removesuffix(".ics"))
        secret = split.path.removeprefix(BEGINNING) if split.path.startswith(BEGINNING) else ""
        if not secret or len(secret) > LONGEST_SECRET:
            return _page(HTTPStatus.NOT_FOUND, notice(shared.NO_PAGE))
        try:
            with self._database.write() as conn:
                found = opened_list(conn, secret, "page", self._now())
        except DatabaseProblem as problem:
            _LOG.error("A shared list cannot be read: %s", problem)
            return _page(HTTPStatus.SERVICE_UNAVAILABLE, notice(shared.LATER))
        if found is None:
            return _page(HTTPStatus.NOT_FOUND, notice(shared.NO_PAGE))
        if found.ended or found.busy:
            status = HTTPStatus.GONE if found.ended else HTTPStatus.TOO_MANY_REQUESTS
            return _page(status, notice(shared.ENDED if found.ended else shared.BUSY))
        query, sort = (_asked(split.query, name) for name in ("q", "sort"))
        return Found(found, query, sort)

    def _calendar(self, secret: str) -> Shown:
        """Return a calendar; one whose link was taken back is gone, anything else is not found."""
        plain = (("Content-Type", "text/plain; charset=utf-8"), *calendar.HEADERS[1:])
        if not secret or len(secret) > LONGEST_SECRET:
            return Shown(HTTPStatus.NOT_FOUND, plain, shared.NO_PAGE.encode())
        try:
            with self._database.write() as conn:
                found = calendar_of(conn, secret, self._now())
        except DatabaseProblem as problem:
            _LOG.error("A calendar cannot be read: %s", problem)
            return Shown(HTTPStatus.SERVICE_UNAVAILABLE, plain, shared.LATER.encode())
        except BusyError:
            return Shown(HTTPStatus.TOO_MANY_REQUESTS, plain, shared.BUSY.encode())
        if found is None:
            return Shown(HTTPStatus.NOT_FOUND, plain, shared.NO_PAGE.encode())
        content, ended = found
        if ended:
            return Shown(HTTPStatus.GONE, plain, shared.CALENDAR_STOPPED.encode())
        return Shown(HTTPStatus.OK, (*calendar.HEADERS, ("ETag", calendar.entity_tag(content))), content)


def _asked(query: str, name: str) -> str:
    try:
        return parse_qs(query, max_num_fields=10).get(name, [""])[0]
    except ValueError:
        return ""


def _page(status: HTTPStatus, text: str) -> Shown:
    return Shown(status, HEADERS, text.encode())
