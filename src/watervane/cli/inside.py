"""The commands that look inside a tank: its nitrogen, its colonies."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import At, Days, File, Full, Json, Members, Seed, Threads, program

Chart = Annotated[
    list[Path] | None,
    typer.Option(metavar="OUT", help="Write a picture: .svg, .png or .pdf. Repeatable."),
]


@program.command("ledger")
def ledger_command(
    context: typer.Context,
    file: File,
    at: At = None,
    chart: Chart = None,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """Where every milligram of nitrogen came from, is, and went."""

    def work() -> int:
        from watervane.cli.inside_printed import Wanted, run_ledger

        wanted = Wanted(at, 7, tuple(chart or ()), full, as_json, (members, seed, threads))
        return run_ledger(file, wanted, context.obj())

    guarded(work)


@program.command("colonies")
def colonies_command(
    context: typer.Context,
    file: File,
    at: At = None,
    days: Days = 30,
    chart: Chart = None,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """What the two bacterial colonies could turn over, where they live, and what they have to."""

    def work() -> int:
        from watervane.cli.inside_printed import Wanted, run_colonies

        wanted = Wanted(at, days, tuple(chart or ()), full, as_json, (members, seed, threads))
        return run_colonies(file, wanted, context.obj())

    guarded(work)
