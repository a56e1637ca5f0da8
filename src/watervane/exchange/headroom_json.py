"""Headroom, challenge tests and ways to a full tank as JSON documents."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

from watervane.exchange.figures import short
from watervane.records import (
    Challenge,
    Diagnostics,
    Filling,
    Finding,
    Headroom,
    Span,
)

HEADROOM_FORMAT = "watervane-headroom/1"
CHALLENGE_FORMAT = "watervane-challenge/1"
FILLING_FORMAT = "watervane-filling/1"
_LEFT_OUT = ("owner", "diagnostics", "findings", "raw")


def headroom_document(headroom: Headroom) -> dict[str, Any]:
    """The document as plain dictionaries and lists; dates are ISO 8601, foods in g/d."""
    document = _document(HEADROOM_FORMAT, headroom)
    for told, dated in zip(document["dates"], headroom.dates, strict=True):
        told["food_g_per_d"] = _plain(dated.food_g_per_d)
        told["count"] = dated.count
    return document


def challenge_document(challenge: Challenge) -> dict[str, Any]:
    """The document as plain dictionaries and lists; values are as the kit shows them."""
    return _document(CHALLENGE_FORMAT, challenge)


def filling_document(filling: Filling) -> dict[str, Any]:
    """The document as plain dictionaries and lists."""
    return _document(FILLING_FORMAT, filling)


def _document(name: str, told: Headroom | Challenge | Filling) -> dict[str, Any]:
    diagnostics: Diagnostics = told.diagnostics
    body: dict[str, Any] = _plain(told)
    return {
        "format": name,
        **body,
        "findings": [finding.key for finding in _findings(told)],
        "members": diagnostics.members,
        "health": diagnostics.health,
    }


def _findings(told: Headroom | Challenge | Filling) -> tuple[Finding, ...]:
    return (*told.findings, *told.diagnostics.findings)


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        return short(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Span):
        return [_plain(value.low), _plain(value.high)]
    if is_dataclass(value) and not isinstance(value, type):
        names = (f.name for f in fields(value) if f.name not in _LEFT_OUT)
        return {name: _plain(getattr(value, name)) for name in names}
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    if hasattr(value, "items"):
        return {str(key): _plain(item) for key, item in value.items()}
    return value
