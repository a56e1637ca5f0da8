"""The forecast as one Vega-Lite specification: page, SVG, PNG and PDF all come from it."""

from __future__ import annotations

import textwrap
from typing import Any

from watervane.charts.data import (
    PANEL_HEIGHT,
    course_of,
    datasets,
    day_start,
    horizon_end,
    level_domain,
    tick_days,
    wall,
)
from watervane.charts.level_labels import ROW_PX, label_places
from watervane.charts.picture import Panel, Picture

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
STRIP_HEIGHT = 34
SUBTITLE_LETTER_WIDTH = 6.6  # of an average letter at 14 px
DEFAULT_WIDTH = 660
RIGHT_EDGE = {"align": "right", "x": "width", "dx": -2}
FLAG_SHAPE = "M0,0L0,-1.6L1.1,-1.2L0,-0.8Z"


def forecast_spec(
    picture: Picture, *, width: int = DEFAULT_WIDTH, titled: bool = True
) -> dict[str, Any]:
    """Panels under each other on a shared time axis, events as flags between.

    Parameters
    ----------
    picture
        Records, panels, flags and words.
    width
        Width of the plotting area. [px]
    titled
        Whether the title and the reading guide are part of the drawing; a page
        carries them as text instead.
    """
    panels = picture.panels
    views = [_flag_strip(picture, width)] if picture.flags else []
    views += [_panel(picture, panel, width, last=panel is panels[-1]) for panel in panels]
    spec: dict[str, Any] = {
        "$schema": SCHEMA,
        "description": picture.words.description,
        "padding": {"left": 16, "right": 24, "top": 16, "bottom": 16},
        "datasets": datasets(picture),
        "spacing": 42,
        "bounds": "flush",
        "resolve": {"scale": {"x": "shared"}},
        "vconcat": views,
    }
    if titled:
        spec["title"] = {
            "text": picture.words.title,
            "subtitle": _wrapped(picture.words.subtitle, width),
            "fontSize": 22,
            "subtitleFontSize": 14,
            "subtitlePadding": 8,
            "subtitleLineHeight": 20,
            "offset": 22,
        }
        spec["vconcat"] = [*views, _guide(picture, width)]
    return spec


def _wrapped(lines: tuple[str, ...], width: int) -> list[str]:
    letters = int(width / SUBTITLE_LETTER_WIDTH)
    return [part for line in lines for part in textwrap.wrap(line, letters)]


def _time_axis(picture: Picture, *, labelled: bool) -> dict[str, Any]:
    forecast = picture.forecast
    first, last = picture.begins.date(), horizon_end(forecast).date()
    days = tick_days(first, last)
    return {
        "field": "t",
        "type": "temporal",
        "scale": {
            "type": "utc",
            "domain": [wall(day_start(picture.begins)), wall(horizon_end(forecast))],
            "nice": False,
        },
        "axis": {
            "values": [
                {"year": day.year, "month": day.month, "date": day.day, "utc": True} for day in days
            ],
            "format": "%-d %b" if first.year == last.year else "%-d %b %Y",
            "labels": labelled,
            "ticks": labelled,
            "domain": labelled,
            "grid": True,
            "labelOverlap": "greedy",
            "labelSeparation": 8,
            "labelFlush": False,
            "labelPadding": 6,
            "title": None,
        },
    }


def _panel(picture: Picture, panel: Panel, width: int, *, last: bool) -> dict[str, Any]:
    x = _time_axis(picture, labelled=last)
    domain = level_domain(picture, panel)
    layers = [
        *_marks(picture, panel, domain),
        _band(panel, x, "p05", "p95", "outer-band", domain),
        _band(panel, x, "p25", "p75", "inner-band"),
        {
            "data": {"name": "bands"},
            "mark": {"type": "line", "style": "median", "clip": True},
            "encoding": {"x": x, "y": _level(f"{panel.series_key}_p50")},
        },
        *_now(picture, x, labelled=panel is picture.panels[0]),
        *_readings(panel, x),
    ]
    return {
        "title": {"text": panel.title},
        "width": width,
        "height": PANEL_HEIGHT,
        "layer": layers,
    }


def _level(field: str, domain: tuple[float, float] | None = None) -> dict[str, Any]:
    level: dict[str, Any] = {
        "field": field,
        "type": "quantitative",
        "title": None,
        "axis": {
            "tickCount": 4,
            "grid": True,
            "domain": False,
            "ticks": False,
            "labelPadding": 8,
            "minExtent": 34,
            "maxExtent": 34,
            "title": None,
        },
    }
    if domain is not None:
        level["scale"] = {"domain": list(domain), "nice": False, "zero": False}
    return level


def _band(
    panel: Panel,
    x: dict[str, Any],
    low: str,
    high: str,
    style: str,
    domain: tuple[float, float] | None = None,
) -> dict[str, Any]:
    return {
        "data": {"name": "bands"},
        "mark": {"type": "area", "style": style, "clip": True},
        "encoding": {
            "x": x,
            "y": _level(f"{panel.series_key}_{low}", domain),
            "y2": {"field": f"{panel.series_key}_{high}"},
        },
    }


def _marks(picture: Picture, panel: Panel, domain: tuple[float, float]) -> list[dict[str, Any]]:
    """Level lines and their labels; drawn first, so that they never hide the forecast."""
    data: dict[str, Any] = {"values": [{}]}
    rules: list[dict[str, Any]] = []
    labels: list[dict[str, Any]] = []
    levels = [(mark.value, mark.label) for mark in panel.marks]
    places = label_places(levels, domain, PANEL_HEIGHT, course_of(picture, panel, domain))
    for mark, place in zip(panel.marks, places, strict=True):
        encoding = {"y": {"datum": mark.value, "type": "quantitative"}}
        rules.append(
            {"data": data, "mark": {"type": "rule", "style": "limit"}, "encoding": encoding}
        )
        side = {"align": "left", "x": 4} if place.side == "left" else RIGHT_EDGE
        for style in ("limit-halo", "limit-label"):  # the halo keeps lines off the words
            text = {"type": "text", "style": style, "baseline": "middle", **side}
            text |= {"text": mark.label, "y": round(place.top_px + ROW_PX / 2, 1)}
            labels.append({"data": data, "mark": text})
    return [*rules, *labels]


def _now(picture: Picture, x: dict[str, Any], *, labelled: bool) -> list[dict[str, Any]]:
    data = {"values": [{"t": wall(picture.forecast.as_of)}]}
    layers: list[dict[str, Any]] = [
        {"data": data, "mark": {"type": "rule", "style": "now"}, "encoding": {"x": x}}
    ]
    if labelled:
        text = {"type": "text", "style": "now-label", "align": "left", "baseline": "top"}
        layers.append(
            {
                "data": data,
                "mark": {**text, "text": picture.words.now_label, "dx": 5, "y": -14},
                "encoding": {"x": x},
            }
        )
    return layers


def _readings(panel: Panel, x: dict[str, Any]) -> list[dict[str, Any]]:
    def chosen(test: str) -> list[dict[str, str]]:
        return [{"filter": f"datum.quantity === '{panel.quantity}' && {test}"}]

    y, y2 = _level("low"), {"field": "high"}
    source = {"name": "readings"}
    layers: list[dict[str, Any]] = []
    for style, used in (("reading", "datum.used"), ("reading-late", "!datum.used")):
        layers.append(
            {
                "data": source,
                "transform": chosen(f"{used} && datum.high > datum.low"),
                "mark": {"type": "rule", "style": style},
                "encoding": {"x": x, "y": y, "y2": y2},
            }
        )
        layers.append(
            {
                "data": source,
                "transform": chosen(f"{used} && datum.high === datum.low"),
                "mark": {"type": "point", "style": f"{style}-point", "shape": "diamond"},
                "encoding": {"x": x, "y": y},
            }
        )
    arrow = {"type": "point", "style": "reading-point", "shape": "triangle-up", "size": 60}
    layers.append(
        {
            "data": source,
            "transform": chosen("datum.open"),
            "mark": arrow,
            "encoding": {"x": x, "y": _level("high")},
        }
    )
    return layers


def _flag_strip(picture: Picture, width: int) -> dict[str, Any]:
    x = _time_axis(picture, labelled=False)
    x["axis"] = {**x["axis"], "grid": False}
    pole = {"type": "rule", "style": "flag-pole", "y": STRIP_HEIGHT, "y2": 16}
    flag = {"type": "point", "style": "flag", "shape": FLAG_SHAPE, "size": 90, "y": 30}
    letter = {"type": "text", "style": "flag-letter", "align": "center", "y": 8}
    base = {"data": {"name": "flags"}, "encoding": {"x": x}}
    return {
        "width": width,
        "height": STRIP_HEIGHT,
        "layer": [
            {**base, "mark": pole},
            {**base, "mark": flag},
            {
                **base,
                "mark": letter,
                "encoding": {"x": x, "text": {"field": "letter", "type": "nominal"}},
            },
        ],
    }


def _guide(picture: Picture, width: int) -> dict[str, Any]:
    lines = list(picture.words.guide)
    return {
        "width": width,
        "height": 18 * max(1, len(lines)) + 18,
        "data": {"values": [{}]},
        "mark": {
            "type": "text",
            "style": "flag-letter",
            "align": "left",
            "baseline": "top",
            "lineHeight": 18,
            "text": lines,
            "x": 0,
            "y": 24,
        },
    }
