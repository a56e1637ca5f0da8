"""Kits and readings of a tank file."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from typing import Any

from watervane.exchange.event_reader import check_filled
from watervane.exchange.forms import MOST_DIGITS, Context
from watervane.exchange.problems import Place, Refusal, nearest, refuse, shown
from watervane.exchange.table_reader import Values, read_table
from watervane.exchange.vocabulary import KIT, READING
from watervane.records import QUANTITY_UNITS, Kit, KitScale, Reading, ReadingValue
from watervane.units import UnitError, parse_reading, parse_scale

USUAL_PH = (3.0, 11.0)
USUAL_TEMPERATURE_C = (2.0, 42.0)
LONGEST_KIT_NAME = 60


def read_kits(raw: Any, place: Place, context: Context) -> dict[str, Kit]:
    """The keeper's kits by name."""
    if not isinstance(raw, dict):
        place.problem("not-a-table", name="[kits]", value=shown(raw))
        return {}
    kits = {}
    for name, told in raw.items():
        there = place.at(name, f"[kits.{shown(name)}]")
        if not isinstance(told, dict):
            there.problem("not-a-table", name=there.name, value=shown(told))
        elif not name.isprintable() or not 0 < len(name) <= LONGEST_KIT_NAME:
            there.problem("kit-name", value=shown(name), longest=LONGEST_KIT_NAME)
        else:
            kits[name] = _kit(name, read_table(told, KIT, there, context), there)
    return kits


def _kit(name: str, values: Values, place: Place) -> Kit:
    scales = []
    for quantity in values:
        if quantity in QUANTITY_UNITS:
            scale = _scale(quantity, values[quantity], place.at(quantity, f"{name}, {quantity}"))
            if scale is not None:
                scales.append(scale)
    return Kit(name, values.get("kind", "drop"), tuple(scales))


def _scale(quantity: str, values: Values, place: Place) -> KitScale | None:
    if "steps" not in values:
        return None
    try:
        if any(isinstance(step, int) and abs(step) > MOST_DIGITS for step in values["steps"]):
            refuse("number-huge")
        steps, basis = parse_scale(values["steps"], values.get("unit", ""), quantity)
    except UnitError as error:
        place.at("steps").problem(error.key, name=place.name, **error.arguments)
        return None
    except Refusal as refusal:
        place.at("steps").problem(refusal.key, name=place.name, **refusal.arguments)
        return None
    return KitScale(quantity, steps, basis)


def read_readings(
    raw: list[Any], place: Place, context: Context, kits: Mapping[str, Kit], filled: date | None
) -> tuple[Reading, ...]:
    """Every readable reading, in the order of the file."""
    readings = []
    for index, told in enumerate(raw):
        there = place.at(index, "[[reading]]")
        reading = _reading(read_table(told, READING, there, context), there, kits, filled)
        if reading is not None:
            readings.append(reading)
    return tuple(readings)


def _reading(
    values: Values, place: Place, kits: Mapping[str, Kit], filled: date | None
) -> Reading | None:
    moment, quantity = values.get("at"), values.get("quantity")
    kit = values.get("kit")
    if kit is not None and kit not in kits:
        _unknown_kit(kit, kits, place.at("kit"))
    of_source = values.get("of") == "source water"
    if isinstance(moment, time):
        place.at("at").problem("clock-without-habit", value=shown(moment))
        return None
    if moment is not None:
        if not of_source:
            check_filled(moment, place.at("at"), filled, "reading")
        if moment.twice:
            told = moment.at.replace(tzinfo=None).isoformat(sep=" ")
            place.at("at").caution("clock-twice", at=told)
    if quantity is None or "value" not in values:
        return None
    value = _value(values["value"], quantity, place.at("value", f"{quantity} reading"))
    if value is None or moment is None:
        return None
    return Reading(
        at=moment.at,
        quantity=quantity,
        value=value,
        hour_known=moment.hour_known,
        kit=kit,
        of_source_water=of_source,
        note=values.get("note", ""),
        line=place.line,
    )


def _value(raw: Any, quantity: str, place: Place) -> ReadingValue | None:
    try:
        if isinstance(raw, int) and abs(raw) > MOST_DIGITS:
            refuse("number-huge")
        value = parse_reading(raw, quantity)
    except UnitError as error:
        place.problem(error.key, name=place.name, **error.arguments)
        return None
    except Refusal as refusal:
        place.problem(refusal.key, name=place.name, **refusal.arguments)
        return None
    if quantity == "ph" and not _within(value, USUAL_PH):
        place.caution("ph-unusual", value=shown(value.raw))
    if quantity == "temperature" and not _within(value, USUAL_TEMPERATURE_C):
        place.caution("temperature-unusual", value=shown(value.raw))
    return value


def _within(value: ReadingValue, usual: tuple[float, float]) -> bool:
    bounds = [b for b in (value.low, value.high) if b is not None]
    return all(usual[0] <= bound <= usual[1] for bound in bounds)


def _unknown_kit(kit: str, kits: Mapping[str, Kit], place: Place) -> None:
    near = nearest(kit, kits)
    if near is not None:
        place.problem("kit-unknown-near", value=shown(kit), near=near)
    elif kits:
        place.problem("kit-unknown", value=shown(kit), known=tuple(kits))
    else:
        place.problem("kit-unknown-none", value=shown(kit))
