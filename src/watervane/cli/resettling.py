"""The command for moving colonies; importing this adds it to the program."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import At, File, Json, Members, Seed, Threads, program


class What(StrEnum):
    """What is moved."""

    larger_tank = "larger-tank"
    house = "house"
    filter = "filter"
    lend = "lend"


class Carried(StrEnum):
    """How media travel."""

    aired = "aired"
    covered = "covered"
    damp = "damp"
    dry = "dry"


def _percent(flag: str, told: str) -> object:
    return typer.Option(flag, metavar="PERCENT", min=0.0, max=100.0, help=told)


@program.command("resettle")
def resettle_command(
    context: typer.Context,
    file: File,
    what: Annotated[What, typer.Option(help="What is moved.", case_sensitive=False)],
    volume: Annotated[
        float | None, typer.Option(metavar="L", min=1.0, help="Water of the larger tank.")
    ] = None,
    carried: Annotated[
        Carried,
        typer.Option(
            help="How the media travel: in tank water that is aired, covered by still tank water, "
            "damp, or dry.",
            case_sensitive=False,
        ),
    ] = Carried.covered,
    hours: Annotated[
        float, typer.Option(metavar="H", help="How long they are out of running water.")
    ] = 1.0,
    warmth: Annotated[
        float, typer.Option(metavar="C", help="On the way, in degrees Celsius.")
    ] = 20.0,
    share: Annotated[
        float, _percent("--share", "Of the media: kept in another filter, lent, or taken along.")
    ] = 100.0,
    new_bed: Annotated[bool, typer.Option("--new-bed", help="The old bed stays behind.")] = False,
    old_water: Annotated[
        float, _percent("--old-water", "Of the new filling that is old water.")
    ] = 0.0,
    at: At = None,
    days: Annotated[int, typer.Option(min=7, max=120, help="How many days to look at.")] = 28,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """Move a tank or its filter: what of the colonies travels, what comes of it, what to do."""

    def work() -> int:
        from watervane.app.resettling import MoveRequest
        from watervane.cli.forecast import parsed_moment
        from watervane.cli.resettled import run_resettle
        from watervane.records.resettling import ColonyMove

        way = (carried.value, hours, warmth, share / 100.0)
        move = ColonyMove(what.value, *way, not new_bed, old_water / 100.0, volume)
        request = MoveRequest(move, parsed_moment(at), days, members, seed, threads)
        return run_resettle(file, request, as_json, context.obj())

    guarded(work)
