"""Commands that run the bot, set it up and look at how it does."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from bot.cli.root import WRONG_ARGUMENTS, Database, Zone, app, ended, settings_from, told


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
        settings = settings_from(database=db, zone=zone, latitude=latitude)
        from bot.assemble import running
        from bot.chat.clock import ClockProblem

        try:
            running.chat_in_terminal(settings, at=at, as_json=json, echo=echo)
        except ClockProblem as problem:
            raise ended(f"--at: {problem}", WRONG_ARGUMENTS) from None


@app.command()
def run(db: Database = None) -> None:
    """Talk over Telegram until stopped."""
    with told():
        from bot.assemble import running
        from bot.chat.telegram import TelegramProblem

        settings = settings_from(database=db)
        if settings.token is None:
            raise ended("POTSIDE_TOKEN is not set. @BotFather gives you one.", WRONG_ARGUMENTS)
        try:
            running.run_telegram(settings)
        except TelegramProblem as problem:
            raise ended(str(problem), WRONG_ARGUMENTS) from None


@app.command()
def check(db: Database = None) -> None:
    """Say what would work here and what would not; the exit code is 1 where something would not."""
    with told():
        from bot.assemble import running

        findings = running.checked(settings_from(database=db))
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
        from bot.assemble import running
        from bot.config import SettingsProblem, settings_file

        token = _asked("The token that @BotFather gave you (it is not shown): ")
        if not token:
            raise ended("There is no bot without a token.", WRONG_ARGUMENTS)
        settings = settings_from(token=token)
        try:
            lines = running.set_up(settings, file or settings_file() or Path("potside.env"))
        except SettingsProblem as problem:
            raise ended("\n".join(problem.lines), WRONG_ARGUMENTS) from None
        except running.SetupProblem as problem:
            raise ended(f"The token does not work: {problem}", 1) from None
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
        from bot.assemble import running

        found = running.status(settings_from(database=db))
        if json:
            from json import dumps

            typer.echo(dumps(found.to_json()))
        else:
            typer.echo("\n".join(found.lines()))
        if check and not found.well:
            raise typer.Exit(1)
