"""Plans of tanks and of source waters as JSON documents."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from math import isfinite
from typing import Any

from watervane.exchange.figures import short
from watervane.exchange.findings_json import finding_document
from watervane.records import Blueprint, Choice, Finding, SourcePlan, Span

BLUEPRINT_FORMAT = "watervane-blueprint/1"
CHOICE_FORMAT = "watervane-choice/1"
SOURCE_FORMAT = "watervane-source-water/1"


def blueprint_document(blueprint: Blueprint) -> dict[str, Any]:
    """A plan; every figure under the name its record has.

    Parameters
    ----------
    blueprint
        As planned.
    """
    told = _plain(blueprint)
    wish = told.pop("wish")
    total = short(blueprint.total_kg)
    return {"format": BLUEPRINT_FORMAT, "wish": wish, "total_kg": total, **told}


def source_document(plan: SourcePlan) -> dict[str, Any]:
    """A source water, and the recipe where one was wanted.

    Parameters
    ----------
    plan
        As worked out.
    """
    return {"format": SOURCE_FORMAT, **_plain(plan)}


def choice_document(choice: Choice) -> dict[str, Any]:
    """Animals chosen from a wish list; every figure under the name its record has.

    Parameters
    ----------
    choice
        As chosen.
    """
    return {"format": CHOICE_FORMAT, **_plain(choice)}


def _plain(value: Any) -> Any:
    if isinstance(value, Finding):
        return {**finding_document(value), "source": value.source}
    if isinstance(value, Span):
        return {"low": short(value.low), "high": short(value.high)}
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return short(value) if isfinite(value) else None
    return value
