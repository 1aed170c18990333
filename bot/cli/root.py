"""What every command needs: the program itself, common options, settings, errors as a line and an exit code."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated, Any

import typer

from bot import __version__

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
        raise ended(str(problem), problem.code) from None
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # so that the last flush has somewhere to go
        raise typer.Exit(0) from None
    except KeyboardInterrupt:
        raise ended("Interrupted.", INTERRUPTED) from None


def ended(message: str, code: int) -> typer.Exit:
    typer.echo(f"potside: {message}", err=True)
    return typer.Exit(code)


def settings_from(**typed: Any) -> Any:
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


def utf8(argument: str) -> str:
    """Return an argument with U+FFFD for bytes that are not UTF-8, whatever locale it was decoded under."""
    return os.fsencode(argument).decode("utf-8", errors="replace")
