"""The commands that plan: a tank that does not exist yet, and its water."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from watervane.cli.guard import guarded
from watervane.cli.program import File, Json, program

blueprint_program = typer.Typer(
    name="blueprint",
    help="Plan a tank that does not exist yet, or look over the glass and machines of one.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
program.add_typer(blueprint_program)


def _text(flag: str, example: str, told: str) -> object:
    return typer.Option(flag, metavar="TEXT", help=f'{told} "{example}".')


Size = Annotated[
    str | None,
    _text("--size", "60 x 30 x 36 cm", "Length, width, height; a cylinder has two, a cube one."),
]
Shape = Annotated[
    str | None,
    typer.Option(
        metavar="KIND",
        help="rectangular, cube, cylinder, hexagon, 'bow front', corner or polygon.",
    ),
]
Bow = Annotated[str | None, _text("--bow", "8 cm", "How far the front bows out.")]
Return = Annotated[str | None, _text("--return", "20 cm", "Short sides of a corner tank.")]
Corners = Annotated[
    str | None, _text("--corners", "0,0 60,0 60,30 0,30", "Corners of a polygon, in cm.")
]
Outside = Annotated[bool, typer.Option("--outside", help="Sizes are outside the glass.")]
Glass = Annotated[str | None, _text("--glass", "6 mm", "Thickness of the panes.")]
Bottom = Annotated[str | None, _text("--bottom", "8 mm", "Of the bottom pane, if another.")]
Braced = Annotated[bool, typer.Option("--braced", help="Strips hold the upper edges.")]
Frame = Annotated[
    bool, typer.Option("--frame", help="A frame carries the bottom pane's edges alone.")
]
Depth = Annotated[str | None, _text("--water-depth", "32 cm", "From the floor to the water.")]
Bed = Annotated[
    list[str] | None,
    typer.Option(
        metavar="TEXT",
        help='A layer, front..back, lowest first: "gravel 3..5 cm" or "sand 2 cm 0.8 mm". '
        'Repeatable; "none 0 cm" for none.',
    ),
]
Decor = Annotated[
    list[str] | None,
    typer.Option(metavar="TEXT", help='stone, limestone or wood: "stone 4 kg". Repeatable.'),
]
Equipment = Annotated[str | None, _text("--equipment", "3 kg", "Filter, lamp and lid weigh.")]
Stand = Annotated[str | None, _text("--stand", "20 kg", "The stand weighs.")]
On = Annotated[
    str | None,
    typer.Option(
        metavar="WHAT",
        help="stand: made for a tank of this weight; shelf: any shelf or furniture that is not.",
    ),
]
Floor = Annotated[
    str | None,
    typer.Option(metavar="KIND", help="timber, concrete or ground (no cellar)."),
]
Span = Annotated[str | None, _text("--span", "4 m", "Of the floor, between walls that carry it.")]
Joists = Annotated[str | None, _text("--joists", "40 cm", "From joist to joist.")]
Lies = Annotated[
    str | None,
    typer.Option(metavar="HOW", help="The tank's length runs across the joists, or along."),
]
WallGap = Annotated[
    str | None, _text("--wall-gap", "5 cm", "From the tank's back to the carrying wall.")
]
Animals = Annotated[
    list[str] | None,
    typer.Option(metavar="TEXT", help='Animals wanted: "10 Danio rerio 4 cm". Repeatable.'),
]
Food = Annotated[str | None, _text("--food", "0.3 g", "Food a day, if not what the animals need.")]
Target = Annotated[str | None, _text("--target", "0.2 mg/L as N", "Ammonia the filter is to hold.")]
Media = Annotated[str | None, _text("--media", "sponge", "Filter medium.")]
MediaVolume = Annotated[str | None, _text("--media-volume", "0.5 L", "Of a filter at hand.")]
Flow = Annotated[str | None, _text("--flow", "300 L/h", "Of a filter at hand, as it runs.")]
Label = Annotated[str | None, _text("--label", "100 L", "Tank that the filter's label names.")]
Air = Annotated[str | None, _text("--air", "60 L/h", "Air pumped in.")]
Water = Annotated[str | None, _text("--water", "25 degC", "Temperature of the water.")]
Room = Annotated[
    str | None, _text("--room", "17..28 degC", "Mean of the coldest and of the warmest day.")
]
Humidity = Annotated[str | None, _text("--humidity", "0.5", "Of the room.")]
NoLid = Annotated[bool, typer.Option("--no-lid", help="Nothing covers the water.")]
Machines = Annotated[str | None, _text("--machines", "5 W", "Heat of pump and lamp in the water.")]
Heater = Annotated[str | None, _text("--heater", "75 W", "A heater at hand.")]
Tariff = Annotated[str | None, _text("--tariff", "0.30", "Price of a kilowatt hour.")]
WaterPrice = Annotated[str | None, _text("--water-price", "4.50", "Price of a cubic metre.")]
ConditionerPrice = Annotated[
    str | None,
    _text("--conditioner-price", "3.00", "Price of 100 g of conditioner (thiosulfate)."),
]
SaltPrice = Annotated[
    str | None, _text("--salt-price", "1.20", "Price of 100 g of the salts that are mixed in.")
]
FoodPrice = Annotated[str | None, _text("--food-price", "9.00", "Price of 100 g of food.")]
Why = Annotated[bool, typer.Option("--why", help="Tell every sum behind a figure, and its source.")]
Altitude = Annotated[str | None, _text("--altitude", "300 m", "Height above the sea.")]
Plants = Annotated[str | None, typer.Option(metavar="HOW", help="none, few or many.")]
Bag = Annotated[str | None, _text("--bag", "10 kg", "Size of a bag of gravel.")]
Used = Annotated[bool, typer.Option("--second-hand", help="The tank has been used before.")]
From = Annotated[
    str | None,
    typer.Option(
        "--from",
        metavar="FILE",
        help="A water report as TOML or CSV (columns quantity, value, unit). What --tap tells "
        "counts before it.",
    ),
]
Own = Annotated[
    str | None,
    typer.Option(
        metavar="FILE",
        help="A table of your own animals, or a tank file that holds them; it goes before ours.",
    ),
]
Tap = Annotated[
    list[str] | None,
    typer.Option(
        metavar="TEXT",
        help='One quantity of the tap water: "calcium 82 mg/L", "kh 5 dKH", "nitrate 10 mg/L", '
        '"chloramine 1.5 mg/L". Repeatable.',
    ),
]
Want = Annotated[
    list[str] | None,
    typer.Option(
        metavar="TEXT",
        help='A range wanted: "gh 4..8", "kh 2..4", "ph 6.8..7.4", "sodium < 20 mg/L", '
        '"nitrate < 10 mg/L". Repeatable; without any, the water is judged as it is.',
    ),
]
Membrane = Annotated[bool, typer.Option("--membrane", help="Reverse-osmosis water is at hand.")]
Rain = Annotated[bool, typer.Option("--rain", help="Rain water is at hand.")]
Way = Annotated[
    str | None,
    typer.Option(
        metavar="NAME",
        help="How to start: dosed-salt, dosed-solution, seeded, bottled, animals-first, "
        "seeded-animals or planted-animals.",
    ),
]
RunStart = Annotated[
    bool,
    typer.Option("--run-start", help="Run the ways to start this very tank (takes a while)."),
]

Name = Annotated[str | None, typer.Option(metavar="NAME", help="What to call it.")]
Filled = Annotated[
    str | None, typer.Option(metavar="DATE", help="Day of filling. Left out: today.")
]
Sheet = Annotated[
    Path | None, typer.Option(metavar="FILE", help="Write the plan as a sheet to print (.pdf).")
]
CalendarFile = Annotated[
    Path | None,
    typer.Option("--calendar", metavar="FILE", help="Write the steps as a calendar (.ics)."),
]
Over = Annotated[bool, typer.Option("--over", help="Replace files that are there already.")]


def words_told(told: dict[str, object]) -> dict[str, str | bool | tuple[str, ...]]:
    """What was told, by option; lists as tuples, what was left out not at all."""
    found: dict[str, str | bool | tuple[str, ...]] = {}
    for name, value in told.items():
        option = name.rstrip("_").replace("_", "-")
        if isinstance(value, list):
            found[option] = tuple(str(each) for each in value)
        elif isinstance(value, str) or value is True:
            found[option] = value
    return found


@blueprint_program.command("new")
def new_command(
    context: typer.Context,
    size: Size = None,
    shape: Shape = None,
    bow: Bow = None,
    return_: Return = None,
    corners: Corners = None,
    outside: Outside = False,
    glass: Glass = None,
    bottom: Bottom = None,
    braced: Braced = False,
    frame: Frame = False,
    water_depth: Depth = None,
    bed: Bed = None,
    decor: Decor = None,
    equipment: Equipment = None,
    stand: Stand = None,
    on: On = None,
    floor: Floor = None,
    span: Span = None,
    joists: Joists = None,
    lies: Lies = None,
    wall_gap: WallGap = None,
    animals: Animals = None,
    own: Own = None,
    food: Food = None,
    target: Target = None,
    media: Media = None,
    media_volume: MediaVolume = None,
    flow: Flow = None,
    label: Label = None,
    air: Air = None,
    water: Water = None,
    room: Room = None,
    humidity: Humidity = None,
    no_lid: NoLid = False,
    machines: Machines = None,
    heater: Heater = None,
    tariff: Tariff = None,
    water_price: WaterPrice = None,
    conditioner_price: ConditionerPrice = None,
    salt_price: SaltPrice = None,
    food_price: FoodPrice = None,
    altitude: Altitude = None,
    plants: Plants = None,
    bag: Bag = None,
    second_hand: Used = False,
    from_: From = None,
    tap: Tap = None,
    want: Want = None,
    membrane: Membrane = False,
    rain: Rain = False,
    way: Way = None,
    run_start: RunStart = False,
    name: Name = None,
    write: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write a tank file ready to start (.tank.toml)."),
    ] = None,
    filled: Filled = None,
    sheet: Sheet = None,
    calendar: CalendarFile = None,
    over: Over = False,
    why: Why = False,
    as_json: Json = False,
) -> None:
    """Work out glass, weight, bed, filter, air, heat, steps and shopping list from a wish."""
    told = dict(locals())

    def work() -> int:
        from watervane.app.handing_over import HandOver
        from watervane.cli.planned import Told, run_new

        for other in ("context", "write", "sheet", "calendar", "over", "why", "as_json"):
            told.pop(other)
        files = HandOver(write, sheet, calendar, over)
        return run_new(words_told(told), files, Told(as_json, why), context.obj())

    guarded(work)


@blueprint_program.command("check")
def check_over_command(
    context: typer.Context,
    file: File,
    bottom: Bottom = None,
    braced: Braced = False,
    frame: Frame = False,
    glass: Glass = None,
    decor: Decor = None,
    equipment: Equipment = None,
    stand: Stand = None,
    on: On = None,
    floor: Floor = None,
    span: Span = None,
    joists: Joists = None,
    lies: Lies = None,
    wall_gap: WallGap = None,
    animals: Animals = None,
    target: Target = None,
    label: Label = None,
    room: Room = None,
    humidity: Humidity = None,
    machines: Machines = None,
    tariff: Tariff = None,
    water_price: WaterPrice = None,
    conditioner_price: ConditionerPrice = None,
    salt_price: SaltPrice = None,
    food_price: FoodPrice = None,
    second_hand: Used = False,
    way: Way = None,
    run_start: RunStart = False,
    why: Why = False,
    as_json: Json = False,
) -> None:
    """Hold the glass, floor, filter, air and heater of a tank file against the same sums."""
    told = dict(locals())

    def work() -> int:
        from watervane.cli.planned import Told, run_check_over

        for other in ("context", "file", "why", "as_json"):
            told.pop(other)
        return run_check_over(file, words_told(told), Told(as_json, why), context.obj())

    guarded(work)


@program.command("source-water")
def source_water_command(
    context: typer.Context,
    from_: From = None,
    tap: Tap = None,
    want: Want = None,
    membrane: Membrane = False,
    rain: Rain = False,
    rain_report: Annotated[
        list[str] | None,
        typer.Option(metavar="TEXT", help="One quantity of the rain, as with --tap. Repeatable."),
    ] = None,
    salt: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="A salt at hand. Repeatable. Left out: six usual ones."),
    ] = None,
    bucket: Annotated[str | None, _text("--bucket", "10 L", "Water made at a time.")] = None,
    scale: Annotated[str | None, _text("--scale", "0.1 g", "Step of the kitchen scale.")] = None,
    temperature: Annotated[
        str | None, _text("--temperature", "25 degC", "Of the water in the tank.")
    ] = None,
    altitude: Altitude = None,
    hour_worth: Annotated[
        str | None, _text("--hour-worth", "6", "What an hour's fuss is worth, in your money.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Read a water report, tell whom the water suits, and mix another from it where wanted."""
    told = dict(locals())

    def work() -> int:
        from watervane.cli.planned import run_source_water

        for other in ("context", "as_json"):
            told.pop(other)
        return run_source_water(words_told(told), as_json, context.obj())

    guarded(work)
