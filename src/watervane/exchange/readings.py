"""Readings of a tank file."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from typing import Any

from watervane.exchange.event_reader import check_filled
from watervane.exchange.forms import MOST_DIGITS, Context
from watervane.exchange.problems import Place, Refusal, nearest, refuse, shown
from watervane.exchange.table_reader import Values, read_table
from watervane.exchange.vocabulary import READING
from watervane.records import QUANTITY_UNITS, SAID, WHOLE_WATER, Kit, Reading, ReadingValue
from watervane.units import UnitError, parse_reading

USUAL_PH = (3.0, 11.0)
USUAL_TEMPERATURE_C = (2.0, 42.0)
UNDILUTED = ("ph", "temperature", WHOLE_WATER)  # what dilution does not scale


def read_readings(
    raw: list[Any], place: Place, context: Context, kits: Mapping[str, Kit], filled: date | None
) -> tuple[Reading, ...]:
    """Every readable reading, in the order of the file."""
    readings = []
    for index, told in enumerate(raw):
        there = place.at(index, "[[reading]]")
        values = read_table(told, READING, there, context)
        if isinstance(told, dict) and "quantity" not in values:
            _meant_value(told, values, there)
        reading = _reading(values, there, kits, filled)
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
    if values.get("diluted", 1.0) > 1.0 and quantity in UNDILUTED:
        place.at("diluted").problem("diluted-nonsense", quantity=quantity)
    if quantity == WHOLE_WATER and of_source:
        place.at("of").problem("said-of-source")
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
        diluted=values.get("diluted", 1.0),
        note=values.get("note", ""),
        line=place.line,
    )


def _meant_value(told: dict[str, Any], values: Values, place: Place) -> None:
    """Tell what is wrong with the value of a quantity that was likely meant."""
    word = told.get("quantity")
    meant = nearest(word, QUANTITY_UNITS) if isinstance(word, str) else None
    if meant is not None and "value" in values:
        _value(values["value"], meant, place.at("value", f"{meant} reading"))


def _value(raw: Any, quantity: str, place: Place) -> ReadingValue | None:
    said = " ".join(raw.lower().split()) if isinstance(raw, str) else ""
    if quantity == WHOLE_WATER:
        if said in SAID:
            return ReadingValue(said, None, None, "none", said)
        place.problem("said-what", value=shown(raw), words=SAID)
        return None
    if said in SAID:
        place.problem("said-of-what", value=shown(raw), quantity=quantity, water=WHOLE_WATER)
        return None
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
