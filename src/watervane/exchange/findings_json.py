"""Findings as parts of JSON documents that are read again, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from watervane.records import Finding, Span

_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?([+-]\d\d:\d\d)?")


def finding_document(finding: Finding) -> dict[str, Any]:
    """A finding as a plain dictionary."""
    return {
        "key": finding.key,
        "severity": finding.severity,
        "arguments": {name: _plain(value) for name, value in finding.arguments.items()},
    }


def read_finding(told: Mapping[str, Any]) -> Finding:
    """A finding of a document; its arguments are again what sentences are made from."""
    arguments = {name: _understood(value) for name, value in told["arguments"].items()}
    return Finding(str(told["key"]), str(told["severity"]), arguments)


def _plain(value: object) -> Any:
    if isinstance(value, bool | int | float | str) or value is None:
        return value
    if isinstance(value, Span):
        return {"low": value.low, "high": value.high}
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    return str(value)


def _understood(value: Any) -> object:
    if isinstance(value, str):
        if _DAY.fullmatch(value):
            return date.fromisoformat(value)
        return datetime.fromisoformat(value) if _MOMENT.fullmatch(value) else value
    if isinstance(value, dict):
        if set(value) == {"low", "high"}:
            return Span(value["low"], value["high"])
        return {name: _understood(inner) for name, inner in value.items()}
    return [_understood(inner) for inner in value] if isinstance(value, list) else value
