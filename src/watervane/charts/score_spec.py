"""Scores as one Vega-Lite specification: kept promises, and surprise by days ahead."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from watervane.charts.theme import LIGHT
from watervane.records import COVERED, Scores

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
SIZE = 250
TITLE_LETTERS = 72  # a line
AHEAD_D = (3, 7, 14)  # upper ends of the stretches; what is later makes the last one
SHAPES = ("circle", "square", "triangle-up", "diamond")
DASHES = ([1, 0], [6, 3], [2, 2], [8, 3, 2, 3])
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ScorePicture:
    """Scores and the words of their picture; ``names`` by forecaster, ``ahead`` by stretch."""

    scores: Scores
    title: str
    description: str
    names: Mapping[str, str]
    claimed: str
    inside: str
    days_ahead: str
    ahead: tuple[str, ...]
    log_score: str


def score_spec(picture: ScorePicture) -> dict[str, Any]:
    """Two panels side by side; forecasters differ by shape and dash, not by colour.

    Parameters
    ----------
    picture
        Scores with their words.
    """
    names = [
        name
        for key, name in picture.names.items()
        if any(s.forecaster == key and not s.quantity for s in picture.scores.summaries)
    ]
    percent = {"type": "quantitative", "scale": {"domain": [0, 100]}}
    promises = {
        "width": SIZE,
        "height": SIZE,
        "layer": [
            {
                "data": {"values": [{"claimed": 0, "inside": 0}, {"claimed": 100, "inside": 100}]},
                "mark": {"type": "line", "color": LIGHT.faint, "strokeWidth": 1},
                "encoding": {
                    "x": {"field": "claimed", **percent, "title": picture.claimed},
                    "y": {"field": "inside", **percent, "title": picture.inside},
                },
            },
            *_lines({"values": list(_kept(picture))}, names, ("claimed", percent), "inside"),
        ],
    }
    ahead = {"type": "ordinal", "sort": list(picture.ahead), "axis": {"labelAngle": 0}}
    surprise = {
        "width": SIZE,
        "height": SIZE,
        "layer": _lines(
            {"values": list(_surprise(picture))},
            names,
            ("ahead", {**ahead, "title": picture.days_ahead}),
            "log score",
            {"title": picture.log_score},
        ),
    }
    return {
        "$schema": SCHEMA,
        "description": picture.description,
        "padding": {"left": 16, "right": 24, "top": 16, "bottom": 16},
        "title": {"text": textwrap.wrap(picture.title, TITLE_LETTERS), "offset": 18},
        "spacing": 48,
        "hconcat": [promises, surprise],
    }


def _lines(
    data: dict[str, Any],
    names: list[str],
    x: tuple[str, dict[str, Any]],
    y: str,
    more: dict[str, Any] | None = None,
) -> list[dict[str, Any]]:
    """A line and its points for each forecaster."""
    share = {
        "x": {"field": x[0], **x[1]},
        "y": {"field": y, "type": "quantitative", **(more or {})},
    }
    legend = {"title": None, "orient": "bottom", "columns": 2, "labelLimit": 300}
    kinds = {"field": "by", "type": "nominal", "legend": legend}
    dash = {**kinds, "scale": {"domain": names, "range": list(DASHES[: len(names)])}}
    shape = {**kinds, "scale": {"domain": names, "range": list(SHAPES[: len(names)])}}
    return [
        {
            "data": data,
            "mark": {"type": "line", "color": LIGHT.ink, "strokeWidth": 1.4},
            "encoding": {**share, "strokeDash": dash},
        },
        {
            "data": data,
            "mark": {"type": "point", "filled": True, "size": 70, "color": LIGHT.accent},
            "encoding": {**share, "shape": shape, "opacity": {"value": 1}},
        },
    ]


def _kept(picture: ScorePicture) -> Iterator[dict[str, Any]]:
    for one in picture.scores.summaries:
        if one.quantity:
            continue
        for level, count in zip(COVERED, one.covered, strict=True):
            share = {"claimed": 100 * level, "inside": round(100 * count / one.count, 2)}
            yield {"by": picture.names[one.forecaster], **share}


def _surprise(picture: ScorePicture) -> Iterator[dict[str, Any]]:
    found: dict[tuple[str, int], list[float]] = {}
    for row in picture.scores.rows:
        stretch = sum((row.at - row.as_of) / DAY > end for end in AHEAD_D)
        for name, mark in row.marks.items():
            found.setdefault((name, stretch), []).append(mark.log_score)
    for (name, stretch), told in found.items():
        mean = round(sum(told) / len(told), 4)
        yield {"by": picture.names[name], "ahead": picture.ahead[stretch], "log score": mean}
