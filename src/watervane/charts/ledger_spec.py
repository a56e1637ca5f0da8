"""The nitrogen ledger as one drawing: ribbons into the tank and out of it, as tall as their mass.

What came in and what went out is dark, what was there and is still there is light; each ribbon
carries its name and number, so that nothing is told by shade alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
WIDE, NARROW = 720, 300
SLOT, HEADING, MARGIN = 36.0, 26.0, 8.0  # room of a label, of a group's name, at the top [px]
RIBBONS = 150.0  # height of all nitrogen together [px]
BAR = 6.0  # width of the bars at the sides and in the middle [px]
BENDS = 24  # pieces of a ribbon's edge
PADDING = {"left": 4, "right": 4, "top": 8, "bottom": 4}


@dataclass(frozen=True, slots=True)
class Flow:
    """One line of the books, with the words beside its ribbon."""

    name: str
    amount_mg_n: float
    told: str


@dataclass(frozen=True, slots=True)
class FlowGroup:
    """Lines under one name; ``stock`` was or is there, the rest came in or went out."""

    name: str
    flows: tuple[Flow, ...]
    stock: bool


@dataclass(frozen=True, slots=True)
class LedgerPicture:
    """Both sides of the books, from the top, and the words of the drawing."""

    title: str
    description: str
    guide: str
    left: tuple[FlowGroup, ...]
    right: tuple[FlowGroup, ...]


@dataclass(frozen=True, slots=True)
class _Ribbon:
    """Where a ribbon begins at its side and where it meets the tank. [px]"""

    flow: Flow
    stock: bool
    side: float
    middle: float
    height: float


def ledger_spec(
    picture: LedgerPicture, *, titled: bool = True, width: int = WIDE
) -> dict[str, Any]:
    """The whole drawing as a Vega-Lite specification, without colours.

    Parameters
    ----------
    picture
        What to draw.
    titled
        Whether its title is part of it.
    width
        Of the drawing. [px]
    """
    left, left_names, left_end = _placed(picture.left)
    right, right_names, right_end = _placed(picture.right)
    height = max(left_end, right_end)
    middle = 0.5 * (height - RIBBONS)
    sides = ((left, 0.0, 0.5), (right, 1.0, 0.5))
    bands = [row for side in sides for row in _bands(*side, middle, width)]
    bars = [row for side in sides for row in _bars(*side, middle, width)]
    x = {"field": "x", "type": "quantitative", "axis": None, "scale": {"domain": [0, width]}}
    down = {"domain": [height, 0], "nice": False, "zero": False}
    y = {"field": "y", "type": "quantitative", "axis": None, "scale": down}
    layers: list[dict[str, Any]] = []
    for stock, style in ((True, "outer-band"), (False, "inner-band")):
        chosen = [row for row in bands if row["stock"] is stock]
        layers.append(
            {
                "data": {"values": chosen},
                "mark": {"type": "area", "style": style},
                "encoding": {"x": x, "y": y, "y2": {"field": "y2"}, "detail": {"field": "of"}},
            }
        )
    layers.append(
        {
            "data": {"values": bars},
            "mark": {"type": "rect", "style": "flow-bar"},
            "encoding": {"x": x, "x2": {"field": "x2"}, "y": y, "y2": {"field": "y2"}},
        }
    )
    layers += _labels(left, left_names, x, y, width, at_left=True)
    layers += _labels(right, right_names, x, y, width, at_left=False)
    spec: dict[str, Any] = {
        "$schema": SCHEMA,
        "description": picture.description,
        "padding": PADDING,
        "width": width,
        "height": height,
        "layer": layers,
    }
    if titled:
        spec["title"] = {"text": picture.title, "offset": 14}
    return spec


def _whole(groups: Sequence[FlowGroup]) -> float:
    return sum(flow.amount_mg_n for group in groups for flow in group.flows)


def _placed(
    groups: Sequence[FlowGroup],
) -> tuple[list[_Ribbon], list[tuple[str, float]], float]:
    """Ribbons and group names of one side from top to bottom, and where it ends. [px]"""
    scale = RIBBONS / max(_whole(groups), 1e-9)
    ribbons: list[_Ribbon] = []
    names: list[tuple[str, float]] = []
    at, met = MARGIN, 0.0
    for group in groups:
        if not group.flows:
            continue
        names.append((group.name, at + 0.5 * HEADING))
        at += HEADING
        for flow in group.flows:
            height = scale * flow.amount_mg_n
            slot = max(SLOT, height + 6.0)
            ribbons.append(_Ribbon(flow, group.stock, at + 0.5 * (slot - height), met, height))
            at, met = at + slot, met + height
    return ribbons, names, at


def _bands(
    ribbons: Sequence[_Ribbon], begin: float, end: float, middle: float, width: int
) -> Iterator[dict[str, Any]]:
    """Points along the edges of each ribbon, from its side to the tank."""
    inset = BAR if begin < end else -BAR
    first, last = begin * width + inset, end * width - 0.5 * inset
    for number, ribbon in enumerate(ribbons):
        for step in range(BENDS + 1):
            share = step / BENDS
            eased = share * share * (3.0 - 2.0 * share)
            top = ribbon.side + (middle + ribbon.middle - ribbon.side) * eased
            yield {
                "of": f"{begin:g} {number}",
                "stock": ribbon.stock,
                "x": round(first + (last - first) * share, 2),
                "y": round(top, 2),
                "y2": round(top + ribbon.height, 2),
            }


def _bars(
    ribbons: Sequence[_Ribbon], begin: float, end: float, middle: float, width: int
) -> Iterator[dict[str, Any]]:
    """A bar at the outer end of each ribbon, and the tank in the middle."""
    outer = 0.0 if begin < end else width - BAR
    for ribbon in ribbons:
        top, height = ribbon.side, max(ribbon.height, 1.0)
        yield {"x": outer, "x2": outer + BAR, "y": top, "y2": top + height}
    centre = end * width
    yield {
        "x": centre - 0.5 * BAR,
        "x2": centre + 0.5 * BAR,
        "y": middle,
        "y2": middle + RIBBONS,
    }


def _labels(
    ribbons: Sequence[_Ribbon],
    names: Sequence[tuple[str, float]],
    x: dict[str, Any],
    y: dict[str, Any],
    width: int,
    *,
    at_left: bool,
) -> list[dict[str, Any]]:
    """Name and number of each ribbon in two lines beside its bar, and the names of the groups."""
    place = BAR + 6.0 if at_left else width - BAR - 6.0
    align = "left" if at_left else "right"
    edge = 0.0 if at_left else float(width)
    lines = [(_middle(ribbon), -7.0, ribbon.flow.name, "flow-name") for ribbon in ribbons] + [
        (_middle(ribbon), 7.0, ribbon.flow.told, "flow-number") for ribbon in ribbons
    ]
    rows = [
        {"x": place, "y": at + off, "text": text, "style": style} for at, off, text, style in lines
    ]
    rows += [{"x": edge, "y": at, "text": name, "style": "flow-group"} for name, at in names]
    return [
        {
            "data": {"values": [row for row in rows if row["style"] == style]},
            "mark": {"type": "text", "style": each, "align": align, "baseline": "middle"},
            "encoding": {"x": x, "y": y, "text": {"field": "text"}},
        }
        for style in ("flow-group", "flow-name", "flow-number")
        for each in _with_halo(style)
    ]


def _with_halo(style: str) -> tuple[str, ...]:
    """Words that lie on ribbons stand out against them."""
    return (style,) if style == "flow-group" else (f"{style}-halo", style)


def _middle(ribbon: _Ribbon) -> float:
    return ribbon.side + 0.5 * ribbon.height
