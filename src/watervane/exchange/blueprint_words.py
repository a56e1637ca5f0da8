"""From a keeper's words to what is wished for: sizes, room, animals, and a water's report."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from watervane.exchange.bed_words import read_layers
from watervane.exchange.own_animals import own_rows, read_own_animals
from watervane.exchange.problems import TankFileErrors, shown
from watervane.exchange.quantities import parse_length_mm
from watervane.exchange.word_reader import WordReader, Words
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    BedLayer,
    BlueprintWish,
    Decor,
    Died,
    Filter,
    Finding,
    GlassBox,
    OwnAnimal,
    ReadingValue,
    RoomFloor,
    Tank,
    Wish,
    as_fitted,
)
from watervane.reference import media_surface_m2_per_m3
from watervane.units import (
    parse_altitude_m,
    parse_concentration,
    parse_flow_l_per_h,
    parse_length_cm,
    parse_mass_g,
    parse_power_w,
    parse_temperature_c,
    parse_volume_l,
)

_SPLIT = re.compile(r"\s*[x\N{MULTIPLICATION SIGN}]\s*", re.IGNORECASE)
_NUMBER = re.compile(r"^[0-9.,/ ]+$")
_STOCK = re.compile(
    r"^\s*(?P<count>\d{1,5})\s+(?P<species>\D.*?)(?:\s+(?P<length>[0-9.,]+\s*(?:cm|mm|in)))?\s*$"
)
_RANGE = re.compile(
    r"^\s*(?P<low>-?\d+(?:[.,]\d+)?)\s*(?:\.\.|to)\s*(?P<high>-?\d+(?:[.,]\d+)?)\s*(?P<unit>.*)$"
)
_CORNER = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)\s*,\s*(-?[0-9]+(?:\.[0-9]+)?)")
LEAST_CORNERS = 3
_SIZES = {
    "rectangular": ("length_cm", "width_cm", "height_cm"),
    "cube": ("length_cm",),
    "cylinder": ("length_cm", "height_cm"),
    "hexagon": ("length_cm", "height_cm"),
    "bow front": ("length_cm", "width_cm", "height_cm"),
    "corner": ("length_cm", "width_cm", "height_cm"),
    "polygon": ("height_cm",),
}


def read_blueprint_words(words: Words, tank: Tank | None = None) -> BlueprintWish:
    """What is wished for.

    Parameters
    ----------
    words
        By option; see ``watervane blueprint new --help``.
    tank
        One that is looked over: what it tells counts where no word does.

    Raises
    ------
    TankFileErrors
        With every word that cannot be read.
    """
    wish, problems = tried_blueprint_words(words, tank)
    if problems:
        raise TankFileErrors(problems)
    return wish


def tried_blueprint_words(
    words: Words, tank: Tank | None = None
) -> tuple[BlueprintWish, tuple[Finding, ...]]:
    """What is wished for as far as it can be read, and every word that cannot.

    Parameters
    ----------
    words, tank
        As for `read_blueprint_words`.
    """
    reader = WordReader(words)
    if tank is not None and (tank.shape is None or tank.shape.length_cm is None):
        no_shape = Finding("blueprint-no-shape", "problem", {"tank": tank.name})
        return BlueprintWish(tank.name, GlassBox()), (no_shape,)
    fields: dict[str, Any] = {} if tank is None else _of_tank(tank)
    fields.setdefault("name", reader.text("name") or "New tank")
    box = fields.get("box")
    fields["box"] = _box(reader, box)
    if reader.texts("bed"):
        fields["layers"] = read_layers(reader)
    fields["decor"] = tuple(filter(None, (_decor(reader, t) for t in reader.texts("decor"))))
    if reader.texts("animals"):
        fields["animals"] = tuple(
            filter(None, (_stock(reader, t) for t in reader.texts("animals")))
        )
    own = reader.text("own")
    if own is not None:
        fields["own_animals"] = _own_rows(reader, own)
    fields["floor"] = _floor(reader)
    fields |= _numbers(reader)
    fields["way"] = reader.text("way")
    filled = reader.text("filled")
    if filled is not None:
        fields["filled"] = _date(reader, filled)
    return BlueprintWish(**fields), tuple(reader.problems)


def _own_rows(reader: WordReader, told: str) -> tuple[OwnAnimal, ...]:
    try:
        return own_rows(read_own_animals(Path(told))[0])
    except TankFileErrors as error:
        reader.problems += error.problems
    return ()


def _date(reader: WordReader, told: str) -> date | None:
    try:
        return date.fromisoformat(told)
    except ValueError:
        reader.problems.append(Finding("blueprint-no-day", "problem", {"text": shown(told)}))
    return None


def _of_tank(tank: Tank) -> dict[str, Any]:
    tank = as_fitted(tank)
    shape = tank.shape
    fields: dict[str, Any] = {
        "name": tank.name,
        "source_water": tank.source_water,
        "filled": tank.filled,
    }
    if shape is not None:
        fields["box"] = GlassBox(
            shape.kind,
            shape.length_cm,
            shape.width_cm,
            shape.height_cm,
            water_depth_cm=shape.water_depth_cm,
            glass_mm=shape.glass_mm,
            measured=shape.measured,
        )
    if tank.bed is not None:
        depth = 0.0 if tank.bed.material == "none" else tank.bed.depth_cm or 3.0
        fields["layers"] = (BedLayer(tank.bed.material, depth, depth, tank.bed.grain_mm),)
    if tank.filter is not None:
        if tank.filter.media:
            fields["media"] = tank.filter.media[0].kind
            fields["media_l"] = _litres_of_first(tank.filter)
        fields["flow_l_per_h"] = tank.filter.flow_l_per_h
    food = tank.normal_food_g_per_d
    fields |= {
        "animals": _living(tank),
        "own_animals": tank.own_animals,
        "food_g_per_d": None if food is None else food.centre,
        "protein": tank.normal_food_protein,
        "air_flow_l_per_h": tank.air_flow_l_per_h or 0.0,
        "water_c": tank.heater_set_point_c or 25.0,
        "heater_w": tank.heater_power_w,
        "lid": tank.lid is not False,
        "altitude_m": tank.altitude_m,
        "plants": tank.plants,
    }
    return fields


def _litres_of_first(sieve: Filter) -> float:
    """Media of several kinds as litres of the first kind that have their surface. [L]"""
    first = media_surface_m2_per_m3(sieve.media[0].kind)
    area = sum(each.volume_l * media_surface_m2_per_m3(each.kind) for each in sieve.media)
    return area / first


def _living(tank: Tank) -> tuple[Wish, ...]:
    """Animals that came in and are not known to have gone, by species, the last length told."""
    counts: dict[str, tuple[int, float | None]] = {}
    for event in tank.events:
        if isinstance(event, AnimalsIn):
            before = counts.get(event.species, (0, None))
            counts[event.species] = (before[0] + event.count, event.length_cm or before[1])
        elif isinstance(event, AnimalsOut | Died) and event.species in counts:
            before = counts[event.species]
            counts[event.species] = (before[0] - (event.count or 1), before[1])
    return tuple(Wish(name, n, length) for name, (n, length) in counts.items() if n > 0)


def _box(reader: WordReader, known: GlassBox | None) -> GlassBox:
    box = GlassBox() if known is None else known
    kind = reader.text("shape") or box.kind
    sizes: dict[str, Any] = {"kind": kind}
    told = reader.text("size")
    if told is not None:
        sizes |= _sizes(reader, kind, told)
    for name, field, parse in (
        ("length", "length_cm", parse_length_cm),
        ("width", "width_cm", parse_length_cm),
        ("height", "height_cm", parse_length_cm),
        ("bow", "bow_cm", parse_length_cm),
        ("return", "return_cm", parse_length_cm),
        ("water-depth", "water_depth_cm", parse_length_cm),
        ("glass", "glass_mm", parse_length_mm),
        ("bottom", "bottom_mm", parse_length_mm),
    ):
        value = reader.read(name, parse)
        if value is not None:
            sizes[field] = value
    corners = reader.text("corners")
    if corners is not None:
        found = tuple((float(x), float(y)) for x, y in _CORNER.findall(corners))
        sizes["corners_cm"] = found
        if kind == "polygon" and len(found) < LEAST_CORNERS:
            reader.problems.append(Finding("blueprint-corners", "problem", {"count": len(found)}))
    if reader.flag("outside"):
        sizes["measured"] = "outside"
    if reader.flag("braced"):
        sizes["braced"] = True
    if reader.flag("frame"):
        sizes["full_support"] = False
    return replace(box, **sizes)


def _sizes(reader: WordReader, kind: str, told: str) -> dict[str, float]:
    """``60 x 30 x 36 cm``: the last unit counts for all that have none."""
    parts = _SPLIT.split(told.strip())
    fields = _SIZES.get(kind, _SIZES["rectangular"])
    if len(parts) != len(fields):
        arguments = {"kind": kind, "text": shown(told), "count": len(fields), "told": len(parts)}
        reader.problems.append(Finding("blueprint-sizes", "problem", arguments))
        return {}
    unit = re.sub(r"^[0-9.,/ ]+", "", parts[-1])
    found = {}
    for name, part in zip(fields, parts, strict=True):
        text = f"{part} {unit}" if _NUMBER.match(part) else part
        value = reader.parsed("size", text, parse_length_cm)
        if value is not None:
            found[name] = value
    return found


def _decor(reader: WordReader, told: str) -> Decor | None:
    name, _, amount = told.strip().partition(" ")
    mass = reader.parsed("decor", amount, parse_mass_g)
    return None if mass is None else Decor(name.lower(), mass / 1000.0)


def _stock(reader: WordReader, told: str) -> Wish | None:
    found = _STOCK.match(told)
    if found is None:
        reader.refuse("quick-animals", "animals", told)
        return None
    told_length = found["length"]
    length = reader.parsed("animals", told_length, parse_length_cm) if told_length else None
    species = found["species"].strip()
    if int(found["count"]) < 1 or (length is not None and not 0.3 <= length <= 100.0):
        reader.refuse("quick-animals", "animals", told)
        return None
    return Wish(species, int(found["count"]), length)


def _floor(reader: WordReader) -> RoomFloor:
    lies = reader.choice("lies", ("across", "along"))
    told: dict[str, Any] = {
        "kind": reader.choice("floor", ("timber", "concrete", "ground")),
        "span_cm": reader.above_zero("span", parse_length_cm),
        "joists_cm": reader.above_zero("joists", parse_length_cm),
        "tank_across": None if lies is None else lies == "across",
        "wall_gap_cm": reader.read("wall-gap", parse_length_cm),
    }
    return RoomFloor(**{name: value for name, value in told.items() if value is not None})


def _kilograms(text: str) -> float:
    return parse_mass_g(text) / 1000.0


def _ammonia(text: str) -> float:
    return middle(parse_concentration(text, "ammonia"))


def middle(value: ReadingValue) -> float:
    """One number for a reading: the middle of a range, half of what something is under."""
    low = 0.0 if value.low is None else value.low
    return low if value.high is None else 0.5 * (low + value.high)


def _numbers(reader: WordReader) -> dict[str, Any]:
    plain: tuple[tuple[str, str, Callable[[str], float]], ...] = (
        ("equipment", "equipment_kg", _kilograms),
        ("stand", "stand_kg", _kilograms),
        ("bag", "bag_kg", _kilograms),
        ("food", "food_g_per_d", parse_mass_g),
        ("target", "target_ammonia_mg_n_per_l", _ammonia),
        ("media-volume", "media_l", parse_volume_l),
        ("flow", "flow_l_per_h", parse_flow_l_per_h),
        ("label", "label_l", parse_volume_l),
        ("air", "air_flow_l_per_h", parse_flow_l_per_h),
        ("water", "water_c", parse_temperature_c),
        ("machines", "machines_w", parse_power_w),
        ("heater", "heater_w", parse_power_w),
        ("altitude", "altitude_m", parse_altitude_m),
    )
    needed = ("bag", "media-volume", "flow", "label")
    found: dict[str, Any] = {
        field: (reader.above_zero if name in needed else reader.read)(name, parse)
        for name, field, parse in plain
    }
    found["media"] = reader.text("media")
    found["plants"] = reader.choice("plants", ("none", "few", "many"))
    found["support"] = reader.choice("on", ("stand", "shelf"))
    found["second_hand"] = reader.flag("second-hand") or None
    found["lid"] = False if reader.flag("no-lid") else None
    for name, field, most in (
        ("humidity", "humidity", 1.0),
        ("tariff", "price_per_kwh", 1e4),
        ("water-price", "water_price", 1e4),
        ("conditioner-price", "conditioner_price", 1e4),
        ("salt-price", "salt_price", 1e4),
        ("food-price", "food_price", 1e4),
    ):
        told = reader.text(name)
        if told is not None:
            found[field] = _plain_number(reader, name, told, most)
    room = reader.text("room")
    if room is not None:
        found |= _room(reader, room)
    return {name: value for name, value in found.items() if value is not None}


def _plain_number(reader: WordReader, name: str, told: str, most: float) -> float | None:
    try:
        value = float(told.replace(",", "."))
    except ValueError:
        value = -1.0
    if 0.0 <= value <= most:
        return value
    reader.refuse("blueprint-number", name, told)
    return None


def _room(reader: WordReader, told: str) -> dict[str, float | None]:
    found = _RANGE.match(told)
    if found is None:
        reader.refuse("blueprint-room-words", "room", told)
        return {}
    unit = found["unit"].strip() or "degC"
    return {
        "coldest_c": reader.parsed("room", f"{found['low']} {unit}", parse_temperature_c),
        "warmest_c": reader.parsed("room", f"{found['high']} {unit}", parse_temperature_c),
    }
