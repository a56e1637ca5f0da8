"""The command that lists a tank's limits; importing this adds it to the program."""

from __future__ import annotations

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
