"""``watervane club``: the pages on an invented club of six tanks."""

from __future__ import annotations

from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import program


@program.command("club")
def club_command(
    context: typer.Context,
    port: Annotated[
        int, typer.Option(min=0, max=65_535, help="Of this machine; 0 takes any that is free.")
    ] = 0,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the browser there.")
    ] = True,
    work: Annotated[
        bool, typer.Option("--work/--no-work", help="Bring its forecasts up to today meanwhile.")
    ] = True,
    once: Annotated[
        bool | None,
        typer.Option(
            "--once/--serve",
            help="Print its rounds and leave, or serve its pages until stopped. "
            "Left out: serve on a terminal, unless CI is set.",
        ),
    ] = None,
) -> None:
    """Open the pages on an invented club of six tanks; your own journal is not touched."""

    def run() -> int:
        from watervane.app.page_ports import ServeRequest
        from watervane.cli.clubbed import attended, has_display, run_club

        request = ServeRequest(port, browser and has_display(), work, "club-notice")
        leave = not attended() if once is None else once
        return run_club(request, once=leave, ports=context.obj())

    guarded(run)
