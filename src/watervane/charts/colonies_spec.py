"""The colonies as one drawing: bands of what they could turn over, and dashed what is offered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from watervane.charts.data import tick_days, wall
from watervane.records import QUANTILE_KEYS, Band

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
WIDE, NARROW = 720, 300
TALL, LOW = 120, 92  # of a panel, beside others and alone in its row [px]
BESIDE = 480  # width from which the panels of a colony stand side by side [px]
GAP, LEVELS = 22, 40  # between panels, and for the labels of their levels [px]
MOST_TICKS = 4
PADDING = {"left": 4, "right": 12, "top": 8, "bottom": 4}
LINES = (("p50", "median"), ("load_low", "load-edge"), ("load_high", "load-edge"), ("load", "load"))
BESIDE_ITS_LINE = {"align": "left", "baseline": "bottom", "dx": 3, "dy": -3}


@dataclass(frozen=True, slots=True)
class ColonyPanel:
    """One colony in one habitat: what it could do, and what falls to it."""

    title: str
    capacity: Band
    load: Band


@dataclass(frozen=True, slots=True)
class ColoniesPicture:
    """Rows of panels over the same days, one row a colony, and the words of the drawing."""

    title: str
    description: str
    guide: str
    load_name: str
    times: tuple[datetime, ...]
    rows: tuple[tuple[ColonyPanel, ...], ...]


def colonies_spec(
    picture: ColoniesPicture, *, titled: bool = True, width: int = WIDE
) -> dict[str, Any]:
    """The whole drawing as a Vega-Lite specification, without colours.

    Parameters
    ----------
    picture
        What to draw.
    titled
        Whether its title is part of it.
    width
        Of the drawing; a narrow one has its panels one under the other. [px]
    """
    beside = width >= BESIDE
    rows: list[dict[str, Any]] = []
    for panels in picture.rows:
        top = max(max(*panel.capacity.p95, *panel.load.p95) for panel in panels)
        share = width / len(panels) - LEVELS - GAP if beside else width - LEVELS
        drawn = [
            _panel(panel, picture, top, (share, TALL if beside else LOW), named=number == 0)
            for number, panel in enumerate(panels)
        ]
        rows += [{"hconcat": drawn, "spacing": GAP}] if beside else drawn
    spec: dict[str, Any] = {
        "$schema": SCHEMA,
        "description": picture.description,
        "padding": PADDING,
        "spacing": GAP,
        "vconcat": rows,
    }
    if titled:
        spec["title"] = {"text": picture.title, "offset": 14}
    return spec


def _panel(
    panel: ColonyPanel,
    picture: ColoniesPicture,
    top: float,
    size: tuple[float, int],
    *,
    named: bool,
) -> dict[str, Any]:
    rows = _rows(panel, picture)
    x = _days(picture)
    # Roots of the amounts: a load a tenth of what could be done lies well above the ground.
    scale = {"type": "sqrt", "domain": [0, max(1.06 * top, 0.1)], "nice": False}
    axis = {
        "title": None,
        "tickCount": 4,
        "labelOverlap": True,
        "minExtent": LEVELS,
        "maxExtent": LEVELS,
    }

    def y(field: str) -> dict[str, Any]:
        return {"field": field, "type": "quantitative", "scale": scale, "axis": axis}

    layers: list[dict[str, Any]] = [
        {
            "mark": {"type": "area", "style": style},
            "encoding": {"x": x, "y": y(low), "y2": {"field": high}},
        }
        for style, low, high in (("outer-band", "p05", "p95"), ("inner-band", "p25", "p75"))
    ]
    layers += [
        {"mark": {"type": "line", "style": style}, "encoding": {"x": x, "y": y(field)}}
        for field, style in LINES
    ]
    if named:
        name = {"x": x, "y": y("load"), "text": {"value": picture.load_name}}
        layers += [
            {
                "data": {"values": rows[:1]},
                "mark": {"type": "text", "style": style, **BESIDE_ITS_LINE},
                "encoding": name,
            }
            for style in ("limit-halo", "limit-label")
        ]
    return {
        "title": {"text": panel.title, "fontSize": 13, "offset": 6},
        "width": round(size[0]),
        "height": size[1],
        "data": {"values": rows},
        "layer": layers,
    }


def _rows(panel: ColonyPanel, picture: ColoniesPicture) -> list[dict[str, Any]]:
    """One row a day: the quantiles of what it could do, and of what falls to it."""
    return [
        {
            "t": wall(at),
            **{key: _short(getattr(panel.capacity, key)[place]) for key in QUANTILE_KEYS},
            "load": _short(panel.load.p50[place]),
            "load_low": _short(panel.load.p05[place]),
            "load_high": _short(panel.load.p95[place]),
        }
        for place, at in enumerate(picture.times)
    ]


def _days(picture: ColoniesPicture) -> dict[str, Any]:
    """The axis of days."""
    days = tick_days(picture.times[0].date(), picture.times[-1].date())
    days = days[:: max(1, -(-len(days) // MOST_TICKS))]
    ticks = [{"year": day.year, "month": day.month, "date": day.day, "utc": True} for day in days]
    axis = {
        "title": None,
        "format": "%-d %b",
        "values": ticks,
        "labelOverlap": True,
        "grid": False,
    }
    return {"field": "t", "type": "temporal", "scale": {"type": "utc"}, "axis": axis}


def _short(value: float) -> float:
    return float(f"{value:.4g}")
