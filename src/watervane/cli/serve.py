"""``watervane serve``: open the pages in a browser."""

from __future__ import annotations

from collections.abc import Sequence
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
    share: Annotated[
        bool, typer.Option("--share", help="Let paired phones of this network in, encrypted.")
    ] = False,
    share_port: Annotated[
        int, typer.Option(min=0, max=65_535, help="For phones; 0 takes any that is free.")
    ] = 8461,
    behind: Annotated[
        str,
        typer.Option(metavar="ADDRESS", help="Of your own proxy that leads to --share-port."),
    ] = "",
) -> None:
    """Serve the pages to the browser of this machine: rounds, tanks, recording.

    What is recorded is kept in the journal: one file in your data folder, such as
    ~/.local/share/watervane/journal.sqlite. WATERVANE_JOURNAL names another file.
    """

    def run() -> int:
        from watervane.app.page_ports import ServeRequest
        from watervane.cli.exit_codes import FINE
        from watervane.wording import phrase

        def told(address: str) -> None:
            print(phrase("serve-ready", address=address), flush=True)
            print(phrase("serve-stop"), flush=True)

        def shared(addresses: Sequence[str]) -> None:
            print(phrase("serve-shared", address=addresses[0]), flush=True)
            print(phrase("serve-shared-do"), flush=True)

        asked = ServeRequest(
            port, browser, work, share=share, share_port=share_port, behind=behind.strip()
        )
        context.obj().pages.serve(asked, told, shared)
        return FINE

    guarded(run)
