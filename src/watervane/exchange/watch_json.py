"""The watch over a tank as a JSON document, and back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from watervane.exchange.figures import short
from watervane.exchange.findings_json import finding_document, read_finding
from watervane.records.watching import Drift, Watch

WATCH_FORMAT = "watervane-watch/1"


def watch_document(watch: Watch) -> dict[str, Any]:
    """All of a watch; numbers in the unit of each quantity, of a flow L/h."""
    return {
        "format": WATCH_FORMAT,
        "as_of": watch.as_of.isoformat(),
        "drifts": [_drift(each) for each in watch.drifts],
        "explained": [finding_document(each) for each in watch.explained],
        "compared": dict(watch.compared),
        "false_alarms_per_y": watch.false_alarms_per_y,
        "last_read": None if watch.last_read is None else watch.last_read.isoformat(),
    }


def read_watch(told: Mapping[str, Any] | None) -> Watch | None:
    """A watch of its document; nothing of nothing."""
    if told is None:
        return None
    return Watch(
        as_of=datetime.fromisoformat(told["as_of"]),
        drifts=tuple(_read(each) for each in told["drifts"]),
        explained=tuple(map(read_finding, told["explained"])),
        compared=dict(told["compared"]),
        false_alarms_per_y=float(told["false_alarms_per_y"]),
        last_read=None if told["last_read"] is None else datetime.fromisoformat(told["last_read"]),
    )


def _drift(one: Drift) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "quantity": one.quantity,
        "since": one.since.isoformat(),
        "last_read": one.last_read.isoformat(),
        "readings": one.readings,
        "expected": short(one.expected),
        "seen": short(one.seen),
        "by_week": None if one.by_week is None else short(one.by_week),
        "odds": short(one.odds),
    }


def _read(told: Mapping[str, Any]) -> Drift:
    since, last = (datetime.fromisoformat(told[name]) for name in ("since", "last_read"))
    return Drift(**{**told, "since": since, "last_read": last})
