"""Commands and options. Only typer is imported here, so that help comes at once."""

from __future__ import annotations

import sys
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from watervane.cli.guard import guarded, stop_at_once_when_interrupted
from watervane.cli.help_order import GroupedCommands

if TYPE_CHECKING:
    from watervane.app import Ports

program = typer.Typer(
    name="watervane",
    cls=GroupedCommands,
    help="Foretell one aquarium's water from a description of the tank and a few test readings. "
    'In a hurry, and without any file: watervane today --reading "ammonia 0.7 mg/L".',
    epilog="Exit codes: 0 fine, 1 failed inside, 2 bad input, 3 do not lean on the dates.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


class Basis(StrEnum):
    """How nitrogen is printed."""

    usual = "usual"
    n = "n"
    ion = "ion"


class Question(StrEnum):
    """What the next test should tell of."""

    settled = "settled"
    danger = "danger"


File = Annotated[
    Path, typer.Argument(help="A tank file (.tank.toml), or a log (.csv) with its .toml beside it.")
]
Days = Annotated[int, typer.Option(min=1, max=730, help="How many days ahead.")]
Members = Annotated[
    int, typer.Option(min=20, max=100_000, help="How many imagined tanks to run forward.")
]
Seed = Annotated[int, typer.Option(min=0, max=2**31 - 1, help="Same seed, same forecast.")]
Full = Annotated[
    bool, typer.Option("--full", help="All there is to tell, not what is needed first.")
]
Threads = Annotated[int, typer.Option(min=1, max=64, help="Threads; the result is the same.")]
At = Annotated[
    str | None,
    typer.Option(metavar="DATE", help="As if it were this date. Left out: the last entry."),
]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON document.")]
Printed = Annotated[
    Basis,
    typer.Option(
        help="Nitrogen as N or as the ion; usual: nitrate as the ion, the others as N.",
        case_sensitive=False,
    ),
]


def run(make_ports: Callable[[], Ports]) -> None:
    """Parse the command line and leave with an exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    stop_at_once_when_interrupted()
    program(obj=make_ports, prog_name="watervane")


def _version(asked: bool) -> None:
    if asked:
        from watervane import __version__

        print(f"watervane {__version__}")
        raise typer.Exit


@program.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Options before any command."""


@program.command("forecast")
def forecast_command(
    context: typer.Context,
    file: File,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="DATE",
            help="Foretell as if it were this date; later readings are not used. "
            "Left out: the last entry of the log.",
        ),
    ] = None,
    days: Days = 30,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
    chart: Annotated[
        list[Path] | None,
        typer.Option(metavar="OUT", help="Write a picture: .svg, .png, .pdf or .html. Repeatable."),
    ] = None,
    seed: Seed = 1,
    members: Members = 1000,
    threads: Threads = 2,
    basis: Printed = Basis.usual,
    question: Annotated[
        Question | None,
        typer.Option(
            help="What the next test should tell of. Left out: settled, while that is open.",
            case_sensitive=False,
        ),
    ] = None,
    deep: Annotated[
        bool,
        typer.Option(
            "--deep",
            help="Foretell from 4,000 imagined tanks moved for minutes, and tell whether the usual "
            "forecast agrees; exit code 3 where it does not.",
        ),
    ] = False,
    full: Full = False,
) -> None:
    """Foretell the water, and when the tank is settled."""

    def work() -> int:
        from watervane.cli.forecast import Wanted, parsed_moment, run_forecast

        wanted = Wanted(
            parsed_moment(at),
            days,
            as_json,
            tuple(chart or ()),
            seed,
            members,
            threads,
            basis.value,
            None if question is None else question.value,
            deep=deep,
            full=full,
        )
        return run_forecast(file, wanted, context.obj())

    guarded(work)


@program.command("score")
def score_command(
    context: typer.Context,
    file: File,
    every: Annotated[
        str | None,
        typer.Option(
            metavar="N",
            help="Foretell every N days from the first day of readings. Left out: after each day "
            "of readings, at most eight of them.",
        ),
    ] = None,
    stored: Annotated[
        list[Path] | None,
        typer.Option(
            metavar="JSON",
            help="Score a forecast stored by forecast --json instead. Repeatable.",
        ),
    ] = None,
    kept: Annotated[
        bool,
        typer.Option("--kept", help="Score the forecasts that the journal kept of the tank."),
    ] = False,
    chart: Annotated[
        list[Path] | None,
        typer.Option(metavar="OUT", help="Write a picture: .svg, .png or .pdf. Repeatable."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
    seed: Seed = 1,
    members: Members = 300,
    threads: Threads = 2,
) -> None:
    """Score forecasts of a log on the readings that came later."""

    def work() -> int:
        from watervane.cli.score import Wanted, run_score

        charts = tuple(chart or ())
        wanted = Wanted(every, tuple(stored or ()), kept, charts, as_json, seed, members, threads)
        return run_score(file, wanted, context.obj())

    guarded(work)


@program.command("check")
def check_command(context: typer.Context, file: File) -> None:
    """Check a file: every problem, each with its line."""

    def work() -> int:
        from watervane.cli.lists import run_check

        return run_check(file, context.obj())

    guarded(work)


@program.command("schema")
def schema_command(
    context: typer.Context,
    journal: Annotated[
        bool, typer.Option("--journal", help="Of the document that export writes instead.")
    ] = False,
) -> None:
    """Print the JSON Schema of the tank file."""

    def work() -> int:
        from watervane.cli.lists import run_schema

        return run_schema(context.obj(), journal=journal)

    guarded(work)


@program.command("sources")
def sources_command(
    context: typer.Context,
    key: Annotated[str | None, typer.Argument(help="One source; left out: all of them.")] = None,
) -> None:
    """List the publications behind the numbers."""

    def work() -> int:
        from watervane.cli.lists import run_sources

        return run_sources(key, context.obj())

    guarded(work)


@program.command("demo")
def demo_command(
    context: typer.Context,
    out: Annotated[Path, typer.Option(metavar="FOLDER", help="Where pictures go.")] = Path("out"),
    members: Members = 1000,
    threads: Threads = 2,
) -> None:
    """Foretell an invented tank on day 12, and again on day 24."""

    def work() -> int:
        from watervane.cli.demo import run_demo

        return run_demo(out, members, threads, context.obj())

    guarded(work)
