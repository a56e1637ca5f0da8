"""Limits as parts of JSON documents, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any

from watervane.exchange.figures import quantiles, short
from watervane.limits import TIERS
from watervane.records import LimitList, SettledLevels, ToldLimit

LIMITS_FORMAT = "watervane-limits/1"


def limit_document(limit: ToldLimit) -> dict[str, Any]:
    """One limit as a plain dictionary; its fields are those of the record."""
    document = {**asdict(limit), "animals": list(limit.animals)}
    for name in ("level", "total_mg_n_per_l"):
        value = document[name]
        document[name] = None if value is None else short(value)
    return document


def limit_documents(limits: Mapping[str, ToldLimit]) -> dict[str, dict[str, Any]]:
    """Limits by the keys of what is held against them."""
    return {name: limit_document(limit) for name, limit in limits.items()}


def read_limits(told: Mapping[str, Any]) -> dict[str, ToldLimit]:
    """Limits of a stored document; fields it does not know of are left alone.

    Raises
    ------
    KeyError, TypeError, ValueError
        If it is none.
    """
    known = {field.name for field in fields(ToldLimit)}
    found = {}
    for name, entry in told.items():
        values = {key: value for key, value in entry.items() if key in known}
        values |= {"level": float(values["level"]), "hours": float(values["hours"])}
        found[name] = ToldLimit(**{**values, "animals": tuple(values["animals"])})
    return found


def settled_document(levels: SettledLevels) -> dict[str, float]:
    """What counts as settled."""
    return asdict(levels)


def read_settled(told: Mapping[str, Any] | None) -> SettledLevels:
    """What counted as settled; documents of old tell nothing, and went by the usual levels."""
    if told is None:
        return SettledLevels()
    return SettledLevels(float(told["ammonia_mg_n_per_l"]), float(told["nitrite_mg_n_per_l"]))


def limit_list_document(listed: LimitList) -> dict[str, Any]:
    """All limits of a tank as plain dictionaries and lists, ``watervane-limits/1``."""
    return {
        "format": LIMITS_FORMAT,
        "tank": listed.tank,
        "animals": list(listed.animals),
        "accepted_risk": {tier: listed.allowed.of(tier) for tier in TIERS},
        "water": {name: quantiles(told) for name, told in listed.water.items()},
        "limits": [
            {**limit_document(one.limit), "levels": quantiles(one.level), "leads": one.leads}
            for one in listed.limits
        ],
        "assumptions": [
            {"key": one.key, "arguments": dict(one.arguments)} for one in listed.assumptions
        ],
    }
