"""One tank under two plans: the same panels, what is planned in ink and the other plan in accent.

Everything that an other plan moves is data under a name, so that a living view is only handed
new rows.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from watervane.charts.data import tick_days, wall
from watervane.charts.theme import DARK, FONT, LIGHT, PAGE, Theme, config
from watervane.records import QUANTILE_KEYS, Band
from watervane.records.other_plans import RehearsedPlan

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
WIDE, NARROW = 620, 300  # of the drawn panels [px]
PANEL_HEIGHT = 104
PADDING = {"left": 4, "right": 12, "top": 4, "bottom": 4}
UNSPOKEN: dict[str, Any] = {"aria": False, "mark": {"aria": False}}
PAGE_FONT = f"Source Sans, {FONT}"
THEMES = {"light": LIGHT, "dark": DARK}
Rows = list[dict[str, Any]]


@dataclass(frozen=True, slots=True)
class PlanPanel:
    """One series as it is drawn: ``drawn = factor * stored``."""

    series_key: str
    title: str
    factor: float = 1.0
    from_zero: bool = True


@dataclass(frozen=True, slots=True)
class PlanLevel:
    """A labelled level of a panel, in the panel's unit."""

    series_key: str
    value: float
    label: str


@dataclass(frozen=True, slots=True)
class PlanPicture:
    """A rehearsed plan, and the words others have chosen for it."""

    told: RehearsedPlan
    panels: tuple[PlanPanel, ...]
    levels: tuple[PlanLevel, ...]
    description: str


def plan_rows(picture: PlanPicture) -> dict[str, Rows]:
    """What is drawn, by the names the specification knows it by."""
    told = picture.told
    days = [each.days_ahead for each in told.plan.mishaps]
    noon = told.begins + timedelta(hours=12)
    return {
        "planned": _bands(picture, told.planned),
        "changed": _bands(picture, told.changed),
        "levels": _level_rows(picture),
        "starts": [{"t": wall(noon + timedelta(days=day - 1))} for day in sorted(set(days))],
    }


def plan_spec(picture: PlanPicture, *, width: int = WIDE) -> dict[str, Any]:
    """Panels under each other on one time axis."""
    last = picture.panels[-1]
    return {
        "$schema": SCHEMA,
        "description": picture.description,
        "padding": PADDING,
        "datasets": plan_rows(picture),
        "spacing": 42,
        "bounds": "flush",
        "resolve": {"scale": {"x": "shared"}},
        "vconcat": [_panel(picture, each, width, last=each is last) for each in picture.panels],
    }


def still_plan(picture: PlanPicture, look: str, *, narrow: bool) -> dict[str, Any]:
    """The picture to be drawn as SVG; see `watervane.charts.living.still_drawing`."""
    spec = plan_spec(picture, width=NARROW if narrow else WIDE)
    spec["config"] = _config(THEMES[look], FONT)
    return spec


def living_plan(picture: PlanPicture) -> dict[str, Any]:
    """What the script of a page draws; its rows are handed to it anew as the plan is moved."""
    return {"spec": plan_spec(picture), "config": _config(PAGE, PAGE_FONT)}


def _config(theme: Theme, font: str) -> dict[str, Any]:
    usual = config(theme, font)
    own = {
        "other-band": {
            "color": theme.accent,
            "fillOpacity": 0.1,
            "stroke": theme.accent,
            "strokeWidth": 0.75,
            "strokeOpacity": 0.7,
        },
        "other-median": {"color": theme.accent, "strokeWidth": 2.5, "strokeDash": [7, 4]},
        "start": {"color": theme.accent, "strokeDash": [2, 3], "strokeWidth": 1.2},
    }
    return {**usual, **UNSPOKEN, "style": {**usual["style"], **own}}


def _panel(picture: PlanPicture, panel: PlanPanel, width: int, *, last: bool) -> dict[str, Any]:
    x = _time_axis(picture, labelled=last)
    return {
        "title": {"text": panel.title},
        "width": width,
        "height": PANEL_HEIGHT,
        "layer": [
            *_levels(panel),
            _band(panel, x, "planned", ("p05", "p95"), "outer-band"),
            _band(panel, x, "planned", ("p25", "p75"), "inner-band"),
            _band(panel, x, "changed", ("p05", "p95"), "other-band"),
            {"data": {"name": "starts"}, "mark": {"type": "rule", "style": "start"},
             "encoding": {"x": x}},
            _middle(panel, x, "planned", "median"),
            _middle(panel, x, "changed", "other-median"),
        ],
    }  # fmt: skip


def _time_axis(picture: PlanPicture, *, labelled: bool) -> dict[str, Any]:
    told = picture.told
    end = told.begins + timedelta(days=told.horizon_days)
    days = tick_days(told.begins.date(), end.date())
    return {
        "field": "t",
        "type": "temporal",
        "scale": {"type": "utc", "domain": [wall(told.begins), wall(end)], "nice": False},
        "axis": {
            "values": [
                {"year": day.year, "month": day.month, "date": day.day, "utc": True} for day in days
            ],
            "format": "%-d %b",
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


def _level(panel: PlanPanel, field: str) -> dict[str, Any]:
    return {
        "field": field,
        "type": "quantitative",
        "title": None,
        "scale": {"zero": panel.from_zero, "nice": True},
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


def _band(
    panel: PlanPanel, x: dict[str, Any], data: str, ends: tuple[str, str], style: str
) -> dict[str, Any]:
    return {
        "data": {"name": data},
        "mark": {"type": "area", "style": style, "clip": True},
        "encoding": {
            "x": x,
            "y": _level(panel, f"{panel.series_key}_{ends[0]}"),
            "y2": {"field": f"{panel.series_key}_{ends[1]}"},
        },
    }


def _middle(panel: PlanPanel, x: dict[str, Any], data: str, style: str) -> dict[str, Any]:
    return {
        "data": {"name": data},
        "mark": {"type": "line", "style": style, "clip": True},
        "encoding": {"x": x, "y": _level(panel, f"{panel.series_key}_p50")},
    }


def _levels(panel: PlanPanel) -> list[dict[str, Any]]:
    """Level lines and their labels, under the curves; the halo keeps lines off the words."""
    mine = [{"filter": f"datum.panel === '{panel.series_key}'"}]
    base: dict[str, Any] = {"data": {"name": "levels"}, "transform": mine}
    y = _level(panel, "value")
    seen = {"field": "seen", "type": "quantitative", "scale": None}
    label = {"text": {"field": "label", "type": "nominal"}, "y": y}
    place = {"type": "text", "align": "right", "baseline": "bottom", "dy": -3, "x": "width"}
    return [
        {**base, "mark": {"type": "rule", "style": "limit"}, "encoding": {"y": y, "opacity": seen}},
        {**base, "mark": {**place, "style": "limit-halo"}, "encoding": label},
        {**base, "mark": {**place, "style": "limit-label"}, "encoding": label},
    ]


def _level_rows(picture: PlanPicture) -> Rows:
    """The levels, and an unseen one for each panel without: a scale is made of some row."""
    rows: Rows = [
        {"panel": each.series_key, "value": _rounded(each.value), "label": each.label, "seen": 1}
        for each in picture.levels
    ]
    levelled = {each.series_key for each in picture.levels}
    for panel in picture.panels:
        if panel.series_key not in levelled:
            value = _rounded(picture.told.planned[panel.series_key].p50[0] * panel.factor)
            rows.append({"panel": panel.series_key, "value": value, "label": "", "seen": 0})
    return rows


def _bands(picture: PlanPicture, series: Mapping[str, Band]) -> Rows:
    rows: Rows = []
    for place, at in enumerate(picture.told.times):
        row: dict[str, Any] = {"t": wall(at)}
        for panel in picture.panels:
            band = series[panel.series_key]
            for key in QUANTILE_KEYS:
                value = getattr(band, key)[place] * panel.factor
                row[f"{panel.series_key}_{key}"] = _rounded(value)
        rows.append(row)
    return rows


def _rounded(value: float) -> float | None:
    return float(f"{value:.4g}") if math.isfinite(value) else None
