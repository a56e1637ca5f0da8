"""Events and habits back into the keys of an ``[[event]]``."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

from watervane.exchange.event_vocabulary import EVENT_KINDS, EventKind, event_table
from watervane.exchange.forms import Key
from watervane.exchange.moments import NOON, written_moment
from watervane.exchange.numbers import grams_text
from watervane.exchange.quantities import parse_dose_g
from watervane.exchange.water_vocabulary import SOURCE_WATER
from watervane.records import (
    PARTS,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    Habit,
    Span,
    Tank,
    WaterChange,
)
from watervane.reference import food_amounts
from watervane.units import UnitError, parse_food

_KIND_OF = {kind.record: kind for kind in EVENT_KINDS.values()}


def event_values(
    event: Event | Habit, tank: Tank, zone: ZoneInfo
) -> tuple[dict[str, Any], tuple[Key, ...]]:
    """Values by key of one event or habit, and the keys it may hold."""
    happened = event.template if isinstance(event, Habit) else event
    kind = _KIND_OF[type(happened)]
    values: dict[str, Any] = {"kind": kind.word}
    if isinstance(event, Habit):
        local = event.template.at.astimezone(zone)
        if event.template.hour_known or local.time() != NOON:
            values["at"] = local.time()
        values |= {"every": event.every_days, "from": event.start}
        if event.until is not None:
            values["until"] = event.until
    else:
        values["at"] = written_moment(event.at, zone, hour_known=event.hour_known)
    values |= _own_values(happened, kind, tank)
    if happened.note:
        values["note"] = happened.note
    return values, event_table(kind).keys


def _own_values(event: Event, kind: EventKind, tank: Tank) -> dict[str, Any]:
    if isinstance(event, Feed):
        return _feed_values(event, tank)
    if isinstance(event, Dose):
        return _dose_values(event)
    if isinstance(event, EquipmentChange):
        return _equipment_values(event, kind)
    values = _told_fields(event, kind.keys)
    if isinstance(event, WaterChange) and event.water:
        fields = {key.target: key.name for key in SOURCE_WATER.keys}
        values["water"] = {fields[field]: value for field, value in event.water.items()}
    return values


def _equipment_values(event: EquipmentChange, kind: EventKind) -> dict[str, Any]:
    told = {name: value for name in PARTS if (value := getattr(event, name)) is not None}
    if event.media is not None:
        told["media"] = [{"kind": each.kind, "volume": each.volume_l} for each in event.media]
    told |= event.changes
    return {key.name: told[key.target] for key in kind.keys if key.target in told}


def _told_fields(event: Event, keys: tuple[Key, ...]) -> dict[str, Any]:
    """Fields by key; what equals the record's default is left out unless required."""
    fields = type(event).__dataclass_fields__
    found = {}
    for key in keys:
        if key.target not in fields or key.name == "water":
            continue
        value = getattr(event, key.target)
        if key.required or (value is not None and value != fields[key.target].default):
            found[key.name] = value
    return found


def _feed_values(event: Feed, tank: Tank) -> dict[str, Any]:
    values: dict[str, Any] = {}
    if event.protein != Feed.__dataclass_fields__["protein"].default:
        values["protein"] = event.protein
    amounts = {**food_amounts(), **tank.food_amounts}
    if not event.raw and event.mass_g == parse_food("1 portion", amounts):
        return values
    if event.raw and _reads_as(event.raw, event.mass_g, lambda text: parse_food(text, amounts)):
        return {"amount": event.raw, **values}
    return {"mass": grams_text(event.mass_g), **values}


def _dose_values(event: Dose) -> dict[str, Any]:
    values: dict[str, Any] = {"substance": event.substance}
    if event.mass_g is not None:
        own_words = event.raw and _reads_as(event.raw, event.mass_g, parse_dose_g)
        values["amount"] = event.raw if own_words else grams_text(event.mass_g)
    if event.target_mg_n_per_l is not None:
        values["raise_to"] = event.target_mg_n_per_l
    if event.added_mg_n_per_l is not None:
        values["raise_by"] = event.added_mg_n_per_l
    if event.amount_factor is not None:
        values["amount_factor"] = event.amount_factor
    return values


def _reads_as(text: str, span: Span, parse: Callable[[str], Span]) -> bool:
    try:
        read = parse(text)
    except UnitError:
        return False
    return bool(read == span)
