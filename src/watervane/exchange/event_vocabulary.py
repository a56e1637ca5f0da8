"""Keys of each kind of event; the record each kind becomes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from watervane.exchange.forms import (
    Day,
    Flag,
    Food,
    Key,
    Level,
    ListOf,
    Number,
    NumberRange,
    Quantity,
    Table,
    Text,
    When,
)
from watervane.exchange.quantities import parse_dose_g, parse_length_mm
from watervane.exchange.water_vocabulary import SOURCE_WATER, TEMPERATURE
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    MediaMoved,
    Note,
    Outage,
    Seed,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.units import (
    parse_days,
    parse_duration_h,
    parse_flow_l_per_h,
    parse_length_cm,
    parse_mass_g,
    parse_power_w,
    parse_volume_l,
)

MOST_ANIMALS = 100_000
MOST_DOSE_FACTOR = 100.0
_VOLUME = Quantity(parse_volume_l, "L", "15 L", positive=True)
_SPECIES = Key("species", Text(example="Danio rerio"), "scientific or common name", required=True)
_COUNT = Key("count", Number(1, MOST_ANIMALS, whole=True), "how many", required=True)
_FRACTION = Number(0.0, 1.0, open_low=True)


class DoseAmount:
    """A mass, a volume of solution or a number of drops, kept in its words."""

    def read(self, value: object, context: object) -> tuple[object, str]:  # noqa: ARG002
        return parse_dose_g(value), str(value)

    def schema(self) -> dict[str, object]:
        return {**Quantity(parse_mass_g, "g", "2 g").schema(), "examples": ["2 g", "3 mL"]}

    def write(self, value: object) -> object:
        return value


@dataclass(frozen=True)
class EventKind:
    """One kind of event: its word, record and own keys."""

    word: str
    record: type[Event]
    keys: tuple[Key, ...]


SHARED_KEYS = (
    Key("kind", Text(example="feed"), "what was done", required=True),
    Key("at", When(), "date, or date and time to the second; for a habit a time of day"),
    Key("note", Text(longest=20_000, many_lines=True), "anything else"),
)
HABIT_KEYS = (
    Key("every", Quantity(parse_days, "d", "1 d", positive=True), "makes the event a habit"),
    Key("from", Day(), "first day of a habit"),
    Key("until", Day(), "last day of a habit; open when left out"),
)
BED_MATERIALS = ("gravel", "sand", "soil", "coral sand", "limestone", "none")
PLANTED = ("none", "few", "many")
# A list of this is told in a line of words, too.
MEDIA_FROM_NOW_ON = ListOf(
    Table(
        "filter media",
        (
            Key("kind", Text(example="sponge"), "sponge, foam, ceramic, floss, ...", required=True),
            Key(
                "volume",
                Quantity(parse_volume_l, "L", "1 L"),
                "all there is of that kind; 0 L takes it out",
                "volume_l",
                required=True,
            ),
        ),
    ),
    least=1,
)
_PARTS = (
    Key("plants", Text(PLANTED), "how planted it is"),
    Key("bed_material", Text(BED_MATERIALS), "what lies on the floor"),
    Key(
        "bed_depth",
        Quantity(parse_length_cm, "cm", "5 cm", positive=True),
        "how deep the bed lies",
        "bed_depth_cm",
    ),
    Key(
        "bed_grain",
        Quantity(parse_length_mm, "mm", "2 mm", positive=True),
        "usual diameter of a grain",
        "bed_grain_mm",
    ),
    Key("media", MEDIA_FROM_NOW_ON, "kinds that came, went or are more or less; others stay"),
)
_EQUIPMENT = (
    Key("heater_power", Quantity(parse_power_w, "W", "75 W"), "new heater", "heater_power_w"),
    Key("heater_set_point", TEMPERATURE, "new set point", "heater_set_point_c"),
    Key(
        "air_flow",
        Quantity(parse_flow_l_per_h, "L/h", "60 L/h"),
        "new air flow",
        "air_flow_l_per_h",
    ),
    Key(
        "filter_flow",
        Quantity(parse_flow_l_per_h, "L/h", "250 L/h", positive=True),
        "flow of the filter as measured",
        "filter_flow_l_per_h",
    ),
    Key("light_hours", Number(0.0, 24.0), "new hours of light a day"),
    Key("room_temperature", TEMPERATURE, "new room temperature", "room_temperature_c"),
)
_KINDS = (
    EventKind(
        "feed",
        Feed,
        (
            Key("amount", Food(), "such as 1 pinch; 0 for a day without"),
            Key("mass", Food(weighed=True), "weighed dry food, instead of amount"),
            Key("protein", _FRACTION, "share of the dry food, 0.42 when left out"),
        ),
    ),
    EventKind(
        "animals-in",
        AnimalsIn,
        (
            _SPECIES,
            _COUNT,
            Key(
                "length",
                Quantity(parse_length_cm, "cm", "2.5 cm", positive=True),
                "of one animal",
                "length_cm",
            ),
            Key(
                "mass",
                Quantity(parse_mass_g, "g", "0.3 g", positive=True),
                "of one animal, wet",
                "mass_g",
            ),
        ),
    ),
    EventKind("animals-out", AnimalsOut, (_SPECIES, _COUNT)),
    EventKind(
        "died",
        Died,
        (_SPECIES, _COUNT, Key("removed", Flag(), "bodies taken out; true if left out")),
    ),
    EventKind(
        "water-change",
        WaterChange,
        (
            Key("fraction", _FRACTION, "share of the water replaced"),
            Key("volume", _VOLUME, "water replaced, instead of fraction"),
            Key("conditioner", Flag(), "true when left out"),
            Key("water", SOURCE_WATER, "where the new water differs from [source_water]"),
            Key("temperature", TEMPERATURE, "of the new water", "temperature_c"),
        ),
    ),
    EventKind(
        "top-off",
        TopOff,
        (
            Key("volume", _VOLUME, "water added; to the mark when left out", "volume_l"),
            Key("pure", Flag(), "distilled or reverse-osmosis water"),
            Key("conditioner", Flag(), "true when left out"),
        ),
    ),
    EventKind(
        "dose",
        Dose,
        (
            Key(
                "substance",
                Text(example="conditioner"),
                "conditioner or a chemical name",
                required=True,
            ),
            Key("amount", DoseAmount(), "mass, volume of solution, or drops"),
            Key(
                "raise_to",
                Level("ammonia", "2 mg/L as N"),
                "ammonia dosed up to this level",
                "target_mg_n_per_l",
            ),
            Key(
                "raise_by",
                Level("ammonia", "2 mg/L as N"),
                "ammonia raised by this much",
                "added_mg_n_per_l",
            ),
            Key(
                "amount_factor",
                NumberRange(Number(0.0, MOST_DOSE_FACTOR, open_low=True)),
                "what really went in, by what is told; as told when left out",
            ),
        ),
    ),
    EventKind(
        "seed",
        Seed,
        (
            Key(
                "source", Text(("media", "bed", "decor", "water", "bottle")), "media when left out"
            ),
            Key("medium", Text(example="sponge"), "kind of media", "kind"),
            Key("volume", _VOLUME, "of what was brought", "volume_l"),
            Key(
                "condition",
                Text(("fresh", "rinsed in tank water", "rinsed under tap", "dried")),
                "fresh when left out",
            ),
            Key(
                "out_of_water",
                Quantity(parse_duration_h, "h", "1 h"),
                "time on the way",
                "hours_out_of_water",
            ),
        ),
    ),
    EventKind(
        "media-moved",
        MediaMoved,
        (Key("fraction", _FRACTION, "share of the media taken out", required=True),),
    ),
    EventKind(
        "clean",
        Clean,
        (
            Key("part", Text(("filter", "bed", "glass", "waste")), "filter when left out"),
            Key("how", Text(("tank water", "tap water", "replaced")), "tank water when left out"),
        ),
    ),
    EventKind(
        "outage",
        Outage,
        (
            Key(
                "duration",
                Quantity(parse_duration_h, "h", "4 h", positive=True),
                "how long",
                "hours",
                required=True,
            ),
            Key("what", Text(("all", "filter", "heater", "air", "light")), "all when left out"),
        ),
    ),
    EventKind(
        "treatment",
        Treatment,
        (
            Key("substance", Text(example="copper sulfate"), "the medicine", required=True),
            Key(
                "colony_kill", NumberRange(Number(0.0, 1.0)), "share of the colonies lost, if known"
            ),
        ),
    ),
    EventKind("equipment", EquipmentChange, (*_EQUIPMENT, *_PARTS)),
    EventKind(
        "note",
        Note,
        (Key("text", Text(longest=20_000, many_lines=True), "what to keep", required=True),),
    ),
)
EVENT_KINDS: Mapping[str, EventKind] = {kind.word: kind for kind in _KINDS}


def event_table(kind: EventKind) -> Table:
    """All keys an event of a kind may hold."""
    return Table(f"{kind.word} event", (*SHARED_KEYS, *HABIT_KEYS, *kind.keys))
