"""What would work on this machine with these settings, looked at before the bot is started."""

from __future__ import annotations

import asyncio
import shutil
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from telegram import Bot
from telegram.error import InvalidToken, TelegramError

from bot.chat.telegram_account import Account
from bot.store import inbox
from bot.store.database import Database, DatabaseProblem, open_database

LEAST_FREE_BYTES = 100 * 1024 * 1024
WRITTEN_ON = datetime(2026, 11, 25, tzinfo=UTC)  # no clock that is right shows an earlier moment
PATIENCE_S = 10.0


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: whether it works, and a sentence about it without secrets."""

    subject: str
    works: bool
    said: str


def findings(account: Account | None, database: str, zone: str | None, now: datetime) -> list[Finding]:
    """Look at everything that `potside run` needs; nothing is created or changed, but for a migration that is due."""
    return [token_finding(account), *_database(database, now), _clock(now), _zones(zone), _disk(database)]


def token_finding(account: Account | None) -> Finding:
    """Ask Telegram whose token it is."""
    if account is None:
        return Finding("token", works=False, said="POTSIDE_TOKEN is not set. @BotFather gives you one.")
    try:
        name = asyncio.run(_name(account))
    except InvalidToken:
        return Finding("token", works=False, said="Telegram does not know it. Ask @BotFather for the right one.")
    except TelegramError as error:
        return Finding("token", works=False, said=f"Telegram cannot be reached ({type(error).__name__}).")
    return Finding("token", works=True, said=f"it is that of @{name}")


async def _name(account: Account) -> str:
    server = account.server.rstrip("/") or "https://api.telegram.org"
    bot = Bot(account.token, base_url=f"{server}/bot")
    try:
        return (await bot.get_me(read_timeout=PATIENCE_S, connect_timeout=PATIENCE_S)).username or ""
    finally:
        await bot.shutdown()


def _database(place: str, now: datetime) -> list[Finding]:
    try:
        opened = open_database(place, create=False)
    except DatabaseProblem as problem:
        if problem.kind == "missing" and Path(place).absolute().parent.is_dir():
            return [Finding("database", works=True, said=f"{place} will be created")]
        return [Finding("database", works=False, said=str(problem))]
    try:
        return [Finding("database", works=True, said=f"{place} is sound and at the newest schema"), _latest(opened, now)]
    finally:
        opened.close()


def _latest(opened: Database, now: datetime) -> Finding:
    """A clock that stands before what came in last is wrong now, or was wrong then."""
    with opened.read() as connection:
        latest = inbox.latest_got_at(connection)
    if latest is None:
        return Finding("messages", works=True, said="none yet")
    early = now + timedelta(minutes=1) < latest
    said = f"the last one came in at {latest:%Y-%m-%d %H:%M} UTC" + (", which the clock says is still to come" if early else "")
    return Finding("messages", works=not early, said=said)


def _clock(now: datetime) -> Finding:
    shown = f"{now:%Y-%m-%d %H:%M} UTC"
    return Finding("clock", works=now > WRITTEN_ON - timedelta(days=1), said=shown)


def _zones(zone: str | None) -> Finding:
    try:
        ZoneInfo(zone or "Europe/Berlin")
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return Finding("time zones", works=False, said="no data found; install the package tzdata")
    return Finding("time zones", works=True, said=f"{len(available_timezones())} known")


def _disk(place: str) -> Finding:
    if "://" in place and not place.startswith("sqlite"):
        return Finding("disk", works=True, said="the database has its own")
    folder = Path(place.removeprefix("sqlite:///")).absolute().parent
    while not folder.exists():
        folder = folder.parent
    free = shutil.disk_usage(folder).free
    return Finding("disk", works=free >= LEAST_FREE_BYTES, said=f"{free // 1024**2} MB free in {folder}")
