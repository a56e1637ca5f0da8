"""The commands that keep tanks in the journal; importing this adds them to the program."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import program

tank_program = typer.Typer(
    name="tank",
    help="Add, list, show and edit the tanks of the journal.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
program.add_typer(tank_program)

Name = Annotated[str, typer.Argument(help="The tank's name.")]
Told = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="KEY=VALUE",
        help="Keys of a tank file: volume='57 L', heater.set_point='25 degC', "
        "source_water.kh='5 dKH'.",
    ),
]
Of = Annotated[
    str | None, typer.Option("--tank", metavar="NAME", help="Left out: the only tank there is.")
]
At = Annotated[
    str | None,
    typer.Option(
        metavar="WHEN",
        help="A date, '2026-03-12 19:30', or 19:30 for today. Left out: now.",
    ),
]
Sure = Annotated[
    bool, typer.Option("--sure", help="It is so, however unlikely: nothing is asked about it.")
]
Key = Annotated[
    str | None,
    typer.Option("--key", metavar="TEXT", help="A name for this write: sent twice, kept once."),
]


@tank_program.command("add")
def add_command(
    context: typer.Context,
    tank: Annotated[
        str, typer.Argument(metavar="NAME|FILE", help="A new name, or a tank file or log.")
    ],
    told: Told = None,
    key: Key = None,
) -> None:
    """Add a tank: from a file with its whole log, or described in a line."""

    def work() -> int:
        from watervane.cli.kept import run_add

        return run_add(tank, tuple(told or ()), key, context.obj())

    guarded(work)


@tank_program.command("list")
def list_command(
    context: typer.Context,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """List the tanks of the journal."""

    def work() -> int:
        from watervane.cli.kept import run_list

        return run_list(as_json, context.obj())

    guarded(work)


@tank_program.command("show")
def show_command(
    context: typer.Context,
    name: Name,
    newest: Annotated[int, typer.Option(min=0, max=100_000, help="How many entries.")] = 10,
    as_file: Annotated[
        bool, typer.Option("--file", help="Print it all as a tank file instead.")
    ] = False,
) -> None:
    """Show a tank and its newest entries with their numbers."""

    def work() -> int:
        from watervane.cli.kept import run_show

        return run_show(name, newest, as_file, context.obj())

    guarded(work)


@tank_program.command("edit")
def edit_command(context: typer.Context, name: Name, told: Told = None, key: Key = None) -> None:
    """Change what a tank is: KEY=VALUE sets, KEY= takes out."""

    def work() -> int:
        from watervane.cli.kept import run_edit

        return run_edit(name, tuple(told or ()), key, context.obj())

    guarded(work)


@program.command("record")
def record_command(
    context: typer.Context,
    kind: Annotated[
        str,
        typer.Argument(
            help="reading, feed, water-change, top-off, animals, died, dose, seed, clean, note, "
            "outage, treatment, equipment ..."
        ),
    ],
    words: Annotated[
        list[str] | None,
        typer.Argument(help="As in: reading ammonia '0.7 mg/L as N' kit=drop"),
    ] = None,
    tank: Of = None,
    at: At = None,
    photo: Annotated[
        list[Path] | None,
        typer.Option(metavar="FILE", help="Kept without place and camera. Repeatable."),
    ] = None,
    key: Key = None,
    sure: Sure = False,
) -> None:
    """Write down a reading or what was done: record feed '1 pinch'."""

    def work() -> int:
        from watervane.cli.kept import run_record

        pictures = tuple(photo or ())
        line = (kind, tuple(words or ()))
        return run_record(tank, line, at, pictures, key, context.obj(), sure=sure)

    guarded(work)


@program.command("photo")
def photo_command(
    context: typer.Context,
    number: Annotated[int, typer.Argument(min=1, help="Of the entry, as tank show lists it.")],
    file: Annotated[Path, typer.Argument(help="A new file, such as out.jpg.")],
) -> None:
    """Write the photo of an entry to a file."""

    def work() -> int:
        from watervane.cli.kept import run_photo

        return run_photo(number, file, context.obj())

    guarded(work)


@program.command("correct")
def correct_command(
    context: typer.Context,
    number: Annotated[int, typer.Argument(min=1, help="Of the entry, as tank show lists it.")],
    words: Annotated[
        list[str] | None, typer.Argument(help="What is right, as told to record.")
    ] = None,
    at: At = None,
    key: Key = None,
    sure: Sure = False,
) -> None:
    """Put the right thing in the place of an entry; the old one is kept, too."""

    def work() -> int:
        from watervane.cli.kept import run_correct

        return run_correct(number, tuple(words or ()), at, key, context.obj(), sure=sure)

    guarded(work)


@program.command("undo")
def undo_command(
    context: typer.Context,
    tank: Of = None,
    entry: Annotated[
        int | None, typer.Option(min=1, metavar="NUMBER", help="Left out: what was written last.")
    ] = None,
    key: Key = None,
) -> None:
    """Undo what was written last, or one entry; the journal keeps both."""

    def work() -> int:
        from watervane.cli.kept import run_undo

        return run_undo(tank, entry, key, context.obj())

    guarded(work)


@program.command("backup")
def backup_command(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="A new file.")],
) -> None:
    """Copy the whole journal to a file, also while it is in use, and read the copy back."""

    def work() -> int:
        from watervane.cli.kept import run_backup

        return run_backup(file, context.obj())

    guarded(work)


@program.command("restore")
def restore_command(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="A copy made by backup.")],
    over: Annotated[
        bool, typer.Option("--over", help="Replace a journal that holds tanks; it is kept beside.")
    ] = False,
) -> None:
    """Put a copy in the journal's place."""

    def work() -> int:
        from watervane.cli.kept import run_restore

        return run_restore(file, over, context.obj())

    guarded(work)


@program.command("look-over")
def look_over_command(context: typer.Context) -> None:
    """Look over the installation and the journal, and explain what is wrong."""

    def work() -> int:
        from watervane.cli.kept import run_look_over

        return run_look_over(context.obj())

    guarded(work)
