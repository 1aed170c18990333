"""The one place that puts the parts together: settings in, a running command out."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from bot import __version__
from bot.app import intake
from bot.app.intake import Intake
from bot.app.invitations import Invitation, invite
from bot.app.service import Service
from bot.chat import terminal
from bot.chat.clock import Clock, local_zone, moment_of
from bot.config import Settings, data_directory
from bot.store import inbox, instance, marks, people
from bot.store.archive import PHOTOS
from bot.store.database import Database, DatabaseProblem, file_of, is_file, open_database
from bot.store.people import CollectionSettings
from bot.store.scratch import scratch_folder

if TYPE_CHECKING:
    from bot.app.status import Status
    from bot.app.upkeep import Keeping
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
    gathered, page = terminal.Gathered(), terminal.Page(sys.stdout, clock)
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
    from bot.app.upkeep import Upkeep  # noqa: PLC0415  slow to load; the terminal needs none of it
    from bot.chat import log_lines, telegram  # noqa: PLC0415
    from bot.chat.service_manager import Watched, notify  # noqa: PLC0415
    from bot.reminders.alarm import Alarm  # noqa: PLC0415

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
    from bot.chat.telegram_delivery import DeliveryProblem, send_files  # noqa: PLC0415
    from bot.store import sealing  # noqa: PLC0415

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


def keeping(settings: Settings) -> Keeping:
    """Return how the database of these settings is looked after."""
    from bot.app.upkeep import Keeping  # noqa: PLC0415

    folder = file_of(settings.database).absolute().parent if is_file(settings.database) else None
    data = folder or data_directory()
    return Keeping(
        backup_folder(settings),
        settings.backup_at,
        ZoneInfo(collection_defaults(settings).zone),
        __version__,
        data / PHOTOS,
        (folder,) if folder else (),
        settings.keep_raw_days,
        settings.keep_notes_days,
        settings.keep_photos_days,
    )


def backup_folder(settings: Settings) -> Path:
    """Return where backups are put: where the settings say, else beside the database file, else in the data folder."""
    if settings.backups is not None:
        return Path(settings.backups)
    return (file_of(settings.database).absolute().parent if is_file(settings.database) else data_directory()) / "backups"


def backed_up(settings: Settings, to: Path | None) -> str:
    """Back up into a folder, or to a file whose name ends in .zip, or to the usual folder; return a line that says so."""
    from bot.app.upkeep import MADE  # noqa: PLC0415
    from bot.store import backup  # noqa: PLC0415

    now, kept = datetime.now(UTC), keeping(settings)
    with opened(settings.database, create=False, settings=settings) as database:
        if to is not None and to.suffix == ".zip":
            backup.back_up(database, to, now, __version__, kept.photos)
            file = to
        else:
            file = backup.back_up_into(to or kept.backups, database, now, __version__, "", kept.photos)
        with database.write() as connection:
            marks.mark(connection, MADE, now)
    return f"{file} holds everything, {file.stat().st_size / 1024**2:.1f} MB. It was restored once to be sure."


def restored(settings: Settings, file: Path, *, dry_run: bool) -> str:
    """Restore a backup into the empty place that the settings name; return a line that says what came back."""
    from bot.store import backup, sealing  # noqa: PLC0415

    _make_data_folder(settings.database)
    photos = keeping(settings).photos
    if sealing.is_sealed(file):
        if settings.backup_passphrase is None:
            raise DatabaseProblem("damaged", f"{file} is sealed. Give its passphrase in POTSIDE_BACKUP_PASSPHRASE.")
        with tempfile.TemporaryDirectory(prefix="potside-") as folder:
            opened_file = Path(folder) / "backup.zip"
            sealing.unseal(file, opened_file, settings.backup_passphrase.get_secret_value())
            made = backup.restore(opened_file, settings.database, photos, dry_run=dry_run)
    else:
        made = backup.restore(file, settings.database, photos, dry_run=dry_run)
    held = f"{made.summary.rows.get('notes', 0)} notes, {made.summary.rows.get('care_log', 0)} events, {len(made.photos)} photos"
    moment = f"{made.made_at:%Y-%m-%d %H:%M} UTC"
    if dry_run:
        taken = is_file(settings.database) and file_of(settings.database).exists()
        more = f" To restore it, choose an empty place: {settings.database} holds something." if taken else ""
        return f"Sound: {held}, of {moment}. Nothing was written.{more}"
    return f"{settings.database} has {held}, as of {moment}."


def status(settings: Settings) -> Status:
    """Return how the bot of these settings is doing."""
    from bot.app.status import status_of  # noqa: PLC0415

    running = instance.is_held(file_of(settings.database)) if is_file(settings.database) else None
    with opened(settings.database, create=False, settings=settings) as database:
        return status_of(database, __version__, datetime.now(UTC), running=running)


def set_up(settings: Settings, file: Path) -> list[str]:
    """Try the token of the settings and write it to the settings file; return what the person is to do next.

    Raises SetupProblem where the token does not work; then nothing is written.
    """
    from bot.chat import readiness  # noqa: PLC0415
    from bot.config import write_token  # noqa: PLC0415

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
    with opened(settings.database, create=False, settings=settings) as database, database.read() as connection:
        counts, poison = inbox.counts(connection), inbox.poison_rows(connection)
    lines = [f"{counts['done']} handled, {counts['open']} waiting, {counts['poison']} set aside"]
    return lines + [
        f"{row.got_at:%Y-%m-%d %H:%M} UTC, {reason}: {row.incoming.text or row.incoming.raw}" for row, reason in poison
    ]


def owner_code(settings: Settings) -> str:
    """Return a line with a code that makes who sends it to the bot within an hour an owner of the oldest collection."""
    with opened(settings.database, create=False, settings=settings) as database, database.write() as connection:
        found = people.all_collections(connection)
        if not found:
            return "There is no collection yet. Start the bot: it shows a code by itself."
        until = datetime.now(UTC) + timedelta(hours=1)
        code = invite(connection, "telegram", Invitation("owner", found[0].id), until)
    return f"Send this to the bot within an hour, from the account that is to be the owner: {code}"


def rebuilt(settings: Settings) -> str:
    """Derive the projections of every collection anew from the care log; return a line that says so."""
    with opened(settings.database, create=False, settings=settings) as database:
        rows = intake.rebuild(database, datetime.now(UTC))
    return f"{sum(rows.values())} rows in {len(rows)} {'collection' if len(rows) == 1 else 'collections'} made anew from the log."


def readings_imported(
    settings: Settings, text: str, place: str, zone: str | None, columns: Mapping[str, str], unit: str, collection: str = ""
) -> tuple[str, list[str]]:
    """Import a logger's CSV; return a line that says what came of it, and one for each line that could not be used.

    Raises ReadingsProblem where the file as a whole cannot be read.
    """
    from bot.app.readings_import import import_readings  # noqa: PLC0415

    with opened(settings.database, create=False, settings=settings) as database:
        made = import_readings(database, text, place, datetime.now(UTC), zone, columns, unit, collection)
    days = made.read.days
    span = f" ({days[0].day} to {days[-1].day})" if days else ""
    taken = ", ".join(f"{role} from “{name}”" for role, name in made.read.columns.items())
    said = f"{made.added} days added, {made.changed} changed, {made.same} there already{span}. Read {taken}"
    said += ", in Fahrenheit." if made.read.fahrenheit else "."
    return said, [f"line {one.line}: {one.why}" for one in made.read.bad]


def plants_imported(
    settings: Settings,
    file: Path,
    columns: str,
    collection: str,
    write: bool,
    leave_bad: bool,
    ask: Callable[[str], bool] | None,
) -> tuple[str, list[str]]:
    """Look at a spreadsheet of plants, and take it into the log where that is wanted.

    Returns what came of it, and a line for each row that is unclear. Raises ValueError, in words, where it cannot be used.
    """
    from bot.app.english import bulk  # noqa: PLC0415
    from bot.app.plants_columns import told_of  # noqa: PLC0415
    from bot.app.plants_session import session  # noqa: PLC0415
    from bot.app.plants_table import MOST_BYTES, PlantsProblem  # noqa: PLC0415

    try:
        told = told_of(columns)
        with file.open("rb") as opened_file:
            content = opened_file.read(MOST_BYTES + 1)
        with opened(settings.database, create=False, settings=settings) as database:
            made = session(database, content, datetime.now(UTC), told, collection, write=write, leave_bad=leave_bad, ask=ask)
    except PlantsProblem as problem:
        raise ValueError(bulk.problem(problem.kind, problem.facts)) from None
    except OSError as error:
        raise ValueError(f"{file} cannot be read: {error.strerror}.") from None
    return "\n".join(made.said), list(made.unclear)


def plants_taken_back(settings: Settings, collection: str) -> str:
    """Take the last import of plants back; return a line that says so. Raises ValueError, in words, where nobody knows whose."""
    from bot.app.english import bulk, phrases  # noqa: PLC0415
    from bot.app.plants_session import take_back  # noqa: PLC0415
    from bot.app.plants_table import PlantsProblem  # noqa: PLC0415

    try:
        with opened(settings.database, create=False, settings=settings) as database:
            plants = take_back(database, datetime.now(UTC), collection)
    except PlantsProblem as problem:
        raise ValueError(bulk.problem(problem.kind, problem.facts)) from None
    return bulk.TAKEN_BACK.format(plants=phrases.count_of(plants, "plant")) if plants else bulk.NONE_TO_TAKE_BACK


def list_written(settings: Settings, number: int, folder: Path, collection: str) -> str:
    """Write a shared list as files; return a line that names them. Raises ValueError, in words, where there is no such list."""
    from bot.app.english import shared  # noqa: PLC0415
    from bot.app.opened_lists import written  # noqa: PLC0415
    from bot.app.readings_file import ReadingsProblem  # noqa: PLC0415

    try:
        with opened(settings.database, create=False, settings=settings) as database:
            files = written(database, number, folder, datetime.now(UTC), collection)
    except ReadingsProblem as problem:
        raise ValueError(str(problem)) from None
    except OSError as error:
        raise ValueError(f"{folder} cannot be written: {error.strerror}.") from None
    if not files:
        raise ValueError(shared.NO_SUCH.format(number=number))
    return shared.WRITTEN.format(files=" and ".join(str(one) for one in files))


def computations(name: str | None, *, as_json: bool) -> str:
    """Return the computations, or one with its inputs and sources. Raises ReckonError where none is called so."""
    import json  # noqa: PLC0415

    from bot.care.reckon import ReckonError, reckon_list  # noqa: PLC0415

    chosen = [one for one in reckon_list() if name in (None, one["name"])]
    if not chosen:
        raise ReckonError(f'no computation is called "{str(name)[:40]}".')
    if as_json:
        return json.dumps(chosen, ensure_ascii=False)
    return "\n".join(line for one in chosen for line in _computation(one))


def _computation(one: Mapping[str, Any]) -> list[str]:
    inputs = [f"  {given['usage']}" for given in one["inputs"]]
    return [f"{one['name']}: {one['gives']}", *inputs, *(f"  Source: {source}" for source in one["sources"])]


def collection_defaults(settings: Settings) -> CollectionSettings:
    """Return how a new collection is set up."""
    zone = settings.zone or local_zone(None).key
    return CollectionSettings(zone=zone, latitude=settings.latitude, morning_time=settings.morning)


@contextmanager
def opened(place: str, *, create: bool = True, alone: bool = False, settings: Settings | None = None) -> Iterator[Database]:
    """Open the database at a file or address, making the program's own data folder where it is not there yet.

    With `alone` a file is held so that no second program opens it so. Where `settings` are given, a database that must be
    migrated is backed up first.
    """
    _make_data_folder(place)

    def before_migration(older: Database, revision: str) -> None:
        from bot.store.backup import back_up_into  # noqa: PLC0415

        assert settings is not None
        kept = keeping(settings)
        back_up_into(kept.backups, older, datetime.now(UTC), __version__, f"before-{revision}", kept.photos)

    with _held(place) if alone else nullcontext():
        database = open_database(place, create=create, before_migration=before_migration if settings else None)
        try:
            yield database
        finally:
            database.close()


def _make_data_folder(place: str) -> None:
    if Path(place).parent == data_directory():
        data_directory().mkdir(parents=True, exist_ok=True)


@contextmanager
def _held(place: str) -> Iterator[None]:
    """Hold a file's lock; a place where there can be no file is left to who opens it to complain about."""
    path = instance.lock_file(file_of(place)) if is_file(place) else None
    if path is None or not os.access(path.parent, os.W_OK) or path.is_dir():
        yield
        return
    with instance.hold(path, place):
        yield
