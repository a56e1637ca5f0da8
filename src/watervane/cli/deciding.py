"""The commands that decide: what to do today, ways to start, mishaps, animals on their way home."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import At, File, Full, Json, Members, Seed, Threads, program


class Gas(StrEnum):
    """What fills a bag above the water."""

    air = "air"
    oxygen = "oxygen"


@program.command("today")
def today_command(
    context: typer.Context,
    file: Annotated[
        Path | None,
        typer.Argument(help="A tank file or a log. Left out: tell the rest by options."),
    ] = None,
    reading: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='Without a file: "ammonia 0.7 mg/L". Repeatable.'),
    ] = None,
    animals: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help='Without a file: "6 Danio rerio". Repeatable.'),
    ] = None,
    volume: Annotated[
        str | None, typer.Option(metavar="TEXT", help='Without a file: "60 L".')
    ] = None,
    days_old: Annotated[
        int | None, typer.Option(min=0, max=20_000, help="Without a file: days since filling.")
    ] = None,
    at: At = None,
    risk: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TIER=PERCENT",
            help="Chance you accept this once of passing a limit in a week. Left out: the tank's "
            "own, else acute=1, chronic=5, comfort=20. Repeatable.",
        ),
    ] = None,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """Say what is wrong today, and the least work that helps."""

    def work() -> int:
        from watervane.app import TodayRequest
        from watervane.cli.forecast import parsed_moment
        from watervane.cli.today import accepted_risk, run_today

        request = TodayRequest(
            as_of=parsed_moment(at),
            members=members,
            seed=seed,
            threads=threads,
            allowed=accepted_risk(risk or []),
            readings=tuple(reading or ()),
            animals=tuple(animals or ()),
            volume=volume,
            days_old=days_old,
        )
        return run_today(file, request, as_json, context.obj(), full=full)

    guarded(work)


@program.command("ways")
def ways_command(
    context: typer.Context,
    file: File,
    at: At = None,
    days: Annotated[int, typer.Option(min=14, max=365, help="How many days to look at.")] = 84,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 120,
    threads: Threads = 2,
) -> None:
    """Compare the ways to start a tank: with animals or without, seeded, bottled, planted."""

    def work() -> int:
        from watervane.app import WaysRequest
        from watervane.cli.forecast import parsed_moment
        from watervane.cli.ways import run_ways

        request = WaysRequest(parsed_moment(at), days, members, seed, threads)
        return run_ways(file, request, as_json, context.obj(), full=full)

    guarded(work)


@program.command("rehearse")
def rehearse_command(
    context: typer.Context,
    file: File,
    what: Annotated[
        list[str] | None,
        typer.Option(
            metavar="KIND[=SIZE]",
            help="What may happen, such as power-cut=8. Repeatable. Left out: list the kinds.",
        ),
    ] = None,
    at: At = None,
    days: Annotated[int, typer.Option(min=2, max=365, help="How many days to look at.")] = 21,
    full: Full = False,
    as_json: Json = False,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """Rehearse a mishap: the same tank under another future."""

    def work() -> int:
        from watervane.cli.forecast import parsed_moment
        from watervane.cli.rehearse import Wanted, run_rehearse

        moment = parsed_moment(at)
        effort = (seed, members, threads)
        wanted = Wanted(tuple(what or ()), moment, days, as_json, *effort, full=full)
        return run_rehearse(file, wanted, context.obj())

    guarded(work)


@program.command("bring-home")
def bring_home_command(
    context: typer.Context,
    file: File,
    animals: Annotated[
        str, typer.Option(metavar="TEXT", help='How many of what: "6 Danio rerio".')
    ],
    hours: Annotated[float, typer.Option(metavar="H", help="From netting to opening the bag.")],
    water: Annotated[float, typer.Option(metavar="L", help="Water in the bag.")] = 1.0,
    gas_space: Annotated[float, typer.Option(metavar="L", help="Gas in the bag.")] = 2.0,
    gas: Annotated[Gas, typer.Option(help="What the gas is.", case_sensitive=False)] = Gas.air,
    length: Annotated[
        float | None,
        typer.Option(metavar="CM", help="Of one animal. Left out: the usual adult length."),
    ] = None,
    ph: Annotated[float | None, typer.Option(metavar="PH", help="Of the shop's water.")] = None,
    kh: Annotated[float | None, typer.Option(metavar="DKH", help="Of the shop's water.")] = None,
    gh: Annotated[float | None, typer.Option(metavar="DGH", help="Of the shop's water.")] = None,
    temperature: Annotated[
        float | None, typer.Option(metavar="C", help="Of the bag, in degrees Celsius.")
    ] = None,
    as_json: Json = False,
    seed: Seed = 1,
) -> None:
    """Work out a bag on its way home, and how its animals best get into the tank."""

    def work() -> int:
        from watervane.cli.bring_home import Wanted, run_bring_home

        told = (length, ph, kh, gh, temperature)
        wanted = Wanted(animals, hours, water, gas_space, gas.value, *told, as_json, seed)
        return run_bring_home(file, wanted, context.obj())

    guarded(work)
