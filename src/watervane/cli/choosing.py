"""The command that chooses animals for a tank from a wish list."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.planning import (
    Air,
    Altitude,
    Bed,
    Bow,
    CalendarFile,
    Corners,
    Decor,
    Depth,
    Filled,
    Flow,
    From,
    Glass,
    Humidity,
    Machines,
    Media,
    MediaVolume,
    Membrane,
    Name,
    NoLid,
    Outside,
    Over,
    Plants,
    Rain,
    Return,
    Room,
    Shape,
    Sheet,
    Size,
    Tap,
    Target,
    Want,
    Water,
    blueprint_program,
    words_told,
)
from watervane.cli.program import Json


@blueprint_program.command("choose")
def choose_command(
    context: typer.Context,
    wish: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TEXT",
            help='An animal wished for: "10 Danio rerio", "Corydoras" (as many as do it justice) '
            'or "6 guppy, weight 2". Repeatable.',
        ),
    ] = None,
    change: Annotated[
        str | None,
        typer.Option(
            metavar="TEXT",
            help='Water you are willing to change a week: "10 L" or "25 %". Left out: 25 %.',
        ),
    ] = None,
    own: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="A table of your own animals, or a tank file that holds them; it goes "
            "before ours.",
        ),
    ] = None,
    size: Size = None,
    shape: Shape = None,
    bow: Bow = None,
    return_: Return = None,
    corners: Corners = None,
    outside: Outside = False,
    glass: Glass = None,
    water_depth: Depth = None,
    bed: Bed = None,
    decor: Decor = None,
    target: Target = None,
    media: Media = None,
    media_volume: MediaVolume = None,
    flow: Flow = None,
    air: Air = None,
    water: Water = None,
    room: Room = None,
    humidity: Humidity = None,
    no_lid: NoLid = False,
    machines: Machines = None,
    altitude: Altitude = None,
    plants: Plants = None,
    from_: From = None,
    tap: Tap = None,
    want: Want = None,
    membrane: Membrane = False,
    rain: Rain = False,
    name: Name = None,
    write: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write a tank file made for the animals chosen."),
    ] = None,
    filled: Filled = None,
    sheet: Sheet = None,
    calendar: CalendarFile = None,
    over: Over = False,
    as_json: Json = False,
) -> None:
    """Choose from a wish list: who can share this water, how many of each, what would help."""
    told = dict(locals())

    def work() -> int:
        from watervane.app.handing_over import HandOver
        from watervane.cli.chosen import run_choose

        for other in ("context", "own", "write", "sheet", "calendar", "over", "as_json"):
            told.pop(other)
        files = HandOver(write, sheet, calendar, over)
        return run_choose(words_told(told), own, files, as_json, context.obj())

    guarded(work)
