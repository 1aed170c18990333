"""A collection out to a file and in from one."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

from bot.app.english import phrases
from bot.app.exchanging import Exchanged, bring_in, darwin_core, export
from bot.assemble.opening import keeping, opened
from bot.config import Settings


def exported(settings: Settings, file: Path, collection: str) -> str:
    """Write a collection to a file; return a line that says so. Raises ExchangeProblem, ReadingsProblem, OSError."""
    with opened(settings.database, create=False, settings=settings) as database:
        made = export(database, file, keeping(settings).photos, collection, _tell)
    return f"{file}: {_what(made)}. Open formats; it holds prices, sources and every note: keep it as you keep those."


def written_as_darwin_core(settings: Settings, file: Path, collection: str) -> str:
    """Write the living plants as a Darwin Core archive; return a line that says so. Raises as `exported`."""
    with opened(settings.database, create=False, settings=settings) as database:
        count = darwin_core(database, file, collection, datetime.now(UTC))
    return f"{file}: {phrases.count_of(count, 'occurrence')}, without places and sources."


def imported(settings: Settings, file: Path, *, dry_run: bool) -> str:
    """Take a collection from a file; return a line that says what came. Raises ExchangeProblem, OSError."""
    with opened(settings.database, settings=settings) as database:
        made = bring_in(database, file, keeping(settings).photos, datetime.now(UTC), dry_run=dry_run, tell=_tell)
    return f"{'It would bring' if dry_run else 'Taken'}: {_what(made)}.{' Nothing was kept.' if dry_run else ''}"


def _what(made: Exchanged) -> str:
    parts = ((made.plants, "plant or lot"), (made.events, "event"), (made.notes, "note"), (made.photos, "photo"))
    counted = [phrases.count_of(count, word) if word != "plant or lot" else f"{count} plants and lots" for count, word in parts]
    return phrases.joined(counted)


def _tell(what: str) -> None:
    """Show on a terminal how far it is."""
    if sys.stderr.isatty():
        print(f"{what} ...", file=sys.stderr)
