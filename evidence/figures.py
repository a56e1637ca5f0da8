"""Pictures of the evidence page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from evidence.sections import Picture
from watervane.inference.calibration import ecdf_band
from watervane.inference.target import Floats

INK, ACCENT, PALE = "#1b1a17", "#1f5f6b", "#8a857a"
SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json"
Row = dict[str, object]


def coverage_picture(rows: Sequence[Row]) -> Picture:
    """Draw what 80 % intervals covered: members filled, prior hollow, 80 % as a line.

    Parameters
    ----------
    rows
        With ``tanks``, ``quantity``, ``posterior`` and ``prior`` [%].
    """
    dots = [
        {**row, "from": source, "covered": row[source]}
        for row in rows
        for source in ("posterior", "prior")
    ]
    spec: dict[str, Any] = {
        "$schema": SCHEMA,
        "config": {"font": "sans-serif", "background": "#ffffff"},
        "facet": {
            "row": {
                "field": "tanks",
                "header": {
                    "title": None,
                    "labelAngle": 0,
                    "labelAlign": "left",
                    "labelOrient": "top",
                },
            }
        },
        "spec": {
            "width": 460,
            "layer": [
                {
                    "data": {"values": [{"claimed": 80}]},
                    "mark": {"type": "rule", "strokeDash": [4, 3], "color": PALE},
                    "encoding": {"x": {"field": "claimed", "type": "quantitative"}},
                },
                {
                    "mark": {"type": "point", "size": 70, "strokeWidth": 1.5},
                    "encoding": {
                        "x": {
                            "field": "covered",
                            "type": "quantitative",
                            "scale": {"domain": [0, 100]},
                            "title": "truths inside the 80 % interval, %",
                        },
                        "y": {"field": "quantity", "type": "nominal", "title": None},
                        "shape": {
                            "field": "from",
                            "scale": {
                                "domain": ["posterior", "prior"],
                                "range": ["circle", "triangle"],
                            },
                            "title": None,
                        },
                        "color": {
                            "field": "from",
                            "scale": {
                                "domain": ["posterior", "prior"],
                                "range": [ACCENT, PALE],
                            },
                            "title": None,
                        },
                        "fill": {
                            "field": "from",
                            "scale": {
                                "domain": ["posterior", "prior"],
                                "range": [ACCENT, "#ffffff"],
                            },
                            "title": None,
                        },
                    },
                },
            ],
        },
        "data": {"values": dots},
        "resolve": {"scale": {"y": "independent"}},
    }
    return Picture("coverage", "Coverage of 80 % intervals by kind of tank", spec)


def ecdf_picture(ways: Mapping[str, Mapping[str, Floats]]) -> Picture:
    """Draw how far cumulative ranks run from even ones, with the band that holds 95 %.

    Parameters
    ----------
    ways
        Places of truths by quantity, by title of the panel.
    """
    dots: list[Row] = []
    bands: list[Row] = []
    for way, several in ways.items():
        for name, places in several.items():
            count = len(places)
            even = np.arange(1, count + 1) / count
            dots += [
                {"way": way, "quantity": name, "place": at, "over": 100.0 * (share - at)}
                for at, share in zip(np.sort(places).tolist(), even.tolist(), strict=True)
            ]
        low, high = ecdf_band(count)
        bands += [
            {"way": way, "place": at, "low": 100.0 * (at - up), "high": 100.0 * (at - down)}
            for at, down, up in zip(even.tolist(), low.tolist(), high.tolist(), strict=True)
        ]
    across = {"field": "place", "type": "quantitative", "title": "place of the truth, 0 to 1"}
    spec: dict[str, Any] = {
        "$schema": SCHEMA,
        "config": {"font": "sans-serif", "background": "#ffffff"},
        "vconcat": [
            {
                "title": {"text": way, "anchor": "start"},
                "width": 460,
                "height": 150,
                "layer": [
                    {
                        "data": {"values": [row for row in bands if row["way"] == way]},
                        "mark": {"type": "area", "color": PALE, "opacity": 0.25},
                        "encoding": {
                            "x": across,
                            "y": {
                                "field": "low",
                                "type": "quantitative",
                                "title": "more truths below, points",
                            },
                            "y2": {"field": "high"},
                        },
                    },
                    {
                        "data": {"values": [row for row in dots if row["way"] == way]},
                        "mark": {"type": "line", "strokeWidth": 1, "color": ACCENT},
                        "encoding": {
                            "x": across,
                            "y": {"field": "over", "type": "quantitative"},
                            "detail": {"field": "quantity"},
                        },
                    },
                ],
            }
            for way in ways
        ],
    }
    return Picture(
        "ranks",
        "Cumulative ranks of truths less even ones: one line a quantity, and the band that all "
        "of a quantity's ranks keep to 95 times in a hundred",
        spec,
    )
