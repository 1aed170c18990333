"""Commands that show how notes are read."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from bot.cli.root import WRONG_ARGUMENTS, Database, app, ended, settings_from, told, utf8

if TYPE_CHECKING:
    from datetime import datetime

    from bot.care.known_names import Names


@app.command()
def reread(
    since: Annotated[str, typer.Option(metavar="DATE", help="Read the notes from this day on: 2026-03-01.")],
    accept: Annotated[str, typer.Option(metavar="NUMBERS", help="Write these of the list anew: 1,3.")] = "",
    db: Database = None,
) -> None:
    """Show which old notes are read differently today; write anew only those that are accepted by number."""
    with told():
        from datetime import UTC, datetime

        from bot.app import rereading
        from bot.assemble import opening

        settings = settings_from(database=db)
        start, numbers = _day(since), _numbers(accept)
        with opening.opened(settings.database, create=False, settings=settings) as database:
            found = rereading.reread(database, start)
            if not numbers:
                typer.echo("\n".join(_differing(found)) or "Nothing is read differently.")
                return
            if not all(1 <= one <= len(found) for one in numbers):
                raise ended(f"The list has {len(found)} notes.", WRONG_ARGUMENTS)
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
        raise ended(f'"{utf8(text)[:40]}" is not a day: write it as 2026-03-01.', WRONG_ARGUMENTS) from None


def _numbers(text: str) -> list[int]:
    try:
        return [int(one) for one in text.replace(",", " ").split()]
    except ValueError:
        raise ended(f'"{utf8(text)[:40]}" are not numbers of the list: write 1,3.', WRONG_ARGUMENTS) from None


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
        raise ended(
            'Give one note in quotes, or --jsonl and notes on standard input: potside read "watered tray 3".', WRONG_ARGUMENTS
        )
    with told():
        known = _names(names)
        if text is not None:
            typer.echo(_reading(utf8(text), _moment(now, tz), known, explain=explain))
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
        raise ended(f"--names: {path} cannot be read: {error.strerror}.", WRONG_ARGUMENTS) from None
    except (ValueError, TypeError, AttributeError, LookupError):
        raise ended(f"--names: {path} does not hold a collection's names as JSON.", WRONG_ARGUMENTS) from None


def _moment(now: str | None, tz: str | None) -> datetime:
    from datetime import UTC, datetime

    from bot.chat.clock import ClockProblem, local_zone, moment_of

    try:
        zone = local_zone(tz)
        return moment_of(now, datetime.now(zone)).astimezone(zone) if now else datetime.now(UTC).astimezone(zone)
    except ClockProblem as problem:
        raise ended(str(problem), WRONG_ARGUMENTS) from None


def _reading(text: str, now: datetime, names: Names, *, explain: bool) -> str:
    import json

    from bot.notes import reader

    if explain:
        return reader.explain(text, now, names)
    return json.dumps(reader.read(text, now, names).to_json(), ensure_ascii=False, indent=2)
