"""The commands that grow a tank: headroom, challenge test, the way to a full tank."""

from __future__ import annotations

from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import At, File, Full, Json, Members, Seed, Threads, program

Risk = Annotated[
    list[str] | None,
    typer.Option(
        metavar="TIER=PERCENT",
        help="Chance you accept this once of passing a limit. Left out: the tank's own. "
        "Repeatable.",
    ),
]


@program.command("headroom")
def headroom_command(
    context: typer.Context,
    file: File,
    species: Annotated[
        str | None,
        typer.Option(
            metavar="NAME", help="Animals asked about. Left out: like those that weigh most."
        ),
    ] = None,
    length: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH", help='Of one animal: "4 cm". Left out: the usual adult length.'
        ),
    ] = None,
    days: Annotated[
        int, typer.Option(min=0, max=365, help="How many days ahead additions are looked at.")
    ] = 56,
    at: At = None,
    risk: Risk = None,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """How much more daily food, and so how many more animals, the tank can take, and when."""

    def work() -> int:
        from watervane.cli.grown import run_headroom

        told = (species, length, tuple(risk or ()), at, days)
        return run_headroom(file, told, (members, seed, threads), as_json, context.obj(), full=full)

    guarded(work)


@program.command("challenge")
def challenge_command(
    context: typer.Context,
    file: File,
    dose: Annotated[
        float | None,
        typer.Option(
            metavar="MG_N_PER_L",
            help="By how much the dose raises ammonia, in mg N/L. Left out: the dose that "
            "tells most.",
        ),
    ] = None,
    substance: Annotated[
        str, typer.Option(metavar="NAME", help="What is dosed.")
    ] = "ammonium chloride",
    at: At = None,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """Plan a test of the colonies without animals: dose ammonia, wait a day, read."""

    def work() -> int:
        from watervane.cli.grown import run_challenge

        told = (substance, dose, at)
        return run_challenge(
            file, told, (members, seed, threads), as_json, context.obj(), full=full
        )

    guarded(work)


@program.command("fill")
def fill_command(
    context: typer.Context,
    file: File,
    wish: Annotated[
        list[str],
        typer.Option(metavar="TEXT", help='Animals you want: "10 Danio rerio 4 cm". Repeatable.'),
    ],
    quarantine: Annotated[
        int, typer.Option(min=0, max=120, metavar="DAYS", help="In quarantine before they join.")
    ] = 28,
    days: Annotated[
        int, typer.Option(min=7, max=730, help="Days within which all are to be in.")
    ] = 182,
    at: At = None,
    risk: Risk = None,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """Find the order, batches and dates that have all the animals you want in soonest."""

    def work() -> int:
        from watervane.cli.grown import run_fill

        told = (tuple(wish), quarantine, days, tuple(risk or ()), at)
        return run_fill(file, told, (members, seed, threads), as_json, context.obj(), full=full)

    guarded(work)
