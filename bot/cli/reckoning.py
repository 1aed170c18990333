"""The command that computes one thing by its name."""

from __future__ import annotations

from typing import Annotated

import typer

from bot.cli.root import WRONG_ARGUMENTS, app, ended, told, utf8


@app.command()
def reckon(
    name: Annotated[str | None, typer.Argument(help="The computation: daylength, drying, degree-days ...")] = None,
    inputs: Annotated[list[str] | None, typer.Argument(metavar="[KEY=VALUE]...", help="What it starts from.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Write one line of JSON.")] = False,
    listed: Annotated[bool, typer.Option("--list", help="Show the computations, or the inputs of one, with sources.")] = False,
) -> None:
    """Compute one thing by its name, with its range, its reason and where it comes from."""
    if name is None and not listed:
        raise ended("Give a computation, or --list to see them: potside reckon daylength latitude=52.", WRONG_ARGUMENTS)
    with told():
        from bot.care.reckon import ReckonError
        from bot.care.reckon import reckon as computed

        try:
            if listed:
                from bot.assemble.records import computations

                typer.echo(computations(name, as_json=json))
                return
            result = computed(name or "", _pairs(inputs or []))
        except ReckonError as problem:
            raise ended(str(problem), WRONG_ARGUMENTS) from None
        sources = (f"Source: {one}" for one in result.sources)
        typer.echo(result.as_json() if json else "\n".join([result.as_text(), *sources]))


def _pairs(inputs: list[str]) -> dict[str, str]:
    pairs: dict[str, str] = {}
    for one in inputs:
        key, equals, value = utf8(one).partition("=")
        if not equals or key in pairs:
            raise ended(f'"{utf8(one)[:40]}" is not an input: write key=value, each key once.', WRONG_ARGUMENTS)
        pairs[key] = value
    return pairs
