"""Commands that take records in and write them out: loggers, spreadsheets, shared lists."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from bot.cli.root import WRONG_ARGUMENTS, Database, Whose, app, ended, settings_from, told

readings_app = typer.Typer(help="Readings of a thermometer logger.", rich_markup_mode=None, no_args_is_help=True)
app.add_typer(readings_app, name="readings")
plants_app = typer.Typer(help="Plants from a spreadsheet.", rich_markup_mode=None, no_args_is_help=True)
app.add_typer(plants_app, name="plants")


@readings_app.command("import")
def import_readings(
    file: Annotated[Path, typer.Argument(help="A logger's CSV.")],
    place: Annotated[str, typer.Option(metavar="NAME", help='Where it hangs: "bench 2", or "house" for the whole house.')],
    db: Database = None,
    tz: Annotated[str | None, typer.Option(metavar="NAME", help="The time zone of its times, if not the collection's.")] = None,
    columns: Annotated[
        str | None, typer.Option(metavar="ROLE=NAME,…", help="Columns that the head does not tell: time=When,temperature=T1.")
    ] = None,
    unit: Annotated[str, typer.Option(metavar="C|F", help="The unit, where the head does not tell it.")] = "",
    collection: Whose = "",
) -> None:
    """Take a logger's days into the log: minimum, maximum, humidity. The same file twice adds nothing."""
    with told():
        from bot.app.readings_file import ReadingsProblem, columns_of
        from bot.chat.clock import ClockProblem, local_zone

        if unit.upper() not in ("", "C", "F"):
            raise ended("--unit is C or F.", WRONG_ARGUMENTS)
        try:
            text = file.read_text(encoding="utf-8-sig", errors="replace")
            zone = local_zone(tz).key if tz else None
            named = columns_of(columns) if columns else {}
            from bot.assemble import records

            said, bad = records.readings_imported(settings_from(database=db), text, place, zone, named, unit, collection)
        except OSError as error:
            raise ended(f"{file} cannot be read: {error.strerror}.", WRONG_ARGUMENTS) from None
        except (ReadingsProblem, ClockProblem) as problem:
            raise ended(f"{problem}.", WRONG_ARGUMENTS) from None
        typer.echo(said)
        for line in bad:
            typer.echo(line, err=True)
        if bad:
            raise typer.Exit(1)


@plants_app.command("import")
def import_plants(
    file: Annotated[Path, typer.Argument(help="A spreadsheet, one plant a row: CSV or .xlsx.")],
    db: Database = None,
    columns: Annotated[
        str, typer.Option(metavar="ROLE=COLUMN,…", help="Columns that the head does not tell: pot=Topf,place=D,none=E.")
    ] = "",
    write: Annotated[bool, typer.Option("--write", help="Write it. Without this, only what would come is shown.")] = False,
    leave_bad: Annotated[bool, typer.Option("--leave-bad", help="Take the rows that are right without the others.")] = False,
    collection: Whose = "",
) -> None:
    """Take plants from a spreadsheet into the log. The same file twice adds nothing; `undo-import` takes one back whole."""
    ask = typer.confirm if sys.stdin.isatty() else None
    _plants(lambda run: run.plants_imported(settings_from(database=db), file, columns, collection, write, leave_bad, ask))


@plants_app.command("undo-import")
def undo_import(db: Database = None, collection: Whose = "") -> None:
    """Take the last import back, all of it."""
    _plants(lambda run: (run.plants_taken_back(settings_from(database=db), collection), []))


@app.command()
def share(
    number: int, to: Annotated[Path, typer.Option(help="The folder to write to.")], db: Database = None, collection: Whose = ""
) -> None:
    """Write a shared list as a page and a table, to send on."""
    _plants(lambda run: (run.list_written(settings_from(database=db), number, to, collection), []))


@app.command()
def calendar(
    to: Annotated[Path, typer.Option(help="The file to write, such as potside.ics.")], db: Database = None, collection: Whose = ""
) -> None:
    """Write what is due as an iCalendar file."""
    _plants(lambda run: (run.calendar_written(settings_from(database=db), to, collection), []))


@app.command()
def picture(
    kind: Annotated[
        str, typer.Argument(help="degree-days, drying, due-load, flowering, germination, survival or watering.", metavar="KIND")
    ],
    to: Annotated[Path, typer.Option(help="The folder to write to.")],
    about: Annotated[str, typer.Argument(help='What it is about: 12, "bench 2", S1. All there is without it.')] = "",
    form: Annotated[str, typer.Option("--as", metavar="png|pdf|svg", help="The kind of file.")] = "png",
    db: Database = None,
    collection: Whose = "",
) -> None:
    """Draw a picture of the record, such as the drying curve of a pot, and say in a line what it shows."""
    _plants(lambda run: (run.picture_written(settings_from(database=db), kind, about, to, form, collection), []))


def _plants(work: Any) -> None:
    with told():
        from bot.assemble import records

        try:
            said, unclear = work(records)
        except ValueError as problem:
            raise ended(str(problem), WRONG_ARGUMENTS) from None
        typer.echo(said)
        for line in unclear:
            typer.echo(line, err=True)
        if unclear:
            raise typer.Exit(1)
