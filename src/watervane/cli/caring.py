"""The commands for trouble and care; importing this adds them to the program."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import Json, program


@program.command("first-aid")
def first_aid_command(
    context: typer.Context,
    see: Annotated[
        str | None,
        typer.Option(
            metavar="WHAT",
            help="What you see: gasping, restless, listless, deaths, cloudy, marks or usual.",
        ),
    ] = None,
    done: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WHAT",
            help="What was done in the last two days: water-raw, water-change, food-spilt, "
            "newcomers, filter-cleaned, stopped, treated, gas, sprayed, heat, months, or none. "
            "Repeatable.",
        ),
    ] = None,
    test: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT",
            help='A test and what it shows: "ph 6.4", "ammonia some". Repeatable.',
        ),
    ] = None,
    page: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Write a page for phones that needs no network and no program."
        ),
    ] = None,
    sheet: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write a sheet for the wall, as PDF.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Tell what to do in the next hour when animals are in trouble; needs no file."""

    def work() -> int:
        from watervane.cli.first_aid import Wanted, run_first_aid

        deeds, tests = tuple(done or ()), tuple(test or ())
        return run_first_aid(Wanted(see or "", deeds, tests, page, sheet, as_json), context.obj())

    guarded(work)
