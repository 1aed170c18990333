"""What a bot that runs for years sees to by itself: daily backups, room on the disk, what its owner must be told."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.app.privacy import forget_those_due
from bot.app.rounds import moment_of
from bot.messages import Outgoing
from bot.store import inbox, marks, outbox, people, retention
from bot.store.archive import remove_photo
from bot.store.backup import back_up_into, latest
from bot.store.database import Connection, Database, DatabaseProblem

MADE, FAILED, SENT = "backup:made", "backup:failed", "backup:sent"
SENT_EVERY = timedelta(days=7)
REACHED = "reached:telegram"
REFUSED_SINCE = "refused:telegram"
POISON_TOLD = "poison:told"
EVER = datetime(1970, 1, 1, tzinfo=UTC)
TRIED_AGAIN_AFTER = timedelta(hours=1)
REFUSES_FOR = timedelta(hours=1)
STRANGERS_KEPT = timedelta(days=7)
LEAST_FREE_BYTES = 100 * 1024 * 1024

BACKUP_FAILED = "Last night's backup failed: {reason}"
NOT_SENT = "This week's backup could not be sent to you: {reason}"
LITTLE_ROOM = "The disk is filling up: {free} MB left. Make room, or notes will have to wait."
SET_ASIDE = "{count} could not be handled and {are} kept aside. On the machine: potside inbox"
REFUSED = "Telegram did not take my messages from {since} to {until}. What waited goes out now."
_LOG = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Keeping:
    """How a database is looked after.

    `backups` is the folder of the backups, `at` the local time of the daily one in `zone`, `photos` the folder of photos,
    `disks` folders whose disks must have room; `raw_days`, `words_days` and `photos_days` say how long what came along with a
    note, its words, and photos are kept (None: for good); `program` is the version.
    """

    backups: Path
    at: time
    zone: ZoneInfo
    program: str
    photos: Path | None = None
    disks: tuple[Path, ...] = ()
    raw_days: int = 30
    words_days: int | None = None
    photos_days: int | None = None


class Upkeep:
    """Looks after one database; call `round` every minute or so, from a thread that may be kept busy for a while."""

    def __init__(
        self,
        database: Database,
        keeping: Keeping,
        free_bytes: Callable[[Path], int],
        send: Callable[[Path, Sequence[str]], str] | None = None,
    ) -> None:
        """`free_bytes` tells how much room the disk of a folder has.

        `send` seals a backup and sends it to chats of Telegram; it returns why that failed, or "".
        """
        self._database, self._keeping, self._free_bytes, self._send = database, keeping, free_bytes, send
        self._tried_to_send: datetime | None = None
        self._began: datetime | None = None

    def round(self, now: datetime) -> None:
        """Do what is due at `now`. What cannot be done is logged, and told to the owner where a message can be kept at all."""
        self._began = self._began or now
        for step in (self._backup, self._room, self._poison, self._refusals, self._forget, self._deliver):
            try:
                step(now)
            except (DatabaseProblem, OSError) as problem:
                _LOG.error("Upkeep: %s", problem)

    def _forget(self, now: datetime) -> None:
        folder = self._keeping.backups.parent / "exports"
        if gone := forget_those_due(self._database, now, folder, self._keeping.photos):
            _LOG.info("%d forgotten, as asked.", gone)

    def _backup(self, now: datetime) -> None:
        with self._database.read() as conn:
            made, failed = marks.marked(conn, MADE), marks.marked(conn, FAILED)
        here = now.astimezone(self._keeping.zone)
        today = moment_of(here.date(), self._keeping.at, self._keeping.zone)
        # a mark ahead of the clock was made by a clock that was wrong: it says nothing about today
        if now < today or (made is not None and today <= made <= now):
            return
        if failed is not None and timedelta(0) <= now - failed < TRIED_AGAIN_AFTER:
            return
        keeping = self._keeping
        try:
            file = back_up_into(keeping.backups, self._database, now, keeping.program, "daily", keeping.photos)
        except DatabaseProblem as problem:
            _LOG.error("The backup failed: %s", problem)
            with self._database.write() as conn:
                marks.mark(conn, FAILED, now)
                tell_owners(conn, f"backup-failed:{here.date()}", BACKUP_FAILED.format(reason=problem), now)
            return
        _LOG.info("Backed up to %s.", file.name)
        with self._database.write() as conn:
            marks.mark(conn, MADE, now)
            marks.unmark(conn, FAILED)
            gone = self._retire(conn, now)
        if keeping.photos is not None:
            for name in gone:
                remove_photo(keeping.photos, name)

    def _deliver(self, now: datetime) -> None:
        """Send the newest backup once a week to every owner's own chat."""
        with self._database.read() as conn:
            sent = marks.marked(conn, SENT)
            chats = [chat for chat in _owner_chats(conn) if chat.transport == "telegram" and not chat.address.startswith("-")]
        recent = sent is not None and timedelta(0) <= now - sent < SENT_EVERY
        tried = self._tried_to_send is not None and timedelta(0) <= now - self._tried_to_send < TRIED_AGAIN_AFTER
        file = latest(self._keeping.backups)
        if self._send is None or recent or tried or file is None or not chats:
            return
        self._tried_to_send = now
        reason = self._send(file, sorted({chat.address for chat in chats}))
        with self._database.write() as conn:
            if reason:
                _LOG.error("The backup could not be sent: %s", reason)
                tell_owners(conn, f"not-sent:{now.date()}", NOT_SENT.format(reason=reason), now)
            else:
                marks.mark(conn, SENT, now)

    def _retire(self, conn: Connection, now: datetime) -> list[str]:
        """Let go what is not kept for good; return the photos whose files are to go."""
        retention.forget_strangers(conn, now - STRANGERS_KEPT)
        retention.forget_raw(conn, now - timedelta(days=self._keeping.raw_days))
        if self._keeping.words_days is not None:
            retention.forget_words(conn, now - timedelta(days=self._keeping.words_days))
        if self._keeping.photos_days is None:
            return []
        return retention.forget_photos(conn, (now - timedelta(days=self._keeping.photos_days)).date())

    def _room(self, now: datetime) -> None:
        free = min((self._free_bytes(one) for one in self._keeping.disks), default=LEAST_FREE_BYTES)
        if free >= LEAST_FREE_BYTES:
            return
        _LOG.warning("Only %d MB are free.", free // 1024**2)
        with self._database.write() as conn:
            tell_owners(conn, f"little-room:{now.date()}", LITTLE_ROOM.format(free=free // 1024**2), now)

    def _poison(self, now: datetime) -> None:
        """Tell of messages set aside; who wrote one that could be read has been told in its chat."""
        with self._database.read() as conn:
            told = marks.marked(conn, POISON_TOLD)
            found = inbox.poison_since(conn, told or EVER)
        if not found:
            return
        with self._database.write() as conn:
            marks.mark(conn, POISON_TOLD, max(one.got_at for one in found))
            owners = {(chat.transport, chat.address) for chat in _owner_chats(conn)}
            strange = [one for one in found if (one.incoming.transport, one.incoming.address) not in owners]
            if strange:
                count = "1 message" if len(strange) == 1 else f"{len(strange)} messages"
                text = SET_ASIDE.format(count=count, are="is" if len(strange) == 1 else "are")
                tell_owners(conn, f"set-aside:{strange[-1].id}", text, now)

    def _refusals(self, now: datetime) -> None:
        with self._database.read() as conn:
            reached, refused = marks.marked(conn, REACHED), outbox.oldest_refused(conn)
            since = marks.marked(conn, REFUSED_SINCE)
        if reached is None or self._began is None:
            return
        troubles = [max(moment, self._began) for moment in (reached, refused) if moment is not None]
        first = min(troubles)
        if now - first > REFUSES_FOR:
            if since is None:
                _LOG.error("Telegram has taken nothing since %s UTC.", f"{first:%Y-%m-%d %H:%M}")
                with self._database.write() as conn:
                    marks.mark(conn, REFUSED_SINCE, first)
        elif since is not None:
            zone = self._keeping.zone
            text = REFUSED.format(since=_shown(since, zone), until=_shown(now, zone))
            with self._database.write() as conn:
                marks.unmark(conn, REFUSED_SINCE)
                tell_owners(conn, f"refused:{since.isoformat()}", text, now)


def tell_owners(conn: Connection, key: str, text: str, now: datetime) -> None:
    """Put a line for every owner into the outbox, once for each key; a line of the night goes out in the morning."""
    for one in people.all_collections(conn):
        zone = ZoneInfo(one.settings.zone)
        morning = moment_of(now.astimezone(zone).date(), one.settings.morning_time, zone)
        for chat in people.owner_chats(conn, one.id):
            outbox.put(conn, f"{key}:{chat.id}", chat.id, Outgoing(text), "notice", now, max(now, morning))


def _owner_chats(conn: Connection) -> list[people.Chat]:
    return [chat for one in people.all_collections(conn) for chat in people.owner_chats(conn, one.id)]


def _shown(moment: datetime, zone: ZoneInfo) -> str:
    local = moment.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b %H:%M}"
