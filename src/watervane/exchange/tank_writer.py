"""A `Tank` back into the text of a tank file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

import tomlkit
from tomlkit.items import InlineTable
from tomlkit.items import Table as TomlTable

from watervane.exchange.animal_rows import own_animal_values
from watervane.exchange.animal_vocabulary import ANIMAL
from watervane.exchange.event_writer import event_values
from watervane.exchange.forms import Form, Key, ListOf, Table
from watervane.exchange.limit_edits import limit_edit_values
from watervane.exchange.moments import written_moment
from watervane.exchange.numbers import grams_text, reading_text, step_text, unit_text
from watervane.exchange.vocabulary import (
    AIR,
    AMOUNTS,
    BED,
    CO2,
    FORMAT,
    HEATER,
    KIT,
    LIGHT,
    READING,
    RISK,
    ROOM,
    SETTLED,
    SHAPE,
    SOURCE_WATER,
    TANK,
)
from watervane.records import Filter, Kit, KitScale, Reading, Shape, Tank


def write_tank_file(tank: Tank) -> str:
    """Text of a tank file that reads back to the same tank.

    Parameters
    ----------
    tank
        Its owner is not written: whoever reads a file in owns what comes of it.

    Returns
    -------
    str
        TOML; amounts and readings in the keeper's own words where those are known.
    """
    zone = ZoneInfo(tank.time_zone)
    document = tomlkit.document()
    document.add("format", tomlkit.item(FORMAT))
    document.add("tank", _table(_tank_values(tank), TANK.keys))
    water = _record_values(tank.source_water, SOURCE_WATER.keys)
    if water:
        document.add("source_water", _table(water, SOURCE_WATER.keys))
    if tank.food_amounts:
        weighed = {name: grams_text(span) for name, span in tank.food_amounts.items()}
        document.add("amounts", _table(weighed, AMOUNTS.keys))
    if tank.kits:
        kits = tomlkit.table(is_super_table=True)
        for name, kit in tank.kits.items():
            kits.add(name, _table(_kit_values(kit), KIT.keys))
        document.add("kits", kits)
    settled = _record_values(tank.settled_levels, SETTLED.keys)
    if settled:
        document.add("settled", _table(settled, SETTLED.keys))
    risk = _record_values(tank.allowed_risk, RISK.keys)
    if risk:
        document.add("risk", _table(risk, RISK.keys))
    if tank.limit_edits:
        document.add("limits", _limits(tank))
    rows = [(own_animal_values(row), ANIMAL.keys) for row in tank.own_animals]
    _add_list(document, "animal", rows)
    _add_list(
        document, "event", [event_values(e, tank, zone) for e in (*tank.events, *tank.habits)]
    )
    readings = [(reading_values(r, zone), READING.keys) for r in tank.readings]
    _add_list(document, "reading", readings)
    return tomlkit.dumps(document)


def _limits(tank: Tank) -> TomlTable:
    table = tomlkit.table()
    for name, value in limit_edit_values(tank.limit_edits).items():
        if isinstance(value, dict):
            inline = tomlkit.inline_table()
            inline.update(value)
            table.add(name, inline)
        else:
            table.add(name, value)
    return table


def _add_list(
    document: tomlkit.TOMLDocument, name: str, entries: list[tuple[dict[str, Any], tuple[Key, ...]]]
) -> None:
    if entries:
        tables = tomlkit.aot()
        for values, keys in entries:
            tables.append(_table(values, keys))
        document.add(name, tables)


def _table(values: Mapping[str, Any], keys: tuple[Key, ...]) -> TomlTable:
    table = tomlkit.table()
    for key in keys:
        if key.name in values:
            table.add(key.name, written_value(values[key.name], key.form))
    return table


def written_value(value: Any, form: Form | Table | ListOf) -> Any:
    """A value as TOML holds it."""
    if isinstance(form, Table):
        inline: InlineTable = tomlkit.inline_table()
        for key in form.keys:
            if key.name in value:
                inline.append(key.name, written_value(value[key.name], key.form))
        return inline
    if isinstance(form, ListOf):
        array = tomlkit.array()
        for element in value:
            array.append(written_value(element, form.element))
        return array
    return form.write(value)


def _record_values(record: object, keys: tuple[Key, ...]) -> dict[str, Any]:
    """A record's told fields by key; what equals the record's default is left out."""
    defaults = type(record).__dataclass_fields__  # type: ignore[attr-defined]
    found = {}
    for key in keys:
        value = getattr(record, key.target, None)
        if value is not None and value != defaults[key.target].default:
            found[key.name] = value
    return found


def _tank_values(tank: Tank) -> dict[str, Any]:
    flat = tuple(k for k in TANK.keys if not isinstance(k.form, Table) and k.name != "normal_food")
    values = _record_values(tank, flat)
    values |= {"name": tank.name, "filled": tank.filled}
    if tank.shape is not None:
        values["shape"] = _shape_values(tank.shape)
    if tank.bed is not None:
        values["bed"] = _record_values(tank.bed, BED.keys)
    if tank.filter is not None:
        values["filter"] = _filter_values(tank.filter)
    machines = {"heater": HEATER, "air": AIR, "light": LIGHT, "co2": CO2, "room": ROOM}
    for name, table in machines.items():
        told = _record_values(tank, table.keys)
        if told:
            values[name] = told
    if tank.normal_food_g_per_d is not None:
        values["normal_food"] = grams_text(tank.normal_food_g_per_d)
    return values


def _shape_values(shape: Shape) -> dict[str, Any]:
    values = _record_values(shape, SHAPE.keys)
    if shape.kind == "cylinder":
        values.pop("length", None)
        values.pop("width", None)
    else:
        values.pop("diameter", None)
    return values


def _filter_values(told: Filter) -> dict[str, Any]:
    values: dict[str, Any] = {}
    if told.media:
        values["media"] = [{"kind": m.kind, "volume": m.volume_l} for m in told.media]
    if told.flow_l_per_h is not None:
        values["flow"] = told.flow_l_per_h
    return values


def _kit_values(kit: Kit) -> dict[str, Any]:
    values: dict[str, Any] = {"kind": kit.kind}
    if kit.calibrated:
        values["calibrated"] = list(kit.calibrated)
    if kit.response_h is not None:
        values["response_time"] = kit.response_h
    return {**values, **{scale.quantity: _scale_values(scale) for scale in kit.scales}}


def _scale_values(scale: KitScale) -> dict[str, Any]:
    values: dict[str, Any] = {}
    if scale.steps:
        values["steps"] = [step_text(step, scale.quantity, scale.basis) for step in scale.steps]
    unit = unit_text(scale.quantity, scale.basis)
    if unit:
        values["unit"] = unit
    for name in ("resolution", "range_end", "error_floor"):
        number = getattr(scale, name)
        if number is not None:
            values[name] = step_text(number, scale.quantity, scale.basis)
    if scale.relative_error is not None:
        values["relative_error"] = scale.relative_error
    if scale.reagent:
        values["reagent"] = scale.reagent
    return values


def reading_values(reading: Reading, zone: ZoneInfo) -> dict[str, Any]:
    """Values by key of one reading."""
    values: dict[str, Any] = {
        "at": written_moment(reading.at, zone, hour_known=reading.hour_known),
        "quantity": reading.quantity,
        "value": reading_text(reading.value, reading.quantity),
    }
    if reading.diluted != 1.0:
        values["diluted"] = reading.diluted
    if reading.kit is not None:
        values["kit"] = reading.kit
    if reading.of_source_water:
        values["of"] = "source water"
    if reading.note:
        values["note"] = reading.note
    return values
