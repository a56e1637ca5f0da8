"""The keeper's own limits, `[limits]` of a tank file."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from watervane.exchange.forms import QUANTITY_PATTERN, Context, Text, attempt
from watervane.exchange.numbers import level_text
from watervane.exchange.problems import Place, Refusal, nearest, refuse, shown
from watervane.limits import Limit, every_limit, stands_for
from watervane.records import LimitEdit
from watervane.units import UnitError, parse_reading
from watervane.units.conversions import MEQ_PER_L_PER_DKH

# Quantity of a limit -> what its figure is read as, and how much of its unit one of that is.
_READ_AS = {
    "alkalinity_meq_per_l": ("kh", MEQ_PER_L_PER_DKH),
    "gh_dgh": ("gh", 1.0),
    "temperature_c": ("temperature", 1.0),
    "temperature_change_k": ("temperature", 1.0),
    "free_ammonia_mg_n_per_l": ("ammonia", 1.0),
    "ph": ("ph", 1.0),
    "ph_change": ("ph", 1.0),
}
_NITROGEN = ("ammonia", "nitrite", "nitrate")
_NOTE = Text(longest=200)
_KEYS = ("level", "note")


def read_limit_edits(raw: Any, place: Place, context: Context) -> tuple[LimitEdit, ...]:
    """The keeper's figures, in the order of the file."""
    if not isinstance(raw, dict):
        place.problem("not-a-table", name="[limits]", value=shown(raw))
        return ()
    found = []
    for name, told in raw.items():
        there = place.at(name, f"[limits], {shown(name)}")
        try:
            found.append(_edit(name, told, context))
        except Refusal as refusal:
            there.problem(refusal.key, name=there.name, **refusal.arguments)
    return tuple(found)


def _edit(name: str, told: Any, context: Context) -> LimitEdit:
    limit = _meant(name)
    note = ""
    if isinstance(told, dict):
        strange = next((key for key in told if key not in _KEYS), None)
        if strange is not None:
            refuse("unknown-key", unknown=shown(strange), known=_KEYS)
        if "level" not in told:
            refuse("missing-key", missing="level", about="the figure with its unit")
        note = attempt(_NOTE, told.get("note", ""), context)
        told = told["level"]
    return LimitEdit(name, _level(told, limit), note)


def _meant(name: str) -> Limit:
    """One of the limits a name stands for; all of them are of one quantity, tier and side."""
    meant = [limit for limit in every_limit() if stands_for(name, limit.key)]
    if not meant:
        keys = list(dict.fromkeys(part for limit in every_limit() for part in _begins(limit.key)))
        near = nearest(name, keys)
        if near is None:
            refuse("limit-unknown", limit=shown(name))
        raise Refusal("limit-unknown-near", limit=shown(name), near=near)
    if len({(limit.quantity, limit.tier, limit.side) for limit in meant}) > 1:
        some = list(dict.fromkeys(limit.key for limit in meant))[:3]
        refuse("limit-too-wide", limit=shown(name), some=some)
    return meant[0]


def _begins(key: str) -> Sequence[str]:
    """A key, and what it begins with up to a whole word, the tier at least."""
    words = key.split("_")
    return [key, *("_".join(words[:count]) for count in range(len(words) - 1, 1, -1))]


def _level(told: Any, limit: Limit) -> float:
    quantity, factor = read_as(limit.quantity)
    try:
        value = parse_reading(told, quantity)
    except UnitError as error:
        raise Refusal(error.key, **error.arguments) from error
    if value.low is None or value.low != value.high:
        refuse("unit.one-number", read=shown(told))
    if quantity in _NITROGEN and value.basis == "unknown":
        refuse("limit-basis", read=shown(told))
    level = value.low * factor
    if not math.isfinite(level) or (level <= 0.0 and quantity != "temperature"):
        refuse("not-positive", value=shown(told), example=level_text(1.0, quantity))
    return level


def read_as(quantity: str) -> tuple[str, float]:
    """As what a limit's figure is read, and how much of its own unit one of that is."""
    return _READ_AS.get(quantity, (quantity.partition("_")[0], 1.0))


def limit_edit_values(edits: Sequence[LimitEdit]) -> dict[str, Any]:
    """What stands in the file, by what the keeper wrote."""
    values: dict[str, Any] = {}
    for edit in edits:
        quantity, factor = read_as(_meant(edit.limit).quantity)
        text: Any = level_text(edit.value / factor, quantity)
        values[edit.limit] = {"level": text, "note": edit.note} if edit.note else text
    return values


def limit_edits_schema(about: str) -> dict[str, Any]:
    """Schema of the table: names of limits are not listed, there are hundreds."""
    text = {"type": "string", "pattern": QUANTITY_PATTERN, "examples": ["0.5 mg/L as N"]}
    level = {"anyOf": [text, {"type": "number"}]}
    with_note = {
        "type": "object",
        "properties": {"level": level, "note": {"type": "string", "maxLength": 200}},
        "required": ["level"],
        "additionalProperties": False,
    }
    return {
        "type": "object",
        "description": about,
        "propertyNames": {"pattern": "^[a-z0-9_]+$"},
        "additionalProperties": {"anyOf": [text, {"type": "number"}, with_note]},
    }
