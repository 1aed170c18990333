"""Commands that look after the data: backups, messages set aside, the owner, derived rows."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bot.cli.root import Database, app, settings_from, told


@app.command()
def backup(
    db: Database = None,
    to: Annotated[Path | None, typer.Option("--to", metavar="FOLDER", help="A folder, or a file that ends in .zip.")] = None,
) -> None:
    """Back up everything, while the bot runs or not, and try the backup."""
    with told():
        from bot.assemble import keeping

        typer.echo(keeping.backed_up(settings_from(database=db), to))


@app.command()
def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.")],
    db: Database = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Try it and write nothing.")] = False,
) -> None:
    """Bring everything back from a backup, into a place that is empty; nothing is overwritten."""
    with told():
        from bot.assemble import keeping

        typer.echo(keeping.restored(settings_from(database=db), file, dry_run=dry_run))


@app.command()
def inbox(db: Database = None) -> None:
    """Show how many messages came in, and those that could not be handled, with the reason."""
    with told():
        from bot.assemble import keeping

        for line in keeping.inbox_lines(settings_from(database=db)):
            typer.echo(line)


@app.command()
def owner(db: Database = None) -> None:
    """Show a code that makes a new account the owner, where the old one is lost."""
    with told():
        from bot.assemble import keeping

        typer.echo(keeping.owner_code(settings_from(database=db)))


@app.command()
def rebuild(db: Database = None) -> None:
    """Derive how each plant stands and what is due anew from the care log."""
    with told():
        settings = settings_from(database=db)
        from bot.assemble import keeping

        typer.echo(keeping.rebuilt(settings))
