"""The commands that take tanks in and out of the journal; importing this adds them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import program

Key = Annotated[
    str | None,
    typer.Option("--key", metavar="TEXT", help="A name for this write: sent twice, kept once."),
]


@program.command("export")
def export_command(
    context: typer.Context,
    name: Annotated[str, typer.Argument(help="The tank's name.")],
    target: Annotated[
        Path,
        typer.Argument(
            help="NAME.json holds everything ever written, NAME.tank.toml what stands, "
            "NAME.csv its log as a table."
        ),
    ],
    over: Annotated[bool, typer.Option("--over", help="Replace a file that is there.")] = False,
) -> None:
    """Write a tank of the journal to a file."""

    def work() -> int:
        from watervane.cli.exchanged import run_export

        return run_export(name, target, over, context.obj())

    guarded(work)


@program.command("import")
def import_command(
    context: typer.Context,
    source: Annotated[
        Path, typer.Argument(help="A JSON export, a tank file, a log, or any table (CSV).")
    ],
    tank: Annotated[
        str | None,
        typer.Option("--tank", metavar="NAME", help="The tank it is for; a table needs one."),
    ] = None,
    preview: Annotated[
        bool, typer.Option("--preview", help="Say what would be taken in, and write nothing.")
    ] = False,
    column: Annotated[
        list[str] | None,
        typer.Option(
            metavar="HEADER=MEANING",
            help="What a column is: 'Date=date day-first', 'NH4=ammonia in mg/L as N', "
            "'Remarks=note', 'Colour=nothing'. Repeatable; the others are guessed.",
        ),
    ] = None,
    dates: Annotated[
        str | None,
        typer.Option(metavar="ORDER", help="iso, day-first or month-first. Left out: as seen."),
    ] = None,
    decimal: Annotated[
        str | None, typer.Option(metavar="SIGN", help="point or comma. Left out: as seen.")
    ] = None,
    rest: Annotated[
        str | None,
        typer.Option(
            metavar="WHAT", help="note or nothing: what columns become that nobody told of."
        ),
    ] = None,
    good_rows: Annotated[
        bool, typer.Option("--good-rows", help="Take the rows that are fine where others are not.")
    ] = False,
    key: Key = None,
) -> None:
    """Take a file into the journal; what is there already is skipped."""

    def work() -> int:
        from watervane.app.exchange_ports import TableWords
        from watervane.app.importing import Asked
        from watervane.cli.exchanged import run_import

        words = TableWords(tuple(column or ()), dates, decimal, rest)
        asked = Asked(tank, preview=preview, good_rows=good_rows, words=words, request=key)
        return run_import(source, asked, context.obj())

    guarded(work)


@program.command("merge")
def merge_command(
    context: typer.Context,
    other: Annotated[Path, typer.Argument(help="The file of another journal; it is left as is.")],
) -> None:
    """Join another journal with this one: nothing is lost, nothing counts twice."""

    def work() -> int:
        from watervane.cli.exchanged import run_merge

        return run_merge(other, context.obj())

    guarded(work)


@program.command("mirror")
def mirror_command(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="A folder of tank files; made if missing.")],
) -> None:
    """Keep a folder of tank files and the journal in step, whichever was written to."""

    def work() -> int:
        from watervane.cli.exchanged import run_mirror

        return run_mirror(folder, context.obj())

    guarded(work)
