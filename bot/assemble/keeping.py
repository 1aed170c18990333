"""Looking after the data: backups, messages set aside, the owner, derived rows."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot import __version__
from bot.app import intake
from bot.app.invitations import Invitation, invite
from bot.assemble.opening import keeping, make_data_folder, opened
from bot.config import Settings
from bot.store import inbox, marks, people
from bot.store.database import DatabaseProblem, file_of, is_file


def backed_up(settings: Settings, to: Path | None) -> str:
    """Back up into a folder, or to a file whose name ends in .zip, or to the usual folder; return a line that says so."""
    from bot.app.upkeep import MADE
    from bot.store import backup

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
    from bot.store import backup, sealing

    make_data_folder(settings.database)
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
