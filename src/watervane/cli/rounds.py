"""``watervane rounds`` and ``watervane work``; importing this adds them to the program."""

from __future__ import annotations

from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import Members, Seed, program


@program.command("rounds")
def rounds_command(
    context: typer.Context,
    refresh: Annotated[
        bool, typer.Option("--refresh", help="Compute what is not current first.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
    members: Members = 1000,
    seed: Seed = 1,
) -> None:
    """Go the rounds of all tanks, the one that could lose animals soonest first."""

    def work() -> int:
        from watervane.app.job_ports import WorkRequest
        from watervane.cli.rounds_printed import run_rounds

        request = WorkRequest(members=members, seed=seed) if refresh else None
        return run_rounds(request, as_json, context.obj())

    guarded(work)


@program.command("work")
def work_command(
    context: typer.Context,
    once: Annotated[
        bool, typer.Option("--once", help="Leave when nothing is left to compute.")
    ] = False,
    only_asked: Annotated[
        bool,
        typer.Option(
            "--only-asked", help="Compute only what was asked for, not all that is not current."
        ),
    ] = False,
    members: Members = 1000,
    seed: Seed = 1,
    threads: Annotated[
        int | None, typer.Option(min=1, max=64, help="Left out: all cores but one.")
    ] = None,
    attached: Annotated[bool, typer.Option("--attached", hidden=True)] = False,
    only_answers: Annotated[bool, typer.Option("--only-answers", hidden=True)] = False,
) -> None:
    """Keep the forecasts of the journal's tanks current, in the background of this machine."""

    def work() -> int:
        from watervane.app.job_ports import WorkRequest
        from watervane.cli.rounds_printed import run_work

        request = WorkRequest(
            once=once,
            keep_current=not only_asked,
            members=members,
            seed=seed,
            threads=threads,
            only_answers=only_answers,
        )
        return run_work(request, attached=attached, ports=context.obj())

    guarded(work)
