"""Every table and key of the tank file: reader, writer and schema share this one list."""

from __future__ import annotations

from watervane.exchange.animal_vocabulary import ANIMAL
from watervane.exchange.chances import Chance
from watervane.exchange.event_vocabulary import (
    BED_MATERIALS,
    EVENT_KINDS,
    HABIT_KEYS,
    PLANTED,
    SHARED_KEYS,
)
from watervane.exchange.forms import (
    Day,
    Flag,
    Food,
    Key,
    Level,
    ListOf,
    Number,
    Quantity,
    Raw,
    Table,
    Text,
    Told,
    When,
    Zone,
)
from watervane.exchange.quantities import parse_length_mm
from watervane.exchange.water_vocabulary import SOURCE_WATER, TEMPERATURE
from watervane.records import QUANTITY_UNITS, SAID, WHOLE_WATER
from watervane.reference import food_amounts
from watervane.units import (
    parse_altitude_m,
    parse_duration_h,
    parse_flow_l_per_h,
    parse_length_cm,
    parse_power_w,
    parse_volume_l,
)

FORMAT = "watervane-tank/1"

LENGTH = Quantity(parse_length_cm, "cm", "60 cm", positive=True)
THICKNESS = Quantity(parse_length_mm, "mm", "6 mm", positive=True)
VOLUME = Quantity(parse_volume_l, "L", "57 L", positive=True)
FLOW = Quantity(parse_flow_l_per_h, "L/h", "300 L/h")
POWER = Quantity(parse_power_w, "W", "75 W")
NOTES = Text(longest=20_000, many_lines=True)
HOURS_A_DAY = Number(0.0, 24.0)

SHAPE = Table(
    "shape",
    (
        Key("kind", Text(("rectangular", "cylinder")), "rectangular when left out"),
        Key("length", LENGTH, "longest side, as measured", "length_cm"),
        Key("width", LENGTH, "front to back", "width_cm"),
        Key("diameter", LENGTH, "of a cylinder, instead of length and width", "length_cm"),
        Key("height", LENGTH, "of the glass", "height_cm"),
        Key("water_depth", LENGTH, "floor of the tank to the water line", "water_depth_cm"),
        Key("glass", THICKNESS, "thickness of the panes", "glass_mm"),
        Key("measured", Text(("inside", "outside")), "inside when left out"),
    ),
)
BED = Table(
    "bed",
    (
        Key(
            "material",
            Text(BED_MATERIALS),
            "gravel when left out",
        ),
        Key("depth", LENGTH, "how deep it lies", "depth_cm"),
        Key("grain", THICKNESS, "usual diameter of a grain", "grain_mm"),
    ),
)
MEDIA = Table(
    "filter media",
    (
        Key("kind", Text(example="sponge"), "sponge, foam, ceramic, floss, ...", required=True),
        Key("volume", VOLUME, "space the medium fills", "volume_l", required=True),
    ),
)
FILTER = Table(
    "filter",
    (
        Key("media", ListOf(MEDIA), "one entry a medium"),
        Key("flow", FLOW, "as it runs, not as printed on the box", "flow_l_per_h"),
    ),
)
HEATER = Table(
    "heater",
    (
        Key("power", POWER, "rated power", "heater_power_w"),
        Key("set_point", TEMPERATURE, "temperature it is set to", "heater_set_point_c"),
    ),
)
AIR = Table("air", (Key("flow", FLOW, "air pumped in", "air_flow_l_per_h"),))
LIGHT = Table("light", (Key("hours", HOURS_A_DAY, "hours of light a day", "light_hours"),))
CO2 = Table(
    "co2",
    (
        Key("injected", Flag(), "whether carbon dioxide is injected for plants", "co2_injected"),
        Key(
            "target",
            Level("co2", "25 mg/L"),
            "what you mean to hold while the light is on",
            "co2_target_mg_per_l",
        ),
    ),
)
ROOM = Table(
    "room", (Key("temperature", TEMPERATURE, "usual room temperature", "room_temperature_c"),)
)
TANK = Table(
    "[tank]",
    (
        Key("name", Text(example="Reading room"), "what you call the tank", required=True),
        Key("filled", Day(), "the day water went in", required=True),
        Key("filled_known", Flag(), "false where that day is a guess; true if left out"),
        Key("put_away", Day(), "the day you put the tank away; it is out of sight since"),
        Key("time_zone", Zone(), "name of your time zone; UTC when left out"),
        Key("volume", VOLUME, "water in the tank, if you know it", "volume_l"),
        Key("shape", SHAPE, "size of the glass"),
        Key("bed", BED, "gravel, sand or soil on the floor"),
        Key("filter", FILTER, "the filter and what is in it"),
        Key("heater", HEATER, "the heater"),
        Key("air", AIR, "air pump"),
        Key("light", LIGHT, "the lamp"),
        Key("co2", CO2, "carbon dioxide for plants"),
        Key("plants", Text(PLANTED), "none when left out"),
        Key("lid", Flag(), "whether a lid covers the tank"),
        Key("room", ROOM, "the room"),
        Key(
            "altitude",
            Quantity(parse_altitude_m, "m", "300 m"),
            "height above the sea; air pressure falls with it",
            "altitude_m",
        ),
        Key("normal_food", Food(), "daily food the tank is meant to carry", "normal_food_g_per_d"),
        Key(
            "normal_food_protein",
            Number(0.0, 1.0, open_low=True),
            "share of protein in it, 0.42 when left out",
        ),
        Key("fill_conditioned", Flag(), "whether conditioner went in at filling; true if left out"),
        Key("notes", NOTES, "anything else"),
    ),
)
SCALE = Table(
    "kit scale",
    (
        Key("steps", ListOf(Raw(), least=2), "printed values, lowest first"),
        Key("unit", Text(longest=40, example="mg/L as N"), "unit of the numbers; none for pH"),
        Key("resolution", Raw(), "last digit of a display, or one drop of a titration"),
        Key("range_end", Raw(), "highest value shown"),
        Key("relative_error", Number(0.0, 1.0, open_low=True), "usual error, as a share"),
        Key("error_floor", Raw(), "usual error where there is nothing"),
        Key("reagent", Text(("salicylate", "nessler")), "of ammonia, if you know it"),
    ),
    least=1,
)
KIT = Table(
    "kit",
    (
        Key("kind", Text(("drop", "strip", "photometer", "probe")), "drop when left out"),
        Key("calibrated", ListOf(Day()), "days on which a probe was calibrated"),
        Key(
            "response_time",
            Quantity(parse_duration_h, "h", "2 min", positive=True),
            "time constant of a probe",
            "response_h",
        ),
        *(Key(quantity, SCALE, f"scale for {quantity}") for quantity in QUANTITY_UNITS),
    ),
)
READING = Table(
    "[[reading]]",
    (
        Key("at", When(), "date, or date and time to the second", required=True),
        Key(
            "quantity",
            Text((*QUANTITY_UNITS, WHOLE_WATER)),
            "what was tested",
            required=True,
        ),
        Key("value", Told(SAID), "as read, with its unit; or what was said", required=True),
        Key("diluted", Number(1.0, 1000.0), "parts of sample for one part of tank water"),
        Key("kit", Text(example="drop"), "name of a kit under [kits]"),
        Key("of", Text(("tank", "source water")), "which water; the tank when left out"),
        Key("note", NOTES, "anything else"),
    ),
)
AMOUNTS = Table(
    "[amounts]",
    tuple(Key(name, Food(weighed=True), f"what one {name} weighs") for name in food_amounts()),
)
SETTLED = Table(
    "[settled]",
    (
        Key(
            "ammonia",
            Level("ammonia", "0.2 mg/L as N"),
            "what ammonia stays under in a settled tank",
            "ammonia_mg_n_per_l",
        ),
        Key(
            "nitrite",
            Level("nitrite", "0.1 mg/L as N"),
            "what nitrite stays under in a settled tank",
            "nitrite_mg_n_per_l",
        ),
    ),
)
# Of a thousand imagined tanks less than one in a thousand cannot be told from none.
LEAST_CHANCE = 0.001
RISK = Table(
    "[risk]",
    (
        Key("acute", Chance(LEAST_CHANCE, "1 %"), "of harm at once, in any seven days"),
        Key("chronic", Chance(LEAST_CHANCE, "5 %"), "of harm over time, in any four weeks"),
        Key("comfort", Chance(LEAST_CHANCE, "20 %"), "of discomfort, in any four weeks"),
    ),
)
# Top level: these tables, `kits` and `limits` (free names), `event` and `reading` (lists).
FILE = Table(
    "the file",
    (
        Key("format", Text((FORMAT,)), "kind and version of the file", required=True),
        Key("tank", TANK, "what the tank is", required=True),
        Key("source_water", SOURCE_WATER, "tap, well or bottled water as it comes"),
        Key("kits", Table("[kits]", ()), "test kits by a name of your choice"),
        Key("amounts", AMOUNTS, "your own weighings of a pinch, a pellet, ..."),
        Key("settled", SETTLED, "your own levels of a settled tank"),
        Key("limits", Table("[limits]", ()), "your own figures in place of shipped limits"),
        Key("risk", RISK, "the chances of passing a limit that you accept"),
        Key("animal", ListOf(ANIMAL), "your own rows of the catalogue of animals"),
        Key("event", ListOf(Table("[[event]]", ())), "what was done to the tank"),
        Key("reading", ListOf(READING), "what was measured"),
    ),
)

__all__ = [
    "AIR",
    "AMOUNTS",
    "BED",
    "CO2",
    "EVENT_KINDS",
    "FILE",
    "FILTER",
    "FORMAT",
    "HABIT_KEYS",
    "HEATER",
    "KIT",
    "LIGHT",
    "MEDIA",
    "READING",
    "RISK",
    "ROOM",
    "SCALE",
    "SETTLED",
    "SHAPE",
    "SHARED_KEYS",
    "SOURCE_WATER",
    "TANK",
]
