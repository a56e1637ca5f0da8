"""A care schedule as one JSON document, ``watervane-care/1``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from typing import Any

from watervane.exchange.figures import quantiles, short
from watervane.records import NumberQuantiles
from watervane.records.care import CareSchedule

CARE_FORMAT = "watervane-care/1"
LEFT_OUT = ("diagnostics", "owner")


def care_document(schedule: CareSchedule) -> dict[str, Any]:
    """The document as plain dictionaries and lists.

    Parameters
    ----------
    schedule
        As the engine hands it out.

    Returns
    -------
    dict
        Nitrogen is in mg N/L, KH in dKH, GH in dGH, conductivity in uS/cm, shares from 0 to 1;
        levels of limits are in the unit of their limit. Dates are ISO 8601 with offset.
    """
    told = _part(schedule)
    return {
        "format": CARE_FORMAT,
        **told,
        "members": schedule.diagnostics.members,
        "health": schedule.diagnostics.health,
    }


def _part(value: Any) -> Any:
    if isinstance(value, NumberQuantiles):
        return quantiles(value)
    if is_dataclass(value) and not isinstance(value, type):
        return {
            each.name: _part(getattr(value, each.name))
            for each in fields(value)
            if each.name not in LEFT_OUT
        }
    if isinstance(value, Mapping):
        return {str(name): _part(each) for name, each in value.items()}
    if isinstance(value, tuple | list):
        return [_part(each) for each in value]
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, float):
        return short(value)
    return value if isinstance(value, str | int | bool) or value is None else str(value)
