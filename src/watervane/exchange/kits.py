"""Kits of a tank file."""

from __future__ import annotations

from typing import Any

from watervane.exchange.forms import MOST_DIGITS, Context
from watervane.exchange.problems import Place, Refusal, refuse, shown
from watervane.exchange.table_reader import Values, read_table, record_fields
from watervane.exchange.vocabulary import KIT
from watervane.records import QUANTITY_UNITS, Kit, KitScale
from watervane.units import UnitError, parse_scale

LONGEST_KIT_NAME = 60
OF_PROBES = ("calibrated", "response_time")
OF_STEPS, OF_DIGITS = "steps", ("resolution", "range_end")
_WITH_BASES = ("ammonia", "nitrite", "nitrate", "phosphate")
_NUMBERS = ("resolution", "range_end", "error_floor")


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
    kind = values.get("kind", "drop")
    scales = []
    for quantity in values:
        if quantity in QUANTITY_UNITS:
            scale = _scale(quantity, values[quantity], place.at(quantity, f"{name}, {quantity}"))
            if scale is not None:
                scales.append(scale)
    for key in OF_PROBES:
        if key in values and kind != "probe":
            place.at(key).problem("kit-key-of-probes", wrong=key, kind=kind)
    fields = record_fields({key: values[key] for key in OF_PROBES if key in values}, KIT.keys)
    if "calibrated" in fields:
        fields["calibrated"] = tuple(sorted(fields["calibrated"]))
    return Kit(name, kind, tuple(scales), **fields)


def _scale(quantity: str, values: Values, place: Place) -> KitScale | None:
    if not values:
        place.problem("kit-scale-empty", name=place.name)
        return None
    for digits in OF_DIGITS:
        if OF_STEPS in values and digits in values:
            place.at(digits).problem("told-twice", first=OF_STEPS, second=digits)
    if "reagent" in values and quantity != "ammonia":
        place.at("reagent").problem("reagent-of-ammonia", quantity=quantity)
    unit = values.get("unit", "")
    told = {key: values[key] for key in (OF_STEPS, *_NUMBERS) if key in values}
    lists = {key: value if key == OF_STEPS else [value] for key, value in told.items()}
    if not lists and unit:
        lists = {"unit": ["1"]}  # only for its basis
    read = {key: _numbers(some, unit, quantity, place.at(key)) for key, some in lists.items()}
    bases = {found[1] for found in read.values() if found is not None}
    if len(bases) > 1:
        place.problem("kit-scale-bases", name=place.name)
    numbers = {key: found[0] for key, found in read.items() if found is not None}
    return KitScale(
        quantity,
        steps=numbers.get(OF_STEPS, ()),
        basis=next(iter(bases), "unknown" if quantity in _WITH_BASES else "none"),
        resolution=_positive("resolution", numbers, place),
        range_end=_positive("range_end", numbers, place),
        relative_error=values.get("relative_error"),
        error_floor=_positive("error_floor", numbers, place),
        reagent=values.get("reagent", ""),
    )


def _positive(key: str, numbers: dict[str, tuple[float, ...]], place: Place) -> float | None:
    if key not in numbers:
        return None
    (number,) = numbers[key]
    if number <= 0.0:
        place.at(key).problem(
            "not-positive", name=f"{place.name}, {key}", value=f"{number:g}", example="0.05"
        )
    return number


def _numbers(
    told: list[Any], unit: str, quantity: str, place: Place
) -> tuple[tuple[float, ...], str] | None:
    """Numbers of a scale in the canonical unit and their basis."""
    try:
        if any(isinstance(number, int) and abs(number) > MOST_DIGITS for number in told):
            refuse("number-huge")
        return parse_scale(told, unit, quantity)
    except UnitError as error:
        place.problem(error.key, name=place.name, **error.arguments)
    except Refusal as refusal:
        place.problem(refusal.key, name=place.name, **refusal.arguments)
    return None
