"""``watervane serve``: open the pages in a browser."""

from __future__ import annotations

from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import program


@program.command("serve")
def serve_command(
    context: typer.Context,
    port: Annotated[
        int, typer.Option(min=0, max=65_535, help="Of this machine; 0 takes any that is free.")
    ] = 8460,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the browser there.")
    ] = True,
    work: Annotated[
        bool, typer.Option("--work/--no-work", help="Keep forecasts current meanwhile.")
    ] = True,
) -> None:
    """Serve the pages to the browser of this machine: rounds, tanks, recording."""

    def run() -> int:
        from watervane.app.page_ports import ServeRequest
        from watervane.cli.exit_codes import FINE
        from watervane.wording import phrase

        def told(address: str) -> None:
            print(phrase("serve-ready", address=address), flush=True)
            print(phrase("serve-stop"), flush=True)

        context.obj().pages.serve(ServeRequest(port, browser, work), told)
        return FINE

    guarded(run)
