"""The commands that list limits and animals; importing this adds them to the program."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import At, File, Json, program


@program.command("limits")
def limits_command(
    context: typer.Context,
    file: File,
    at: At = None,
    every: Annotated[
        bool, typer.Option("--every", help="Also those that others are stricter than.")
    ] = False,
    as_json: Json = False,
) -> None:
    """List how far the water may go for these animals, and on whose word."""

    def work() -> int:
        from watervane.cli.forecast import parsed_moment
        from watervane.cli.limits import Wanted, run_limits

        return run_limits(file, Wanted(parsed_moment(at), every, as_json), context.obj())

    guarded(work)


@program.command("animals")
def animals_command(
    context: typer.Context,
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="Scientific or common; without: a list.")
    ] = None,
    kind: Annotated[
        str | None, typer.Option(metavar="KIND", help="fish, shrimp, snail or amphibian.")
    ] = None,
    suits: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT",
            help='A water they are to live in: "gh 12 dGH", "ph 7.2..7.8", "temperature 24 degC". '
            "Repeatable.",
        ),
    ] = None,
    own: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Animals of your own, a table or a tank file; they go before ours.",
        ),
    ] = None,
    row: Annotated[
        bool, typer.Option("--row", help="Print the animal as a table to make your own of.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Look an animal up: size, company, water, place, food, care; or list those of a water."""

    def work() -> int:
        from watervane.cli.animals import Asked, run_animal, run_animals

        asked = Asked(kind, tuple(suits or ()), own, row, as_json)
        if name is None:
            return run_animals(asked, context.obj())
        return run_animal(name, asked, context.obj())

    guarded(work)
