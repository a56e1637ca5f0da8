"""What single kinds of event need beyond reading their keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from watervane.exchange.event_vocabulary import EVENT_KINDS
from watervane.exchange.forms import Context, FoodAmount
from watervane.exchange.names import canonical_substance, known_medium
from watervane.exchange.problems import Place, Refusal, shown
from watervane.exchange.table_reader import Values, record_fields
from watervane.exchange.tank_parts import media_of
from watervane.exchange.water_vocabulary import SOURCE_WATER
from watervane.records import (
    PARTS,
    AnimalsIn,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    OwnAnimal,
    Seed,
    WaterChange,
)
from watervane.reference import near_animal, strangers_among, substance, taken_by_label
from watervane.units import parse_food

UNTOLD_FOOD = "1 portion"
EQUIPMENT_KEYS = {key.name for key in EVENT_KINDS["equipment"].keys}
# Of a tank, which stay what they were at filling.
SIZES = ("volume", "size", "shape", "length", "width", "height", "water_depth")


@dataclass(frozen=True)
class EventContext:
    """What events need from the rest of the file."""

    values: Context
    filled: date | None
    water_l: float | None  # the tank's water, where known
    own: Sequence[OwnAnimal] = ()


def _feed(fields: Values, raw: Values, place: Place, context: EventContext) -> None:
    amount, mass = fields.pop("amount", None), fields.pop("mass", None)
    if "amount" in raw and "mass" in raw:
        place.at("mass").problem("told-twice", first="amount", second="mass")
    if "amount" not in raw and "mass" not in raw:
        place.info("assumed-portion")
    told = amount or mass or FoodAmount(parse_food(UNTOLD_FOOD, context.values.amounts), "")
    fields |= {"mass_g": told.mass_g, "raw": told.raw}


def _animals(fields: Values, raw: Values, place: Place, context: EventContext) -> None:
    name = fields.get("species")
    if name is not None and strangers_among([name], context.own):
        near = near_animal(name)
        key = "species-unknown" if near is None else "species-unknown-near"
        place.at("species").caution(key, species=shown(name), **({"near": near} if near else {}))
    if "length" in raw and "mass" in raw:
        place.at("mass").problem("told-twice", first="length", second="mass")


def _water_change(fields: Values, raw: Values, place: Place, context: EventContext) -> None:
    litres = fields.pop("volume", None)
    if "volume" in raw and "fraction" in raw:
        place.at("volume").problem("told-twice", first="fraction", second="volume")
    elif "volume" not in raw and "fraction" not in raw:
        place.problem("change-without-size")
    elif litres is not None and context.water_l is None:
        place.at("volume").problem("change-volume-unknown")
    elif litres is not None and context.water_l is not None:
        fields["fraction"] = litres / context.water_l
        if litres > context.water_l:
            told = {"litres": litres, "water_l": context.water_l}
            place.at("volume").problem("change-too-big", **told)
    if "water" in fields:
        water = record_fields(fields["water"], SOURCE_WATER.keys)
        if "temperature_c" in water:
            fields.setdefault("temperature_c", water.pop("temperature_c"))
        fields["water"] = water


def _dose(fields: Values, raw: Values, place: Place, _: EventContext) -> None:
    amount = fields.pop("amount", None)
    if amount is not None:
        fields |= {"mass_g": amount[0], "raw": amount[1]}
    told = [name for name in ("amount", "raise_to", "raise_by") if name in raw]
    if len(told) > 1:
        place.at(told[1]).problem("told-twice", first=told[0], second=told[1])
    if "substance" not in fields:
        return
    try:
        fields["substance"] = canonical_substance(fields["substance"])
    except Refusal as refusal:
        place.at("substance").problem(refusal.key, **refusal.arguments)
        return
    if amount is not None and taken_by_label(substance(fields["substance"])):
        place.at("amount").info("conditioner-strength", substance=fields["substance"])
    if told and told[0] != "amount" and substance(fields["substance"]).tan_mol <= 0:
        place.at(told[0]).problem("dose-no-ammonia", substance=fields["substance"], told=told[0])


def _seed(fields: Values, _raw: Values, place: Place, _: EventContext) -> None:
    if "kind" in fields:
        try:
            fields["kind"] = known_medium(fields["kind"])
        except Refusal as refusal:
            place.at("medium").problem(refusal.key, **refusal.arguments)


def _equipment(fields: Values, raw: Values, place: Place, _: EventContext) -> None:
    kept = {name: fields.pop(name) for name in ("note", "line")}
    kept |= {name: fields.pop(name) for name in PARTS if name in fields}
    if "media" in kept:
        kept["media"] = media_of(kept["media"], place.at("media"))
    if "every" in raw and any(name in kept for name in PARTS):
        place.at("every").problem("equipment-parts-daily")
    changes = {name: float(fields.pop(name)) for name in list(fields)}
    if not changes and not raw.keys() & {*EQUIPMENT_KEYS, *SIZES}:
        place.problem("equipment-without-change")
    fields |= {"changes": changes, **kept}


DETAILS: Mapping[type[Event], Callable[[Values, Values, Place, EventContext], None]] = {
    Feed: _feed,
    AnimalsIn: _animals,
    WaterChange: _water_change,
    Dose: _dose,
    Seed: _seed,
    EquipmentChange: _equipment,
}
