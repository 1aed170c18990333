"""Running the bot, setting it up and looking at how it does."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot import __version__
from bot.app.intake import Intake
from bot.app.service import Service
from bot.assemble.opening import collection_defaults, keeping, opened
from bot.chat import terminal
from bot.chat.clock import Clock, moment_of
from bot.config import Settings, data_directory
from bot.store import instance
from bot.store.database import file_of, is_file
from bot.store.scratch import scratch_folder

if TYPE_CHECKING:
    from bot.app.status import Status
    from bot.chat.readiness import Finding
    from bot.chat.telegram_account import Account

SEALED_CAPTION = "This week's backup, sealed. Keep it; it opens with your passphrase: potside restore FILE"


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
    data = file_of(settings.database).parent if is_file(settings.database) else data_directory()
    gathered, page = terminal.Gathered(), terminal.Page(sys.stdout, clock, data / "files")
    with opened(settings.database, alone=True, settings=settings) as database:
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
    from bot.app.upkeep import Upkeep
    from bot.chat import log_lines, telegram
    from bot.chat.service_manager import Watched, notify
    from bot.reminders.alarm import Alarm

    account = telegram_account(settings)
    log_lines.begin(account.token, as_json=settings.log == "json")
    defaults = collection_defaults(settings)
    with opened(settings.database, alone=True, settings=settings) as database:
        core = Watched(Service(database, defaults))
        free = lambda folder: shutil.disk_usage(folder).free  # noqa: E731
        upkeep = Upkeep(database, keeping(settings), free, sealed_sender(settings, account))
        rings = count()

        def ring() -> None:
            core.waiting()
            if next(rings):  # at the first it is not known yet whether the bot can run at all
                upkeep.round(datetime.now(UTC))

        notify("READY=1")
        with Alarm(ring):
            telegram.run_telegram(account, database, core, defaults, keeping(settings).photos)
        notify("STOPPING=1")


def sealed_sender(settings: Settings, account: Account) -> Callable[[Path, Sequence[str]], str] | None:
    """Return what seals a backup and sends it to chats, where the settings want that; it returns why it failed, or ""."""
    from bot.chat.telegram_delivery import DeliveryProblem, send_files
    from bot.store import sealing

    if settings.backup_passphrase is None:
        return None
    passphrase = settings.backup_passphrase.get_secret_value()
    sealing.cipher_parts()  # missing, it is better told now than next week

    def send(file: Path, addresses: Sequence[str]) -> str:
        try:
            with scratch_folder(file.parent) as folder:
                sealed = folder / f"{file.name}.sealed"
                sealing.seal(file, sealed, passphrase)
                send_files(account, addresses, sealing.cut(sealed), SEALED_CAPTION)
        except (DeliveryProblem, OSError) as problem:
            return str(problem)
        return ""

    return send


def status(settings: Settings) -> Status:
    """Return how the bot of these settings is doing."""
    from bot.app.status import status_of

    running = instance.is_held(file_of(settings.database)) if is_file(settings.database) else None
    with opened(settings.database, create=False, settings=settings) as database:
        return status_of(database, __version__, datetime.now(UTC), running=running)


def set_up(settings: Settings, file: Path) -> list[str]:
    """Try the token of the settings and write it to the settings file; return what the person is to do next.

    Raises SetupProblem where the token does not work; then nothing is written.
    """
    from bot.chat import readiness
    from bot.config import write_token

    assert settings.token is not None
    account = telegram_account(settings)
    found = readiness.token_finding(account)
    if not found.works:
        raise SetupProblem(found.said)
    write_token(file, account.token)
    return [
        f"The token works: {found.said}. It stands in {file}, which only you can read.",
        f"Start the bot (potside run) and send it this code from your own account: {account.claim_code}",
        "Who sends the code is the owner; keep it to yourself until then.",
    ]


class SetupProblem(Exception):
    """A token that does not work; `str()` is a sentence without the token."""


def telegram_account(settings: Settings) -> Account:
    """Return the bot's account as the settings, which hold a token, describe it."""
    from bot.chat.telegram_account import Account

    assert settings.token is not None
    return Account(
        settings.token.get_secret_value(),
        str(settings.base_url or ""),
        str(settings.webhook_url or ""),
        settings.webhook_host,
        settings.webhook_port,
        str(settings.page_url or ""),
        settings.page_host,
        settings.page_port,
    )


def checked(settings: Settings) -> list[Finding]:
    """Return what would work with these settings on this machine, and what would not."""
    from bot.chat import readiness

    account = telegram_account(settings) if settings.token else None
    return readiness.findings(account, settings.database, settings.zone, datetime.now(UTC))
