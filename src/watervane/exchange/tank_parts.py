"""From the values of [tank] to the fields of a `Tank`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from watervane.exchange.names import known_medium
from watervane.exchange.problems import Place, Refusal
from watervane.exchange.table_reader import Values, record_fields
from watervane.exchange.vocabulary import AIR, BED, CO2, HEATER, LIGHT, MEDIA, ROOM, SHAPE, TANK
from watervane.records import Bed, Filter, Media, Shape

_FLAT = {"heater": HEATER, "air": AIR, "light": LIGHT, "co2": CO2, "room": ROOM}


def tank_fields(values: Values, place: Place) -> dict[str, Any]:
    """Fields of the record; nested tables become records or flat fields."""
    nested = {"shape", "bed", "filter", "normal_food", *_FLAT}
    fields = record_fields({n: v for n, v in values.items() if n not in nested}, TANK.keys)
    for name, table in _FLAT.items():
        fields |= record_fields(values.get(name, {}), table.keys)
    if "shape" in values:
        fields["shape"] = _shape(values["shape"], place.at("shape"))
    if "bed" in values:
        fields["bed"] = Bed(**record_fields(values["bed"], BED.keys))
    if "filter" in values:
        fields["filter"] = _filter(values["filter"], place.at("filter"))
    if "normal_food" in values:
        fields["normal_food_g_per_d"] = values["normal_food"].mass_g
    return fields


def _shape(values: Values, place: Place) -> Shape:
    wrong = ("length", "width") if values.get("kind") == "cylinder" else ("diameter",)
    for name in wrong:
        if name in values:
            place.at(name).problem(
                "shape-key-misplaced", wrong=name, kind=values.get("kind", "rectangular")
            )
    return Shape(**record_fields(values, SHAPE.keys))


def _filter(values: Values, place: Place) -> Filter:
    return Filter(media_of(values.get("media", ()), place.at("media")), values.get("flow"))


def media_of(entries: Sequence[Values], place: Place) -> tuple[Media, ...]:
    """Media by the names of the table; what is wrong with one is reported at its place."""
    media = []
    for index, entry in enumerate(entries):
        told = record_fields(entry, MEDIA.keys)
        if len(told) < len(MEDIA.keys):
            continue  # what is missing has been reported
        try:
            told["kind"] = known_medium(told["kind"])
        except Refusal as refusal:
            place.at(index).at("kind").problem(refusal.key, **refusal.arguments)
            continue
        media.append(Media(**told))
    return tuple(media)
