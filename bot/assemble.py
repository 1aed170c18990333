"""The one place that puts the parts together: settings in, a running command out."""

from __future__ import annotations

import logging
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot.app import intake
from bot.app.intake import Intake
from bot.app.invitations import Invitation, invite
from bot.app.service import Service
from bot.chat import terminal
from bot.chat.clock import Clock, local_zone, moment_of
from bot.config import Settings, data_directory
from bot.store import inbox, people
from bot.store.database import Database, open_database
from bot.store.people import CollectionSettings

if TYPE_CHECKING:
    from bot.chat.readiness import Finding
    from bot.chat.telegram_account import Account


def chat_in_terminal(settings: Settings, *, at: str | None, as_json: bool, echo: bool) -> None:
    """Talk over standard input and output until the input ends, from the moment `at` on, where it is given.

    `at` is a moment as after @, "now", or "last" for that of the newest note. Raises ClockProblem where it is none of these,
    DatabaseProblem where the database cannot be used, BrokenPipeError where JSON lines are read by nobody any more, and
    KeyboardInterrupt where an interrupt broke off a writing; any other interrupt ends the talk.
    """
    defaults = collection_defaults(settings)
    clock = Clock(ZoneInfo(defaults.zone))
    if at not in (None, terminal.NOW, terminal.LAST_NOTE):
        moment_of(at, clock.local())  # a moment that cannot be read is told before a database is made
    gathered, page = terminal.Gathered(), terminal.Page(sys.stdout, clock)
    with opened(settings.database) as database:
        conversation = terminal.Conversation(database, Intake(database, defaults), clock, gathered if as_json else page)
        try:
            conversation.resume(at)
            if as_json:
                terminal.converse_json(conversation, _lines(), gathered, lambda line: print(line, flush=True))
            elif sys.stdin.isatty():
                terminal.converse_live(conversation, page)
            else:
                terminal.converse(conversation, _lines(), page, echo=echo)
        except KeyboardInterrupt:
            if conversation.writing:
                raise


def _lines() -> Iterator[str]:
    return terminal.lines_of(sys.stdin.buffer)


def run_telegram(settings: Settings) -> None:
    """Talk over Telegram until SIGTERM or SIGINT; the settings hold a token.

    Raises TelegramProblem where the token is refused, DatabaseProblem where the database cannot be used.
    """
    from bot.chat import telegram, telegram_log  # noqa: PLC0415  slow to load; the terminal needs none of it

    account = telegram_account(settings)
    logging.basicConfig(format="%(levelname)s %(name)s: %(message)s")  # a service manager adds the time
    logging.getLogger("bot").setLevel(logging.INFO)
    telegram_log.guard(account.token)
    defaults = collection_defaults(settings)
    with opened(settings.database) as database:
        telegram.run_telegram(account, database, Service(database, defaults), defaults)


def telegram_account(settings: Settings) -> Account:
    """Return the bot's account as the settings, which hold a token, describe it."""
    from bot.chat.telegram_account import Account  # noqa: PLC0415

    assert settings.token is not None
    return Account(
        settings.token.get_secret_value(),
        str(settings.base_url or ""),
        str(settings.webhook_url or ""),
        settings.webhook_host,
        settings.webhook_port,
    )


def checked(settings: Settings) -> list[Finding]:
    """Return what would work with these settings on this machine, and what would not."""
    from bot.chat import readiness  # noqa: PLC0415

    account = telegram_account(settings) if settings.token else None
    return readiness.findings(account, settings.database, settings.zone, datetime.now(UTC))


def inbox_lines(settings: Settings) -> list[str]:
    """Return how many messages came in, and a line for each that could not be handled."""
    with opened(settings.database, create=False) as database, database.read() as connection:
        counts, poison = inbox.counts(connection), inbox.poison_rows(connection)
    lines = [f"{counts['done']} handled, {counts['open']} waiting, {counts['poison']} set aside"]
    return lines + [
        f"{row.got_at:%Y-%m-%d %H:%M} UTC, {reason}: {row.incoming.text or row.incoming.raw}" for row, reason in poison
    ]


def owner_code(settings: Settings) -> str:
    """Return a line with a code that makes who sends it to the bot within an hour an owner of the oldest collection."""
    with opened(settings.database, create=False) as database, database.write() as connection:
        found = people.all_collections(connection)
        if not found:
            return "There is no collection yet. Start the bot: it shows a code by itself."
        until = datetime.now(UTC) + timedelta(hours=1)
        code = invite(connection, "telegram", Invitation("owner", found[0].id), until)
    return f"Send this to the bot within an hour, from the account that is to be the owner: {code}"


def rebuilt(settings: Settings) -> str:
    """Derive the projections of every collection anew from the care log; return a line that says so."""
    with opened(settings.database, create=False) as database:
        rows = intake.rebuild(database, datetime.now(UTC))
    return f"{sum(rows.values())} rows in {len(rows)} {'collection' if len(rows) == 1 else 'collections'} made anew from the log."


def readings_imported(
    settings: Settings, text: str, place: str, zone: str | None, columns: Mapping[str, str], unit: str
) -> tuple[str, list[str]]:
    """Import a logger's CSV; return a line that says what came of it, and one for each line that could not be used.

    Raises ReadingsProblem where the file as a whole cannot be read.
    """
    from bot.app.readings_import import import_readings  # noqa: PLC0415

    with opened(settings.database, create=False) as database:
        made = import_readings(database, text, place, datetime.now(UTC), zone, columns, unit)
    days = made.read.days
    span = f" ({days[0].day} to {days[-1].day})" if days else ""
    taken = ", ".join(f"{role} from “{name}”" for role, name in made.read.columns.items())
    said = f"{made.added} days added, {made.changed} changed, {made.same} there already{span}. Read {taken}"
    said += ", in Fahrenheit." if made.read.fahrenheit else "."
    return said, [f"line {one.line}: {one.why}" for one in made.read.bad]


def collection_defaults(settings: Settings) -> CollectionSettings:
    """Return how a new collection is set up."""
    zone = settings.zone or local_zone(None).key
    return CollectionSettings(zone=zone, latitude=settings.latitude, morning_time=settings.morning)


@contextmanager
def opened(place: str, *, create: bool = True) -> Iterator[Database]:
    """Open the database at a file or address, making the program's own data folder where it is not there yet."""
    if Path(place).parent == data_directory():
        data_directory().mkdir(parents=True, exist_ok=True)
    database = open_database(place, create=create)
    try:
        yield database
    finally:
        database.close()
