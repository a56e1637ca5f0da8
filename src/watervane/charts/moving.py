"""A forecast's specification whose days and chosen day a script may change while it is drawn.

Nothing is drawn anew for it: the time axis begins and ends where signals say, and the chosen day
is a row of data.
"""

from __future__ import annotations

from copy import deepcopy
from datetime import UTC, datetime
from typing import Any

BEGINS, ENDS, TICKS = "begins", "ends", "ticks"
CHOSEN = "chosen"  # name of the data that hold the chosen day, or nothing
# What lies outside of the days that are drawn; bands and lines are cut off at the edge instead.
WITHIN = {"filter": f"toDate(datum.t) >= {BEGINS} && toDate(datum.t) <= {ENDS}"}


def moving_spec(spec: dict[str, Any]) -> dict[str, Any]:
    """The specification of a forecast, with its time axis left to signals.

    Parameters
    ----------
    spec
        As `watervane.charts.spec.forecast_spec` makes it.
    """
    moved = deepcopy(spec)
    layers = [layer for view in moved["vconcat"] for layer in view["layer"]]
    timed = [layer for layer in layers if _x(layer)]
    first, last = _x(timed[0])["scale"]["domain"]
    ticks = [_day_of(tick) for tick in _x(timed[0])["axis"]["values"]]
    moved["params"] = [
        {"name": BEGINS, "value": _milliseconds(_moment(first))},
        {"name": ENDS, "value": _milliseconds(_moment(last))},
        {"name": TICKS, "value": [_milliseconds(tick) for tick in ticks]},
    ]
    moved["datasets"][CHOSEN] = []
    for layer in timed:
        x = _x(layer)
        x["scale"] = {**x["scale"], "domain": [{"expr": BEGINS}, {"expr": ENDS}]}
        x["axis"] = {**x["axis"], "values": {"expr": TICKS}}
        if not layer["mark"].get("clip"):
            layer["transform"] = [WITHIN, *layer.get("transform", ())]
    for view in moved["vconcat"]:
        view["layer"].append(
            {
                "data": {"name": CHOSEN},
                "transform": [WITHIN],
                "mark": {"type": "rule", "style": "chosen"},
                # Each panel keeps the axis it had: only the last one tells the days.
                "encoding": {"x": next(_x(each) for each in view["layer"] if _x(each))},
            }
        )
    return moved


def _x(layer: dict[str, Any]) -> dict[str, Any]:
    """The time axis of a layer; empty for what lies at every time."""
    found: dict[str, Any] = layer.get("encoding", {}).get("x", {})
    return found if found.get("field") == "t" else {}


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text.removesuffix("Z")).replace(tzinfo=UTC)


def _day_of(tick: dict[str, int]) -> datetime:
    return datetime(tick["year"], tick["month"], tick["date"], tzinfo=UTC)


def _milliseconds(moment: datetime) -> int:
    return round(moment.timestamp() * 1000)
