"""A move of colonies as a JSON document, ``watervane-resettling/1``."""

from __future__ import annotations

from typing import Any

from watervane.exchange.findings_json import finding_document
from watervane.exchange.rehearsals_json import rehearsal_document
from watervane.records import Span
from watervane.records.resettling import ResettledWay, Resettling

RESETTLING_FORMAT = "watervane-resettling/1"


def resettling_document(found: Resettling) -> dict[str, Any]:
    """All of a move: how it was asked for, each way with what is kept and what comes of it."""
    move = found.move
    return {
        "format": RESETTLING_FORMAT,
        "tank": found.tank,
        "as_of": found.as_of.isoformat(),
        "horizon_days": found.horizon_days,
        "kind": move.kind,
        "carried": move.carried,
        "hours": move.hours,
        "warmth_c": move.warmth_c,
        "share": move.share,
        "bed": move.bed,
        "old_water": move.old_water,
        "volume_l": move.volume_l,
        "lent": _span(found.lent),
        "ways": [_way(each) for each in found.ways],
        "steps": [finding_document(each) for each in found.steps],
        "members": found.diagnostics.members,
        "health": found.diagnostics.health,
    }


def _way(one: ResettledWay) -> dict[str, Any]:
    told = rehearsal_document(one.rehearsal)
    for name in ("mishap", "size", "begins", "ends"):
        told.pop(name)
    return {"name": one.name, "kept": {name: _span(s) for name, s in one.kept.items()}, **told}


def _span(told: Span | None) -> dict[str, float] | None:
    return None if told is None else {"low": round(told.low, 4), "high": round(told.high, 4)}
