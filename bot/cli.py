"""The command line: arguments in, exit code out. `python -m bot` is the same as `potside`.

Exit codes: 0 done; 1 something in the input could not be used; 2 wrong arguments or settings; 65 to 78 a database that
cannot be used (see `bot.store.problems`); 130 interrupted while something was being written.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bot import __version__

if TYPE_CHECKING:
    from datetime import datetime

    from bot.care.names import Names

WRONG_ARGUMENTS = 2
INTERRUPTED = 130

app = typer.Typer(
    name="potside",
    help="Notes from the bench become care events, answers and reminders.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

readings_app = typer.Typer(help="Readings of a thermometer logger.", rich_markup_mode=None, no_args_is_help=True)
app.add_typer(readings_app, name="readings")
plants_app = typer.Typer(help="Plants from a spreadsheet.", rich_markup_mode=None, no_args_is_help=True)
app.add_typer(plants_app, name="plants")
Database = Annotated[str | None, typer.Option("--db", metavar="FILE", help="The database: a file or an address.")]
Whose = Annotated[
    str, typer.Option("--collection", metavar="NAME|ID", help="Which collection, where the database holds several.")
]
Zone = Annotated[str | None, typer.Option("--zone", metavar="NAME", help="The time zone of a new collection: Europe/Berlin.")]


def main() -> None:
    """Run the command that the arguments name, reading and writing UTF-8 whatever the locale says."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")
    app(prog_name="potside")


@contextmanager
def told() -> Iterator[None]:
    """Turn what can go wrong outside the program into a line for a person and an exit code."""
    from bot.store.problems import DatabaseProblem

    try:
        yield
        sys.stdout.flush()
    except DatabaseProblem as problem:
        raise _ended(str(problem), problem.code) from None
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # so that the last flush has somewhere to go
        raise typer.Exit(0) from None
    except KeyboardInterrupt:
        raise _ended("Interrupted.", INTERRUPTED) from None


def _ended(message: str, code: int) -> typer.Exit:
    typer.echo(f"potside: {message}", err=True)
    return typer.Exit(code)


def _settings(**typed: Any) -> Any:
    from bot.config import SettingsProblem, load

    try:
        return load(**typed)
    except SettingsProblem as problem:
        for line in problem.lines:
            typer.echo(f"potside: {line}", err=True)
        raise typer.Exit(WRONG_ARGUMENTS) from None


@app.callback(invoke_without_command=True)
def _root(version: Annotated[bool, typer.Option("--version", help="Show the version and end.")] = False) -> None:
    if version:
        typer.echo(f"potside {__version__}")
        raise typer.Exit


@app.command()
def chat(
    db: Database = None,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="MOMENT", help='Pretend that it is this moment: 2026-04-15T10:40, or "last" for that of the newest note.'
        ),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="One line of JSON out for each line in.")] = False,
    echo: Annotated[bool, typer.Option("--echo", help="Show each note above its answer (for notes from a pipe).")] = False,
    zone: Zone = None,
    latitude: Annotated[
        float | None, typer.Option(metavar="N", help="Degrees north of a new collection; south is negative.")
    ] = None,
) -> None:
    """Talk in the terminal: a line is a note; "@ 2026-05-01" moves a pretended clock and shows what went out until then."""
    with told():
        settings = _settings(database=db, zone=zone, latitude=latitude)
        from bot import assemble
        from bot.chat.clock import ClockProblem

        try:
            assemble.chat_in_terminal(settings, at=at, as_json=json, echo=echo)
        except ClockProblem as problem:
            raise _ended(f"--at: {problem}", WRONG_ARGUMENTS) from None


@app.command()
def run(db: Database = None) -> None:
    """Talk over Telegram until stopped."""
    with told():
        from bot import assemble
        from bot.chat.telegram import TelegramProblem

        settings = _settings(database=db)
        if settings.token is None:
            raise _ended("POTSIDE_TOKEN is not set. @BotFather gives you one.", WRONG_ARGUMENTS)
        try:
            assemble.run_telegram(settings)
        except TelegramProblem as problem:
            raise _ended(str(problem), WRONG_ARGUMENTS) from None


@app.command()
def check(db: Database = None) -> None:
    """Say what would work here and what would not; the exit code is 1 where something would not."""
    with told():
        from bot import assemble

        findings = assemble.checked(_settings(database=db))
        for one in findings:
            typer.echo(f"{'ok  ' if one.works else 'FAIL'} {one.subject}: {one.said}")
        if not all(one.works for one in findings):
            raise typer.Exit(1)


@app.command()
def setup(
    file: Annotated[
        Path | None, typer.Option("--file", metavar="FILE", help="The settings file to write (default: potside.env here).")
    ] = None,
) -> None:
    """Ask for the bot's token, try it, write it into the settings file and show the code that makes you the owner."""
    with told():
        from bot import assemble
        from bot.config import SettingsProblem, settings_file

        token = _asked("The token that @BotFather gave you (it is not shown): ")
        if not token:
            raise _ended("There is no bot without a token.", WRONG_ARGUMENTS)
        settings = _settings(token=token)
        try:
            lines = assemble.set_up(settings, file or settings_file() or Path("potside.env"))
        except SettingsProblem as problem:
            raise _ended("\n".join(problem.lines), WRONG_ARGUMENTS) from None
        except assemble.SetupProblem as problem:
            raise _ended(f"The token does not work: {problem}", 1) from None
        for line in lines:
            typer.echo(line)


def _asked(question: str) -> str:
    """Return a line that a person types unseen, or the first line of what comes through a pipe."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().strip()
    from getpass import getpass

    return getpass(question).strip()


@app.command()
def status(
    db: Database = None,
    json: Annotated[bool, typer.Option("--json", help="Write one line of JSON.")] = False,
    check: Annotated[bool, typer.Option("--check", help="Exit code 1 where the bot does not run or reach Telegram.")] = False,
) -> None:
    """Show how the bot is doing: what waits, what came last, the last backup, the next wake."""
    with told():
        from bot import assemble

        found = assemble.status(_settings(database=db))
        if json:
            from json import dumps

            typer.echo(dumps(found.to_json()))
        else:
            typer.echo("\n".join(found.lines()))
        if check and not found.well:
            raise typer.Exit(1)


@app.command()
def backup(
    db: Database = None,
    to: Annotated[Path | None, typer.Option("--to", metavar="FOLDER", help="A folder, or a file that ends in .zip.")] = None,
) -> None:
    """Back up everything, while the bot runs or not, and try the backup."""
    with told():
        from bot import assemble

        typer.echo(assemble.backed_up(_settings(database=db), to))


@app.command()
def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.")],
    db: Database = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Try it and write nothing.")] = False,
) -> None:
    """Bring everything back from a backup, into a place that is empty; nothing is overwritten."""
    with told():
        from bot import assemble

        typer.echo(assemble.restored(_settings(database=db), file, dry_run=dry_run))


@app.command()
def inbox(db: Database = None) -> None:
    """Show how many messages came in, and those that could not be handled, with the reason."""
    with told():
        from bot import assemble

        for line in assemble.inbox_lines(_settings(database=db)):
            typer.echo(line)


@app.command()
def owner(db: Database = None) -> None:
    """Show a code that makes a new account the owner, where the old one is lost."""
    with told():
        from bot import assemble

        typer.echo(assemble.owner_code(_settings(database=db)))


@app.command()
def rebuild(db: Database = None) -> None:
    """Derive how each plant stands and what is due anew from the care log."""
    with told():
        settings = _settings(database=db)
        from bot import assemble

        typer.echo(assemble.rebuilt(settings))


@app.command()
def reread(
    since: Annotated[str, typer.Option(metavar="DATE", help="Read the notes from this day on: 2026-03-01.")],
    accept: Annotated[str, typer.Option(metavar="NUMBERS", help="Write these of the list anew: 1,3.")] = "",
    db: Database = None,
) -> None:
    """Show which old notes are read differently today; write anew only those that are accepted by number."""
    with told():
        from datetime import UTC, datetime

        from bot import assemble
        from bot.app import rereading

        settings = _settings(database=db)
        start, numbers = _day(since), _numbers(accept)
        with assemble.opened(settings.database, create=False, settings=settings) as database:
            found = rereading.reread(database, start)
            if not numbers:
                typer.echo("\n".join(_differing(found)) or "Nothing is read differently.")
                return
            if not all(1 <= one <= len(found) for one in numbers):
                raise _ended(f"The list has {len(found)} notes.", WRONG_ARGUMENTS)
            for one in numbers:
                done = rereading.accept(database, found[one - 1], datetime.now(UTC))
                said = "written anew" if done else "left: it would ask something, say it again in the chat"
                typer.echo(f"{one}. {found[one - 1].text}: {said}.")


def _differing(found: list[Any]) -> Iterator[str]:
    """Yield the lines of each note that is read differently: the note, then, now."""
    from bot.notes.render import render

    for number, one in enumerate(found, 1):
        yield f"{number}. {one.sent_at:%Y-%m-%d} {one.text}"
        yield "   then: " + ("; ".join(render(one.then).splitlines()) or "nothing")
        yield "   now:  " + ("; ".join(render(one.now).splitlines()) or "nothing")


def _day(text: str) -> datetime:
    from datetime import UTC, date, datetime, time

    try:
        return datetime.combine(date.fromisoformat(text), time.min, UTC)
    except ValueError:
        raise _ended(f'"{_utf8(text)[:40]}" is not a day: write it as 2026-03-01.', WRONG_ARGUMENTS) from None


def _numbers(text: str) -> list[int]:
    try:
        return [int(one) for one in text.replace(",", " ").split()]
    except ValueError:
        raise _ended(f'"{_utf8(text)[:40]}" are not numbers of the list: write 1,3.', WRONG_ARGUMENTS) from None


@app.command()
def read(
    text: Annotated[str | None, typer.Argument(help="A note, in quotes.")] = None,
    jsonl: Annotated[bool, typer.Option("--jsonl", help="Read JSON lines from standard input, write one for each.")] = False,
    names: Annotated[
        Path | None, typer.Option(metavar="FILE", help="What the collection knows: places, nicknames, lots.")
    ] = None,
    explain: Annotated[bool, typer.Option("--explain", help="Show how the words were understood.")] = False,
    now: Annotated[str | None, typer.Option(metavar="MOMENT", help="When the note was written: 2026-04-15T10:40.")] = None,
    tz: Annotated[str | None, typer.Option(metavar="NAME", help="The time zone of that moment.")] = None,
) -> None:
    """Show what a note says, before anyone looks in the collection."""
    if (text is None) != jsonl:
        raise _ended(
            'Give one note in quotes, or --jsonl and notes on standard input: potside read "watered tray 3".', WRONG_ARGUMENTS
        )
    with told():
        known = _names(names)
        if text is not None:
            typer.echo(_reading(_utf8(text), _moment(now, tz), known, explain=explain))
        else:
            from bot.notes.batch import read_jsonl

            for line in read_jsonl(sys.stdin, known):
                print(line, flush=sys.stdout.isatty())


def _names(path: Path | None) -> Names:
    import json

    from bot.notes.batch import names_from_json

    if path is None:
        return names_from_json({})
    try:
        return names_from_json(json.loads(path.read_text(encoding="utf-8")))
    except OSError as error:
        raise _ended(f"--names: {path} cannot be read: {error.strerror}.", WRONG_ARGUMENTS) from None
    except (ValueError, TypeError, AttributeError, LookupError):
        raise _ended(f"--names: {path} does not hold a collection's names as JSON.", WRONG_ARGUMENTS) from None


def _moment(now: str | None, tz: str | None) -> datetime:
    from datetime import UTC, datetime

    from bot.chat.clock import ClockProblem, local_zone, moment_of

    try:
        zone = local_zone(tz)
        return moment_of(now, datetime.now(zone)).astimezone(zone) if now else datetime.now(UTC).astimezone(zone)
    except ClockProblem as problem:
        raise _ended(str(problem), WRONG_ARGUMENTS) from None


def _reading(text: str, now: datetime, names: Names, *, explain: bool) -> str:
    import json

    from bot.notes import reader

    if explain:
        return reader.explain(text, now, names)
    return json.dumps(reader.read(text, now, names).to_json(), ensure_ascii=False, indent=2)


def _utf8(argument: str) -> str:
    """Return an argument with U+FFFD for bytes that are not UTF-8, whatever locale it was decoded under."""
    return os.fsencode(argument).decode("utf-8", errors="replace")


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
            raise _ended("--unit is C or F.", WRONG_ARGUMENTS)
        try:
            text = file.read_text(encoding="utf-8-sig", errors="replace")
            zone = local_zone(tz).key if tz else None
            named = columns_of(columns) if columns else {}
            from bot import assemble

            said, bad = assemble.readings_imported(_settings(database=db), text, place, zone, named, unit, collection)
        except OSError as error:
            raise _ended(f"{file} cannot be read: {error.strerror}.", WRONG_ARGUMENTS) from None
        except (ReadingsProblem, ClockProblem) as problem:
            raise _ended(f"{problem}.", WRONG_ARGUMENTS) from None
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
    _plants(lambda run: run.plants_imported(_settings(database=db), file, columns, collection, write, leave_bad, ask))


@plants_app.command("undo-import")
def undo_import(db: Database = None, collection: Whose = "") -> None:
    """Take the last import back, all of it."""
    _plants(lambda run: (run.plants_taken_back(_settings(database=db), collection), []))


@app.command()
def share(
    number: int, to: Annotated[Path, typer.Option(help="The folder to write to.")], db: Database = None, collection: Whose = ""
) -> None:
    """Write a shared list as a page and a table, to send on."""
    _plants(lambda run: (run.list_written(_settings(database=db), number, to, collection), []))


def _plants(work: Any) -> None:
    with told():
        from bot import assemble

        try:
            said, unclear = work(assemble)
        except ValueError as problem:
            raise _ended(str(problem), WRONG_ARGUMENTS) from None
        typer.echo(said)
        for line in unclear:
            typer.echo(line, err=True)
        if unclear:
            raise typer.Exit(1)


@app.command()
def reckon(
    name: Annotated[str | None, typer.Argument(help="The computation: daylength, drying, degree-days ...")] = None,
    inputs: Annotated[list[str] | None, typer.Argument(metavar="[KEY=VALUE]...", help="What it starts from.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Write one line of JSON.")] = False,
    listed: Annotated[bool, typer.Option("--list", help="Show the computations, or the inputs of one, with sources.")] = False,
) -> None:
    """Compute one thing by its name, with its range, its reason and where it comes from."""
    if name is None and not listed:
        raise _ended("Give a computation, or --list to see them: potside reckon daylength latitude=52.", WRONG_ARGUMENTS)
    with told():
        from bot.care.reckon import ReckonError
        from bot.care.reckon import reckon as computed

        try:
            if listed:
                from bot.assemble import computations

                typer.echo(computations(name, as_json=json))
                return
            result = computed(name or "", _pairs(inputs or []))
        except ReckonError as problem:
            raise _ended(str(problem), WRONG_ARGUMENTS) from None
        sources = (f"Source: {one}" for one in result.sources)
        typer.echo(result.as_json() if json else "\n".join([result.as_text(), *sources]))


def _pairs(inputs: list[str]) -> dict[str, str]:
    pairs: dict[str, str] = {}
    for one in inputs:
        key, equals, value = _utf8(one).partition("=")
        if not equals or key in pairs:
            raise _ended(f'"{_utf8(one)[:40]}" is not an input: write key=value, each key once.', WRONG_ARGUMENTS)
        pairs[key] = value
    return pairs
