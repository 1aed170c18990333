"""Taking records in and writing them out: loggers, spreadsheets, shared lists, computations."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bot.assemble.opening import keeping, opened
from bot.config import Settings


def readings_imported(
    settings: Settings, text: str, place: str, zone: str | None, columns: Mapping[str, str], unit: str, collection: str = ""
) -> tuple[str, list[str]]:
    """Import a logger's CSV; return a line that says what came of it, and one for each line that could not be used.

    Raises ReadingsProblem where the file as a whole cannot be read.
    """
    from bot.app.readings_import import import_readings

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
    from bot.app.english import bulk
    from bot.app.plants_columns import told_of
    from bot.app.plants_session import session
    from bot.app.plants_table import MOST_BYTES, PlantsProblem

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
    from bot.app.english import bulk, phrases
    from bot.app.plants_session import take_back
    from bot.app.plants_table import PlantsProblem

    try:
        with opened(settings.database, create=False, settings=settings) as database:
            plants = take_back(database, datetime.now(UTC), collection)
    except PlantsProblem as problem:
        raise ValueError(bulk.problem(problem.kind, problem.facts)) from None
    return bulk.TAKEN_BACK.format(plants=phrases.count_of(plants, "plant")) if plants else bulk.NONE_TO_TAKE_BACK


def list_written(settings: Settings, number: int, folder: Path, collection: str) -> str:
    """Write a shared list as files; return a line that names them. Raises ValueError, in words, where there is no such list."""
    from bot.app.english import shared
    from bot.app.opened_lists import written
    from bot.app.readings_file import ReadingsProblem

    try:
        with opened(settings.database, create=False, settings=settings) as database:
            files = written(database, number, folder, datetime.now(UTC), collection, keeping(settings).photos)
    except ReadingsProblem as problem:
        raise ValueError(str(problem)) from None
    except OSError as error:
        raise ValueError(f"{folder} cannot be written: {error.strerror}.") from None
    if not files:
        raise ValueError(shared.NO_SUCH.format(number=number))
    return shared.WRITTEN.format(files=" and ".join(str(one) for one in files))


def calendar_written(settings: Settings, file: Path, collection: str) -> str:
    """Write what is due as an iCalendar file; return a line that names it. Raises ValueError, in words, where that cannot be."""
    from bot.app.english import shared
    from bot.app.opened_lists import calendar_written as written
    from bot.app.readings_file import ReadingsProblem

    try:
        with opened(settings.database, create=False, settings=settings) as database:
            written(database, file, datetime.now(UTC), collection)
    except ReadingsProblem as problem:
        raise ValueError(str(problem)) from None
    except OSError as error:
        raise ValueError(f"{file} cannot be written: {error.strerror}.") from None
    return shared.CALENDAR_WRITTEN.format(file=file)


def picture_written(settings: Settings, kind: str, about: str, folder: Path, form: str, collection: str) -> str:
    """Write a picture of the record; return what it shows and where it is. Raises ValueError, in words, where that cannot be."""
    from bot.app.picture_files import picture_written as written
    from bot.app.readings_file import ReadingsProblem

    try:
        with opened(settings.database, create=False, settings=settings) as database:
            line, file = written(database, kind, about, folder, form.lower(), datetime.now(UTC), collection)
    except ReadingsProblem as problem:
        raise ValueError(str(problem)) from None
    except OSError as error:
        raise ValueError(f"{folder} cannot be written: {error.strerror}.") from None
    return f"{line}\n{file}"


def computations(name: str | None, *, as_json: bool) -> str:
    """Return the computations, or one with its inputs and sources. Raises ReckonError where none is called so."""
    import json

    from bot.care.reckon import ReckonError, reckon_list

    chosen = [one for one in reckon_list() if name in (None, one["name"])]
    if not chosen:
        raise ReckonError(f'no computation is called "{str(name)[:40]}".')
    if as_json:
        return json.dumps(chosen, ensure_ascii=False)
    return "\n".join(line for one in chosen for line in _computation(one))


def _computation(one: Mapping[str, Any]) -> list[str]:
    inputs = [f"  {given['usage']}" for given in one["inputs"]]
    return [f"{one['name']}: {one['gives']}", *inputs, *(f"  Source: {source}" for source in one["sources"])]
