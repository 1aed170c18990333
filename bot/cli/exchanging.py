"""Commands that hand a collection on: out to a file, in from one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bot.cli.root import Database, Whose, app, ended, settings_from, told


@app.command("export")
def export(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The file to write, such as plants.zip; it must not exist.")],
    db: Database = None,
    collection: Whose = "",
    darwin_core: Annotated[
        bool, typer.Option("--darwin-core", help="Only the living plants, as a Darwin Core archive, without places and sources.")
    ] = False,
) -> None:
    """Write the whole collection, its log and its photos to one file of open formats."""
    with told():
        from bot.app.readings_file import ReadingsProblem
        from bot.assemble import exchanging
        from bot.sharing.exchange import ExchangeProblem

        write = exchanging.written_as_darwin_core if darwin_core else exchanging.exported
        try:
            typer.echo(write(settings_from(database=db), file, collection))
        except (ExchangeProblem, ReadingsProblem) as problem:
            raise ended(str(problem), 1) from None
        except OSError as error:
            raise ended(f"{file} cannot be written: {error.strerror}.", 1) from None


@app.command("import")
def import_collection(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="What `potside export` wrote.")],
    db: Database = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Try all of it and keep nothing.")] = False,
) -> None:
    """Take a collection from a file, whole or not at all; it stands beside those that are there."""
    with told():
        from bot.assemble import exchanging
        from bot.sharing.exchange import ExchangeProblem

        try:
            typer.echo(exchanging.imported(settings_from(database=db), file, dry_run=dry_run))
        except ExchangeProblem as problem:
            raise ended(str(problem), 1) from None
        except OSError as error:
            raise ended(f"{file} cannot be used: {error.strerror}.", 1) from None
